//! Rows of a fleet sheet written as separated values.

use std::{cell::Cell, io::Read, rc::Rc, sync::Arc};

use super::{
    BadCell, Row, SheetError, SheetOptions, Source,
    cells::{self, Value},
    columns::{Column, Field, Header, Kind},
    draft::Draft,
    portion::{PORTION_BYTES, Portion, Raw},
};

/// How many bytes are read in search of the end of one row; a quotation mark that is never closed would otherwise
/// swallow the file. The reader looks ahead by its buffer, which this has to exceed.
const ROW_BYTES: usize = 1024 * 1024;
/// How far the reader looks ahead.
const BUFFER_BYTES: usize = 256 * 1024;

/// Stops the search for the end of a row at [`ROW_BYTES`].
struct Bounded<R> {
    from: R,
    since_row: Rc<Cell<usize>>,
}

impl<R: Read> Read for Bounded<R> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        if ROW_BYTES < self.since_row.get() {
            return Err(std::io::Error::from(std::io::ErrorKind::FileTooLarge));
        }
        let read = self.from.read(into)?;
        self.since_row.set(self.since_row.get() + read);
        Ok(read)
    }
}

/// Cuts the sheet into rows.
pub struct CsvRows<R: Read> {
    reader: csv::Reader<Bounded<Source<R>>>,
    since_row: Rc<Cell<usize>>,
    header: Arc<Header>,
    lines_skipped: i64,
    /// The line of the last row. Rows are numbered by line, and a sheet whose lines end in a lone carriage return
    /// would number them all alike: each row is at least one line on.
    last_line: i64,
    ended: bool,
}

impl<R: Read> CsvRows<R> {
    /// Reads the header.
    pub fn new(from: Source<R>, delimiter: u8, lines_skipped: i64, options: &SheetOptions) -> Result<Self, SheetError> {
        let since_row = Rc::new(Cell::new(0));
        let from = Bounded { from, since_row: Rc::clone(&since_row) };
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(delimiter)
            .flexible(true)
            .has_headers(false)
            .buffer_capacity(BUFFER_BYTES)
            .from_reader(from);
        let mut record = csv::ByteRecord::new();
        if !reader.read_byte_record(&mut record).map_err(into_io)? {
            return Err(SheetError::Empty);
        }
        let headings: Vec<String> = record.iter().map(|cell| String::from_utf8_lossy(cell).into_owned()).collect();
        let line = lines_skipped + line_of(&record);
        let header =
            Header::read(&headings, &options.skip_columns).map_err(|columns| SheetError::Header { line, columns })?;
        Ok(Self { reader, since_row, header: Arc::new(header), lines_skipped, last_line: line, ended: false })
    }

    /// Returns the header.
    pub const fn header(&self) -> &Arc<Header> {
        &self.header
    }

    /// Cuts off up to `most` rows.
    pub fn cut(&mut self, most: usize, portion: &mut Portion) -> Result<(), SheetError> {
        let mut bytes = 0;
        while portion.len() < most && bytes < PORTION_BYTES && !self.ended {
            self.since_row.set(0);
            let begins = self.lines_skipped + i64::try_from(self.reader.position().line()).unwrap_or(i64::MAX);
            let raw = portion.next();
            match self.reader.read_byte_record(&mut raw.cells).map_err(into_io) {
                Ok(true) => {}
                Ok(false) => {
                    self.ended = true;
                    break;
                }
                Err(SheetError::Io(error)) if error.kind() == std::io::ErrorKind::FileTooLarge => {
                    self.ended = true;
                    (raw.line, raw.whole) = (begins, false);
                    portion.keep();
                    break;
                }
                Err(error) => return Err(error),
            }
            if raw.cells.iter().all(|cell| cell.trim_ascii().is_empty()) {
                continue;
            }
            bytes += raw.cells.as_slice().len();
            self.last_line = (self.lines_skipped + line_of(&raw.cells)).max(self.last_line + 1);
            (raw.line, raw.whole) = (self.last_line, true);
            portion.keep();
        }
        Ok(())
    }
}

/// Reads the cells of rows.
pub struct CellReader {
    header: Arc<Header>,
    columns: Vec<Option<Known>>,
}

impl CellReader {
    /// Starts with nothing known of what cells mean.
    pub fn new(header: Arc<Header>) -> Self {
        let columns = header.columns.iter().map(|column| column.as_ref().map(Known::of)).collect();
        Self { header, columns }
    }

    /// Returns the heading of the column that a field of a row's plan came from.
    pub fn heading(&mut self, raw: &Raw, path: &str) -> Option<String> {
        let mut draft = Draft::new(&self.header);
        for (column, cell) in self.columns.iter_mut().zip(&raw.cells) {
            let Some(known) = column.as_mut().filter(|_| !cell.is_empty()) else { continue };
            // What cannot be read has no place in the plan.
            let _ = known.put(cell, &mut draft);
        }
        self.header.heading(&draft.told(), path).map(str::to_owned)
    }

