//! Backups: written into the folder that the settings name, and believed only after a book was restored from them.
//!
//! The file stays on the service's side. A caller names neither its place nor its name, so no call writes anywhere but
//! there; what was verified is the very file that is kept; and no role takes the whole history out over the network.
//!
//! Tokens stay in a backup as records of who was given which role, without their hashes: nobody gets in with a token from
//! before a restore, and whoever holds the file learns nothing that lets him in. An admin issues new ones, beside the
//! restored directory: `baybook token issue --data DIRECTORY`.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::{Duration, SystemTime};

use bytes::Bytes;
use serde::{Deserialize, Serialize};
use tokio::runtime::Handle;

use crate::access::token::Token;
use crate::access::{Principal, TOKENS, audit};
use crate::api::hex;
use crate::book::backup::{self, Contents};
use crate::book::catalog::timestamp;
use crate::book::{Book, BookError, Bounds, Name};
use crate::error::ApiError;
use crate::service::State;
use crate::upkeep::old::{Shelf, Written};

/// How backups are named once they are believed.
const SUFFIX: &str = ".backup";
/// What is added to the name until then, and to that of the book restored from it.
const PART: &str = ".part";
const REHEARSAL: &str = ".rehearsal";
/// After this, what was left unfinished belongs to nobody any more.
const STALE: Duration = Duration::from_secs(24 * 3_600);

/// A backup that was verified.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LastBackup {
    /// When it was begun, in microseconds since the Unix epoch.
    pub time: i64,
    /// The book's revision that it holds.
    pub revision: u64,
    /// Entries in it, the service's own records among them.
    pub entries: u64,
    /// The digest over them, in hexadecimal.
    pub digest: String,
    /// The digest over all commits, in hexadecimal.
    pub chain: String,
    /// The file.
    pub file: String,
    /// Its size.
    pub bytes: u64,
}

/// What the book remembers of backups.
#[derive(Debug, Serialize, Deserialize)]
pub(crate) struct Remembered {
    /// The last one.
    #[serde(flatten)]
    pub(crate) last: LastBackup,
    /// All that there are; what an earlier release wrote does not tell.
    pub(crate) shelf: Option<Shelf>,
    /// Old ones that are taken away once this is written.
    #[serde(default)]
    pub(crate) going: Vec<String>,
}

/// Reads what an earlier run remembered.
pub(super) fn remembered(book: &dyn Book) -> Option<Remembered> {
    serde_json::from_slice(&book.get(audit::BACKUPS)?.value).ok()
}

/// Takes a backup, whether or not the caller waits for it.
pub(crate) async fn take(state: Arc<State>, who: Principal) -> Result<LastBackup, ApiError> {
    let work = tokio::spawn(async move {
        let _one_at_a_time = Arc::clone(&state.upkeep.backing_up).lock_owned().await;
        let (book, folder) = (Arc::clone(state.book()), state.upkeep.backup_dir.clone());
        let (wait, bounds) = (Handle::current(), state.limits.bounds());
        let taken = tokio::task::spawn_blocking(move || verified(book.as_ref(), &folder, &wait, &bounds)).await;
        let taken = taken.map_err(|_| ApiError::Fault { why: "a backup broke off".to_owned() })?;
        let taken = taken.inspect_err(|error| tracing::error!(%error, "a backup failed"))?;
        tracing::info!(file = taken.file, revision = taken.revision, bytes = taken.bytes, "a backup was verified");
        *state.upkeep.last_backup.write() = Some(taken.clone());
        let noted = note(&state, &who, &taken).await;
        if let Err(error) = noted {
            // A full disk is the moment when a backup is needed most. Nothing is taken away that is not written down.
            tracing::warn!(%error, "the backup stands, but the book could not take note of it");
            return Ok(taken);
        }
        let tidied = Arc::clone(&state);
        let tidied = tokio::task::spawn_blocking(move || {
            // One backup at a time: nobody else changes what is on the shelf, and whoever asks does not wait for a disk.
            let mut shelf = tidied.upkeep.shelf.lock().clone();
            let gone = shelf.take_away(tidied.upkeep.keep_backups);
            *tidied.upkeep.shelf.lock() = shelf;
            tidied.upkeep.taken_away.fetch_add(gone as u64, Ordering::Relaxed);
        });
        if tidied.await.is_err() {
            tracing::error!("old backups could not be looked through");
        }
        Ok(taken)
    });
    work.await.unwrap_or_else(|_| Err(ApiError::Fault { why: "a backup broke off".to_owned() }))
}

/// Writes down what was taken, what else there is, and what is going to be taken away.
async fn note(state: &Arc<State>, who: &Principal, taken: &LastBackup) -> Result<(), BookError> {
    let (own, newest) = (Arc::clone(state), Written::of(taken));
    let put = tokio::task::spawn_blocking(move || {
        let mut shelf = own.upkeep.shelf.lock().clone();
        shelf.folder = fs::canonicalize(&own.upkeep.backup_dir).unwrap_or_else(|_| own.upkeep.backup_dir.clone());
        shelf.put(newest);
        let going = shelf.beyond(own.upkeep.keep_backups).iter().map(|one| one.name.clone()).collect();
        *own.upkeep.shelf.lock() = shelf.clone();
        (shelf, going)
    });
    // With nothing known of what there is, nothing is written of it either, and nothing goes.
    let (shelf, going) = put.await.map_or((None, Vec::new()), |(shelf, going)| (Some(shelf), going));
    let remembered = Remembered { last: taken.clone(), shelf, going };
    audit::write_backup(state, who, &remembered).await
}

