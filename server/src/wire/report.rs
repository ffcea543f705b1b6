//! Reports and the rule book: to the wire.

use baybook_core::{
    calc::ratings::Weakest,
    model::{terrain::Terrain, upfit::Upfit},
    rules::{Figures, Finding, Known, Report, Rule, Severity, Verdict, run::ground::TerrainFigures},
    units::{Angle, Length, Mass},
};
use baybook_proto::v1 as pb;

/// Writes the report on a plan, as much of it as is wanted.
#[must_use]
pub fn report_to_wire(report: &Report, plan: &Upfit, view: pb::ReportView) -> pb::Report {
    let governing = report.governing_place();
    let findings = report.findings.iter().enumerate().map(|(index, finding)| match view {
        pb::ReportView::Summary if governing != Some(index) => brief(finding),
        _ => full(finding),
    });
    pb::Report {
        unit: plan.unit.clone(),
        verdict: verdict(report.verdict).into(),
        findings: findings.collect(),
        governing_position: governing.and_then(|index| i32::try_from(index).ok()),
        policy: super::policy::policy_used(plan).map(Box::new),
        figures: (view == pb::ReportView::Full).then(|| Box::new(figures(&report.figures, plan))),
    }
}

/// Reads how much of a report is wanted; unspecified is every finding in full.
pub fn view_from_wire(name: &'static str, number: i32, fields: &mut super::Fields) -> Option<pb::ReportView> {
    fields.choice(name, number, |view| match view {
        pb::ReportView::Unspecified => Some(pb::ReportView::Findings),
        view => Some(view),
    })
}

/// Writes a verdict.
#[must_use]
pub const fn verdict(verdict: Verdict) -> pb::Verdict {
    match verdict {
        Verdict::Clear => pb::Verdict::Clear,
        Verdict::Review => pb::Verdict::Review,
        Verdict::Blocked => pb::Verdict::Blocked,
    }
}

/// Writes a severity.
#[must_use]
pub const fn severity(severity: Severity) -> pb::Severity {
    match severity {
        Severity::Info => pb::Severity::Info,
        Severity::Warn => pb::Severity::Warn,
        Severity::Review => pb::Severity::Review,
        Severity::Block => pb::Severity::Block,
    }
}

/// Writes the rule book.
#[must_use]
pub fn rules_to_wire(rules: &[&Rule]) -> Vec<pb::RuleDescription> {
    let describe = |rule: &&Rule| pb::RuleDescription {
        id: rule.id.to_owned(),
        title: rule.title.to_owned(),
        severity: severity(rule.severity).into(),
        source: rule.source.to_string(),
        needs: rule.needs.iter().map(|&path| path.to_owned()).collect(),
        remedy: rule.remedy.to_owned(),
    };
    rules.iter().map(describe).collect()
}

fn brief(finding: &Finding) -> pb::Finding {
    pb::Finding {
        rule: finding.rule.id.to_owned(),
        severity: severity(finding.severity).into(),
        unknown: finding.unknown,
        ..pb::Finding::default()
    }
}

/// Writes a finding in full.
#[must_use]
pub fn full(finding: &Finding) -> pb::Finding {
    pb::Finding {
        rule: finding.rule.id.to_owned(),
        severity: severity(finding.severity).into(),
        subject: finding.subject.clone().into_owned(),
        message: finding.message.clone(),
        value_in_unit: finding.value,
        limit_in_unit: finding.limit,
        unit: finding.unit.to_owned(),
        source: finding.rule.source.to_string(),
        remedy: finding.remedy.to_owned(),
        unknown: finding.unknown,
    }
}

fn kg(mass: Known<Mass>) -> Option<f64> {
    mass.ok().map(Mass::kg)
}

fn mm(length: Known<Length>) -> Option<f64> {
    length.ok().map(Length::mm)
}

/// Returns a limit and the link that sets it; neither while any link is unknown.
fn firm(weakest: &Weakest) -> (Option<f64>, String) {
    match (weakest.firm(), weakest.governing) {
        (Some(limit), Some(link)) => (Some(limit.kg()), link.label.to_owned()),
        _ => (None, String::new()),
    }
}

