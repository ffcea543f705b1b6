//! Orders and passes of tightening: questions from the wire, answers to it.

use baybook_core::{
    calc::passes::{
        PassPlan, Pattern,
        plan::{self, Layout, PlanInput, TighteningPlan},
        positions::{POSITION, order_of},
    },
    draw::tightening::{TighteningSheet, svg},
    units::{Length, Torque},
};
use baybook_proto::v1::{self as pb, plan_tightening_request::Layout as Laid};

use super::{
    Fields, FromWire,
    basis::{basis_to_wire, caution},
    fastener::BOLTS_MAX,
    ranges,
};

/// The most check rounds.
pub const ROUNDS_MAX: i32 = 4;

/// A question in which order and passes to tighten.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanTightening {
    /// What the calculator needs.
    pub input: PlanInput,
    /// Whether a drawing is wanted.
    pub drawing: bool,
}

impl FromWire for PlanTightening {
    type Wire = pb::PlanTighteningRequest;

    fn from_wire(wire: &pb::PlanTighteningRequest, fields: &mut Fields) -> Option<Self> {
        let layout = layout(wire.layout.as_ref(), fields);
        let steps = fields.needed_choice("steps", wire.steps, steps);
        let torque = fields.torque("torque", wire.torque.as_ref(), &ranges::TORQUE);
        if steps == Some(PassPlan::SeventyHundred) && wire.torque.is_none() {
            fields.reject("torque", "is required: these steps are two above 41 N·m and one below");
        }
        let rounds = fields.count("check_round_count", wire.check_round_count, 0, ROUNDS_MAX);
        let check_rounds = rounds.and_then(|rounds| u32::try_from(rounds).ok());
        Some(Self { input: PlanInput { layout: layout?, steps: steps?, torque, check_rounds }, drawing: wire.drawing })
    }
}

/// Returns in how many steps; nothing when nobody says.
pub const fn steps(steps: pb::TighteningSteps) -> Option<PassPlan> {
    match steps {
        pb::TighteningSteps::Unspecified => None,
        pb::TighteningSteps::Single => Some(PassPlan::Single),
        pb::TighteningSteps::ThirtySeventyHundred => Some(PassPlan::ThirtySeventyHundred),
        pb::TighteningSteps::SeventyHundred => Some(PassPlan::SeventyHundred),
        pb::TighteningSteps::FiftyEightyHundred => Some(PassPlan::FiftyEightyHundred),
    }
}

fn count(fields: &mut Fields, name: &'static str, count: i32) -> Option<usize> {
    fields.count(name, Some(count), 1, BOLTS_MAX).and_then(|count| usize::try_from(count).ok())
}

fn layout(wire: Option<&Laid>, fields: &mut Fields) -> Option<Layout> {
    match wire {
        None => {
            fields.reject("circle_count", "is required, or one of row_count, grid and spots: how do the bolts lie");
            None
        }
        Some(Laid::CircleCount(bolts)) => {
            count(fields, "circle_count", *bolts).map(|bolts| Layout::Pattern(Pattern::Circle { bolts }))
        }
        Some(Laid::RowCount(bolts)) => {
            count(fields, "row_count", *bolts).map(|bolts| Layout::Pattern(Pattern::Row { bolts }))
        }
        Some(Laid::Grid(grid)) => fields.under("grid", |fields| grid_of(grid, fields)),
        Some(Laid::Spots(spots)) => fields.under("spots", |fields| spots_of(spots, fields)),
    }
}

/// Reads bolts in rows and columns; the notebook stands at the grid.
pub fn grid_of(grid: &pb::BoltGrid, fields: &mut Fields) -> Option<Layout> {
    let rows = fields.required("row_count", grid.row_count).and_then(|rows| count(fields, "row_count", rows));
    let columns =
        fields.required("column_count", grid.column_count).and_then(|columns| count(fields, "column_count", columns));
    let (rows, columns) = (rows?, columns?);
    if BOLTS_MAX as usize >= rows * columns {
        return Some(Layout::Pattern(Pattern::Grid { rows, columns }));
    }
    fields.reject_here(format!("must have at most {BOLTS_MAX} bolts, has {}", rows * columns));
    None
}

