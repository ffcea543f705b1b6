//! Oracles that must come out as nothing, worked sweeps and worked stances.

use super::*;
use crate::{
    calc::{
        clearance::{Wheels, tangent},
        example_van::WHEELS,
        printed::prints,
    },
    model::{
        profile::{Profile, ProfilePoint},
        terrain::GroundPoint,
    },
};

const SOURCE: &str = "worked sweep of an invented van, derived";
const L: f64 = 3640.0;
const R: f64 = 345.0;

pub(super) fn terrain(points: &[(f64, f64)]) -> Terrain {
    let points = points
        .iter()
        .map(|&(run, rise)| GroundPoint { run: Length::from_mm(run), rise: Length::from_mm(rise) })
        .collect();
    Terrain { name: String::new(), label: String::new(), points }
}

/// Takes points as distance forward of the rear axle and height, from the tail on.
pub(super) fn profile(join: ProfileJoin, forward: &[(f64, f64)]) -> Profile {
    let points = forward
        .iter()
        .rev()
        .map(|&(a, z)| ProfilePoint {
            label: format!("{a}"),
            station: Length::from_mm(L - a),
            height: Length::from_mm(z),
        })
        .collect();
    Profile { points, join }
}

pub(super) fn roll(wheels: Wheels, profile: &Profile, terrain: &Terrain) -> RollOver {
    let (underside, pose) = (Underside::of(profile), Pose::as_measured(wheels));
    roll_over(&RollInput { underside: &underside, pose: &pose, terrain }).unwrap()
}

fn at(profile: &Profile, terrain: &Terrain, x: f64) -> Contact {
    let (underside, pose) = (Underside::of(profile), Pose::as_measured(WHEELS));
    gap_at(&RollInput { underside: &underside, pose: &pose, terrain }, Length::from_mm(x)).unwrap()
}

fn one(a: f64, z: f64) -> Profile {
    profile(ProfileJoin::SeparatePoints, &[(a, z)])
}

fn alpha(u: f64, z: f64) -> f64 {
    tangent(Length::from_mm(u), Length::from_mm(z), Length::from_mm(R)).unwrap().rad()
}

const VAN: [(f64, f64); 7] = [
    (-1290.0, 330.0),
    (-1280.0, 255.0),
    (-1180.0, 255.0),
    (0.0, 230.0),
    (1820.0, 200.0),
    (3640.0, 220.0),
    (4460.0, 260.0),
];

const E1: [(f64, f64); 2] = [(0.0, 0.0), (3000.0, 450.0)];
const E2: [(f64, f64); 2] = [(0.0, 0.0), (3000.0, 600.0)];
const E3: [(f64, f64); 4] = [(0.0, 0.0), (1000.0, 100.0), (1500.0, 100.0), (2500.0, 0.0)];
const E4: [(f64, f64); 2] = [(-3000.0, 600.0), (0.0, 0.0)];

/// What is rolled, over what plane angle, where it must just touch.
#[test]
fn a_plane_at_the_tangent_angle_just_touches() {
    let far = 20_000.0;
    // Up a plane at exactly the approach angle: the lip touches as the front wheel does.
    let lip = alpha(820.0, 260.0);
    prints(SOURCE, "57.180", R * (lip / 2.0).tan());
    let x = -(R * (lip / 2.0).tan()) - L;
    prints(SOURCE, "-3697.180", x);
    let up = terrain(&[(0.0, 0.0), (far, far * lip.tan())]);
    let touch = at(&one(L + 820.0, 260.0), &up, x);
    assert!(touch.gap.mm().abs() < 1e-6, "{touch:?}");
    let rolled = roll(WHEELS, &one(L + 820.0, 260.0), &up);
    assert!(rolled.least.gap.mm().abs() < 1e-6, "{rolled:?}");

    // Down a plane at exactly the departure angle: the receiver touches as the rear wheel leaves it.
    let receiver = alpha(1280.0, 255.0);
    let x = R * (receiver / 2.0).tan();
    prints(SOURCE, "34.967", x);
    let down = terrain(&[(-far, far * receiver.tan()), (0.0, 0.0)]);
    let touch = at(&one(-1280.0, 255.0), &down, x);
    assert!(touch.gap.mm().abs() < 1e-6, "{touch:?}");
    let rolled = roll(WHEELS, &one(-1280.0, 255.0), &down);
    assert!(rolled.least.gap.mm().abs() < 1e-6, "{rolled:?}");
}

