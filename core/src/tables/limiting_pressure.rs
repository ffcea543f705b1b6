//! What a surface bears under a head, a nut or a washer before it creeps: limiting surface pressures by material.

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    units::Stress,
};

/// The later column, and the one to use. Its reprint marks several values as not verified again.
pub const SOURCE: Source =
    Source::new("VDI 2230 part 1, limiting surface pressure, as reprinted in a catalogue", "2003", Seen::Opened);
/// The older column; lower, and kept beside the later one because the two disagree by nearly half for soft steel.
pub const OLDER: Source =
    Source::new("VDI 2230 part 1, limiting surface pressure, as reprinted in a catalogue", "1986", Seen::Opened);

/// One material.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Our name for it: `s355`.
    pub name: &'static str,
    /// What the standard calls it.
    pub label: &'static str,
    /// The limiting pressure of the later column, MPa; absent where only the older one prints the material.
    pub mpa: Option<f64>,
    /// The limiting pressure of the older column, MPa, where it prints the material.
    pub older_mpa: Option<f64>,
}

/// The table.
#[rustfmt::skip]
pub const ROWS: &[Row] = &[
    row("s235",       "S235, the older St37",          Some(490.0), Some(260.0)),
    row("e295",       "E295, the older St50",          Some(710.0), Some(420.0)),
    row("s355",       "S355",                          Some(760.0), None),
    row("c45",        "quenched and tempered C45",     Some(630.0), Some(700.0)),
    row("34crmo4",    "34CrMo4",                       Some(870.0), None),
    row("16mncr5",    "16MnCr5",                       Some(900.0), None),
    row("x5crni18-12","X5CrNi18-12",                   Some(630.0), None),
    row("x5crnimo",   "X5CrNiMo",                      None,        Some(210.0)),
    row("gjl-250",    "grey iron GJL-250, older GG25", Some(900.0), Some(800.0)),
    row("gjs-400",    "ductile iron GJS-400",          Some(700.0), None),
    row("gjs-500",    "ductile iron GJS-500",          Some(900.0), None),
    row("6082-f31",   "AlMgSi1 F31 (6082)",            Some(260.0), None),
    row("6082-f28",   "AlMgSi1 F28 (6082)",            Some(230.0), None),
    row("5083",       "AlMg4.5Mn (5083)",              Some(230.0), None),
    row("7075",       "7075",                          Some(410.0), None),
    row("alsi9cu3-gk","GK-AlSi9Cu3, chill cast",       Some(220.0), None),
    row("alsi9cu3-gd","GD-AlSi9Cu3, die cast",         Some(290.0), None),
    row("tial6v4",    "TiAl6V4",                       Some(890.0), None),
];

const fn row(name: &'static str, label: &'static str, mpa: Option<f64>, older_mpa: Option<f64>) -> Row {
    Row { name, label, mpa, older_mpa }
}

impl Row {
    /// Returns the pressure to judge by, the later figure where there is one, and where it is printed.
    #[must_use]
    pub fn limit(&self) -> (Stress, Source) {
        match (self.mpa, self.older_mpa) {
            (Some(mpa), _) => (Stress::from_mpa(mpa), SOURCE),
            (None, older) => (Stress::from_mpa(older.unwrap_or(0.0)), OLDER),
        }
    }
}

/// Returns the material of this name.
///
/// # Errors
///
/// [`CalcError::NoSuchRow`] with the names there are.
pub fn named(name: &str) -> Result<&'static Row, CalcError> {
    ROWS.iter().find(|row| row.name == name).ok_or_else(|| CalcError::NoSuchRow {
        field: "material",
        key: name.chars().take(40).collect(),
        table: "VDI 2230 part 1, limiting surface pressure",
        rows: ROWS.iter().map(|row| row.name).collect::<Vec<_>>().join(", "),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_material_has_a_pressure_and_a_name_of_its_own() {
        for (at, row) in ROWS.iter().enumerate() {
            assert!(100.0 < row.limit().0.mpa(), "{}", row.name);
            assert!(ROWS.iter().skip(at + 1).all(|other| other.name != row.name), "{}", row.name);
            assert_eq!(named(row.name), Ok(row));
        }
        assert_eq!(named("cheese").unwrap_err().field(), "material");
        assert_eq!(named("x5crnimo").unwrap().limit(), (Stress::from_mpa(210.0), OLDER));
    }

    #[test]
    fn the_two_columns_disagree_where_the_reprint_does() {
        // VDI 2230 as reprinted, opened: S235 490 in 2003, St37 260 in 1986.
        let soft = named("s235").unwrap();
        assert_eq!((soft.mpa, soft.older_mpa), (Some(490.0), Some(260.0)));
        assert_eq!(soft.limit().1, SOURCE);
    }
}