/// Reads bolts anywhere; the notebook stands at the list.
pub fn spots_of(wire: &pb::BoltSpots, fields: &mut Fields) -> Option<Layout> {
    if wire.spots.is_empty() {
        fields.reject("spots", "must have at least 1 bolt, has none");
        return None;
    }
    let spots = fields.each("spots", &wire.spots, BOLTS_MAX as usize, |spot, fields| {
        let x = fields.needed("x_mm", spot.x_mm, &POSITION);
        let y = fields.needed("y_mm", spot.y_mm, &POSITION);
        Some([Length::from_mm(x?), Length::from_mm(y?)])
    });
    if spots.len() != wire.spots.len() {
        return None;
    }
    // What the order refuses now is two bolts in one place.
    if let Err(error) = order_of(&spots) {
        fields.reject_calc("spots", &error);
        return None;
    }
    Some(Layout::Spots(spots))
}

/// Writes the order and the passes.
#[must_use]
pub fn tightening_to_wire(asked: &PlanTightening, plan: &TighteningPlan, revision: i64) -> pb::PlanTighteningResponse {
    let number = |at: usize| i32::try_from(at).unwrap_or(i32::MAX);
    let given = matches!(asked.input.layout, Layout::Spots(_));
    let bolts = plan.turns().into_iter().zip(&plan.spots).enumerate().map(|(at, (turn, [x, y]))| pb::PlacedBolt {
        bolt_position: number(at + 1),
        turn_position: number(turn),
        x_mm: given.then_some(*x),
        y_mm: given.then_some(*y),
    });
    let passes = (1..).zip(&plan.rounds).map(|(pass, round)| pb::TighteningPass {
        pass,
        of_full_share: Some(round.share),
        step_n_m: round.torque.map(Torque::n_m),
        check_only: round.check_only,
    });
    pb::PlanTighteningResponse {
        order_position: plan.order.iter().map(|&bolt| number(bolt)).collect(),
        bolts: bolts.collect(),
        passes: passes.collect(),
        tool_operation_count: Some(number(plan.operations)),
        drawing_svg: if asked.drawing { drawing(asked, plan) } else { String::new() },
        basis: basis_to_wire(&plan::basis(&asked.input, plan)),
        cautions: cautions(asked),
        revision,
    }
}

fn drawing(asked: &PlanTightening, plan: &TighteningPlan) -> String {
    let count = plan.order.len();
    let lie = match asked.input.layout {
        Layout::Pattern(Pattern::Circle { .. }) => "on a circle".to_owned(),
        Layout::Pattern(Pattern::Row { .. }) => "in a row".to_owned(),
        Layout::Pattern(Pattern::Grid { rows, columns }) => format!("in {rows} x {columns}"),
        Layout::Spots(_) => "as placed".to_owned(),
    };
    let bolts = if count == 1 { "bolt" } else { "bolts" };
    let title = format!("Order of tightening: {count} {bolts} {lie}");
    let mut notes: Vec<String> = (1..)
        .zip(&plan.rounds)
        .map(|(pass, round)| {
            let torque = round.torque.map_or_else(String::new, |torque| {
                // Three digits, as every other torque is shown.
                let n_m = torque.n_m();
                let decimals = [99.95, 9.995].iter().filter(|from| n_m < **from).count();
                format!(" = {n_m:.decimals$} N·m")
            });
            let what = if round.check_only { "check, nothing turns any more, at" } else { "all bolts to" };
            format!("Pass {pass}: {what} {:.0} %{torque}", round.share * 100.0)
        })
        .collect();
    notes.push("The order and torque of the vehicle's or the part's maker override this.".to_owned());
    svg(&TighteningSheet { title: &title, spots: &plan.spots, order: &plan.order, notes: &notes })
}

