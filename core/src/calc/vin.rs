//! The vehicle identification number: legal characters, check digit, model-year candidates.
//!
//! A check digit that fits makes a number plausible, not right: `A`, `J` and `1` weigh the same. Only North American
//! rules fill position 9 with one; elsewhere a misfit is information and never an error.

#[cfg(test)]
mod handbook;
pub mod reading;

use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
};

/// Where structure and check digit are published.
pub const SOURCE: Source =
    Source::new("49 CFR 565, check digit tables, as reprinted on two public pages", "", Seen::Opened);
/// Where the model-year codes are published.
pub const YEAR_SOURCE: Source =
    Source::new("49 CFR 565.15, table VII and the position 7 rule, as quoted in a public repository", "", Seen::Opened);

/// How many characters there are.
pub const LENGTH: usize = 17;
/// The weight of each position.
const WEIGHTS: [u32; LENGTH] = [8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2];
/// The year codes in order, from 1980.
const YEAR_CODES: &[u8; 30] = b"ABCDEFGHJKLMNPRSTVWXY123456789";

/// A vehicle identification number of 17 legal characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Vin([u8; LENGTH]);

impl Vin {
    /// Reads a number. Small letters count as capitals, and space around it does not count; nothing else is mended.
    ///
    /// # Errors
    ///
    /// [`CalcError::Unreadable`] for a length other than 17 or for a character that no number may hold. An `I`, `O` or
    /// `Q` is never replaced by the digit it resembles; the message offers it.
    pub fn read(text: &str) -> Result<Self, CalcError> {
        let unreadable = |why: String| CalcError::Unreadable {
            field: "vin",
            text: text.to_owned(),
            wanted: "a vehicle identification number",
            why,
            example: "11111111111111111",
        };
        // Nearly every number is as it should be, and three rules read it.
        if let Ok(characters) = <[u8; LENGTH]>::try_from(text.as_bytes())
            && characters.iter().all(|byte| is_legal(byte.to_ascii_uppercase()))
        {
            return Ok(Self(characters.map(|byte| byte.to_ascii_uppercase())));
        }
        let trimmed = text.trim();
        for (index, character) in trimmed.chars().enumerate() {
            let position = index + 1;
            let instead = match character.to_ascii_uppercase() {
                'I' => "; if it is a one, write 1",
                'O' | 'Q' => "; if it is a nought, write 0",
                other if other.is_ascii_alphanumeric() => continue,
                _ => "",
            };
            return Err(unreadable(format!("position {position} is {character:?}, which no number holds{instead}")));
        }
        let mut characters = <[u8; LENGTH]>::try_from(trimmed.as_bytes())
            .map_err(|_| unreadable(format!("it has {} characters, not {LENGTH}", trimmed.len())))?;
        characters.make_ascii_uppercase();
        Ok(Self(characters))
    }

