//! Masses: what rides where, what the train weighs, what each link leaves.

use super::{
    figures::{Known, Unknown},
    region::Region,
};
use crate::{
    calc::{
        added_mass::label_threshold,
        axles::{AxleInput, AxleLoads, Station, axle_loads},
        coupling::{d_value, fifth_wheel_d},
        ratings::{RatingInput, Weakest, tongue_links, trailer_links, weakest},
    },
    model::{
        bed::{BedCoupling, BedFit},
        receiver::{Fit, Receiver},
        upfit::{TongueLoad, Upfit},
    },
    units::{Force, Length, Mass},
};

/// How many loads are placed without a heap: receiver, ball mount with ball, and the items.
const ROOM: usize = 24;
const EMPTY: Station = Station { mass: Mass::ZERO, station: Length::ZERO };

/// The masses of a plan.
pub(super) struct Train {
    pub(super) trailer: Known<Mass>,
    pub(super) tongue: Known<Mass>,
    pub(super) share: Known<f64>,
    pub(super) ball_station: Known<Length>,
    pub(super) axles: Known<AxleLoads>,
    pub(super) upfit: Known<Mass>,
    kerb: Known<Mass>,
    carried: Known<Mass>,
}

/// The weakest links of a plan, everything included.
pub(super) struct Links {
    pub(super) trailer: Weakest,
    pub(super) tongue: Weakest,
}

impl Train {
    pub(super) fn of(plan: &Upfit) -> Self {
        let trailer = plan.trailer_mass.ok_or(Unknown::missing("trailer_mass"));
        let tongue = tongue(plan, trailer);
        let share = share(plan, trailer, tongue);
        let ball_station = ball_station(plan);
        let kerb = kerb(plan);
        let (carried, axles) = carried(plan, ball_station, tongue);
        Self { trailer, tongue, share, ball_station, axles, upfit: upfit(plan), kerb, carried }
    }

    /// The vehicle, with the tongue load on it, as a plain sum: the axle loads add up to the same but for rounding.
    pub(super) fn gross(&self) -> Known<Mass> {
        Ok(self.kerb? + self.carried? + self.tongue?)
    }

    /// The tongue load is part of the trailer's mass and counts once.
    pub(super) fn combination(&self) -> Known<Mass> {
        Ok(self.kerb? + self.carried? + self.trailer?)
    }

    pub(super) fn payload_used(&self) -> Known<Mass> {
        Ok(self.carried? + self.tongue?)
    }

    pub(super) fn payload_allowed(&self, plan: &Upfit) -> Known<Mass> {
        let gvwr = plan.vehicle.gvwr.ok_or(Unknown::missing("vehicle.gvwr"))?;
        Ok(gvwr - self.kerb?)
    }

    pub(super) fn trailer_axles(&self) -> Known<Mass> {
        Ok(self.trailer? - self.tongue?)
    }

    /// Everything added since certification, by everybody; parts taken off for good count against it when known.
    pub(super) fn added_mass(&self, plan: &Upfit) -> Known<Mass> {
        let before = plan.mass_added_before.ok_or(Unknown::missing("mass_added_before_kg"))?;
        Ok(self.upfit? + before - plan.mass_removed.unwrap_or(Mass::ZERO))
    }

    pub(super) fn links(&self, plan: &Upfit) -> Links {
        let input = RatingInput {
            receiver: plan.receiver.as_deref(),
            ball_mount: plan.ball_mount.as_deref(),
            ball: plan.ball.as_deref(),
            coupler: plan.coupler.as_deref(),
            bed_coupling: plan.bed_coupling.as_deref(),
            trailer: plan.trailer.as_deref(),
            extension: plan.extension.as_ref(),
            pin: plan.pin,
            spring_bars: plan.spring_bars == Some(true),
            loads: self.axles.ok(),
            ball_station: self.ball_station.ok(),
            tongue: self.tongue.ok(),
            ..RatingInput::of(&plan.vehicle)
        };
        Links { trailer: weakest(&trailer_links(&input)), tongue: weakest(&tongue_links(&input)) }
    }
}

/// The limit above which added mass needs a label.
pub(super) fn added_mass_limit(plan: &Upfit) -> Known<Mass> {
    let gvwr = plan.vehicle.gvwr.ok_or(Unknown::missing("vehicle.gvwr"))?;
    label_threshold(gvwr).map(|threshold| threshold.limit).map_err(|error| Unknown::from_calc("vehicle.gvwr", &error))
}

