//! The capacity that a vehicle has left after gear was added, for its label and its hand-over card.
//!
//! Everything that every shop added before the first sale counts together, not the last job alone.

use crate::{
    basis::{Basis, Seen, Source},
    calc::added_mass::{ADDED, GVWR, Threshold, label_threshold},
    error::CalcError,
    range::Range,
    units::Mass,
};

/// Where it is published that the capacity may not exceed what the gross rating leaves.
pub const SOURCE: Source =
    Source::new("NHTSA interpretation letter GF004408 (placard, vehicle capacity weight)", "", Seen::Opened);

/// Allowed capacity on a label, and mass of an unloaded vehicle.
pub const CAPACITY: Range = Range::new("capacity_kg", "kg", 0.0, 40_000.0);
/// Allowed mass of the unloaded vehicle before the gear was added.
pub const UNLOADED: Range = Range::new("unloaded_kg", "kg", 100.0, 60_000.0);

/// What one shop added, or took off for good.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change<'a> {
    /// Who, for the log.
    pub by: &'a str,
    /// What was added.
    pub added: Mass,
    /// What came off.
    pub removed: Mass,
}

/// What all shops together did to a vehicle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sum {
    /// Everything added.
    pub added: Mass,
    /// Everything taken off.
    pub removed: Mass,
}

impl Sum {
    /// Returns what was added net of what came off (common practice, no source; both belong in the log).
    #[must_use]
    pub fn net(&self) -> Mass {
        self.added - self.removed
    }
}

/// Adds up what all shops did.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for a mass below zero or beyond [`ADDED`].
pub fn sum(changes: &[Change<'_>]) -> Result<Sum, CalcError> {
    let positive = Range { min: 0.0, ..ADDED };
    let mut total = Sum { added: Mass::ZERO, removed: Mass::ZERO };
    for change in changes {
        positive.check(change.added.kg())?;
        positive.check(change.removed.kg())?;
        total.added += change.added;
        total.removed += change.removed;
    }
    ADDED.check(total.net().kg())?;
    Ok(total)
}

/// A vehicle's label before the work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OldLabel {
    /// Gross vehicle weight rating.
    pub gvwr: Mass,
    /// The capacity for people and cargo that the label gives.
    pub capacity: Mass,
    /// The unloaded vehicle's mass before anything was added.
    pub unloaded: Mass,
}

/// The capacity after the work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NewCapacity {
    /// What is left for people and cargo; never below zero.
    pub capacity: Mass,
    /// Whether the gross rating sets it, not the old label.
    pub capped_by_gvwr: bool,
    /// What was added, net.
    pub added: Mass,
    /// The mass up to which no label is asked for.
    pub threshold: Threshold,
    /// Whether a label is due.
    pub due: bool,
}

impl NewCapacity {
    /// Returns the capacity as a label shows it: whole kilograms and whole pounds, rounded down.
    #[must_use]
    pub fn shown(&self) -> (f64, f64) {
        // A capacity of 940 kg that comes out as 939.999 999 999 9 is 940.
        ((self.capacity.kg() + 1e-9).floor(), (self.capacity.lb() + 1e-9).floor())
    }

    /// Returns the facts for a label in our own words; how a label must read is the law's to say.
    #[must_use]
    pub fn words(&self) -> String {
        let (kg, lb) = self.shown();
        format!(
            "Capacity for people and cargo after {:.1} kg ({:.1} lb) of added equipment: {kg} kg ({lb} lb). \
             The law of the place says how the label must read.",
            self.added.kg(),
            self.added.lb(),
        )
    }
}

/// Returns the capacity after gear was added.
///
/// ```text
/// capacity = min(old capacity − added, GVWR − (unloaded + added)), at least 0
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for a mass; [`CalcError::Conflict`] when the unloaded vehicle exceeds its gross rating.
///
/// # Source
///
/// NHTSA interpretation letter GF004408; the threshold from [`label_threshold`].
pub fn new_capacity(label: &OldLabel, added: &Sum) -> Result<NewCapacity, CalcError> {
    GVWR.check(label.gvwr.kg())?;
    CAPACITY.check(label.capacity.kg())?;
    UNLOADED.check(label.unloaded.kg())?;
    if label.unloaded.exceeds(label.gvwr) {
        return Err(CalcError::Conflict {
            field: "unloaded_kg",
            other: "gvwr_kg",
            why: "the unloaded vehicle is heavier than its gross rating",
        });
    }
    let net = Mass::from_kg(ADDED.check(added.net().kg())?);
    let (by_label, by_gvwr) = (label.capacity - net, label.gvwr - label.unloaded - net);
    let threshold = label_threshold(label.gvwr)?;
    Ok(NewCapacity {
        capacity: by_label.min(by_gvwr).max(Mass::ZERO),
        capped_by_gvwr: by_label.exceeds(by_gvwr),
        added: net,
        threshold,
        due: threshold.due(net),
    })
}

