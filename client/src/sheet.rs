//! Fleet sheets in: files of upfit plans, one a row, as CSV or as JSON lines.
//!
//! A sheet is read as a stream: however long it is, only a few portions of rows are in memory at a time. It is cut into
//! portions by one [`Sheet`]; any number of [`Reader`]s make rows of them, side by side. A row that cannot be read is a
//! [`Row::Unreadable`] and the rest goes on; only a sheet that makes no sense as a whole is a [`SheetError`].

mod cells;
mod columns;
mod csv_rows;
mod draft;
mod json_rows;
mod portion;
mod shape;

use std::{
    io::{BufRead, Read},
    sync::Arc,
};

use baybook_proto::v1::UpfitPlan;

pub use columns::column_list;
pub use portion::Portion;

/// One row of a fleet sheet.
#[derive(Debug, Clone, PartialEq)]
pub enum Row {
    /// A plan. Its number is the line it starts on.
    Plan {
        /// The line it starts on, from 1.
        line: i64,
        /// The plan.
        plan: Box<UpfitPlan>,
    },
    /// A row that could not be read.
    Unreadable {
        /// The line it starts on, from 1.
        line: i64,
        /// The unit number, when that cell could be read.
        unit: String,
        /// Every cell at fault.
        cells: Vec<BadCell>,
    },
}

/// A cell that could not be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadCell {
    /// The column, as the sheet's header writes it; for JSON lines the place in the line.
    pub column: String,
    /// What was read.
    pub read: String,
    /// What is allowed there, and what to do.
    pub allowed: String,
}

/// Why a sheet could not be read at all.
#[derive(Debug, thiserror::Error)]
pub enum SheetError {
    /// The file could not be read.
    #[error("cannot read the sheet: {0}")]
    Io(#[from] std::io::Error),
    /// Nothing is in it.
    #[error("the sheet is empty: its first line must name the columns, such as `unit,vehicle,receiver,trailer`")]
    Empty,
    /// It is not text.
    #[error("the sheet is not UTF-8 text ({what}); save it as CSV in UTF-8, not as a workbook")]
    NotText {
        /// What it looks like.
        what: &'static str,
    },
    /// The header line has columns that are not known.
    #[error("line {line}: {}", describe_headers(.columns))]
    Header {
        /// The line of the header.
        line: i64,
        /// Each column at fault.
        columns: Vec<BadHeader>,
    },
}

/// A column heading that could not be understood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadHeader {
    /// The heading as written.
    pub heading: String,
    /// What is wrong with it.
    pub why: String,
}

fn describe_headers(columns: &[BadHeader]) -> String {
    let list: Vec<String> = columns.iter().map(|bad| format!("column {:?}: {}", bad.heading, bad.why)).collect();
    list.join("; ")
}

/// How to read a sheet.
#[derive(Debug, Clone, Default)]
pub struct SheetOptions {
    /// Columns to leave out, as the header writes them.
    pub skip_columns: Vec<String>,
}

/// A sheet being cut into portions.
pub enum Sheet<R: Read> {
    /// Comma, semicolon or tab separated.
    Csv(Box<csv_rows::CsvRows<R>>),
    /// One JSON object a line.
    Json(json_rows::JsonRows<R>),
}

/// What a sheet is read from: the part that was looked at to tell its shape, and the rest.
pub type Source<R> = std::io::Chain<std::io::Cursor<Vec<u8>>, R>;

impl<R: BufRead> Sheet<R> {
    /// Looks at the start of a sheet, tells what it is, and reads its header.
    ///
    /// # Errors
    ///
    /// [`SheetError`] when it is empty, not text, or its header names columns that are not known.
    pub fn open(mut from: R, options: &SheetOptions) -> Result<Self, SheetError> {
        let mut head = Vec::with_capacity(shape::LOOK_BYTES);
        from.by_ref().take(shape::LOOK_BYTES as u64).read_to_end(&mut head)?;
        let shape = shape::look(&head)?;
        let source = std::io::Cursor::new(head.split_off(shape.skip)).chain(from);
        Ok(match shape.kind {
            shape::Kind::JsonLines => Self::Json(json_rows::JsonRows::new(source, shape.lines_skipped)),
            shape::Kind::Csv { delimiter } => {
                Self::Csv(Box::new(csv_rows::CsvRows::new(source, delimiter, shape.lines_skipped, options)?))
            }
        })
    }

    /// Cuts off up to `most` rows, fewer when they are long; none when the sheet has ended.
    ///
    /// # Errors
    ///
    /// [`SheetError::Io`] when the file cannot be read on; the rows before that are in the portion.
    pub fn cut(&mut self, most: usize, portion: &mut Portion) -> Result<(), SheetError> {
        portion.clear();
        match self {
            Self::Csv(csv) => csv.cut(most, portion),
            Self::Json(json) => json.cut(most, portion),
        }
    }

    /// Returns what makes readers of this sheet's rows.
    pub fn readers(&self) -> Readers {
        match self {
            Self::Csv(csv) => Readers::Csv(Arc::clone(csv.header())),
            Self::Json(_) => Readers::Json,
        }
    }
}

/// Makes readers of one sheet's rows.
#[derive(Debug, Clone)]
pub enum Readers {
    /// By the columns of its header.
    Csv(Arc<columns::Header>),
    /// As messages of the contract.
    Json,
}

impl Readers {
    /// Makes one more.
    pub fn make(&self) -> Reader {
        match self {
            Self::Csv(header) => Reader::Csv(csv_rows::CellReader::new(Arc::clone(header))),
            Self::Json => Reader::Json,
        }
    }
}

/// Makes rows of what was cut off a sheet.
pub enum Reader {
    /// Reads cells.
    Csv(csv_rows::CellReader),
    /// Reads JSON.
    Json,
}

impl Reader {
    /// Returns the heading of the column that a field of the plan on that line came from; none for JSON lines, which have no
    /// columns, and for a line that is not in the portion.
    pub fn heading(&mut self, portion: &Portion, line: i64, path: &str) -> Option<String> {
        let raw = portion.rows().iter().find(|raw| raw.line == line)?;
        match self {
            Self::Csv(cells) => cells.heading(raw, path),
            Self::Json => None,
        }
    }

    /// Makes one row after the other.
    pub fn read(&mut self, portion: &Portion, mut take: impl FnMut(Row)) {
        for raw in portion.rows() {
            take(match self {
                Self::Csv(cells) => cells.row(raw),
                Self::Json => json_rows::row(raw),
            });
        }
    }
}

#[cfg(test)]
mod fuzz;
#[cfg(test)]
mod tests;
