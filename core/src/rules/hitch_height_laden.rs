//! Laden and hitched, receiver and ball mount keep the least height the shop asks for.

use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "hitch-height-laden",
    title: "the gear hangs high enough, laden",
    severity: Severity::Review,
    source: Source::new("a shop sets its own clearance", "", Seen::CommonPractice),
    needs: &["limits.hitch_height_min_mm", "receiver.fits", "ball_mount", "items", "tongue_load"],
    remedy: "Choose a receiver that sits higher or a ball mount with less drop, or load the vehicle less.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(limit) = case.plan.limits.hitch_height_min else { return };
    // A coupling in the bed hangs under nothing.
    if case.plan.hangs_in_bed() && case.plan.receiver.is_none() {
        return;
    }
    match case.figures.hitch_lowest {
        Err(unknown) => findings.unknown(unknown, "the height of the gear"),
        Ok(height) => {
            let against = Against::new(height.mm(), limit.mm(), "mm");
            if height >= limit {
                return findings.keeps("limits.hitch_height_min_mm", against);
            }
            findings.breach(
                "limits.hitch_height_min_mm",
                against,
                format_args!(
                    "gear hangs {:.0} mm above ground, laden; {:.0} mm is asked for",
                    height.mm().floor(),
                    limit.mm()
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
    fn low_gear_is_reviewed() {
        // The receiver's lowest point stands at 255 mm unladen and sinks by 131 mm.
        assert_eq!(
            message("hitch-height-laden", |p| p.limits.hitch_height_min = Some(mm(150.0))),
            "gear hangs 123 mm above ground, laden; 150 mm is asked for"
        );
    }

    #[test]
    fn exactly_the_limit_is_allowed() {
        let at = report(|_| ()).figures.hitch_lowest.unwrap();
        assert!(finding("hitch-height-laden", |p| p.limits.hitch_height_min = Some(at)).is_none());
    }

    #[test]
    fn an_unknown_shape_is_not_clear() {
        assert_ne!(verdict(|p| mount(p).depth_below_platform = None), Verdict::Clear);
        assert_ne!(verdict(|p| fit(p).tube_top_height = None), Verdict::Clear);
    }
}
