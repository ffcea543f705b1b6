//! A hole keeps its distance from the edge: one and a half bolt diameters.

use super::{Case, Findings, Rule, Severity};
use crate::{
    basis::{Seen, Source},
    rules::run::finding::Against,
};

/// The rule.
pub static RULE: Rule = Rule {
    id: "edge-distance-short",
    title: "holes keep their distance from the edge",
    severity: Severity::Warn,
    source: Source::new("edge distance in frame rails, 1.5 diameters", "", Seen::CommonPractice),
    needs: &["joints.stack.edge_distance_mm", "joints.bolt"],
    remedy: "Move the hole, or ask the maker of the part.",
    check,
};

/// Distance over diameter.
const DIAMETERS: f64 = 1.5;

fn check(case: &Case<'_>, findings: &mut Findings) {
    for stacked in case.stacks() {
        let edge = stacked.known(stacked.stack.edge_distance, "joints[].stack.edge_distance_mm");
        let (edge, bolt) = match (edge, stacked.bolt()) {
            (Ok(edge), Ok(bolt)) => (edge, bolt),
            (Err(unknown), _) | (_, Err(unknown)) => {
                findings.unknown(unknown, "whether the hole tears out");
                continue;
            }
        };
        let least = bolt.thread.diameter * DIAMETERS;
        if edge < least {
            findings.breach(
                stacked.subject("edge_distance_mm"),
                Against::new(edge.mm(), least.mm(), "mm"),
                format_args!(
                    "joint {} has a hole {:.1} mm from the edge; one and a half diameters are {:.1} mm",
                    stacked.joint.id,
                    edge.mm(),
                    least.mm()
                ),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    fn at(edge: f64) -> Option<crate::rules::Finding> {
        finding("edge-distance-short", |p| stack(p).edge_distance = Some(mm(edge)))
    }

    #[test]
    fn one_and_a_half_diameters_are_the_least() {
        assert_eq!(
            at(15.0).unwrap().message,
            "joint frame-side has a hole 15.0 mm from the edge; one and a half diameters are 18.0 mm"
        );
        assert!(at(18.0).is_none() && at(17.999).is_some());
        assert_ne!(verdict(|p| stack(p).edge_distance = None), Verdict::Clear);
    }
}
