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
    /// The figures they rest on.
    pub figures: Figures,
}

impl Report {
    /// Sums up: the heaviest finding decides.
    #[must_use]
    pub fn new(findings: Vec<Finding>, figures: Figures) -> Self {
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
        let heaviest = self.findings.iter().map(|finding| finding.severity).max()?;
        let first = self.findings.iter().find(|finding| finding.severity == heaviest)?;
        if !first.is_weakest_link() {
            return Some(first);
        }
        let mut worst = first;
        for finding in &self.findings {
            if finding.severity == heaviest && finding.is_weakest_link() && finding.overshoot() > worst.overshoot() {
                worst = finding;
            }
        }
        Some(worst)
    }
}
