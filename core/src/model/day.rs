//! A day of the Gregorian calendar.

use std::fmt;

/// A day, written `YYYY-MM-DD`. Days compare as they follow one another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Day {
    year: u16,
    month: u8,
    day: u8,
}

impl Day {
    /// Reads a day as `YYYY-MM-DD`; nothing when the calendar has no such day.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let mut parts = text.split('-');
        let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
        if parts.next().is_some() || (year.len(), month.len(), day.len()) != (4, 2, 2) {
            return None;
        }
        if ![year, month, day].iter().all(|part| part.bytes().all(|byte| byte.is_ascii_digit())) {
            return None;
        }
        let read = Self { year: year.parse().ok()?, month: month.parse().ok()?, day: day.parse().ok()? };
        (1..=read.days_of_month()?).contains(&read.day).then_some(read)
    }

    /// Returns its year.
    #[must_use]
    pub const fn year(self) -> u16 {
        self.year
    }

    fn days_of_month(self) -> Option<u8> {
        let leap = self.year.is_multiple_of(4) && (!self.year.is_multiple_of(100) || self.year.is_multiple_of(400));
        match self.month {
            1 | 3 | 5 | 7 | 8 | 10 | 12 => Some(31),
            4 | 6 | 9 | 11 => Some(30),
            2 if leap => Some(29),
            2 => Some(28),
            _ => None,
        }
    }
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::Day;

    #[test]
    fn days_are_those_of_the_calendar() {
        for text in ["2026-10-12", "2024-02-29", "2000-02-29", "2026-12-31"] {
            assert_eq!(Day::read(text).map(|day| day.to_string()).as_deref(), Some(text));
        }
        let bad =
            ["2026-13-01", "2026-00-10", "2026-02-29", "1900-02-29", "2026-04-31", "2026-4-3", "26-04-03", "", "x"];
        for text in bad.into_iter().chain([
            "2026-10-12-1",
            "+026-10-12",
            "2026-04-00",
            "2026/04/01",
            "2026-04-01-",
            "2026-04-0١",
        ]) {
            assert_eq!(Day::read(text), None, "{text}");
        }
    }

    proptest! {
        #[test]
        fn days_compare_as_their_texts_do(a in 1900_u16..2200, b in 1_u8..=12, c in 1_u8..=28, d in 1900_u16..2200) {
            let texts = [format!("{a:04}-{b:02}-{c:02}"), format!("{d:04}-{c2:02}-{b:02}", c2 = c.min(12))];
            let days = texts.clone().map(|text| Day::read(&text).unwrap());
            prop_assert_eq!(days[0] < days[1], texts[0] < texts[1]);
        }
    }
}
