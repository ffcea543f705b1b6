//! The nose of a trailer that hangs in the bed stays off the cab in a turn.
//!
//! Its corners turn on circles about the pin. What strikes is blocked; what comes nearer than the margin is for a person to
//! judge, for a trailer pitches on uneven ground. The margin is common practice, no source.

use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The margin when the shop sets none or a lesser one, in millimetres. Common practice, no source.
pub(super) const USUAL_MARGIN_MM: f64 = 100.0;

/// The rule.
pub static RULE: Rule = Rule {
    id: "cab-clearance",
    title: "the trailer's nose stays off the cab in a turn",
    severity: Severity::Block,
    source: Source::new("geometry in plan: the nose on its circle; margin by common practice", "", Seen::Derived),
    needs: &["bed_coupling.fits", "vehicle.bed.cab_back_station_mm", "trailer.nose", "limits.cab_gap_min_mm"],
    remedy: "Move the coupling rearward, plan one that slides back for turns, or a trailer with a shorter nose.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let found = match case.figures.turning.cab_gap {
        None => return,
        Some(Err(unknown)) => return findings.unknown(unknown, "the room behind the cab"),
        Some(Ok(found)) => found,
    };
    let margin = case.plan.limits.cab_gap_min.map_or(USUAL_MARGIN_MM, |own| own.mm().max(USUAL_MARGIN_MM));
    let gap = found.gap.mm();
    let against = Against::new(gap, margin, "mm");
    let nose = case.plan.trailer.as_deref().and_then(|trailer| trailer.nose.as_ref());
    let point = found.point.and_then(|index| nose?.points.get(index));
    let what = point.map_or("the nose's corner", |point| point.label.as_str());
    let (reach, room) = (found.reach.mm(), (found.gap + found.reach).mm());
    if gap < 0.0 {
        findings.breach(
            "limits.cab_gap_min_mm",
            against,
            format_args!("{what} strikes the cab in a turn: it reaches {reach:.0} mm from the pin, the cab's back is {room:.0} mm off"),
        );
    } else if gap < margin {
        findings.breach_as(
            Severity::Review,
            "limits.cab_gap_min_mm",
            against,
            format_args!("{what} passes the cab at {:.0} mm in a turn; {margin:.0} mm is asked for", gap.floor()),
        );
    } else {
        findings.keeps("limits.cab_gap_min_mm", against);
    }
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::Upfit;
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    /// The pin so far behind the cab; the corner, 900 mm ahead and 1200 aside, reaches 1500 mm.
    fn at(room: f64) -> impl Fn(&mut Upfit) {
        move |p| {
            in_bed(p);
            let nose = trailer(p).nose.as_mut().unwrap();
            (nose.behind, nose.half_width) = (Some(mm(-900.0)), Some(mm(1200.0)));
            bed(p).cab_back_station = Some(mm(3500.0 - room));
        }
    }

    #[test]
    fn what_strikes_blocks_and_what_comes_near_is_reviewed() {
        let struck = finding("cab-clearance", at(1450.0)).unwrap();
        assert_eq!(struck.severity, Severity::Block);
        assert_eq!(
            struck.message,
            "the nose's corner strikes the cab in a turn: it reaches 1500 mm from the pin, the cab's back is 1450 mm off"
        );
        let near = finding("cab-clearance", at(1540.0)).unwrap();
        assert_eq!(near.severity, Severity::Review);
        assert_eq!(near.message, "the nose's corner passes the cab at 40 mm in a turn; 100 mm is asked for");
    }

    #[test]
    fn exactly_the_margin_is_allowed_and_a_shop_may_ask_for_more() {
        assert!(finding("cab-clearance", at(1600.0)).is_none());
        assert!(finding("cab-clearance", at(1599.999)).is_some());
        let more = |p: &mut Upfit| {
            at(1600.0)(p);
            p.limits.cab_gap_min = Some(mm(150.0));
        };
        assert!(finding("cab-clearance", more).is_some());
        let slides = |p: &mut Upfit| {
            at(1450.0)(p);
            bed_coupling(p).fits[0].turning_pin_station = Some(mm(3700.0));
        };
        assert!(finding("cab-clearance", slides).is_none(), "250 mm further back in a turn");
        assert!(finding("cab-clearance", |_| ()).is_none(), "a trailer on a ball does not turn above a bed");
    }

    #[test]
    fn a_shape_nobody_measured_is_not_clear() {
        let knocks: [Change; 4] = [
            |p| bed(p).cab_back_station = None,
            |p| trailer(p).nose = None,
            |p| bed_coupling(p).fits[0].pin_station = None,
            |p| vehicle(p).bed = None,
        ];
        for knock in knocks {
            let told = |p: &mut Upfit| {
                in_bed(p);
                knock(p);
            };
            assert_ne!(verdict(told), Verdict::Clear);
        }
    }
}
