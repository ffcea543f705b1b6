//! What goes into the book and what comes out of it.

use std::borrow::Borrow;
use std::fmt;
use std::ops::Deref;
use std::sync::Arc;
use std::time::{SystemTime, UNIX_EPOCH};

use bytes::Bytes;

use super::error::{BookError, Quota};
use super::tally::Tally;

/// The book's counter at a commit: dense, starting at 1; 0 is the empty book.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Revision(u64);

impl Revision {
    /// The empty book.
    pub const ZERO: Self = Self(0);

    /// Takes the counter. Values beyond `i64::MAX` cannot cross the wire and are never reached by counting.
    #[must_use]
    pub const fn new(counter: u64) -> Self {
        Self(counter)
    }

    /// Reads the counter.
    #[must_use]
    pub const fn get(self) -> u64 {
        self.0
    }

    /// The revision after this one.
    #[must_use]
    pub const fn next(self) -> Self {
        Self(self.0.saturating_add(1))
    }

    /// The counter as the wire carries it.
    #[must_use]
    pub fn to_wire(self) -> i64 {
        i64::try_from(self.0).unwrap_or(i64::MAX)
    }

    /// The counter from the wire; `None` for a negative one.
    #[must_use]
    pub fn from_wire(counter: i64) -> Option<Self> {
        u64::try_from(counter).ok().map(Self)
    }
}

impl fmt::Display for Revision {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// A point in time: microseconds since the Unix epoch.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moment(i64);

impl Moment {
    /// Takes microseconds since the Unix epoch.
    #[must_use]
    pub const fn from_micros(micros: i64) -> Self {
        Self(micros)
    }

    /// Reads the system's clock.
    #[must_use]
    pub fn now() -> Self {
        let micros = match SystemTime::now().duration_since(UNIX_EPOCH) {
            Ok(since) => i64::try_from(since.as_micros()).unwrap_or(i64::MAX),
            Err(before) => i64::try_from(before.duration().as_micros()).map_or(i64::MIN, |micros| -micros),
        };
        Self(micros)
    }

    /// Reads microseconds since the Unix epoch.
    #[must_use]
    pub const fn micros(self) -> i64 {
        self.0
    }

    /// Whole seconds since the epoch and the nanoseconds after them (0 to 999,999,000).
    #[must_use]
    pub fn seconds_and_nanos(self) -> (i64, i32) {
        let nanos = i32::try_from(self.0.rem_euclid(1_000_000) * 1_000).unwrap_or(0);
        (self.0.div_euclid(1_000_000), nanos)
    }
}

/// An entry's name, such as `vehicles/van-7`: 1 to 128 visible ASCII characters. Cloning it is cheap.
///
/// Which kinds and ids exist is the business of the layer above; the book only needs a name to be short, comparable byte
/// by byte and printable.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Name(Arc<str>);

impl Name {
    /// The longest name in bytes.
    pub const MAX_BYTES: usize = 128;

    /// Takes a name.
    ///
    /// # Errors
    /// [`BookError::TooLarge`] beyond 128 bytes, [`BookError::Unnameable`] when it is empty or holds anything but visible
    /// ASCII.
    pub fn new(text: &str) -> Result<Self, BookError> {
        if text.len() > Self::MAX_BYTES {
            return Err(BookError::TooLarge { quota: Quota::NameBytes, found: text.len(), limit: Self::MAX_BYTES });
        }
        if text.is_empty() || !text.bytes().all(|byte| byte.is_ascii_graphic()) {
            return Err(BookError::Unnameable { name: text.into() });
        }
        Ok(Self(text.into()))
    }

    /// Reads the name.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl Deref for Name {
    type Target = str;

    fn deref(&self) -> &str {
        &self.0
    }
}

impl Borrow<str> for Name {
    fn borrow(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl TryFrom<&str> for Name {
    type Error = BookError;

    fn try_from(text: &str) -> Result<Self, BookError> {
        Self::new(text)
    }
}

/// One entry as it stood at a revision.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Record {
    /// Its name.
    pub name: Name,
    /// Its value, as the layer above encoded it.
    pub value: Bytes,
    /// The revision that gave it this value; the etag is derived from it.
    pub revision: Revision,
    /// When that was.
    pub time: Moment,
    /// Who did it.
    pub author: Arc<str>,
    /// The revision that put the name into the book; a removed and re-entered name starts anew.
    pub created: Revision,
    /// When that was.
    pub created_time: Moment,
}

/// What a commit does to one name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Change {
    /// Enters or replaces.
    Put {
        /// The entry.
        name: Name,
        /// Its new value.
        value: Bytes,
    },
    /// Takes the entry out. This implies [`Expect::Present`]: removing what is not there is a failed precondition.
    Remove {
        /// The entry.
        name: Name,
    },
}

impl Change {
    /// The name it changes.
    #[must_use]
    pub fn name(&self) -> &Name {
        match self {
            Self::Put { name, .. } | Self::Remove { name } => name,
        }
    }

