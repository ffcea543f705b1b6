//! What is seen from above, and what is rolled over: the tail's swing, the first contact, the gap over a terrain.

use super::lines::{AS_GIVEN, Line, line, short};
use crate::{
    basis::{Seen, Source},
    calc::{roll_over::Touching, swing::Meets},
    model::upfit::Upfit,
    rules::{Figures, Finding, point_label},
    units::Length,
};

const PLAN: Source = Source::new("geometry in plan", "", Seen::Derived);
const RIGID: Source = Source::new("a rigid body on its springs, and two straight lines", "", Seen::Derived);
const ROLLED: Source = Source::new("a rigid vehicle rolled over the measured ground", "", Seen::Derived);

/// Derives how far the tail swings out.
pub(super) fn swing(plan: &Upfit, figures: &Figures, lines: &mut Vec<Line>) {
    let Some(tail) = plan.vehicle.tail else { return };
    let (Some(half), Some(face), Some(turn)) = (tail.half_width, tail.rear_face_station, tail.turn_radius) else {
        return;
    };
    let Some(Ok(swing)) = figures.turning.swing else { return };
    let ball = figures.ball_station.ok().filter(|_| plan.ball_mount.is_some() && !plan.hangs_in_bed());
    let (end, what) = match ball.filter(|ball| face < *ball) {
        Some(ball) => (ball, "the ball"),
        None => (face, "the rear face"),
    };
    let wheelbase = plan.vehicle.wheelbase;
    lines.push(line("turning radius of the rear axle", "as given", turn.mm(), "mm", AS_GIVEN));
    lines.push(line("half width", "as given", half.mm(), "mm", AS_GIVEN));
    let formula = format!("{what} {} mm - wheelbase {} mm", mm(end), mm(wheelbase));
    let overhang = end - wheelbase;
    lines.push(line("furthest behind the rear axle", formula, overhang.mm(), "mm", PLAN));
    let side = turn + half;
    let formula = format!("sqrt((R + w)^2 + o^2) - (R + w) = sqrt({}^2 + {}^2) - {}", mm(side), mm(overhang), mm(side));
    lines.push(line("tail swings out", formula, swing.mm(), "mm", PLAN));
}

/// Derives at which angle vehicle and trailer first touch.
pub(super) fn contact(plan: &Upfit, figures: &Figures, lines: &mut Vec<Line>) {
    let nose = plan.trailer.as_deref().and_then(|trailer| trailer.nose.as_ref());
    let (Some(nose), Ok(station)) = (nose, figures.ball_station) else { return };
    let (sides, ball, behind_what) = match plan.bed_coupling.as_deref() {
        Some(coupling) => {
            let slid = coupling.fit_for(&plan.vehicle.name).and_then(|(_, fit)| fit.turning_pin_station);
            let sides = plan.vehicle.bed.map(|bed| (bed.cab_half_width, bed.cab_back_station));
            (sides, slid.unwrap_or(station), "cab's back")
        }
        None => (plan.vehicle.tail.map(|tail| (tail.half_width, tail.rear_face_station)), station, "rear face"),
    };
    let Some((Some(half), Some(face))) = sides else { return };
    let (Some(behind), Some(aside)) = (nose.behind, nose.half_width) else { return };
    let Some(Ok(found)) = figures.turning.contact else { return };
    let Some((angle, meets)) = found.first else { return };
    let (w, g) = (half.mm(), (ball - face).mm());
    let formula = format!("ball or pin {} mm - {behind_what} {} mm", mm(ball), mm(face));
    lines.push(line(format!("{behind_what} to ball, g"), formula, g, "mm", PLAN));
    lines.push(line("half the vehicle's width, w", "as given", w, "mm", AS_GIVEN));
    let (what, [d, b]) = match meets {
        Meets::Point(index) => match nose.points.get(index) {
            Some(point) => (point.label.as_str(), [point.behind.mm(), point.aside.mm().abs()]),
            None => return,
        },
        _ => ("trailer's front corner", [behind.mm(), aside.mm()]),
    };
    lines.push(line(format!("{what}, behind the ball, d"), "as given", d, "mm", AS_GIVEN));
    lines.push(line(format!("{what}, off the middle, b"), "as given", b, "mm", AS_GIVEN));
    let (reach, corner) = (d.hypot(b), w.hypot(g));
    let on_face = |b: f64| (-g / reach).acos() - b.atan2(d);
    let on_side = |b: f64| std::f64::consts::PI - (w / reach).asin() - b.atan2(d);
    let face_of = |b: f64| format!("acos(-g / rho) - atan2(b, d), b {} mm, d {} mm", short(b), short(d));
    let side_of = |b: f64| format!("pi - asin(w / rho) - atan2(b, d), b {} mm, d {} mm", short(b), short(d));
    let all = match meets {
        Meets::CornerOnFace => vec![(on_face(b), face_of(b))],
        Meets::CornerOnSide => vec![(on_side(b), side_of(b))],
        Meets::VehicleCornerOnFront => {
            let formula =
                format!("asin(d / rho) + atan2(g, w), d {} mm, g {} mm, w {} mm", short(d), short(g), short(w));
            vec![((d / corner).asin() + g.atan2(w), formula)]
        }
        Meets::VehicleCornerOnSide => {
            let formula =
                format!("atan2(g, w) + acos(b / rho), b {} mm, g {} mm, w {} mm", short(b), short(g), short(w));
            vec![(g.atan2(w) + (b / corner).acos(), formula)]
        }
        // It may meet the face or the side, by turning either way.
        Meets::Point(_) => {
            [b, -b].into_iter().flat_map(|b| [(on_face(b), face_of(b)), (on_side(b), side_of(b))]).collect()
        }
    };
    let is_it = |(value, _): &(f64, String)| (value - angle.rad()).abs() <= 1e-9;
    let Some((value, formula)) = all.into_iter().find(is_it) else { return };
    let of_vehicle = matches!(meets, Meets::VehicleCornerOnFront | Meets::VehicleCornerOnSide);
    let (rho, how) = if of_vehicle { (corner, "hypot(w, g)") } else { (reach, "hypot(d, b)") };
    lines.push(line("ball to the corner that meets, rho", how, rho, "mm", PLAN));
    lines.push(line("articulation at the first contact", formula, value.to_degrees(), "deg", PLAN));
}

