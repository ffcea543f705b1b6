//! Thread designations, both directions: `M14x1.5`, `7/16-14 UNC`, `#10-32 UNF`.

use std::fmt;

use super::{Thread, ThreadSystem, same};
use crate::error::CalcError;
use crate::tables::{asme_b1_1, iso_261};
use crate::units::text::{number, unreadable};
use crate::units::{Length, MM_PER_IN};

const EXAMPLE: &str = "M12x1.75, M12 or 1/2-13 UNC";
const METRIC_TABLE: &str = "ISO 261, metric threads";
const UNIFIED_TABLE: &str = "ASME B1.1, unified threads";
const LETTERS: [&str; 5] = ["UNEF", "UNC", "UNF", "UNS", "UN"];

fn bad(text: &str, why: impl Into<String>) -> CalcError {
    unreadable("thread", text, "a thread", why, EXAMPLE)
}

impl Thread {
    /// Reads a designation that the tables list.
    ///
    /// Metric: `M14x1.5`, `M14 x 1.5`, `M14-1.5`, and `M14` for the coarse pitch. Unified: `7/16-14`, `7/16-14 UNC`,
    /// `1-1/8-7`, `1 1/8-7`, `#10-32`, `10-32`.
    ///
    /// # Errors
    ///
    /// [`CalcError::Unreadable`] when the text is no designation; [`CalcError::NoSuchRow`], with the nearest rows, when
    /// it names a diameter or pitch that the tables do not list; [`CalcError::Conflict`] when the letters behind a
    /// unified thread are those of another series.
    pub fn read(text: &str) -> Result<Self, CalcError> {
        let tidied = number::tidy(text).map_err(|why| bad(text, why))?;
        match tidied.strip_prefix(['M', 'm']) {
            Some(rest) => read_metric(text, rest),
            None => read_unified(text, &tidied),
        }
    }
}

/// Reads one number that fills the text.
fn only_number(text: &str, part: &str) -> Result<f64, CalcError> {
    match number::leading(part.trim()) {
        Ok((value, "")) => Ok(value),
        Ok((_, rest)) => Err(bad(text, format!("{rest:?} is left over"))),
        Err(why) => Err(bad(text, why)),
    }
}

fn read_metric(text: &str, rest: &str) -> Result<Thread, CalcError> {
    let (diameter, pitch) = match rest.split_once(['x', 'X', '-']) {
        Some((diameter, pitch)) => (only_number(text, diameter)?, Some(only_number(text, pitch)?)),
        None => (only_number(text, rest)?, None),
    };
    let row = iso_261::ROWS.iter().find(|row| same(Length::from_mm(row.diameter_mm), Length::from_mm(diameter)));
    let Some(row) = row else {
        let near = nearest(iso_261::ROWS, |row| row.diameter_mm, diameter);
        let rows = near.iter().map(|row| format!("M{}x{}", row.diameter_mm, row.coarse_mm)).collect::<Vec<_>>();
        return Err(no_row(text, METRIC_TABLE, &rows));
    };
    let Some(pitch) = pitch else { return Thread::metric(row.diameter_mm, row.coarse_mm) };
    match row.pitches_mm().find(|&p| same(Length::from_mm(p), Length::from_mm(pitch))) {
        Some(listed) => Thread::metric(row.diameter_mm, listed),
        None => {
            let rows: Vec<_> = row.pitches_mm().map(|p| format!("M{}x{p}", row.diameter_mm)).collect();
            Err(no_row(text, METRIC_TABLE, &rows))
        }
    }
}

