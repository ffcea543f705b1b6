//! Laws, a stepwise brute force, and a general geometry library as a second opinion.

use geo::{ConvexHull, Coord, LineString, MultiPoint, Point as GeoPoint};
use proptest::prelude::*;

use super::{handbook::profile, *};
use crate::{calc::example_van::WHEELS, model::profile::ProfileJoin};

const R: f64 = 345.0;
const L: f64 = 3640.0;

const fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

/// The tangent angle in radians, or `None` inside the tyre.
fn angle(u: f64, z: f64, r: f64) -> Option<f64> {
    tangent(mm(u), mm(z), mm(r)).ok().map(Angle::rad)
}

/// Takes the tangent off the convex hull of the point and a tyre of many corners.
fn by_hull(u: f64, z: f64, r: f64) -> f64 {
    const CORNERS: u32 = 7200;
    let mut cloud: Vec<GeoPoint<f64>> = (0..CORNERS)
        .map(|corner| {
            let turn = f64::from(corner) / f64::from(CORNERS) * std::f64::consts::TAU;
            GeoPoint::new(r * turn.sin(), r - r * turn.cos())
        })
        .collect();
    let tip = Coord { x: u, y: z };
    cloud.push(tip.into());
    let hull: LineString<f64> = MultiPoint::new(cloud).convex_hull().exterior().clone();
    hull.lines()
        .filter_map(|side| match (side.start == tip, side.end == tip) {
            (true, false) => Some(side.end),
            (false, true) => Some(side.start),
            _ => None,
        })
        .map(|touch| (z - touch.y).atan2(u - touch.x))
        .fold(f64::NEG_INFINITY, f64::max)
}

/// Steps along every edge and takes the least sum; samples inside a tyre count as no part of the edge.
fn by_steps(points: &[(f64, f64)], step: f64) -> f64 {
    let mut least = f64::INFINITY;
    for pair in points.windows(2) {
        let ((s0, z0), (s1, z1)) = (pair[0], pair[1]);
        let count = ((s1 - s0) / step).ceil().max(1.0);
        for index in 0..=count as u32 {
            let share = f64::from(index) / count;
            let (s, z) = (s0 + share * (s1 - s0), z0 + share * (z1 - z0));
            if s <= 0.0 || s >= L {
                continue;
            }
            if let (Some(front), Some(rear)) = (angle(s, z, R), angle(L - s, z, R)) {
                least = least.min(front + rear);
            }
        }
    }
    least
}

fn ramp_over(join: ProfileJoin, points: &[(f64, f64)]) -> Governed {
    ramp(&Underside::of(&profile(join, points)), &Pose::as_measured(WHEELS)).unwrap()
}

fn rising() -> impl Strategy<Value = Vec<(f64, f64)>> {
    prop::collection::vec((500.0..3140.0_f64, 60.0..450.0_f64), 2..8).prop_map(|mut points| {
        points.sort_by(|one, next| one.0.total_cmp(&next.0));
        points
    })
}

#[test]
fn the_hull_of_a_geometry_library_gives_the_same_tangents() {
    for (u, z) in [(820.0, 260.0), (1280.0, 255.0), (1350.0, 210.0), (900.0, 345.0), (900.0, 690.0), (400.0, 30.0)] {
        let (ours, theirs) = (angle(u, z, R).unwrap(), by_hull(u, z, R));
        // A tyre of 7200 corners lies at most r · (1 − cos(π / 7200)), 0.03 µm, inside the round one.
        assert!((ours - theirs).abs() < 1e-6, "{u} {z}: {ours} {theirs}");
    }
}

#[test]
fn a_profile_that_passes_the_wheels_is_clipped_to_what_lies_between() {
    let whole = [(-820.0, 260.0), (1820.0, 200.0), (3640.0, 230.0), (4820.0, 255.0)];
    let got = ramp_over(ProfileJoin::StraightEdges, &whole);
    let steps = by_steps(&whole, 0.5);
    assert!(got.angle.rad() <= steps + 1e-12 && steps - got.angle.rad() < 1e-6, "{} {steps}", got.angle.rad());
    // One edge from bumper to bumper, no corner between the axles at all, has no angle of its own to start from.
    let bare = [(-820.0, 230.0), (4820.0, 230.0)];
    let got = ramp_over(ProfileJoin::StraightEdges, &bare);
    assert!((got.angle.rad() - by_steps(&bare, 0.5)).abs() < 1e-6);
    assert!((got.at.station.mm() - L / 2.0).abs() < 0.01 && got.on_edge);
}

