//! Where a watcher is in the order of changes, as a text that it keeps and gives back.

use std::fmt;

use sha2::{Digest as _, Sha256};

use crate::book::{Moment, Revision};

/// The longest cursor.
const MOST_BYTES: usize = 64;

/// A revision, and when it was made: the time tells the commit of another book, or of this one before it was brought back
/// from a backup, from the one that bears its number here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Cursor {
    pub(super) revision: Revision,
    pub(super) time: Moment,
}

impl Cursor {
    /// Reads a cursor; nothing when the text is none of ours.
    pub(super) fn read(text: &str) -> Option<Self> {
        if text.len() > MOST_BYTES {
            return None;
        }
        let (front, _) = text.rsplit_once('.')?;
        let (revision, time) = front.split_once('.')?;
        let cursor =
            Self { revision: Revision::new(revision.parse().ok()?), time: Moment::from_micros(time.parse().ok()?) };
        // Written again, so that one place has one text.
        (cursor.to_string() == text).then_some(cursor)
    }
}

impl fmt::Display for Cursor {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let front = format!("{}.{}", self.revision, self.time.micros());
        // Against cursors that were cut or mistyped; it keeps no secret.
        let sum = Sha256::new().chain_update("watch ").chain_update(&front).finalize();
        let [a, b, c, d, ..]: [u8; 32] = sum.into();
        write!(f, "{front}.{a:02x}{b:02x}{c:02x}{d:02x}")
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn a_cursor_comes_back_as_it_was_and_no_other_text_does(
            revision in any::<u64>(),
            time in any::<i64>(),
            at in any::<prop::sample::Index>(),
            other in any::<char>(),
        ) {
            let cursor = Cursor { revision: Revision::new(revision), time: Moment::from_micros(time) };
            let text = cursor.to_string();
            prop_assert!(text.len() <= MOST_BYTES);
            prop_assert_eq!(Cursor::read(&text), Some(cursor));
            let at = at.index(text.len());
            let altered = format!("{}{other}{}", &text[..at], &text[at + 1..]);
            prop_assert_eq!(Cursor::read(&altered).is_some(), altered == text);
            prop_assert_eq!(Cursor::read(&text[..at]), None);
        }

        #[test]
        fn no_text_makes_it_fall_over(text in ".{0,80}") {
            prop_assert_eq!(Cursor::read(&text).map(|cursor| cursor.to_string()).unwrap_or(text.clone()), text);
        }
    }
}
