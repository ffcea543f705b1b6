//! The vehicle as it stands, with the tongue load on it, keeps its gross rating.

use super::run::limits::Rated;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "gvwr",
    title: "the loaded vehicle is not over its gross rating",
    severity: Severity::Block,
    source: Source::new("NHTSA interpretation letter nht87-2.92 (gross vehicle and axle ratings)", "", Seen::Opened),
    needs: &["vehicle.gvwr", "vehicle.front.kerb_kg", "vehicle.rear.kerb_kg", "items", "tongue_load"],
    remedy: "Take load out, move less tongue load onto the vehicle, or choose a heavier-rated vehicle; springs \
        do not raise the rating.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let (limit, load) = (case.plan.vehicle.gvwr, case.figures.gross);
    let rated = Rated { field: "vehicle.gvwr", by: "the vehicle's gross weight", limit, load };
    rated.check(findings, |f, load, over, rating| {
        write!(f, "loaded vehicle {load} is {over} over its {rating} gross rating")
    });
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn an_overweight_vehicle_is_blocked() {
        // The sum of the reference load: 2260 + 150 + 400 + 38 + 9 + 210 = 3067 kg.
        assert_eq!(
            message("gvwr", |p| vehicle(p).gvwr = Some(kg(3000.0))),
            "loaded vehicle 3,067 kg is 67 kg over its 3,000 kg gross rating"
        );
    }

    #[test]
    fn exactly_the_rating_is_allowed_and_called_near() {
        let report = report(|p| vehicle(p).gvwr = Some(kg(3067.0)));
        assert_eq!(report.verdict, Verdict::Clear);
        assert!(report.findings.iter().any(|f| f.rule.id == "near-limit" && f.subject == "vehicle.gvwr"));
        assert!(finding("gvwr", |p| vehicle(p).gvwr = Some(kg(3066.999))).is_some());
    }

    #[test]
    fn a_missing_rating_blocks_and_a_missing_load_is_reviewed() {
        assert_eq!(verdict(|p| vehicle(p).gvwr = None), Verdict::Blocked);
        assert_eq!(verdict(|p| p.items[0].mass = None), Verdict::Review);
        assert_eq!(verdict(|p| vehicle(p).rear.kerb = None), Verdict::Review);
    }
}
