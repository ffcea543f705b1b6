//! Voltage drop along a run, and each of its unknowns.

use super::wire::{CELSIUS, Wire, warm};
use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    range::Range,
    tables::{awg, iso_6722},
    units::{Amps, Area, Length, Ohms, Volts},
};

/// Allowed length of a run, one way.
pub const LENGTH: Range = Range::new("length_mm", "mm", 1.0, 100_000.0);
/// Allowed current.
pub const CURRENT: Range = Range::new("load_a", "A", 0.001, 500.0);
/// Allowed supply voltage.
pub const SUPPLY: Range = Range::new("supply_v", "V", 1.0, 60.0);
/// Allowed resistance of a load.
pub const LOAD: Range = Range::new("load_ohm", "Ω", 0.01, 100_000.0);
/// Allowed number of joints in a return through the body.
pub const JOINTS: Range = Range::new("joints_count", "", 0.0, 20.0);
/// Allowed voltage drop.
pub const DROP: Range = Range::new("drop_v", "V", 0.001, 60.0);
/// What one joint of a return through the body costs; common practice, no source.
pub const PER_JOINT: Volts = Volts::from_v(0.1);

pub(super) const OHM: Source = Source::new("Ohm's law", "", Seen::Derived);
/// Where the limits of the drop come from: read for boats, taken over by the trade for vehicles.
pub const LIMIT_SOURCE: Source = Source::new("marine wiring tables, 3 % and 10 %", "", Seen::Opened);
/// Where the least voltage at a bulb comes from.
pub const BULB_SOURCE: Source = Source::new("California Code of Regulations title 13, section 1249", "", Seen::Opened);
/// The least voltage at a bulb, as a share of its design voltage, engine running.
pub const BULB_SHARE: f64 = 0.85;

/// How the current comes back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Return {
    /// Through a wire as long as the one out.
    Wire(Wire),
    /// Through the body, whose own resistance is nothing beside its joints at [`PER_JOINT`] each.
    Body {
        /// How many joints, in the range [`JOINTS`].
        joints: i32,
    },
}

/// A run of wire.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Run {
    /// The wire out.
    pub wire: Wire,
    /// Its length, one way, in the range [`LENGTH`].
    pub length: Length,
    /// The conductor's temperature, °C, in the range [`CELSIUS`].
    pub celsius: f64,
    /// The way back.
    pub back: Return,
}

impl Run {
    /// Returns the resistance out and back, and the fixed drop of the body's joints.
    ///
    /// # Errors
    ///
    /// [`CalcError::OutOfRange`] or [`CalcError::NoSuchRow`] for what cannot be.
    pub fn resistance(&self) -> Result<(Ohms, Volts), CalcError> {
        let metres = LENGTH.check(self.length.mm())? / 1000.0;
        let out = self.wire.resistance_per_metre(self.celsius)? * metres;
        match self.back {
            Return::Wire(wire) => Ok((out + wire.resistance_per_metre(self.celsius)? * metres, Volts::ZERO)),
            Return::Body { joints } => Ok((out, PER_JOINT * JOINTS.check(f64::from(joints))?)),
        }
    }
}

/// What a drop leaves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drop {
    /// The current that flows.
    pub current: Amps,
    /// What is lost on the way out and back.
    pub lost: Volts,
    /// What the load gets; below zero when that current cannot flow.
    pub at_load: Volts,
    /// What is lost, as a share of the supply.
    pub share: f64,
}

impl Drop {
    fn of(supply: f64, current: f64, lost: f64) -> Self {
        Self {
            current: Amps::from_a(current),
            lost: Volts::from_v(lost),
            at_load: Volts::from_v(supply - lost),
            share: lost / supply,
        }
    }

    /// Returns whether it stays within a limit.
    #[must_use]
    pub fn within(&self, limit: DropLimit) -> bool {
        self.share <= limit.share() + 1e-12
    }

    /// Returns whether a bulb of that design voltage gets at least 85 % of it.
    #[must_use]
    pub fn lights(&self, design: Volts) -> bool {
        self.at_load.v() >= design.v() * BULB_SHARE - 1e-12
    }
}

/// How much of the supply may be lost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DropLimit {
    /// 3 %: lamps and brakes.
    SafetyRelevant,
    /// 10 %: all else.
    Other,
}

impl DropLimit {
    /// Returns the share of the supply.
    #[must_use]
    pub const fn share(self) -> f64 {
        match self {
            Self::SafetyRelevant => 0.03,
            Self::Other => 0.10,
        }
    }
}

/// Returns the drop at a given current.
///
/// ```text
/// ΔV = I · (R_out + R_back) + 0.1 V · joints
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] or [`CalcError::NoSuchRow`] names the first input that cannot be.
///
/// # Source
///
/// Ohm's law; the joints are common practice, no source.
pub fn drop(run: &Run, current: Amps, supply: Volts) -> Result<Drop, CalcError> {
    let (current, supply) = (CURRENT.check(current.a())?, SUPPLY.check(supply.v())?);
    let (resistance, joints) = run.resistance()?;
    Ok(Drop::of(supply, current, current * resistance.ohm() + joints.v()))
}

