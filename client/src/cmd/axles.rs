//! `baybook axles`: axle loads and what is left of every rating.

use baybook_proto::v1 as pb;
use clap::Args;

use crate::{
    args::plan::{self, PlanArgs},
    context::Context,
    fail::{Exit, Failure, Flags, Outcome, Stop},
    page::{Column, Fact, Page, Value},
    people::Kind,
    read::{self, ReadError},
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook axles --book deploy/demo/book --vehicle vehicles/van-l35 \\
    --receiver receivers/van-tuck --ball-mount ballmounts/two-in-drop-4 --ball balls/two-in-6000 \\
    --trailer trailers/flatbed-2t --trailer-mass '1500 kg' --tongue '160 kg' \\
    --item 'crew=170 kg@1400 mm' --item 'cargo=400 kg@3300 mm' \\
    --added 'racking=120 kg@2900 mm' --restoration '50 %'
  baybook axles --book deploy/demo/book --vehicle vehicles/pickup-half \\
    --item 'crew=160 kg@1500 mm' --tilt '12 deg' --level '1480 kg,1090 kg' --tilted-rear '1150 kg' \\
    --hub-height '380 mm' --units us";

/// Work out the axle loads, and what is left of every rating
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct AxlesArgs {
    #[command(flatten)]
    plan: PlanArgs,

    /// Spring bars: which share of the front axle's loss they give back: "50 %"
    #[arg(long, value_name = "SHARE", value_parser = read::share, group = "bars", help_heading = BARS)]
    restoration: Option<f64>,

    /// Spring bars: the couple of both together: "1000 N·m"
    #[arg(long, value_name = "TORQUE", value_parser = read::torque, group = "bars", help_heading = BARS)]
    couple: Option<pb::Torque>,

    /// Spring bars: the pull at the ends of both together; with --bar-length
    #[arg(long, value_name = "FORCE", value_parser = read::force, group = "bars", requires = "bar_length",
          help_heading = BARS)]
    bar_pull: Option<pb::Force>,

    /// Spring bars, weighed: the front axle unhitched, hitched, with bars: "1364 kg,1290 kg,1327 kg"
    #[arg(long, value_name = "KG,KG,KG", value_parser = three_masses, group = "bars", help_heading = BARS)]
    front_weighed: Option<pb::FrontAxleWeighings>,

    /// Spring bars, measured: the front arch unhitched, hitched, with bars: "800 mm,820 mm,810 mm"
    #[arg(long, value_name = "MM,MM,MM", value_parser = three_heights, group = "bars", help_heading = BARS)]
    front_arch: Option<pb::FrontArchHeights>,

    /// The length of a spring bar
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm, help_heading = BARS)]
    bar_length: Option<f64>,

    /// Height of the centre of mass: how far the front was lifted, suspension locked
    #[arg(long, value_name = "ANGLE", value_parser = read::angle_deg, help_heading = TILT,
          requires_all = ["level", "tilted_rear", "hub_height"])]
    tilt: Option<f64>,

    /// Loads on the front and the rear axle, level: "1250 kg,1010 kg"
    #[arg(long, value_name = "KG,KG", value_parser = two_masses, requires = "tilt", help_heading = TILT)]
    level: Option<(f64, f64)>,

    /// Load on the rear axle, front lifted
    #[arg(long, value_name = "MASS", value_parser = read::mass_kg, requires = "tilt", help_heading = TILT)]
    tilted_rear: Option<f64>,

    /// Loaded radius, at which both hubs stand when level
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm, requires = "tilt", help_heading = TILT)]
    hub_height: Option<f64>,
}

const BARS: &str = "Spring bars";
const TILT: &str = "A tilt weighing";

