//! Rows of a fleet sheet written as JSON lines: one upfit plan of the contract a line.

use std::io::{BufRead, BufReader, Read};

use baybook_proto::v1::UpfitPlan;

use super::{BATCH_BYTES, BadCell, Row, SheetError, Source};

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

    /// Reads up to `most` rows.
    pub fn read_rows(&mut self, most: usize, rows: &mut Vec<Row>) -> Result<(), SheetError> {
        let wanted = rows.len() + most;
        let mut bytes = 0;
        while rows.len() < wanted && bytes < BATCH_BYTES {
            self.text.clear();
            let read = self.from.by_ref().take(LINE_BYTES + 1).read_until(b'\n', &mut self.text)?;
            if read == 0 {
                break;
            }
            self.line += 1;
            bytes += read;
            if LINE_BYTES < self.text.len() as u64 {
                self.skip_rest_of_line()?;
                rows.push(self.too_long());
                continue;
            }
            let line = self.text.trim_ascii();
            if !line.is_empty() {
                rows.push(self.row(line));
            }
        }
        Ok(())
    }

    fn row(&self, text: &[u8]) -> Row {
        match serde_json::from_slice::<UpfitPlan>(text) {
            Ok(plan) => Row::Plan { line: self.line, plan: Box::new(plan) },
            Err(error) => {
                let at = error.column();
                let read =
                    String::from_utf8_lossy(text.get(at.saturating_sub(30)..(at + 10).min(text.len())).unwrap_or(text));
                let cell = BadCell {
                    column: format!("character {at}"),
                    read: read.into_owned(),
                    allowed: format!(
                        "one upfit plan a line as a JSON object, such as \
                         {{\"unit\": \"V1\", \"vehicle\": {{\"name\": \"vehicles/van-l35\"}}}}; {error}"
                    ),
                };
                Row::Unreadable { line: self.line, unit: String::new(), cells: vec![cell] }
            }
        }
    }

    fn too_long(&self) -> Row {
        let cell = BadCell {
            column: "line".to_owned(),
            read: format!("more than {LINE_BYTES} bytes"),
            allowed: format!("lines of at most {LINE_BYTES} bytes, one plan each"),
        };
        Row::Unreadable { line: self.line, unit: String::new(), cells: vec![cell] }
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
