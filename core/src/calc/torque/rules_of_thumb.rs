//! What shops and manuals do to a dry torque: listed beside a calculated one, never instead of it.

use crate::{
    basis::{Seen, Source},
    units::Torque,
};

/// A published or customary factor on a torque that was specified dry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RuleOfThumb {
    /// When it is said to hold.
    pub when: &'static str,
    /// The least factor on the dry torque.
    pub low: f64,
    /// The greatest factor on the dry torque.
    pub high: f64,
    /// Who says so.
    pub source: Source,
}

impl RuleOfThumb {
    /// Returns what the rule makes of a dry torque, least and greatest.
    #[must_use]
    pub fn of(&self, dry: Torque) -> (Torque, Torque) {
        (dry * self.low, dry * self.high)
    }
}

const ARMY: Source = Source::new(
    "US Army TM 5-3895-367-14&P, TM 9-2320-362-14&P, TM 9-6115-604-34, TM 5-3800-205-23-1",
    "",
    Seen::Opened,
);
const SERVICE_MANUAL: Source = Source::new("equipment service manuals, dry and lubricated tables", "", Seen::Opened);

const fn rule(when: &'static str, low: f64, high: f64, source: Source) -> RuleOfThumb {
    RuleOfThumb { when, low, high, source }
}

/// The rules, as printed.
pub const RULES_OF_THUMB: &[RuleOfThumb] = &[
    rule("engine oil on threads that are specified dry", 0.90, 0.90, ARMY),
    rule("new plated cap screws", 0.80, 0.80, ARMY),
    rule(
        "a steel screw in aluminium, engaged over two diameters; or lower",
        0.70,
        0.70,
        Source::new("US Army TM 5-3895-367-14&P and TM 9-6115-604-34", "", Seen::Opened),
    ),
    rule("lubricated with oil, graphite or thread sealant", 0.75, 0.75, SERVICE_MANUAL),
    rule("lubricated, metric classes 8.8 and 10.9", 0.78, 0.79, SERVICE_MANUAL),
    rule("lubricated, inch grades", 0.75, 0.77, SERVICE_MANUAL),
    rule(
        "any lubricant, by the average nut factors 0.15 and 0.20",
        0.75,
        0.75,
        Source::new("industry newsletter on the nut factor", "", Seen::Opened),
    ),
    rule("lubricated", 0.75, 0.80, Source::new("trade rule", "", Seen::CommonPractice)),
    rule(
        "molybdenum disulphide with cadmium on both sides",
        0.80,
        0.80,
        Source::new("tool catalogue, technical page", "", Seen::Opened),
    ),
    rule("phosphated bolt and nut", 0.75, 0.75, Source::new("torque guide", "", Seen::Opened)),
];