#[test]
fn a_ridge_at_the_ramp_angle_just_touches() {
    let far = 20_000.0;
    for (back, z, rear_hub, level) in [(1820.0, 200.0, -1820.0, true), (1400.0, 200.0, -2240.0, false)] {
        let (front, rear) = (alpha(back, z), alpha(L - back, z));
        let ridge = terrain(&[(-far, -far * rear.tan()), (0.0, 0.0), (far, -far * front.tan())]);
        let point = one(L - back, z);
        let touch = at(&point, &ridge, rear_hub);
        assert!(touch.gap.mm().abs() < 1e-6, "{touch:?}");
        assert_eq!(touch.ground_corner, Some(1));
        if level {
            assert!(touch.stance.pitch.deg().abs() < 1e-9);
        }
        let rolled = roll(WHEELS, &point, &ridge);
        assert!(rolled.least.gap.mm().abs() < 1e-6, "{rolled:?}");
        assert!((rolled.least.stance.rear_hub.run.mm() - rear_hub).abs() < 1e-3, "{rolled:?}");
    }
}

#[test]
fn on_level_ground_the_gap_is_the_height() {
    let flat = terrain(&[(0.0, 0.0), (5000.0, 0.0)]);
    let rolled = roll(WHEELS, &profile(ProfileJoin::StraightEdges, &VAN), &flat);
    for (contact, (_, z)) in rolled.by_point.iter().zip(VAN.iter().rev()) {
        assert!((contact.gap.mm() - z).abs() < 1e-9);
    }
    assert!((rolled.least.gap.mm() - 200.0).abs() < 1e-9 && rolled.first_touch.is_none());
}

/// Ground, least gap, rear hub and pitch where printed, the receiver alone, the front lip alone.
type Row = (
    &'static str,
    &'static [(f64, f64)],
    &'static str,
    Option<&'static str>,
    Option<&'static str>,
    &'static str,
    Option<&'static str>,
);

#[rustfmt::skip]
const SWEEPS: &[Row] = &[
    ("up 15 %",    &E1, "65.3987",  Some("1174.26"), Some("4.2539"), "97.4486",  Some("140.8597")),
    ("up 20 %",    &E2, "21.5767",  Some("1174.57"), Some("5.6483"), "45.2421",  Some("102.8323")),
    ("hump",       &E3, "100.0000", None,            None,           "155.0000", None),
    ("down 20 %",  &E4, "5.8323",   Some("34.16"),   Some("0"),      "5.8323",   None),
];

#[test]
fn sweeps_are_the_printed_ones() {
    for (what, ground, gap, x, pitch, receiver, lip) in SWEEPS {
        let source = format!("{SOURCE}, {what}");
        let ground = terrain(ground);
        let rolled = roll(WHEELS, &profile(ProfileJoin::StraightEdges, &VAN), &ground);
        prints(&source, gap, rolled.least.gap.mm());
        // The gap is flat at its least, so a hub's place is worth a hundredth only where a corner passes a corner.
        if let Some(x) = x {
            assert!(
                (rolled.least.stance.rear_hub.run.mm() - x.parse::<f64>().unwrap()).abs() < 0.05,
                "{source}: {rolled:?}"
            );
        }
        if let Some(pitch) = pitch {
            assert!((rolled.least.stance.pitch.deg() - pitch.parse::<f64>().unwrap()).abs() < 1e-4, "{source}");
        }
        prints(&source, receiver, roll(WHEELS, &one(-1280.0, 255.0), &ground).least.gap.mm());
        prints(&source, receiver, rolled.by_point[5].gap.mm());
        if let Some(lip) = lip {
            prints(&source, lip, roll(WHEELS, &one(4460.0, 260.0), &ground).least.gap.mm());
        }
    }
}

