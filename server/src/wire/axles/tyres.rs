//! What the tyres of each axle say and carry.

use baybook_core::{
    calc::tyres::{AxleCapacity, Carried as Load, Designation, axle_capacity, loaded_radius_estimate},
    error::CalcError,
    model::{
        tyre::{TyreKind, Tyres},
        upfit::Upfit,
    },
    units::{Length, Mass},
};
use baybook_proto::v1 as pb;

/// What is asked of the vehicle's own kind before a car's tyre can be judged.
const KIND_UNKNOWN: CalcError =
    CalcError::Missing { field: "vehicle.kind", by: "whether a car's tyre is divided by 1.10" };

/// Returns what the tyres of an axle of the vehicle carry; nothing when the divisor for a car's tyre hangs on an unknown
/// kind of vehicle.
pub(super) fn on_vehicle(plan: &Upfit, tyres: &Tyres) -> Result<AxleCapacity, CalcError> {
    let load = match (plan.vehicle.kind, tyres.kind) {
        (Some(kind), _) => Load::from(kind),
        (None, Some(TyreKind::PassengerCar) | None) => return Err(KIND_UNKNOWN),
        (None, Some(TyreKind::LightTruck | TyreKind::Trailer)) => Load::TruckOrTrailer,
    };
    axle_capacity(tyres, 1, load)
}

/// Returns what the trailer's tyres carry over all its axles.
pub(super) fn on_trailer(tyres: &Tyres, axles: Option<i32>) -> Result<AxleCapacity, CalcError> {
    let missing = CalcError::Missing { field: "trailer.axle_count", by: "the tyres' capacity" };
    axle_capacity(tyres, axles.ok_or(missing)?, Load::TruckOrTrailer)
}

/// Writes the tyres of every axle that the plan knows some of.
pub(super) fn readings(plan: &Upfit) -> Vec<pb::TyreReading> {
    let vehicle =
        [("front", "vehicle.front.tyres", &plan.vehicle.front), ("rear", "vehicle.rear.tyres", &plan.vehicle.rear)];
    let mut all: Vec<pb::TyreReading> = vehicle
        .into_iter()
        .filter_map(|(label, field, axle)| {
            let tyres = axle.tyres.as_ref()?;
            Some(reading(label, field, tyres, on_vehicle(plan, tyres)))
        })
        .collect();
    if let Some(trailer) = plan.trailer.as_deref()
        && let Some(tyres) = &trailer.tyres
    {
        all.push(reading("trailer", "trailer.tyres", tyres, on_trailer(tyres, trailer.axle_count)));
    }
    all
}

fn reading(label: &str, field: &str, tyres: &Tyres, capacity: Result<AxleCapacity, CalcError>) -> pb::TyreReading {
    let read = tyres.designation.designation();
    let radius = read.map(Designation::free_radius);
    let estimate = radius.map(loaded_radius_estimate);
    let why = capacity.as_ref().err().map(ToString::to_string).unwrap_or_default();
    let capacity = capacity.ok();
    let of = |read: fn(&AxleCapacity) -> Mass| capacity.as_ref().map(read).map(Mass::kg);
    pb::TyreReading {
        label: label.to_owned(),
        field: field.to_owned(),
        designation: tyres.designation.to_string(),
        diameter_mm: read.map(|read| read.overall_diameter().mm()),
        free_radius_mm: radius.map(Length::mm),
        loaded_radius_mm: tyres.loaded_radius.map(Length::mm),
        loaded_radius_low_mm: estimate.map(|estimate| estimate.low.mm()),
        loaded_radius_high_mm: estimate.map(|estimate| estimate.high.mm()),
        tyre_count: tyres.count,
        dual: capacity.as_ref().map(|capacity| capacity.dual),
        car_tyre_divided: capacity.as_ref().map(|capacity| capacity.divided),
        each_kg: of(|capacity| capacity.each),
        tyres_kg: of(|capacity| capacity.tyres),
        wheels_kg: capacity.as_ref().and_then(|capacity| capacity.wheels).map(Mass::kg),
        unknown_why: why,
    }
}
