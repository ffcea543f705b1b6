//! Worked figures.

use super::*;
use crate::{
    calc::{
        axles::axle_loads,
        example_van::{ITEMS, SOURCE, TONGUE, WHEELS, axles, sag_input},
        printed::prints,
        sag::{Model, sag},
    },
    model::profile::{Profile, ProfileJoin, ProfilePoint},
    units::Mass,
};

const fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

pub(super) fn point(label: &str, station: f64, height: f64) -> ProfilePoint {
    ProfilePoint { label: label.to_owned(), station: mm(station), height: mm(height) }
}

pub(super) fn profile(join: ProfileJoin, points: &[(f64, f64)]) -> Profile {
    Profile { points: points.iter().map(|&(s, z)| point("", s, z)).collect(), join }
}

/// What it is, distance, height, exact angle, and the two rules of thumb where they are printed.
type Tangent = (&'static str, f64, f64, &'static str, Option<[&'static str; 2]>);

/// At a radius of 345 mm.
#[rustfmt::skip]
const TANGENTS: &[Tangent] = &[
    ("front lip",        820.0, 260.0, "18.8212", Some(["17.5924", "28.695"])),
    ("receiver bottom", 1280.0, 255.0, "11.5749", Some(["11.2669", "15.255"])),
    ("ball mount tip",  1290.0, 330.0, "14.8448", Some(["14.3493", "19.250"])),
    ("low hitch",       1350.0, 210.0,  "9.0208", Some([ "8.8418", "11.802"])),
    ("z = r",            900.0, 345.0, "22.5403", None),
    ("z = 2r",           900.0, 690.0, "41.9470", None),
    ("z = 0",            900.0,   0.0,  "0.0000", None),
];

#[test]
fn tangents_are_the_printed_ones_and_the_rules_of_thumb_lie_on_either_side() {
    for (what, u, z, exact, thumbs) in TANGENTS {
        let got = tangent(mm(*u), mm(*z), mm(345.0)).unwrap().deg();
        prints(&format!("{SOURCE}, {what}"), exact, got);
        if let Some([low, high]) = thumbs {
            prints("rule of thumb from the contact patch, derived", low, (z / u).atan().to_degrees());
            prints("rule of thumb from the tread's edge, derived", high, (z / (u - 345.0)).atan().to_degrees());
            assert!((z / u).atan().to_degrees() < got && got < (z / (u - 345.0)).atan().to_degrees());
        }
    }
    let free = |u, z| tangent_two_radius(mm(u), mm(z), mm(345.0), mm(362.0)).unwrap().deg();
    prints(SOURCE, "20.1291", free(820.0, 260.0));
    prints(SOURCE, "12.3645", free(1280.0, 255.0));
}

#[test]
fn closed_forms_hold_at_the_special_heights() {
    // Derived: z = r gives asin(r / u), z = 2r gives 2 · atan(r / u).
    let at = |z| tangent(mm(900.0), mm(z), mm(345.0)).unwrap().rad();
    assert!((at(345.0) - (345.0_f64 / 900.0).asin()).abs() < 1e-14);
    assert!((at(690.0) - 2.0 * (345.0_f64 / 900.0).atan()).abs() < 1e-14);
    assert_eq!(at(0.0), 0.0);
}

#[test]
fn three_millimetres_of_tape_are_worth_what_is_printed() {
    let (u, z, r) = (mm(1280.0), mm(255.0), mm(345.0));
    let nominal = tangent(u, z, r).unwrap();
    let off = |u, z, r| (tangent(u, z, r).unwrap() - nominal).deg();
    let three = mm(3.0);
    prints(SOURCE, "0.1362", off(u, z + three, r));
    prints(SOURCE, "-0.0278", off(u + three, z, r));
    prints(SOURCE, "0.0028", off(u, z, r + three));
    let each = sensitivity(u, z, r).unwrap();
    for (exact, slope) in [
        (off(u, z + three, r), each.height),
        (off(u + three, z, r), each.distance),
        (off(u, z, r + three), each.radius),
    ] {
        assert!((slope.deg() * 3.0 - exact).abs() < 2e-4, "{} {exact}", slope.deg() * 3.0);
    }
    // All three the wrong way: 0.136 + 0.028 + 0.003.
    prints("derived", "0.167", tape_uncertainty(u, z, r, three).unwrap().deg());
    let receiver = Point::from_mm(3640.0 + 1280.0, 255.0);
    prints("derived", "0.167", uncertainty(Kind::Departure, receiver, &WHEELS, three).unwrap().deg());
    let lip = Point::from_mm(-1280.0, 255.0);
    prints("derived", "0.167", uncertainty(Kind::Approach, lip, &WHEELS, three).unwrap().deg());
    // In the middle between equal wheels an error of the station cancels; one of the height counts twice.
    let belly = tape_uncertainty(mm(1820.0), mm(200.0), r, three).unwrap();
    let station = sensitivity(mm(1820.0), mm(200.0), r).unwrap().distance.abs() * 3.0;
    let ramp = uncertainty(Kind::Ramp, Point::from_mm(1820.0, 200.0), &WHEELS, three).unwrap();
    assert!((ramp - (belly - station) * 2.0).deg().abs() < 1e-12);
}

/// Distance from the front wheel, height, both angles and their sum, and the two rules of thumb.
#[rustfmt::skip]
const RAMPS: &[(&str, f64, f64, [&str; 5])] = &[
    ("belly",         1820.0, 200.0, ["6.3370", "6.3370", "12.6741", "12.5422", "12.5422"]),
    ("forward point", 1400.0, 200.0, ["8.2756", "5.1375", "13.4131", "13.2323", "12.5422"]),
    ("rear tank",     2200.0, 190.0, ["4.9697", "7.6372", "12.6068", "12.4525", "11.9197"]),
    ("35 mm lower",   1820.0, 165.0, ["5.2252", "5.2252", "10.4504", "10.3605", "10.3605"]),
];

fn ramp_at(join: ProfileJoin, points: &[(f64, f64)]) -> Governed {
    ramp(&Underside::of(&profile(join, points)), &Pose::as_measured(WHEELS)).unwrap()
}

#[test]
fn ramp_angles_are_the_printed_ones() {
    for (what, s, z, [front, rear, sum, thumb, thinner]) in RAMPS {
        let source = format!("{SOURCE}, {what}");
        prints(&source, front, tangent(mm(*s), mm(*z), mm(345.0)).unwrap().deg());
        prints(&source, rear, tangent(mm(3640.0 - s), mm(*z), mm(345.0)).unwrap().deg());
        prints(&source, sum, ramp_at(ProfileJoin::SeparatePoints, &[(*s, *z)]).angle.deg());
        prints(&source, thumb, ((z / s).atan() + (z / (3640.0 - s)).atan()).to_degrees());
        prints(&source, thinner, 2.0 * (2.0 * z / 3640.0).atan().to_degrees());
    }
}

#[test]
fn edges_govern_where_corners_would_flatter() {
    let pan = [(1000.0, 200.0), (2640.0, 200.0)];
    // The example prints 16.068; by bisection of the tangent condition it is 16.0675, which rounds to 16.067.
    prints(SOURCE, "16.067", ramp_at(ProfileJoin::SeparatePoints, &pan).angle.deg());
    let middle = ramp_at(ProfileJoin::StraightEdges, &pan);
    prints(SOURCE, "12.674", middle.angle.deg());
    prints(SOURCE, "1820.0", middle.at.station.mm());
    assert!(middle.on_edge && middle.index == 0);

    let three = [(1400.0, 200.0), (1820.0, 200.0), (2200.0, 190.0)];
    let tank = ramp_at(ProfileJoin::SeparatePoints, &three);
    prints(SOURCE, "12.6068", tank.angle.deg());
    assert_eq!((tank.index, tank.on_edge), (2, false));
    let edge = ramp_at(ProfileJoin::StraightEdges, &three);
    prints(SOURCE, "12.495", edge.angle.deg());
    prints(SOURCE, "2034.5", edge.at.station.mm());
    assert_eq!((edge.index, edge.on_edge), (1, true));
}

fn laden() -> crate::calc::sag::Sag {
    let loads = axle_loads(&axles(&ITEMS, Some(TONGUE))).unwrap();
    sag(&sag_input(loads.front - Mass::from_kg(1250.0), loads.rear - Mass::from_kg(1010.0))).unwrap()
}

/// The underside of the worked sweeps, with the receiver as a fitted part.
fn van() -> (Profile, Vec<ProfilePoint>) {
    let body = Profile {
        points: vec![point("front lip", -820.0, 260.0), point("belly", 1820.0, 200.0)],
        join: ProfileJoin::SeparatePoints,
    };
    (body, vec![point("receiver bottom", 4920.0, 255.0)])
}

#[test]
fn the_laden_van_stands_as_printed() {
    let (body, fitted) = van();
    let underside = Underside::of(&body).with_fitted(&fitted);
    let sag = laden();
    let linear = clearances(&underside, &Pose::linear(&sag)).unwrap();
    prints(SOURCE, "5.6023", linear.departure.as_ref().unwrap().angle.deg());
    prints(SOURCE, "19.8559", linear.approach.as_ref().unwrap().angle.deg());
    prints(SOURCE, "9.3366", linear.ramp.as_ref().unwrap().angle.deg());
    let pose = Pose::rigid_body(&sag);
    assert_eq!((pose.model(), Pose::linear(&sag).model()), (Model::RigidBody, Model::Linear));
    let rigid = clearances(&underside, &pose).unwrap();
    prints(SOURCE, "5.6157", rigid.departure.as_ref().unwrap().angle.deg());
    let lowest = rigid.lowest.unwrap();
    assert_eq!(underside.label(lowest.index), Some("receiver bottom"));
}

#[test]
fn a_swap_is_the_same_sum_on_two_sets_of_points() {
    let (body, fitted) = van();
    let low = vec![point("low hitch", 3640.0 + 1350.0, 210.0)];
    let pose = Pose::as_measured(WHEELS);
    let (before, after) = (Underside::of(&body).with_fitted(&fitted), Underside::of(&body).with_fitted(&low));
    let swap = swap((&before, &pose), (&after, &pose)).unwrap();
    prints(SOURCE, "11.5749", swap.before.departure.as_ref().unwrap().angle.deg());
    prints(SOURCE, "9.0208", swap.after.departure.as_ref().unwrap().angle.deg());
    prints("derived: 1 − 9.0208 / 11.5749", "0.2207", swap.departure_loss().unwrap());
    assert_eq!(swap.before.ramp, swap.after.ramp);
}

#[test]
fn a_ball_mount_left_in_counts_behind_the_receiver() {
    let (body, fitted) = van();
    let mount = [Point::from_mm(3640.0 + 1350.0, 210.0)];
    let underside = Underside::of(&body).with_fitted(&fitted).with_mount(&mount);
    let governed = departure(&underside, &Pose::as_measured(WHEELS)).unwrap();
    prints(SOURCE, "9.0208", governed.angle.deg());
    assert_eq!((governed.index, underside.label(governed.index)), (3, Some("ball mount")));
    assert_eq!(
        (underside.label(0), underside.label(2), underside.label(4)),
        (Some("front lip"), Some("receiver bottom"), None)
    );
}

#[test]
fn a_point_inside_the_tyre_is_an_input_error_and_an_axle_part_is_not() {
    let inside = profile(ProfileJoin::SeparatePoints, &[(-250.0, 300.0), (1820.0, 200.0)]);
    let pose = Pose::as_measured(WHEELS);
    assert_eq!(approach(&Underside::of(&inside), &pose).unwrap_err().field(), "height_mm");
    assert!(tangent(mm(250.0), mm(300.0), mm(345.0)).is_err());
    // A differential at the axle sits low beside the tyres: it governs nothing but the lowest point.
    let with_axle = profile(ProfileJoin::StraightEdges, &[(1820.0, 200.0), (3630.0, 180.0), (4920.0, 255.0)]);
    let got = clearances(&Underside::of(&with_axle), &pose).unwrap();
    prints(SOURCE, "11.5749", got.departure.unwrap().angle.deg());
    assert_eq!(got.lowest.unwrap().at, Point::from_mm(3630.0, 180.0));
    assert!(got.ramp.is_ok());
}

#[test]
fn what_is_missing_or_out_of_order_is_named() {
    let pose = Pose::as_measured(WHEELS);
    let belly = profile(ProfileJoin::SeparatePoints, &[(1820.0, 200.0)]);
    let got = clearances(&Underside::of(&belly), &pose).unwrap();
    assert!(matches!(got.approach, Err(CalcError::Missing { by: "the approach angle", .. })));
    assert!(matches!(got.departure, Err(CalcError::Missing { by: "the departure angle", .. })));
    assert!(got.ramp.is_ok());
    let back = profile(ProfileJoin::StraightEdges, &[(1820.0, 200.0), (1400.0, 200.0)]);
    assert_eq!(ramp(&Underside::of(&back), &pose).unwrap_err().field(), "station_mm");
    let wheels = Wheels { rear_radius: mm(20.0), ..WHEELS };
    assert_eq!(lowest(&Underside::of(&belly), &Pose::as_measured(wheels)).unwrap_err().field(), "rear_radius_mm");
    let deep = profile(ProfileJoin::SeparatePoints, &[(1820.0, f64::NAN)]);
    assert_eq!(lowest(&Underside::of(&deep), &pose).unwrap_err().field(), "height_mm");
}
