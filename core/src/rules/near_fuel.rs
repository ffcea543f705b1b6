//! No drilling, heat or routing near a tank, a fuel line or a traction battery.
//!
//! Asked for by `inspection-open` when nobody answered.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "near-fuel",
    title: "nothing is drilled, heated or routed near fuel or a traction battery",
    severity: Severity::Block,
    source: Source::new("NHTSA interpretation letter nht87-1.19 (trailer hitches and fuel systems)", "", Seen::Opened),
    needs: &["answers.near_fuel"],
    remedy: "Plan another way, or have a licensed person drain, shield or disconnect first.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    if case.plan.answers.near_fuel == Some(true) {
        findings.add(
            "answers.near_fuel",
            format_args!("drilling, heat or routing is planned near a tank, a fuel line or a traction battery"),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    #[test]
    fn the_answer_decides() {
        let found = finding("near-fuel", |p| p.answers.near_fuel = Some(true)).unwrap();
        assert_eq!((found.severity, &*found.subject), (Severity::Block, "answers.near_fuel"));
        assert!(finding("near-fuel", |_| ()).is_none());
        assert_eq!(verdict(|p| p.answers.near_fuel = None), Verdict::Review);
    }
}