#[test]
fn the_nearest_part_is_named() {
    let van = profile(ProfileJoin::StraightEdges, &VAN);
    let belly = roll(WHEELS, &van, &terrain(&E1)).least;
    assert_eq!(belly.ground_corner, Some(1));
    assert!((belly.at.run.mm() - 3000.0).abs() < 1e-3, "{belly:?}");
    assert!(matches!(belly.touching, Touching::Point(2) | Touching::Edge(1 | 2)), "{belly:?}");
    let down = roll(WHEELS, &van, &terrain(&E4)).least;
    assert_eq!(down.touching, Touching::Point(5));
    assert!((down.stance.pitch.deg()).abs() < 1e-6);
}

/// While one axle is on each level the pitch stays, and with it the gap: the printed place is one of a stretch.
#[test]
fn points_alone_reach_their_least_where_it_is_printed() {
    for (what, (a, z), ground, x) in [
        ("receiver, up 15 %", (-1280.0, 255.0), &E1, -605.92),
        ("receiver, up 20 %", (-1280.0, 255.0), &E2, -585.78),
        ("front lip, up 15 %", (4460.0, 260.0), &E1, -3665.73),
        ("front lip, up 20 %", (4460.0, 260.0), &E2, -3674.16),
    ] {
        let (point, ground) = (one(a, z), terrain(ground));
        let (there, least) = (at(&point, &ground, x), roll(WHEELS, &point, &ground).least);
        assert!((there.gap - least.gap).mm().abs() < 1e-4, "{SOURCE}, {what}: {there:?} {least:?}");
    }
    prints(SOURCE, "7.1014", at(&one(-1280.0, 255.0), &terrain(&E1), -605.92).stance.pitch.deg());
}