/// Derives the room behind the cab.
pub(super) fn behind_cab(plan: &Upfit, figures: &Figures, lines: &mut Vec<Line>) {
    let nose = plan.trailer.as_deref().and_then(|trailer| trailer.nose.as_ref());
    let (Some(nose), Some(Ok(found))) = (nose, figures.turning.cab_gap) else { return };
    let (what, behind, aside) = match found.point.and_then(|index| nose.points.get(index)) {
        Some(point) => (point.label.as_str(), Some(point.behind), Some(point.aside)),
        None => ("nose's corner", nose.behind, nose.half_width),
    };
    let Some((behind, aside)) = behind.zip(aside) else { return };
    let how = if behind < Length::ZERO {
        format!("sqrt({}^2 + {}^2)", mm(-behind), mm(aside.abs()))
    } else {
        "as far aside as it stands: crosswise it points forward".to_owned()
    };
    lines.push(line(format!("{what} about the pin, rho"), how, found.reach.mm(), "mm", PLAN));
    let room = found.gap + found.reach;
    lines.push(line("cab's back to the pin, c", "pin in the turn - cab's back", room.mm(), "mm", PLAN));
    let formula = format!("c - rho = {} - {}", mm(room), mm(found.reach));
    lines.push(line("room behind the cab", formula, found.gap.mm(), "mm", PLAN));
}

/// Derives the room above the rails.
pub(super) fn over_rails(plan: &Upfit, figures: &Figures, lines: &mut Vec<Line>) {
    let (Some(Ok(found)), Ok(face)) = (figures.rail_gap, figures.ball_height) else { return };
    let above = plan.trailer.as_deref().and_then(|trailer| trailer.underside_above_coupling);
    lines.push(line("face of the coupling, laden", "by the rigid body's pose", face.mm(), "mm", RIGID));
    if let Some(above) = above {
        lines.push(line("underside of the nose above it", "as given", above.mm(), "mm", AS_GIVEN));
    }
    let formula = format!("underside - rail where it is least, {} mm behind the front axle", mm(found.station));
    lines.push(line("room above the rails", formula, found.gap.mm(), "mm", RIGID));
}

