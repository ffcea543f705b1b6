//! `baybook fit`: which receivers of the book suit.

use baybook_proto::v1 as pb;
use clap::Args;

use crate::{
    args::plan::PlanArgs,
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Column, Page, Value},
    people::Kind,
    read,
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook fit --book deploy/demo/book --vehicle vehicles/van-l35 \\
    --ball-mount ballmounts/two-in-drop-4 --ball balls/two-in-6000 \\
    --trailer trailers/flatbed-2t --trailer-mass '1500 kg' --tongue '160 kg' \\
    --item 'crew=170 kg@1400 mm' --departure-laden '8 deg' --misfits
  baybook fit --book deploy/demo/book --vehicle vehicles/pickup-eu \\
    --ball-mount ballmounts/swan-neck-50 --ball balls/fifty-mm \\
    --trailer trailers/eu-box-1300 --trailer-mass '1200 kg' --tongue '70 kg' --limit 5";

/// Rank the receivers of the book that suit a vehicle, a trailer and a clearance wish
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct FitArgs {
    #[command(flatten)]
    plan: PlanArgs,

    /// Least departure angle with the receiver, unladen: "12 deg"
    #[arg(long, value_name = "ANGLE", value_parser = read::angle_deg, help_heading = "The wish")]
    departure: Option<f64>,

    /// Least departure angle, laden and hitched
    #[arg(long, value_name = "ANGLE", value_parser = read::angle_deg, help_heading = "The wish")]
    departure_laden: Option<f64>,

    /// Least height of the fitted gear above ground, laden and hitched: "180 mm"
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm, help_heading = "The wish")]
    hitch_height: Option<f64>,

    /// List receivers that do not suit too, each with why
    #[arg(long)]
    misfits: bool,

    /// How many to list
    #[arg(long, value_name = "COUNT", default_value_t = 20)]
    limit: i32,

    /// Where a list goes on: what the page before told
    #[arg(long, value_name = "TOKEN", default_value = "", hide_default_value = true)]
    page: String,
}

/// Which flag fills which field of this question.
const FLAGS: &[(&str, &str)] = &[
    ("plan.limits.departure_min_deg", "--departure"),
    ("plan.limits.departure_laden_min_deg", "--departure-laden"),
    ("plan.limits.hitch_height_min_mm", "--hitch-height"),
    ("page_size", "--limit"),
    ("page_token", "--page"),
    ("plan", "--plan or the plan's flags"),
    ("plan.vehicle", "--vehicle"),
    ("plan.receiver", "--receiver"),
    ("plan.ball_mount", "--ball-mount"),
    ("plan.ball", "--ball"),
    ("plan.coupler", "--coupler"),
    ("plan.trailer", "--trailer"),
    ("plan.trailer_mass", "--trailer-mass"),
    ("plan.tongue", "--tongue"),
    ("plan.tongue_load", "--tongue"),
    ("plan.tongue_share", "--tongue"),
    ("plan.items", "--item or --added"),
];

pub async fn run(args: FitArgs, context: &mut Context) -> Outcome {
    let mut plan = args.plan.plan()?;
    let mut limits = plan.limits.take().unwrap_or_default();
    limits.departure_min_deg = args.departure.or(limits.departure_min_deg);
    limits.departure_laden_min_deg = args.departure_laden.or(limits.departure_laden_min_deg);
    limits.hitch_height_min_mm = args.hitch_height.or(limits.hitch_height_min_mm);
    plan.limits = Some(limits);
    let request = context.call(pb::FitReceiversRequest {
        plan: Some(plan),
        with_misfits: args.misfits,
        page_size: args.limit,
        page_token: args.page,
    });
    let reply = context.calculator().await?.fit_receivers(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, Flags(FLAGS)))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::FitReceiversResponse, page: &mut Page) {
    let count = reply.candidate_count;
    let lead = match (reply.suits_count, reply.unknown_count) {
        (0, 0) => Cell::marked("NONE SUITS", Mark::Bad),
        (0, _) => Cell::marked("NONE IS KNOWN TO SUIT", Mark::Mind),
        _ => Cell::marked(format!("{} SUIT", reply.suits_count), Mark::Good),
    };
    let rest =
        format!("of {count} receivers in the book; {} might, {} do not", reply.unknown_count, reply.misfit_count);
    page.line(lead, &rest);
    let rows = reply.fits.iter().map(|one| {
        let word = match one.suits() {
            pb::Suits::Yes => Cell::marked("SUITS", Mark::Good),
            pb::Suits::No => Cell::marked("NO", Mark::Bad),
            pb::Suits::Unknown | pb::Suits::Unspecified => Cell::marked("UNKNOWN", Mark::Mind),
        };
        vec![
            one.rank_position.to_string().into(),
            one.name.as_str().into(),
            word.into(),
            Value::Number(one.used_share),
            one.governing.as_str().into(),
        ]
    });
    page.table(
        &[
            Column::Words("rank"),
            Column::Words("receiver"),
            Column::Words(""),
            Column::Numbers("used", Kind::Share),
            Column::Words("governed by"),
        ],
        rows.collect(),
    );
    for one in reply.fits.iter().filter(|one| one.suits() != pb::Suits::No) {
        draw_one(one, page);
    }
    page.notes(
        "why not",
        reply.fits.iter().filter(|one| !one.reasons.is_empty()).map(|one| {
            // What is known to speak against it is enough; what is unknown beside it only fills the page.
            let told = one.reasons.iter().filter(|reason| one.suits() != pb::Suits::No || !reason.unknown);
            let reasons = told.map(|reason| match reason.text.as_str() {
                "is not known" => format!("{} is not known", reason.field),
                text => text.to_owned(),
            });
            (one.name.as_str(), reasons.collect::<Vec<_>>().join("; "))
        }),
    );
    if !reply.next_page_token.is_empty() {
        let rest = format!("go on with --page {}", reply.next_page_token);
        page.line("more follow".into(), &rest);
    }
    page.footing(&reply.cautions, &reply.basis, Some(reply.revision));
}

/// Shows what one receiver allows, and what fitting it costs.
fn draw_one(one: &pb::RankedReceiver, page: &mut Page) {
    let known = |value: Option<f64>| Value::Number(value);
    let rows = vec![vec![
        known(one.trailer_limit_kg),
        known(one.tongue_limit_kg),
        known(one.departure_deg),
        known(one.departure_laden_deg),
        known(one.hitch_height_laden_mm),
    ]];
    let title = if one.label.is_empty() { one.name.clone() } else { format!("{}, {}", one.name, one.label) };
    page.title(&title);
    page.table(
        &[
            Column::Numbers("trailer", Kind::Allowed),
            Column::Numbers("tongue", Kind::Allowed),
            Column::Numbers("departure", Kind::Opening),
            Column::Numbers("laden", Kind::Opening),
            Column::Numbers("height laden", Kind::Length),
        ],
        rows,
    );
    let lost = [
        (Kind::Angle, one.departure_lost_deg, "of departure angle"),
        (Kind::Length, one.height_lost_mm, "of ground clearance"),
        (Kind::Load, one.trailer_lost_kg, "of trailer mass"),
        (Kind::Load, one.payload_lost_kg, "of payload"),
    ];
    let said: Vec<String> = lost
        .into_iter()
        .map(|(kind, value, what)| match value {
            Some(value) => format!("{} {what}", page.units().say(kind, value)),
            None => format!("an unknown amount {what}"),
        })
        .collect();
    page.notes("it costs", [("", said.join(", "))]);
}
