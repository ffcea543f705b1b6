//! Whether a trailer must have brakes where it goes: the built-in table of thresholds, and the row a shop keeps beside it.
//!
//! Laws change. Where both rows speak and disagree, the stricter one is not taken for the law by itself: a person must
//! look. Where neither speaks nothing is known.

use crate::{
    basis::{Basis, Seen, Source},
    model::brake_law::BrakeLaw,
    tables::brake_thresholds,
    units::Mass,
};

/// One threshold that applies to a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Threshold<'a> {
    /// A trailer up to and including this gross mass may go without brakes.
    pub unbraked_to: Mass,
    /// Where that was read.
    pub source: &'a str,
    /// When, as a month or a day.
    pub seen_on: &'a str,
    /// Whether it is the shop's own row in the book.
    pub from_book: bool,
}

/// What is known of a place: the stricter threshold, and the other where both are known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thresholds<'a> {
    /// The lower one.
    pub strict: Threshold<'a>,
    /// The higher one, when two are known.
    pub mild: Option<Threshold<'a>>,
}

/// What the thresholds say of a trailer's mass.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// Every known threshold lets it go without brakes.
    May,
    /// The known thresholds disagree: a person must look.
    Disputed,
    /// Every known threshold asks for brakes.
    Must,
}

impl Thresholds<'_> {
    /// Returns what they say of a mass; a mass at a threshold is still free.
    #[must_use]
    pub fn need(&self, mass: Mass) -> Need {
        match (mass <= self.strict.unbraked_to, self.mild) {
            (true, _) => Need::May,
            (false, Some(mild)) if mass <= mild.unbraked_to => Need::Disputed,
            (false, _) => Need::Must,
        }
    }
}

/// Returns what is known of a place; `None` where no row speaks of it. The book's row must be that of the place or of its
/// country, which the reader of plans sees to.
#[must_use]
pub fn thresholds<'a>(place: &str, book: Option<&'a BrakeLaw>) -> Option<Thresholds<'a>> {
    let built_in = brake_thresholds::find(place).map(|row| Threshold {
        unbraked_to: row.unbraked_to,
        source: row.source,
        seen_on: row.seen_on,
        from_book: false,
    });
    let own = book.map(|law| Threshold {
        unbraked_to: law.unbraked_to,
        source: &law.source,
        seen_on: &law.seen_on,
        from_book: true,
    });
    match (built_in, own) {
        (Some(one), Some(other)) if other.unbraked_to < one.unbraked_to => {
            Some(Thresholds { strict: other, mild: Some(one) })
        }
        (Some(one), Some(other)) => Some(Thresholds { strict: one, mild: Some(other) }),
        (one, other) => one.or(other).map(|strict| Thresholds { strict, mild: None }),
    }
}

/// Returns the step behind [`thresholds`]; the row's own source stands in the answer.
#[must_use]
pub fn basis(known: &Thresholds<'_>, mass: Mass) -> Vec<Basis> {
    let source = Source::new("brake thresholds by place, each row with its own source", "", Seen::Opened);
    let inputs = [("unbraked_to_kg", known.strict.unbraked_to.kg()), ("trailer_mass_kg", mass.kg())];
    vec![Basis::new("brake-threshold", "brakes are needed when mass > threshold", source, &inputs)]
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn law(kg: f64) -> BrakeLaw {
        BrakeLaw {
            name: "brakelaws/us-tx".into(),
            label: "Texas".into(),
            place: "US-TX".into(),
            unbraked_to: Mass::from_kg(kg),
            source: "a notice".into(),
            seen_on: "2026-10-01".into(),
        }
    }

    /// Texas Department of Public Safety (opened): none needed to 4500 lb, 2041.17 kg.
    #[test]
    fn the_two_rows_stand_beside_each_other() {
        let kg = Mass::from_kg;
        let alone = thresholds("US-TX", None).unwrap();
        assert_eq!((alone.need(Mass::from_lb(4500.0)), alone.need(kg(2042.0))), (Need::May, Need::Must));
        let stricter = law(1500.0);
        let both = thresholds("US-TX", Some(&stricter)).unwrap();
        assert!(both.strict.from_book && both.mild.is_some_and(|mild| !mild.from_book));
        assert_eq!([1500.0, 1501.0, 2042.0].map(|mass| both.need(kg(mass))), [Need::May, Need::Disputed, Need::Must]);
        let milder = law(3000.0);
        let both = thresholds("US-TX", Some(&milder)).unwrap();
        assert_eq!([2041.0, 2042.0, 3001.0].map(|mass| both.need(kg(mass))), [Need::May, Need::Disputed, Need::Must]);
        // A place of which the built-in table knows nothing: the shop's row is the only one.
        let only = thresholds("XA", Some(&stricter)).unwrap();
        assert_eq!(only.need(kg(1501.0)), Need::Must);
        assert_eq!(thresholds("XA", None), None);
    }

    proptest! {
        /// Another row never frees a trailer that had to have brakes; a heavier trailer never needs them less.
        #[test]
        fn rows_and_mass_only_tighten(own in 0.0..5000.0_f64, mass in 0.0..5000.0_f64, more in 0.0..5000.0_f64) {
            let rank = |need: Need| need as u8;
            let (row, mass) = (law(own), Mass::from_kg(mass));
            let (alone, both) = (thresholds("US-TX", None).unwrap(), thresholds("US-TX", Some(&row)).unwrap());
            prop_assert!(alone.need(mass) == Need::May || both.need(mass) != Need::May);
            prop_assert!(rank(both.need(mass)) <= rank(both.need(mass + Mass::from_kg(more))));
        }
    }
}
