//! Rows of a fleet sheet written as separated values.

use std::{cell::Cell, io::Read, rc::Rc};

use super::{
    BATCH_BYTES, BadCell, Row, SheetError, SheetOptions, Source,
    cells::{self, Value},
    columns::{Column, Header, Kind},
    draft::Draft,
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

/// Reads plans row by row.
pub struct CsvRows<R: Read> {
    reader: csv::Reader<Bounded<Source<R>>>,
    since_row: Rc<Cell<usize>>,
    record: csv::ByteRecord,
    header: Header,
    /// What the cells of each column meant so far.
    known: Vec<Known>,
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
        let known = header.columns.iter().map(|column| Known::of(column.as_ref())).collect();
        Ok(Self { reader, since_row, record, header, known, lines_skipped, last_line: line, ended: false })
    }

    /// Reads up to `most` rows.
    pub fn read_rows(&mut self, most: usize, rows: &mut Vec<Row>) -> Result<(), SheetError> {
        let wanted = rows.len() + most;
        let mut bytes = 0;
        while rows.len() < wanted && bytes < BATCH_BYTES && !self.ended {
            self.since_row.set(0);
            let line = self.lines_skipped + i64::try_from(self.reader.position().line()).unwrap_or(i64::MAX);
            match self.reader.read_byte_record(&mut self.record).map_err(into_io) {
                Ok(true) => {}
                Ok(false) => {
                    self.ended = true;
                    break;
                }
                Err(SheetError::Io(error)) if error.kind() == std::io::ErrorKind::FileTooLarge => {
                    self.ended = true;
                    rows.push(endless(line));
                    break;
                }
                Err(error) => return Err(error),
            }
            if self.record.iter().all(|cell| cell.trim_ascii().is_empty()) {
                continue;
            }
            bytes += self.record.as_slice().len();
            rows.push(self.row());
        }
        Ok(())
    }

    fn row(&mut self) -> Row {
        let line = (self.lines_skipped + line_of(&self.record)).max(self.last_line + 1);
        self.last_line = line;
        let mut draft = Draft::new(&self.header);
        let mut bad = Vec::new();
        let (have, want) = (self.record.len(), self.header.columns.len());
        let extra = self.record.iter().skip(want).any(|cell| !cell.trim_ascii().is_empty());
        if have < want || extra {
            bad.push(BadCell {
                column: "row".to_owned(),
                read: format!("{have} cells"),
                allowed: format!(
                    "{want} cells, as the header has; a separator or a quotation mark is missing or too many"
                ),
            });
        }
        let columns = self.header.columns.iter().zip(&mut self.known);
        for ((column, known), cell) in columns.zip(&self.record) {
            // Most cells of a wide sheet are empty, and an empty cell says nothing.
            let Some(column) = column else { continue };
            if cell.is_empty() {
                continue;
            }
            match known.read(column, cell) {
                Ok(Some(value)) => draft.set(column.field, value),
                Ok(None) => {}
                Err(cell) => bad.push(cell),
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

/// The cells that a column held before, and what they meant: sheets repeat themselves from row to row. Each cell has one
/// place by what it is written with, and the newest takes it.
struct Known {
    units: cells::Units,
    cells: Vec<(Vec<u8>, Option<Value>)>,
}

impl Known {
    fn of(column: Option<&Column>) -> Self {
        let factor = |column: &Column| column.unit.as_ref().and_then(|unit| cells::unit_factor(column.kind, unit).ok());
        // Unit numbers hardly repeat.
        let most = match column {
            Some(column) if column.kind != Kind::Text => KNOWN_CELLS,
            _ => 0,
        };
        Self { units: cells::Units::new(column.and_then(factor)), cells: vec![(Vec::new(), None); most] }
    }

    fn read(&mut self, column: &Column, cell: &[u8]) -> Result<Option<Value>, BadCell> {
        let Some((known, value)) = self.cells.get_mut(place(cell)) else {
            return read_cell(column, &mut self.units, cell);
        };
        if known != cell {
            let read = read_cell(column, &mut self.units, cell)?;
            known.clear();
            known.extend_from_slice(cell);
            *value = read;
        }
        Ok(value.clone())
    }
}

/// Returns the place of a cell among those kept at hand.
fn place(cell: &[u8]) -> usize {
    let mixed = cell.iter().fold(0_u32, |mixed, byte| mixed.wrapping_mul(31).wrapping_add(u32::from(*byte)));
    mixed as usize % KNOWN_CELLS
}

fn endless(line: i64) -> Row {
    let cell = BadCell {
        column: "row".to_owned(),
        read: format!("more than {ROW_BYTES} bytes without an end"),
        allowed: "a row that ends; a quotation mark was opened and never closed. Nothing after it was read".to_owned(),
    };
    Row::Unreadable { line, unit: String::new(), cells: vec![cell] }
}

fn read_cell(column: &Column, units: &mut cells::Units, cell: &[u8]) -> Result<Option<Value>, BadCell> {
    let text = std::str::from_utf8(cell).map_err(|_| BadCell {
        column: column.heading.clone(),
        read: String::from_utf8_lossy(cell).into_owned(),
        allowed: "UTF-8 text; save the sheet as CSV in UTF-8".to_owned(),
    })?;
    cells::read(column.kind, units, text).map_err(|allowed| BadCell {
        column: column.heading.clone(),
        read: text.trim().to_owned(),
        allowed,
    })
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
