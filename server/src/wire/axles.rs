//! Axle loads: the question from the wire, the answer to it.

use baybook_core::{
    calc::{
        added_mass::{self, label_threshold},
        axles::{self, largest_tongue_by_gvwr, largest_tongue_by_rear_axle, split},
        tyres::{AxleCapacity, Carried as Load, axle_capacity},
    },
    model::{
        tyre::{TyreKind, Tyres},
        upfit::Upfit,
    },
    units::Mass,
};
use baybook_proto::v1 as pb;

use super::{
    Fields, Lookup, WireError,
    basis::{basis_to_wire, caution},
    load::{Carried, Loads, ball_station},
    plan::required_plan,
};

/// A question what the axles carry.
#[derive(Debug, Clone, PartialEq)]
pub struct AxleLoads {
    /// The plan.
    pub plan: Upfit,
    /// What rides where.
    pub loads: Loads,
}

impl AxleLoads {
    /// Reads the question; whatever the plan names must say how heavy it is and where it sits.
    ///
    /// # Errors
    ///
    /// [`WireError`] with every violation.
    pub fn read(wire: &pb::AxleLoadsRequest, lookup: &impl Lookup) -> Result<Self, WireError> {
        let mut fields = Fields::default();
        let plan = required_plan(wire.plan.as_ref(), lookup, &mut fields);
        let plan = fields.finish(plan)?;
        match Loads::of(&plan) {
            Ok(loads) => Ok(Self { plan, loads }),
            Err(lacks) => {
                fields.lacking("plan", &lacks);
                fields.finish(None)
            }
        }
    }
}

/// Writes what the axles carry and what is left of every rating.
#[must_use]
pub fn axle_loads_to_wire(asked: &AxleLoads, revision: i64) -> pb::AxleLoadsResponse {
    let AxleLoads { plan, loads } = asked;
    let axles = &loads.axles;
    let vehicle = &plan.vehicle;
    let ball = ball_station(plan).ok();
    let rear_room = vehicle
        .rear
        .gawr
        .zip(ball)
        .and_then(|(gawr, ball)| largest_tongue_by_rear_axle(gawr, axles.rear_before, vehicle.wheelbase, ball));
    let gross_room = vehicle.gvwr.map(|gvwr| largest_tongue_by_gvwr(gvwr, axles.total_before()));
    let label_limit = vehicle.gvwr.and_then(|gvwr| label_threshold(gvwr).ok());
    let mut basis = axles::basis(&loads.input(plan));
    basis.extend(axles::train::basis(&train(asked)));
    if let (Some(gvwr), Some(_)) = (vehicle.gvwr, label_limit) {
        basis.extend(added_mass::basis(gvwr));
    }
    pb::AxleLoadsResponse {
        front_before_kg: Some(axles.front_before.kg()),
        rear_before_kg: Some(axles.rear_before.kg()),
        front_kg: Some(axles.front.kg()),
        rear_kg: Some(axles.rear.kg()),
        ratings: ratings(asked),
        tongue_kg: loads.tongue.map(|tongue| tongue.mass.kg()),
        tongue_limit_rear_axle_kg: rear_room.map(Mass::kg),
        tongue_limit_vehicle_kg: gross_room.map(Mass::kg),
        mass_station_mm: Some(axles.centre_station(vehicle.wheelbase).mm()),
        items: loads.carried.iter().map(|item| effect(item, plan)).collect(),
        mass_added_kg: added(plan).map(Mass::kg),
        mass_label_limit_kg: label_limit.map(|limit| limit.limit.kg()),
        basis: basis_to_wire(&basis),
        cautions: cautions(asked),
        revision,
    }
}

fn train(asked: &AxleLoads) -> axles::train::TrainInput {
    let AxleLoads { plan, loads } = asked;
    axles::train::TrainInput {
        loads: Some(loads.axles),
        kerb: Some(loads.kerb.0 + loads.kerb.1),
        trailer: plan.trailer_mass,
        tongue: loads.tongue.map(|tongue| tongue.mass),
        gvwr: plan.vehicle.gvwr,
        gcwr: plan.vehicle.gcwr,
        front_gawr: plan.vehicle.front.gawr,
        rear_gawr: plan.vehicle.rear.gawr,
    }
}

/// Writes one rating and its use.
fn used(label: &str, field: &str, load: Option<Mass>, rating: Option<Mass>) -> pb::RatingUse {
    let both = load.zip(rating);
    pb::RatingUse {
        label: label.to_owned(),
        field: field.to_owned(),
        load_kg: load.map(Mass::kg),
        rating_kg: rating.map(Mass::kg),
        left_kg: both.map(|(load, rating)| (rating - load).kg()),
        used_share: both.filter(|(_, rating)| *rating > Mass::ZERO).map(|(load, rating)| load / rating),
    }
}

