//! Why a plan is judged as it is: the derivation of each governing figure, and what single change would clear it.
//!
//! Nothing is looked up in a list of advice: every change is made to a copy of the plan, and the rules are asked again.

mod above;
mod changes;
mod lines;
mod others;
mod wiring;

pub use changes::{Change, Stock};
pub use lines::Line;

use crate::{
    model::upfit::Upfit,
    rules::{Finding, Report, Rolls, Severity, check_rolled},
};

/// One finding explained.
#[derive(Debug, Clone)]
pub struct Why {
    /// The finding.
    pub finding: Finding,
    /// How its figure comes about, line by line; the last line holds it against its limit.
    pub lines: Vec<Line>,
    /// Single changes, each of which silences it and makes nothing worse.
    pub changes: Vec<Change>,
}

/// A plan explained.
#[derive(Debug, Clone)]
pub struct Explanation {
    /// What the rules say.
    pub report: Report,
    /// The findings that hold the plan up, the governing one first.
    pub why: Vec<Why>,
}

/// Explains every finding that warns, calls for a person or blocks; what is only unknown is told by the finding itself.
#[must_use]
pub fn explain(plan: &Upfit, stock: &Stock) -> Explanation {
    explain_with(plan, stock, Some(&Rolls::of(plan)))
}

fn explain_with(plan: &Upfit, stock: &Stock, rolls: Option<&Rolls>) -> Explanation {
    let report = check_rolled(plan, rolls);
    let governing = report.governing_place();
    let places = (0..report.findings.len()).filter(|place| Some(*place) != governing);
    let ordered = governing.into_iter().chain(places);
    let told = ordered.filter_map(|place| report.findings.get(place));
    let why = told
        .filter(|finding| Severity::Warn <= finding.severity && !finding.unknown)
        .map(|finding| Why {
            finding: finding.clone(),
            lines: lines::derive(plan, &report.figures, finding),
            changes: changes::clearing(plan, &report, finding, stock, rolls),
        })
        .collect();
    Explanation { report, why }
}

#[cfg(test)]
mod tests;
