//! What of a plan rides where, and what the axles carry for it: from what the plan names, with nothing made up.
//!
//! A part that is named must say how heavy it is and where it sits; a part that is not named is not there. This differs
//! from the rule book, where a plan without a ball mount is an unfinished plan.

use baybook_core::{
    calc::axles::{AxleInput, AxleLoads, Station, axle_loads},
    error::CalcError,
    model::{
        bed::{BedCoupling, BedFit},
        receiver::{Fit, Receiver},
        upfit::{TongueLoad, Upfit},
    },
    units::{Length, Mass},
};

/// What is missing for a figure, or out of its range.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lack {
    /// The path of the field in the plan: `items[2].station_mm`.
    pub field: String,
    /// What is the matter with it.
    pub why: String,
}

impl Lack {
    pub(super) fn of(field: impl Into<String>) -> Self {
        Self { field: field.into(), why: "is not known".to_owned() }
    }

    pub(super) fn because(field: impl Into<String>, error: &CalcError) -> Self {
        Self { field: field.into(), why: error.to_string() }
    }
}

/// Something that rides in or on the vehicle.
#[derive(Debug, Clone, PartialEq)]
pub struct Carried {
    /// What people call it.
    pub label: String,
    /// How heavy, and where.
    pub at: Station,
}

/// What rides where, and what the axles carry.
#[derive(Debug, Clone, PartialEq)]
pub struct Loads {
    /// The kerb loads, front and rear.
    pub kerb: (Mass, Mass),
    /// What rides in and on the vehicle, the tongue load last when there is one.
    pub carried: Vec<Carried>,
    /// The same without the tongue load, as the calculator takes it.
    pub items: Vec<Station>,
    /// The tongue load at the ball.
    pub tongue: Option<Station>,
    /// What the axles carry.
    pub axles: AxleLoads,
}

impl Loads {
    /// Computes the loads of a plan, or everything that is missing for them.
    pub(super) fn of(plan: &Upfit) -> Result<Self, Vec<Lack>> {
        let mut lacks = Vec::new();
        let mut need = |field: &str, value: Option<Mass>| {
            if value.is_none() {
                lacks.push(Lack::of(field));
            }
            value
        };
        let front = need("vehicle.front.kerb_kg", plan.vehicle.front.kerb);
        let rear = need("vehicle.rear.kerb_kg", plan.vehicle.rear.kerb);
        let mut carried = Vec::with_capacity(plan.items.len() + 4);
        fitted(plan, &mut carried, &mut lacks);
        for (index, item) in plan.items.iter().enumerate() {
            if item.mass.is_none() {
                lacks.push(Lack::of(format!("items[{index}].mass")));
            }
            if item.station.is_none() {
                lacks.push(Lack::of(format!("items[{index}].station_mm")));
            }
            if let (Some(mass), Some(station)) = (item.mass, item.station) {
                carried.push(Carried { label: item.label.clone(), at: Station { mass, station } });
            }
        }
        let items: Vec<Station> = carried.iter().map(|it| it.at).collect();
        let tongue = tongue_at(plan, &mut lacks);
        let (Some(front), Some(rear), true) = (front, rear, lacks.is_empty()) else { return Err(lacks) };
        if let Some(at) = tongue {
            carried.push(Carried { label: "tongue load".to_owned(), at });
        }
        let mut loads = Self {
            kerb: (front, rear),
            carried,
            items,
            tongue,
            axles: AxleLoads { front_before: front, rear_before: rear, front, rear },
        };
        loads.axles =
            axle_loads(&loads.input(plan)).map_err(|error| vec![Lack::because(blamed(plan, &error), &error)])?;
        Ok(loads)
    }

    /// Returns what the calculator takes.
    pub(super) fn input(&self, plan: &Upfit) -> AxleInput<'_> {
        AxleInput {
            wheelbase: plan.vehicle.wheelbase,
            kerb_front: self.kerb.0,
            kerb_rear: self.kerb.1,
            items: &self.items,
            tongue: self.tongue,
        }
    }
}

/// Returns the field of the plan that the calculator's own name stands for.
fn blamed(plan: &Upfit, error: &CalcError) -> &'static str {
    match error.field() {
        "wheelbase_mm" => "vehicle.wheelbase_mm",
        "kerb_front_kg" => "vehicle.front.kerb_kg",
        "kerb_rear_kg" => "vehicle.rear.kerb_kg",
        "tongue_kg" => "tongue_load",
        "ball_station_mm" if plan.hangs_in_bed() => "bed_coupling.fits",
        "ball_station_mm" => "ball_mount.length_mm",
        _ => "items",
    }
}