fn read_unified(text: &str, tidied: &str) -> Result<Thread, CalcError> {
    let upper = tidied.to_ascii_uppercase();
    let letters = LETTERS.into_iter().find(|letters| upper.ends_with(letters));
    let body = upper.strip_suffix(letters.unwrap_or_default()).unwrap_or(&upper).trim_end().trim_end_matches('-');
    let Some((size, count)) = body.rsplit_once('-') else {
        return Err(bad(text, "a metric thread starts with M; an inch thread has its threads per inch after a dash"));
    };
    let count = only_number(text, count)?;
    let size = size.trim().trim_end_matches(['"', ' ']);
    let row = match size.strip_prefix('#') {
        Some(_) => by_number(size.replace(' ', "").as_str()),
        None => by_inches(text, size, count)?,
    };
    let Some(row) = row else {
        let inches = size.strip_prefix('#').map_or_else(
            || number::leading(size).map_or(0.0, |(value, _)| value),
            |n| n.trim().parse::<f64>().map_or(0.0, |n| 0.013f64.mul_add(n, 0.060)),
        );
        let near = nearest(asme_b1_1::ROWS, |row| row.diameter_in, inches);
        return Err(no_row(text, UNIFIED_TABLE, &near.into_iter().flat_map(names).collect::<Vec<_>>()));
    };
    let listed = row.threads().find(|&(n, _)| same(pitch(n), pitch(count)));
    let Some((count, series)) = listed else {
        return Err(no_row(text, UNIFIED_TABLE, &names(row)));
    };
    if letters.is_some_and(|letters| letters != series) {
        return Err(CalcError::Conflict {
            field: "thread",
            other: "threads per inch",
            why: "these threads per inch belong to another series of this size",
        });
    }
    Thread::unified(row.diameter_in, count)
}

fn pitch(threads_per_inch: f64) -> Length {
    Length::from_mm(MM_PER_IN / threads_per_inch)
}

fn by_number(size: &str) -> Option<&'static asme_b1_1::Row> {
    asme_b1_1::ROWS.iter().find(|row| row.size == size)
}

/// Finds a size in inches; a bare `10` in `10-32` is the numbered size when only that has such a thread.
fn by_inches(text: &str, size: &str, count: f64) -> Result<Option<&'static asme_b1_1::Row>, CalcError> {
    let has = |row: &&asme_b1_1::Row| row.threads().any(|(n, _)| same(pitch(n), pitch(count)));
    let inches = only_number(text, size)?;
    let by_inches = asme_b1_1::ROWS.iter().find(|row| same(Length::from_in(row.diameter_in), Length::from_in(inches)));
    let numbered = by_number(&format!("#{size}"));
    Ok(by_inches.filter(has).or_else(|| numbered.filter(has)).or(by_inches).or(numbered))
}

/// Returns the rows next below and next above a diameter.
fn nearest<R>(rows: &'static [R], diameter: impl Fn(&R) -> f64, wanted: f64) -> Vec<&'static R> {
    let above = rows.partition_point(|row| diameter(row) < wanted);
    let below = above.checked_sub(1).and_then(|i| rows.get(i));
    below.into_iter().chain(rows.get(above)).collect()
}

fn names(row: &asme_b1_1::Row) -> Vec<String> {
    row.threads().map(|(n, series)| format!("{}-{n} {series}", row.size)).collect()
}

fn no_row(text: &str, table: &'static str, rows: &[String]) -> CalcError {
    CalcError::NoSuchRow { field: "thread", key: text.trim().to_owned(), table, rows: rows.join(", ") }
}

/// `M12x1.75`, `1/2-13 UNC`; always with the pitch, so that nobody has to know which one is coarse.
impl fmt::Display for Thread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.system {
            ThreadSystem::Metric => write!(f, "M{}x{}", short(self.diameter.mm()), short(self.pitch.mm())),
            ThreadSystem::Unified => {
                let row = asme_b1_1::ROWS.iter().find(|row| same(Length::from_in(row.diameter_in), self.diameter));
                let listed = row.and_then(|row| {
                    row.threads().find(|&(n, _)| same(pitch(n), self.pitch)).map(|(n, series)| (row.size, n, series))
                });
                match listed {
                    Some((size, n, series)) => write!(f, "{size}-{n} {series}"),
                    None => write!(f, "{}-{} UNS", short(self.diameter.inches()), short(self.threads_per_inch())),
                }
            }
        }
    }
}

