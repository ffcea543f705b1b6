//! Too little tongue load lets a trailer sway.
//!
//! The window is the trailer maker's when it prints one, else the vehicle handbook's, else the trade's: 10 % in North
//! America, 4 % elsewhere. The shop's own limit may only tighten it.

use super::run::finding::Against;
use super::run::tongue_window;
use super::run::words::Percent;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "tongue-share-low",
    title: "the tongue carries enough of the trailer",
    severity: Severity::Review,
    source: Source::new("vehicle and trailer handbooks, tongue load window", "", Seen::Opened),
    needs: &["tongue_load", "tongue_share", "trailer_mass", "trailer.tongue_min_share", "vehicle.tongue_min_share"],
    remedy: "Move load forward in the trailer and weigh the tongue again.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let share = match case.figures.tongue_share {
        Ok(share) => share,
        Err(unknown) => return findings.unknown(unknown, "the tongue share"),
    };
    let Some(limit) = tongue_window::least(case.plan) else { return };
    let against = Against::new(share, limit, "share");
    if share >= limit {
        return findings.keeps("tongue_load", against);
    }
    findings.breach(
        "tongue_load",
        against,
        format_args!("tongue carries {} of the trailer; at least {} is asked for", Percent(share), Percent(limit)),
    );
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::{TongueLoad, Upfit};
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn a_light_tongue_is_reviewed() {
        let found = finding("tongue-share-low", |p| p.tongue = Some(TongueLoad::Share(0.07))).unwrap();
        assert_eq!(found.severity, Severity::Review);
        assert_eq!(found.message, "tongue carries 7.0 % of the trailer; at least 10.0 % is asked for");
    }

    #[test]
    fn exactly_the_window_is_allowed() {
        assert!(finding("tongue-share-low", |p| p.tongue = Some(TongueLoad::Share(0.10))).is_none());
        assert!(finding("tongue-share-low", |p| p.tongue = Some(TongueLoad::Share(0.099_999))).is_some());
    }

    #[test]
    fn the_trailer_maker_wins_and_the_shop_may_tighten() {
        let boat = |p: &mut Upfit| {
            p.tongue = Some(TongueLoad::Share(0.06));
            trailer(p).tongue_share_min = Some(0.05);
        };
        assert!(finding("tongue-share-low", boat).is_none());
        assert!(
            finding("tongue-share-low", |p| {
                boat(p);
                p.limits.tongue_share_min = Some(0.08);
            })
            .is_some()
        );
        // The shop's limit does not loosen the trade's.
        assert!(
            finding("tongue-share-low", |p| {
                p.tongue = Some(TongueLoad::Share(0.06));
                p.limits.tongue_share_min = Some(0.05);
            })
            .is_some()
        );
    }

    #[test]
    fn an_unknown_share_is_not_clear() {
        assert_eq!(verdict(|p| p.tongue = None), Verdict::Review);
    }
}
