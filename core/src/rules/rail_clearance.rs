//! The underside of a trailer's nose stays above the rails of the bed, laden.
//!
//! On level ground and at rest: what lies on the rails is blocked, what comes nearer than the margin is for a person to
//! judge, for vehicle and trailer pitch against each other on every ramp. The margin is common practice, no source.

use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The margin when the shop sets none or a lesser one, in millimetres. Common practice, no source.
pub(super) const USUAL_MARGIN_MM: f64 = 150.0;

/// The rule.
pub static RULE: Rule = Rule {
    id: "rail-clearance",
    title: "the trailer's nose stays above the rails of the bed, laden",
    severity: Severity::Block,
    source: Source::new("geometry from the side, laden; margin by common practice", "", Seen::Derived),
    needs: &[
        "vehicle.bed.rail_height_mm",
        "vehicle.bed.rail_end_station_mm",
        "bed_coupling.fits",
        "trailer.underside_above_coupling_mm",
        "trailer.coupler_height_level_mm",
        "trailer.coupler_to_axle_mm",
        "limits.rail_gap_min_mm",
    ],
    remedy: "Set the coupling or the trailer's pin box to another height, or load less.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let found = match case.figures.rail_gap {
        None => return,
        Some(Err(unknown)) => return findings.unknown(unknown, "the room above the rails of the bed"),
        Some(Ok(found)) => found,
    };
    let margin = case.plan.limits.rail_gap_min.map_or(USUAL_MARGIN_MM, |own| own.mm().max(USUAL_MARGIN_MM));
    let gap = found.gap.mm();
    let against = Against::new(gap, margin, "mm");
    if gap < 0.0 {
        findings.breach(
            "limits.rail_gap_min_mm",
            against,
            format_args!("the trailer's nose lies {:.0} mm into the rails of the bed, laden", -gap),
        );
    } else if gap < margin {
        findings.breach_as(
            Severity::Review,
            "limits.rail_gap_min_mm",
            against,
            format_args!(
                "the trailer's nose stands {:.0} mm above the rails of the bed, laden; {margin:.0} mm is asked for",
                gap.floor()
            ),
        );
    } else {
        findings.keeps("limits.rail_gap_min_mm", against);
    }
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::Upfit;
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    fn gap() -> f64 {
        report(in_bed).figures.rail_gap.unwrap().unwrap().gap.mm()
    }

    /// Lowers the underside of the nose by so much.
    fn lower(by: f64) -> impl Fn(&mut Upfit) {
        move |p| {
            in_bed(p);
            let trailer = trailer(p);
            trailer.underside_above_coupling = trailer.underside_above_coupling.map(|above| above - mm(by));
        }
    }

    #[test]
    fn what_lies_on_the_rails_blocks_and_what_comes_near_is_reviewed() {
        let on = finding("rail-clearance", lower(gap() + 20.0)).unwrap();
        assert_eq!(on.severity, Severity::Block);
        assert_eq!(on.message, "the trailer's nose lies 20 mm into the rails of the bed, laden");
        let near = finding("rail-clearance", lower(gap() - 100.5)).unwrap();
        assert_eq!(near.severity, Severity::Review);
        assert_eq!(
            near.message,
            "the trailer's nose stands 100 mm above the rails of the bed, laden; 150 mm is asked for"
        );
    }

    #[test]
    fn exactly_the_margin_is_allowed() {
        assert!(finding("rail-clearance", lower(gap() - 150.0 - 1e-6)).is_none());
        assert!(finding("rail-clearance", lower(gap() - 150.0 + 1e-6)).is_some());
        assert!(finding("rail-clearance", |_| ()).is_none());
    }

    #[test]
    fn a_shape_nobody_measured_is_not_clear() {
        let knocks: [Change; 6] = [
            |p| bed(p).rail_height = None,
            |p| bed(p).rail_end_station = None,
            |p| trailer(p).underside_above_coupling = None,
            |p| trailer(p).coupler_height_level = None,
            |p| trailer(p).coupler_to_axle = None,
            |p| bed_coupling(p).fits[0].face_height = None,
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
