//! `baybook angle`: through which angle to turn, or what preload an angle makes.

use baybook_proto::v1::{self as pb, turn_angle_request::Aim};
use clap::{ArgGroup, Args};

use crate::{
    args::YesNo,
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Fact, Page},
    people::Kind,
    read,
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook angle --book deploy/demo/book --bolt bolts/m12-88-40 --bolt-stiffness '666 kN/mm' \\
    --parts-stiffness '2498 kN/mm' --preload '40 kN'
  baybook angle --thread '3/4-10 UNC' --class 'SAE 5' --length '5 in' --structural yes \\
    --bolt-stiffness '450 kN/mm' --parts-stiffness '1800 kN/mm' --turn '20 deg'";

const USAGE: &str = "\
baybook angle [OPTIONS] <--bolt|--thread> --bolt-stiffness <RATE>
           --parts-stiffness <RATE> <--preload|--turn>";

const FLAGS: Flags = Flags(&[
    ("bolt", "--bolt or --thread"),
    ("bolt.thread", "--thread"),
    ("bolt.property_class", "--class"),
    ("bolt.length", "--length"),
    ("bolt_n_per_mm", "--bolt-stiffness"),
    ("parts_n_per_mm", "--parts-stiffness"),
    ("preload", "--preload"),
    ("turn_deg", "--turn"),
    ("structural", "--structural"),
]);

/// Work out a turn from snug for a preload, or the preload of a turn
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES, group = ArgGroup::new("aim").required(true), override_usage = USAGE)]
pub struct AngleArgs {
    /// The bolt, by its entry: bolts/m12-88-40
    #[arg(long, value_name = "NAME", required_unless_present = "thread", conflicts_with_all = ["thread", "class", "length"])]
    bolt: Option<String>,

    /// The bolt's thread instead: M12, "3/4-10 UNC"
    #[arg(long, value_name = "THREAD", requires = "class")]
    thread: Option<String>,

    /// The bolt's class or grade: 8.8, "SAE 5"
    #[arg(long, value_name = "CLASS", requires = "thread")]
    class: Option<String>,

    /// The bolt's length under the head: "5 in"
    #[arg(long, value_name = "LENGTH", requires = "thread", value_parser = read::length_mm)]
    length: Option<f64>,

    /// How stiff the bolt is, as `baybook joint` tells: "666 kN/mm"
    #[arg(long, value_name = "RATE", value_parser = read::parts::rate)]
    bolt_stiffness: f64,

    /// How stiff the clamped parts are: "2498 kN/mm"
    #[arg(long, value_name = "RATE", value_parser = read::parts::rate)]
    parts_stiffness: f64,

    /// The preload that is wanted: "40 kN"
    #[arg(long, value_name = "FORCE", group = "aim", value_parser = read::force)]
    preload: Option<pb::Force>,

    /// Or the turn from snug that is made: "20 deg"
    #[arg(long, value_name = "ANGLE", group = "aim", value_parser = read::angle_deg)]
    turn: Option<f64>,

    /// Whether it is an assembly of inch structural bolts, whose printed turns are then told beside
    #[arg(long, value_name = "ANSWER")]
    structural: Option<YesNo>,
}

pub async fn run(args: AngleArgs, context: &mut Context) -> Outcome {
    let bolt = match args.bolt {
        Some(name) => pb::bolt_ref::Bolt::Name(name),
        None => pb::bolt_ref::Bolt::Spec(Box::new(pb::Bolt {
            thread: args.thread.unwrap_or_default(),
            property_class: args.class.unwrap_or_default(),
            length: args.length.map(|mm| pb::Length { value_mm: Some(mm), printed: String::new() }),
            ..pb::Bolt::default()
        })),
    };
    let request = context.call(pb::TurnAngleRequest {
        bolt: Some(pb::BoltRef { bolt: Some(bolt) }),
        bolt_n_per_mm: Some(args.bolt_stiffness),
        parts_n_per_mm: Some(args.parts_stiffness),
        aim: args.preload.map(Aim::Preload).or(args.turn.map(Aim::TurnDeg)),
        structural: args.structural.map(bool::from),
    });
    let reply = context.calculator().await?.turn_angle(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::TurnAngleResponse, page: &mut Page) {
    if let (Some(turn), Some(preload)) = (reply.turn_deg, reply.preload_n) {
        let (turn, preload) = (page.units().say(Kind::Angle, turn), page.units().say(Kind::Force, preload));
        page.line(Cell::marked("turn from snug", Mark::Strong), &format!("{turn} for {preload}"));
    }
    page.facts(
        "the turn",
        &[""],
        vec![
            Fact::one("stretches the bolt", Kind::Angle, reply.bolt_turn_deg),
            Fact::one("squeezes the parts", Kind::Angle, reply.parts_turn_deg),
            Fact::one("reaches proof at", Kind::Angle, reply.proof_turn_deg),
            Fact::one("yields at", Kind::Angle, reply.yield_turn_deg),
            Fact::one("printed for structural bolts", Kind::Angle, reply.structural_turn_deg),
        ],
    );
    page.facts("preload", &[""], vec![Fact::one("of the proof load", Kind::Share, reply.proof_share)]);
    page.footing(&reply.cautions, &reply.basis, Some(reply.revision));
}