/// Reads quantities with commas between them. A comma between digits parts thousands: `1,364 kg`.
fn parts<const N: usize>(
    text: &str,
    one: fn(&str) -> Result<f64, ReadError>,
    example: &str,
) -> Result<[f64; N], ReadError> {
    let wrong = |why: &str| ReadError { why: why.to_owned(), next: format!("write it like {example}") };
    let mut found = Vec::with_capacity(N);
    let mut rest = String::new();
    for part in text.split(',') {
        if !rest.is_empty() {
            rest.push(',');
        }
        rest.push_str(part);
        // A part without a unit is the head of a number with its thousands parted.
        if part.trim().ends_with(|last: char| last.is_ascii_digit()) {
            continue;
        }
        found.push(one(rest.trim()).map_err(|error| wrong(&error.why))?);
        rest.clear();
    }
    if !rest.is_empty() {
        return Err(wrong("it ends without a unit"));
    }
    found.try_into().map_err(|_| wrong("it has too few or too many values"))
}

fn three_masses(text: &str) -> Result<pb::FrontAxleWeighings, ReadError> {
    let [unhitched, hitched, with] = parts(text, read::mass_kg, "1364 kg,1290 kg,1327 kg")?;
    Ok(pb::FrontAxleWeighings { unhitched_kg: Some(unhitched), hitched_kg: Some(hitched), with_bars_kg: Some(with) })
}

fn three_heights(text: &str) -> Result<pb::FrontArchHeights, ReadError> {
    let [unhitched, hitched, with] = parts(text, read::length_mm, "800 mm,820 mm,810 mm")?;
    Ok(pb::FrontArchHeights { unhitched_mm: Some(unhitched), hitched_mm: Some(hitched), with_bars_mm: Some(with) })
}

fn two_masses(text: &str) -> Result<(f64, f64), ReadError> {
    parts(text, read::mass_kg, "1250 kg,1010 kg").map(|[front, rear]| (front, rear))
}

impl AxlesArgs {
    fn request(self) -> Result<pb::AxleLoadsRequest, Stop> {
        use pb::spring_bar_setting::Setting;
        let setting = (self.restoration.map(Setting::RestorationShare))
            .or(self.couple.and_then(|couple| couple.value_n_m).map(Setting::CoupleNM))
            .or(self.bar_pull.map(Setting::BarPull))
            .or(self.front_weighed.map(Setting::Weighings))
            .or(self.front_arch.map(Setting::ArchHeights));
        let bars =
            setting.map(|setting| pb::SpringBarSetting { setting: Some(setting), bar_length_mm: self.bar_length });
        let tilt = self.tilt.map(|tilt| pb::TiltWeighing {
            tilt_deg: Some(tilt),
            front_level_kg: self.level.map(|(front, _)| front),
            rear_level_kg: self.level.map(|(_, rear)| rear),
            rear_tilted_kg: self.tilted_rear,
            loaded_radius_mm: self.hub_height,
        });
        Ok(pb::AxleLoadsRequest { plan: Some(self.plan.plan()?), spring_bars: bars, tilt })
    }
}

pub async fn run(args: AxlesArgs, context: &mut Context) -> Outcome {
    let request = context.call(args.request()?);
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
            Fact::many("before hitching", Kind::Load, [reply.front_before_kg, reply.rear_before_kg]),
            Fact::many("hitched", Kind::Load, [reply.front_kg, reply.rear_kg]),
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
            Fact::one("centre of mass above ground", Kind::Length, reply.mass_height_mm),
            Fact::one("added for good", Kind::Mass, reply.mass_added_kg),
            Fact::one("added mass above which a label is due", Kind::Allowed, reply.mass_label_limit_kg),
        ],
    );
    if let Some(bars) = &reply.spring_bars {
        draw_bars(bars, page);
    }
    if let Some(room) = &reply.tongue_room {
        super::rating::draw_links("room for tongue load", room, page);
    }
    draw_tyres(&reply.tyres, page);
    page.footing(&reply.cautions, &reply.basis, Some(reply.revision));
}

