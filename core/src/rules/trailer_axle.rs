//! The trailer's axles carry its mass less the tongue load, within their rating.

use super::Unknown;
use super::run::finding::Against;
use super::run::words::{Load, Over, Rating};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "trailer-axle",
    title: "the trailer's axles keep their rating",
    severity: Severity::Block,
    source: Source::new("the axles carry what the tongue does not", "", Seen::Derived),
    needs: &["trailer_mass", "tongue_load", "trailer.gawr"],
    remedy: "Unload the trailer, move load within the tongue window, or use one with a higher axle rating.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(limit) = case.plan.trailer.as_deref().and_then(|trailer| trailer.gawr) else {
        return findings.no_limit(Unknown::missing("trailer.gawr"), "the load on the trailer's axles");
    };
    let load = match case.figures.trailer_axles {
        Ok(load) => load,
        Err(unknown) => return findings.unknown(unknown, "the load on the trailer's axles"),
    };
    let against = Against::new(load.kg(), limit.kg(), "kg");
    if load <= limit {
        return findings.keeps("trailer.gawr", against);
    }
    findings.breach(
        "trailer.gawr",
        against,
        format_args!(
            "trailer's axles carry {}, {} over their {} rating",
            Load(load.kg()),
            Over(load.kg(), limit.kg()),
            Rating(limit.kg()),
        ),
    );
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn overloaded_trailer_axles_are_blocked() {
        // 2000 - 210 = 1790 kg.
        assert_eq!(
            message("trailer-axle", |p| trailer(p).gawr = Some(kg(1700.0))),
            "trailer's axles carry 1,790 kg, 90 kg over their 1,700 kg rating"
        );
        assert!(finding("trailer-axle", |p| trailer(p).gawr = Some(kg(1790.0))).is_none());
        assert_eq!(verdict(|p| trailer(p).gawr = None), Verdict::Blocked);
    }
}
