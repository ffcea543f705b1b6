//! The rule book: one rule a file, one visible list, and the report they make.
//!
//! A finding is never an error: a plan full of faults is read, judged and answered like any other.
//! What is unknown is never fine: a rule that misses an input says so, and the plan is not clear.
//!
//! To add a rule, write `rules/my_rule.rs` with its tests, declare the file, and put it where it belongs in [`RULES`];
//! the list's order is the report's order.

use crate::{basis::Source, model::upfit::Upfit};

pub mod run;

pub use run::{
    case::Case,
    figures::{ClearanceFigures, Figures, JointFigures, Known, Unknown},
    finding::{Finding, Findings},
    report::{Report, Verdict},
};

/// How much a finding weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Worth knowing; changes nothing.
    Info,
    /// Worth a second look; the plan may go on.
    Warn,
    /// A person must decide before the plan goes on.
    Review,
    /// The plan must not go on as it is.
    Block,
}

impl Severity {
    /// Returns the word printed in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Info => "INFO",
            Self::Warn => "WARN",
            Self::Review => "REVIEW",
            Self::Block => "BLOCK",
        }
    }
}

/// A check over one upfit plan.
#[derive(Debug)]
pub struct Rule {
    /// Its name for good: the file's stem with hyphens, in plain trade words.
    pub id: &'static str,
    /// The requirement, as a sentence without a full stop.
    pub title: &'static str,
    /// How much a breach weighs. Single findings may weigh less or more where the rule's docs say so.
    pub severity: Severity,
    /// Where the requirement comes from. A limit recalled from memory never blocks: it calls for a person.
    pub source: Source,
    /// The plan's fields it reads, as paths of the wire.
    pub needs: &'static [&'static str],
    /// What to do next when it speaks.
    pub remedy: &'static str,
    /// The check itself.
    pub check: fn(&Case<'_>, &mut Findings),
}

/// Every rule, in the order of the report.
pub static RULES: &[&Rule] = &[];

/// Returns the rule of that id.
#[must_use]
pub fn find(id: &str) -> Option<&'static Rule> {
    RULES.iter().copied().find(|rule| rule.id == id)
}

/// Judges a plan: computes every figure once, asks every rule in the list's order, and sums up.
///
/// The same plan always gives the same report.
#[must_use]
pub fn check(plan: &Upfit) -> Report {
    let figures = Figures::of(plan);
    let case = Case { plan, figures: &figures };
    let mut findings = Findings::default();
    for rule in RULES {
        findings.begin(rule);
        (rule.check)(&case, &mut findings);
    }
    let findings = findings.into_list();
    Report::new(findings, figures)
}
