//! `baybook tongue`: what presses on the ball, and how to move it.

use baybook_proto::v1::{self as pb, weigh_tongue_request::Method};
use clap::{Args, ValueEnum};

use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Column, Fact, Page, Value},
    people::Kind,
    read,
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook tongue --trailer-mass '2000 kg' --coupler-to-axle '4300 mm' --centre '4000 mm' \\
    --move 'pallet=150 kg@5000 mm>2500 mm' --target '10.5 %' --regime ball-north-america
  baybook tongue --support '305 mm' --scale '610 mm' --reading '95 kg' --trailer-mass '1900 kg'";

const FLAGS: Flags = Flags(&[
    ("balance", "--centre"),
    ("lever", "--reading"),
    ("lever.support_to_coupler_mm", "--support"),
    ("lever.coupler_to_scale_mm", "--scale"),
    ("trailer_mass", "--trailer-mass"),
    ("coupler_to_axle_mm", "--coupler-to-axle"),
    ("moves", "--move"),
    ("target_share", "--target"),
    ("printed_min_share", "--printed-min"),
    ("printed_max_share", "--printed-max"),
    ("static_load_limit", "--static-load-limit"),
]);

/// Work out a trailer's tongue load from its balance or from a weighing
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct TongueArgs {
    /// The trailer's mass as loaded
    #[arg(long, value_name = "MASS", value_parser = read::mass)]
    trailer_mass: Option<pb::Mass>,

    /// Coupler to the centre of the axle or axle group
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    coupler_to_axle: Option<f64>,

    /// Coupler to the centre of mass: the tongue load from the balance
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm, conflicts_with_all = ["support", "scale", "reading"])]
    centre: Option<f64>,

    /// Weighing on a lever: support to the coupler's line
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    support: Option<f64>,

    /// Weighing on a lever: the coupler's line to the scale
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    scale: Option<f64>,

    /// Weighing on a lever: what the scale reads
    #[arg(long, value_name = "MASS", value_parser = read::mass_kg)]
    reading: Option<f64>,

    /// Cargo that moves, behind the coupler: "pallet=150 kg@5000 mm>2500 mm"; may be repeated
    #[arg(long = "move", value_name = "WHAT=MASS@FROM>TO", value_parser = cargo_move)]
    moves: Vec<pb::CargoMove>,

    /// The tongue share to aim for
    #[arg(long, value_name = "SHARE", value_parser = read::share)]
    target: Option<f64>,

    /// How the trailer hangs on: it names the trade's window
    #[arg(long, value_name = "REGIME")]
    regime: Option<Regime>,

    /// The least share that the trailer's maker prints
    #[arg(long, value_name = "SHARE", value_parser = read::share)]
    printed_min: Option<f64>,

    /// The greatest share that the trailer's maker prints
    #[arg(long, value_name = "SHARE", value_parser = read::share)]
    printed_max: Option<f64>,

    /// The lowest static load S printed on vehicle, bracket or coupler
    #[arg(long, value_name = "MASS", value_parser = read::mass)]
    static_load_limit: Option<pb::Mass>,
}

/// How a trailer hangs on.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Regime {
    /// Ball coupling in North America
    BallNorthAmerica,
    /// Fifth wheel or gooseneck
    FifthWheel,
    /// Centre-axle trailer in Europe
    CentreAxleEurope,
}

/// Reads `pallet=150 kg@5000 mm>2500 mm`.
fn cargo_move(text: &str) -> Result<pb::CargoMove, read::ReadError> {
    const EXAMPLE: &str = "pallet=150 kg@5000 mm>2500 mm";
    let wrong = |why: &str| read::ReadError { why: why.to_owned(), next: format!("write it like {EXAMPLE}") };
    let (before, to) = text.rsplit_once('>').ok_or_else(|| wrong("it has no '>' between where from and where to"))?;
    let item = read::item(before).map_err(|error| wrong(&error.why))?;
    let from = item.station_mm.ok_or_else(|| wrong("it has no '@' before where it stood"))?;
    Ok(pb::CargoMove {
        label: item.label,
        mass_kg: item.mass.and_then(|mass| mass.value_kg),
        from_mm: Some(from),
        to_mm: Some(read::length_mm(to).map_err(|error| wrong(&error.why))?),
    })
}