/// Shows the loads with the bars, and whether each axle holds with them and without.
fn draw_bars(bars: &pb::SpringBarLoads, page: &mut Page) {
    let stands = |holds: Option<bool>| match holds {
        Some(true) => Cell::marked("WITHIN", Mark::Good),
        Some(false) => Cell::marked("OVER", Mark::Bad),
        None => Cell::marked("UNKNOWN", Mark::Mind),
    };
    page.facts(
        "with the spring bars as set",
        &[""],
        vec![
            Fact::one("given back of what the front axle lost", Kind::Share, bars.restoration_share),
            Fact::one("couple of both bars", Kind::Torque, bars.couple_n_m),
            Fact::one("couple that would give back all", Kind::Torque, bars.full_couple_n_m),
            Fact::one("pull at the ends of both bars", Kind::Force, bars.bar_pull_n),
            Fact::one("front axle", Kind::Load, bars.front_kg),
            Fact::one("rear axle", Kind::Load, bars.rear_kg),
            Fact::one("trailer's axles", Kind::Load, bars.trailer_axles_kg),
            Fact::one("gained by the trailer's axles", Kind::Load, bars.trailer_gain_kg),
            Fact::one("left on the ball", Kind::Load, bars.net_hitch_kg),
        ],
    );
    page.line(stands(bars.front_holds), "front axle rating, with the bars");
    page.line(stands(bars.rear_holds), "rear axle rating, with the bars");
    page.line(stands(bars.rear_holds_slack), "rear axle rating, bars slack");
    if bars.over_restored {
        page.line(Cell::marked("TOO TIGHT", Mark::Bad), "more comes back to the front axle than hitching took");
    }
}

/// Shows what the tyres of each axle say and carry.
fn draw_tyres(tyres: &[pb::TyreReading], page: &mut Page) {
    let read = |value: Option<f64>| value.map_or(Value::None, |value| Some(value).into());
    let sizes = tyres.iter().map(|tyre| {
        vec![
            tyre.label.as_str().into(),
            tyre.designation.as_str().into(),
            read(tyre.diameter_mm),
            read(tyre.loaded_radius_mm),
            read(tyre.loaded_radius_low_mm),
            read(tyre.loaded_radius_high_mm),
        ]
    });
    page.table(
        &[
            Column::Words("tyres"),
            Column::Words("marked"),
            Column::Numbers("diameter", Kind::Length),
            Column::Numbers("loaded radius", Kind::Length),
            Column::Numbers("from", Kind::Length),
            Column::Numbers("to", Kind::Length),
        ],
        sizes.collect(),
    );
    let carried = tyres.iter().map(|tyre| {
        let fitted = match tyre.dual {
            Some(true) => "dual",
            Some(false) => "single",
            None => "",
        };
        let divided = if tyre.car_tyre_divided == Some(true) { "divided by 1.10" } else { "" };
        vec![
            tyre.label.as_str().into(),
            fitted.into(),
            tyre.each_kg.into(),
            tyre.tyres_kg.into(),
            tyre.wheels_kg.into(),
            divided.into(),
        ]
    });
    page.table(
        &[
            Column::Words("tyres"),
            Column::Words("fitted"),
            Column::Numbers("one", Kind::Allowed),
            Column::Numbers("all", Kind::Allowed),
            Column::Numbers("wheels", Kind::Allowed),
            Column::Words(""),
        ],
        carried.collect(),
    );
    let unknown = tyres.iter().filter(|tyre| !tyre.unknown_why.is_empty());
    page.notes(
        "what some tyres carry is not known",
        unknown.map(|tyre| (tyre.label.as_str(), tyre.unknown_why.clone())),
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_parted_by_commas_that_stand_behind_a_unit() {
        assert_eq!(two_masses("1250 kg,1010 kg"), Ok((1250.0, 1010.0)));
        assert_eq!(two_masses("1,250 kg, 1,010 kg"), Ok((1250.0, 1010.0)));
        let three = three_heights("800 mm,82 cm,810 mm").unwrap();
        assert_eq!((three.hitched_mm, three.with_bars_mm), (Some(820.0), Some(810.0)));
        for bad in ["1250 kg", "1250 kg,1010", "1250,1010 kg", "1 kg,2 kg,3 kg", "a,b", ""] {
            assert!(two_masses(bad).unwrap_err().next.contains("1250 kg,1010 kg"), "{bad}");
        }
    }
}