fn figures(figures: &Figures, plan: &Upfit) -> pb::Figures {
    let axles = figures.axles.ok();
    let deg = |governed: &Known<baybook_core::calc::clearance::Governed>| {
        governed.as_ref().ok().map(|governed| Angle::deg(governed.angle))
    };
    let (trailer_limit_kg, trailer_limit_link) = firm(&figures.trailer_limit);
    let (tongue_limit_kg, tongue_limit_link) = firm(&figures.tongue_limit);
    let level = plan.trailer.as_ref().and_then(|trailer| trailer.coupler_height_level);
    pb::Figures {
        front_before_kg: axles.map(|axles| axles.front_before.kg()),
        rear_before_kg: axles.map(|axles| axles.rear_before.kg()),
        front_kg: axles.map(|axles| axles.front.kg()),
        rear_kg: axles.map(|axles| axles.rear.kg()),
        vehicle_kg: kg(figures.gross),
        train_kg: kg(figures.combination),
        payload_used_kg: kg(figures.payload_used),
        payload_kg: kg(figures.payload_allowed),
        tongue_kg: kg(figures.tongue),
        tongue_share: figures.tongue_share.ok(),
        trailer_limit_kg,
        trailer_limit_link,
        tongue_limit_kg,
        tongue_limit_link,
        trailer_limit_at_share_kg: kg(figures.trailer_limit_at_share),
        mass_added_kg: kg(figures.added_mass),
        mass_label_limit_kg: kg(figures.added_mass_limit),
        approach_deg: deg(&figures.unladen.approach),
        departure_deg: deg(&figures.unladen.departure),
        ramp_deg: deg(&figures.unladen.ramp),
        approach_laden_deg: deg(&figures.laden.approach),
        departure_laden_deg: deg(&figures.laden.departure),
        ramp_laden_deg: deg(&figures.laden.ramp),
        departure_before_deg: figures.departure_before.as_ref().and_then(deg),
        hitch_height_laden_mm: mm(figures.hitch_lowest),
        ball_off_level_mm: mm(figures.ball_height).zip(level).map(|(ball, level)| ball - level.mm()),
        d_value_needed_kn: figures.d_required.and_then(Result::ok).map(|force| force.kn()),
        joints: joints(figures, plan),
        terrains: terrains(figures, plan),
        tail_swing_mm: figures.turning.swing.and_then(mm),
        contact_articulation_deg: figures
            .turning
            .contact
            .and_then(|contact| contact.ok()?.first)
            .map(|(angle, _)| angle.deg()),
        cab_gap_mm: figures.turning.cab_gap.and_then(Result::ok).map(|found| found.gap.mm()),
        rail_gap_mm: figures.rail_gap.and_then(Result::ok).map(|found| found.gap.mm()),
    }
}

fn terrains(figures: &Figures, plan: &Upfit) -> Vec<pb::TerrainFigures> {
    let pairs = plan.terrains.iter().zip(&figures.terrains);
    let write = |(terrain, figures): (&std::sync::Arc<Terrain>, &TerrainFigures)| pb::TerrainFigures {
        terrain: if terrain.label.is_empty() { &terrain.name } else { &terrain.label }.clone(),
        gap_mm: figures.unladen.ok().map(|rolled| rolled.gap.mm()),
        gap_laden_mm: figures.laden.ok().map(|rolled| rolled.gap.mm()),
    };
    pairs.map(write).collect()
}

fn joints(figures: &Figures, plan: &Upfit) -> Vec<pb::JointFigures> {
    let pairs = plan.joints.iter().zip(&figures.joints);
    let write = |(joint, figures): (&baybook_core::model::upfit::PlannedJoint, &baybook_core::rules::JointFigures)| {
        pb::JointFigures {
            id: joint.id.clone(),
            torque_n_m: figures.torque_for_condition.ok().map(|torque| torque.n_m()),
            proof_max_share: figures.preload.ok().and_then(|preload| preload.max.proof_share),
            yield_max_share: figures.worst_yield_share.ok(),
        }
    };
    pairs.map(write).collect()
}

#[cfg(test)]
mod tests {
    use baybook_core::rules::{self, RULES};

    use super::*;
    use crate::wire::{
        fixture::{Book, plan},
        read_plan,
    };

    #[test]
    fn a_summary_tells_the_governing_finding_in_full_and_of_the_others_what_they_weigh() {
        let upfit = read_plan(&plan(), Book::demo()).unwrap();
        let report = rules::check(&upfit);
        let [summary, all, full] = [pb::ReportView::Summary, pb::ReportView::Findings, pb::ReportView::Full]
            .map(|view| report_to_wire(&report, &upfit, view));
        assert!(summary.findings.len() > 1, "a plan with unanswered questions has findings");
        assert_eq!((&summary.unit, summary.verdict()), (&upfit.unit, verdict(report.verdict)));
        let governing = usize::try_from(summary.governing_position.unwrap()).unwrap();
        assert_eq!(all.findings[governing].rule, report.governing().unwrap().rule.id);
        for (index, (brief, full)) in summary.findings.iter().zip(&all.findings).enumerate() {
            assert_eq!((&brief.rule, brief.severity, brief.unknown), (&full.rule, full.severity, full.unknown));
            assert_eq!(brief.message.is_empty(), index != governing);
            assert!(!full.message.is_empty() && !full.subject.is_empty() && !full.source.is_empty());
        }
        assert_eq!(all.findings, full.findings);
        assert!(summary.figures.is_none() && all.figures.is_none());
        let figures = full.figures.unwrap();
        assert_eq!(figures.tongue_share, Some(0.11));
        assert_eq!(figures.joints.len(), upfit.joints.len());
        assert_eq!(figures.rear_kg, report.figures.axles.ok().map(|axles| axles.rear.kg()));
    }

    #[test]
    fn the_rule_book_is_told_rule_by_rule() {
        let told = rules_to_wire(RULES);
        assert_eq!(told.len(), RULES.len());
        assert!(told.iter().all(|rule| !rule.title.is_empty() && !rule.source.is_empty() && rule.severity != 0));
    }
}
