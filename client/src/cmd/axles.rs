//! `baybook axles`: axle loads and what is left of every rating.

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
  baybook axles --book deploy/demo/book --vehicle vehicles/van-l35 \\
    --receiver receivers/van-tuck --ball-mount ballmounts/two-in-drop-4 --ball balls/two-in-6000 \\
    --trailer trailers/flatbed-2t --trailer-mass '1500 kg' --tongue '160 kg' \\
    --item 'crew=170 kg@1400 mm' --item 'cargo=400 kg@3300 mm' \\
    --added 'racking=120 kg@2900 mm'
  baybook axles --book deploy/demo/book --vehicle vehicles/pickup-half \\
    --item 'crew=160 kg@1500 mm' --units us";

/// Work out the axle loads, and what is left of every rating
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct AxlesArgs {
    #[command(flatten)]
    plan: PlanArgs,
}

pub async fn run(args: AxlesArgs, context: &mut Context) -> Outcome {
    let request = context.call(pb::AxleLoadsRequest { plan: Some(args.plan.plan()?) });
    let reply = context.calculator().await?.axle_loads(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, Flags(plan::FLAGS)))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::AxleLoadsResponse, page: &mut Page) {
    page.facts(
        "axle loads",
        &["front", "rear"],
        vec![
            Fact::many("before hitching", Kind::Mass, [reply.front_before_kg, reply.rear_before_kg]),
            Fact::many("hitched", Kind::Mass, [reply.front_kg, reply.rear_kg]),
        ],
    );
    let rows = reply.ratings.iter().map(|rating| {
        let word = match rating.left_kg {
            Some(left) if left < 0.0 => Cell::marked("OVER", Mark::Bad),
            Some(_) => Cell::marked("WITHIN", Mark::Good),
            None => Cell::marked("UNKNOWN", Mark::Mind),
        };
        vec![
            rating.label.as_str().into(),
            word.into(),
            rating.load_kg.into(),
            rating.rating_kg.into(),
            rating.left_kg.into(),
            rating.used_share.into(),
        ]
    });
    page.table(
        &[
            Column::Words("rating"),
            Column::Words(""),
            Column::Numbers("load", Kind::Load),
            Column::Numbers("rating", Kind::Allowed),
            Column::Numbers("left", Kind::Allowed),
            Column::Numbers("used", Kind::Share),
        ],
        rows.collect(),
    );
    let rows = reply.items.iter().map(|item| {
        vec![
            item.label.as_str().into(),
            item.mass_kg.into(),
            // Mass that is spread like the vehicle's own has no station.
            item.station_mm.map_or(Value::None, |station| Some(station).into()),
            item.front_kg.into(),
            item.rear_kg.into(),
        ]
    });
    page.table(
        &[
            Column::Words("what"),
            Column::Numbers("mass", Kind::Mass),
            Column::Numbers("station", Kind::Length),
            Column::Numbers("front", Kind::Mass),
            Column::Numbers("rear", Kind::Mass),
        ],
        rows.collect(),
    );
    page.facts(
        "more",
        &[""],
        vec![
            Fact::one("tongue load", Kind::Load, reply.tongue_kg),
            Fact::one("most tongue load, by the rear axle", Kind::Allowed, reply.tongue_limit_rear_axle_kg),
            Fact::one("most tongue load, by the gross rating", Kind::Allowed, reply.tongue_limit_vehicle_kg),
            Fact::one("centre of mass behind the front axle", Kind::Length, reply.mass_station_mm),
            Fact::one("added for good", Kind::Mass, reply.mass_added_kg),
            Fact::one("added mass above which a label is due", Kind::Allowed, reply.mass_label_limit_kg),
        ],
    );
    page.footing(&reply.cautions, &reply.basis, Some(reply.revision));
}