/// Rounds to what a designation shows, without trailing zeros.
fn short(value: f64) -> f64 {
    (value * 1e4).round() / 1e4
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn reads_what_people_write() {
        for (text, shown) in [
            ("M14x1.5", "M14x1.5"),
            ("M14 x 1.5", "M14x1.5"),
            ("m14X1.5", "M14x1.5"),
            ("M14×1.5", "M14x1.5"),
            ("M12-1.75", "M12x1.75"),
            ("M14", "M14x2"),
            ("M10x1", "M10x1"),
            ("M12x1.5", "M12x1.5"),
            ("7/16-14", "7/16-14 UNC"),
            ("7/16-14 UNC", "7/16-14 UNC"),
            ("3/4-10 UNC", "3/4-10 UNC"),
            ("1/2-20 UNF", "1/2-20 UNF"),
            ("1/2\"-20 unf", "1/2-20 UNF"),
            ("½-13", "1/2-13 UNC"),
            (".5-13", "1/2-13 UNC"),
            ("#10-32", "#10-32 UNF"),
            ("10-32", "#10-32 UNF"),
            ("10-24", "#10-24 UNC"),
            ("1-1/8-7", "1-1/8-7 UNC"),
            ("1 1/8-7", "1-1/8-7 UNC"),
            ("1-8", "1-8 UNC"),
            ("1-14", "1-14 UNS"),
            ("1-14 UNS", "1-14 UNS"),
            ("2-56", "#2-56 UNC"),
            ("2-4.5", "2-4.5 UNC"),
            ("2-4 1/2", "2-4.5 UNC"),
        ] {
            match Thread::read(text) {
                Ok(thread) => assert_eq!(thread.to_string(), shown, "{text}"),
                Err(error) => panic!("{text}: {error}"),
            }
        }
    }

    #[test]
    fn unlisted_threads_name_their_neighbours() {
        for (text, near) in [
            ("M13", "M12x1.75, M14x2"),
            ("M100", "M39x4"),
            ("M1", "M1.6x0.35"),
            ("M12x1.6", "M12x1.75, M12x1.5, M12x1.25, M12x1"),
            ("1/2-14", "1/2-13 UNC, 1/2-20 UNF, 1/2-28 UNEF"),
            ("11/16-16", "5/8-11 UNC, 5/8-18 UNF, 5/8-24 UNEF, 3/4-10 UNC, 3/4-16 UNF, 3/4-20 UNEF"),
            ("#7-32", "#6-32 UNC, #6-40 UNF, #8-32 UNC, #8-36 UNF"),
        ] {
            match Thread::read(text) {
                Err(CalcError::NoSuchRow { field: "thread", rows, .. }) => assert_eq!(rows, near, "{text}"),
                other => panic!("{text}: {other:?}"),
            }
        }
    }

    #[test]
    fn the_wrong_letters_are_refused() {
        assert!(matches!(Thread::read("1/2-13 UNF"), Err(CalcError::Conflict { .. })));
        assert!(matches!(Thread::read("1/2-20 UNC"), Err(CalcError::Conflict { .. })));
    }

    #[test]
    fn what_is_no_thread_is_refused_with_an_example() {
        for text in
            ["", "M", "Mx", "M14x", "M14x1,5", "14", "1/2", "1/2 13", "x", "UNC", "-", "#-32x", "M14x1.5x2", "M-14"]
        {
            match Thread::read(text) {
                Err(CalcError::Unreadable { field: "thread", example, .. }) => assert_eq!(example, EXAMPLE),
                other => panic!("{text:?}: {other:?}"),
            }
        }
        let error = Thread::read("M14x1,5").unwrap_err().to_string();
        assert!(error.contains("write a point for decimals: 1.5"), "{error}");
    }

    #[test]
    fn every_listed_thread_reads_back_as_itself() {
        let all: Vec<_> = Thread::all().collect();
        // Counted by hand: 73 metric and 73 unified.
        assert_eq!(all.len(), 146, "the tables lost or gained rows");
        for thread in all {
            assert_eq!(Thread::read(&thread.to_string()), Ok(thread));
        }
    }

    proptest! {
        #[test]
        fn no_text_panics(text in ".{0,80}") {
            let _ = Thread::read(&text);
        }

        #[test]
        fn no_near_designation_panics(text in "[M#]?[0-9]{0,3}[-/x ,.]{0,2}[0-9]{0,3}[-/x ]{0,2}[0-9]{0,3} ?(UNC|UNF|UN)?") {
            if let Ok(thread) = Thread::read(&text) {
                prop_assert_eq!(Thread::read(&thread.to_string()), Ok(thread));
            }
        }
    }
}
