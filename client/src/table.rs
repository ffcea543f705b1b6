//! Plain aligned columns that fit a line.

use std::fmt::Write as _;

/// The most characters on a line.
pub const WIDTH: usize = 100;
/// The least characters that a wrapped column keeps.
const NARROWEST: usize = 14;
/// What parts two columns.
const GAP: &str = "  ";

/// How a word is stressed. It only adds to what the word says: without colour nothing is lost.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Mark {
    /// Not at all.
    #[default]
    Plain,
    /// A heading.
    Strong,
    /// As it should be.
    Good,
    /// A person must look.
    Mind,
    /// Must not go ahead.
    Bad,
}

impl Mark {
    const fn code(self) -> &'static str {
        match self {
            Self::Plain => "",
            Self::Strong => "\u{1b}[1m",
            Self::Good => "\u{1b}[32m",
            Self::Mind => "\u{1b}[33m",
            Self::Bad => "\u{1b}[1;31m",
        }
    }

    /// Returns the text with its stress; the writer takes it off where it is not wanted.
    pub fn on(self, text: &str) -> String {
        if self == Self::Plain || text.is_empty() {
            return text.to_owned();
        }
        format!("{}{text}\u{1b}[0m", self.code())
    }
}

/// One cell of a table.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Cell {
    /// What it says.
    pub text: String,
    /// How it is stressed.
    pub mark: Mark,
}

impl Cell {
    /// A cell that is stressed.
    pub fn marked(text: impl Into<String>, mark: Mark) -> Self {
        Self { text: text.into(), mark }
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Self { text, mark: Mark::Plain }
    }
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Self::from(text.to_owned())
    }
}

/// On which side a column is flush.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Flush {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// A table of words and numbers, ready to be laid out.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Grid {
    /// The headings.
    pub columns: Vec<(String, Flush)>,
    /// The rows; each as long as the headings.
    pub rows: Vec<Vec<Cell>>,
}

impl Grid {
    /// Appends the table's lines; none is longer than [`WIDTH`] as long as its numbers leave room for its words.
    pub fn draw(&self, into: &mut String) {
        let widths = self.widths();
        let heading: Vec<Cell> =
            self.columns.iter().map(|(title, _)| Cell::marked(title.clone(), Mark::Strong)).collect();
        if self.columns.iter().any(|(title, _)| !title.is_empty()) {
            self.draw_row(&heading, &widths, into);
        }
        for row in &self.rows {
            self.draw_row(row, &widths, into);
        }
    }

    fn widths(&self) -> Vec<usize> {
        let mut widths: Vec<usize> = self.columns.iter().map(|(title, _)| width(title)).collect();
        for row in &self.rows {
            for (widest, cell) in widths.iter_mut().zip(row) {
                *widest = (*widest).max(width(&cell.text));
            }
        }
        let gaps = GAP.len() * widths.len().saturating_sub(1);
        loop {
            let total = gaps + widths.iter().sum::<usize>();
            let over = total.saturating_sub(WIDTH);
            let widest = (0..widths.len())
                .filter(|&i| self.columns[i].1 == Flush::Left && NARROWEST < widths[i])
                .max_by_key(|&i| widths[i]);
            match widest {
                // One character at a time, so that two long columns share the loss.
                Some(i) if 0 < over => widths[i] -= 1,
                _ => return widths,
            }
        }
    }

    fn draw_row(&self, row: &[Cell], widths: &[usize], into: &mut String) {
        let wrapped: Vec<Vec<&str>> =
            row.iter().zip(widths).map(|(cell, &room)| wrap(&cell.text, room.max(1))).collect();
        let height = wrapped.iter().map(Vec::len).max().unwrap_or(0);
        for line in 0..height {
            let mut text = String::new();
            for (i, ((lines, cell), &room)) in wrapped.iter().zip(row).zip(widths).enumerate() {
                if 0 < i {
                    text.push_str(GAP);
                }
                let words = lines.get(line).copied().unwrap_or_default();
                let pad = " ".repeat(room.saturating_sub(width(words)));
                let words = cell.mark.on(words);
                match self.columns[i].1 {
                    Flush::Left => text.push_str(&(words + &pad)),
                    Flush::Right => text.push_str(&(pad + &words)),
                }
            }
            let _ = writeln!(into, "{}", text.trim_end());
        }
    }
}

/// Appends a note whose further lines are set in under its first.
pub fn draw_note(word: &str, text: &str, into: &mut String) {
    let lead = if word.is_empty() { "  ".to_owned() } else { format!("  {word}: ") };
    for (i, line) in wrap(&format!("{}{text}", lead.trim_start()), WIDTH - 4).iter().enumerate() {
        let _ = writeln!(into, "{}{line}", if i == 0 { "  " } else { "    " });
    }
}

