//! Tokens: what a caller holds, and what the book keeps of it.

use std::fmt;

use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};

use super::Role;
use crate::book::Moment;

/// What every token starts with, so that one that leaked is found by a search.
const PREFIX: &str = "baybook-";

/// Random bytes of a token's own part.
const SECRET_BYTES: usize = 32;

/// A token's own part. It has no `Debug` and no `Display`: the only way out is [`Secret::reveal`].
pub struct Secret(String);

impl Secret {
    /// Returns the whole text, once, for the one it was made for.
    #[must_use]
    pub fn reveal(self) -> String {
        self.0
    }
}

/// What the book keeps of a token: everything but the secret.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Token {
    /// Its id: eight hexadecimal digits.
    pub id: String,
    /// The SHA-256 of the whole text, in hexadecimal.
    pub digest: String,
    /// What it lets its holder do.
    pub role: Role,
    /// Who holds it.
    pub holder: String,
    /// Which bay it stands in; empty for none.
    pub bay: String,
    /// When it was issued, in microseconds since the Unix epoch.
    pub issued: i64,
    /// When it ends.
    pub ends: i64,
    /// When it was revoked, if it was.
    pub revoked: Option<i64>,
}

/// Why a token cannot be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the system gives no random bytes: {0}")]
pub struct NoRandom(String);

impl Token {
    /// Makes a token, and the text that its holder is shown once.
    ///
    /// # Errors
    /// [`NoRandom`] when the system's source of random bytes fails.
    pub fn issue(role: Role, holder: &str, bay: &str, now: Moment, ends: Moment) -> Result<(Self, Secret), NoRandom> {
        let mut bytes = [0_u8; 4 + SECRET_BYTES];
        getrandom::fill(&mut bytes).map_err(|error| NoRandom(error.to_string()))?;
        let id = hex(&bytes[..4]);
        let text = format!("{PREFIX}{id}-{}", hex(&bytes[4..]));
        let token = Self {
            id,
            digest: digest(&text),
            role,
            holder: holder.to_owned(),
            bay: bay.to_owned(),
            issued: now.micros(),
            ends: ends.micros(),
            revoked: None,
        };
        Ok((token, Secret(text)))
    }

    /// Returns whether a text is this token.
    #[must_use]
    pub fn is(&self, text: &str) -> bool {
        self.digest == digest(text)
    }

    /// Returns it without the hash of its secret: a record of who was given what, that lets nobody in.
    #[must_use]
    pub fn struck(self) -> Self {
        Self { digest: String::new(), ..self }
    }

    /// Returns whether the hash was struck out.
    #[must_use]
    pub fn is_struck(&self) -> bool {
        self.digest.is_empty()
    }

    /// Returns whether it still counts.
    #[must_use]
    pub fn stands_at(&self, now: Moment) -> bool {
        self.revoked.is_none() && now.micros() < self.ends
    }

    /// Returns the name it is kept under: one that no entry can have.
    #[must_use]
    pub fn name(&self) -> String {
        format!("{}{}", super::TOKENS, self.id)
    }
}

impl fmt::Display for Token {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({}", self.holder, self.role.word())?;
        if !self.bay.is_empty() {
            write!(f, ", {}", self.bay)?;
        }
        write!(f, ", token {})", self.id)
    }
}

/// Returns the id that a token's text names; nothing when the text has not a token's form.
#[must_use]
pub fn id_of(text: &str) -> Option<&str> {
    let (id, secret) = text.strip_prefix(PREFIX)?.split_once('-')?;
    let plain = |part: &str| part.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'));
    (id.len() == 8 && secret.len() == 2 * SECRET_BYTES && plain(id) && plain(secret)).then_some(id)
}

/// What is kept of a secret. It is random and long, so one plain hash of it gives nothing to guess at.
fn digest(text: &str) -> String {
    hex(&Sha256::digest(text.as_bytes()))
}

fn hex(bytes: &[u8]) -> String {
    use fmt::Write as _;
    bytes.iter().fold(String::with_capacity(bytes.len() * 2), |mut text, byte| {
        // Writing to a string cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn made() -> (Token, String) {
        let (now, ends) = (Moment::from_micros(1_000), Moment::from_micros(2_000));
        let (token, secret) = Token::issue(Role::Bay, "Mira Solano", "bay-2", now, ends).unwrap();
        (token, secret.reveal())
    }

    #[test]
    fn a_token_is_known_again_and_what_is_kept_does_not_hold_it() {
        let (token, text) = made();
        assert_eq!(id_of(&text), Some(token.id.as_str()));
        assert!(token.is(&text) && text.len() == 8 + 8 + 1 + 64);
        let kept = serde_json::to_string(&token).unwrap();
        assert!(!kept.contains(&text[17..]), "{kept}");
        assert_eq!(serde_json::from_str::<Token>(&kept).unwrap(), token);
        assert_eq!(token.to_string(), format!("Mira Solano (bay, bay-2, token {})", token.id));
    }

    #[test]
    fn no_two_are_alike_and_no_other_text_passes() {
        let ((one, text), (_, other)) = (made(), made());
        assert_ne!(text, other);
        assert!(!one.is(&other) && !one.is("") && !one.is(&text[..text.len() - 1]));
        for bad in ["", "baybook-", "baybook-1234567-", &text[1..], &text.to_uppercase(), &format!("{text}0")] {
            assert_eq!(id_of(bad), None, "{bad}");
        }
    }

    #[test]
    fn one_that_was_struck_out_is_nobodys() {
        let (token, text) = made();
        let struck = token.clone().struck();
        assert!(!token.is_struck() && struck.is_struck() && !struck.is(&text) && !struck.is(""));
        assert!(!serde_json::to_string(&struck).unwrap().contains(&token.digest));
        assert_eq!(struck.to_string(), token.to_string());
    }

    #[test]
    fn it_counts_until_it_ends_or_is_revoked() {
        let (mut token, _) = made();
        assert!(token.stands_at(Moment::from_micros(1_999)));
        assert!(!token.stands_at(Moment::from_micros(2_000)));
        token.revoked = Some(1_500);
        assert!(!token.stands_at(Moment::from_micros(1_600)));
    }
}
