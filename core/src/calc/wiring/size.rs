//! A circuit sized as a whole: its drop, every size of wire in its place, and the fuse.

use super::{
    drop::{
        self, CURRENT, Drop, DropLimit, Return, Run, area_for_drop, current_for_drop, drop_with_load, length_for_drop,
        side_by_side,
    },
    fuse::{FILL, FuseChoice, FuseInput, choose_fuse, one_size_up, takes},
    wire::Wire,
};
use crate::{
    basis::Basis,
    error::CalcError,
    model::wiring::{Circuit, ReturnPath},
    tables::{
        fuses::{self, WireMax},
        iso_6722,
    },
    units::{Amps, Area, Length, Ohms, Volts},
};

/// The cautious end of how much of its rating a fuse carries at all times; common practice, no source.
pub const FILL_CAUTIOUS: f64 = 0.75;

/// A circuit of which enough is known to size it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sizing {
    /// The wire, its length and the way back.
    pub run: Run,
    /// The supply voltage.
    pub supply: Volts,
    /// The current it must carry, when that is given.
    pub current: Option<Amps>,
    /// The whole load as a resistance, when that is given. One of the two always is.
    pub load: Option<Ohms>,
}

impl Sizing {
    /// Takes what is needed from a circuit.
    ///
    /// # Errors
    ///
    /// The fields that nobody has filled, by their names on the wire.
    pub fn of(circuit: &Circuit) -> Result<Self, Vec<&'static str>> {
        let mut missing = Vec::new();
        let mut need = |holds: bool, field: &'static str| {
            if !holds {
                missing.push(field);
            }
        };
        need(circuit.wire.is_some(), "awg_code");
        need(circuit.length.is_some(), "length_mm");
        need(circuit.celsius.is_some(), "conductor_c");
        need(circuit.supply.is_some(), "supply_v");
        need(circuit.back.is_some(), "return_path");
        need(circuit.back != Some(ReturnPath::Body) || circuit.joints.is_some(), "joint_count");
        need(circuit.load.is_some() || circuit.load_resistance.is_some(), "load_a");
        let whole = match (circuit.load_resistance, circuit.loads) {
            (Some(each), Some(count)) => side_by_side(each, count).ok(),
            (whole, _) => whole,
        };
        let (Some(wire), Some(length), Some(celsius), Some(supply), Some(back), []) =
            (circuit.wire, circuit.length, circuit.celsius, circuit.supply, circuit.back, missing.as_slice())
        else {
            return Err(missing);
        };
        let back = match back {
            ReturnPath::Wire => Return::Wire(wire),
            ReturnPath::Body => Return::Body { joints: circuit.joints.unwrap_or_default() },
        };
        Ok(Self { run: Run { wire, length, celsius, back }, supply, current: circuit.load, load: whole })
    }

    /// Returns the same circuit with another wire, and with a return like it where the return is a wire.
    #[must_use]
    pub const fn with_wire(self, wire: Wire) -> Self {
        let back = match self.run.back {
            Return::Wire(_) => Return::Wire(wire),
            body @ Return::Body { .. } => body,
        };
        Self { run: Run { wire, back, ..self.run }, ..self }
    }

    /// Returns the drop at the current given.
    ///
    /// # Errors
    ///
    /// As [`drop::drop`].
    pub fn given(&self) -> Result<Option<Drop>, CalcError> {
        self.current.map(|current| drop::drop(&self.run, current, self.supply)).transpose()
    }

    /// Returns the drop with the load as a resistance, the loop solved.
    ///
    /// # Errors
    ///
    /// As [`drop_with_load`].
    pub fn solved(&self) -> Result<Option<Drop>, CalcError> {
        self.load.map(|load| drop_with_load(&self.run, load, self.supply)).transpose()
    }

    /// Returns the drop that counts: the greater of the two that are known.
    ///
    /// # Errors
    ///
    /// As the two; [`CalcError::Missing`] when neither a current nor a resistance is given.
    pub fn worst(&self) -> Result<Drop, CalcError> {
        let missing = CalcError::Missing { field: "load_a", by: "the voltage drop" };
        let found = [self.given()?, self.solved()?].into_iter().flatten();
        found.max_by(|one, other| one.lost.v().total_cmp(&other.lost.v())).ok_or(missing)
    }

    /// Returns the current that the fuse has to hold: the greater of the two that are known.
    ///
    /// # Errors
    ///
    /// As [`Sizing::worst`].
    pub fn carried(&self) -> Result<Amps, CalcError> {
        let solved = self.solved()?.map(|drop| drop.current);
        let missing = CalcError::Missing { field: "load_a", by: "the fuse" };
        let found = [self.current, solved].into_iter().flatten();
        found.max_by(|one, other| one.a().total_cmp(&other.a())).ok_or(missing)
    }
}

/// One size of wire in a circuit's place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Size {
    /// The wire.
    pub wire: Wire,
    /// The drop that counts with it.
    pub drop: Drop,
    /// Whether it keeps the limit.
    pub within: bool,
    /// What it takes at least, where a table has it or a thinner size.
    pub most: Option<WireMax>,
    /// The fuse that the load asks for, when it takes it.
    pub fuse: Option<Amps>,
}

impl Size {
    /// Returns whether it keeps the drop and takes the fuse.
    #[must_use]
    pub const fn does(&self) -> bool {
        self.within && self.fuse.is_some()
    }
}

