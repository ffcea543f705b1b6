//! A braked trailer stops itself when it breaks away.

use super::Unknown;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::model::trailer::TrailerBrakes;

/// The rule.
pub static RULE: Rule = Rule {
    id: "breakaway-missing",
    title: "a braked trailer has a breakaway device",
    severity: Severity::Block,
    source: Source::new("49 CFR 393.43(d), as quoted in public notes", "", Seen::Opened),
    needs: &["trailer.brakes", "trailer.breakaway"],
    remedy: "Fit a breakaway device, hook its cable to its own point, and test it with the trailer socket unplugged.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(trailer) = case.plan.trailer.as_deref() else { return };
    if matches!(trailer.brakes, None | Some(TrailerBrakes::None)) {
        return;
    }
    match trailer.breakaway {
        Some(true) => (),
        Some(false) => {
            findings.add("trailer.breakaway", format_args!("the trailer has brakes and no breakaway device"))
        }
        None => findings.unknown(Unknown::missing("trailer.breakaway"), "a braked trailer"),
    }
}

#[cfg(test)]
mod tests {
    use crate::model::trailer::TrailerBrakes;
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn a_braked_trailer_without_one_is_blocked() {
        assert_eq!(verdict(|p| trailer(p).breakaway = Some(false)), Verdict::Blocked);
        assert_eq!(verdict(|p| trailer(p).breakaway = None), Verdict::Review);
        assert!(finding("breakaway-missing", |_| ()).is_none());
        assert!(
            finding("breakaway-missing", |p| {
                trailer(p).brakes = Some(TrailerBrakes::None);
                trailer(p).breakaway = Some(false);
            })
            .is_none()
        );
    }
}