    /// Makes a plan of a row.
    pub fn row(&mut self, raw: &Raw) -> Row {
        let line = raw.line;
        if !raw.whole {
            return endless(line);
        }
        let mut draft = Draft::new(&self.header);
        let mut bad = Vec::new();
        let (have, want) = (raw.cells.len(), self.columns.len());
        let extra = want < have && raw.cells.iter().skip(want).any(|cell| !cell.trim_ascii().is_empty());
        if have < want || extra {
            bad.push(BadCell {
                column: "row".to_owned(),
                read: format!("{have} cells"),
                allowed: format!(
                    "{want} cells, as the header has; a separator or a quotation mark is missing or too many"
                ),
            });
        }
        for (at, (column, cell)) in self.columns.iter_mut().zip(&raw.cells).enumerate() {
            // Most cells of a wide sheet are empty, and an empty cell says nothing.
            if cell.is_empty() {
                continue;
            }
            let Some(known) = column else { continue };
            if let Err(allowed) = known.put(cell, &mut draft) {
                let heading = self.header.columns.get(at).and_then(Option::as_ref);
                let read = String::from_utf8_lossy(cell);
                bad.push(BadCell {
                    column: heading.map_or_else(String::new, |column| column.heading.clone()),
                    read: if allowed == NOT_TEXT { read.into_owned() } else { read.trim().to_owned() },
                    allowed,
                });
            }
        }
        if bad.is_empty() {
            Row::Plan { line, plan: draft.finish() }
        } else {
            Row::Unreadable { line, unit: draft.unit(), cells: bad }
        }
    }
}

/// How many cells of a column are kept at hand.
const KNOWN_CELLS: usize = 64;

/// What is allowed where a cell is not even text.
const NOT_TEXT: &str = "UTF-8 text; save the sheet as CSV in UTF-8";

/// What one column holds, and the cells it held before with what they meant: sheets repeat themselves from row to row.
/// Each cell has one place by how it is written, and the newest takes it.
struct Known {
    field: Field,
    kind: Kind,
    units: cells::Units,
    cells: Vec<Seen>,
}

/// A cell that came by.
#[derive(Clone, Default)]
struct Seen {
    /// Its length and its ends: up to [`ENDS`] bytes they are all of it.
    mark: (usize, u64, u64),
    /// All of a longer cell.
    long: Vec<u8>,
    value: Option<Value>,
}

/// How many bytes the two ends of a cell hold.
const ENDS: usize = 16;

impl Known {
    fn of(column: &Column) -> Self {
        let factor = column.unit.as_ref().and_then(|unit| cells::unit_factor(column.kind, unit).ok());
        // Unit numbers hardly repeat.
        let most = if column.kind == Kind::Text && column.field != Field::Jurisdiction { 0 } else { KNOWN_CELLS };
        Self {
            field: column.field,
            kind: column.kind,
            units: cells::Units::new(factor),
            cells: vec![Seen::default(); most],
        }
    }

    /// Puts what a cell means where its column goes.
    ///
    /// # Errors
    ///
    /// What is allowed there.
    #[inline]
    fn put(&mut self, cell: &[u8], draft: &mut Draft<'_>) -> Result<(), String> {
        let mark = mark(cell);
        let Some(seen) = self.cells.get_mut(place(mark)) else {
            if let Some(value) = read_cell(self.kind, &mut self.units, cell)? {
                draft.set(self.field, value);
            }
            return Ok(());
        };
        if seen.mark != mark || ENDS < cell.len() && seen.long != cell {
            seen.take(mark, cell, read_cell(self.kind, &mut self.units, cell)?);
        }
        if let Some(value) = &seen.value {
            draft.set_again(self.field, value);
        }
        Ok(())
    }
}

impl Seen {
    fn take(&mut self, mark: (usize, u64, u64), cell: &[u8], value: Option<Value>) {
        self.mark = mark;
        self.long.clear();
        if ENDS < cell.len() {
            self.long.extend_from_slice(cell);
        }
        self.value = value;
    }
}

/// Returns a cell's length and its two ends.
fn mark(cell: &[u8]) -> (usize, u64, u64) {
    let (head, tail) = if let (Some(head), Some(tail)) = (cell.first_chunk::<8>(), cell.last_chunk::<8>()) {
        (u64::from_le_bytes(*head), u64::from_le_bytes(*tail))
    } else if let (Some(head), Some(tail)) = (cell.first_chunk::<4>(), cell.last_chunk::<4>()) {
        (u32::from_le_bytes(*head).into(), u32::from_le_bytes(*tail).into())
    } else {
        (cell.iter().fold(0, |all, byte| all << 8 | u64::from(*byte)), 0)
    };
    (cell.len(), head, tail)
}

/// Returns the place of a cell among those kept at hand.
const fn place((length, head, tail): (usize, u64, u64)) -> usize {
    const MIX: u64 = 0x9E37_79B9_7F4A_7C15;
    let mixed = (head ^ tail.rotate_left(29) ^ length as u64).wrapping_mul(MIX);
    (mixed >> (u64::BITS - KNOWN_CELLS.trailing_zeros())) as usize
}

fn endless(line: i64) -> Row {
    let cell = BadCell {
        column: "row".to_owned(),
        read: format!("more than {ROW_BYTES} bytes without an end"),
        allowed: "a row that ends; a quotation mark was opened and never closed. Nothing after it was read".to_owned(),
    };
    Row::Unreadable { line, unit: String::new(), cells: vec![cell] }
}

fn read_cell(kind: Kind, units: &mut cells::Units, cell: &[u8]) -> Result<Option<Value>, String> {
    let text = std::str::from_utf8(cell).map_err(|_| NOT_TEXT.to_owned())?;
    cells::read(kind, units, text)
}

fn line_of(record: &csv::ByteRecord) -> i64 {
    record.position().map_or(0, |position| i64::try_from(position.line()).unwrap_or(i64::MAX))
}

fn into_io(error: csv::Error) -> SheetError {
    match error.into_kind() {
        csv::ErrorKind::Io(error) => SheetError::Io(error),
        other => SheetError::Io(std::io::Error::other(format!("{other:?}"))),
    }
}
