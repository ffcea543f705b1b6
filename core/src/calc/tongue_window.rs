//! The window that a tongue share must lie in: the trade's, what somebody prints, and every static load limit, taken
//! together.
//!
//! A window that the trailer's maker prints goes before the vehicle handbook's, and that before the trade's: a boat or
//! special trailer may be lower. A static load limit and the shop's own wish only ever narrow it.

#[cfg(test)]
mod handbook;

use crate::{
    basis::{Basis, Seen, Source},
    calc::axles::tongue::TRAILER_MASS,
    error::CalcError,
    range::Range,
    units::Mass,
};

/// Allowed bound of a window.
pub const BOUND: Range = Range::new("share", "", 0.0, 1.0);
/// Allowed static load limit.
pub const STATIC_LOAD: Range = Range::new("static_load_kg", "kg", 0.0, 40_000.0);

/// How the trailer hangs on, and where.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Regime {
    /// A ball coupling in North America: 10 to 15 %; some handbooks ask for 9 to 11 %.
    BallNorthAmerica,
    /// A fifth wheel or gooseneck: 15 to 25 %. The texts disagree whether such a trailer is rated at 15 or at 20 %.
    FifthWheel,
    /// A centre-axle trailer in Europe: at least 4 %, and no more than the lowest static load S that is printed.
    CentreAxleEurope,
}

/// A window of the tongue share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Usual {
    /// The least share.
    pub least: f64,
    /// The greatest share; `None` where static load limits alone bound it.
    pub most: Option<f64>,
    /// Where it was read.
    pub source: Source,
}

/// Returns the window of a regime, where nobody prints another.
#[must_use]
pub const fn usual(regime: Regime) -> Usual {
    match regime {
        Regime::BallNorthAmerica => Usual {
            least: 0.10,
            most: Some(0.15),
            source: Source::new("vehicle and trailer handbooks, tongue load of ball couplings", "", Seen::Opened),
        },
        Regime::FifthWheel => Usual {
            least: 0.15,
            most: Some(0.25),
            source: Source::new("vehicle and trailer handbooks, pin load of fifth wheels", "", Seen::Opened),
        },
        Regime::CentreAxleEurope => Usual {
            least: 0.04,
            most: None,
            source: Source::new("Directive 97/27/EC, 7.8.2 (texts disagree on 4 % and 25 kg)", "", Seen::Opened),
        },
    }
}

/// A bound that somebody sets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bound {
    /// A share of the trailer's mass.
    Share(f64),
    /// A load; it bounds the share by the trailer's mass.
    Load(Mass),
}

/// A named bound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Named {
    /// Who sets it: `receiver, S-value`.
    pub by: &'static str,
    /// The bound.
    pub bound: Bound,
}

/// What a window is put together from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WindowInput<'a> {
    /// The regime; `None` when nobody says, and then the trade's window is not used.
    pub regime: Option<Regime>,
    /// The trailer as loaded, in the range [`TRAILER_MASS`].
    pub trailer: Mass,
    /// What the trailer's maker prints, least and greatest.
    pub trailer_prints: (Option<f64>, Option<f64>),
    /// What the vehicle's handbook prints, least and greatest.
    pub vehicle_prints: (Option<f64>, Option<f64>),
    /// Further lower bounds; each narrows.
    pub at_least: &'a [Named],
    /// Further upper bounds, static load limits among them; each narrows.
    pub at_most: &'a [Named],
}

/// One end of a window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct End {
    /// The share.
    pub share: f64,
    /// Who sets it.
    pub by: &'static str,
}

/// The window, every limit taken in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// The least share; `None` when nobody asks for one.
    pub least: Option<End>,
    /// The greatest share; `None` when nobody limits it.
    pub most: Option<End>,
}

/// How a share stands to a window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Inside, bounds included.
    Inside,
    /// Below it.
    Below,
    /// Above it.
    Above,
    /// The limits leave no room for any share.
    Empty,
}

impl Window {
    /// Returns whether the limits leave no room for any share at this trailer mass.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        matches!((self.least, self.most), (Some(least), Some(most)) if most.share < least.share - SLACK)
    }

    /// Returns how a share stands to it.
    #[must_use]
    pub fn standing(&self, share: f64) -> Standing {
        if self.is_empty() {
            return Standing::Empty;
        }
        if self.least.is_some_and(|least| share < least.share - SLACK) {
            return Standing::Below;
        }
        if self.most.is_some_and(|most| most.share + SLACK < share) {
            return Standing::Above;
        }
        Standing::Inside
    }
}

/// Shares this close are the same: 210 kg of 2000 kg is 10.5 %, whatever binary fractions make of it.
const SLACK: f64 = 1e-12;

/// Returns the window of a train.
///
/// ```text
/// least = max(base, wishes)        most = min(base, wishes, load / trailer)
/// ```
///
/// where the base is what the trailer's maker prints, else the vehicle handbook's, else the trade's.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for the trailer's mass, a share or a load.
///
/// # Source
///
/// Each regime names its own, see [`usual`]; that a trailer maker's window goes first: vehicle and trailer handbooks.
pub fn tongue_window(input: &WindowInput<'_>) -> Result<Window, CalcError> {
    let trailer = TRAILER_MASS.check(input.trailer.kg())?;
    let trade = input.regime.map(usual);
    let base = |trailer: Option<f64>, vehicle: Option<f64>, trade: Option<f64>| -> Result<Option<End>, CalcError> {
        let found = [(trailer, "trailer maker"), (vehicle, "vehicle handbook"), (trade, "trade window")];
        let found = found.into_iter().find_map(|(share, by)| share.map(|share| (share, by)));
        found.map(|(share, by)| Ok(End { share: BOUND.check(share)?, by })).transpose()
    };
    let (own, handbook) = (input.trailer_prints, input.vehicle_prints);
    let mut least = base(own.0, handbook.0, trade.map(|trade| trade.least))?;
    let mut most = base(own.1, handbook.1, trade.and_then(|trade| trade.most))?;
    let end = |named: &Named| -> Result<End, CalcError> {
        let share = match named.bound {
            Bound::Share(share) => BOUND.check(share)?,
            Bound::Load(load) => STATIC_LOAD.check(load.kg())? / trailer,
        };
        Ok(End { share, by: named.by })
    };
    for named in input.at_least {
        let more = end(named)?;
        if least.is_none_or(|least| least.share < more.share) {
            least = Some(more);
        }
    }
    for named in input.at_most {
        let less = end(named)?;
        if most.is_none_or(|most| less.share < most.share) {
            most = Some(less);
        }
    }
    Ok(Window { least, most })
}

/// Returns the steps behind [`tongue_window`].
#[must_use]
pub fn basis(input: &WindowInput<'_>) -> Vec<Basis> {
    let source = input
        .regime
        .map_or(Source::new("the printed windows and loads that were given", "", Seen::Derived), |regime| {
            usual(regime).source
        });
    let mut inputs = vec![("trailer_mass_kg", input.trailer.kg())];
    for named in input.at_most {
        match named.bound {
            Bound::Load(load) => inputs.push(("static_load_kg", load.kg())),
            Bound::Share(share) => inputs.push(("tongue_max_share", share)),
        }
    }
    vec![Basis::new("tongue-window", "least ≤ T / M ≤ min(most, load / M)", source, &inputs)]
}