proptest! {
    #[test]
    fn hulls_agree_everywhere(u in 360.0..3000.0_f64, z in 0.0..900.0_f64, r in 250.0..350.0_f64) {
        prop_assert!((angle(u, z, r).unwrap() - by_hull(u, z, r)).abs() < 1e-5);
    }

    #[test]
    fn steps_never_find_less_and_come_close(points in rising()) {
        let got = ramp_over(ProfileJoin::StraightEdges, &points).angle.rad();
        let steps = by_steps(&points, 1.0);
        prop_assert!(got <= steps + 1e-12, "{got} {steps}");
        prop_assert!(steps - got < 1e-5, "{got} {steps}");
        // And what was found is really there.
        let at = ramp_over(ProfileJoin::StraightEdges, &points).at;
        let there = angle(at.station.mm(), at.height.mm(), R).unwrap()
            + angle(L - at.station.mm(), at.height.mm(), R).unwrap();
        prop_assert!((there - got).abs() < 1e-12);
    }

    /// Corners close to the wheels and steep edges between them: the feet lie on the edges, several turns are possible.
    #[test]
    fn steps_never_find_less_on_steep_edges_either(
        points in prop::collection::vec((360.0..3280.0_f64, 0.0..1500.0_f64), 2..6),
    ) {
        let mut points = points;
        points.sort_by(|one, next| one.0.total_cmp(&next.0));
        let got = ramp_over(ProfileJoin::StraightEdges, &points).angle.rad();
        let steps = by_steps(&points, 1.0);
        prop_assert!(got <= steps + 1e-9, "{got} {steps}");
    }

    #[test]
    fn edges_and_further_points_never_raise_an_angle(points in rising(), s in 500.0..3140.0_f64, z in 60.0..450.0_f64) {
        let separate = ramp_over(ProfileJoin::SeparatePoints, &points).angle;
        prop_assert!(ramp_over(ProfileJoin::StraightEdges, &points).angle <= separate);
        let mut more = points;
        more.push((s, z));
        prop_assert!(ramp_over(ProfileJoin::SeparatePoints, &more).angle <= separate);
    }

    #[test]
    fn lower_or_further_back_means_less_angle(
        u in 400.0..3000.0_f64, z in 1.0..690.0_f64, down in 0.0..1.0_f64, back in 0.0..2000.0_f64,
    ) {
        let here = angle(u, z, R).unwrap();
        prop_assert!(angle(u, z * (1.0 - down), R).unwrap() <= here);
        prop_assert!(angle(u + back, z, R).unwrap() <= here);
    }

    #[test]
    fn the_least_departure_is_the_least_of_all_points(list in prop::collection::vec((4000.0..7000.0_f64, 0.0..900.0_f64), 1..10)) {
        let governed = departure(
            &Underside::of(&profile(ProfileJoin::SeparatePoints, &list)), &Pose::as_measured(WHEELS),
        ).unwrap();
        let each = |&(s, z): &(f64, f64)| angle(s - L, z, R).unwrap();
        let least = list.iter().map(each).fold(f64::INFINITY, f64::min);
        prop_assert!((governed.angle.rad() - least).abs() < 1e-14);
        prop_assert!((each(&list[governed.index]) - least).abs() < 1e-14);
    }

    #[test]
    fn a_tangent_solves_for_each_unknown(u in 400.0..3000.0_f64, z in 1.0..690.0_f64, r in 200.0..399.0_f64) {
        let alpha = tangent(mm(u), mm(z), mm(r)).unwrap();
        prop_assume!(alpha.deg() < 85.0);
        prop_assert!((height_for_angle(mm(u), alpha, mm(r)).unwrap().mm() - z).abs() < 1e-7);
        // The tangent touches the arc: its distance from the hub is the radius.
        let off = u * alpha.rad().sin() + (r - z) * alpha.rad().cos();
        prop_assert!((off - r).abs() < 1e-9);
        if alpha.deg() > 0.05 {
            prop_assert!((station_for_angle(mm(z), alpha, mm(r)).unwrap().mm() - u).abs() < 1e-6);
        }
    }

    #[test]
    fn one_radius_is_the_two_radius_form_with_both_the_same(u in 400.0..3000.0_f64, z in 0.0..900.0_f64) {
        let two = tangent_two_radius(mm(u), mm(z), mm(R), mm(R)).unwrap().rad();
        prop_assert!((two - angle(u, z, R).unwrap()).abs() < 1e-9);
    }

    #[test]
    fn slopes_are_those_of_the_angle(u in 450.0..3000.0_f64, z in 5.0..690.0_f64) {
        let slope = sensitivity(mm(u), mm(z), mm(R)).unwrap();
        let h = 1e-3;
        let by_difference = |more: f64, less: f64| (more - less) / (2.0 * h);
        let at = |du: f64, dz: f64, dr: f64| angle(u + du, z + dz, R + dr).unwrap();
        prop_assert!((slope.distance.rad() - by_difference(at(h, 0.0, 0.0), at(-h, 0.0, 0.0))).abs() < 1e-8);
        prop_assert!((slope.height.rad() - by_difference(at(0.0, h, 0.0), at(0.0, -h, 0.0))).abs() < 1e-8);
        prop_assert!((slope.radius.rad() - by_difference(at(0.0, 0.0, h), at(0.0, 0.0, -h))).abs() < 1e-8);
    }
}
