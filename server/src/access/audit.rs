//! What was denied and what was taken out, written into the book once a second at the most, so that a flood of refused
//! calls fills neither memory nor disk.

use std::net::IpAddr;
use std::sync::Arc;

use parking_lot::Mutex;
use serde::{Deserialize, Serialize};

use super::Principal;
use crate::book::{BookError, Change, Commit, Moment, Name};
use crate::service::State;
use crate::upkeep::backups::Remembered;

/// The record that holds the denials written last; its history holds them all.
pub const DENIALS: &str = ".audit/denials";
/// The record that holds the export begun last; its history holds them all.
pub const EXPORTS: &str = ".audit/exports";
/// The record that holds the backup verified last; its history holds them all.
pub const BACKUPS: &str = ".audit/backups";
/// Who is written down where nobody shows a token.
pub const WHOEVER: &str = "whoever uses this machine";
/// Denials noted one by one between two writes; more are counted.
const NOTED: usize = 200;

/// One call that was not let in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Denial {
    /// When, in microseconds since the Unix epoch.
    pub time: i64,
    /// What was called.
    pub call: String,
    /// Whose token it was.
    pub who: String,
    /// From where.
    pub peer: String,
    /// Why it was not let in.
    pub why: String,
}

/// What one write holds.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Denied {
    /// The denials noted one by one.
    pub denials: Vec<Denial>,
    /// How many more there were.
    pub more: u64,
}

/// An export that was begun.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Export {
    /// Which folder; empty for the whole book.
    pub folder: String,
    /// At which revision.
    pub revision: u64,
}

/// Denials that wait to be written.
#[derive(Debug, Default)]
pub struct Denials(Mutex<Denied>);

impl Denials {
    /// Notes one.
    pub fn note(&self, now: Moment, call: &str, who: &str, peer: Option<IpAddr>, why: &str) {
        let mut waiting = self.0.lock();
        if waiting.denials.len() >= NOTED {
            waiting.more += 1;
            return;
        }
        let peer = peer.map_or_else(|| "this process".to_owned(), |peer| peer.to_string());
        let call: String = call.chars().take(100).collect();
        waiting.denials.push(Denial { time: now.micros(), call, who: who.to_owned(), peer, why: why.to_owned() });
    }

    fn take(&self) -> Option<Denied> {
        let mut waiting = self.0.lock();
        (!waiting.denials.is_empty()).then(|| std::mem::take(&mut *waiting))
    }

    fn put_back(&self, denied: Denied) {
        let mut waiting = self.0.lock();
        let mut denials = denied.denials;
        waiting.more += denied.more;
        denials.append(&mut waiting.denials);
        waiting.more += denials.len().saturating_sub(NOTED) as u64;
        denials.truncate(NOTED);
        waiting.denials = denials;
    }
}

/// Writes what was denied since the last time; keeps it when the book does not take it.
pub(crate) async fn write_denials(state: &State) {
    let Some(denied) = state.access.denials.take() else { return };
    let count = denied.denials.len() as u64 + denied.more;
    if let Err(error) = write(state, DENIALS, &denied, "the service".into()).await {
        tracing::warn!(%error, count, "denials could not be written into the book yet");
        state.access.denials.put_back(denied);
    }
}

/// Writes that somebody begins to take the book out; without that note there is no export, but from a book that takes no
/// writes: what is left of that must be saved, and the log notes it.
pub(crate) async fn write_export(state: &State, who: &Principal, export: &Export) -> Result<(), BookError> {
    match write(state, EXPORTS, export, who.author_or(WHOEVER)).await {
        Err(error @ (BookError::ReadOnly { .. } | BookError::Full { .. })) => {
            tracing::warn!(%error, who = who.who(), ?export, "an export that the book cannot take note of");
            Ok(())
        }
        written => written,
    }
}

/// Writes that a backup was taken and verified.
pub(crate) async fn write_backup(state: &State, who: &Principal, backup: &Remembered) -> Result<(), BookError> {
    write(state, BACKUPS, backup, who.author_or(WHOEVER)).await
}

async fn write(state: &State, name: &str, value: &impl Serialize, author: Arc<str>) -> Result<(), BookError> {
    // A list of plain texts and numbers always has a JSON form.
    let value = serde_json::to_vec(value).unwrap_or_default().into();
    let changes = vec![Change::Put { name: Name::new(name)?, value }];
    let commit = Commit { changes, author, time: Moment::now(), ..Commit::default() };
    state.book().commit(commit).await.map(drop)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_flood_is_counted_and_nothing_is_lost_when_a_write_fails() {
        let denials = Denials::default();
        assert_eq!(denials.take(), None);
        for number in 0..NOTED as i64 + 5 {
            denials.note(Moment::from_micros(number), "/a", "nobody", None, "no token");
        }
        let taken = denials.take().unwrap();
        assert_eq!((taken.denials.len(), taken.more), (NOTED, 5));
        denials.note(Moment::from_micros(9_999), "/b", "nobody", None, "no token");
        denials.put_back(taken);
        let again = denials.take().unwrap();
        assert_eq!((again.denials.len(), again.more), (NOTED, 6));
        assert_eq!(again.denials[0].time, 0);
    }
}
