//! `baybook wrench`: which torque wrench to take.

use baybook_proto::v1 as pb;
use clap::Args;

use super::tighten::Steps;
use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Column, Page, Value},
    people::Kind,
    read,
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook wrench --book deploy/demo/book --torque '66 N·m' --day 2026-11-26
  baybook wrench --book deploy/demo/book --torque '75 lb-ft' --day 2026-11-26 --accuracy '4 %' \\
    --steps 30-70-100 --adapter-offset '50 mm' --adapter-angle '0 deg'";

const FLAGS: Flags = Flags(&[
    ("torque", "--torque"),
    ("day", "--day"),
    ("steps", "--steps"),
    ("adapter", "--adapter-offset and --adapter-angle"),
    ("adapter.lever_mm", "--adapter-lever"),
    ("adapter.offset_mm", "--adapter-offset"),
    ("adapter.angle_deg", "--adapter-angle"),
    ("accuracy_max_share", "--accuracy"),
    ("wrenches", "--wrench"),
]);

/// Choose a torque wrench: its range, its calibration on the day, its accuracy
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct WrenchArgs {
    /// The full torque at the fastener, prevailing torque in it: "66 N·m", "75 lb-ft"
    #[arg(long, value_name = "TORQUE", value_parser = read::torque)]
    torque: pb::Torque,

    /// The day it is used: 2026-11-26
    #[arg(long, value_name = "YYYY-MM-DD")]
    day: String,

    /// In how many steps; the first of them has to be on the scale too
    #[arg(long, value_name = "STEPS")]
    steps: Option<Steps>,

    /// The greatest deviation that will do: "4 %"
    #[arg(long, value_name = "SHARE", value_parser = read::share)]
    accuracy: Option<f64>,

    /// A crowfoot's length, drive centre to fastener centre: "50 mm"
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    adapter_offset: Option<f64>,

    /// The crowfoot's angle: "0 deg" straight ahead, "90 deg" square, "180 deg" backwards
    #[arg(long, value_name = "ANGLE", value_parser = read::angle_deg)]
    adapter_angle: Option<f64>,

    /// One lever for all, drive centre to grip; without it that of each wrench's entry counts
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    adapter_lever: Option<f64>,

    /// A wrench to choose from, once for each; without any, all of the book: wrenches/click-200
    #[arg(long, value_name = "NAME")]
    wrench: Vec<String>,
}

pub async fn run(args: WrenchArgs, context: &mut Context) -> Outcome {
    let adapter =
        pb::Adapter { lever_mm: args.adapter_lever, offset_mm: args.adapter_offset, angle_deg: args.adapter_angle };
    let named = |name| pb::WrenchRef { wrench: Some(pb::wrench_ref::Wrench::Name(name)) };
    let request = context.call(pb::ChooseWrenchRequest {
        torque: Some(args.torque),
        day: args.day,
        steps: args.steps.map_or(pb::TighteningSteps::Unspecified, pb::TighteningSteps::from).into(),
        adapter: (adapter != pb::Adapter::default()).then_some(adapter),
        accuracy_max_share: args.accuracy,
        wrenches: args.wrench.into_iter().map(named).collect(),
    });
    let reply = context.calculator().await?.choose_wrench(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::ChooseWrenchResponse, page: &mut Page) {
    let first = reply.wrenches.iter().find(|one| one.suits() == pb::Suits::Yes);
    match first {
        Some(one) => {
            let setting = one.setting_n_m.map_or_else(String::new, |set| page.units().say(Kind::Torque, set));
            page.line(Cell::marked("take", Mark::Good), &format!("{}, set to {setting}", called(one)));
        }
        None if reply.unknown_count == 0 => {
            page.line(Cell::marked("NONE IS FIT", Mark::Bad), "no wrench may be used for this");
        }
        None => page.line(Cell::marked("NONE IS KNOWN TO BE FIT", Mark::Mind), "find out what is not known"),
    }
    let rows = reply.wrenches.iter().map(|one| {
        let word = match one.suits() {
            pb::Suits::Yes => Cell::marked("FIT", Mark::Good),
            pb::Suits::No => Cell::marked("NO", Mark::Bad),
            pb::Suits::Unknown | pb::Suits::Unspecified => Cell::marked("UNKNOWN", Mark::Mind),
        };
        vec![
            called(one).into(),
            word.into(),
            Value::Number(one.setting_n_m),
            Value::Number(one.scale_share),
            Value::Number(one.deviation_n_m),
        ]
    });
    page.table(
        &[
            Column::Words("wrench"),
            Column::Words(""),
            Column::Numbers("set to", Kind::Torque),
            Column::Numbers("of scale", Kind::Share),
            Column::Numbers("off by", Kind::Torque),
        ],
        rows.collect(),
    );
    page.notes(
        "why not",
        reply.wrenches.iter().filter(|one| !one.reasons.is_empty()).map(|one| {
            let reasons: Vec<_> = one.reasons.iter().map(|reason| reason.text.clone()).collect();
            (called(one), reasons.join("; "))
        }),
    );
    page.footing(&reply.cautions, &reply.basis, Some(reply.revision));
}

/// Returns what the table calls a wrench.
fn called(one: &pb::WeighedWrench) -> &str {
    if one.name.is_empty() { &one.label } else { &one.name }
}
