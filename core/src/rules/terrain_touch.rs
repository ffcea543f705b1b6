//! Nothing of the vehicle drags on the terrains that the plan names, empty and laden, whichever end it meets.
//!
//! What touches is blocked; what comes nearer than the margin is for a person to judge: springs travel and brakes dip.

use super::run::finding::Against;
use super::run::ground::Rolled;
use super::{Case, Findings, Known, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::calc::roll_over::Touching;

/// The margin when the shop sets none or a lesser one, in millimetres (common practice, no source: 25 to 50 mm).
pub(super) const USUAL_MARGIN_MM: f64 = 25.0;

/// The rule.
pub static RULE: Rule = Rule {
    id: "terrain-touch",
    title: "nothing drags on the ground it must get over",
    severity: Severity::Block,
    source: Source::new(
        "a rigid vehicle rolled over the measured ground; margin by common practice",
        "",
        Seen::Derived,
    ),
    needs: &["terrains", "limits.terrain_margin_mm", "vehicle.profile", "receiver.fits", "ball_mount", "items"],
    remedy: "Choose gear that sits higher, take the ball mount out, load less, or take another way in.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for ((index, found), terrain) in case.figures.terrains.iter().enumerate().zip(&case.plan.terrains) {
        let name = if terrain.label.is_empty() { terrain.name.as_str() } else { terrain.label.as_str() };
        judge(case, findings, index, name, "unladen", &found.unladen);
        judge(case, findings, index, name, "laden", &found.laden);
    }
}

fn judge(
    case: &Case<'_>,
    findings: &mut Findings,
    index: usize,
    terrain: &str,
    load: &'static str,
    rolled: &Known<Rolled>,
) {
    let rolled = match rolled {
        Ok(rolled) => rolled,
        Err(unknown) => return findings.unknown(*unknown, "rolling over the terrain"),
    };
    let margin = case.plan.limits.terrain_margin.map_or(USUAL_MARGIN_MM, |margin| margin.mm().max(USUAL_MARGIN_MM));
    let gap = rolled.gap.mm();
    let against = Against::new(gap, margin, "mm");
    let way = if rolled.back { "on the way back" } else { "on the way there" };
    let pitch = rolled.pitch.deg();
    let subject = format!("terrains[{index}]");
    let part = Part(case, rolled.touching);
    if rolled.touches {
        let deep = -gap.min(0.0);
        findings.breach(
            subject,
            against,
            format_args!(
                "{part} drags on {terrain}, {load}, {way}: {deep:.0} mm in the ground at a pitch of {pitch:.1}°"
            ),
        );
    } else if gap < margin {
        findings.breach_as(
            Severity::Review,
            subject,
            against,
            format_args!(
                "{part} comes within {gap:.0} mm of {terrain}, {load}, {way}, at a pitch of {pitch:.1}°; {margin:.0} mm is \
                 asked for"
            ),
        );
    } else {
        findings.keeps("limits.terrain_margin_mm", against);
    }
}

/// What comes nearest, by its label.
struct Part<'a>(&'a Case<'a>, Touching);

impl std::fmt::Display for Part<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.1 {
            Touching::Point(index) => f.write_str(self.0.point_label(index)),
            Touching::Edge(index) => {
                write!(f, "the edge from {} to {}", self.0.point_label(index), self.0.point_label(index + 1))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    /// Worked sweep of an invented van, derived: the receiver at the foot of a 20 % ramp on the way down, 5.8323 mm
    /// unladen; up the ramp it is the belly, 21.5767 mm.
    #[test]
    fn what_drags_blocks_and_what_comes_near_is_reviewed() {
        let steep = |p: &mut _| over_steep(p, 0.0);
        let found = report(steep).figures.terrains[0].unladen.unwrap();
        assert!((found.gap.mm() - 5.8323).abs() < 0.01 && found.back, "{found:?}");
        let all: Vec<_> = report(steep).findings.into_iter().filter(|f| f.rule.id == "terrain-touch").collect();
        let weights: Vec<_> = all.iter().map(|found| found.severity).collect();
        assert_eq!(weights, [Severity::Review, Severity::Block], "unladen near, laden in the ground");
        assert!(
            all[0].message.starts_with("receiver bottom comes within 6 mm of depot ramp, unladen, "),
            "{}",
            all[0].message
        );
        assert!(all[1].message.contains(" drags on depot ramp, laden, "), "{}", all[1].message);
        assert_eq!((&*all[1].subject, verdict(steep)), ("terrains[0]", Verdict::Blocked));
    }

    fn over_steep(p: &mut crate::model::upfit::Upfit, margin: f64) {
        p.terrains = vec![ground(&[(0.0, 0.0), (3000.0, 600.0)])];
        p.limits.terrain_margin = (margin > 0.0).then(|| mm(margin));
    }

    #[test]
    fn exactly_the_margin_is_allowed() {
        let gap = report(over_hump).figures.terrains[0].laden.unwrap().gap;
        let at = |by: f64| {
            move |p: &mut crate::model::upfit::Upfit| {
                over_hump(p);
                p.limits.terrain_margin = Some(gap + mm(by));
            }
        };
        assert!(gap > mm(0.0), "{gap:?}");
        assert!(finding("terrain-touch", at(0.0)).is_none());
        assert!(finding("terrain-touch", at(1e-6)).is_some());
    }

    #[test]
    fn an_unknown_shape_or_load_is_not_clear_and_no_terrain_is_no_question() {
        for knock in [
            (|p| vehicle(p).profile = None) as Change,
            |p| vehicle(p).rear.suspension_rate = None,
            |p| {
                fit(p).points.clear();
            },
        ] {
            let told = |p: &mut crate::model::upfit::Upfit| {
                over_hump(p);
                p.limits.terrain_margin = Some(mm(0.0));
                knock(p);
            };
            assert_ne!(verdict(told), Verdict::Clear);
        }
        let wall = |p: &mut crate::model::upfit::Upfit| p.terrains = vec![ground(&[(0.0, 0.0), (1.0, 5000.0)])];
        let found = finding("terrain-touch", wall).unwrap();
        assert!(found.unknown && &*found.subject == "terrains[0]", "{found:?}");
        assert!(finding("terrain-touch", |_| ()).is_none());
    }
}
