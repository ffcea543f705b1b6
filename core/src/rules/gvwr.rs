//! The vehicle as it stands, with the tongue load on it, keeps its gross rating.

use super::Unknown;
use super::run::finding::Against;
use super::run::words::{Load, Over, Rating};
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
    let Some(limit) = case.plan.vehicle.gvwr else {
        return findings.no_limit(Unknown::missing("vehicle.gvwr"), "the vehicle's gross weight");
    };
    match case.figures.gross {
        Err(unknown) => findings.unknown(unknown, "the vehicle's gross weight"),
        Ok(load) => {
            let against = Against::new(load.kg(), limit.kg(), "kg");
            if load <= limit {
                return findings.keeps("vehicle.gvwr", against);
            }
            findings.breach(
                "vehicle.gvwr",
                against,
                format_args!(
                    "loaded vehicle {} is {} over its {} gross rating",
                    Load(load.kg()),
                    Over(load.kg(), limit.kg()),
                    Rating(limit.kg()),
                ),
            );
        }
    }
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