    /// Returns the number as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        std::str::from_utf8(&self.0).unwrap_or_default()
    }

    /// Returns the character at a position, counted from 1.
    #[must_use]
    pub fn at(&self, position: usize) -> Option<char> {
        self.0.get(position.checked_sub(1)?).map(|&byte| char::from(byte))
    }

    /// Returns the maker's identifier, positions 1 to 3. A `9` in the third continues it in positions 12 to 14.
    #[must_use]
    pub fn maker(&self) -> &str {
        self.as_str().get(..3).unwrap_or_default()
    }

    /// Returns the maker's identifier with what continues it: positions 12 to 14 after a `9` in the third.
    #[must_use]
    pub fn whole_maker(&self) -> String {
        let more = if self.at(3) == Some('9') { self.as_str().get(11..14) } else { None };
        format!("{}{}", self.maker(), more.unwrap_or_default())
    }

    /// Returns the weighted sum, the check character it asks for and the one that stands there.
    ///
    /// ```text
    /// c = (Σ weight · value) mod 11, written X when it is 10
    /// ```
    ///
    /// # Source
    ///
    /// 49 CFR 565, check digit tables.
    #[must_use]
    pub fn check(&self) -> VinCheck {
        let sum: u32 = self.0.iter().zip(WEIGHTS).map(|(&byte, weight)| weight * value(byte)).sum();
        let wanted = match sum % 11 {
            10 => 'X',
            digit => char::from_digit(digit, 10).unwrap_or('0'),
        };
        VinCheck { sum, wanted, found: self.at(9).unwrap_or_default() }
    }

    /// Returns the model years the code in position 10 may stand for; `None` when it is no year code.
    ///
    /// For a passenger car, and for a multipurpose vehicle or truck of up to 4,536 kg gross (`light` is `Some(true)`),
    /// a digit in position 7 means the earlier cycle and a letter the later. For trailers, motorcycles and heavier
    /// vehicles (`Some(false)`), and where nobody knows (`None`), position 7 says nothing.
    ///
    /// # Source
    ///
    /// 49 CFR 565.15, table VII and the position 7 rule. The model year is neither the build date nor the first
    /// registration, and outside North America position 10 need not hold it.
    #[must_use]
    pub fn model_years(&self, light: Option<bool>) -> Option<ModelYears> {
        let code = self.at(10)?;
        let index = YEAR_CODES.iter().position(|&known| char::from(known) == code)?;
        let early = 1980 + i32::try_from(index).ok()?;
        let late = early + 30;
        let decided = (light == Some(true)).then(|| match self.at(7) {
            Some(letter) if letter.is_ascii_alphabetic() => late,
            _ => early,
        });
        Some(ModelYears { code, early, late, decided })
    }
}

impl std::fmt::Display for Vin {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.as_str())
    }
}

/// Returns whether a number may hold a character, written as a capital.
const fn is_legal(byte: u8) -> bool {
    matches!(byte, b'0'..=b'9' | b'A'..=b'Z') && !matches!(byte, b'I' | b'O' | b'Q')
}

/// Returns the value of a legal character; the letters skip I, O and Q.
const fn value(byte: u8) -> u32 {
    (match byte {
        b'0'..=b'9' => byte - b'0',
        b'A'..=b'H' => byte - b'A' + 1,
        b'J'..=b'R' => byte - b'J' + 1,
        b'S'..=b'Z' => byte - b'S' + 2,
        _ => 0,
    }) as u32
}

/// What the check digit says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct VinCheck {
    /// The weighted sum.
    pub sum: u32,
    /// The character that position 9 should hold.
    pub wanted: char,
    /// The character it holds.
    pub found: char,
}

impl VinCheck {
    /// Returns whether the check digit fits, which makes the number plausible.
    #[must_use]
    pub const fn fits(&self) -> bool {
        self.wanted as u32 == self.found as u32
    }
}

/// The model years a number may stand for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ModelYears {
    /// The code in position 10.
    pub code: char,
    /// The year of the cycle from 1980 to 2009.
    pub early: i32,
    /// The year of the cycle from 2010 to 2039.
    pub late: i32,
    /// Which of the two it is, where position 7 tells.
    pub decided: Option<i32>,
}

impl ModelYears {
    /// Returns the years it may be, none after the latest that is on sale: one where position 7 decides, otherwise up to
    /// two, to be asked about.
    #[must_use]
    pub fn candidates(&self, latest: i32) -> Vec<i32> {
        let both = match self.decided {
            Some(year) => vec![year],
            None => vec![self.early, self.late],
        };
        both.into_iter().filter(|&year| year <= latest).collect()
    }
}

/// Returns the steps behind the check digit and the model year.
#[must_use]
pub fn basis(vin: &Vin) -> Vec<Basis> {
    vec![
        Basis::new(
            "vin-check-digit",
            "c = (Σ weight · value) mod 11, X when 10",
            SOURCE,
            &[("sum_count", f64::from(vin.check().sum))],
        ),
        Basis::new("vin-model-year", "position 10, cycle by position 7", YEAR_SOURCE, &[]),
    ]
}
