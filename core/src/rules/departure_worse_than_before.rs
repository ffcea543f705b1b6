//! A swap must not cost the vehicle more than a tenth of the departure angle it had, unladen, with the same ball mount.
//!
//! Only matters for a swap.

use super::run::finding::Against;
use super::run::words::{Degrees, Percent};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "departure-worse-than-before",
    title: "a swap keeps the departure angle",
    severity: Severity::Review,
    source: Source::new("a tenth of the departure angle", "", Seen::CommonPractice),
    needs: &["replaced_receiver", "receiver.fits", "vehicle.profile", "ball_mount"],
    remedy: "Choose a receiver that sits as high as the one that comes off, or show the customer what is lost.",
    check,
};

/// The share of the old departure angle that may be lost. Common practice, no source.
pub const LOSS_MAX: f64 = 0.10;

/// A share in words, where it is the usual one.
struct Share(f64);

impl std::fmt::Display for Share {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.0 < LOSS_MAX { Percent(self.0).fmt(f) } else { f.write_str("a tenth") }
    }
}

fn check(case: &Case<'_>, findings: &mut Findings) {
    let before = match case.figures.departure_before {
        None => return,
        Some(Err(unknown)) => return findings.unknown(unknown, "what a swap costs"),
        Some(Ok(governed)) => governed.angle.deg(),
    };
    let after = match case.figures.unladen.departure {
        Err(unknown) => return findings.unknown(unknown, "what a swap costs"),
        Ok(governed) => governed.angle.deg(),
    };
    let own = case.plan.policy.as_deref().and_then(|policy| policy.departure_loss_max);
    let most = own.map_or(LOSS_MAX, |own| own.min(LOSS_MAX));
    let least = before * (1.0 - most);
    if after < least {
        findings.breach(
            "receiver",
            Against::new(after, least, "deg"),
            format_args!(
                "departure angle falls from {} to {}; more than {} is lost",
                Degrees(before),
                Degrees(after),
                Share(most),
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::Upfit;
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    fn swapped(height: f64) -> impl Fn(&mut Upfit) {
        move |p| {
            p.replaced_receiver = p.receiver.clone();
            let old = std::sync::Arc::make_mut(p.replaced_receiver.as_mut().unwrap());
            old.fits[0].points[0].height = mm(height);
        }
    }

    #[test]
    fn a_lower_receiver_is_reviewed() {
        assert_eq!(
            message("departure-worse-than-before", swapped(330.0)),
            "departure angle falls from 14.9° to 11.5°; more than a tenth is lost"
        );
        assert!(finding("departure-worse-than-before", swapped(255.0)).is_none());
        assert!(finding("departure-worse-than-before", swapped(200.0)).is_none());
    }

    #[test]
    fn an_old_receiver_of_unknown_shape_is_not_clear() {
        assert_ne!(
            verdict(|p| {
                swapped(255.0)(p);
                std::sync::Arc::make_mut(p.replaced_receiver.as_mut().unwrap()).fits.clear();
            }),
            Verdict::Clear
        );
        assert!(finding("departure-worse-than-before", |_| ()).is_none());
    }
}
