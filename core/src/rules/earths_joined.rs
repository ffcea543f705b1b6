//! The earths 3, 11 and 13 of a thirteen-pin plug stay apart on the trailer.
//!
//! Asked for once the plan names circuits.

use super::{Case, Findings, Rule, Severity, run::wiring::Wiring};
use crate::{model::wiring::Socket, tables::connectors::EARTHS_SOURCE};

/// The rule.
pub static RULE: Rule = Rule {
    id: "earths-joined",
    title: "the earths of a thirteen-pin plug stay apart",
    severity: Severity::Review,
    source: EARTHS_SOURCE,
    needs: &["answers.earths_joined", "trailer.plug"],
    remedy: "Part the earths 3, 11 and 13 on the trailer, each to its own loads.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    judge(&Wiring::of(case.plan), findings);
}

fn judge(wiring: &Wiring<'_>, findings: &mut Findings) {
    if wiring.trailer.and_then(|trailer| trailer.plug) != Some(Socket::Iso11446) {
        return;
    }
    match wiring.earths_joined {
        Some(true) => {
            findings.add("answers.earths_joined", format_args!("the earths 3, 11 and 13 are joined on the trailer"))
        }
        Some(false) => {}
        None if wiring.is_planned() => findings.open_question(
            "answers.earths_joined",
            format_args!("nobody has looked whether the earths 3, 11 and 13 are joined on the trailer"),
        ),
        None => {}
    }
}

#[cfg(test)]
mod tests {
    use crate::{
        model::{upfit::Upfit, wiring::Socket},
        rules::{Severity, run::fixture::*},
    };

    fn thirteen(joined: Option<bool>) -> impl Fn(&mut Upfit) {
        move |p| {
            trailer(p).plug = Some(Socket::Iso11446);
            p.answers.earths_joined = joined;
        }
    }

    #[test]
    fn joined_earths_call_for_a_person() {
        let found = finding("earths-joined", thirteen(Some(true))).unwrap();
        assert_eq!(found.severity, Severity::Review);
        assert!(found.message.contains("from memory of ISO 11446"), "{}", found.message);
        assert!(finding("earths-joined", thirteen(Some(false))).is_none());
        assert!(finding("earths-joined", |p| p.answers.earths_joined = Some(true)).is_none(), "another plug");
    }

    #[test]
    fn it_is_asked_once_wiring_is_planned() {
        assert!(finding("earths-joined", thirteen(None)).is_none());
        assert!(
            finding("earths-joined", |p| {
                thirteen(None)(p);
                wired(p);
            })
            .unwrap()
            .unknown
        );
    }
}
