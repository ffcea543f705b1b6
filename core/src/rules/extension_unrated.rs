//! An extension or adapter between receiver and ball mount derates them; without ratings of its own nothing may pass
//! over it.

use super::Unknown;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "extension-unrated",
    title: "an extension carries ratings of its own",
    severity: Severity::Block,
    source: Source::new("an extension derates what it lengthens", "", Seen::CommonPractice),
    needs: &["extension.rating.trailer", "extension.rating.tongue"],
    remedy: "Leave the extension out, or enter the ratings stamped on it.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(extension) = case.plan.extension.as_ref().filter(|_| !case.plan.hangs_in_bed()) else { return };
    let ratings = [
        ("extension.rating.trailer", "trailer", extension.rating.trailer),
        ("extension.rating.tongue", "tongue", extension.rating.tongue),
    ];
    for (subject, word, rating) in ratings {
        if rating.is_none() {
            findings.no_limit(
                Unknown::missing(subject),
                if word == "trailer" { "the weakest link" } else { "the weakest link for the tongue load" },
            );
        }
    }
    if extension.length.is_none() {
        findings.unknown(Unknown::missing("extension.length_mm"), "where the ball sits");
    }
}

#[cfg(test)]
mod tests {
    use crate::model::{
        LinkRating,
        upfit::{Extension, Upfit},
    };
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    fn extended(trailer: Option<f64>, tongue: Option<f64>, length: Option<f64>) -> impl Fn(&mut Upfit) {
        move |p| {
            let rating = LinkRating { trailer: trailer.map(kg), tongue: tongue.map(kg) };
            p.extension = Some(Extension { rating, length: length.map(mm) });
        }
    }

    #[test]
    fn an_extension_without_ratings_is_blocked() {
        assert_eq!(verdict(extended(None, Some(250.0), Some(100.0))), Verdict::Blocked);
        assert_eq!(verdict(extended(Some(2500.0), None, Some(100.0))), Verdict::Blocked);
        assert_eq!(
            finding("extension-unrated", extended(Some(2500.0), None, None)).unwrap().subject,
            "extension.rating.tongue"
        );
    }

    #[test]
    fn a_rated_one_counts_as_a_link_like_any_other() {
        assert!(finding("extension-unrated", extended(Some(2500.0), Some(250.0), Some(100.0))).is_none());
        assert!(finding("weakest-link-trailer", extended(Some(1900.0), Some(250.0), Some(100.0))).is_some());
        assert!(finding("weakest-link-tongue", extended(Some(2500.0), Some(209.0), Some(100.0))).is_some());
        assert_ne!(verdict(extended(Some(2500.0), Some(250.0), None)), Verdict::Clear);
    }
}