/// Returns the step behind [`new_capacity`].
#[must_use]
pub fn basis(label: &OldLabel, added: &Sum) -> Vec<Basis> {
    vec![Basis::new(
        "capacity-after-work",
        "capacity = min(old capacity − added, GVWR − (unloaded + added))",
        SOURCE,
        &[
            ("gvwr_kg", label.gvwr.kg()),
            ("capacity_kg", label.capacity.kg()),
            ("unloaded_kg", label.unloaded.kg()),
            ("added_kg", added.net().kg()),
        ],
    )]
}

#[cfg(test)]
mod handbook {
    use proptest::prelude::*;

    use super::*;
    use crate::calc::printed::prints;

    const VAN: OldLabel =
        OldLabel { gvwr: Mass::from_kg(3200.0), capacity: Mass::from_kg(940.0), unloaded: Mass::from_kg(2260.0) };

    const fn change(by: &str, added: f64, removed: f64) -> Change<'_> {
        Change { by, added: Mass::from_kg(added), removed: Mass::from_kg(removed) }
    }

    #[test]
    fn the_van_is_under_without_steps_and_over_with_them() {
        let source = "FMVSS 110, rule opened; worked example on an invented van, derived";
        let hitch = sum(&[change("hitch bay", 38.0, 0.0), change("wiring bay", 2.5, 0.0)]).unwrap();
        prints(source, "40.5", hitch.net().kg());
        assert!(!new_capacity(&VAN, &hitch).unwrap().due);
        let all =
            sum(&[change("hitch bay", 38.0, 0.0), change("wiring bay", 2.5, 0.0), change("steps", 18.0, 0.0)]).unwrap();
        prints(source, "58.5", all.net().kg());
        let left = new_capacity(&VAN, &all).unwrap();
        assert!(left.due && !left.capped_by_gvwr);
        prints(source, "881.5", left.capacity.kg());
        assert_eq!(left.shown(), (881.0, 1943.0));
        assert!(left.words().contains("881 kg (1943 lb)"), "{}", left.words());
    }

    #[test]
    fn the_gross_rating_caps_a_label_that_promised_too_much() {
        let much = OldLabel { capacity: Mass::from_kg(1200.0), ..VAN };
        let left = new_capacity(&much, &sum(&[change("bay", 40.0, 0.0)]).unwrap()).unwrap();
        assert!(left.capped_by_gvwr && (left.capacity.kg() - 900.0).abs() < 1e-9);
        let heavy = OldLabel { unloaded: Mass::from_kg(3300.0), ..VAN };
        assert_eq!(new_capacity(&heavy, &sum(&[]).unwrap()).unwrap_err().field(), "unloaded_kg");
        assert_eq!(sum(&[change("bay", -1.0, 0.0)]).unwrap_err().field(), "added_kg");
    }

    proptest! {
        #[test]
        fn the_order_of_shops_does_not_count_and_nothing_is_promised_twice(
            list in prop::collection::vec((0.0..80.0_f64, 0.0..30.0_f64), 0..6),
        ) {
            let changes: Vec<_> = list.iter().map(|&(added, removed)| change("bay", added, removed)).collect();
            let back: Vec<_> = changes.iter().rev().copied().collect();
            let (one, other) = (sum(&changes).unwrap(), sum(&back).unwrap());
            prop_assert!((one.net() - other.net()).kg().abs() < 1e-9);
            let left = new_capacity(&VAN, &one).unwrap();
            prop_assert!(left.capacity + one.net() + VAN.unloaded <= VAN.gvwr + Mass::from_kg(1e-6));
            prop_assert!(left.shown().0 <= left.capacity.kg() + 1e-6);
        }
    }
}