fn ratings(asked: &AxleLoads) -> Vec<pb::RatingUse> {
    let AxleLoads { plan, loads } = asked;
    let (vehicle, axles) = (&plan.vehicle, &loads.axles);
    let train = axles::train::train_loads(&train(asked));
    let mut all = vec![
        used("front axle rating (GAWR)", "vehicle.front.gawr", train.front.value.ok(), train.front.limit.ok()),
        used("rear axle rating (GAWR)", "vehicle.rear.gawr", train.rear.value.ok(), train.rear.limit.ok()),
        used("gross vehicle rating (GVWR)", "vehicle.gvwr", train.vehicle.value.ok(), train.vehicle.limit.ok()),
        used("payload (GVWR less kerb mass)", "vehicle.gvwr", train.payload_used(), train.payload_available()),
    ];
    let on_vehicle = |tyres: &Option<Tyres>| capacity(tyres.as_ref()?, 1, carrier(plan, tyres.as_ref()?)?);
    let front = on_vehicle(&vehicle.front.tyres);
    let rear = on_vehicle(&vehicle.rear.tyres);
    all.extend(tyre_rows("front", "vehicle.front.tyres", Some(axles.front), front));
    all.extend(tyre_rows("rear", "vehicle.rear.tyres", Some(axles.rear), rear));
    if let Some(trailer) = plan.trailer.as_deref() {
        let load = train.trailer_axle.ok();
        let tyres = trailer.tyres.as_ref().zip(trailer.axle_count);
        let tyres = tyres.and_then(|(tyres, count)| capacity(tyres, count, Load::TruckOrTrailer));
        let combination = train.train;
        let label = "combination rating (GCWR)";
        all.push(used(label, "vehicle.gcwr", combination.value.ok(), combination.limit.ok()));
        all.push(used("trailer axle rating (GAWR)", "trailer.gawr", load, trailer.gawr));
        all.push(used("trailer gross rating (GVWR)", "trailer.gvwr", plan.trailer_mass, trailer.gvwr));
        all.extend(tyre_rows("trailer", "trailer.tyres", load, tyres));
    }
    all
}

/// Writes tyres and wheels apart: one of the two may be unknown.
fn tyre_rows(which: &str, field: &str, load: Option<Mass>, capacity: Option<AxleCapacity>) -> [pb::RatingUse; 2] {
    let tyres = capacity.map(|capacity| capacity.tyres);
    let wheels = capacity.and_then(|capacity| capacity.wheels);
    [
        used(&format!("{which} tyres"), field, load, tyres),
        used(&format!("{which} wheels"), &format!("{field}.wheel_rating"), load, wheels),
    ]
}

fn capacity(tyres: &Tyres, axles: i32, load: Load) -> Option<AxleCapacity> {
    axle_capacity(tyres, axles, load).ok()
}

/// Returns what the tyres carry; nothing when the divisor for a car's tyre hangs on an unknown kind of vehicle.
fn carrier(plan: &Upfit, tyres: &Tyres) -> Option<Load> {
    match (plan.vehicle.kind, tyres.kind) {
        (Some(kind), _) => Some(Load::from(kind)),
        (None, Some(TyreKind::PassengerCar) | None) => None,
        (None, Some(TyreKind::LightTruck | TyreKind::Trailer)) => Some(Load::TruckOrTrailer),
    }
}

fn effect(item: &Carried, plan: &Upfit) -> pb::ItemEffect {
    let effect = split(item.at, plan.vehicle.wheelbase);
    pb::ItemEffect {
        label: item.label.clone(),
        mass_kg: Some(item.at.mass.kg()),
        station_mm: Some(item.at.station.mm()),
        front_kg: Some(effect.front.kg()),
        rear_kg: Some(effect.rear.kg()),
    }
}

/// Returns the mass added for good by everybody, when that is known.
fn added(plan: &Upfit) -> Option<Mass> {
    let mut total = plan.mass_added_before? - plan.mass_removed.unwrap_or(Mass::ZERO);
    if let Some(receiver) = plan.receiver.as_deref() {
        total += receiver.mass?;
    }
    for item in plan.items.iter().filter(|item| item.permanent) {
        total += item.mass?;
    }
    Some(total)
}

fn cautions(asked: &AxleLoads) -> Vec<pb::Caution> {
    let AxleLoads { plan, loads } = asked;
    let mut all = vec![caution(
        "labels-override",
        "the ratings on this unit's labels override those of the entry: read them on the vehicle",
    )];
    let mut add = |holds: bool, id: &str, text: &str| {
        if holds {
            all.push(caution(id, text));
        }
    };
    add(
        loads.axles.lifts(),
        "axle-lifts",
        "an axle comes out below zero: the vehicle would tip, check masses and stations",
    );
    add(
        plan.spring_bars == Some(true),
        "bars-not-counted",
        "the loads are without any help from spring bars: weigh the train with the bars set",
    );
    add(
        plan.trailer_mass.is_some() && loads.tongue.is_none(),
        "tongue-unknown",
        "a trailer is named but not its tongue load: the loads are those before hitching",
    );
    add(plan.mass_added_before.is_none(), "mass-history-unknown", "nobody says what was added since certification");
    all
}

#[cfg(test)]
mod tests;
