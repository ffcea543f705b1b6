//! Spring bars shift load forward, but they may come off: the rear axle must keep its rating without them.

use super::gawr_rear;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "rear-axle-without-bars",
    title: "the rear axle keeps its rating without the help of spring bars",
    severity: Severity::Block,
    source: Source::new("vehicle handbooks, weight-distributing hitch section", "", Seen::Opened),
    needs: &["spring_bars", "vehicle.rear.gawr", "vehicle.rear.kerb_kg", "items", "tongue_load"],
    remedy: "Bring the rear axle under its rating before the bars are counted: less load behind, less tongue load.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    if case.plan.spring_bars == Some(true) {
        gawr_rear::over(case, findings, "rear axle, counted without spring bars,");
    }
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::Upfit;
    use crate::rules::run::fixture::*;

    #[test]
    fn bars_do_not_excuse_the_rear_axle() {
        let with_bars = |gawr: Option<f64>| {
            finding("rear-axle-without-bars", |p| {
                p.spring_bars = Some(true);
                vehicle(p).rear.gawr = gawr.map(kg);
            })
        };
        assert_eq!(
            with_bars(Some(1700.0)).unwrap().message,
            "rear axle, counted without spring bars, 1,777 kg is 77 kg over its 1,700 kg rating"
        );
        assert!(with_bars(None).is_some_and(|f| f.unknown));
        assert!(with_bars(Some(1900.0)).is_none());
    }

    #[test]
    fn exactly_the_rating_is_allowed_and_no_bars_are_another_rules_business() {
        let at = report(|_| ()).figures.axles.unwrap().rear;
        let on = |p: &mut Upfit| {
            p.spring_bars = Some(true);
            vehicle(p).rear.gawr = Some(at);
        };
        assert!(finding("rear-axle-without-bars", on).is_none());
        assert!(finding("rear-axle-without-bars", |p| vehicle(p).rear.gawr = Some(kg(1.0))).is_none());
    }
}
