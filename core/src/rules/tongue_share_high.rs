//! Too much tongue load overloads the rear axle and lightens the steering.
//!
//! The window is the trailer maker's when it prints one, else the vehicle handbook's, else the trade's 15 % in North
//! America. Elsewhere the static load S is the limit and the share has no upper one. The shop's own limit may only
//! tighten it.

use super::run::finding::Against;
use super::run::tongue_window;
use super::run::words::Percent;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "tongue-share-high",
    title: "the tongue carries not too much of the trailer",
    severity: Severity::Review,
    source: Source::new("vehicle and trailer handbooks, tongue load window", "", Seen::Opened),
    needs: &["tongue_load", "tongue_share", "trailer_mass", "trailer.tongue_max_share", "vehicle.tongue_max_share"],
    remedy: "Move load rearward in the trailer and weigh the tongue again.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let share = match case.figures.tongue_share {
        Ok(share) => share,
        Err(unknown) => return findings.unknown(unknown, "the tongue share"),
    };
    let Some(limit) = tongue_window::most(case.plan) else { return };
    let against = Against::new(share, limit, "share");
    if share <= limit {
        return findings.keeps("tongue_load", against);
    }
    findings.breach(
        "tongue_load",
        against,
        format_args!("tongue carries {} of the trailer; at most {} is asked for", Percent(share), Percent(limit)),
    );
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn a_heavy_tongue_is_reviewed() {
        let found = finding("tongue-share-high", |p| {
            p.trailer_mass = Some(kg(1300.0));
        })
        .unwrap();
        assert_eq!(found.severity, Severity::Review);
        assert_eq!(found.message, "tongue carries 16.2 % of the trailer; at most 15.0 % is asked for");
    }

    #[test]
    fn exactly_the_window_is_allowed() {
        assert!(finding("tongue-share-high", |p| p.trailer_mass = Some(kg(1400.0))).is_none());
        assert!(finding("tongue-share-high", |p| p.trailer_mass = Some(kg(1399.999))).is_some());
        assert!(finding("tongue-share-high", |p| vehicle(p).tongue_share_max = Some(0.105)).is_none());
        assert!(finding("tongue-share-high", |p| vehicle(p).tongue_share_max = Some(0.104)).is_some());
    }

    #[test]
    fn europe_has_no_upper_share() {
        assert!(
            finding("tongue-share-high", |p| {
                europe(p);
                p.trailer_mass = Some(kg(1000.0));
            })
            .is_none()
        );
    }

    #[test]
    fn an_unknown_share_is_not_clear() {
        assert_eq!(verdict(|p| p.tongue = None), Verdict::Review);
    }
}
