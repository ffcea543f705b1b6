//! Telling every change once, in order, whole commits together.
//!
//! A watcher is a place in the order of changes and nothing else: no list of changes is kept for it. Before anything is
//! read for it there must be room to send it, so a watcher that does not read costs the one message that waits in its
//! stream. What it has missed it reads from the book, recent commits from memory and older ones from the journal; what
//! the book no longer keeps it is never led past in silence.

mod cursor;

use std::sync::Arc;

use baybook_proto::v1 as pb;
use pb::watch_book_response::Event;
use prost::Message as _;
use sha2::{Digest as _, Sha256};
use tokio::time::{Instant, sleep_until};

use self::cursor::Cursor;
use super::prefix;
use super::read::{reply_bytes, shown_entries};
use crate::access::audit::{self, Export};
use crate::access::{OWN, Principal};
use crate::api::Answering;
use crate::api::page::hex;
use crate::book::catalog::timestamp;
use crate::book::{BookError, Line, PastCommit, Revision};
use crate::error::ApiError;
use crate::service::State;

/// Commits read at once for one watcher, and entries of a snapshot looked at together.
const PORTION: usize = 64;

/// What a change takes in a message beside its entry.
const CHANGE_BYTES: usize = 256;

const TOO_OLD: &str = "is older than the changes that are kept";
const OTHER: &str = "is of another book, or of this one before it was brought back from a backup";
const AHEAD: &str = "is newer than this book, which may have been brought back from a backup";

pub(super) async fn watch(
    state: Arc<State>,
    wire: pb::WatchBookRequest,
    answering: Answering<pb::WatchBookResponse>,
    who: Principal,
) -> Result<(), ApiError> {
    let prefix = prefix(wire.kind)?;
    if wire.snapshot && !wire.cursor.is_empty() {
        return Err(ApiError::field("cursor", "must be empty with snapshot: a snapshot begins anew"));
    }
    let mut watcher = Watcher { state, answering, prefix, at: None, told: 0 };
    let from = match wire.cursor.as_str() {
        "" => watcher.state.book().revision(),
        text => watcher.resume(text).await?,
    };
    if wire.snapshot {
        let folder = watcher.prefix.trim_end_matches('/').to_owned();
        audit::write_export(&watcher.state, &who, &Export { folder, revision: from.get() }).await?;
        watcher.snapshot().await?;
    } else if watcher.at.is_none() {
        watcher.at = Some(watcher.place(from).await?);
    }
    let until = wire.until_caught_up.then(|| watcher.state.book().revision());
    watcher.follow(until).await
}

struct Watcher {
    state: Arc<State>,
    answering: Answering<pb::WatchBookResponse>,
    /// How the names of the entries to be told of begin.
    prefix: String,
    /// Everything through here has been told; nothing while a snapshot is being told.
    at: Option<Cursor>,
    /// How many lines of the next commit have been told.
    told: usize,
}

impl Watcher {
    /// Takes a cursor up again.
    async fn resume(&mut self, text: &str) -> Result<Revision, ApiError> {
        let Some(cursor) = Cursor::read(text) else {
            return Err(ApiError::field(
                "cursor",
                "is not a cursor of a marker, commit or bookmark; send it as it came",
            ));
        };
        let why = match self.state.book().time_of(cursor.revision).await {
            Ok(time) if time == cursor.time => {
                self.at = Some(cursor);
                return Ok(cursor.revision);
            }
            Ok(_) => OTHER,
            Err(BookError::RevisionGone { .. }) => TOO_OLD,
            Err(BookError::RevisionAhead { .. }) => AHEAD,
            Err(other) => return Err(other.into()),
        };
        Err(self.gone(text.to_owned(), why))
    }

    fn gone(&self, cursor: String, why: &'static str) -> ApiError {
        let oldest = self.state.book().horizon();
        let text = Cursor { revision: oldest.revision, time: oldest.time }.to_string();
        ApiError::CursorGone { cursor, why, oldest: text, oldest_revision: oldest.revision.to_wire() }
    }

    /// Where a revision is. One that has just been let go of is no place to go on from.
    async fn place(&self, revision: Revision) -> Result<Cursor, ApiError> {
        match self.state.book().time_of(revision).await {
            Ok(time) => Ok(Cursor { revision, time }),
            Err(BookError::RevisionGone { .. }) => Err(self.gone(String::new(), TOO_OLD)),
            Err(other) => Err(other.into()),
        }
    }

    fn too_slow(&self) -> ApiError {
        let cursor = self.at.map(|at| at.to_string()).unwrap_or_default();
        ApiError::TooSlow { cursor, limit: self.state.limits.watch_unread }
    }

    async fn tell(&self, event: Event, revision: Revision) -> Result<(), ApiError> {
        let room = self.answering.room().await.ok_or_else(|| self.too_slow())?;
        room.send(Ok(pb::WatchBookResponse { event: Some(event), revision: revision.to_wire() }));
        Ok(())
    }