fn cautions(asked: &PlanTightening) -> Vec<pb::Caution> {
    let mut all = vec![
        caution("maker-order-overrides", "the order and the torque of the vehicle's or the part's maker override this"),
        caution("snug-first", "bring every bolt up by hand first; slotted brackets: align, then the fixed holes first"),
    ];
    if asked.input.steps == PassPlan::Single {
        all.push(caution(
            "single-pass",
            "in a single pass the first bolts loosen when the later ones pull the parts home",
        ));
    }
    if asked.input.check_rounds == Some(0) {
        all.push(caution(
            "no-check-round",
            "without a check round nobody knows whether an earlier bolt still holds its torque",
        ));
    }
    all
}

#[cfg(test)]
mod tests {
    use baybook_core::calc::passes::plan::plan;

    use super::*;
    use crate::wire::{WireError, fixture::paths, read};

    fn asked(layout: Laid) -> pb::PlanTighteningRequest {
        pb::PlanTighteningRequest {
            layout: Some(layout),
            steps: pb::TighteningSteps::ThirtySeventyHundred.into(),
            torque: Some(pb::Torque { value_n_m: Some(80.0), ..Default::default() }),
            drawing: true,
            ..Default::default()
        }
    }

    fn answer(wire: &pb::PlanTighteningRequest) -> Result<pb::PlanTighteningResponse, WireError> {
        let asked = read::<PlanTightening>(wire)?;
        Ok(tightening_to_wire(&asked, &plan(&asked.input).unwrap(), 1))
    }

    #[test]
    fn a_circle_is_planned_and_drawn() {
        let told = answer(&asked(Laid::CircleCount(4))).unwrap();
        // ASME PCC-1, from memory: four bolts crosswise.
        assert_eq!(told.order_position, [1, 3, 2, 4]);
        let steps: Vec<_> = told.passes.iter().filter_map(|pass| pass.step_n_m).map(f64::round).collect();
        assert_eq!(steps, [24.0, 56.0, 80.0, 80.0]);
        assert!(told.passes.last().unwrap().check_only);
        assert_eq!(told.tool_operation_count, Some(16));
        assert!(
            told.drawing_svg.starts_with("<svg") && told.drawing_svg.contains("Pass 2: all bolts to 70 % = 56.0 N·m")
        );
        assert_eq!(
            answer(&pb::PlanTighteningRequest { drawing: false, ..asked(Laid::RowCount(3)) }).unwrap().drawing_svg,
            ""
        );
    }

    #[test]
    fn what_cannot_be_planned_is_refused_all_at_once() {
        assert_eq!(paths(&answer(&pb::PlanTighteningRequest::default()).unwrap_err()), ["circle_count", "steps"]);
        for (layout, path) in [
            (Laid::CircleCount(0), "circle_count"),
            (Laid::RowCount(65), "row_count"),
            (Laid::Grid(pb::BoltGrid { row_count: Some(9), column_count: Some(8) }), "grid"),
            (Laid::Grid(pb::BoltGrid { row_count: None, column_count: Some(8) }), "grid.row_count"),
            (Laid::Spots(pb::BoltSpots::default()), "spots.spots"),
        ] {
            assert_eq!(paths(&answer(&asked(layout)).unwrap_err()), [path]);
        }
        let spot = |x, y| pb::BoltSpot { x_mm: x, y_mm: y };
        let twice = Laid::Spots(pb::BoltSpots { spots: vec![spot(Some(1.0), Some(2.0)); 2] });
        assert_eq!(paths(&answer(&asked(twice)).unwrap_err()), ["spots.spots"]);
        let lost = Laid::Spots(pb::BoltSpots { spots: vec![spot(None, Some(f64::NAN))] });
        assert_eq!(paths(&answer(&asked(lost)).unwrap_err()), ["spots.spots[0].x_mm", "spots.spots[0].y_mm"]);
        let hung = pb::PlanTighteningRequest {
            torque: None,
            check_round_count: Some(9),
            steps: pb::TighteningSteps::SeventyHundred.into(),
            ..asked(Laid::RowCount(2))
        };
        assert_eq!(paths(&answer(&hung).unwrap_err()), ["torque", "check_round_count"]);
    }
}
