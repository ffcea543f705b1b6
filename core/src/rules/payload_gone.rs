//! After kerb mass and what the shop adds for good, something must be left to carry.

use super::run::finding::Against;
use super::run::words::{Load, Rating};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "payload-gone",
    title: "kerb mass and upfit leave some payload",
    severity: Severity::Block,
    source: Source::new("NHTSA interpretation letter nht87-2.92 (gross vehicle and axle ratings)", "", Seen::Opened),
    needs: &["vehicle.gvwr", "vehicle.front.kerb_kg", "vehicle.rear.kerb_kg", "items", "receiver.mass_kg"],
    remedy: "Leave parts out of the upfit, or choose a vehicle with a higher gross rating.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let allowed = match case.figures.payload_allowed {
        Ok(allowed) => allowed,
        Err(unknown) if unknown.field == "vehicle.gvwr" => return findings.no_limit(unknown, "the payload"),
        Err(unknown) => return findings.unknown(unknown, "the payload"),
    };
    match case.figures.upfit_mass {
        Err(unknown) => findings.unknown(unknown, "the payload"),
        Ok(upfit) => {
            if upfit < allowed {
                return;
            }
            findings.breach(
                "vehicle.gvwr",
                Against::new(upfit.kg(), allowed.kg(), "kg"),
                format_args!(
                    "upfit {} leaves no payload: gross rating less kerb mass is {}",
                    Load(upfit.kg()),
                    Rating(allowed.kg())
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
    fn an_upfit_that_eats_the_payload_is_blocked() {
        assert_eq!(
            message("payload-gone", |p| vehicle(p).gvwr = Some(kg(2280.0))),
            "upfit 38 kg leaves no payload: gross rating less kerb mass is 20 kg"
        );
    }

    #[test]
    fn nothing_left_is_too_little_and_a_gram_is_enough() {
        assert!(finding("payload-gone", |p| vehicle(p).gvwr = Some(kg(2298.0))).is_some());
        assert!(finding("payload-gone", |p| vehicle(p).gvwr = Some(kg(2298.001))).is_none());
    }

    #[test]
    fn a_receiver_of_unknown_mass_is_not_clear() {
        assert_ne!(verdict(|p| receiver(p).mass = None), Verdict::Clear);
    }
}