/// Rear hub, front hub, pitch and the receiver's gap, where printed, on the rise of 15 %.
type Stand = (f64, Option<&'static str>, &'static str, Option<&'static str>, &'static str, &'static str);

#[rustfmt::skip]
const STANCES: &[Stand] = &[
    (-3000.0, None,             "638.6356", Some("444.6550"), "1.56883", "219.9902"),
    (-1500.0, None,            "2125.6666", Some("667.7097"), "5.08632", "141.8741"),
    (    0.0, Some("348.8597"), "3612.5557", Some("795.0000"), "7.04022", "102.6537"),
    ( 1000.0, Some("498.8597"), "4627.9334", None,             "4.66658", "305.0207"),
];

#[test]
fn stances_are_the_printed_ones() {
    let ground = terrain(&E1);
    for (x, rear_z, front_x, front_z, pitch, gap) in STANCES {
        let source = format!("{SOURCE}, rear hub at {x}");
        let contact = at(&one(-1280.0, 255.0), &ground, *x);
        if let Some(rear_z) = rear_z {
            prints(&source, rear_z, contact.stance.rear_hub.rise.mm());
        }
        prints(&source, front_x, contact.stance.front_hub.run.mm());
        if let Some(front_z) = front_z {
            prints(&source, front_z, contact.stance.front_hub.rise.mm());
        }
        prints(&source, pitch, contact.stance.pitch.deg());
        prints(&source, gap, contact.gap.mm());
    }
}

/// Where the hub is, and how high, on the rise of 15 %.
const HUBS: &[(f64, &str)] = &[(-20.0, "345.85966"), (0.0, "348.85966"), (2980.0, "794.41980"), (3100.0, "795")];

#[test]
fn hubs_run_where_it_is_printed() {
    let ground = terrain(&E1);
    for (x, z) in HUBS {
        prints(SOURCE, z, at(&one(0.0, 230.0), &ground, *x).stance.rear_hub.rise.mm());
    }
}

/// A sweep by steps of 10 mm lies just above the least; where between depends on where the steps begin.
#[test]
fn coarse_sweeps_bracket_the_printed_ones() {
    let van = profile(ProfileJoin::StraightEdges, &VAN);
    for (ground, printed) in [(&E1, 65.463), (&E2, 21.682), (&E4, 6.121)] {
        let ground = terrain(ground);
        let (under, pose) = (Underside::of(&van), Pose::as_measured(WHEELS));
        let rolling = Rolling::of(&RollInput { underside: &under, pose: &pose, terrain: &ground }).unwrap();
        let coarse = |begin: f64| {
            (-900..=700)
                .map(|step| rolling.least(&rolling.stand(begin + f64::from(step) * 10.0, 0, 0).unwrap()).0)
                .fold(f64::INFINITY, f64::min)
        };
        let all: Vec<f64> = (0..20).map(|half| coarse(f64::from(half) * 0.5)).collect();
        let (low, high) = (all.iter().copied().fold(f64::INFINITY, f64::min), all.iter().copied().fold(0.0, f64::max));
        assert!(low <= printed && printed <= high + 0.06, "{SOURCE}: prints {printed}, steps give {low} to {high}");
    }
}

#[test]
fn what_cannot_be_is_refused_by_name() {
    let van = profile(ProfileJoin::StraightEdges, &VAN);
    let (under, pose) = (Underside::of(&van), Pose::as_measured(WHEELS));
    let error = |points: &[(f64, f64)]| {
        roll_over(&RollInput { underside: &under, pose: &pose, terrain: &terrain(points) }).unwrap_err()
    };
    assert_eq!(error(&[(0.0, 0.0)]).field(), GROUND_POINTS.field);
    assert_eq!(error(&[(0.0, 0.0), (0.0, 100.0)]).field(), "run_mm");
    assert_eq!(error(&[(0.0, 0.0), (f64::NAN, 100.0)]).field(), "run_mm");
    assert_eq!(error(&[(0.0, 0.0), (10.0, 20_000.0)]).field(), "rise_mm");
    // A wall twice as high as the vehicle is long.
    assert_eq!(error(&[(0.0, 0.0), (1.0, 9000.0)]).field(), "rise_mm");
    let nothing = profile(ProfileJoin::SeparatePoints, &[]);
    let (bare, ground) = (Underside::of(&nothing), terrain(&E1));
    let empty = roll_over(&RollInput { underside: &bare, pose: &pose, terrain: &ground }).unwrap_err();
    assert_eq!(empty, CalcError::Missing { field: "points", by: "rolling over a terrain" });
}

#[test]
fn a_swap_tells_what_is_lost() {
    let (before, after) = (one(-1280.0, 330.0), one(-1280.0, 240.0));
    let (one, two, pose) = (Underside::of(&before), Underside::of(&after), Pose::as_measured(WHEELS));
    let both = swap(&terrain(&E4), (&one, &pose), (&two, &pose)).unwrap();
    // The same pose at its least, level on the flat: what hangs 90 mm lower is near by 90 mm less, or more yet.
    assert!(both.lost().mm() > 89.0 && both.newly_touches(), "{both:?}");
    assert!(both.before.clears(Length::from_mm(50.0)) && !both.after.clears(Length::ZERO));
    let first = both.after.first_touch.unwrap();
    assert!(first.gap.mm().abs() < 1e-3 && first.stance.rear_hub.run <= both.after.least.stance.rear_hub.run);
}

#[test]
fn a_tape_of_three_millimetres_is_worth_three_and_a_little() {
    let point = one(-1280.0, 255.0);
    let (under, pose, ground) = (Underside::of(&point), Pose::as_measured(WHEELS), terrain(&E4));
    let input = RollInput { underside: &under, pose: &pose, terrain: &ground };
    let least = roll_over(&input).unwrap().least;
    let off = uncertainty(&input, &least, Length::from_mm(3.0)).unwrap().mm();
    // Height counts in full, station by the slope of 20 %, the radius at the slope of the hub's curve.
    assert!((3.0..3.8).contains(&off), "{off}");
    assert_eq!(uncertainty(&input, &least, Length::ZERO).unwrap(), Length::ZERO);
}
