//! The book without a disk: for a folder of entry files that is read at start, and for tests.

use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

use parking_lot::RwLock;

use super::engine::{Engine, Failed, Group, Loaded, Span};
use super::error::BookError;
use super::history::{past_of, within};
use super::record::{Known, Name, Past, PastCommit, Revision, StoredAnswer, Verified};

#[derive(Default)]
struct Kept {
    commits: BTreeMap<Revision, Arc<PastCommit>>,
    /// The revisions that changed a name, oldest first.
    touched: HashMap<Name, Vec<Revision>>,
    answers: HashMap<Arc<str>, StoredAnswer>,
}

/// Keeps commits in memory; they are as durable as the process.
#[derive(Default)]
pub(super) struct MemoryEngine {
    kept: RwLock<Kept>,
}

impl Engine for MemoryEngine {
    fn load(&self) -> Result<Loaded, BookError> {
        Ok(Loaded::default())
    }

    fn append(&self, group: &Group<'_>) -> Result<(), Failed> {
        let mut kept = self.kept.write();
        for id in group.forgotten {
            kept.answers.remove(id);
        }
        for commit in group.commits {
            for line in &commit.lines {
                kept.touched.entry(line.name.clone()).or_default().push(commit.revision);
            }
            if let Some(request) = &commit.request {
                let answer = StoredAnswer {
                    digest: request.digest,
                    answer: request.answer.clone(),
                    revision: commit.revision,
                    time: commit.time,
                };
                kept.answers.insert(Arc::clone(&request.id), answer);
            }
            kept.commits.insert(commit.revision, Arc::clone(commit));
        }
        Ok(())
    }

    fn commits(&self, span: Span) -> Result<Vec<Arc<PastCommit>>, BookError> {
        let kept = self.kept.read();
        let commits = kept.commits.range(span.after.next()..=span.through.max(span.after.next()));
        let commits = commits.map(|(_, commit)| Ok(Arc::clone(commit)));
        within(span, commits, |commit| commit.revision, |commit| commit.bytes())
    }

    fn history(&self, name: &Name, span: Span) -> Result<Vec<Past>, BookError> {
        let kept = self.kept.read();
        let touched = kept.touched.get(name).map_or(&[][..], Vec::as_slice);
        let steps = touched.iter().rev().skip_while(|revision| **revision > span.through).filter_map(|revision| {
            let commit = kept.commits.get(revision)?;
            past_of(commit, name).map(Ok)
        });
        within(span, steps, |past| past.revision, super::history::past_bytes)
    }

    fn answer(&self, id: &str) -> Result<Option<StoredAnswer>, BookError> {
        Ok(self.kept.read().answers.get(id).cloned())
    }

    /// There is no disk that could differ.
    fn verify(&self, _: Option<Known>) -> Result<Verified, BookError> {
        let revision = self.kept.read().commits.last_key_value().map(|(revision, _)| *revision).unwrap_or_default();
        Ok(Verified { revision, ..Verified::default() })
    }

    fn close(&self) -> Result<(), BookError> {
        Ok(())
    }
}
