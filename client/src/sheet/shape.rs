//! Tells what a sheet is from its first bytes: CSV with which separator, or JSON lines.

use super::SheetError;

/// How many bytes are looked at.
pub const LOOK_BYTES: usize = 64 * 1024;

/// What a sheet looks like.
#[derive(Debug, PartialEq, Eq)]
pub struct Shape {
    /// Bytes to leave out at the start: a byte-order mark, a separator hint.
    pub skip: usize,
    /// Lines left out with them.
    pub lines_skipped: i64,
    /// What follows.
    pub kind: Kind,
}

/// What the text is.
#[derive(Debug, PartialEq, Eq)]
pub enum Kind {
    /// Separated values.
    Csv {
        /// The separator.
        delimiter: u8,
    },
    /// One JSON object a line.
    JsonLines,
}

/// Looks at the start of a sheet.
pub fn look(head: &[u8]) -> Result<Shape, SheetError> {
    if head.starts_with(b"PK\x03\x04") {
        return Err(SheetError::NotText { what: "it is a zipped workbook" });
    }
    if head.starts_with(&[0xD0, 0xCF, 0x11, 0xE0]) {
        return Err(SheetError::NotText { what: "it is a binary workbook" });
    }
    if head.starts_with(&[0xFF, 0xFE]) || head.starts_with(&[0xFE, 0xFF]) {
        return Err(SheetError::NotText { what: "it is UTF-16" });
    }
    if head.contains(&0) {
        return Err(SheetError::NotText { what: "it holds zero bytes" });
    }
    let mut skip = if head.starts_with(&[0xEF, 0xBB, 0xBF]) { 3 } else { 0 };
    let mut lines_skipped = 0;
    loop {
        match head.get(skip) {
            Some(b'\n') => {
                skip += 1;
                lines_skipped += 1;
            }
            Some(b' ' | b'\t' | b'\r') => skip += 1,
            Some(_) => break,
            None => return Err(SheetError::Empty),
        }
    }
    let text = head.get(skip..).unwrap_or_default();
    if text.first() == Some(&b'{') {
        return Ok(Shape { skip, lines_skipped, kind: Kind::JsonLines });
    }
    // Spreadsheet programs may write the separator on a line of its own first.
    if let [b's', b'e', b'p', b'=', delimiter, rest @ ..] = text {
        let end = rest.iter().position(|byte| *byte == b'\n').map_or(rest.len(), |at| at + 1);
        if rest.get(..end).is_some_and(|tail| tail.iter().all(|byte| matches!(byte, b'\r' | b'\n'))) {
            let kind = Kind::Csv { delimiter: *delimiter };
            return Ok(Shape { skip: skip + 5 + end, lines_skipped: lines_skipped + 1, kind });
        }
    }
    Ok(Shape { skip, lines_skipped, kind: Kind::Csv { delimiter: delimiter(text) } })
}

/// Returns the separator that the header line holds most of, outside quotes.
fn delimiter(text: &[u8]) -> u8 {
    let mut counts = [(b',', 0usize), (b';', 0), (b'\t', 0)];
    let mut quoted = false;
    for byte in text {
        match byte {
            b'"' => quoted = !quoted,
            b'\n' | b'\r' if !quoted => break,
            _ if quoted => {}
            _ => {
                for (delimiter, count) in &mut counts {
                    *count += usize::from(byte == delimiter);
                }
            }
        }
    }
    let mut best = counts[0];
    for next in counts {
        if best.1 < next.1 {
            best = next;
        }
    }
    best.0
}
