//! `baybook label`: added mass against its threshold, the capacity left, and who has which duty.

use baybook_proto::v1 as pb;
use clap::{Args, ValueEnum};

use crate::{
    args::YesNo,
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Column, Fact, Page},
    people::Kind,
    read,
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook label --gvwr '3200 kg' --capacity '940 kg' --unloaded '2260 kg' \\
    --added 'hitch bay=38 kg' --added 'wiring bay=2.5 kg' --added 'body shop=18 kg' \\
    --removed 'hitch bay=6 kg' --history-complete yes \\
    --sale-state before-first-sale --fits-hitch yes
  baybook label --gvwr '6000 lb' --added 'hitch bay=92 lb' --sale-state before-first-sale \\
    --format json";

const FLAGS: Flags = Flags(&[
    ("gvwr", "--gvwr"),
    ("capacity", "--capacity"),
    ("unloaded", "--unloaded"),
    ("changes", "--added or --removed"),
    ("work", "the facts about the work"),
]);

/// Sum what all shops added, and tell when a label is due and who has which duty
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct LabelArgs {
    /// Gross vehicle weight rating
    #[arg(long, value_name = "MASS", value_parser = read::mass)]
    gvwr: pb::Mass,

    /// Capacity for people and cargo on the label before the work
    #[arg(long, value_name = "MASS", value_parser = read::mass)]
    capacity: Option<pb::Mass>,

    /// The unloaded vehicle's mass before anything was added
    #[arg(long, value_name = "MASS", value_parser = read::mass)]
    unloaded: Option<pb::Mass>,

    /// What a shop added: "hitch bay=38 kg"; may be repeated
    #[arg(long, value_name = "SHOP=MASS", value_parser = read::item)]
    added: Vec<pb::LoadItem>,

    /// What a shop took off for good: "hitch bay=6 kg"; may be repeated
    #[arg(long, value_name = "SHOP=MASS", value_parser = read::item)]
    removed: Vec<pb::LoadItem>,

    /// Whether this is all that every shop added since certification
    #[arg(long, value_name = "ANSWER")]
    history_complete: Option<YesNo>,

    /// Where the vehicle stands in its life
    #[arg(long, value_name = "STATE")]
    sale_state: Option<SaleState>,

    /// Whether the work completes an incomplete vehicle
    #[arg(long, value_name = "ANSWER")]
    completes_incomplete: Option<YesNo>,

    /// Whether a hitch is fitted
    #[arg(long, value_name = "ANSWER")]
    fits_hitch: Option<YesNo>,

    /// Whether the work goes beyond readily attachable parts, or makes a certified rating untrue
    #[arg(long, value_name = "ANSWER")]
    beyond_readily_attachable: Option<YesNo>,

    /// Whether the plate lamp is hidden or moved
    #[arg(long, value_name = "ANSWER")]
    plate_lamp_moved: Option<YesNo>,

    /// Whether type approval is the law where the vehicle runs
    #[arg(long, value_name = "ANSWER")]
    type_approval: Option<YesNo>,

    /// Whether it is a trailer of 10,000 lb gross or more with a rear guard
    #[arg(long, value_name = "ANSWER")]
    heavy_trailer_with_guard: Option<YesNo>,
}

/// Where a vehicle stands in its life.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum SaleState {
    /// Not yet sold to its first user
    BeforeFirstSale,
    /// In use
    InUse,
}

pub async fn run(args: LabelArgs, context: &mut Context) -> Outcome {
    let kg = |item: &pb::LoadItem| item.mass.as_ref().and_then(|mass| mass.value_kg);
    let added = args.added.iter().map(|item| pb::MassChange {
        by: item.label.clone(),
        added_mass_kg: kg(item),
        ..pb::MassChange::default()
    });
    let removed = args.removed.iter().map(|item| pb::MassChange {
        by: item.label.clone(),
        removed_mass_kg: kg(item),
        ..pb::MassChange::default()
    });
    let changes = added.chain(removed).collect();
    let work = pb::WorkFacts {
        sale_state: match args.sale_state {
            None => pb::SaleState::Unspecified,
            Some(SaleState::BeforeFirstSale) => pb::SaleState::BeforeFirstSale,
            Some(SaleState::InUse) => pb::SaleState::InUse,
        }
        .into(),
        completes_incomplete: args.completes_incomplete.map(bool::from),
        fits_hitch: args.fits_hitch.map(bool::from),
        beyond_readily_attachable: args.beyond_readily_attachable.map(bool::from),
        plate_lamp_moved: args.plate_lamp_moved.map(bool::from),
        type_approval: args.type_approval.map(bool::from),
        heavy_trailer_with_guard: args.heavy_trailer_with_guard.map(bool::from),
    };
    let request = context.call(pb::AddedMassRequest {
        gvwr: Some(args.gvwr),
        capacity: args.capacity,
        unloaded: args.unloaded,
        changes,
        history_complete: args.history_complete.map(bool::from),
        work: Some(work),
    });
    let reply = context.calculator().await?.added_mass(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::AddedMassResponse, page: &mut Page) {
    let (lead, rest) = match reply.label_due {
        Some(true) => (Cell::marked("LABEL DUE", Mark::Bad), "the added mass is over its threshold"),
        Some(false) => (Cell::marked("NO LABEL DUE", Mark::Good), "by these rules"),
        None => (Cell::marked("UNKNOWN", Mark::Mind), "whether a label is due hangs on what nobody says"),
    };
    page.line(lead, rest);
    let set_by = match reply.limit_set_by() {
        pb::LimitSetBy::Share => "most without a label, by 1.5 % of GVWR",
        pb::LimitSetBy::HundredPounds | pb::LimitSetBy::Unspecified => "most without a label, by 100 lb",
    };
    page.facts(
        "added mass",
        &[""],
        vec![
            Fact::one("added", Kind::Load, reply.added_mass_kg),
            Fact::one("taken off", Kind::Allowed, reply.removed_mass_kg),
            Fact::one("net", Kind::Load, reply.net_mass_kg),
            Fact::one(set_by, Kind::Allowed, reply.limit_mass_kg),
            Fact::one("left for people and cargo", Kind::Allowed, reply.capacity_left_kg),
        ],
    );
    let rows = reply.shops.iter();
    let rows = rows.map(|shop| vec![shop.by.as_str().into(), shop.added_mass_kg.into(), shop.removed_mass_kg.into()]);
    page.table(
        &[Column::Words("shop"), Column::Numbers("added", Kind::Load), Column::Numbers("taken off", Kind::Allowed)],
        rows.collect(),
    );
    if !reply.label_text.is_empty() {
        page.notes("for the label", [("", reply.label_text.clone())]);
    }
    page.notes(
        "who has which duty",
        reply.duties.iter().map(|duty| {
            let seen = match duty.status() {
                pb::SourceStatus::FromMemory => ", from memory",
                _ => "",
            };
            (duty.role.as_str(), format!("{}: {} ({}{seen})", duty.trigger, duty.duty, duty.source))
        }),
    );
    page.notes("ask", reply.ask.iter().map(|field| ("", format!("--{}", field.replace('_', "-")))));
    page.footing(&reply.cautions, &reply.basis, Some(reply.revision));
}