    /// Tells every entry at one revision. The revision is read by number and not held, so that a slow reader keeps nothing
    /// of the past in memory; one that is slower than the past is kept is ended.
    async fn snapshot(&mut self) -> Result<(), ApiError> {
        let revision = self.state.book().revision();
        let place = self.place(revision).await?;
        let (mut digest, mut count, mut after) = (Sha256::new(), 0_i64, None::<String>);
        loop {
            let room = self.answering.room().await.ok_or_else(|| self.too_slow())?;
            let page = self.state.catalog.page_at(revision, &self.prefix, after.as_deref(), PORTION);
            let (mut page, mut more) = match page {
                Ok(page) => page,
                Err(BookError::RevisionGone { .. }) => return Err(self.too_slow()),
                Err(other) => return Err(other.into()),
            };
            let mut bytes = 0;
            let fits = page.iter().take_while(|shown| {
                let room = bytes < self.state.limits.watch_message_bytes;
                bytes += reply_bytes(shown);
                room
            });
            let fits = fits.count();
            more |= fits < page.len();
            page.truncate(fits);
            for shown in &page {
                digest.update(format!("{} {}\n", shown.record().name, shown.record().revision));
            }
            count += i64::try_from(page.len()).unwrap_or(i64::MAX);
            after = page.last().map(|shown| shown.record().name.to_string()).or(after);
            if !page.is_empty() {
                let event = Some(Event::Entries(pb::WatchedEntries { entries: shown_entries(&page)? }));
                room.send(Ok(pb::WatchBookResponse { event, revision: revision.to_wire() }));
            }
            if !more {
                break;
            }
        }
        let (cursor, digest) = (place.to_string(), hex(&digest.finalize()));
        self.tell(Event::SnapshotEnd(pb::SnapshotEnd { cursor, entry_count: count, digest }), revision).await?;
        self.at = Some(place);
        Ok(())
    }

    /// Tells what happens, without end or until a revision has been told.
    async fn follow(&mut self, until: Option<Revision>) -> Result<(), ApiError> {
        let every = self.state.limits.watch_bookmark;
        let mut newest = self.state.book().subscribe();
        // Told as soon as it has caught up for the first time.
        let mut told_once = false;
        let mut due = Instant::now() + every;
        loop {
            let published = *newest.borrow_and_update();
            let Some(at) = self.at else { return Err(ApiError::Fault { why: "a watcher without a place".to_owned() }) };
            let caught_up = at.revision >= published && self.told == 0;
            if (caught_up && !told_once) || (Instant::now() >= due && self.told == 0) {
                self.tell(Event::Bookmark(pb::Bookmark { cursor: at.to_string() }), at.revision).await?;
                told_once |= caught_up;
                due = Instant::now() + every;
                if until.is_some_and(|until| caught_up && at.revision >= until) {
                    return Ok(());
                }
            } else if caught_up {
                tokio::select! {
                    changed = newest.changed() => {
                        if changed.is_err() {
                            return Err(ApiError::Stopping { drain: self.state.limits.drain });
                        }
                    }
                    () = sleep_until(due) => {}
                }
            } else {
                self.catch_up(at).await?;
            }
        }
    }

    /// Reads on and tells one message of it.
    async fn catch_up(&mut self, at: Cursor) -> Result<(), ApiError> {
        let room = self.answering.room().await.ok_or_else(|| self.too_slow())?;
        // What is read may be large; few hold it at a time, and nobody beyond the message made of it.
        let reading = self.state.watch_reads.acquire().await;
        let commits = match self.state.book().changes_since(at.revision, PORTION).await {
            Ok(commits) => commits,
            Err(BookError::RevisionGone { .. }) => return Err(self.gone(at.to_string(), TOO_OLD)),
            Err(other) => return Err(other.into()),
        };
        let (told, at, lines) = self.compose(&commits, at)?;
        drop((commits, reading));
        if !told.is_empty() {
            let event = Some(Event::Commits(pb::WatchedCommits { commits: told }));
            room.send(Ok(pb::WatchBookResponse { event, revision: at.revision.to_wire() }));
        }
        (self.at, self.told) = (Some(at), lines);
        Ok(())
    }

    /// Makes a message of commits: as many as fit, the last one perhaps in part. Returns where it ends: through which commit,
    /// and how many lines of the next.
    fn compose(
        &self,
        commits: &[Arc<PastCommit>],
        mut at: Cursor,
    ) -> Result<(Vec<pb::WatchedCommit>, Cursor, usize), ApiError> {
        let (mut told, mut bytes) = (Vec::new(), 0);
        let mut skip = self.told;
        for commit in commits {
            if commit.revision != at.revision.next() {
                return Err(ApiError::Fault { why: format!("revision {} after {}", commit.revision, at.revision) });
            }
            let mut part = pb::WatchedCommit {
                revision: commit.revision.to_wire(),
                commit_time: Some(timestamp(commit.time)),
                author: commit.author.as_ref().to_owned(),
                ..pb::WatchedCommit::default()
            };
            for (number, line) in commit.lines.iter().enumerate().skip(skip).filter(|(_, line)| self.shows(line)) {
                let change = self.change(line)?;
                let size = change.encoded_len() + CHANGE_BYTES;
                if bytes > 0 && bytes + size > self.state.limits.watch_message_bytes {
                    // Something is left to be told of this commit: its last part will carry the cursor.
                    if !part.changes.is_empty() {
                        told.push(part);
                    }
                    return Ok((told, at, number));
                }
                bytes += size;
                part.changes.push(change);
            }
            skip = 0;
            at = Cursor { revision: commit.revision, time: commit.time };
            if !part.changes.is_empty() {
                part.cursor = at.to_string();
                told.push(part);
            }
        }
        Ok((told, at, 0))
    }

    fn shows(&self, line: &Line) -> bool {
        !line.name.starts_with(OWN) && line.name.starts_with(&self.prefix)
    }

    fn change(&self, line: &Line) -> Result<pb::WatchedChange, ApiError> {
        let shown = line.record.as_ref().map(|record| self.state.catalog.shown(Arc::clone(record)));
        Ok(pb::WatchedChange {
            name: line.name.as_str().to_owned(),
            previous_revision: line.previous.map_or(0, Revision::to_wire),
            entry: match shown {
                Some(shown) => Some(shown.entry()?.clone()),
                None => None,
            },
        })
    }
}
