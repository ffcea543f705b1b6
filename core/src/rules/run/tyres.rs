//! What the tyres of each axle carry.

use super::figures::{Known, Unknown};
use crate::{
    calc::tyres::{Carried, axle_capacity},
    error::CalcError,
    model::{
        tyre::{TyreKind, Tyres},
        upfit::Upfit,
        vehicle::VehicleKind,
    },
    units::Mass,
};

/// The paths of one axle's tyres on the wire.
pub(super) struct TyrePaths {
    pub(super) whole: &'static str,
    pub(super) kind: &'static str,
    pub(super) count: &'static str,
    pub(super) load_index: &'static str,
    pub(super) load_index_dual: &'static str,
    pub(super) loaded_radius: &'static str,
    pub(super) rate: &'static str,
}

macro_rules! tyre_paths {
    ($whole:literal) => {
        TyrePaths {
            whole: $whole,
            kind: concat!($whole, ".kind"),
            count: concat!($whole, ".tyre_count"),
            load_index: concat!($whole, ".load_index_code"),
            load_index_dual: concat!($whole, ".load_index_dual_code"),
            loaded_radius: concat!($whole, ".loaded_radius_mm"),
            rate: concat!($whole, ".rate_n_per_mm"),
        }
    };
}

pub(super) const FRONT: TyrePaths = tyre_paths!("vehicle.front.tyres");
pub(super) const REAR: TyrePaths = tyre_paths!("vehicle.rear.tyres");
const TRAILER: TyrePaths = tyre_paths!("trailer.tyres");

/// Returns what the front tyres carry.
pub fn front(plan: &Upfit) -> Known<Mass> {
    on_vehicle(plan.vehicle.front.tyres.as_ref(), plan.vehicle.kind, &FRONT)
}

/// Returns what the rear tyres carry.
pub fn rear(plan: &Upfit) -> Known<Mass> {
    on_vehicle(plan.vehicle.rear.tyres.as_ref(), plan.vehicle.kind, &REAR)
}

/// Returns what the trailer's tyres carry, over all its axles.
pub fn trailer(plan: &Upfit) -> Known<Mass> {
    let trailer = plan.trailer.as_deref().ok_or(Unknown::missing("trailer"))?;
    let tyres = trailer.tyres.as_ref().ok_or(Unknown::missing(TRAILER.whole))?;
    let axles = trailer.axle_count.ok_or(Unknown::missing("trailer.axle_count"))?;
    capacity(tyres, axles, Carried::TruckOrTrailer, &TRAILER)
}

fn on_vehicle(tyres: Option<&Tyres>, kind: Option<VehicleKind>, paths: &TyrePaths) -> Known<Mass> {
    let tyres = tyres.ok_or(Unknown::missing(paths.whole))?;
    let carried = match (kind, tyres.kind) {
        (Some(kind), _) => Carried::from(kind),
        // Whether the divisor applies hangs on what the vehicle is.
        (None, Some(TyreKind::PassengerCar)) => return Err(Unknown::missing("vehicle.kind")),
        (None, _) => Carried::TruckOrTrailer,
    };
    capacity(tyres, 1, carried, paths)
}

fn capacity(tyres: &Tyres, axles: i32, carried: Carried, paths: &TyrePaths) -> Known<Mass> {
    match axle_capacity(tyres, axles, carried) {
        Ok(capacity) => Ok(capacity.tyres),
        Err(error) => {
            let field = match error.field() {
                "tyre_count" => paths.count,
                "kind" => paths.kind,
                "load_index_code" => paths.load_index,
                "load_index_dual_code" => paths.load_index_dual,
                _ => paths.whole,
            };
            // An index outside the table is named by the table, not by the field it came from.
            let field = if matches!(error, CalcError::NoSuchRow { .. }) { paths.load_index } else { field };
            Err(Unknown::from_calc(field, &error))
        }
    }
}
