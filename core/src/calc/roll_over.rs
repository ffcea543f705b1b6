//! A rigid vehicle rolled over a terrain: whether anything scrapes, what, where, and at what pitch.
//!
//! The wheels' hubs run on the exact curve that a circle's centre follows over the ground, so a wheel bridges a ditch
//! and climbs a kerb as a wheel does. Rigid, at rest and seen from the side: no suspension travel, no side slope, no dip
//! from braking. Roll the laden pose as well as the unladen one, and keep a margin (common practice, no source: 25 to
//! 50 mm).

mod ground;
#[cfg(test)]
mod handbook;
mod hub_curve;
#[cfg(test)]
mod laws;
mod locus;
mod rolling;
mod sweep;

pub use ground::{GROUND_POINTS, RISE, RUN, reversed};
pub use hub_curve::{HubPiece, hub_curve};

use crate::{
    basis::{Basis, Seen, Source},
    calc::{
        clearance::{FRONT_RADIUS, REAR_RADIUS, TAPE, Underside},
        sag::Pose,
    },
    error::CalcError,
    model::{
        profile::ProfileJoin,
        terrain::Terrain,
        vehicle::{HEIGHT, STATION, WHEELBASE},
    },
    range::Range,
    units::{Angle, Length},
};
use rolling::{Element, Rolling};

/// Where the calculation comes from.
pub const SOURCE: Source = Source::new("geometry: a circle rolled on a line of straight pieces", "", Seen::Derived);

/// Allowed place of the rear hub along the ground.
pub const REAR_HUB: Range = Range::new("rear_hub_run_mm", "mm", -150_000.0, 150_000.0);

/// What is rolled over what.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RollInput<'a> {
    /// What hangs under the vehicle.
    pub underside: &'a Underside<'a>,
    /// How the vehicle stands on level ground: as measured, or laden.
    pub pose: &'a Pose,
    /// The ground, its corners in the ranges [`RUN`] and [`RISE`]. The vehicle drives towards rising distance.
    pub terrain: &'a Terrain,
}

/// A place above the terrain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Distance along the ground, as the terrain counts it.
    pub run: Length,
    /// Height, as the terrain counts it.
    pub rise: Length,
}

/// How the vehicle stands on the terrain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stance {
    /// The rear hub.
    pub rear_hub: Place,
    /// The front hub.
    pub front_hub: Place,
    /// Nose up, against the same vehicle on level ground.
    pub pitch: Angle,
}

/// What of the vehicle comes nearest to the ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Touching {
    /// A measured point, by its index in the underside's points.
    Point(usize),
    /// The straight edge behind the corner of that index, over a corner of the ground.
    Edge(usize),
}

impl Touching {
    /// Returns the index of the point, or of the edge's first corner.
    #[must_use]
    pub const fn index(self) -> usize {
        match self {
            Self::Point(index) | Self::Edge(index) => index,
        }
    }
}

/// Where the vehicle comes nearest to the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contact {
    /// The vertical gap; below zero when the ground is in the way by that much.
    pub gap: Length,
    /// What comes nearest.
    pub touching: Touching,
    /// Where that part of the vehicle is.
    pub at: Place,
    /// The corner of the ground it comes near to, by its index; `None` on a straight piece.
    pub ground_corner: Option<usize>,
    /// How the vehicle stands there.
    pub stance: Stance,
}

/// What comes of rolling over a terrain.
#[derive(Debug, Clone, PartialEq)]
pub struct RollOver {
    /// The least gap of all. It may hold over a stretch of the way; then the stance is one of that stretch.
    pub least: Contact,
    /// Where something touches first on the way, if anything does.
    pub first_touch: Option<Contact>,
    /// The least gap of each measured point, in the order of the underside's points.
    pub by_point: Vec<Contact>,
}

impl RollOver {
    /// Returns whether everything stays at least that far off the ground.
    #[must_use]
    pub fn clears(&self, margin: Length) -> bool {
        self.least.gap >= margin
    }
}

