//! Who may do what: roles, tokens, the table of roles and calls, and the note of what was denied.
//!
//! Tokens are kept in the book itself, under names that no entry can have, so that issuing and revoking one is a commit
//! like any other: durable before it counts, in the history, in the audit. What is kept of a token is its hash.

pub mod audit;
mod delay;
pub mod table;
pub mod token;

use std::collections::HashMap;
use std::net::IpAddr;
use std::sync::Arc;
use std::time::{Duration, Instant};

use http::{HeaderMap, header::AUTHORIZATION};
use parking_lot::RwLock;
use serde::{Deserialize, Serialize};

use self::audit::Denials;
use self::delay::Delay;
use self::token::Token;
use crate::book::{Book, Follower, Moment, PastCommit};
use crate::error::ApiError;

/// What the names start with under which the service keeps its own records; no entry's name does.
pub const OWN: &str = ".";

/// What the names of tokens start with.
pub const TOKENS: &str = ".tokens/";

/// What somebody may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// Looks up, calculates, checks.
    Bay,
    /// Also changes the book.
    Foreman,
    /// Looks up, checks in bulk, takes the whole book and follows it.
    Dispatch,
    /// Looks up, takes the whole book, reads who did what.
    Auditor,
    /// Everything, tokens too.
    Admin,
}

impl Role {
    /// Every role, in the table's order.
    pub const ALL: [Self; 5] = [Self::Bay, Self::Foreman, Self::Dispatch, Self::Auditor, Self::Admin];

    /// Returns its word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Bay => "bay",
            Self::Foreman => "foreman",
            Self::Dispatch => "dispatch",
            Self::Auditor => "auditor",
            Self::Admin => "admin",
        }
    }
}

/// Whether callers must show a token.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum AccessMode {
    /// Whoever can reach the service may do everything: for this machine only.
    Open,
    /// Every call but health needs a token.
    Tokens,
}

/// Who makes a call.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Principal {
    /// Whoever uses this machine.
    Local,
    /// The holder of a token.
    Holder(Arc<Token>),
}

impl Principal {
    /// Returns what is written into the book as the author of a change: who the call says, and whose token it was.
    #[must_use]
    pub fn author(&self, says: &str) -> Arc<str> {
        match self {
            Self::Local => says.into(),
            Self::Holder(token) if says.is_empty() || says == token.holder => token.to_string().into(),
            Self::Holder(token) => format!("{says} by {token}").into(),
        }
    }

    /// Returns what is written into the book as the author of what the service itself writes for a call: whose token it
    /// was, or the given word where nobody shows one.
    #[must_use]
    pub fn author_or(&self, nobody: &str) -> Arc<str> {
        match self {
            Self::Local => nobody.into(),
            Self::Holder(_) => self.author(""),
        }
    }

    /// Returns who that is, for the log.
    #[must_use]
    pub fn who(&self) -> &str {
        match self {
            Self::Local => "local",
            Self::Holder(token) => &token.id,
        }
    }
}

/// Why a call is not let in, and how long its caller waits before it hears so.
#[derive(Debug)]
pub struct Refusal {
    /// The error.
    pub error: ApiError,
    /// The wait.
    pub wait: Duration,
}

/// The tokens that stand, and what was denied.
#[derive(Debug)]
pub struct Access {
    mode: AccessMode,
    tokens: RwLock<HashMap<String, Arc<Token>>>,
    delay: Delay,
    /// What was denied and is not written yet.
    pub denials: Denials,
}

impl Follower for Access {
    fn published(&self, commits: &[Arc<PastCommit>]) {
        for line in commits.iter().flat_map(|commit| &commit.lines) {
            if line.name.starts_with(TOKENS) {
                self.take(&line.name, line.record.as_ref().map(|record| record.value.as_ref()));
            }
        }
    }
}

impl Access {
    /// Reads the tokens of a book and follows it.
    #[must_use]
    pub fn open(mode: AccessMode, book: &Arc<dyn Book>) -> Arc<Self> {
        let access =
            Arc::new(Self { mode, tokens: RwLock::default(), delay: Delay::default(), denials: Denials::default() });
        let snapshot = book.follow(Arc::clone(&access) as Arc<dyn Follower>);
        let mut after: Option<String> = None;
        loop {
            let page = snapshot.scan(TOKENS, after.as_deref(), 1_000);
            for record in &page.records {
                // What came in since is newer than the snapshot.
                if !access.tokens.read().contains_key(&record.name[TOKENS.len()..]) {
                    access.take(&record.name, Some(&record.value));
                }
            }
            after = page.records.last().map(|record| record.name.to_string());
            if !page.more {
                return access;
            }
        }
    }

    fn take(&self, name: &str, value: Option<&[u8]>) {
        let id = name.strip_prefix(TOKENS).unwrap_or_default().to_owned();
        let token = value.and_then(|value| serde_json::from_slice::<Token>(value).ok());
        let mut tokens = self.tokens.write();
        match token.filter(|token| token.id == id) {
            Some(token) => tokens.insert(id, Arc::new(token)),
            // One that cannot be read lets nobody in.
            None => tokens.remove(&id),
        };
    }

    /// Returns whether callers must show a token.
    #[must_use]
    pub const fn mode(&self) -> AccessMode {
        self.mode
    }

    /// Returns every token, by id.
    #[must_use]
    pub fn tokens(&self) -> Vec<Arc<Token>> {
        let mut all: Vec<_> = self.tokens.read().values().cloned().collect();
        all.sort_by(|one, other| (one.issued, &one.id).cmp(&(other.issued, &other.id)));
        all
    }

    /// Lets a call in, or not. What a call is about is not looked at: whoever may not make it learns nothing.
    ///
    /// # Errors
    /// [`Refusal`] with [`ApiError::Unidentified`] or [`ApiError::Denied`].
    pub fn admit(
        &self,
        path: &str,
        headers: &HeaderMap,
        peer: Option<IpAddr>,
        now: Moment,
    ) -> Result<Principal, Refusal> {
        if self.mode == AccessMode::Open {
            return Ok(Principal::Local);
        }
        let token = self.identify(headers, now).map_err(|why| {
            self.denials.note(now, path, "nobody known", peer, why);
            let wait = self.delay.after_refusal(peer, Instant::now());
            Refusal { error: ApiError::Unidentified { why }, wait }
        })?;
        if table::allows(token.role, path) {
            return Ok(Principal::Holder(token));
        }
        self.denials.note(now, path, &token.to_string(), peer, "not for this role");
        let roles = table::roles(path).map(|role| role.word().to_owned()).collect();
        let method = path.trim_start_matches("/baybook.v1.").to_owned();
        Err(Refusal { error: ApiError::Denied { method, role: token.role.word(), roles }, wait: Duration::ZERO })
    }

    fn identify(&self, headers: &HeaderMap, now: Moment) -> Result<Arc<Token>, &'static str> {
        let header = headers.get(AUTHORIZATION).ok_or("no token came with the call")?;
        let text = header.to_str().ok().and_then(|text| text.strip_prefix("Bearer "));
        let text = text.ok_or("the authorization header is not `Bearer TOKEN`")?;
        let id = token::id_of(text).ok_or("what came with the call is no token")?;
        let token = self.tokens.read().get(id).cloned();
        // One answer for an unknown id and a wrong secret.
        let token = token.filter(|token| token.is(text)).ok_or("the token is not known")?;
        if token.revoked.is_some() {
            return Err("the token was revoked");
        }
        if token.stands_at(now) { Ok(token) } else { Err("the token has ended") }
    }
}
