//! Days and moments as people write them. Nothing here knows what day it is: whoever asks says so.

use std::fmt;

/// Seconds of a day.
const DAY_SECONDS: i64 = 86_400;

/// A day of the Gregorian calendar, counted from 1970-01-01.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Day(i64);

/// A moment on the clock of the place it was written in.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct Moment {
    /// The day as it was written, where it was written.
    pub day: Day,
    /// Seconds since 1970-01-01 in universal time; a text without an offset counts as universal time.
    seconds: i64,
}

/// Reads so many digits and nothing else.
fn digits(text: &str, count: usize) -> Option<i64> {
    let all = text.len() == count && text.bytes().all(|byte| byte.is_ascii_digit());
    all.then(|| text.parse().ok()).flatten()
}

impl Day {
    /// Reads `2027-03-31`.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let mut parts = text.splitn(3, '-');
        let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
        let (year, month, day) = (digits(year, 4)?, digits(month, 2)?, digits(day, 2)?);
        if !(1..=12).contains(&month) || !(1..=31).contains(&day) {
            return None;
        }
        let found = Self::of(year, month, day);
        // A day that the month does not have comes out as one of the next month.
        (found.parts() == (year, month, day)).then_some(found)
    }

    /// Counts the days, years beginning in March so that the leap day is the last.
    const fn of(year: i64, month: i64, day: i64) -> Self {
        let year = if month <= 2 { year - 1 } else { year };
        let era = year.div_euclid(400);
        let of_era = year.rem_euclid(400);
        let of_year = (153 * ((month + 9) % 12) + 2) / 5 + day - 1;
        Self(era * 146_097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719_468)
    }

    /// Returns year, month and day.
    const fn parts(self) -> (i64, i64, i64) {
        let days = self.0 + 719_468;
        let (era, of_era) = (days.div_euclid(146_097), days.rem_euclid(146_097));
        let year = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
        let of_year = of_era - (365 * year + year / 4 - year / 100);
        let march = (5 * of_year + 2) / 153;
        let month = if march < 10 { march + 3 } else { march - 9 };
        let year = year + era * 400 + if month <= 2 { 1 } else { 0 };
        (year, month, of_year - (153 * march + 2) / 5 + 1)
    }

    /// Returns its year.
    #[must_use]
    pub fn year(self) -> u16 {
        u16::try_from(self.parts().0).unwrap_or_default()
    }

    /// Returns how many days later another day is; below zero when it is earlier.
    #[must_use]
    pub const fn until(self, other: Self) -> i64 {
        other.0 - self.0
    }
}

impl Moment {
    /// Reads `2027-03-31T14:05:00`, with `Z` or an offset such as `+02:00` behind it or nothing.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let (date, clock) = text.split_once('T')?;
        let day = Day::read(date)?;
        let (clock, offset) = match clock.find(['Z', '+', '-']) {
            None => (clock, 0),
            Some(at) => {
                let (clock, zone) = clock.split_at(at);
                (clock, offset(zone)?)
            }
        };
        let mut parts = clock.splitn(3, ':');
        let (hour, minute, second) = (parts.next()?, parts.next()?, parts.next()?);
        let (hour, minute, second) = (digits(hour, 2)?, digits(minute, 2)?, digits(second, 2)?);
        if 23 < hour || 59 < minute || 59 < second {
            return None;
        }
        Some(Self { day, seconds: day.0 * DAY_SECONDS + hour * 3600 + minute * 60 + second - offset })
    }

    /// Returns how many seconds later another moment is; below zero when it is earlier.
    #[must_use]
    pub const fn until(self, other: Self) -> i64 {
        other.seconds - self.seconds
    }
}

