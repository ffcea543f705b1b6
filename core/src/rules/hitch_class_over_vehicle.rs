//! A bigger hitch does not make a bigger truck: the class of the receiver never raises what the vehicle may tow.
//!
//! Only matters when both classes are known; the ratings themselves are judged by other rules.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "hitch-class-over-vehicle",
    title: "the receiver's class is not taken for the vehicle's",
    severity: Severity::Warn,
    source: Source::new("dictionary of units and measures, hitch classes", "", Seen::Opened),
    needs: &["receiver.hitch_class_code", "vehicle.hitch_class_code"],
    remedy: "Tell the customer that the vehicle's own ratings stay the limit, and write them on the hand-over card.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let receiver = case.plan.receiver.as_deref().and_then(|receiver| receiver.hitch_class);
    let Some((receiver, vehicle)) = receiver.zip(case.plan.vehicle.hitch_class) else { return };
    if receiver > vehicle {
        findings.add(
            "receiver.hitch_class_code",
            format_args!(
                "class {receiver} receiver on a vehicle allowed class {vehicle}: the vehicle's ratings stay the limit"
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn a_bigger_class_is_warned_of() {
        let found = finding("hitch-class-over-vehicle", |p| receiver(p).hitch_class = Some(4)).unwrap();
        assert_eq!(found.severity, Severity::Warn);
        assert_eq!(
            found.message,
            "class 4 receiver on a vehicle allowed class 3: the vehicle's ratings stay the limit"
        );
        assert!(finding("hitch-class-over-vehicle", |p| receiver(p).hitch_class = Some(3)).is_none());
    }

    #[test]
    fn an_unnamed_class_leaves_the_ratings_to_decide() {
        assert!(finding("hitch-class-over-vehicle", |p| receiver(p).hitch_class = None).is_none());
        assert_eq!(verdict(|p| receiver(p).carrying.trailer = None), Verdict::Blocked);
    }
}
