//! `baybook clearance`: angles and lowest points.

use std::{io::Write as _, path::PathBuf};

use baybook_proto::v1 as pb;
use clap::Args;

use crate::{
    args::plan::{self, PlanArgs},
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    out,
    page::{Column, Fact, Page, Value},
    people::Kind,
    read,
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook clearance --book deploy/demo/book --vehicle vehicles/van-l35 \\
    --receiver receivers/van-tuck --replaced-receiver receivers/van-low \\
    --ball-mount ballmounts/two-in-drop-4 --ball balls/two-in-6000 \\
    --trailer trailers/flatbed-2t --trailer-mass '1500 kg' --tongue '160 kg' \\
    --item 'crew=170 kg@1400 mm' --item 'cargo=400 kg@3300 mm'
  baybook clearance --book deploy/demo/book --vehicle vehicles/van-l35 \\
    --receiver receivers/van-low --tape-uncertainty '3 mm' --units si --drawing side.svg";

/// Work out approach, departure and ramp angles, and the drop that levels the trailer
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct ClearanceArgs {
    #[command(flatten)]
    plan: PlanArgs,

    /// How well heights were measured; each angle then comes with its uncertainty: "3 mm"
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    tape_uncertainty: Option<f64>,

    /// Free radius of the front wheels; the approach angle then comes by that arc too
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    front_free_radius: Option<f64>,

    /// Free radius of the rear wheels; the departure angle then comes by that arc too
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    rear_free_radius: Option<f64>,

    /// How well the sag is known; with the tape's it goes into the ± of the drop: "10 mm"
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    sag_uncertainty: Option<f64>,

    /// Show the measures of the off-road classes
    #[arg(long)]
    off_road: bool,

    /// Write the states from the side, with their angles, to this file, as SVG
    #[arg(long, value_name = "FILE")]
    drawing: Option<PathBuf>,
}

pub async fn run(args: ClearanceArgs, context: &mut Context) -> Outcome {
    let message = pb::ClearancesRequest {
        plan: Some(args.plan.plan()?),
        tape_uncertainty_mm: args.tape_uncertainty,
        front_free_radius_mm: args.front_free_radius,
        rear_free_radius_mm: args.rear_free_radius,
        sag_uncertainty_mm: args.sag_uncertainty,
        drawing: args.drawing.is_some(),
    };
    let request = context.call(message);
    let reply = context.calculator().await?.clearances(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, Flags(plan::FLAGS)))?;
    let mut reply = reply.into_inner();
    if let Some(path) = &args.drawing {
        // The file is the drawing; the reply need not hold it a second time.
        let drawing = std::mem::take(&mut reply.drawing_svg);
        let mut file = out::file(path)?;
        let written = file.write_all(drawing.as_bytes()).and_then(|()| file.flush());
        written.map_err(|error| Failure::file("written", path, &error))?;
        out::talk(&format!("wrote the drawing to {}", path.display()));
    }
    context.out.show(&reply, |page| draw(&reply, args.off_road, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::ClearancesResponse, off_road: bool, page: &mut Page) {
    let rows = reply.states.iter().map(|state| {
        let degrees = |angle: &Option<pb::ClearanceAngle>| Value::Number(angle.as_ref().and_then(|it| it.angle_deg));
        vec![
            state.label.as_str().into(),
            degrees(&state.approach),
            degrees(&state.departure),
            degrees(&state.ramp),
            Value::Number(state.lowest.as_ref().and_then(|point| point.height_mm)),
        ]
    });
    page.table(
        &[
            Column::Words("state"),
            Column::Numbers("approach", Kind::Opening),
            Column::Numbers("departure", Kind::Opening),
            Column::Numbers("ramp", Kind::Opening),
            Column::Numbers("lowest", Kind::Length),
        ],
        rows.collect(),
    );
    for state in &reply.states {
        draw_state(state, page);
    }
    by_free_radius(&reply.states, page);
    page.facts(
        "laden, and the trailer",
        &[""],
        vec![
            Fact::one("sag at the front axle", Kind::Length, reply.front_sag_mm),
            Fact::one("sag at the rear axle", Kind::Length, reply.rear_sag_mm),
            Fact::one("pitch of the vehicle, nose up", Kind::Angle, reply.pitch_deg),
            Fact::one("ball top above ground", Kind::Length, reply.ball_height_laden_mm),
            Fact::one("ball top less the coupler's level height", Kind::Length, reply.ball_off_level_mm),
            Fact::one("ball-mount drop that levels the trailer", Kind::Length, reply.drop_to_level_mm),
            Fact::one("the same from a sum without sag", Kind::Length, reply.drop_without_sag_mm),
            Fact::one("± of that drop", Kind::Length, reply.drop_uncertainty_mm),
            Fact::one("pitch of the trailer, nose up", Kind::Angle, reply.trailer_pitch_deg),
            Fact::one("± of that pitch", Kind::AngleOff, reply.trailer_pitch_uncertainty_deg),
        ],
    );
    for window in &reply.ball_windows {
        draw_window(window, page);
    }
    if off_road {
        for state in &reply.states {
            draw_off_road(state, page);
        }
    }
    page.footing(&reply.cautions, &reply.basis, Some(reply.revision));
}

/// Shows where the lines of one state touch.
fn draw_state(state: &pb::ClearanceState, page: &mut Page) {
    let angles = [("approach", &state.approach), ("departure", &state.departure), ("ramp", &state.ramp)];
    let angles: Vec<(&str, &pb::ClearanceAngle)> =
        angles.into_iter().filter_map(|(name, angle)| Some((name, angle.as_ref()?))).collect();
    let measured = angles.iter().any(|(_, angle)| angle.uncertainty_deg.is_some());
    let point = |at: Option<&pb::ClearancePoint>| {
        let number = |value: Option<f64>| value.map_or(Value::None, |value| Some(value).into());
        [
            at.map_or("", |at| at.label.as_str()).into(),
            number(at.and_then(|at| at.station_mm)),
            number(at.and_then(|at| at.height_mm)),
        ]
    };
    let mut rows: Vec<Vec<Value>> = Vec::new();
    for (name, angle) in angles {
        let mut row: Vec<Value> = vec![name.into(), angle.angle_deg.into()];
        if measured {
            row.push(angle.uncertainty_deg.map_or(Value::None, |off| Some(off).into()));
        }
        row.extend(point(angle.at.as_ref()));
        rows.push(row);
    }
    if let Some(lowest) = &state.lowest {
        let mut row: Vec<Value> = vec!["lowest point".into(), Value::None];
        if measured {
            row.push(Value::None);
        }
        row.extend(point(Some(lowest)));
        rows.push(row);
    }
    let mut columns = vec![Column::Words("touches"), Column::Numbers("angle", Kind::Opening)];
    if measured {
        columns.push(Column::Numbers("±", Kind::AngleOff));
    }
    columns.extend([
        Column::Words("where"),
        Column::Numbers("station", Kind::Length),
        Column::Numbers("height", Kind::Length),
    ]);
    page.title(&state.label);
    page.table(&columns, rows);
}

/// Shows the angles by the free radius, where it was given.
fn by_free_radius(states: &[pb::ClearanceState], page: &mut Page) {
    let free = |angle: &Option<pb::ClearanceAngle>| {
        let free = angle.as_ref().and_then(|angle| angle.free_radius_deg);
        free.map_or(Value::None, |free| Some(free).into())
    };
    let given = states.iter().filter(|state| {
        [&state.approach, &state.departure].into_iter().flatten().any(|angle| angle.free_radius_deg.is_some())
    });
    let rows: Vec<Vec<Value>> =
        given.map(|state| vec![state.label.as_str().into(), free(&state.approach), free(&state.departure)]).collect();
    if rows.is_empty() {
        return;
    }
    page.title("by the free radius, the less cautious arc");
    page.table(
        &[
            Column::Words("state"),
            Column::Numbers("approach", Kind::Opening),
            Column::Numbers("departure", Kind::Opening),
        ],
        rows,
    );
}

fn draw_window(window: &pb::BallWindow, page: &mut Page) {
    let (word, mark) = match window.standing() {
        pb::BallStanding::Inside => ("INSIDE", Mark::Good),
        pb::BallStanding::Exempt => ("EXEMPT", Mark::Good),
        pb::BallStanding::TooLow => ("TOO LOW", Mark::Bad),
        pb::BallStanding::TooHigh => ("TOO HIGH", Mark::Bad),
        pb::BallStanding::Unknown | pb::BallStanding::Unspecified => ("OUTSIDE UNLESS EXEMPT", Mark::Mind),
    };
    let units = page.units();
    let say = |value: Option<f64>| value.map_or_else(String::new, |value| units.say(Kind::Length, value));
    let off = window.off_mm.map_or_else(String::new, |off| format!(", off by {}", units.say(Kind::Length, off)));
    let rest = format!("window {} to {}{off}", say(window.low_mm), say(window.high_mm));
    page.line(Cell::marked(format!("ball height, {}: {word}", window.jurisdiction), mark), &rest);
}

fn draw_off_road(state: &pb::ClearanceState, page: &mut Page) {
    for test in &state.off_road {
        let class = match test.off_road_class() {
            pb::OffRoadClass::Unspecified => "",
            pb::OffRoadClass::EuropeanG => "European class G",
            pb::OffRoadClass::UsLightTruck => "US light truck",
        };
        let (word, mark) = match test.holds {
            Some(true) => ("HOLDS", Mark::Good),
            Some(false) => ("DOES NOT HOLD", Mark::Bad),
            None => ("UNDECIDED", Mark::Mind),
        };
        let count = |count: Option<i32>| count.unwrap_or_default();
        let rest =
            format!("{} of {} measures needed, {}", count(test.held_count), count(test.needed_count), state.label);
        page.line(Cell::marked(format!("{class}: {word}"), mark), &rest);
        let rows = test.items.iter().map(|item| {
            let holds = item.holds.map_or("unknown", |holds| if holds { "yes" } else { "no" });
            let number = |value: Option<f64>, of_kind: Option<f64>| match of_kind {
                Some(_) => value.into(),
                None => Value::None,
            };
            vec![
                item.label.as_str().into(),
                holds.into(),
                number(item.angle_deg, item.least_angle_deg),
                number(item.least_angle_deg, item.least_angle_deg),
                number(item.clearance_mm, item.least_clearance_mm),
                number(item.least_clearance_mm, item.least_clearance_mm),
            ]
        });
        page.table(
            &[
                Column::Words("measure"),
                Column::Words("holds"),
                Column::Numbers("angle", Kind::Opening),
                Column::Numbers("least", Kind::Opening),
                Column::Numbers("clearance", Kind::Length),
                Column::Numbers("least", Kind::Length),
            ],
            rows.collect(),
        );
    }
}