/// Breaks text at spaces; a word longer than the line is broken anywhere.
pub fn wrap(text: &str, room: usize) -> Vec<&str> {
    let room = room.max(1);
    let mut lines = Vec::with_capacity(4);
    if is_plain(text) && fill(text, room, &mut lines) {
        return lines;
    }
    lines.clear();
    break_up(text, room, &mut lines);
    lines
}

/// Breaks any text.
fn break_up<'a>(text: &'a str, room: usize, lines: &mut Vec<&'a str>) {
    for paragraph in text.split('\n') {
        // The line under way is what stands from `from` to `to`.
        let (mut from, mut to, mut filled, mut at) = (0, 0, 0, 0);
        for word in paragraph.split(' ') {
            let long = width(word);
            if from < to && room < filled + 1 + long {
                lines.push(&paragraph[from..to]);
                (from, to, filled) = (at, at, 0);
            } else if from < to {
                filled += 1;
            } else {
                (from, to) = (at, at);
            }
            if filled + long <= room {
                to = at + word.len();
                filled += long;
            } else {
                for (offset, c) in word.char_indices() {
                    if filled == room {
                        lines.push(&paragraph[from..to]);
                        (from, filled) = (at + offset, 0);
                    }
                    to = at + offset + c.len_utf8();
                    filled += 1;
                }
            }
            at += word.len() + 1;
        }
        lines.push(&paragraph[from..to]);
    }
}

/// Returns whether every byte is a character, and words are parted by one space each.
fn is_plain(text: &str) -> bool {
    let bytes = text.as_bytes();
    let spaced = |pair: &[u8]| pair == b"  ";
    text.is_ascii()
        && !bytes.contains(&b'\n')
        && !bytes.windows(2).any(spaced)
        && !text.starts_with(' ')
        && !text.ends_with(' ')
}

/// Breaks plain text at the last space that still fits; returns whether every word found room.
fn fill<'a>(mut text: &'a str, room: usize, lines: &mut Vec<&'a str>) -> bool {
    while room < text.len() {
        let fits = text.as_bytes().get(..=room).unwrap_or_default();
        let Some(at) = fits.iter().rposition(|byte| *byte == b' ') else { return false };
        lines.push(&text[..at]);
        text = &text[at + 1..];
    }
    lines.push(text);
    true
}

/// Returns how many columns the text takes on a terminal; everything printed here is of single width.
pub fn width(text: &str) -> usize {
    text.chars().count()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn drawn(grid: &Grid) -> String {
        let mut text = String::new();
        grid.draw(&mut text);
        text
    }

    #[test]
    fn words_are_flush_left_and_numbers_right() {
        let grid = Grid {
            columns: vec![
                ("link".to_owned(), Flush::Left),
                ("kg".to_owned(), Flush::Right),
                (String::new(), Flush::Left),
            ],
            rows: vec![
                vec!["receiver".into(), "2268".into(), "governs".into()],
                vec!["ball".into(), "907".into(), "".into()],
            ],
        };
        assert_eq!(
            anstream::adapter::strip_str(&drawn(&grid)).to_string(),
            "link        kg\nreceiver  2268  governs\nball       907\n"
        );
    }

    #[test]
    fn a_long_column_is_wrapped_and_nothing_is_lost() {
        let long = "word ".repeat(60);
        let grid = Grid {
            columns: vec![("n".to_owned(), Flush::Right), ("text".to_owned(), Flush::Left)],
            rows: vec![vec!["1".into(), long.as_str().into()]],
        };
        let text = anstream::adapter::strip_str(&drawn(&grid)).to_string();
        assert!(text.lines().all(|line| width(line) <= WIDTH), "{text}");
        assert_eq!(text.matches("word").count(), 60);
    }

    proptest! {
        #[test]
        fn plain_text_is_broken_like_any_other(text in "[a-z]{1,9}( [a-z]{1,9}){0,15}", room in 1_usize..40) {
            let (mut plainly, mut anyhow) = (Vec::new(), Vec::new());
            prop_assert!(is_plain(&text));
            break_up(&text, room, &mut anyhow);
            if fill(&text, room, &mut plainly) {
                prop_assert_eq!(plainly, anyhow);
            }
        }

        #[test]
        fn wrapping_keeps_every_letter_and_no_line_is_too_long(text in "[a-zé ·]{0,200}", room in 1_usize..60) {
            let lines = wrap(&text, room);
            prop_assert!(lines.iter().all(|line| width(line) <= room));
            let letters = |text: &str| text.chars().filter(|c| *c != ' ').collect::<String>();
            prop_assert_eq!(letters(&lines.concat()), letters(&text));
        }
    }
}
