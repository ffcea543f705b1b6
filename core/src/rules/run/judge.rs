//! A plan judged: its figures, then every rule in the list's order.

use super::{case::Case, figures::Figures, finding::Findings, ground::Rolls, parts::Parts, report::Report};
use crate::{model::upfit::Upfit, rules::RULES};

/// Judges a plan: computes every figure once, asks every rule in the list's order, and sums up.
///
/// The same plan always gives the same report.
#[must_use]
pub fn check(plan: &Upfit) -> Report {
    check_rolled(plan, None)
}

/// Judges a plan like [`check`] and remembers what came of rolling it over its terrains, for the next plan like it.
#[must_use]
pub fn check_rolled(plan: &Upfit, rolls: Option<&Rolls>) -> Report {
    let (figures, links) = (Box::new(Figures::with(plan, rolls)), Parts::of(plan));
    let mut findings = Findings::default().noting_for(plan);
    for rule in RULES {
        findings.begin(rule);
        (rule.check)(&Case { plan, figures: &figures, links: &links }, &mut findings);
    }
    Report::new(findings.into_list(), figures)
}

/// Judges plans like [`check`], but writes out the message of each governing finding only and leaves the others empty.
///
/// Verdict, order, subjects and numbers are the same. For batches, where most messages would never be read. Each rule is
/// asked about all of the plans before the next one is, so that a processor need not fetch the whole rule book anew for
/// every plan; some ten to twenty plans at a time are best.
#[must_use]
pub fn check_briefly(plans: &[&Upfit]) -> Vec<Report> {
    let figures = Figures::of_each(plans);
    let links: Vec<_> = plans.iter().map(|plan| Parts::of(plan)).collect();
    let mut noted: Vec<_> = plans.iter().map(|plan| Findings::briefly().noting_for(plan)).collect();
    for rule in RULES {
        for (((plan, figures), links), findings) in plans.iter().zip(&figures).zip(&links).zip(&mut noted) {
            findings.begin(rule);
            (rule.check)(&Case { plan, figures, links }, findings);
        }
    }
    let each = plans.iter().zip(figures).zip(&links).zip(noted);
    let reports = each.map(|(((plan, figures), links), findings)| {
        let report = Report::new(findings.into_list(), figures);
        // A rule may lean on what others noted before it: then only asking them all gives its words.
        with_governing_words(report, plan, links).unwrap_or_else(|| check(plan))
    });
    reports.collect()
}

/// Writes out the message of the finding that governs, by asking its rule alone; nothing when that does not give it.
fn with_governing_words(mut report: Report, plan: &Upfit, links: &Parts) -> Option<Report> {
    let Some(place) = report.governing_place() else { return Some(report) };
    let finding = report.findings.get_mut(place)?;
    let mut again = Findings::default();
    again.begin(finding.rule);
    (finding.rule.check)(&Case { plan, figures: &report.figures, links }, &mut again);
    finding.take_words(again.into_list()).then_some(report)
}