    /// The bytes it brings.
    #[must_use]
    pub fn bytes(&self) -> usize {
        match self {
            Self::Put { name, value } => name.len() + value.len(),
            Self::Remove { name } => name.len(),
        }
    }
}

/// What must hold of a name for the commit to take effect.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Expect {
    /// Anything (`etag = "*"` on a put).
    Any,
    /// It is not in the book.
    Absent,
    /// It is in the book, at whatever revision.
    Present,
    /// It is in the book and was last changed by this revision.
    At(Revision),
}

impl Expect {
    /// Whether a name last changed at `current` (`None`: not in the book) is as expected.
    #[must_use]
    pub fn holds(self, current: Option<Revision>) -> bool {
        match self {
            Self::Any => true,
            Self::Absent => current.is_none(),
            Self::Present => current.is_some(),
            Self::At(revision) => current == Some(revision),
        }
    }
}

/// A name and what must hold of it. It need not be among the names the commit changes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Precondition {
    /// The entry.
    pub name: Name,
    /// What must hold.
    pub expect: Expect,
}

/// A request id, the digest of what was asked, and what it is to be answered for as long as it is remembered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Request {
    /// The caller's id.
    pub id: Arc<str>,
    /// Digest of the content asked for: the same id with another digest is refused.
    pub digest: [u8; 32],
    /// The answer, but for the revision and the time, which are not known before the commit and are kept beside it.
    pub answer: Bytes,
}

/// Changes that take effect together.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Commit {
    /// All must hold just before.
    pub preconditions: Vec<Precondition>,
    /// All are made, each name at most once.
    pub changes: Vec<Change>,
    /// The request it answers.
    pub request: Option<Request>,
    /// Who makes it.
    pub author: Arc<str>,
    /// When it is made.
    pub time: Moment,
}

/// What a commit came to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Committed {
    /// The revision it was given; of a replay, the revision of the first time.
    pub revision: Revision,
    /// The time it was given; of a replay, that of the first time.
    pub time: Moment,
    /// Set when the request id had been answered before: nothing was changed now, and this is the first answer.
    pub replayed: Option<Bytes>,
}

/// What a request id was answered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StoredAnswer {
    /// The digest of what was asked.
    pub digest: [u8; 32],
    /// The answer.
    pub answer: Bytes,
    /// The revision of its effect.
    pub revision: Revision,
    /// The time of its effect.
    pub time: Moment,
}

/// What a past commit did to one name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// The entry.
    pub name: Name,
    /// The revision it had before; `None` when it was not in the book.
    pub previous: Option<Revision>,
    /// What it became; `None` when it was removed.
    pub record: Option<Arc<Record>>,
}

/// A commit as the book remembers it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PastCommit {
    /// Its revision.
    pub revision: Revision,
    /// When it was made.
    pub time: Moment,
    /// Who made it.
    pub author: Arc<str>,
    /// What it did, in the order it was handed in.
    pub lines: Vec<Line>,
    /// The request it answered.
    pub request: Option<Request>,
}

impl PastCommit {
    /// About how many bytes of memory or disk it takes.
    #[must_use]
    pub fn bytes(&self) -> usize {
        let lines: usize = self
            .lines
            .iter()
            .map(|line| 2 * line.name.len() + line.record.as_ref().map_or(0, |record| record.value.len()) + 96)
            .sum();
        let request = self.request.as_ref().map_or(0, |request| request.id.len() + request.answer.len() + 64);
        lines + request + self.author.len() + 64
    }
}

/// One step in an entry's history.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Past {
    /// The commit that made it.
    pub revision: Revision,
    /// When.
    pub time: Moment,
    /// Who.
    pub author: Arc<str>,
    /// What the entry became; `None` when it was removed.
    pub record: Option<Arc<Record>>,
}

/// What reading everything on disk again came to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Verified {
    /// The newest revision when it began.
    pub revision: Revision,
    /// The entries at that revision.
    pub tally: Tally,
    /// The digest over all commits through that revision: whoever keeps it elsewhere can tell any later tampering.
    pub chain: [u8; 32],
    /// Bytes of the journal that were read.
    pub bytes: u64,
    /// Through which revision the second copy holds everything.
    pub second_copy: Revision,
    /// What is not as it was written; empty when all is.
    pub damages: Vec<Damage>,
    /// What was damaged and had been mended before, since the book was opened.
    pub mended: Vec<String>,
    /// Why the book takes no more writes, if it does not.
    pub refused: Option<Arc<str>>,
}

/// Something on disk that is not as it was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Damage {
    /// What, and where.
    pub what: String,
    /// The entries it touches, where that can be told.
    pub names: Vec<String>,
    /// Whether it was mended.
    pub mended: bool,
    /// What to type.
    pub next: String,
}

/// A chain that somebody kept elsewhere: what an earlier [`Verified`] said of its revision.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Known {
    /// The revision.
    pub revision: Revision,
    /// The digest over all commits through it.
    pub chain: [u8; 32],
}
