//! What the tyres of an axle may carry, and what a tyre designation says.

#[cfg(test)]
mod handbook;

pub use crate::model::tyre::designation::{self, Designation};

use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    model::{
        tyre::{TyreKind, Tyres},
        vehicle::VehicleKind,
    },
    range::Range,
    tables::load_index,
    units::{Length, Mass},
};

/// What a passenger-car tyre's rating is divided by on a truck, bus, multipurpose vehicle or trailer.
pub const CAR_TYRE_DIVISOR: f64 = 1.10;
/// Where that divisor is published.
pub const CAR_TYRE_SOURCE: Source =
    Source::new("NHTSA interpretation letter nht76-1.47 (FMVSS 120)", "1976", Seen::Opened);
/// Allowed number of tyres.
pub const TYRE_COUNT: Range = Range::new("tyre_count", "", 1.0, 24.0);
/// Where the estimate of the loaded radius comes from.
pub const LOADED_RADIUS_SOURCE: Source =
    Source::new("loaded radius 0.95 to 0.97 of the free radius, engineering pages", "", Seen::Opened);

/// What the tyres carry; it decides whether the 1.10 divisor applies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Carried {
    /// A passenger car.
    PassengerCar,
    /// A truck, bus, multipurpose vehicle or trailer.
    TruckOrTrailer,
}

impl From<VehicleKind> for Carried {
    fn from(kind: VehicleKind) -> Self {
        match kind {
            VehicleKind::PassengerCar => Self::PassengerCar,
            VehicleKind::Multipurpose | VehicleKind::Truck | VehicleKind::Bus => Self::TruckOrTrailer,
        }
    }
}

/// What the tyres and wheels of an axle may carry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxleCapacity {
    /// One tyre, after the divisor.
    pub each: Mass,
    /// All tyres.
    pub tyres: Mass,
    /// All wheels; unknown when their rating is.
    pub wheels: Option<Mass>,
    /// How many tyres.
    pub count: i32,
    /// Whether the 1.10 divisor was applied.
    pub divided: bool,
    /// Whether the dual-fitment index was used.
    pub dual: bool,
}

impl AxleCapacity {
    /// Returns the lower of tyres and wheels; `None` when the wheels' rating is unknown.
    #[must_use]
    pub fn lower(&self) -> Option<Mass> {
        self.wheels.map(|wheels| wheels.min(self.tyres))
    }
}

/// Returns what the tyres counted over `axles` axles may carry together.
///
/// ```text
/// capacity = n · load(LI) [/ 1.10 for a passenger-car tyre on a truck, bus, multipurpose vehicle or trailer]
/// ```
///
/// Two tyres an axle are single fitment, four are dual and use the dual index; both indices are per tyre.
/// The index is the field's; where that is absent, the one in the designation.
///
/// # Errors
///
/// - [`CalcError::Missing`] for the kind, the count or the load index that is needed.
/// - [`CalcError::OutOfRange`] for an index outside the table or a count that is not two or four tyres an axle.
/// - [`CalcError::Unreadable`] when the index had to come from a designation that cannot be read.
///
/// # Source
///
/// [`load_index::SOURCE`]; the divisor, [`CAR_TYRE_SOURCE`].
pub fn axle_capacity(tyres: &Tyres, axles: i32, carried: Carried) -> Result<AxleCapacity, CalcError> {
    const BY: &str = "the tyres' capacity";
    let count = tyres.count.ok_or(CalcError::Missing { field: "tyre_count", by: BY })?;
    let axles = axles.max(1);
    let (least, most) = (f64::from(axles) * 2.0, f64::from(axles) * 4.0);
    Range { min: least, max: most, ..TYRE_COUNT }.check(f64::from(count))?;
    let dual = match count - 2 * axles {
        0 => false,
        rest if rest == 2 * axles => true,
        _ => {
            return Err(CalcError::Conflict {
                field: "tyre_count",
                other: "axle_count",
                why: "every axle carries two tyres, or four in dual fitment",
            });
        }
    };
    let index = load_index_of(tyres, dual)?;
    let kind = tyres.kind.ok_or(CalcError::Missing { field: "kind", by: BY })?;
    let rated = load_index::load(index)?;
    let divided = kind == TyreKind::PassengerCar && carried == Carried::TruckOrTrailer;
    let each = if divided { rated / CAR_TYRE_DIVISOR } else { rated };
    let number = f64::from(count);
    Ok(AxleCapacity {
        each,
        tyres: each * number,
        wheels: tyres.wheel_rating.map(|wheel| wheel * number),
        count,
        divided,
        dual,
    })
}

/// Returns the load index that counts for single or dual fitment.
fn load_index_of(tyres: &Tyres, dual: bool) -> Result<i32, CalcError> {
    let (given, field) =
        if dual { (tyres.load_index_dual, "load_index_dual_code") } else { (tyres.load_index, "load_index_code") };
    if let Some(index) = given {
        return Ok(index);
    }
    let missing = CalcError::Missing { field, by: "the tyres' capacity" };
    if tyres.designation.trim().is_empty() {
        return Err(missing);
    }
    let read = match tyres.designation.designation() {
        Some(read) => *read,
        None => Designation::read(&tyres.designation)?,
    };
    if dual { read.load_index_dual } else { read.load_index }.ok_or(missing)
}

/// Returns whether the load indices given beside a designation are the ones it prints.
///
/// `None` when the designation prints none, cannot be read, or none is given beside it.
#[must_use]
pub fn indices_agree(tyres: &Tyres) -> Option<bool> {
    let read = tyres.designation.designation()?;
    let pair = |given: Option<i32>, printed: Option<i32>| Some(given? == printed?);
    match (pair(tyres.load_index, read.load_index), pair(tyres.load_index_dual, read.load_index_dual)) {
        (None, None) => None,
        (one, other) => Some(one.unwrap_or(true) && other.unwrap_or(true)),
    }
}

/// An estimated loaded radius: low, likely and high.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadedRadius {
    /// 0.95 of the free radius.
    pub low: Length,
    /// 0.96 of the free radius.
    pub likely: Length,
    /// 0.97 of the free radius.
    pub high: Length,
}

/// Estimates the static loaded radius from the free radius. A hub height measured at placard pressure always beats it.
#[must_use]
pub fn loaded_radius_estimate(free_radius: Length) -> LoadedRadius {
    LoadedRadius { low: free_radius * 0.95, likely: free_radius * 0.96, high: free_radius * 0.97 }
}

/// Returns the step behind [`axle_capacity`].
#[must_use]
pub fn basis(tyres: &Tyres, axles: i32, carried: Carried) -> Vec<Basis> {
    let Ok(capacity) = axle_capacity(tyres, axles, carried) else { return Vec::new() };
    let rated = if capacity.divided { capacity.each * CAR_TYRE_DIVISOR } else { capacity.each };
    let mut steps = vec![Basis::new(
        "tyre-load-index",
        "capacity = n · load(LI)",
        load_index::SOURCE,
        &[("count", f64::from(capacity.count)), ("load_kg", rated.kg())],
    )];
    if capacity.divided {
        steps.push(Basis::new(
            "car-tyre-divisor",
            "load = load(LI) / 1.10",
            CAR_TYRE_SOURCE,
            &[("divisor_share", CAR_TYRE_DIVISOR)],
        ));
    }
    steps
}