/// Writes a backup, restores a book from it beside it, compares, and only then gives the file its name.
fn verified(book: &dyn Book, folder: &Path, wait: &Handle, bounds: &Bounds) -> Result<LastBackup, BookError> {
    let io = |doing, path: &Path, cause: &io::Error| BookError::io(doing, path, cause);
    fs::create_dir_all(folder).map_err(|cause| io("create", folder, &cause))?;
    clear_stale(folder);
    let file = free_name(book, folder);
    let (part, rehearsal) = (with(&file, PART), with(&file, REHEARSAL));
    let made = made(book, &part, &rehearsal, wait, bounds);
    let cleared = if rehearsal.exists() { fs::remove_dir_all(&rehearsal) } else { Ok(()) };
    let contents = match made {
        Ok(contents) => contents,
        Err(error) => {
            let written = fs::metadata(&part).map_or(0, |part| part.len());
            drop(fs::remove_file(&part));
            return Err(match error {
                // The file and the book restored from it are about as large as one another.
                BookError::Io { full: true, .. } => BookError::Full {
                    needed_bytes: usize::try_from(written).unwrap_or(usize::MAX).saturating_mul(2).max(1 << 20),
                },
                other => other,
            });
        }
    };
    if let Err(cause) = cleared {
        tracing::warn!(%cause, path = %rehearsal.display(), "the rehearsed restore could not be cleared away");
    }
    let named = fs::rename(&part, &file).and_then(|()| fs::File::open(folder)?.sync_all());
    named.map_err(|cause| io("name", &file, &cause))?;
    let shown = fs::canonicalize(&file).unwrap_or(file);
    Ok(LastBackup {
        time: contents.time.micros(),
        revision: contents.revision.get(),
        entries: contents.tally.entries(),
        digest: format!("{:032x}", contents.tally.digest()),
        chain: hex(&contents.chain),
        file: shown.display().to_string(),
        bytes: contents.bytes,
    })
}

fn made(book: &dyn Book, part: &Path, rehearsal: &Path, wait: &Handle, bounds: &Bounds) -> Result<Contents, BookError> {
    let written = backup::write(book, wait, &without_secret, part)?;
    let restored = backup::rebuild(part, rehearsal, bounds)?;
    if restored == written {
        return Ok(written);
    }
    Err(BookError::Damaged {
        what: format!(
            "the book restored from the backup comes to {} at revision {}, and the book to {} at revision {}",
            restored.tally, restored.revision, written.tally, written.revision
        ),
        names: Vec::new(),
        next: "baybook book verify, then take another backup".to_owned(),
    })
}

/// What a backup keeps of the service's own records: of tokens everything but their hashes.
fn without_secret(name: &Name, value: &Bytes) -> Option<Bytes> {
    if !name.starts_with(TOKENS) {
        return None;
    }
    // One that cannot be read is not kept either: nobody can tell what is in it.
    let struck = serde_json::from_slice::<Token>(value).ok().and_then(|token| serde_json::to_vec(&token.struck()).ok());
    Some(struck.unwrap_or_default().into())
}

/// A name that tells revision and time, and that no file has yet.
fn free_name(book: &dyn Book, folder: &Path) -> PathBuf {
    let time = serde_json::to_string(&timestamp(crate::book::Moment::now())).unwrap_or_default();
    let time: String = time.chars().filter(char::is_ascii_alphanumeric).take(15).collect();
    let stem = format!("baybook-{time}Z-r{}", book.revision());
    let names = (1_u32..).map(|number| match number {
        1 => format!("{stem}{SUFFIX}"),
        more => format!("{stem}-{more}{SUFFIX}"),
    });
    let mut paths = names.map(|name| folder.join(name));
    let free = paths.find(|path| !path.exists() && !with(path, PART).exists());
    free.unwrap_or_else(|| folder.join(format!("{stem}{SUFFIX}")))
}

fn with(file: &Path, end: &str) -> PathBuf {
    let mut name = file.as_os_str().to_owned();
    name.push(end);
    PathBuf::from(name)
}

/// Clears away what runs that were ended in the middle have left.
fn clear_stale(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        let ours = [PART, REHEARSAL].iter().any(|end| name.ends_with(&format!("{SUFFIX}{end}")));
        let old = entry
            .metadata()
            .and_then(|about| about.modified())
            .is_ok_and(|changed| SystemTime::now().duration_since(changed).is_ok_and(|age| age > STALE));
        if ours && old {
            let path = entry.path();
            let gone = if path.is_dir() { fs::remove_dir_all(&path) } else { fs::remove_file(&path) };
            if let Err(cause) = gone {
                tracing::warn!(%cause, path = %path.display(), "what an unfinished backup left could not be cleared away");
            }
        }
    }
}