/// The D-value the train needs, where UN Regulation 55 applies: gross ratings of vehicle and trailer. A centre-axle
/// trailer is taken with its whole mass too, which is never less than its axle loads; one that hangs in the bed by the
/// fifth wheel's own formula.
pub(super) fn d_required(plan: &Upfit, tongue: Known<Mass>) -> Option<Known<Force>> {
    if Region::of(plan) != Region::Europe {
        return None;
    }
    let needed = || {
        let vehicle = plan.vehicle.gvwr.ok_or(Unknown::missing("vehicle.gvwr"))?;
        let trailer =
            plan.trailer.as_deref().and_then(|trailer| trailer.gvwr).ok_or(Unknown::missing("trailer.gvwr"))?;
        let needed =
            if plan.hangs_in_bed() { fifth_wheel_d(vehicle, trailer, tongue?) } else { d_value(vehicle, trailer) };
        needed.map_err(|error| Unknown::from_calc("trailer.gvwr", &error))
    };
    Some(needed())
}

/// The receiver and how it sits on this vehicle, with the index of the fit.
pub(super) fn fit<'a>(
    receiver: Option<&'a Receiver>,
    vehicle: &str,
    path: &'static str,
) -> Known<(&'a Receiver, &'a Fit, usize)> {
    let receiver = receiver.ok_or(Unknown::missing(path))?;
    let found = receiver.fits.iter().enumerate().find(|(_, fit)| fit.vehicle == vehicle);
    let (index, fit) = found.ok_or(Unknown::because(path, "is not made for this vehicle"))?;
    Ok((receiver, fit, index))
}

/// Where the ball sits with that receiver.
pub(super) fn ball_station_on(plan: &Upfit, fit: &Fit, index: usize) -> Known<Length> {
    let pin = fit.pin_station.ok_or(Unknown::missing_at("receiver.fits[].pin_station_mm", index))?;
    let mount = plan.ball_mount.as_deref().ok_or(Unknown::missing("ball_mount"))?;
    let length = mount.length.ok_or(Unknown::missing("ball_mount.length_mm"))?;
    let extension = match &plan.extension {
        None => Length::ZERO,
        Some(extension) => extension.length.ok_or(Unknown::missing("extension.length_mm"))?,
    };
    Ok(pin + extension + length)
}

/// The coupling in the bed and how it sits on this vehicle, with the index of the fit.
pub(super) fn bed_fit<'a>(plan: &Upfit, coupling: &'a BedCoupling) -> Known<(&'a BedFit, usize)> {
    let found = coupling.fit_for(&plan.vehicle.name);
    let (index, fit) = found.ok_or(Unknown::because("bed_coupling", "is not made for this vehicle"))?;
    Ok((fit, index))
}

fn ball_station(plan: &Upfit) -> Known<Length> {
    if let Some(coupling) = plan.bed_coupling.as_deref() {
        let (fit, index) = bed_fit(plan, coupling)?;
        return fit.pin_station.ok_or(Unknown::missing_at("bed_coupling.fits[].pin_station_mm", index));
    }
    let (_, fit, index) = fit(plan.receiver.as_deref(), &plan.vehicle.name, "receiver")?;
    ball_station_on(plan, fit, index)
}

fn tongue(plan: &Upfit, trailer: Known<Mass>) -> Known<Mass> {
    match plan.tongue {
        None => Err(Unknown::missing("tongue_load")),
        Some(TongueLoad::Load(load)) => Ok(load),
        Some(TongueLoad::Share(share)) => Ok(trailer? * share),
    }
}

fn share(plan: &Upfit, trailer: Known<Mass>, tongue: Known<Mass>) -> Known<f64> {
    if let Some(TongueLoad::Share(share)) = plan.tongue {
        return Ok(share);
    }
    let (tongue, trailer) = (tongue?, trailer?);
    if trailer <= Mass::ZERO {
        return Err(Unknown::because("trailer_mass", "is nothing"));
    }
    Ok(tongue / trailer)
}

fn kerb(plan: &Upfit) -> Known<Mass> {
    let front = plan.vehicle.front.kerb.ok_or(Unknown::missing("vehicle.front.kerb_kg"))?;
    let rear = plan.vehicle.rear.kerb.ok_or(Unknown::missing("vehicle.rear.kerb_kg"))?;
    Ok(front + rear)
}

/// What the receiver weighs; a vehicle with a coupling in its bed needs none.
fn receiver_mass(plan: &Upfit) -> Known<Mass> {
    match plan.receiver.as_deref() {
        None if plan.hangs_in_bed() => Ok(Mass::ZERO),
        None => Err(Unknown::missing("receiver")),
        Some(receiver) => receiver.mass.ok_or(Unknown::missing("receiver.mass_kg")),
    }
}

