//! `baybook rating`: the weakest link.

mod about;

use baybook_proto::v1 as pb;
use clap::Args;

use crate::{
    args::plan::{self, PlanArgs},
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Column, Fact, Page, Value},
    people::Kind,
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook rating --book deploy/demo/book --vehicle vehicles/van-l35 \\
    --receiver receivers/van-tuck --ball-mount ballmounts/two-in-drop-4 --ball balls/two-in-6000 \\
    --trailer trailers/flatbed-2t --trailer-mass '1500 kg' --tongue '10.5 %' \\
    --jurisdiction US-TX
  baybook rating --book deploy/demo/book --vehicle vehicles/pickup-eu \\
    --receiver receivers/double-cab-bracket --ball balls/fifty-mm \\
    --trailer trailers/eu-box-1300 --trailer-mass '1200 kg' --tongue '70 kg' \\
    --format json";

/// Find the weakest link for the trailer's mass and for the tongue load
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct RatingArgs {
    #[command(flatten)]
    plan: PlanArgs,
}

pub async fn run(args: RatingArgs, context: &mut Context) -> Outcome {
    let request = context.call(pb::RateTowingRequest { plan: Some(args.plan.plan()?) });
    let reply = context.calculator().await?.rate_towing(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, Flags(plan::FLAGS)))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::RateTowingResponse, page: &mut Page) {
    for (what, weakest) in [("trailer mass", &reply.trailer), ("tongue load", &reply.tongue)] {
        if let Some(weakest) = weakest {
            draw_links(what, weakest, page);
        }
    }
    page.facts(
        "both limits together",
        &[""],
        vec![
            Fact::one("tongue load over trailer mass", Kind::Share, reply.tongue_share),
            Fact::one("trailer limit at that share", Kind::Allowed, reply.trailer_limit_at_share_kg),
            Fact::one("D-value needed", Kind::Coupling, reply.d_value_needed_kn),
            Fact::one("Dc-value needed", Kind::Coupling, reply.dc_value_needed_kn),
            Fact::one("V-value needed", Kind::Coupling, reply.v_value_needed_kn),
            Fact::one("static vertical load S needed", Kind::Load, reply.s_value_needed_kg),
            Fact::one("trailer class, SAE J684", Kind::Count, reply.trailer_class_code.map(f64::from)),
        ],
    );
    if let Some(window) = &reply.tongue_window {
        super::tongue::draw_window(window, page);
    }
    about::draw(reply, page);
    page.footing(&reply.cautions, &reply.basis, Some(reply.revision));
}

/// Says in a word how plan and limit stand; with an unknown link nothing may pass.
fn verdict(weakest: &pb::WeakestLink) -> Cell {
    match weakest.margin_kg {
        Some(margin) if margin < 0.0 => Cell::marked("OVER", Mark::Bad),
        _ if 0 < weakest.unknown_count => Cell::marked("UNKNOWN", Mark::Mind),
        Some(_) => Cell::marked("WITHIN", Mark::Good),
        None => Cell::marked("UNKNOWN", Mark::Mind),
    }
}

pub fn draw_links(what: &str, weakest: &pb::WeakestLink, page: &mut Page) {
    let say = |kind, value: f64| page.units().say(kind, value);
    let planned =
        weakest.planned_kg.map_or_else(|| "not planned".to_owned(), |kg| format!("planned {}", say(Kind::Load, kg)));
    let limit = weakest.limit_kg.map_or_else(
        || "no known limit".to_owned(),
        |kg| format!("limit {} by {}", say(Kind::Allowed, kg), weakest.governing),
    );
    let unknown = match weakest.unknown_count {
        0 => String::new(),
        1 => "; 1 link has no known limit".to_owned(),
        many => format!("; {many} links have no known limit"),
    };
    let verdict = verdict(weakest);
    let lead = Cell { text: format!("{what}: {}", verdict.text), mark: verdict.mark };
    page.line(lead, &format!("{planned}, {limit}{unknown}"));
    let rows = weakest.links.iter().map(|link| {
        let allows = match link.state() {
            pb::LinkState::Known => Value::Number(link.limit_kg),
            pb::LinkState::NotLimiting => Value::None,
            pb::LinkState::Unknown | pb::LinkState::Unspecified => Value::Number(None),
        };
        let note = match link.state() {
            pb::LinkState::Known if link.label == weakest.governing => Cell::marked("governs", Mark::Strong),
            pb::LinkState::Known if link.label == weakest.runner_up => "next".into(),
            pb::LinkState::Unknown => "find out".into(),
            pb::LinkState::NotLimiting => "no limit here".into(),
            pb::LinkState::Known | pb::LinkState::Unspecified => Cell::default(),
        };
        vec![link.label.as_str().into(), allows, note.into(), link.field.as_str().into()]
    });
    page.table(
        &[Column::Words("link"), Column::Numbers("allows", Kind::Allowed), Column::Words(""), Column::Words("field")],
        rows.collect(),
    );
}
