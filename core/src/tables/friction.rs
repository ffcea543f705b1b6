//! Nut factors and coefficients of friction by finish and lubricant, always as bands, each figure with its source.
//!
//! Published figures for one and the same condition differ by a factor of two (zinc: 0.17 to 0.35). They are kept
//! apart as printed in [`NUT_FACTORS`]; [`CONDITIONS`] names the conditions a shop meets and says, figure by figure,
//! which printed one it took for low, likely and high.

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    model::finish::{Band, Lubricated},
};

const NEWSLETTER: Source = Source::new("industry newsletter on the nut factor", "", Seen::Opened);
const DESIGN_NOTES: Source = Source::new("machine-design notes in an open text collection", "", Seen::Opened);
const SUPPLIER: Source = Source::new("fastener supplier's engineering data, nut factors by finish", "", Seen::Opened);
const SHIGLEY_QUOTED: Source =
    Source::new("Shigley, Mechanical Engineering Design, table 8-15, as quoted elsewhere", "", Seen::Opened);
const SHIGLEY: Source = Source::new("Shigley, Mechanical Engineering Design, table 8-15", "", Seen::FromMemory);
const SOLUTION: Source = Source::new("worked solution after Shigley, table 8-15", "", Seen::Opened);
const BOLTED_JOINTS: Source =
    Source::new("Handbook of Bolts and Bolted Joints, chapter 2, table 1, as quoted elsewhere", "", Seen::Opened);
const ASSEMBLY: Source = Source::new("Mechanical Fastening, Joining and Assembly, p. 85", "", Seen::Opened);
const PRACTICE: Source = Source::new("nut factor by trade practice", "", Seen::CommonPractice);
const MIDPOINT: Source = Source::new("middle of the low and the high figure", "", Seen::Derived);
/// Where friction classes A to E are printed.
pub const FRICTION_CLASS_SOURCE: Source = Source::new("VDI 2230 part 1, table A5", "", Seen::Opened);
const FRICTION_CLASS_MEMORY: Source = Source::new("VDI 2230 part 1, table A5", "", Seen::FromMemory);

/// A printed nut factor, or the ends of a printed range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NutFactorRow {
    /// The condition in the source's sense.
    pub condition: &'static str,
    /// The figure, or the low end.
    pub low: f64,
    /// The figure, or the high end.
    pub high: f64,
    /// Where it is printed.
    pub source: Source,
}

const fn row(condition: &'static str, low: f64, high: f64, source: Source) -> NutFactorRow {
    NutFactorRow { condition, low, high, source }
}

/// Nut factors as printed, contradictions included.
pub const NUT_FACTORS: &[NutFactorRow] = &[
    row("clean, dry, plain steel", 0.20, 0.20, NEWSLETTER),
    row("clean, dry, plain steel", 0.20, 0.20, DESIGN_NOTES),
    row("clean, dry, plain steel", 0.20, 0.20, BOLTED_JOINTS),
    row("dry steel on steel", 0.18, 0.27, SUPPLIER),
    row("not plated, black, dry", 0.30, 0.30, SHIGLEY_QUOTED),
    row("any lubrication, average", 0.15, 0.15, NEWSLETTER),
    row("any lubrication, average", 0.15, 0.15, DESIGN_NOTES),
    row("lubricated", 0.18, 0.18, SOLUTION),
    row("machine oil", 0.10, 0.26, SUPPLIER),
    row("zinc plated", 0.17, 0.17, NEWSLETTER),
    row("zinc plated", 0.20, 0.20, SHIGLEY_QUOTED),
    row("zinc plated, dry", 0.295, 0.295, BOLTED_JOINTS),
    row("zinc plated", 0.17, 0.35, SUPPLIER),
    row("cadmium plated", 0.16, 0.16, SHIGLEY_QUOTED),
    row("cadmium plated, dry", 0.20, 0.20, BOLTED_JOINTS),
    row("cadmium plated", 0.15, 0.19, SUPPLIER),
    row("phosphate and oil", 0.15, 0.22, SUPPLIER),
    row("zinc flake", 0.16, 0.32, SUPPLIER),
    row("stainless on stainless, dry", 0.30, 0.50, SUPPLIER),
    row("anti-seize compound", 0.12, 0.12, SHIGLEY),
    row("molybdenum disulphide paste or grease", 0.10, 0.14, PRACTICE),
    row("wax top coat", 0.10, 0.14, PRACTICE),
    row("coat filled with PTFE", 0.09, 0.13, PRACTICE),
    row("very slippery extreme-pressure lubricant", 0.10, 0.10, ASSEMBLY),
    // Printed as `0.30 and above`; the high end is open and is not taken from this row.
    row("gritty or damaged threads", 0.30, 0.30, ASSEMBLY),
];

/// A friction class: what both frictions of such a surface and lubricant may be, at room temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FrictionClass {
    /// Its letter.
    pub letter: char,
    /// The low end, threads and face alike.
    pub low: f64,
    /// The high end; `None` where the table leaves it open.
    pub high: Option<f64>,
    /// Surfaces that usually belong to it.
    pub surfaces: &'static str,
    /// Lubricants that usually belong to it.
    pub lubricants: &'static str,
}

