//! `baybook tighten`: in which order and in which passes to tighten the bolts of a joint.

use std::{io::Write as _, path::PathBuf};

use baybook_proto::v1::{self as pb, plan_tightening_request::Layout};
use clap::{ArgGroup, Args, ValueEnum};

use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    out,
    page::{Column, Page},
    people::Kind,
    read::{self, ReadError},
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook tighten --circle 8 --steps 30-70-100 --torque '79 N·m' --check-rounds 2
  baybook tighten --at '0 mm,0 mm' --at '160 mm,0 mm' --at '160 mm,60 mm' --at '0 mm,60 mm' \\
    --steps 70-100 --torque '75 lb-ft' --drawing order.svg";

const FLAGS: Flags = Flags(&[
    ("circle_count", "--circle"),
    ("row_count", "--row"),
    ("grid", "--grid"),
    ("spots", "--at"),
    ("steps", "--steps"),
    ("torque", "--torque"),
    ("check_round_count", "--check-rounds"),
]);

const USAGE: &str = "baybook tighten [OPTIONS] --steps <STEPS> <--circle|--row|--grid|--at>";

/// Tell the order and the passes of a tightening, and draw them
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES, group = ArgGroup::new("layout").required(true), override_usage = USAGE)]
pub struct TightenArgs {
    /// Bolts on a circle, numbered around it: how many
    #[arg(long, value_name = "COUNT", group = "layout")]
    circle: Option<i32>,

    /// Bolts in a straight row, numbered along it: how many
    #[arg(long, value_name = "COUNT", group = "layout")]
    row: Option<i32>,

    /// Bolts in rows and columns, numbered along the rows: 2x3
    #[arg(long, value_name = "ROWSxCOLUMNS", group = "layout", value_parser = grid)]
    grid: Option<pb::BoltGrid>,

    /// Where a bolt lies, to the right and upward: "160 mm,60 mm"; once for each bolt
    #[arg(long, value_name = "X,Y", group = "layout", value_parser = spot)]
    at: Vec<pb::BoltSpot>,

    /// In how many steps
    #[arg(long, value_name = "STEPS")]
    steps: Steps,

    /// The full torque at the fastener: "79 N·m", "75 lb-ft"
    #[arg(long, value_name = "TORQUE", value_parser = read::torque)]
    torque: Option<pb::Torque>,

    /// Rounds at the full torque after the last step, in which nothing may move; without it, one after three steps
    #[arg(long, value_name = "COUNT")]
    check_rounds: Option<i32>,

    /// Write the numbered drawing to this file, as SVG
    #[arg(long, value_name = "FILE")]
    drawing: Option<PathBuf>,
}

/// In how many steps a joint is brought to its torque.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum Steps {
    /// At once
    Single,
    /// 30 %, 70 %, 100 %
    #[value(name = "30-70-100")]
    ThirtySeventyHundred,
    /// 70 %, then 100 %, when the torque is over 41 N·m; else at once
    #[value(name = "70-100")]
    SeventyHundred,
    /// 50 %, 80 %, 100 %
    #[value(name = "50-80-100")]
    FiftyEightyHundred,
}

impl From<Steps> for pb::TighteningSteps {
    fn from(steps: Steps) -> Self {
        match steps {
            Steps::Single => Self::Single,
            Steps::ThirtySeventyHundred => Self::ThirtySeventyHundred,
            Steps::SeventyHundred => Self::SeventyHundred,
            Steps::FiftyEightyHundred => Self::FiftyEightyHundred,
        }
    }
}

/// Reads rows and columns, `2x3`.
pub fn grid(read: &str) -> Result<pb::BoltGrid, ReadError> {
    let parts = read.split_once(['x', 'X', '×']);
    let parts = parts.and_then(|(rows, columns)| Some((rows.trim().parse().ok()?, columns.trim().parse().ok()?)));
    let Some((rows, columns)) = parts else {
        return Err(ReadError {
            why: "it is not rows and columns with an x between them".to_owned(),
            next: "write it like 2x3".to_owned(),
        });
    };
    Ok(pb::BoltGrid { row_count: Some(rows), column_count: Some(columns) })
}

