//! Stop and turn share one lamp on some systems and not on others: between them a converter is needed, never a splice.
//!
//! Plugs of another shape with the same lamp logic need an adapter, which is a warning.

use super::Unknown;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "socket-mismatch",
    title: "socket and plug speak the same lamp language",
    severity: Severity::Block,
    source: Source::new("SAE J2863 and ISO 11446 lamp circuits, public connector tables", "", Seen::Opened),
    needs: &["socket", "trailer.plug", "converter"],
    remedy: "Plan a converter between combined and separate stop/turn lamps, and meter every pin; colours lie.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(trailer) = case.plan.trailer.as_deref() else { return };
    let Some(socket) = case.plan.socket else {
        return findings.unknown(Unknown::missing("socket"), "the trailer's lamps");
    };
    let Some(plug) = trailer.plug else {
        return findings.unknown(Unknown::missing("trailer.plug"), "the trailer's lamps");
    };
    if socket == plug {
        return;
    }
    if socket.combined_stop_and_turn() == plug.combined_stop_and_turn() {
        return findings.add_as(
            Severity::Warn,
            "socket",
            format_args!("socket and plug have different shapes; a plug adapter is needed"),
        );
    }
    match case.plan.converter {
        Some(true) => (),
        Some(false) => findings.add(
            "converter",
            format_args!("one side combines stop and turn, the other keeps them apart, and no converter is planned"),
        ),
        None => findings.unknown(Unknown::missing("converter"), "lamps of two kinds"),
    }
}

#[cfg(test)]
mod tests {
    use crate::model::{upfit::Upfit, wiring::Socket};
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    fn iso_trailer(converter: Option<bool>) -> impl Fn(&mut Upfit) {
        move |p| {
            trailer(p).plug = Some(Socket::Iso11446);
            p.converter = converter;
        }
    }

    #[test]
    fn two_lamp_languages_need_a_converter() {
        assert_eq!(verdict(iso_trailer(Some(false))), Verdict::Blocked);
        assert_eq!(verdict(iso_trailer(None)), Verdict::Review);
        assert_eq!(verdict(iso_trailer(Some(true))), Verdict::Clear);
    }

    #[test]
    fn another_shape_is_only_a_warning() {
        let found = finding("socket-mismatch", |p| trailer(p).plug = Some(Socket::FourFlat)).unwrap();
        assert_eq!(found.severity, Severity::Warn);
    }

    #[test]
    fn an_unknown_plug_is_not_clear() {
        assert_eq!(verdict(|p| trailer(p).plug = None), Verdict::Review);
        assert_eq!(verdict(|p| p.socket = None), Verdict::Review);
    }
}
