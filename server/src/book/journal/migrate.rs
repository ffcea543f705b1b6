//! Bringing a data directory of the first format over: sled alone, with its own log of commits and its own mark.

use std::path::Path;
use std::sync::Arc;

use super::copy::{NoCopy, SecondCopy as _};
use super::mirror::Mirror;
use super::recover::{FOLDER, next_step};
use super::{Journal, ballast, mark};
use crate::book::bounds::Bounds;
use crate::book::disk::Disk;
use crate::book::engine::{Group, Span};
use crate::book::error::BookError;
use crate::book::{Revision, Tally};

/// How many commits are brought over at once, and their bytes.
const PORTION: usize = 512;
const PORTION_BYTES: usize = 8 << 20;
/// Where the journal is written until it is whole.
const UNDER_WAY: &str = "migrating";

/// Writes the journal of a directory that has none yet.
pub(super) fn bring_over(
    disk: &Arc<dyn Disk>,
    directory: &Path,
    mirror: &Arc<Mirror>,
    bounds: &Bounds,
) -> Result<(), BookError> {
    let io = |cause: std::io::Error| BookError::io("look into", directory, &cause);
    let journal = !disk.list(&directory.join(FOLDER)).map_err(io)?.is_empty();
    let marks = mark::find(disk.as_ref(), directory).map_err(io)?;
    if journal || marks.missing.len() < 2 {
        return Ok(());
    }
    if !mirror.is_there() {
        if ballast::is_there(disk.as_ref(), directory) {
            return Err(BookError::Damaged {
                what: "there was a book in this directory: its journal, its marks and its second copy are gone"
                    .to_owned(),
                names: Vec::new(),
                next: next_step(directory),
            });
        }
        return Ok(());
    }
    let led = mirror.is_led_by_a_journal()?;
    if led {
        return Err(BookError::Damaged {
            what: "the journal and both files of its high-water mark are gone; the second copy alone cannot tell whether it is whole"
                .to_owned(),
            names: mirror.names(Revision::ZERO, Revision::new(u64::MAX)),
            next: next_step(directory),
        });
    }
    let loaded = mirror.load()?;
    if loaded.revision == Revision::ZERO {
        return Ok(());
    }
    tracing::info!(revision = loaded.revision.get(), "writing the journal of a data directory of the first format");
    let under_way = directory.join(UNDER_WAY);
    if under_way.exists() {
        std::fs::remove_dir_all(&under_way).map_err(|cause| BookError::io("clear", &under_way, &cause))?;
    }
    disk.create_dir(&under_way).map_err(|cause| BookError::io("create", &under_way, &cause))?;
    let fresh = Journal::open(Arc::clone(disk), &under_way, &NoCopy, bounds)?.journal;
    let mut after = Revision::ZERO;
    while after < loaded.revision {
        let span = Span { after, through: loaded.revision, limit: PORTION, bytes: PORTION_BYTES };
        let commits = mirror.commits(span)?;
        let Some(last) = commits.last().map(|last| last.revision) else { break };
        if commits.first().is_some_and(|first| first.revision != after.next()) {
            break;
        }
        // The tally of the end is the only one that anybody compares.
        let tally = if last == loaded.revision { loaded.tally } else { Tally::default() };
        fresh
            .append(&Group { commits: &commits, forgotten: &[], tally })
            .map_err(|failed| failed.into_error(&under_way))?;
        after = last;
    }
    if after < loaded.revision {
        return Err(BookError::Damaged {
            what: format!("the store's commits end at revision {after}, and it recorded {}", loaded.revision),
            names: Vec::new(),
            next: next_step(directory),
        });
    }
    drop(fresh);
    // Read back before it is relied on.
    let read = Journal::open(Arc::clone(disk), &under_way, &NoCopy, bounds)?.loaded;
    if read.tally != loaded.tally || read.revision != loaded.revision {
        return Err(BookError::Damaged {
            what: format!(
                "the journal written from the store comes to {} and the store to {}",
                read.tally, loaded.tally
            ),
            names: Vec::new(),
            next: next_step(directory),
        });
    }
    into_place(disk.as_ref(), &under_way, directory)
        .map_err(|cause| BookError::io("move the new journal into", directory, &cause))
}

/// Moves a journal and its marks, written and read back under another directory, to where they belong.
pub(super) fn into_place(disk: &dyn Disk, under_way: &Path, directory: &Path) -> std::io::Result<()> {
    // The marks go first: should the journal not follow, they tell what it must hold, and its origin still holds it.
    for name in mark::NAMES {
        std::fs::rename(under_way.join(name), directory.join(name))?;
    }
    disk.sync_dir(directory)?;
    std::fs::rename(under_way.join(FOLDER), directory.join(FOLDER))?;
    disk.sync_dir(directory)?;
    std::fs::remove_dir_all(under_way)
}