/// A circuit, sized.
#[derive(Debug, Clone, PartialEq)]
pub struct SizedCircuit {
    /// The resistance out and back.
    pub resistance: Ohms,
    /// What the joints of a return through the body take.
    pub joints: Volts,
    /// The drop at the current given.
    pub given: Option<Drop>,
    /// The drop with the load as a resistance.
    pub solved: Option<Drop>,
    /// The longest run that keeps the limit at the current that counts.
    pub length_limit: Option<Length>,
    /// The largest current that keeps the limit.
    pub current_limit: Option<Amps>,
    /// The copper that keeps the limit at the current that counts, out and back through wires alone.
    pub area_needed: Option<Area>,
    /// The wire as it is.
    pub wire: Size,
    /// The next size up.
    pub wire_up: Option<Size>,
    /// Every size, gauges before cables, thinnest first.
    pub sizes: Vec<Size>,
    /// The current that counts.
    pub carried: Amps,
    /// The fuse; or why the wire cannot be asked.
    pub fuse: Result<FuseChoice, CalcError>,
}

impl SizedCircuit {
    /// Returns the thinnest gauge and the thinnest cable that keep the drop and take the fuse.
    pub fn smallest(&self) -> impl Iterator<Item = &Size> {
        let first =
            |gauge: bool| self.sizes.iter().find(move |size| matches!(size.wire, Wire::Awg(_)) == gauge && size.does());
        first(true).into_iter().chain(first(false))
    }
}

/// Sizes a circuit.
///
/// # Errors
///
/// [`CalcError`] for what cannot be; a wire that no table of fuses has is no error.
///
/// # Source
///
/// As [`drop::drop`] and [`choose_fuse`].
pub fn size(sizing: &Sizing, limit: DropLimit, fill: f64) -> Result<SizedCircuit, CalcError> {
    let fill = FILL.check(fill)?;
    let carried = sizing.carried()?;
    CURRENT.check(carried.a())?;
    let worst = sizing.worst()?;
    let lost = Volts::from_v(sizing.supply.v() * limit.share());
    let (resistance, joints) = sizing.run.resistance()?;
    let area = match sizing.run.back {
        Return::Wire(_) => Some(area_for_drop(worst.current, sizing.run.length, sizing.run.celsius, lost)?),
        Return::Body { .. } => None,
    };
    let gauges = (0..=20).rev().step_by(2).map(Wire::Awg);
    let cables = iso_6722::ROWS.iter().map(|row| Wire::Metric(Area::from_mm2(row.0)));
    let sizes: Result<Vec<Size>, CalcError> =
        gauges.chain(cables).map(|wire| in_place(sizing, wire, limit, fill)).collect();
    Ok(SizedCircuit {
        resistance,
        joints,
        given: sizing.given()?,
        solved: sizing.solved()?,
        length_limit: length_for_drop(&sizing.run, worst.current, lost).ok(),
        current_limit: current_for_drop(&sizing.run, lost).ok(),
        area_needed: area,
        wire: in_place(sizing, sizing.run.wire, limit, fill)?,
        wire_up: one_size_up(sizing.run.wire).map(|wire| in_place(sizing, wire, limit, fill)).transpose()?,
        sizes: sizes?,
        carried,
        fuse: choose_fuse(&FuseInput { load: carried, fill, wire: sizing.run.wire }),
    })
}

/// Puts a wire in a circuit's place.
fn in_place(sizing: &Sizing, wire: Wire, limit: DropLimit, fill: f64) -> Result<Size, CalcError> {
    let there = sizing.with_wire(wire);
    let drop = there.worst()?;
    let load = there.carried()?;
    let most = takes(wire).ok();
    let fuse = match most {
        Some(_) => match choose_fuse(&FuseInput { load, fill, wire })? {
            FuseChoice::Fits(fuse) => Some(fuse.rating),
            FuseChoice::WireTooThin { .. } | FuseChoice::BeyondSteps { .. } => None,
        },
        None => None,
    };
    Ok(Size { wire, drop, within: drop.within(limit), most, fuse })
}

/// Returns the limit of a circuit's drop; one of which nobody says what depends on it is held to the tighter one.
#[must_use]
pub fn limit(circuit: &Circuit) -> DropLimit {
    match circuit.safety_relevant {
        Some(false) => DropLimit::Other,
        Some(true) | None => DropLimit::SafetyRelevant,
    }
}

/// Returns the steps behind [`size()`].
#[must_use]
pub fn basis(sizing: &Sizing, limit: DropLimit, fill: f64) -> Vec<Basis> {
    let mut steps = Vec::new();
    if let Some(current) = sizing.current {
        steps.extend(drop::basis(&sizing.run, current, sizing.supply));
    }
    if let Some(load) = sizing.load {
        if sizing.current.is_none() {
            steps.extend(sizing.run.wire.basis(sizing.run.celsius));
        }
        steps.push(Basis::new(
            "loop-solved",
            "I = (V − 0.1 V · joints) / (R_load + R_out + R_back)",
            drop::OHM,
            &[("load_ohm", load.ohm()), ("supply_v", sizing.supply.v())],
        ));
    }
    steps.push(Basis::new(
        "drop-limit",
        "ΔV / V ≤ 3 % where lamps or brakes depend on it, 10 % else",
        drop::LIMIT_SOURCE,
        &[("lost_share", limit.share())],
    ));
    if let Ok(load) = sizing.carried() {
        steps.extend(super::fuse::basis(&FuseInput { load, fill, wire: sizing.run.wire }));
    }
    let recalled = |fuse: &fuses::Fuse| fuse.source == fuses::RECALLED_SOURCE;
    if let Ok(FuseChoice::Fits(fuse)) =
        sizing.carried().and_then(|load| choose_fuse(&FuseInput { load, fill, wire: sizing.run.wire }))
        && recalled(&fuse)
    {
        steps.push(Basis::new("fuse-step-recalled", "this step is in no list that was opened", fuse.source, &[]));
    }
    steps
}

#[cfg(test)]
mod tests;