/// The friction classes of [`FRICTION_CLASS_SOURCE`].
pub const FRICTION_CLASSES: &[FrictionClass] = &[
    FrictionClass {
        letter: 'A',
        low: 0.04,
        high: Some(0.10),
        surfaces: "bare, black, phosphated; zinc, zinc-iron, zinc-nickel; zinc flake",
        lubricants: "solid lubricants as lacquer, top coat or paste; wax melts and dispersions",
    },
    FrictionClass {
        letter: 'B',
        low: 0.08,
        high: Some(0.16),
        surfaces: "as A; aluminium and magnesium; hot-dip galvanised; organic coats; austenitic stainless",
        lubricants: "as A, and greases, oils, delivery condition; on stainless solid lubricant, wax or paste",
    },
    FrictionClass {
        letter: 'C',
        low: 0.14,
        high: Some(0.24),
        surfaces: "bare or phosphated; zinc, zinc-iron, zinc-nickel; zinc flake; adhesive; austenitic stainless",
        lubricants: "none, or slightly oiled as delivered; on stainless oil",
    },
    FrictionClass {
        letter: 'D',
        low: 0.20,
        high: Some(0.35),
        surfaces: "zinc, zinc-iron; hot-dip galvanised; austenitic stainless",
        lubricants: "none; on stainless oil",
    },
    FrictionClass {
        letter: 'E',
        low: 0.30,
        high: None,
        surfaces: "zinc-iron, zinc-nickel; austenitic stainless; aluminium and magnesium",
        lubricants: "none",
    },
];

/// A figure and where it is printed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure {
    /// The figure.
    pub value: f64,
    /// Where it is printed.
    pub source: Source,
}

/// What the figures of a named condition are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantity {
    /// The nut factor K.
    NutFactor,
    /// The coefficient of friction, threads and face alike.
    Friction,
}

/// A condition a shop meets, and the band it gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NamedCondition {
    /// Our name of it, fit for a `finishes/…` entry.
    pub name: &'static str,
    /// What people call it.
    pub label: &'static str,
    /// Where lubricant is.
    pub lubricated: Lubricated,
    /// What the figures are.
    pub quantity: Quantity,
    /// The lowest credible figure.
    pub low: Figure,
    /// The likely figure.
    pub nominal: Figure,
    /// The highest credible figure.
    pub high: Figure,
}

impl NamedCondition {
    /// Returns the band without its sources.
    #[must_use]
    pub const fn band(&self) -> Band {
        Band { low: self.low.value, nominal: self.nominal.value, high: self.high.value }
    }
}

const fn k(
    name: &'static str,
    label: &'static str,
    lubricated: Lubricated,
    [low, nominal, high]: [(f64, Source); 3],
) -> NamedCondition {
    NamedCondition {
        name,
        label,
        lubricated,
        quantity: Quantity::NutFactor,
        low: Figure { value: low.0, source: low.1 },
        nominal: Figure { value: nominal.0, source: nominal.1 },
        high: Figure { value: high.0, source: high.1 },
    }
}

const fn mu(
    name: &'static str,
    label: &'static str,
    lubricated: Lubricated,
    figures: [(f64, Source); 3],
) -> NamedCondition {
    NamedCondition { quantity: Quantity::Friction, ..k(name, label, lubricated, figures) }
}

/// The conditions a shop meets, by our own names, in the order of their labels.
#[rustfmt::skip]
pub const CONDITIONS: &[NamedCondition] = &[
    k("anti-seize", "anti-seize on threads and face", Lubricated::Both,
        [(0.10, ASSEMBLY), (0.12, SHIGLEY), (0.18, SOLUTION)]),
    k("cadmium-dry", "cadmium plated, dry", Lubricated::Dry,
        [(0.15, SUPPLIER), (0.16, SHIGLEY_QUOTED), (0.20, BOLTED_JOINTS)]),
    mu("galvanised-dry", "hot-dip galvanised, dry", Lubricated::Dry,
        [(0.20, FRICTION_CLASS_SOURCE), (0.275, MIDPOINT), (0.35, FRICTION_CLASS_SOURCE)]),
    mu("galvanised-greased", "hot-dip galvanised, greased or waxed", Lubricated::Both,
        [(0.08, FRICTION_CLASS_SOURCE), (0.12, MIDPOINT), (0.16, FRICTION_CLASS_SOURCE)]),
    k("moly-paste", "molybdenum disulphide paste on threads and face", Lubricated::Both,
        [(0.10, PRACTICE), (0.12, MIDPOINT), (0.14, PRACTICE)]),
    k("oiled", "machine oil on threads and face", Lubricated::Both,
        [(0.10, SUPPLIER), (0.15, NEWSLETTER), (0.26, SUPPLIER)]),
    k("phosphate-oiled", "phosphated and oiled", Lubricated::Both,
        [(0.15, SUPPLIER), (0.185, MIDPOINT), (0.22, SUPPLIER)]),
    k("plain-dry", "plain or black steel, clean and dry", Lubricated::Dry,
        [(0.18, SUPPLIER), (0.20, NEWSLETTER), (0.30, SHIGLEY_QUOTED)]),
    k("ptfe-coat", "coat filled with PTFE", Lubricated::Both,
        [(0.09, PRACTICE), (0.11, MIDPOINT), (0.13, PRACTICE)]),
    k("stainless-dry", "stainless on stainless, dry", Lubricated::Dry,
        [(0.30, SUPPLIER), (0.40, MIDPOINT), (0.50, SUPPLIER)]),
    mu("stainless-oiled", "stainless on stainless, oiled", Lubricated::Both,
        [(0.14, FRICTION_CLASS_SOURCE), (0.245, MIDPOINT), (0.35, FRICTION_CLASS_MEMORY)]),
    mu("stainless-paste", "stainless on stainless, solid lubricant or paste", Lubricated::Both,
        [(0.08, FRICTION_CLASS_SOURCE), (0.12, MIDPOINT), (0.16, FRICTION_CLASS_SOURCE)]),
    k("wax-coat", "wax top coat", Lubricated::Both,
        [(0.10, PRACTICE), (0.12, MIDPOINT), (0.14, PRACTICE)]),
    k("zinc-dry", "zinc plated, dry", Lubricated::Dry,
        [(0.17, NEWSLETTER), (0.20, SHIGLEY_QUOTED), (0.35, SUPPLIER)]),
    k("zinc-flake", "zinc flake, as delivered", Lubricated::Dry,
        [(0.16, SUPPLIER), (0.24, MIDPOINT), (0.32, SUPPLIER)]),
    k("zinc-oiled", "zinc plated, machine oil on threads and face", Lubricated::Both,
        [(0.10, SUPPLIER), (0.15, NEWSLETTER), (0.26, SUPPLIER)]),
];