/// Rolls the vehicle over the terrain from level ground before it to level ground behind it.
///
/// ```text
/// hub      z_c(x) = max over pieces (line + r / cos θ) and corners (z_v + √(r² − (x − x_v)²))
/// front    (x_f − x_r)² + (z_f − z_r)² = L²
/// point    x = x_r + a · cos θ − (z − r) · sin θ      z' = z_r + a · sin θ + (z − r) · cos θ
/// gap      least of every point over the ground and every straight edge over the ground's corners
/// ```
///
/// The hubs' curve and the front hub are closed forms. The rear hub is moved by at most 5 mm, stops where either curve
/// changes its piece and where a point passes a corner of the ground, and the least is then closed in on to 0.001 mm.
///
/// # Errors
///
/// - [`CalcError::OutOfRange`] for a wheel, a point or a corner outside its range.
/// - [`CalcError::Conflict`] for corners that do not rise in distance, or for ground so steep that the vehicle would
///   stand at more than 45°.
/// - [`CalcError::Missing`] for an underside without points.
///
/// # Source
///
/// Derived.
pub fn roll_over(input: &RollInput<'_>) -> Result<RollOver, CalcError> {
    let rolling = Rolling::of(input)?;
    sweep::sweep(&rolling)
}

/// Returns how the vehicle stands with its rear hub at that distance.
///
/// # Errors
///
/// As [`roll_over`]; [`CalcError::OutOfRange`] for [`REAR_HUB`].
pub fn stand(input: &RollInput<'_>, rear_hub_run: Length) -> Result<Stance, CalcError> {
    let x = REAR_HUB.check(rear_hub_run.mm())?;
    let rolling = Rolling::of(input)?;
    Ok(rolling.stand(x, 0, 0)?.shown())
}

/// Returns what comes nearest to the ground with the rear hub at that distance.
///
/// # Errors
///
/// As [`stand`].
pub fn gap_at(input: &RollInput<'_>, rear_hub_run: Length) -> Result<Contact, CalcError> {
    let x = REAR_HUB.check(rear_hub_run.mm())?;
    let rolling = Rolling::of(input)?;
    rolling.nearest(x)
}

/// The same vehicle before and after a swap of gear, on one terrain.
#[derive(Debug, Clone, PartialEq)]
pub struct Swap {
    /// With what comes off.
    pub before: RollOver,
    /// With what goes on.
    pub after: RollOver,
}

impl Swap {
    /// Returns how much of the least gap is lost; below zero is a gain.
    #[must_use]
    pub fn lost(&self) -> Length {
        self.before.least.gap - self.after.least.gap
    }

    /// Returns whether the swap makes something scrape that cleared before.
    #[must_use]
    pub fn newly_touches(&self) -> bool {
        self.before.first_touch.is_none() && self.after.first_touch.is_some()
    }
}