/// Returns the current and the drop with a load that is a resistance, by solving the loop.
///
/// ```text
/// I = (V − 0.1 V · joints) / (R_load + R_out + R_back)
/// ```
///
/// A lamp or a magnet draws less when the wire takes its share; a drop at its nominal current reads high.
///
/// # Errors
///
/// As [`drop`]; [`CalcError::Conflict`] when the joints alone take the whole supply.
pub fn drop_with_load(run: &Run, load: Ohms, supply: Volts) -> Result<Drop, CalcError> {
    let (load, supply) = (LOAD.check(load.ohm())?, SUPPLY.check(supply.v())?);
    let (resistance, joints) = run.resistance()?;
    let rest = supply - joints.v();
    if rest <= 0.0 {
        return Err(CalcError::Conflict {
            field: "joints_count",
            other: "supply_v",
            why: "the joints take the whole supply",
        });
    }
    let current = rest / (load + resistance.ohm());
    Ok(Drop::of(supply, current, supply - current * load))
}

/// Returns the resistance of equal loads side by side: `R / n`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for [`LOAD`] or a count that is not 1 to 100.
pub fn side_by_side(each: Ohms, count: i32) -> Result<Ohms, CalcError> {
    let count = Range::new("loads_count", "", 1.0, 100.0).check(f64::from(count))?;
    Ok(Ohms::from_ohm(LOAD.check(each.ohm())? / count))
}

/// Returns the largest current a run carries within a drop.
///
/// # Errors
///
/// As [`drop`]; [`CalcError::Conflict`] when the joints alone take the drop.
pub fn current_for_drop(run: &Run, lost: Volts) -> Result<Amps, CalcError> {
    let lost = DROP.check(lost.v())?;
    let (resistance, joints) = run.resistance()?;
    Ok(Amps::from_a(left(lost, joints)? / resistance.ohm()))
}

/// Returns how long the run may be, one way, for a current and a drop. Its own length is not read.
///
/// # Errors
///
/// As [`current_for_drop`].
pub fn length_for_drop(run: &Run, current: Amps, lost: Volts) -> Result<Length, CalcError> {
    let (current, lost) = (CURRENT.check(current.a())?, DROP.check(lost.v())?);
    let (per_metre, joints) = Run { length: Length::from_m(1.0), ..*run }.resistance()?;
    Ok(Length::from_m(left(lost, joints)? / (current * per_metre.ohm())))
}

fn left(lost: f64, joints: Volts) -> Result<f64, CalcError> {
    if lost > joints.v() {
        return Ok(lost - joints.v());
    }
    Err(CalcError::Conflict { field: "joints_count", other: "drop_v", why: "the joints alone take the whole drop" })
}

/// Returns the copper area a current needs for a drop, out and back through the same wire.
///
/// ```text
/// A = ρ · (1 + 0.00393 · (t − 20)) · 2 ℓ · I / ΔV
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] names the first input outside its range.
pub fn area_for_drop(current: Amps, length: Length, celsius: f64, lost: Volts) -> Result<Area, CalcError> {
    let (current, lost) = (CURRENT.check(current.a())?, DROP.check(lost.v())?);
    let metres = LENGTH.check(length.mm())? / 1000.0;
    let resistivity = awg::COPPER_OHM_MM2_PER_M * warm(CELSIUS.check(celsius)?);
    Ok(Area::from_mm2(resistivity * 2.0 * metres * current / lost))
}

/// The thinnest wires that keep a drop, of either kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Smallest {
    /// By gauge, of the even gauges that are sold; `None` when the thickest does not keep it.
    pub awg: Option<i32>,
    /// By nominal area.
    pub metric: Option<Area>,
}

/// Returns the thinnest gauge and the thinnest metric cable that keep a drop, out and back through the same wire.
///
/// # Errors
///
/// As [`area_for_drop`].
pub fn smallest(current: Amps, length: Length, celsius: f64, lost: Volts) -> Result<Smallest, CalcError> {
    let most = DROP.check(lost.v())?;
    let supply = Volts::from_v(SUPPLY.max);
    let keeps = |wire: Wire| -> Result<bool, CalcError> {
        let run = Run { wire, length, celsius, back: Return::Wire(wire) };
        Ok(drop(&run, current, supply)?.lost.v() <= most + 1e-12)
    };
    let mut found = Smallest { awg: None, metric: None };
    for gauge in (0..=20).rev().step_by(2) {
        if keeps(Wire::Awg(gauge))? {
            found.awg = Some(gauge);
            break;
        }
    }
    for (mm2, _) in iso_6722::ROWS {
        let area = Area::from_mm2(mm2);
        if keeps(Wire::Metric(area))? {
            found.metric = Some(area);
            break;
        }
    }
    Ok(found)
}

/// Returns the steps behind [`drop`].
#[must_use]
pub fn basis(run: &Run, current: Amps, supply: Volts) -> Vec<Basis> {
    let mut steps = run.wire.basis(run.celsius);
    let mut inputs = vec![("load_a", current.a()), ("length_mm", run.length.mm()), ("supply_v", supply.v())];
    let text = match run.back {
        Return::Wire(_) => "ΔV = I · (R_out + R_back)",
        Return::Body { joints } => {
            inputs.push(("joints_count", f64::from(joints)));
            "ΔV = I · R_out + 0.1 V · joints"
        }
    };
    steps.push(Basis::new("voltage-drop", text, OHM, &inputs));
    steps
}
