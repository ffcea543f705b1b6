//! `baybook turning`: how far the tail swings out, and when vehicle and trailer touch.

use baybook_proto::v1::{self as pb, TurnContact};
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
  baybook turning --book deploy/demo/book --vehicle vehicles/van-l35 \\
    --receiver receivers/van-tuck --ball-mount ballmounts/two-in-drop-4 \\
    --trailer trailers/flatbed-2t --nose-point 'jack handle=-100 mm@250 mm'
  baybook turning --book deploy/demo/book --vehicle vehicles/van-l35 --turn-radius '6 m' \\
    --width '1900 mm' --rear-face '4670 mm' --tape-uncertainty '3 mm' \\
    --turn-radius-uncertainty '100 mm' --units si";

/// Which flag fills which field of the request, beside the plan's.
const FLAGS: &[(&str, &str)] = &[
    ("plan", "--plan or the plan's flags"),
    ("plan.vehicle", "--vehicle"),
    ("plan.receiver", "--receiver"),
    ("plan.ball_mount", "--ball-mount"),
    ("plan.trailer", "--trailer"),
    ("tail.width_mm", "--width"),
    ("tail.rear_face_station_mm", "--rear-face"),
    ("tail.turn_radius_mm", "--turn-radius"),
    ("nose.behind_ball_mm", "--nose-behind"),
    ("nose.width_mm", "--nose-width"),
    ("nose.points", "--nose-point"),
    ("tape_uncertainty_mm", "--tape-uncertainty"),
    ("turn_radius_uncertainty_mm", "--turn-radius-uncertainty"),
];

/// Work out how far the tail swings out in a turn, and at what angle vehicle and trailer touch
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct TurningArgs {
    /// Width of the body at its rear face, when it is not the entry's
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    width: Option<f64>,

    /// The rear face, bumper included, rearward of the front axle
    #[arg(long, value_name = "STATION", value_parser = read::length_mm)]
    rear_face: Option<f64>,

    /// Radius that the rear axle's centre drives on at full lock
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    turn_radius: Option<f64>,

    /// From the ball back to the front corners of the trailer's body
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    nose_behind: Option<f64>,

    /// Width of the trailer's body at its front
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    nose_width: Option<f64>,

    /// What else sticks out: how far behind the ball, and how far off the middle: "jack handle=-100 mm@250 mm"; may be
    /// repeated
    #[arg(long = "nose-point", value_name = "WHAT=BEHIND@ASIDE", value_parser = read::nose_point)]
    nose_points: Vec<pb::NosePoint>,

    /// How well lengths were measured; each figure then comes with its uncertainty: "3 mm"
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    tape_uncertainty: Option<f64>,

    /// How well the turning radius is known: "100 mm"
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    turn_radius_uncertainty: Option<f64>,

    #[command(flatten)]
    plan: PlanArgs,
}

pub async fn run(args: TurningArgs, context: &mut Context) -> Outcome {
    let tail = pb::VehicleTail {
        width_mm: args.width,
        rear_face_station_mm: args.rear_face,
        turn_radius_mm: args.turn_radius,
    };
    let nose =
        pb::TrailerNose { behind_ball_mm: args.nose_behind, width_mm: args.nose_width, points: args.nose_points };
    let request = context.call(pb::TurningRequest {
        plan: Some(args.plan.plan()?),
        tail: (tail != pb::VehicleTail::default()).then_some(tail),
        nose: (nose != pb::TrailerNose::default()).then_some(nose),
        tape_uncertainty_mm: args.tape_uncertainty,
        turn_radius_uncertainty_mm: args.turn_radius_uncertainty,
    });
    let reply = context.calculator().await?.turning(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, Flags(FLAGS)))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::TurningResponse, page: &mut Page) {
    let (word, mark, what) = match reply.contact() {
        TurnContact::Unspecified => {
            ("UNKNOWN", Mark::Mind, "at what angle they touch could not be worked out".to_owned())
        }
        TurnContact::None => ("CLEAR", Mark::Good, "up to 135°".to_owned()),
        TurnContact::CornerOnRear => ("TOUCHES", Mark::Bad, "the trailer's corner on the vehicle's rear".to_owned()),
        TurnContact::VehicleOnFront => ("TOUCHES", Mark::Bad, "the vehicle's corner on the trailer's front".to_owned()),
        TurnContact::CornerOnSide => ("TOUCHES", Mark::Bad, "the trailer's corner on the vehicle's side".to_owned()),
        TurnContact::VehicleOnSide => ("TOUCHES", Mark::Bad, "the vehicle's corner on the trailer's side".to_owned()),
        TurnContact::Point => ("TOUCHES", Mark::Bad, format!("{} on the vehicle", reply.point)),
    };
    let angle =
        reply.contact_deg.map_or_else(String::new, |angle| format!("at {}, ", page.units().say(Kind::Opening, angle)));
    page.line(Cell::marked(format!("tight turn: {word}"), mark), &format!("{angle}{what}"));
    let rows = [
        ("swing of the body's corner", reply.body_swing_mm, reply.body_swing_uncertainty_mm),
        ("the same, ball mount as a corner", reply.ball_mount_swing_mm, reply.ball_mount_swing_uncertainty_mm),
        ("what the ball mount adds", reply.swing_gain_mm, None),
        (
            if reply.cab_gap_mm.is_some() { "cab's back to pin" } else { "rear face to ball" },
            reply.face_to_ball_mm,
            None,
        ),
        ("room between cab and nose", reply.cab_gap_mm, None),
    ];
    let number = |value: Option<f64>| value.map_or(Value::None, |value| Some(value).into());
    let known = rows.into_iter().filter(|(_, value, _)| value.is_some());
    let rows: Vec<Vec<Value>> = known.map(|(name, value, off)| vec![name.into(), number(value), number(off)]).collect();
    if !rows.is_empty() {
        page.table(
            &[Column::Words("from above"), Column::Numbers("", Kind::Gap), Column::Numbers("±", Kind::Gap)],
            rows,
        );
    }
    if let Some(angle) = reply.corner_reaches_deg {
        let there = if reply.corner_meets == Some(true) { "meets it there" } else { "swings past it" };
        let face = if reply.cab_gap_mm.is_some() { "cab's back" } else { "rear face" };
        let row = vec![
            format!("trailer's corner on the line of the {face}; {there}").into(),
            Some(angle).into(),
            number(reply.corner_reaches_uncertainty_deg),
        ];
        page.table(
            &[Column::Words("articulation"), Column::Numbers("", Kind::Opening), Column::Numbers("±", Kind::AngleOff)],
            vec![row],
        );
    }
    page.footing(&reply.cautions, &reply.basis, Some(reply.revision));
}
