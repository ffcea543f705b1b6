//! Worked by hand and by stepping through turns and stations.

use proptest::prelude::*;

use super::*;

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

fn at(behind: f64, aside: f64) -> PlanPoint {
    PlanPoint { behind: mm(behind), aside: mm(aside) }
}

fn bed(face: f64, level: f64) -> OverRails {
    let point = |station: f64, height: f64| Point { station: mm(station), height: mm(height) };
    OverRails {
        face: point(3600.0, face),
        rails: [point(2400.0, 1400.0), point(4600.0, 1400.0)],
        ahead: mm(1000.0),
        above_face: mm(350.0),
        level: mm(level),
        to_axle: mm(6000.0),
    }
}

/// Derived by hand: a right triangle of 900 and 1200 has a long side of 1500.
#[test]
fn a_corner_turns_on_the_long_side_of_its_triangle() {
    let found = cab_gap(mm(1600.0), at(-900.0, 1200.0), &[]).unwrap();
    assert_eq!((found.reach, found.gap, found.point), (mm(1500.0), mm(100.0), None));
    let boxed = cab_gap(mm(1600.0), at(-900.0, 1200.0), &[at(200.0, 1550.0), at(-1400.0, 100.0)]).unwrap();
    assert_eq!((boxed.reach, boxed.point), (mm(1550.0), Some(0)), "crosswise it is as far forward as it stood aside");
}

/// Derived by hand: level 1250 + 350 - 1400 = 200; 60 mm high over 6 m the rails' end, 1 m behind the pin, loses 10 mm of
/// the 60 gained, and the nose, 1 m ahead, gains 10.
#[test]
fn a_high_coupling_lowers_the_tail_of_the_overhang() {
    let level = rail_gap(&bed(1250.0, 1250.0)).unwrap();
    assert_eq!(level.gap, mm(200.0));
    let high = rail_gap(&bed(1310.0, 1250.0)).unwrap();
    assert!((high.gap - mm(250.0)).mm().abs() < 1e-9 && high.station == mm(4600.0), "{high:?}");
    let low = rail_gap(&bed(1190.0, 1250.0)).unwrap();
    assert!((low.gap - mm(130.0)).mm().abs() < 1e-9 && low.station == mm(2600.0), "{low:?}");
}

#[test]
fn ranges_and_beds_that_end_too_early_are_told() {
    assert_eq!(cab_gap(mm(-1.0), at(-900.0, 1200.0), &[]).unwrap_err().field(), "cab_to_pin_mm");
    assert_eq!(cab_gap(mm(1600.0), at(-4001.0, 1200.0), &[]).unwrap_err().field(), "behind_ball_mm");
    let mut short = bed(1250.0, 1250.0);
    short.rails[1].station = mm(2500.0);
    assert!(matches!(rail_gap(&short), Err(CalcError::Conflict { .. })));
    assert_eq!(
        rail_gap(&OverRails { to_axle: mm(1.0), ..bed(1250.0, 1250.0) }).unwrap_err().field(),
        "coupler_to_axle_mm"
    );
}

proptest! {
    /// No step of the turn brings the nose nearer to the cab than the circle says, and one comes as near.
    #[test]
    fn the_circle_is_the_nearest_of_all_steps(
        room in 0.0..4000.0f64, behind in -2500.0..400.0f64, aside in 0.0..1600.0f64,
    ) {
        let found = cab_gap(mm(room), at(behind, aside), &[]).unwrap();
        let steps = 20_000;
        let nearest = (0..=steps).map(|step| {
            let (sin, cos) = (f64::from(step) / f64::from(steps) * std::f64::consts::FRAC_PI_2).sin_cos();
            // Both corners, turned one way.
            room - [aside, -aside].map(|b| -behind * cos + b * sin).into_iter().fold(f64::NEG_INFINITY, f64::max)
        });
        let nearest = nearest.fold(f64::INFINITY, f64::min);
        // A step of the turn is 7.9e-5 rad: a corner at rho falls short of its highest by at most rho step^2 / 8.
        prop_assert!(found.gap.mm() <= nearest + 1e-9 && nearest - found.gap.mm() < 3000.0 * 7.9e-5 * 7.9e-5, "{found:?} {nearest}");
    }

    /// No station between them has less room than the two ends.
    #[test]
    fn no_station_has_less_room(
        face in 900.0..1500.0f64, level in 900.0..1500.0f64, front in 1000.0..1600.0f64, end in 1000.0..1600.0f64,
        ahead in 100.0..2500.0f64,
    ) {
        let mut room = OverRails { ahead: mm(ahead), ..bed(face, level) };
        room.rails[0].height = mm(front);
        room.rails[1].height = mm(end);
        let found = rail_gap(&room).unwrap();
        let from = (3600.0 - ahead).max(2400.0);
        let least = (0..=500).map(|step| {
            let s = from + (4600.0 - from) * f64::from(step) / 500.0;
            let rail = front * (4600.0 - s) / 2200.0 + end * (s - 2400.0) / 2200.0;
            face + 350.0 - (s - 3600.0) * ((face - level) / 6000.0) - rail
        });
        let least = least.fold(f64::INFINITY, f64::min);
        prop_assert!((found.gap.mm() - least).abs() < 1e-8, "{found:?} {least}");
    }
}
