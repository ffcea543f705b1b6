//! What lamps and brake magnets draw.

use crate::{
    basis::{Seen, Source},
    units::Amps,
};

const J573: Source = Source::new("SAE J573, bulb data", "", Seen::FromMemory);
const R37: Source = Source::new("UN Regulation 37, filament lamps", "", Seen::FromMemory);
const MAGNETS: Source =
    Source::new("a brake maker's current table, as quoted in a public repository", "", Seen::Opened);
const TRADE: Source = Source::new("range of light-emitting lamps", "", Seen::CommonPractice);

/// A kind of load.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Load {
    /// The bright filament of a North American two-filament bulb.
    StopTurnFilament,
    /// The dim filament of the same bulb.
    TailFilament,
    /// A wedge-base marker bulb.
    WedgeMarker,
    /// A 21 W single-filament bulb, P21W.
    P21w,
    /// A 5 W bulb, R5W or W5W.
    FiveWatt,
    /// The magnet of a 10 to 12 in electric brake.
    BrakeMagnet,
    /// The magnet of a 7 in electric brake.
    SmallBrakeMagnet,
    /// A light-emitting lamp at the upper end of what they draw. It may fail the vehicle's bulb-out monitoring.
    LedLamp,
}

/// What one draws, and where that is published.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Draw {
    /// The current.
    pub current: Amps,
    /// Where it is published.
    pub source: Source,
}

/// Returns what one draws.
#[must_use]
pub const fn draw(load: Load) -> Draw {
    let (a, source) = match load {
        Load::StopTurnFilament => (2.10, J573),
        Load::TailFilament => (0.59, J573),
        Load::WedgeMarker => (0.27, J573),
        Load::P21w => (1.75, R37),
        Load::FiveWatt => (5.0 / 12.0, R37),
        Load::BrakeMagnet => (3.0, MAGNETS),
        Load::SmallBrakeMagnet => (2.5, MAGNETS),
        Load::LedLamp => (0.5, TRADE),
    };
    Draw { current: Amps::from_a(a), source }
}

/// Returns what a list of loads draws together.
#[must_use]
pub fn total(loads: &[(Load, u16)]) -> Amps {
    loads.iter().map(|&(load, count)| draw(load).current * f64::from(count)).sum()
}
