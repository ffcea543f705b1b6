//! The tongue load keeps the least rating of all parts that bear it.
//!
//! The finding's subject is the part that governs. What the axles and the gross rating leave room for has rules of its
//! own.

use super::run::limits::check_weakest;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "weakest-link-tongue",
    title: "the tongue load keeps the weakest link",
    severity: Severity::Block,
    source: Source::new("the least of all ratings counts", "", Seen::CommonPractice),
    needs: &["tongue_load", "vehicle.tongue", "receiver.carrying.tongue", "ball_mount.rating.tongue"],
    remedy: "Replace the part that governs by a stronger one if all others allow it, or move load in the trailer \
        rearward within the tongue window.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    check_weakest(findings, case.figures.tongue, case.links.tongue_parts(), "tongue load");
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::TongueLoad;
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn the_part_that_governs_is_named() {
        // The receiver's label prints 500 lb, 226.796 kg: shown as 226 kg, since 227 would pass 0.2 kg too much.
        let found = finding("weakest-link-tongue", |p| p.tongue = Some(TongueLoad::Load(kg(240.0)))).unwrap();
        assert_eq!(found.message, "tongue load 240 kg is 14 kg over the weakest link: receiver, carrying, 226 kg");
        assert_eq!(found.subject, "receiver.carrying.tongue");
    }

    #[test]
    fn exactly_the_rating_is_allowed() {
        assert!(finding("weakest-link-tongue", |p| vehicle(p).tongue = Some(kg(210.0))).is_none());
        assert!(finding("weakest-link-tongue", |p| vehicle(p).tongue = Some(kg(209.999))).is_some());
    }

    #[test]
    fn an_unknown_tongue_load_is_not_clear() {
        assert_eq!(verdict(|p| p.tongue = None), Verdict::Review);
    }
}
