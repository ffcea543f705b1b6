//! Pages: how many, from where, at which revision.

use std::fmt::Write as _;

use sha2::{Digest as _, Sha256};

use crate::book::Revision;
use crate::error::ApiError;
use crate::limits::Limits;

/// Reads how many a caller wants on a page.
pub(super) fn size(asked: i32, limits: &Limits) -> Result<usize, ApiError> {
    match usize::try_from(asked) {
        Ok(0) => Ok(limits.page_default),
        Ok(size) if size <= limits.page_entries => Ok(size),
        _ => {
            let (most, default) = (limits.page_entries, limits.page_default);
            Err(ApiError::field("page_size", format!("must be 0 (for {default}) to {most} entries, is {asked}")))
        }
    }
}

/// Where a page starts: after which name, at which revision. What it is a page of goes in as `list`, so that a token is
/// good for its own list alone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Token {
    pub(super) revision: Revision,
    pub(super) after: String,
}

impl Token {
    /// Writes the token of the next page.
    pub(super) fn write(&self, list: &str) -> String {
        let mut text = format!("{}.{}.", self.revision, self.after);
        let sum = sum(&text, list);
        text.push_str(&sum);
        text.bytes().fold(String::with_capacity(2 * text.len()), |mut out, byte| {
            // Writing to a string cannot fail.
            let _ = write!(out, "{byte:02x}");
            out
        })
    }

    /// Reads a token; an empty one is the first page.
    pub(super) fn read(token: &str, list: &str) -> Result<Option<Self>, ApiError> {
        if token.is_empty() {
            return Ok(None);
        }
        Self::parse(token, list).map(Some).ok_or_else(|| {
            ApiError::field(
                "page_token",
                "is not the next_page_token of a page of this very list; start again without a token",
            )
        })
    }

    fn parse(token: &str, list: &str) -> Option<Self> {
        if token.len() > 1_000 || token.len() % 2 == 1 || !token.is_ascii() {
            return None;
        }
        let bytes = (0..token.len()).step_by(2).map(|at| u8::from_str_radix(token.get(at..at + 2)?, 16).ok());
        let text = String::from_utf8(bytes.collect::<Option<Vec<u8>>>()?).ok()?;
        let (front, found) = text.split_at_checked(text.rfind('.')? + 1)?;
        if found != sum(front, list) {
            return None;
        }
        let (revision, after) = front.strip_suffix('.')?.split_once('.')?;
        Some(Self { revision: Revision::new(revision.parse().ok()?), after: after.to_owned() })
    }
}

/// Four bytes against tokens that were cut, mixed up or made up by mistake; it keeps no secret.
fn sum(text: &str, list: &str) -> String {
    let digest = Sha256::new().chain_update(list).chain_update([0]).chain_update(text).finalize();
    digest.iter().take(4).fold(String::new(), |mut out, byte| {
        // Writing to a string cannot fail.
        let _ = write!(out, "{byte:02x}");
        out
    })
}

/// Writes a digest as hexadecimal text.
pub(crate) fn hex(digest: &[u8]) -> String {
    digest.iter().fold(String::with_capacity(2 * digest.len()), |mut out, byte| {
        // Writing to a string cannot fail.
        let _ = write!(out, "{byte:02x}");
        out
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fuzz_page_tokens() {
        let token = Token { revision: Revision::new(7), after: "bolts/m12-88-40".to_owned() }.write("list");
        // The text of a token with its sum, so that what lies behind the sum is reached too.
        let sealed = |text: &str| {
            let whole = format!("{text}{}", sum(text, "list"));
            whole.bytes().fold(String::new(), |out, byte| format!("{out}{byte:02x}"))
        };
        let corpus = [b"7.bolts/m12-88-40.".to_vec(), b"18446744073709551615..".to_vec(), token.clone().into_bytes()];
        crate::fuzz::run("page tokens", |dice| {
            let text = crate::fuzz::mutate_text(dice, &corpus, &[".", "é", "00"]);
            for token in [text.clone(), sealed(&text)] {
                let _ = Token::read(&token, "list");
            }
        });
    }

    #[test]
    fn a_token_comes_back_as_it_was_and_only_for_its_list() {
        for after in ["vehicles/van-7", "", "a.b"] {
            let token = Token { revision: Revision::new(41), after: after.to_owned() };
            let text = token.write("list 1");
            assert_eq!(Token::read(&text, "list 1"), Ok(Some(token)));
            assert!(Token::read(&text, "list 2").is_err());
            assert!(Token::read(&text[2..], "list 1").is_err());
        }
        assert_eq!(Token::read("", "list 1"), Ok(None));
        for bad in ["0", "zz", "ää", "00", &"0".repeat(2_000)] {
            assert!(Token::read(bad, "list 1").is_err(), "{bad}");
        }
    }

    #[test]
    fn a_page_has_a_size() {
        let limits = Limits::default();
        assert_eq!(size(0, &limits), Ok(50));
        assert_eq!(size(1_000, &limits), Ok(1_000));
        assert!(size(1_001, &limits).is_err());
        assert!(size(-1, &limits).is_err_and(|error| error.to_string().contains("0 (for 50) to 1000 entries, is -1")));
    }
}