/// Reads `Z` or `+02:00` as seconds ahead of universal time.
fn offset(zone: &str) -> Option<i64> {
    if zone == "Z" {
        return Some(0);
    }
    let sign = if zone.starts_with('-') { -1 } else { 1 };
    let (hours, minutes) = zone.get(1..)?.split_once(':')?;
    let (hours, minutes) = (digits(hours, 2)?, digits(minutes, 2)?);
    (hours <= 14 && minutes <= 59).then_some(sign * (hours * 3600 + minutes * 60))
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (year, month, day) = self.parts();
        write!(f, "{year:04}-{month:02}-{day:02}")
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let clock = self.seconds.rem_euclid(DAY_SECONDS);
        let day = Day(self.seconds.div_euclid(DAY_SECONDS));
        write!(f, "{day}T{:02}:{:02}:{:02}Z", clock / 3600, clock / 60 % 60, clock % 60)
    }
}

impl fmt::Debug for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "\"{self}\"")
    }
}

impl fmt::Debug for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "\"{self}\"")
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn days_are_those_of_the_calendar() {
        // ISO 8601 and the Gregorian calendar, from memory: day 0 and day 11,017 of Unix time.
        assert_eq!(Day::read("1970-01-01").unwrap().until(Day::read("2000-03-01").unwrap()), 11_017);
        for good in ["2026-01-31", "2024-02-29", "2000-02-29", "2026-12-31", "0001-01-01", "9999-12-31"] {
            assert_eq!(Day::read(good).map(|day| day.to_string()).as_deref(), Some(good));
        }
        for bad in [
            "2026-02-29",
            "1900-02-29",
            "2026-13-01",
            "2026-00-10",
            "2026-04-31",
            "26-04-01",
            "2026-4-1",
            "2026-04-00",
            "2026/04/01",
            "2026-04-01-",
            "+026-04-01",
            "2026-04-0١",
            "",
        ] {
            assert_eq!(Day::read(bad), None, "{bad}");
        }
    }

    #[test]
    fn moments_carry_their_offset() {
        let at = |text| Moment::read(text).unwrap();
        assert_eq!(at("2026-11-26T23:59:58Z").until(at("2026-11-27T00:00:03Z")), 5);
        assert_eq!(at("2026-11-26T12:00:00+02:00").until(at("2026-11-26T10:00:00")), 0);
        // The day is the one on the wall where it was written.
        assert_eq!(at("2026-11-27T01:00:00+02:00").day, Day::read("2026-11-27").unwrap());
        assert_eq!(at("2026-11-27T01:00:00+02:00").to_string(), "2026-11-26T23:00:00Z");
        for bad in [
            "2026-11-26",
            "2026-11-26 12:00:00",
            "2026-11-26T24:00:00",
            "2026-11-26T12:60:00",
            "2026-11-26T12:00",
            "2026-11-26T12:00:00+2:00",
            "2026-11-26T12:00:00+15:00",
            "2026-02-30T12:00:00Z",
        ] {
            assert_eq!(Moment::read(bad), None, "{bad}");
        }
    }

    proptest! {
        #[test]
        fn a_day_reads_back_and_the_next_is_one_later(count in -719_162_i64..2_932_896) {
            let day = Day(count);
            prop_assert_eq!(Day::read(&day.to_string()), Some(day));
            prop_assert_eq!(day.until(Day(count + 1)), 1);
        }

        #[test]
        fn days_compare_as_their_texts_do(a in 1900_u16..2200, b in 1_u8..=12, c in 1_u8..=28, d in 1900_u16..2200) {
            let texts = [format!("{a:04}-{b:02}-{c:02}"), format!("{d:04}-{c2:02}-{b:02}", c2 = c.min(12))];
            let days = texts.clone().map(|text| Day::read(&text).unwrap());
            prop_assert_eq!(days[0] < days[1], texts[0] < texts[1]);
            prop_assert_eq!(days[0].year(), a);
        }

        #[test]
        fn reading_never_panics(text in "\\PC{0,30}") {
            let _ = (Day::read(&text), Moment::read(&text));
        }
    }
}
