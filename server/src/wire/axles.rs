//! Axle loads: the question from the wire, the answer to it.

use baybook_core::{
    calc::{
        added_mass::{self, label_threshold},
        axles::{
            self,
            centre::{TiltWeighing, centre_height, centre_height_basis},
            largest_tongue_by_gvwr, largest_tongue_by_rear_axle,
            room::{RoomInput, tongue_room},
            split,
        },
        ratings::weakest,
        tyres::AxleCapacity,
    },
    model::upfit::Upfit,
    units::{Length, Mass},
};
use baybook_proto::v1 as pb;

use super::{
    Fields, Lookup, WireError,
    basis::{basis_to_wire, caution},
    load::{Carried, Loads, ball_station},
    plan::required_plan,
    towing::link,
};

mod bars;
mod tyres;

use bars::{Bars, Set};

/// A question what the axles carry.
#[derive(Debug, Clone, PartialEq)]
pub struct AxleLoads {
    /// The plan.
    pub plan: Upfit,
    /// What rides where.
    pub loads: Loads,
    /// How the spring bars are set.
    bars: Option<Bars>,
    /// A weighing level and tilted.
    tilt: Option<TiltWeighing>,
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
        let bars = wire.spring_bars.as_ref();
        let bars = bars.and_then(|bars| fields.under("spring_bars", |fields| Bars::read(bars, fields)));
        let tilt = wire.tilt.as_ref();
        let tilt = tilt.and_then(|tilt| fields.under("tilt", |fields| bars::tilt(tilt, plan.as_ref(), fields)));
        if let Some(tilt) = &tilt
            && let Err(error) = centre_height(tilt)
        {
            fields.reject_calc("tilt", &error);
        }
        let plan = fields.finish(plan)?;
        let planned = plan.restoration.filter(|_| plan.spring_bars == Some(true)).map(Bars::giving_back);
        let asked = wire.spring_bars.is_some();
        let bars = bars.or(planned);
        let found = Loads::of(&plan).and_then(|loads| match bars.filter(|_| asked) {
            Some(bars) => {
                bars.on(&plan, &loads)?;
                Ok(loads)
            }
            None => Ok(loads),
        });
        match found {
            Ok(loads) => Ok(Self { plan, loads, bars, tilt }),
            Err(lacks) => {
                fields.lacking("plan", &lacks);
                fields.finish(None)
            }
        }
    }

    /// Returns the bars on this train, when they are set and everything for them is known.
    fn set(&self) -> Option<Set<'_>> {
        self.bars?.on(&self.plan, &self.loads).ok()
    }
}

/// Writes what the axles carry and what is left of every rating.
#[must_use]
pub fn axle_loads_to_wire(asked: &AxleLoads, revision: i64) -> pb::AxleLoadsResponse {
    let AxleLoads { plan, loads, .. } = asked;
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
    let set = asked.set();
    basis.extend(set.iter().flat_map(Set::basis));
    basis.extend(asked.tilt.iter().flat_map(centre_height_basis));
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
        spring_bars: set.and_then(|set| set.to_wire(loads)),
        tongue_room: ball.map(|ball| room(asked, ball)),
        tyres: tyres::readings(plan),
        mass_height_mm: asked.tilt.as_ref().and_then(|tilt| centre_height(tilt).ok()).map(Length::mm),
    }
}

/// Writes the largest tongue load that the loaded vehicle leaves room for.
fn room(asked: &AxleLoads, ball: Length) -> pb::WeakestLink {
    let AxleLoads { plan, loads, .. } = asked;
    let vehicle = &plan.vehicle;
    let rear_tyres = vehicle.rear.tyres.as_ref().and_then(|rear| tyres::on_vehicle(plan, rear).ok());
    let room = tongue_room(&RoomInput {
        loads: loads.axles,
        wheelbase: vehicle.wheelbase,
        ball,
        front_gawr: vehicle.front.gawr,
        rear_gawr: vehicle.rear.gawr,
        gvwr: vehicle.gvwr,
        rear_tyres: rear_tyres.as_ref().and_then(AxleCapacity::lower),
        front_share_min: vehicle.front_share_min,
    });
    link(&weakest(&room), &room, loads.tongue.map(|tongue| tongue.mass))
}

fn train(asked: &AxleLoads) -> axles::train::TrainInput {
    let AxleLoads { plan, loads, .. } = asked;
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
    let AxleLoads { plan, loads, .. } = asked;
    let (vehicle, axles) = (&plan.vehicle, &loads.axles);
    let train = axles::train::train_loads(&train(asked));
    let mut all = vec![
        used("front axle rating (GAWR)", "vehicle.front.gawr", train.front.value.ok(), train.front.limit.ok()),
        used("rear axle rating (GAWR)", "vehicle.rear.gawr", train.rear.value.ok(), train.rear.limit.ok()),
        used("gross vehicle rating (GVWR)", "vehicle.gvwr", train.vehicle.value.ok(), train.vehicle.limit.ok()),
        used("payload (GVWR less kerb mass)", "vehicle.gvwr", train.payload_used(), train.payload_available()),
    ];
    let front = vehicle.front.tyres.as_ref().and_then(|front| tyres::on_vehicle(plan, front).ok());
    let rear = vehicle.rear.tyres.as_ref().and_then(|rear| tyres::on_vehicle(plan, rear).ok());
    all.extend(tyre_rows("front", "vehicle.front.tyres", Some(axles.front), front));
    all.extend(tyre_rows("rear", "vehicle.rear.tyres", Some(axles.rear), rear));
    if let Some(trailer) = plan.trailer.as_deref() {
        let load = train.trailer_axle.ok();
        let tyres = trailer.tyres.as_ref().and_then(|on| tyres::on_trailer(on, trailer.axle_count).ok());
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
    if let Some(coupling) = plan.bed_coupling.as_deref() {
        total += coupling.mass?;
    }
    for item in plan.items.iter().filter(|item| item.permanent) {
        total += item.mass?;
    }
    Some(total)
}

fn cautions(asked: &AxleLoads) -> Vec<pb::Caution> {
    let AxleLoads { plan, loads, .. } = asked;
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
    let set = asked.set().is_some();
    add(
        plan.spring_bars == Some(true) && !set,
        "bars-not-counted",
        "the loads are without any help from spring bars: weigh the train with the bars set",
    );
    add(
        set,
        "bars-raise-nothing",
        "spring bars raise no rating: axles, receiver and tongue load have to hold with them slack too; the vehicle's \
         handbook says how much they are to give back",
    );
    add(
        asked.tilt.is_some(),
        "tilt-weighing",
        "lift on rated stands only, suspension locked; noisy below about 10 degrees",
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
