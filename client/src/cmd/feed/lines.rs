//! What a feed writes: one line for each entry of a snapshot, and one for each commit.

use baybook_proto::v1::{self as pb, watch_book_response::Event};
use erased_serde::Serialize;
use serde_json::json;

use super::cursor_of;
use crate::{
    cmd::book::label,
    fail::Stop,
    out::{Format, Out},
    stamp,
};

/// How many names a line of the table lists.
const NAMES: usize = 3;

/// Writes lines, and puts commits that come in parts together.
pub struct Lines {
    bookmarks: bool,
    heard: u64,
    /// The commit that has not come to its end.
    part: Option<pb::WatchedCommit>,
    in_snapshot: bool,
}

impl Lines {
    pub const fn new(bookmarks: bool) -> Self {
        Self { bookmarks, heard: 0, part: None, in_snapshot: false }
    }

    /// Returns how many messages have come.
    pub const fn heard(&self) -> u64 {
        self.heard
    }

    /// Forgets what an earlier stream left unfinished: it comes again.
    pub fn begin(&mut self) {
        (self.part, self.in_snapshot) = (None, false);
    }

    /// Writes what has come; returns the cursor of what is now written as a whole.
    pub fn take(&mut self, event: Event, revision: i64, out: &mut Out) -> Result<Option<String>, Stop> {
        self.heard += 1;
        let cursor = cursor_of(&event).map(str::to_owned);
        match event {
            Event::Entries(some) => {
                self.open_snapshot(revision, out)?;
                some.entries.iter().try_for_each(|entry| entry_line(entry, out))?;
            }
            Event::SnapshotEnd(end) => {
                self.open_snapshot(revision, out)?;
                self.in_snapshot = false;
                match out.format {
                    Format::Ndjson => line(out, &json!({"snapshot_end": end, "revision": revision.to_string()}))?,
                    _ => text(out, format!("{} entries at revision {revision}", end.entry_count))?,
                }
            }
            Event::Commits(some) => some.commits.into_iter().try_for_each(|commit| self.commit(commit, out))?,
            Event::Bookmark(bookmark) => {
                if self.bookmarks && out.format == Format::Ndjson {
                    line(out, &json!({"bookmark": bookmark, "revision": revision.to_string()}))?;
                }
            }
        }
        Ok(cursor)
    }

    /// Whoever reads the lines forgets what an earlier snapshot said.
    fn open_snapshot(&mut self, revision: i64, out: &mut Out) -> Result<(), Stop> {
        if std::mem::replace(&mut self.in_snapshot, true) || out.format != Format::Ndjson {
            return Ok(());
        }
        line(out, &json!({"snapshot_begin": {"revision": revision.to_string()}}))
    }

    fn commit(&mut self, commit: pb::WatchedCommit, out: &mut Out) -> Result<(), Stop> {
        let mut whole = match self.part.take() {
            Some(mut part) => {
                part.changes.extend(commit.changes);
                part.cursor = commit.cursor;
                part
            }
            None => commit,
        };
        if whole.cursor.is_empty() {
            self.part = Some(whole);
            return Ok(());
        }
        if out.format == Format::Ndjson {
            return line(out, &json!({"commit": &whole as &dyn Serialize}));
        }
        let who = if whole.author.is_empty() { "-".to_owned() } else { std::mem::take(&mut whole.author) };
        let when = stamp::text(whole.commit_time.as_ref());
        text(out, format!("{}  {when}  {who}  {}", whole.revision, changed(&whole.changes)))
    }
}

fn entry_line(entry: &pb::Entry, out: &mut Out) -> Result<(), Stop> {
    match out.format {
        Format::Ndjson => line(out, &json!({"entry": entry as &dyn Serialize})),
        _ => text(out, format!("{}  {}", entry.name, label(entry))),
    }
}

fn line(out: &mut Out, value: &serde_json::Value) -> Result<(), Stop> {
    out.json_value(value)?;
    out.raw(b"\n")
}

fn text(out: &mut Out, line: String) -> Result<(), Stop> {
    out.print(|page| page.plain(&line))
}

/// Says in a few words what a commit did.
fn changed(changes: &[pb::WatchedChange]) -> String {
    let words = |verb: &str, names: Vec<&str>| {
        let more = names.len().saturating_sub(NAMES);
        let more = if more == 0 { String::new() } else { format!(" and {more} more") };
        let shown = names.iter().take(NAMES).copied().collect::<Vec<_>>().join(", ");
        if names.is_empty() { String::new() } else { format!("{verb} {shown}{more}") }
    };
    let of = |test: fn(&pb::WatchedChange) -> bool| {
        changes.iter().filter(|change| test(change)).map(|change| change.name.as_str()).collect::<Vec<_>>()
    };
    let told = [
        words("new", of(|change| change.entry.is_some() && change.previous_revision == 0)),
        words("changed", of(|change| change.entry.is_some() && change.previous_revision != 0)),
        words("removed", of(|change| change.entry.is_none())),
    ];
    told.into_iter().filter(|words| !words.is_empty()).collect::<Vec<_>>().join("; ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_of_the_table_says_what_was_done() {
        let change = |name: &str, previous_revision, stays: bool| pb::WatchedChange {
            name: name.to_owned(),
            previous_revision,
            entry: stays.then(pb::Entry::default),
        };
        let changes = [change("a/1", 0, true), change("a/2", 3, true), change("a/3", 4, false)];
        assert_eq!(changed(&changes), "new a/1; changed a/2; removed a/3");
        let many: Vec<_> = (0..5).map(|n| change(&format!("a/{n}"), 0, true)).collect();
        assert_eq!(changed(&many), "new a/0, a/1, a/2 and 2 more");
    }
}
