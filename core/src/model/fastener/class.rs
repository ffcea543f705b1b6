//! Property classes and grades: the mark and the number of each.

mod words;

use super::{BoltClass, IsoClass, NutClass, SaeGrade, StainlessClass};

/// Which family of standards a class belongs to; classes of different families have no common measure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ClassSystem {
    /// ISO 898, steel, metric threads.
    Iso,
    /// SAE J429 and J995, steel, inch threads.
    Sae,
    /// ISO 3506, austenitic stainless steel, metric threads.
    Stainless,
}

impl IsoClass {
    /// Every class, weakest first.
    pub const ALL: [Self; 9] =
        [Self::C4_6, Self::C4_8, Self::C5_6, Self::C5_8, Self::C6_8, Self::C8_8, Self::C9_8, Self::C10_9, Self::C12_9];

    /// Returns the mark on the head.
    #[must_use]
    pub const fn mark(self) -> &'static str {
        match self {
            Self::C4_6 => "4.6",
            Self::C4_8 => "4.8",
            Self::C5_6 => "5.6",
            Self::C5_8 => "5.8",
            Self::C6_8 => "6.8",
            Self::C8_8 => "8.8",
            Self::C9_8 => "9.8",
            Self::C10_9 => "10.9",
            Self::C12_9 => "12.9",
        }
    }
}

impl SaeGrade {
    /// Every grade, by number.
    pub const ALL: [Self; 7] = [Self::G1, Self::G2, Self::G4, Self::G5, Self::G5_2, Self::G8, Self::G8_2];

    /// Returns the grade without its system: `5.2`.
    #[must_use]
    pub const fn mark(self) -> &'static str {
        match self {
            Self::G1 => "1",
            Self::G2 => "2",
            Self::G4 => "4",
            Self::G5 => "5",
            Self::G5_2 => "5.2",
            Self::G8 => "8",
            Self::G8_2 => "8.2",
        }
    }

    /// Returns the grade's number, which a nut's must reach; 5.2 counts as 5.
    #[must_use]
    pub const fn number(self) -> u32 {
        match self {
            Self::G1 => 1,
            Self::G2 => 2,
            Self::G4 => 4,
            Self::G5 | Self::G5_2 => 5,
            Self::G8 | Self::G8_2 => 8,
        }
    }
}

impl StainlessClass {
    /// Every class, weakest first.
    pub const ALL: [Self; 3] = [Self::C50, Self::C70, Self::C80];

    /// Returns a tenth of the least tensile strength in megapascals.
    #[must_use]
    pub const fn number(self) -> u32 {
        match self {
            Self::C50 => 50,
            Self::C70 => 70,
            Self::C80 => 80,
        }
    }
}

impl BoltClass {
    /// Returns every class and grade.
    pub fn all() -> impl Iterator<Item = Self> {
        let iso = IsoClass::ALL.into_iter().map(Self::Iso);
        let sae = SaeGrade::ALL.into_iter().map(Self::Sae);
        iso.chain(sae).chain(StainlessClass::ALL.into_iter().map(Self::Stainless))
    }

    /// Returns the family the class belongs to.
    #[must_use]
    pub const fn system(self) -> ClassSystem {
        match self {
            Self::Iso(_) => ClassSystem::Iso,
            Self::Sae(_) => ClassSystem::Sae,
            Self::Stainless(_) => ClassSystem::Stainless,
        }
    }

    /// Returns the grade that a number of radial lines on an inch head stands for: 3 for grade 5, 6 for grade 8.
    ///
    /// Source: SAE J429 line marks, opened in reproductions.
    /// No lines mean grade 1, 2 or no grade at all, so nothing is returned for them.
    #[must_use]
    pub const fn from_radial_lines(lines: u32) -> Option<Self> {
        match lines {
            3 => Some(Self::Sae(SaeGrade::G5)),
            6 => Some(Self::Sae(SaeGrade::G8)),
            _ => None,
        }
    }

    /// Returns the class without its system: `8.8`, `5.2`, `70`.
    #[must_use]
    pub const fn mark(self) -> &'static str {
        match self {
            Self::Iso(class) => class.mark(),
            Self::Sae(grade) => grade.mark(),
            Self::Stainless(StainlessClass::C50) => "50",
            Self::Stainless(StainlessClass::C70) => "70",
            Self::Stainless(StainlessClass::C80) => "80",
        }
    }
}

impl NutClass {
    /// Every class and grade.
    pub const ALL: [Self; 15] = [
        Self::Iso04,
        Self::Iso05,
        Self::Iso4,
        Self::Iso5,
        Self::Iso6,
        Self::Iso8,
        Self::Iso9,
        Self::Iso10,
        Self::Iso12,
        Self::Sae2,
        Self::Sae5,
        Self::Sae8,
        Self::Stainless50,
        Self::Stainless70,
        Self::Stainless80,
    ];

    /// Returns the family the class belongs to.
    #[must_use]
    pub const fn system(self) -> ClassSystem {
        match self {
            Self::Sae2 | Self::Sae5 | Self::Sae8 => ClassSystem::Sae,
            Self::Stainless50 | Self::Stainless70 | Self::Stainless80 => ClassSystem::Stainless,
            _ => ClassSystem::Iso,
        }
    }

    /// Returns the class without its system: `05`, `10`.
    #[must_use]
    pub const fn mark(self) -> &'static str {
        match self {
            Self::Iso04 => "04",
            Self::Iso05 => "05",
            Self::Iso4 => "4",
            Self::Iso5 | Self::Sae5 => "5",
            Self::Iso6 => "6",
            Self::Iso8 | Self::Sae8 => "8",
            Self::Iso9 => "9",
            Self::Iso10 => "10",
            Self::Iso12 => "12",
            Self::Sae2 => "2",
            Self::Stainless50 => "50",
            Self::Stainless70 => "70",
            Self::Stainless80 => "80",
        }
    }

    /// Returns the class's number; a thin nut's counts as nothing.
    #[must_use]
    pub const fn number(self) -> u32 {
        match self {
            Self::Iso04 | Self::Iso05 => 0,
            Self::Sae2 => 2,
            Self::Iso4 => 4,
            Self::Iso5 | Self::Sae5 => 5,
            Self::Iso6 => 6,
            Self::Iso8 | Self::Sae8 => 8,
            Self::Iso9 => 9,
            Self::Iso10 => 10,
            Self::Iso12 => 12,
            Self::Stainless50 => 50,
            Self::Stainless70 => 70,
            Self::Stainless80 => 80,
        }
    }

    /// Returns whether the class is of a thin nut, which never develops the bolt.
    #[must_use]
    pub const fn is_thin(self) -> bool {
        matches!(self, Self::Iso04 | Self::Iso05)
    }
}

#[cfg(test)]
mod tests;
