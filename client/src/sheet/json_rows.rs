//! Rows of a fleet sheet written as JSON lines: one upfit plan of the contract a line.

use std::io::{BufRead, BufReader, Read};

use baybook_proto::v1::UpfitPlan;

use super::{
    BadCell, Row, SheetError, Source,
    portion::{PORTION_BYTES, Portion, Raw},
};
use crate::entry_file;

/// The longest line that is read.
const LINE_BYTES: u64 = 256 * 1024;

/// Reads plans line by line.
pub struct JsonRows<R: Read> {
    from: BufReader<Source<R>>,
    line: i64,
    text: Vec<u8>,
}

impl<R: Read> JsonRows<R> {
    /// Starts after the lines that were skipped.
    pub fn new(from: Source<R>, lines_skipped: i64) -> Self {
        Self { from: BufReader::with_capacity(256 * 1024, from), line: lines_skipped, text: Vec::new() }
    }

    /// Cuts off up to `most` rows.
    pub fn cut(&mut self, most: usize, portion: &mut Portion) -> Result<(), SheetError> {
        let mut bytes = 0;
        while portion.len() < most && bytes < PORTION_BYTES {
            self.text.clear();
            let read = self.from.by_ref().take(LINE_BYTES + 1).read_until(b'\n', &mut self.text)?;
            if read == 0 {
                break;
            }
            self.line += 1;
            bytes += read;
            let whole = self.text.len() as u64 <= LINE_BYTES;
            let raw = portion.next();
            (raw.line, raw.whole) = (self.line, whole);
            raw.cells.clear();
            if !whole {
                self.skip_rest_of_line()?;
                portion.keep();
                continue;
            }
            let line = self.text.trim_ascii();
            if !line.is_empty() {
                raw.cells.push_field(line);
                portion.keep();
            }
        }
        Ok(())
    }

    fn skip_rest_of_line(&mut self) -> Result<(), SheetError> {
        loop {
            if self.text.last() == Some(&b'\n') {
                return Ok(());
            }
            self.text.clear();
            if self.from.by_ref().take(LINE_BYTES).read_until(b'\n', &mut self.text)? == 0 {
                return Ok(());
            }
        }
    }
}

/// Reads one line.
pub fn row(raw: &Raw) -> Row {
    if !raw.whole {
        return too_long(raw.line);
    }
    let text = raw.cells.as_slice();
    match serde_json::from_slice::<UpfitPlan>(text) {
        Ok(plan) => Row::Plan { line: raw.line, plan: Box::new(plan) },
        Err(error) => {
            let at = error.column();
            let read =
                String::from_utf8_lossy(text.get(at.saturating_sub(30)..(at + 10).min(text.len())).unwrap_or(text));
            let cell = BadCell {
                column: format!("character {at}"),
                read: read.into_owned(),
                allowed: format!(
                    "one upfit plan a line as a JSON object, such as \
                     {{\"unit\": \"V1\", \"vehicle\": {{\"name\": \"vehicles/van-l35\"}}}}; {}",
                    entry_file::told(&error)
                ),
            };
            Row::Unreadable { line: raw.line, unit: String::new(), cells: vec![cell] }
        }
    }
}

fn too_long(line: i64) -> Row {
    let cell = BadCell {
        column: "line".to_owned(),
        read: format!("more than {LINE_BYTES} bytes"),
        allowed: format!("lines of at most {LINE_BYTES} bytes, one plan each"),
    };
    Row::Unreadable { line, unit: String::new(), cells: vec![cell] }
}
