//! What to look at along a wire's way through a vehicle. The answers are somebody's who looked; none is assumed.

use crate::basis::{Seen, Source};

const CALIFORNIA: Source = Source::new("California Code of Regulations title 13, section 1249", "", Seen::Opened);
const CHANNEL: Source = Source::new("49 CFR 393.28 and guidance", "", Seen::Opened);
const TRADE: Source = Source::new("routing of trailer wiring", "", Seen::CommonPractice);

/// One thing to look at. The right answer is always yes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hazard {
    /// Its stable name.
    pub id: &'static str,
    /// The question, to be answered yes.
    pub question: &'static str,
    /// Where it comes from.
    pub source: Source,
    /// Whether the law speaks of it somewhere, not the trade alone.
    pub legal: bool,
}

const fn law(id: &'static str, question: &'static str, source: Source) -> Hazard {
    Hazard { id, question, source, legal: true }
}

const fn trade(id: &'static str, question: &'static str) -> Hazard {
    Hazard { id, question, source: TRADE, legal: false }
}

/// The list, in the order of the way from front to rear.
pub const HAZARDS: [Hazard; 20] = [
    law("grommets", "Is every hole through sheet metal grommeted or rolled?", CALIFORNIA),
    law("sheath", "Are the wires bundled in sheath, tape or loom that resists abrasion?", CALIFORNIA),
    law("supported", "Is the loom held up along its way?", CALIFORNIA),
    law("clear-of-heat-and-motion", "Is it away from heat and from moving parts?", CALIFORNIA),
    law("clear-of-fuel", "Is it away from the fuel system wherever that can be done?", CALIFORNIA),
    law("sound-joints", "Is every joint soldered, or both held and connected, and insulated?", CALIFORNIA),
    law("stranded", "Is the wire stranded?", CALIFORNIA),
    law("own-sheath-in-channel", "Does the loom have a sheath of its own where it lies in a frame channel?", CHANNEL),
    trade("exhaust-150-mm", "Is it 150 mm or more from the exhaust, or shielded?"),
    trade("driveline-75-mm", "Is it 75 mm or more from the driveline?"),
    trade("clips-450-mm", "Is it clipped at least every 450 mm?"),
    trade("drip-loop", "Does it have a drip loop before every connector, and do splices drain?"),
    trade("bend-radius", "Is every bend at least five times the loom's diameter in radius?"),
    trade("hinge-slack", "Is there 10 to 15 mm of slack on each side of a hinge?"),
    trade("no-splice-in-grommet", "Is every splice outside grommets?"),
    trade("ground-to-bare-metal", "Is the ground on bare metal, with a star washer and sealant?"),
    trade("own-ground", "Is the ground apart from those of control units and airbags?"),
    trade("no-piercing-taps", "Are bus wires and monitored lamp circuits free of piercing taps?"),
    trade("safety-looms-untouched", "Are the looms of airbags, brakes and radar untouched?"),
    trade(
        "made-dead",
        "Was the vehicle made dead the way its maker prescribes, high voltage by qualified people alone?",
    ),
];

/// Returns one by its name.
#[must_use]
pub fn hazard(id: &str) -> Option<&'static Hazard> {
    HAZARDS.iter().find(|hazard| hazard.id == id)
}
