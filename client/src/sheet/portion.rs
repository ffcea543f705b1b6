//! Rows as they stand in a sheet, cut off to be read by whoever has time.

/// A portion ends early once its text has so many bytes, so that it fits into a message whatever its rows hold.
pub const PORTION_BYTES: usize = 512 * 1024;

/// One row as it stands in the sheet.
#[derive(Debug, Default)]
pub struct Raw {
    /// The line it starts on, from 1.
    pub line: i64,
    /// Whether its end was found within the bytes that are searched for it.
    pub whole: bool,
    /// Its cells; of JSON lines the one text.
    pub cells: csv::ByteRecord,
}

/// Some rows in the sheet's order. Its room is used again.
#[derive(Debug, Default)]
pub struct Portion {
    rows: Vec<Raw>,
    used: usize,
}

impl Portion {
    /// Forgets the rows and keeps their room.
    pub const fn clear(&mut self) {
        self.used = 0;
    }

    /// Returns the room for the next row.
    pub fn next(&mut self) -> &mut Raw {
        if self.used == self.rows.len() {
            self.rows.push(Raw::default());
        }
        // The row was just made if there was none.
        let last = self.rows.len() - 1;
        &mut self.rows[self.used.min(last)]
    }

    /// Takes in the row whose room was filled.
    pub const fn keep(&mut self) {
        self.used += 1;
    }

    /// Returns how many rows it has.
    pub const fn len(&self) -> usize {
        self.used
    }

    /// Returns whether it has none.
    pub const fn is_empty(&self) -> bool {
        self.used == 0
    }

    /// Returns the line of the last row; 0 when there is none.
    pub fn last_line(&self) -> i64 {
        self.rows().last().map_or(0, |raw| raw.line)
    }

    /// Returns its rows.
    pub fn rows(&self) -> &[Raw] {
        self.rows.get(..self.used).unwrap_or_default()
    }
}