/// The band for a condition nobody knows: wide enough for every row above.
///
/// Its low end lies just under the nut factor of friction class A's low end on the finest listed thread (0.054); its
/// high end is the driest printed nut factor. Its nominal value is their geometric mean, so that preload is off by the
/// same factor either way; it is nobody's measured figure.
pub const UNKNOWN: Band = Band { low: 0.05, nominal: 0.158_113_883_008_419, high: 0.50 };

/// Where [`UNKNOWN`] comes from.
pub const UNKNOWN_SOURCE: Source =
    Source::new("ends of all published nut factors and friction classes", "", Seen::Derived);

/// Returns the named condition.
///
/// # Errors
///
/// [`CalcError::NoSuchRow`] with every name there is.
pub fn named(name: &str) -> Result<&'static NamedCondition, CalcError> {
    CONDITIONS.iter().find(|condition| condition.name == name).ok_or_else(|| CalcError::NoSuchRow {
        field: "finish",
        key: name.to_owned(),
        table: "the named conditions",
        rows: CONDITIONS.iter().map(|condition| condition.name).collect::<Vec<_>>().join(", "),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::condition::{FRICTION, NUT_FACTOR};

    #[test]
    fn conditions_are_bands_in_range_sorted_by_name() {
        assert!(CONDITIONS.is_sorted_by(|a, b| a.name < b.name));
        for condition in CONDITIONS {
            let range = match condition.quantity {
                Quantity::NutFactor => NUT_FACTOR,
                Quantity::Friction => FRICTION,
            };
            condition.band().check(&range).expect(condition.name);
            assert!(condition.band().ratio() > 1.0, "{} is not a band", condition.name);
            if condition.nominal.source == MIDPOINT {
                let middle = (condition.low.value + condition.high.value) / 2.0;
                assert!((condition.nominal.value - middle).abs() < 1e-12, "{}", condition.name);
            }
        }
    }

    #[test]
    fn every_figure_that_names_a_printed_source_is_in_its_rows() {
        for condition in CONDITIONS {
            for figure in [condition.low, condition.nominal, condition.high] {
                let printed = match (condition.quantity, figure.source.seen) {
                    (_, Seen::Derived) => continue,
                    (Quantity::NutFactor, _) => NUT_FACTORS
                        .iter()
                        .any(|row| row.source == figure.source && [row.low, row.high].contains(&figure.value)),
                    (Quantity::Friction, _) => FRICTION_CLASSES
                        .iter()
                        .any(|class| class.low == figure.value || class.high == Some(figure.value)),
                };
                assert!(printed, "{}: {} is not printed in {}", condition.name, figure.value, figure.source);
            }
        }
    }

    #[test]
    fn the_unknown_band_holds_every_published_nut_factor() {
        for row in NUT_FACTORS {
            assert!(UNKNOWN.low <= row.low && row.high <= UNKNOWN.high, "{}", row.condition);
        }
        assert!((UNKNOWN.nominal - (UNKNOWN.low * UNKNOWN.high).sqrt()).abs() < 1e-12);
    }

    #[test]
    fn an_unknown_name_gets_the_list() {
        let error = named("zinc").unwrap_err().to_string();
        assert!(error.contains("zinc-dry") && error.contains("plain-dry"), "{error}");
        assert_eq!(named("oiled").unwrap().band(), Band { low: 0.10, nominal: 0.15, high: 0.26 });
    }
}