pub async fn run(args: TongueArgs, context: &mut Context) -> Outcome {
    let lever = args.support.or(args.scale).or(args.reading).map(|_| {
        Method::Lever(pb::LeverWeighing {
            support_to_coupler_mm: args.support,
            coupler_to_scale_mm: args.scale,
            reading_kg: args.reading,
        })
    });
    let balance = args.centre.map(|centre| Method::Balance(pb::TrailerBalance { coupler_to_centre_mm: Some(centre) }));
    let request = context.call(pb::WeighTongueRequest {
        method: balance.or(lever),
        trailer_mass: args.trailer_mass,
        coupler_to_axle_mm: args.coupler_to_axle,
        moves: args.moves,
        target_share: args.target,
        regime: match args.regime {
            None => pb::TongueRegime::Unspecified,
            Some(Regime::BallNorthAmerica) => pb::TongueRegime::BallNorthAmerica,
            Some(Regime::FifthWheel) => pb::TongueRegime::FifthWheel,
            Some(Regime::CentreAxleEurope) => pb::TongueRegime::CentreAxleEurope,
        }
        .into(),
        printed_min_share: args.printed_min,
        printed_max_share: args.printed_max,
        static_load_limit: args.static_load_limit,
    });
    let reply = context.calculator().await?.weigh_tongue(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::WeighTongueResponse, page: &mut Page) {
    page.facts(
        "trailer",
        &[""],
        vec![
            Fact::one("tongue load", Kind::Load, reply.tongue_kg),
            Fact::one("tongue load over trailer mass", Kind::Share, reply.tongue_share),
            Fact::one("on the trailer's axles", Kind::Load, reply.axle_kg),
            Fact::one("tongue load after the moves", Kind::Load, reply.tongue_after_kg),
            Fact::one("share after the moves", Kind::Share, reply.tongue_after_share),
            Fact::one("tongue load at the target", Kind::Load, reply.tongue_for_target_kg),
            Fact::one("centre of mass for the target, behind the coupler", Kind::Length, reply.centre_for_target_mm),
            Fact::one("whole load still to go forward", Kind::Length, reply.forward_for_target_mm),
        ],
    );
    let rows = reply.moves.iter().map(|it| vec![it.label.as_str().into(), it.tongue_kg.into()]).collect();
    page.table(&[Column::Words("moved"), Column::Numbers("tongue load gains", Kind::Mass)], rows);
    if let Some(window) = &reply.window {
        draw_window(window, page);
    }
    page.footing(&reply.cautions, &reply.basis, Some(reply.revision));
}

/// Draws a tongue window: where it begins and ends, by whom, and how the share stands to it.
pub fn draw_window(window: &pb::TongueWindow, page: &mut Page) {
    let lead = match window.standing() {
        pb::WindowStanding::Inside => Cell::marked("WITHIN", Mark::Good),
        pb::WindowStanding::Below => Cell::marked("TOO LIGHT", Mark::Bad),
        pb::WindowStanding::Above => Cell::marked("TOO HEAVY", Mark::Bad),
        pb::WindowStanding::Empty => Cell::marked("NO ROOM", Mark::Bad),
        pb::WindowStanding::Unspecified => Cell::marked("UNKNOWN", Mark::Mind),
    };
    page.line(lead, "share of the tongue load in its window");
    let end = |name: &str, share: Option<f64>, kg: Option<f64>, by: &str| match share {
        Some(share) => vec![name.into(), Some(share).into(), kg.into(), by.into()],
        None => vec![name.into(), Value::None, Value::None, "nobody says".into()],
    };
    page.table(
        &[
            Column::Words("window"),
            Column::Numbers("share", Kind::Share),
            Column::Numbers("load", Kind::Mass),
            Column::Words("by"),
        ],
        vec![
            end("least", window.least_share, window.least_kg, &window.least_by),
            end("greatest", window.most_share, window.most_kg, &window.most_by),
        ],
    );
}

#[cfg(test)]
mod tests {
    use super::cargo_move;

    #[test]
    fn a_move_says_what_how_much_from_where_to_where() {
        let read = cargo_move("pallet = 150 kg @ 5 m > 2500 mm").unwrap();
        assert_eq!((read.label.as_str(), read.mass_kg), ("pallet", Some(150.0)));
        assert_eq!((read.from_mm, read.to_mm), (Some(5000.0), Some(2500.0)));
        for bad in ["pallet=150 kg@5 m", "pallet=150 kg>2 m", "150 kg@5 m>2 m", "pallet=150@5 m>2 m", "p=1 kg@5>2 m"] {
            assert!(cargo_move(bad).is_err(), "{bad}");
        }
    }
}