fn coupling_mass(coupling: &BedCoupling) -> Known<Mass> {
    coupling.mass.ok_or(Unknown::missing("bed_coupling.mass_kg"))
}

fn upfit(plan: &Upfit) -> Known<Mass> {
    let mut total = receiver_mass(plan)?;
    if let Some(coupling) = plan.bed_coupling.as_deref() {
        total += coupling_mass(coupling)?;
    }
    for (index, item) in plan.items.iter().enumerate().filter(|(_, item)| item.permanent) {
        total += item.mass.ok_or(Unknown::missing_at("items[].mass", index))?;
    }
    Ok(total)
}

/// What rides in and on the vehicle without the tongue load, and the axle loads.
fn carried(plan: &Upfit, ball_station: Known<Length>, tongue: Known<Mass>) -> (Known<Mass>, Known<AxleLoads>) {
    let mut room = [EMPTY; ROOM];
    let mut many = Vec::new();
    let count = plan.items.len() + 2;
    let stations = match room.get_mut(..count) {
        Some(stations) => stations,
        None => {
            many.resize(count, EMPTY);
            &mut many[..]
        }
    };
    let mass = masses(plan, stations);
    let mut place = || {
        mass?;
        places(plan, ball_station, stations)?;
        let vehicle = &plan.vehicle;
        let input = AxleInput {
            wheelbase: vehicle.wheelbase,
            kerb_front: vehicle.front.kerb.ok_or(Unknown::missing("vehicle.front.kerb_kg"))?,
            kerb_rear: vehicle.rear.kerb.ok_or(Unknown::missing("vehicle.rear.kerb_kg"))?,
            items: stations,
            tongue: Some(Station { mass: tongue?, station: ball_station? }),
        };
        axle_loads(&input).map_err(|error| {
            let field = match error.field() {
                "wheelbase_mm" => "vehicle.wheelbase_mm",
                "kerb_front_kg" => "vehicle.front.kerb_kg",
                "kerb_rear_kg" => "vehicle.rear.kerb_kg",
                "tongue_kg" => "tongue_load",
                "ball_station_mm" if plan.hangs_in_bed() => "bed_coupling.fits",
                "ball_station_mm" => "ball_mount.length_mm",
                _ => "items",
            };
            Unknown::from_calc(field, &error)
        })
    };
    (mass, place())
}

/// Fills in the masses, receiver first, then ball mount with ball or the coupling in the bed, then the items; returns
/// their sum.
fn masses(plan: &Upfit, stations: &mut [Station]) -> Known<Mass> {
    let receiver = receiver_mass(plan)?;
    let mount = match plan.bed_coupling.as_deref() {
        Some(coupling) => coupling_mass(coupling)?,
        None => {
            let mount = plan.ball_mount.as_deref().ok_or(Unknown::missing("ball_mount"))?;
            let ball = plan.ball.as_deref().ok_or(Unknown::missing("ball"))?;
            mount.mass.ok_or(Unknown::missing("ball_mount.mass_kg"))?
                + ball.mass.ok_or(Unknown::missing("ball.mass_kg"))?
        }
    };
    let mut total = receiver + mount;
    let mut slots = stations.iter_mut();
    for (mass, slot) in [receiver, mount].into_iter().zip(slots.by_ref()) {
        slot.mass = mass;
    }
    for (index, (slot, item)) in slots.zip(&plan.items).enumerate() {
        slot.mass = item.mass.ok_or(Unknown::missing_at("items[].mass", index))?;
        total += slot.mass;
    }
    Ok(total)
}

/// Fills in the stations, in the same order.
fn places(plan: &Upfit, ball_station: Known<Length>, stations: &mut [Station]) -> Known<()> {
    let receiver = if plan.receiver.is_none() && plan.hangs_in_bed() {
        Length::ZERO
    } else {
        let (_, fit, index) = fit(plan.receiver.as_deref(), &plan.vehicle.name, "receiver")?;
        fit.mass_station.ok_or(Unknown::missing_at("receiver.fits[].mass_station_mm", index))?
    };
    let mount = match plan.bed_coupling.as_deref() {
        Some(coupling) => {
            let (fit, index) = bed_fit(plan, coupling)?;
            fit.mass_station.ok_or(Unknown::missing_at("bed_coupling.fits[].mass_station_mm", index))?
        }
        None => ball_station?,
    };
    let mut slots = stations.iter_mut();
    for (station, slot) in [receiver, mount].into_iter().zip(slots.by_ref()) {
        slot.station = station;
    }
    for (index, (slot, item)) in slots.zip(&plan.items).enumerate() {
        slot.station = item.station.ok_or(Unknown::missing_at("items[].station_mm", index))?;
    }
    Ok(())
}