/// Rolls two states of a vehicle over one terrain.
///
/// # Errors
///
/// As [`roll_over`].
pub fn swap(
    terrain: &Terrain,
    before: (&Underside<'_>, &Pose),
    after: (&Underside<'_>, &Pose),
) -> Result<Swap, CalcError> {
    let roll = |(underside, pose): (&Underside<'_>, &Pose)| roll_over(&RollInput { underside, pose, terrain });
    Ok(Swap { before: roll(before)?, after: roll(after)? })
}

/// Returns how far off a gap may be when heights, stations, radii and wheelbase may each be off by that much, all the
/// wrong way.
///
/// Where a gap is least it does not change with the place of the rear hub, so each measure is moved alone, at that
/// place, and the changes are added. Heights are moved together, since the gap hangs on those of one point or edge.
///
/// # Errors
///
/// As [`roll_over`]; [`CalcError::OutOfRange`] for [`TAPE`].
pub fn uncertainty(input: &RollInput<'_>, contact: &Contact, tape: Length) -> Result<Length, CalcError> {
    let tape = TAPE.check(tape.mm())?;
    let x = contact.stance.rear_hub.run.mm();
    let element = match contact.touching {
        Touching::Point(index) => Element::Point(index),
        Touching::Edge(index) => Element::Edge(index),
    };
    let measures = measures(input);
    let gap = |moved: &Measures| -> Result<f64, CalcError> {
        let rolling = Rolling::new(input.terrain, moved)?;
        let gap = rolling.gap(element, &rolling.stand(x, 0, 0)?);
        // The edge may have slid off the corner; its end then stands in for it.
        Ok(if gap.is_finite() {
            gap
        } else {
            rolling.gap(Element::Point(contact.touching.index()), &rolling.stand(x, 0, 0)?)
        })
    };
    let moves: [fn(&mut Measures, f64); 5] = [
        |m, by| m.points.iter_mut().for_each(|point| point.1 += by),
        |m, by| m.points.iter_mut().for_each(|point| point.0 += by),
        |m, by| m.front_radius += by,
        |m, by| m.rear_radius += by,
        |m, by| m.wheelbase += by,
    ];
    let mut sum = 0.0;
    for step in moves {
        let mut both = [0.0; 2];
        for (slot, by) in both.iter_mut().zip([tape, -tape]) {
            let mut moved = measures.clone();
            step(&mut moved, by);
            *slot = gap(&moved)?;
        }
        sum += (both[0] - both[1]).abs() / 2.0;
    }
    Ok(Length::from_mm(sum))
}

/// The vehicle in bare millimetres, on level ground.
#[derive(Debug, Clone, PartialEq)]
struct Measures {
    wheelbase: f64,
    front_radius: f64,
    rear_radius: f64,
    /// Forward of the rear axle, and height.
    points: Vec<(f64, f64)>,
    /// How many of the points, from the first, are joined by straight edges.
    joined: usize,
}

fn measures(input: &RollInput<'_>) -> Measures {
    let wheels = input.pose.wheels();
    let wheelbase = wheels.wheelbase.mm();
    let under = input.underside;
    let bare = |station: Length, height: Length| {
        let placed = input.pose.place(crate::calc::clearance::Point { station, height });
        (wheelbase - placed.station.mm(), placed.height.mm())
    };
    let named = under.body.iter().chain(under.fitted).map(|point| bare(point.station, point.height));
    Measures {
        wheelbase,
        front_radius: wheels.front_radius.mm(),
        rear_radius: wheels.rear_radius.mm(),
        points: named.chain(under.mount.iter().map(|point| bare(point.station, point.height))).collect(),
        joined: if under.join == ProfileJoin::StraightEdges { under.body.len() } else { 0 },
    }
}

fn check(input: &RollInput<'_>) -> Result<(), CalcError> {
    let wheels = input.pose.wheels();
    WHEELBASE.check(wheels.wheelbase.mm())?;
    FRONT_RADIUS.check(wheels.front_radius.mm())?;
    REAR_RADIUS.check(wheels.rear_radius.mm())?;
    let under = input.underside;
    let bare = under.body.iter().chain(under.fitted).map(|point| (point.station, point.height));
    let mut count = 0_usize;
    for (station, height) in bare.chain(under.mount.iter().map(|point| (point.station, point.height))) {
        STATION.check(station.mm())?;
        HEIGHT.check(height.mm())?;
        count += 1;
    }
    if count == 0 {
        return Err(CalcError::Missing { field: "points", by: "rolling over a terrain" });
    }
    let rising = under.body.is_sorted_by(|one, next| one.station <= next.station);
    if under.join == ProfileJoin::StraightEdges && !rising {
        return Err(CalcError::Conflict {
            field: "station_mm",
            other: "join",
            why: "the corners of straight edges are listed by rising station",
        });
    }
    Ok(())
}

/// Returns the steps behind [`roll_over`].
#[must_use]
pub fn basis(input: &RollInput<'_>) -> Vec<Basis> {
    let wheels = input.pose.wheels();
    vec![
        Basis::new(
            "hub-curve",
            "z_c(x) = max(line + r / cos θ, z_v + √(r² − (x − x_v)²))",
            SOURCE,
            &[("front_radius_mm", wheels.front_radius.mm()), ("rear_radius_mm", wheels.rear_radius.mm())],
        ),
        Basis::new("front-hub", "(x_f − x_r)² + (z_f − z_r)² = L²", SOURCE, &[("wheelbase_mm", wheels.wheelbase.mm())]),
        Basis::new("rigid-gap", "least vertical gap of points over ground and edges over corners", SOURCE, &[]),
        Basis::new(
            "pose",
            input.pose.model().words(),
            Source::new("rigid body on linear springs", "", Seen::Derived),
            &[],
        ),
    ]
}
