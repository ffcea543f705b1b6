//! The report: a verdict, the findings behind it, the figures behind those.

use super::{figures::Figures, finding::Finding};
use crate::rules::Severity;

/// What a plan is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// No rule objects and no input is missing.
    Clear,
    /// A person must decide, or an input is missing.
    Review,
    /// It must not go on as it is.
    Blocked,
}

impl Verdict {
    /// Returns the word printed in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Clear => "CLEAR",
            Self::Review => "REVIEW",
            Self::Blocked => "BLOCKED",
        }
    }
}

/// What the rule book says about one plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Report {
    /// The verdict.
    pub verdict: Verdict,
    /// The findings, in the order of the rule list.
    pub findings: Vec<Finding>,
    /// The figures they rest on; apart, for they are some thousand bytes that are handed on whole.
    pub figures: Box<Figures>,
}

impl Report {
    /// Sums up: the heaviest finding decides.
    #[must_use]
    pub fn new(findings: Vec<Finding>, figures: Box<Figures>) -> Self {
        let verdict = match findings.iter().map(|finding| finding.severity).max() {
            Some(Severity::Block) => Verdict::Blocked,
            Some(Severity::Review) => Verdict::Review,
            Some(Severity::Warn | Severity::Info) | None => Verdict::Clear,
        };
        Self { verdict, findings, figures }
    }

    /// Returns the finding that governs: the first of the heaviest ones, in the order of the rule list.
    ///
    /// When that is a weakest-link finding and there are others of the same weight, the one with the largest overshoot
    /// governs (value over limit, as a share of the limit; the first of equals), for it is the one that must move most.
    #[must_use]
    pub fn governing(&self) -> Option<&Finding> {
        self.findings.get(self.governing_place()?)
    }

    /// Returns where in the list the finding that governs stands.
    #[must_use]
    pub fn governing_place(&self) -> Option<usize> {
        let heaviest = self.findings.iter().map(|finding| finding.severity).max()?;
        let heavy = || self.findings.iter().enumerate().filter(|(_, finding)| finding.severity == heaviest);
        let (place, first) = heavy().next()?;
        if !first.is_weakest_link() {
            return Some(place);
        }
        let mut worst = (place, first.overshoot());
        for (place, finding) in heavy().filter(|(_, finding)| finding.is_weakest_link()) {
            if worst.1 < finding.overshoot() {
                worst = (place, finding.overshoot());
            }
        }
        Some(worst.0)
    }
}