/// Derives the least gap over a terrain.
pub(super) fn terrain(plan: &Upfit, figures: &Figures, finding: &Finding, lines: &mut Vec<Line>) {
    let index = finding.subject.strip_prefix("terrains[").and_then(|rest| rest.strip_suffix(']'));
    let Some(index) = index.and_then(|index| index.parse::<usize>().ok()) else { return };
    let Some(found) = figures.terrains.get(index) else { return };
    let both = [("unladen", found.unladen), ("laden", found.laden)];
    let known = both.into_iter().filter_map(|(load, rolled)| Some((load, rolled.ok()?)));
    let Some((load, rolled)) = known.into_iter().find(|(_, rolled)| Some(rolled.gap.mm()) == finding.value) else {
        return;
    };
    let from = if rolled.back { "the far end" } else { "the near end" };
    let (rear, front) = (rolled.stance.rear_hub, rolled.stance.front_hub);
    let stands = "z of the hub: the higher of z + r / cos(slope) and corner + sqrt(r^2 - dx^2)";
    for (word, hub) in [("rear", rear), ("front", front)] {
        let what = format!("{word} hub, {load}, {} mm from {from}", mm(hub.run));
        lines.push(line(what, stands, hub.rise.mm(), "mm", ROLLED));
    }
    let (run, rise) = (front.run - rear.run, front.rise - rear.rise);
    let formula =
        format!("atan(({} - {}) / {}) less what it is on level ground", mm(front.rise), mm(rear.rise), mm(run));
    lines.push(line("pitch, nose up", formula, rolled.stance.pitch.deg(), "deg", ROLLED));
    let apart = format!("sqrt({}^2 + {}^2)", mm(run), mm(rise));
    lines.push(line("hub to hub", apart, run.mm().hypot(rise.mm()), "mm", ROLLED));
    // The point in the vehicle's own measures, rear hub first: turned back by the pitch.
    let (sin, cos) = rolled.stance.pitch.rad().sin_cos();
    let (dx, dz) = ((rolled.at.run - rear.run).mm(), (rolled.at.rise - rear.rise).mm());
    let (ahead, above) = (dx * cos + dz * sin, dz * cos - dx * sin);
    let label = |index: usize| point_label(plan, index).to_owned();
    let part = match rolled.touching {
        Touching::Point(index) => label(index),
        Touching::Edge(index) => format!("edge from {} to {}", label(index), label(index + 1)),
    };
    let formula = format!(
        "z hub + a sin(pitch) + h cos(pitch) = {} + {} x {sin:.5} + {} x {cos:.5}",
        mm(rear.rise),
        short(ahead),
        short(above)
    );
    lines.push(line(
        format!("{part}, {} mm from {from}", mm(rolled.at.run)),
        formula,
        rolled.at.rise.mm(),
        "mm",
        ROLLED,
    ));
    let ground = rolled.at.rise - rolled.gap;
    lines.push(line("ground below it", "along the terrain between its corners", ground.mm(), "mm", ROLLED));
    let formula = format!("{} - {}", mm(rolled.at.rise), mm(ground));
    lines.push(line("gap", formula, rolled.gap.mm(), "mm", ROLLED));
}

fn mm(length: Length) -> String {
    short(length.mm())
}

#[cfg(test)]
mod tests {
    use crate::{
        explain::{Line, Stock, explain},
        model::upfit::Upfit,
        rules::run::fixture::*,
        units::Angle,
    };

    fn told(rule: &str, change: impl FnOnce(&mut Upfit)) -> Vec<Line> {
        let mut plan = plan();
        change(&mut plan);
        let all = explain(&plan, &Stock::default()).why;
        all.into_iter().find(|why| why.finding.rule.id == rule).unwrap_or_else(|| panic!("{rule} is silent")).lines
    }

    fn value(lines: &[Line], what: &str) -> f64 {
        lines.iter().find(|line| line.what.starts_with(what)).unwrap_or_else(|| panic!("{what}: {lines:?}")).value
    }

    #[test]
    fn a_swing_is_told_by_radius_width_and_overhang() {
        let lines = told("tail-swing", |p| {
            seen_from_above(p);
            p.limits.tail_swing_max = Some(mm(100.0));
        });
        // Derived: the ball 1280 mm behind the axle, on a side 7000 mm from the centre of the turn.
        assert_eq!(value(&lines, "furthest behind"), 1280.0);
        assert!((value(&lines, "tail swings out") - (7000.0_f64.hypot(1280.0) - 7000.0)).abs() < 1e-9);
        assert!(lines.iter().any(|line| line.formula.ends_with("sqrt(7000^2 + 1280^2) - 7000")), "{lines:?}");
    }

    #[test]
    fn a_contact_is_told_by_the_corner_that_meets() {
        // Worked contacts, derived: 57.4076° on the face; with a handle far ahead, the handle first.
        let asked = |p: &mut Upfit| {
            seen_from_above(p);
            vehicle(p).tail.as_mut().unwrap().half_width = Some(mm(2000.0));
            trailer(p).nose.as_mut().unwrap().behind = Some(mm(1100.0));
            p.limits.articulation_min = Some(Angle::from_deg(80.0));
        };
        let lines = told("jack-knife-contact", asked);
        assert!((value(&lines, "articulation") - 57.4076).abs() < 0.5e-4, "{lines:?}");
        assert_eq!(value(&lines, "rear face to ball"), 250.0);
        let narrow = told("jack-knife-contact", |p| {
            asked(p);
            vehicle(p).tail.as_mut().unwrap().half_width = Some(mm(900.0));
            p.limits.articulation_min = Some(Angle::from_deg(130.0));
        });
        assert!(narrow.iter().any(|line| line.what.starts_with("articulation")), "{narrow:?}");
    }

    #[test]
    fn a_gap_is_told_by_hubs_pitch_and_ground() {
        let lines = told("terrain-touch", |p| p.terrains = vec![ground(&[(0.0, 0.0), (3000.0, 600.0)])]);
        // Worked sweep, derived: 5.8323 mm unladen; laden it drags, and that governs.
        let (height, ground) = (value(&lines, "receiver bottom"), value(&lines, "ground below it"));
        assert!((height - ground - value(&lines, "gap")).abs() < 1e-9, "{lines:?}");
        let hub = value(&lines, "hub to hub");
        assert!((hub - 3640.0).abs() < 50.0, "the wheelbase, a little turned: {hub}");
        assert!(lines.iter().any(|line| line.what.starts_with("pitch") && line.unit == "deg"));
    }
}
