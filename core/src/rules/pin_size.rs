//! What hangs in the bed fits its coupling: a king pin the fifth wheel, a gooseneck's coupler the ball, each by its exact
//! nominal size.

use super::Unknown;
use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::calc::part_fit::same_nominal;
use crate::model::{bed::BedCouplingKind, trailer::DrawbarKind};

/// The rule.
pub static RULE: Rule = Rule {
    id: "pin-size",
    title: "king pin or gooseneck is made for the coupling in the bed",
    severity: Severity::Block,
    source: Source::new("the two are made to one nominal size", "", Seen::CommonPractice),
    needs: &["trailer.drawbar", "bed_coupling.kind", "bed_coupling.size", "trailer.king_pin.diameter", "coupler.ball"],
    remedy: "Plan the coupling that the king pin or the gooseneck's coupler is stamped for.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let plan = case.plan;
    let Some(coupling) = plan.bed_coupling.as_deref() else { return };
    let by = "whether the trailer fits the coupling in the bed";
    let Some(trailer) = plan.trailer.as_deref() else { return };
    match trailer.drawbar {
        Some(DrawbarKind::FifthWheel) => (),
        Some(DrawbarKind::Free | DrawbarKind::CentreAxle) => {
            return findings.add(
                "trailer.drawbar",
                format_args!("the trailer hangs on a ball behind the bumper; the plan has a coupling in the bed"),
            );
        }
        None => return findings.unknown(Unknown::missing("trailer.drawbar"), by),
    }
    let (subject, word, size) = match coupling.kind {
        None => return findings.unknown(Unknown::missing("bed_coupling.kind"), by),
        Some(BedCouplingKind::FifthWheel) => {
            ("trailer.king_pin.diameter", "king pin", trailer.king_pin.and_then(|pin| pin.diameter))
        }
        Some(BedCouplingKind::GooseneckBall) => {
            ("coupler.ball", "coupler for a ball", plan.coupler.as_deref().and_then(|coupler| coupler.ball))
        }
    };
    match (size, coupling.size) {
        (Some(one), Some(other)) if !same_nominal(one, other) => findings.breach(
            subject,
            Against::new(one.mm(), other.mm(), "mm"),
            format_args!("{word} of {:.2} mm on a coupling of {:.2} mm", one.mm(), other.mm()),
        ),
        (Some(_), Some(_)) => (),
        (None, _) => findings.unknown(Unknown::missing(subject), by),
        (_, None) => findings.unknown(Unknown::missing("bed_coupling.size"), by),
    }
}

#[cfg(test)]
mod tests {
    use crate::model::trailer::DrawbarKind;
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    #[test]
    fn a_thick_pin_does_not_go_into_small_jaws() {
        // ISO 337 and ISO 4086, 50 and 90 mm king pins, from memory: 2 in and 3.5 in.
        let thick = |p: &mut _| {
            in_bed(p);
            king_pin(p).diameter = Some(mm(88.9));
        };
        assert_eq!(message("pin-size", thick), "king pin of 88.90 mm on a coupling of 50.80 mm");
        assert_eq!(verdict(thick), Verdict::Blocked);
    }

    #[test]
    fn the_same_size_fits_and_a_hundredth_more_does_not() {
        assert!(finding("pin-size", in_bed).is_none());
        let by = |off: f64| {
            finding("pin-size", move |p| {
                in_bed(p);
                king_pin(p).diameter = Some(mm(50.8 + off));
            })
        };
        assert!(by(0.004).is_none() && by(0.01).is_some());
    }

    #[test]
    fn a_trailer_for_a_ball_does_not_hang_in_the_bed() {
        let wrong = |p: &mut _| {
            in_bed(p);
            trailer(p).drawbar = Some(DrawbarKind::CentreAxle);
        };
        assert_eq!(verdict(wrong), Verdict::Blocked);
        assert_eq!(finding("pin-size", wrong).unwrap().subject, "trailer.drawbar");
    }

    #[test]
    fn a_gooseneck_takes_the_ball_its_coupler_is_made_for() {
        assert!(finding("pin-size", on_gooseneck).is_none());
        let small = |p: &mut _| {
            on_gooseneck(p);
            coupler(p).ball = Some(mm(50.8));
        };
        assert_eq!(message("pin-size", small), "coupler for a ball of 50.80 mm on a coupling of 58.74 mm");
    }

    #[test]
    fn a_size_or_a_kind_nobody_knows_is_not_clear() {
        let knocks: [Change; 4] = [
            |p| king_pin(p).diameter = None,
            |p| bed_coupling(p).size = None,
            |p| bed_coupling(p).kind = None,
            |p| trailer(p).drawbar = None,
        ];
        for knock in knocks {
            let found = finding("pin-size", |p| {
                in_bed(p);
                knock(p);
            });
            assert!(found.is_some_and(|found| found.unknown));
        }
    }
}
