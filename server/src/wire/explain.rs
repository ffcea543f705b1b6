//! Explanations: to the wire.

use baybook_core::{
    explain::{Explanation, Line, Why},
    model::upfit::Upfit,
    rules::{
        Rule,
        examples::{Difference, Explained, Shown},
    },
};
use baybook_proto::v1 as pb;

use super::report::{full, report_to_wire, severity, verdict};

/// Writes how a rule works.
#[must_use]
pub fn rule_to_wire(explained: &Explained) -> pb::ExplainRuleResponse {
    let rule = explained.rule;
    pb::ExplainRuleResponse {
        id: rule.id.to_owned(),
        title: rule.title.to_owned(),
        condition: explained.condition.to_owned(),
        severity: severity(rule.severity).into(),
        source: rule.source.to_string(),
        source_seen: rule.source.seen.words().to_owned(),
        needs: rule.needs.iter().map(|&path| path.to_owned()).collect(),
        remedy: rule.remedy.to_owned(),
        trips: Some(shown(&explained.trips, rule)),
        keeps: Some(shown(&explained.keeps, rule)),
    }
}

fn shown(shown: &Shown, rule: &Rule) -> pb::ExamplePlan {
    pb::ExamplePlan {
        changes: shown.differences.iter().map(change).collect(),
        verdict: verdict(shown.report.verdict).into(),
        finding: shown.said_by(rule).map(full),
    }
}

/// Writes one field that differs.
#[must_use]
pub fn change(one: &Difference) -> pb::FieldChange {
    pb::FieldChange { path: one.path.clone(), before: one.before.clone(), after: one.after.clone() }
}

/// Writes why a plan is judged as it is.
#[must_use]
pub fn upfit_to_wire(explanation: &Explanation, plan: &Upfit, revision: i64) -> pb::ExplainUpfitResponse {
    pb::ExplainUpfitResponse {
        report: Some(report_to_wire(&explanation.report, plan, pb::ReportView::Findings)),
        findings: explanation.why.iter().map(why).collect(),
        revision,
    }
}

fn why(why: &Why) -> pb::ExplainedFinding {
    let changes = why.changes.iter().map(|one| pb::ClearingChange {
        text: one.text.clone(),
        changes: one.differences.iter().map(change).collect(),
        verdict: verdict(one.verdict).into(),
    });
    pb::ExplainedFinding {
        finding: Some(full(&why.finding)),
        lines: why.lines.iter().map(line).collect(),
        changes: changes.collect(),
    }
}

fn line(line: &Line) -> pb::DerivationLine {
    pb::DerivationLine {
        what: line.what.clone(),
        formula: line.formula.clone(),
        value_in_unit: Some(line.value),
        unit: line.unit.to_owned(),
        source: line.source.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use baybook_core::rules::{RULES, examples};

    use super::*;

    #[test]
    fn every_rule_is_explained_by_two_plans() {
        for rule in RULES {
            let told = rule_to_wire(&examples::explain(rule).unwrap());
            let (trips, keeps) = (told.trips.unwrap(), told.keeps.unwrap());
            assert!(!trips.changes.is_empty() && trips.finding.is_some(), "{}", rule.id);
            assert!(keeps.finding.map(|f| f.severity) < trips.finding.map(|f| f.severity), "{}", rule.id);
        }
    }
}