/// Reads where a bolt lies, `160 mm,60 mm`.
pub fn spot(read: &str) -> Result<pb::BoltSpot, ReadError> {
    const EXAMPLE: &str = "write it like 160 mm,60 mm";
    let Some((x, y)) = read.split_once(',') else {
        return Err(ReadError { why: "it has no comma between the two lengths".to_owned(), next: EXAMPLE.to_owned() });
    };
    let part = |text| read::length_mm(text).map_err(|error| ReadError { why: error.why, next: EXAMPLE.to_owned() });
    Ok(pb::BoltSpot { x_mm: Some(part(x)?), y_mm: Some(part(y)?) })
}

impl TightenArgs {
    fn request(&self) -> pb::PlanTighteningRequest {
        let spots = (!self.at.is_empty()).then(|| Layout::Spots(pb::BoltSpots { spots: self.at.clone() }));
        let layout = (self.circle.map(Layout::CircleCount))
            .or(self.row.map(Layout::RowCount))
            .or(self.grid.map(Layout::Grid))
            .or(spots);
        pb::PlanTighteningRequest {
            layout,
            steps: pb::TighteningSteps::from(self.steps).into(),
            torque: self.torque.clone(),
            check_round_count: self.check_rounds,
            drawing: self.drawing.is_some(),
        }
    }
}

pub async fn run(args: TightenArgs, context: &mut Context) -> Outcome {
    let request = context.call(args.request());
    let reply = context.calculator().await?.plan_tightening(request).await;
    let mut reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    if let Some(path) = &args.drawing {
        // The file is the drawing; the reply need not hold it a second time.
        let drawing = std::mem::take(&mut reply.drawing_svg);
        let mut file = out::file(path)?;
        let written = file.write_all(drawing.as_bytes()).and_then(|()| file.flush());
        written.map_err(|error| Failure::file("written", path, &error))?;
        out::talk(&format!("wrote the drawing to {}", path.display()));
    }
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::PlanTighteningResponse, page: &mut Page) {
    let order: Vec<String> = reply.order_position.iter().map(ToString::to_string).collect();
    page.notes("order in each pass, by bolt number", [("", order.join(", "))]);
    let rows = reply.passes.iter().map(|pass| {
        let what = if pass.check_only { "check: nothing turns any more" } else { "tighten every bolt" };
        let torque = match pass.step_n_m {
            Some(torque) => Some(torque).into(),
            None => crate::page::Value::None,
        };
        vec![pass.pass.to_string().into(), what.into(), pass.of_full_share.into(), torque]
    });
    page.table(
        &[
            Column::Words("pass"),
            Column::Words(""),
            Column::Numbers("of the full", Kind::Share),
            Column::Numbers("torque", Kind::Torque),
        ],
        rows.collect(),
    );
    if let Some(count) = reply.tool_operation_count {
        page.line(Cell::marked(count.to_string(), Mark::Strong), "times a tool is put on a bolt");
    }
    page.footing(&reply.cautions, &reply.basis, None);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grids_and_spots_are_read_with_their_units() {
        assert_eq!(grid("2x3"), Ok(pb::BoltGrid { row_count: Some(2), column_count: Some(3) }));
        assert!(grid("2 by 3").is_err() && grid("2x").is_err());
        assert_eq!(spot("-1 in, 60 mm"), Ok(pb::BoltSpot { x_mm: Some(-25.4), y_mm: Some(60.0) }));
        for bad in ["160,60", "160 mm", "160 mm;60 mm", "1 kg,60 mm"] {
            assert!(spot(bad).unwrap_err().next.contains("160 mm,60 mm"), "{bad}");
        }
    }
}