/// Adds receiver, coupling in the bed, ball mount and ball, as far as the plan names them.
fn fitted(plan: &Upfit, carried: &mut Vec<Carried>, lacks: &mut Vec<Lack>) {
    let mut part = |label: &str, field: &str, mass: Option<Mass>, station: Result<Length, Lack>| match (mass, station) {
        (Some(mass), Ok(station)) => carried.push(Carried { label: label.to_owned(), at: Station { mass, station } }),
        (mass, station) => {
            if mass.is_none() {
                lacks.push(Lack::of(format!("{field}.mass_kg")));
            }
            lacks.extend(station.err());
        }
    };
    if let Some(receiver) = plan.receiver.as_deref() {
        let station = fit_of(plan, receiver, "receiver").and_then(|(fit, index)| {
            fit.mass_station.ok_or_else(|| Lack::of(format!("receiver.fits[{index}].mass_station_mm")))
        });
        part("receiver", "receiver", receiver.mass, station);
    }
    if let Some(coupling) = plan.bed_coupling.as_deref() {
        let station = bed_fit_of(plan, coupling).and_then(|(fit, index)| {
            fit.mass_station.ok_or_else(|| Lack::of(format!("bed_coupling.fits[{index}].mass_station_mm")))
        });
        part("coupling in the bed", "bed_coupling", coupling.mass, station);
    }
    // The trailer hangs on one coupling: beside one in the bed a ball is not counted.
    if let Some(mount) = plan.ball_mount.as_deref().filter(|_| !plan.hangs_in_bed()) {
        part("ball mount", "ball_mount", mount.mass, ball_station(plan));
    }
    if let Some(ball) = plan.ball.as_deref().filter(|_| !plan.hangs_in_bed()) {
        part("ball", "ball", ball.mass, ball_station(plan));
    }
    lacks.dedup();
}

/// Returns how a receiver sits on the plan's vehicle, and which of its fits that is.
pub(super) fn fit_of<'r>(plan: &Upfit, receiver: &'r Receiver, field: &str) -> Result<(&'r Fit, usize), Lack> {
    let vehicle = &plan.vehicle.name;
    let found = receiver.fits.iter().enumerate().find(|(_, fit)| fit.vehicle == *vehicle && !vehicle.is_empty());
    found.map(|(index, fit)| (fit, index)).ok_or_else(|| Lack {
        field: format!("{field}.fits"),
        why: "does not say how it sits on this vehicle".to_owned(),
    })
}

/// Returns how a coupling sits in the bed of the plan's vehicle, and which of its fits that is.
pub(super) fn bed_fit_of<'c>(plan: &Upfit, coupling: &'c BedCoupling) -> Result<(&'c BedFit, usize), Lack> {
    let found = coupling.fit_for(&plan.vehicle.name);
    found.map(|(index, fit)| (fit, index)).ok_or_else(|| Lack {
        field: "bed_coupling.fits".to_owned(),
        why: "does not say how it sits on this vehicle".to_owned(),
    })
}

/// Returns where the ball sits, or the pin in the bed.
pub(super) fn ball_station(plan: &Upfit) -> Result<Length, Lack> {
    if let Some(coupling) = plan.bed_coupling.as_deref() {
        let (fit, index) = bed_fit_of(plan, coupling)?;
        return fit.pin_station.ok_or_else(|| Lack::of(format!("bed_coupling.fits[{index}].pin_station_mm")));
    }
    let receiver = plan.receiver.as_deref().ok_or_else(|| Lack::of("receiver"))?;
    let (fit, index) = fit_of(plan, receiver, "receiver")?;
    let pin = fit.pin_station.ok_or_else(|| Lack::of(format!("receiver.fits[{index}].pin_station_mm")))?;
    let mount = plan.ball_mount.as_deref().ok_or_else(|| Lack::of("ball_mount"))?;
    let length = mount.length.ok_or_else(|| Lack::of("ball_mount.length_mm"))?;
    let extension = match &plan.extension {
        None => Length::ZERO,
        Some(extension) => extension.length.ok_or_else(|| Lack::of("extension.length_mm"))?,
    };
    Ok(pin + extension + length)
}

/// Returns the tongue load; nothing when the plan says none.
pub(super) fn tongue_load(plan: &Upfit) -> Result<Option<Mass>, Lack> {
    match plan.tongue {
        None => Ok(None),
        Some(TongueLoad::Load(load)) => Ok(Some(load)),
        Some(TongueLoad::Share(share)) => {
            plan.trailer_mass.map(|mass| Some(mass * share)).ok_or_else(|| Lack::of("trailer_mass"))
        }
    }
}

fn tongue_at(plan: &Upfit, lacks: &mut Vec<Lack>) -> Option<Station> {
    let load = match tongue_load(plan) {
        Ok(load) => load?,
        Err(lack) => {
            lacks.push(lack);
            return None;
        }
    };
    match ball_station(plan) {
        Ok(station) => Some(Station { mass: load, station }),
        Err(lack) => {
            if !lacks.contains(&lack) {
                lacks.push(lack);
            }
            None
        }
    }
}
