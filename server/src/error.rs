//! What goes wrong with a call, and what that means on the wire: one exhaustive match, and no status code anywhere else.

use std::collections::HashMap;
use std::fmt::{self, Write as _};
use std::time::Duration;

use baybook_core::error::CalcError;
use baybook_proto::v1 as pb;
use tonic::{Code, Status};
use tonic_types::{ErrorDetails, FieldViolation, PreconditionViolation, StatusExt as _};

use crate::book::{BookError, Revision};
use crate::limits::{ERROR_DETAILS_BYTES, ERROR_MESSAGE_BYTES};
use crate::wire::{Violation, WireError};

/// The domain of every `ErrorInfo`.
pub const DOMAIN: &str = "baybook.v1";

/// One entry whose etag or absence was not as the call expected.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Conflict {
    /// It is in the book, and the call meant to create it.
    Exists {
        /// Its name.
        name: String,
        /// Its current etag.
        etag: String,
    },
    /// It has changed since the caller read it.
    Stale {
        /// Its name.
        name: String,
        /// Its current etag.
        etag: String,
        /// The fields that changed meanwhile.
        changed: Vec<String>,
    },
    /// It is not in the book, or no longer.
    Missing {
        /// Its name.
        name: String,
        /// The nearest names.
        nearest: Vec<String>,
    },
}

/// Why a call has no answer. Exhaustive on purpose: a new variant must say what it means on the wire.
#[derive(Debug, Clone, PartialEq)]
pub enum ApiError {
    /// Fields are missing, unreadable or out of range.
    BadFields(Vec<Violation>),
    /// A name is not in the book.
    NotFound {
        /// The name.
        name: String,
        /// The field that names it; empty when the call itself does.
        field: String,
        /// The nearest names.
        nearest: Vec<String>,
    },
    /// Entries were not as the call expected. Never empty.
    Conflicts(Vec<Conflict>),
    /// The request id was used before with other content.
    RequestReused {
        /// The id.
        request_id: String,
    },
    /// The formula is not published for these inputs together.
    NotCalculable {
        /// The input to blame.
        field: String,
        /// The input it contradicts.
        other: String,
        /// Why they cannot occur together.
        why: String,
    },
    /// Something is over its limit.
    OverLimit {
        /// The limit's name.
        limit: &'static str,
        /// Its value.
        max: u64,
        /// What it was; 0 when that was not counted to the end.
        is: u64,
        /// What it counts.
        unit: &'static str,
    },
    /// The revision is too old to be read.
    RevisionGone {
        /// The revision asked for.
        revision: i64,
        /// The oldest that can be read.
        oldest: i64,
    },
    /// The revision has not been reached.
    RevisionAhead {
        /// The revision asked for.
        min_revision: i64,
        /// The newest.
        revision: i64,
    },
    /// Entries still refer to this one.
    InUse {
        /// Its name.
        name: String,
        /// The entries that refer to it, by name order.
        used_by: Vec<String>,
    },
    /// Too much at once.
    Overloaded {
        /// How many calls or streams are running.
        in_flight: usize,
        /// When to try again.
        retry_after: Duration,
    },
    /// The call or its stream took too long.
    Deadline {
        /// How long it was given.
        limit: Duration,
        /// What it was doing.
        doing: &'static str,
    },
    /// The book takes no writes.
    ReadOnly {
        /// Why.
        why: String,
    },
    /// The disk is full.
    DiskFull {
        /// How much room is needed.
        needed_bytes: usize,
    },
    /// Stored data is damaged.
    Damaged {
        /// What was found.
        what: String,
        /// The entries it touches.
        names: Vec<String>,
        /// What to do.
        next: String,
    },
    /// The service is stopping.
    Stopping {
        /// How long running calls are given.
        drain: Duration,
    },
    /// There is no such method.
    NoSuchMethod {
        /// The path that was called.
        method: String,
    },
    /// A write failed half way.
    Uncertain {
        /// What went wrong; for the log.
        why: String,
    },
    /// A fault of ours.
    Fault {
        /// What went wrong; for the log, never for the caller.
        why: String,
    },
}

/// What one error means on the wire.
struct Meaning {
    code: Code,
    reason: pb::ErrorReason,
    metadata: Vec<(&'static str, String)>,
}

impl ApiError {
    /// Blames one field.
    #[must_use]
    pub fn field(field: impl Into<String>, description: impl Into<String>) -> Self {
        Self::BadFields(vec![Violation { field: field.into(), description: description.into() }])
    }

    /// Returns what it means on the wire: the only place that knows.
    fn meaning(&self, call: &str) -> Meaning {
        use pb::ErrorReason as R;
        let (code, reason, metadata) = match self {
            Self::BadFields(violations) => {
                let first = violations.first().map(|violation| violation.field.clone()).unwrap_or_default();
                let metadata = vec![("count", violations.len().to_string()), ("first_field", first)];
                (Code::InvalidArgument, R::BadFields, metadata)
            }
            Self::NotFound { name, nearest, .. } => {
                (Code::NotFound, R::EntryNotFound, vec![("name", name.clone()), ("nearest", nearest.join(", "))])
            }
            Self::Conflicts(conflicts) => match conflicts.first() {
                Some(Conflict::Exists { name, etag }) => {
                    (Code::AlreadyExists, R::EntryExists, vec![("name", name.clone()), ("etag", etag.clone())])
                }
                Some(Conflict::Stale { name, etag, changed }) => {
                    let metadata =
                        vec![("name", name.clone()), ("etag", etag.clone()), ("changed", changed.join(", "))];
                    (Code::Aborted, R::StaleEtag, metadata)
                }
                Some(Conflict::Missing { name, nearest }) => {
                    (Code::NotFound, R::EntryNotFound, vec![("name", name.clone()), ("nearest", nearest.join(", "))])
                }
                None => (Code::Internal, R::Fault, vec![("request_id", call.to_owned())]),
            },
            Self::RequestReused { request_id } => {
                (Code::InvalidArgument, R::RequestIdReused, vec![("request_id", request_id.clone())])
            }
            Self::NotCalculable { field, other, .. } => {
                (Code::InvalidArgument, R::NotCalculable, vec![("field", field.clone()), ("other", other.clone())])
            }
            Self::OverLimit { limit, max, is, .. } => {
                let metadata = vec![("limit", (*limit).to_owned()), ("max", max.to_string()), ("is", is.to_string())];
                (Code::InvalidArgument, R::OverLimit, metadata)
            }
            Self::RevisionGone { revision, oldest } => {
                let metadata = vec![("revision", revision.to_string()), ("oldest", oldest.to_string())];
                (Code::OutOfRange, R::RevisionGone, metadata)
            }
            Self::RevisionAhead { min_revision, revision } => {
                let metadata = vec![("min_revision", min_revision.to_string()), ("revision", revision.to_string())];
                (Code::OutOfRange, R::RevisionAhead, metadata)
            }
            Self::InUse { name, used_by } => {
                let metadata = vec![("name", name.clone()), ("used_by", shortened(used_by))];
                (Code::FailedPrecondition, R::EntryInUse, metadata)
            }
            Self::Overloaded { in_flight, .. } => {
                (Code::ResourceExhausted, R::Overloaded, vec![("in_flight", in_flight.to_string())])
            }
            Self::Deadline { limit, .. } => {
                (Code::DeadlineExceeded, R::Deadline, vec![("limit_ms", limit.as_millis().to_string())])
            }
            Self::ReadOnly { why } => (Code::FailedPrecondition, R::ReadOnly, vec![("why", why.clone())]),
            Self::DiskFull { needed_bytes } => {
                (Code::ResourceExhausted, R::DiskFull, vec![("needed_bytes", needed_bytes.to_string())])
            }
            Self::Damaged { names, next, .. } => {
                (Code::DataLoss, R::Damaged, vec![("names", shortened(names)), ("next", next.clone())])
            }
            Self::Stopping { drain } => {
                (Code::Unavailable, R::Stopping, vec![("drain_ms", drain.as_millis().to_string())])
            }
            Self::NoSuchMethod { method } => {
                (Code::Unimplemented, R::NoSuchMethod, vec![("method", method.clone())])
            }
            Self::Uncertain { .. } | Self::Fault { .. } => {
                (Code::Internal, R::Fault, vec![("request_id", call.to_owned())])
            }
        };
        Meaning { code, reason, metadata }
    }

    /// Returns whether it is our failure rather than the caller's: the log then says so.
    #[must_use]
    pub const fn is_ours(&self) -> bool {
        match self {
            Self::ReadOnly { .. }
            | Self::DiskFull { .. }
            | Self::Damaged { .. }
            | Self::Uncertain { .. }
            | Self::Fault { .. } => true,
            Self::BadFields(_)
            | Self::NotFound { .. }
            | Self::Conflicts(_)
            | Self::RequestReused { .. }
            | Self::NotCalculable { .. }
            | Self::OverLimit { .. }
            | Self::RevisionGone { .. }
            | Self::RevisionAhead { .. }
            | Self::InUse { .. }
            | Self::Overloaded { .. }
            | Self::Deadline { .. }
            | Self::Stopping { .. }
            | Self::NoSuchMethod { .. } => false,
        }
    }

    /// Returns the reply to the call of that id.
    #[cold]
    #[must_use]
    pub fn status(&self, call: &str) -> Status {
        let Meaning { code, reason, metadata } = self.meaning(call);
        if self.is_ours() {
            tracing::error!(request_id = call, error = ?self, "a call failed by our own fault");
        }
        let metadata: HashMap<String, String> =
            metadata.into_iter().map(|(key, value)| (key.to_owned(), cut(&value, ERROR_MESSAGE_BYTES))).collect();
        let mut details = ErrorDetails::with_error_info(reason_name(reason), DOMAIN, metadata);
        details.set_request_info(call, "");
        match self {
            Self::BadFields(violations) => {
                details.set_bad_request(fitting(violations.iter().map(|it| (&it.field, &it.description))));
            }
            Self::NotFound { name, field, .. } => {
                details.set_resource_info("Entry", name, "", "is not in the book");
                if !field.is_empty() {
                    details.add_bad_request_violation(field, format!("{name} is not in the book"));
                }
            }
            Self::Conflicts(conflicts) => {
                let mut room = ERROR_DETAILS_BYTES;
                let all = conflicts.iter().map(|it| PreconditionViolation::new(it.word(), it.name(), it.to_string()));
                let listed = all.take_while(|it| {
                    let takes = it.subject.len() + it.description.len() + it.r#type.len() + 16;
                    room.checked_sub(takes).inspect(|left| room = *left).is_some()
                });
                details.set_precondition_failure(listed.collect::<Vec<_>>());
            }
            Self::Overloaded { retry_after, .. } => {
                details.set_retry_info(Some(*retry_after));
            }
            Self::Stopping { drain } => {
                details.set_retry_info(Some(*drain));
            }
            Self::NotCalculable { field, why, .. } => {
                details.add_bad_request_violation(field, why);
            }
            Self::RequestReused { .. }
            | Self::OverLimit { .. }
            | Self::RevisionGone { .. }
            | Self::RevisionAhead { .. }
            | Self::InUse { .. }
            | Self::Deadline { .. }
            | Self::ReadOnly { .. }
            | Self::DiskFull { .. }
            | Self::Damaged { .. }
            | Self::NoSuchMethod { .. }
            | Self::Uncertain { .. }
            | Self::Fault { .. } => {}
        }
        Status::with_error_details(code, cut(&self.to_string(), ERROR_MESSAGE_BYTES), details)
    }

    /// Returns why one item of a batch could not be taken.
    #[cold]
    #[must_use]
    pub fn item(&self, call: &str) -> pb::ItemError {
        let violations = match self {
            Self::BadFields(violations) => violations.as_slice(),
            _ => &[],
        };
        let violations = violations
            .iter()
            .map(|it| pb::FieldViolation { field: it.field.clone(), description: it.description.clone() })
            .collect();
        let nearest_names = match self {
            Self::NotFound { nearest, .. } => nearest.clone(),
            _ => Vec::new(),
        };
        let reason = self.meaning(call).reason.into();
        pb::ItemError { reason, message: cut(&self.to_string(), ERROR_MESSAGE_BYTES), violations, nearest_names }
    }

    /// Reads what the transport refused before a handler saw it, or while it read a stream.
    #[cold]
    #[must_use]
    pub fn from_transport(status: &Status, method: &str) -> Self {
        let text = status.message();
        let numbers = || text.split(|c: char| !c.is_ascii_digit()).filter_map(|it| it.parse::<u64>().ok());
        match status.code() {
            Code::OutOfRange if text.contains("length too large") => {
                let limit = if text.contains("encoded message") && !text.contains("decoded") {
                    "send_bytes"
                } else {
                    "receive_bytes"
                };
                let is = numbers().next().unwrap_or(0);
                Self::OverLimit { limit, max: numbers().nth(1).unwrap_or(0), is, unit: "bytes in one message" }
            }
            Code::Unimplemented if text.is_empty() => Self::NoSuchMethod { method: method.to_owned() },
            Code::Internal if text.contains("decode") || text.contains("Missing request message") => {
                let what = format!("is not a readable request of {method}: {text}; compare it with the .proto files");
                Self::field("request", what)
            }
            Code::Unimplemented => Self::field("grpc-encoding", format!("{text}; send it without compression")),
            Code::Cancelled | Code::DeadlineExceeded => {
                Self::Deadline { limit: Duration::ZERO, doing: "the caller waited" }
            }
            _ => Self::Fault { why: format!("{:?}: {text}", status.code()) },
        }
    }
}

impl Conflict {
    /// Returns the name of the entry.
    #[must_use]
    pub fn name(&self) -> &str {
        let (Self::Exists { name, .. } | Self::Stale { name, .. } | Self::Missing { name, .. }) = self;
        name
    }

    /// Returns its kind in a `PreconditionFailure`.
    const fn word(&self) -> &'static str {
        match self {
            Self::Exists { .. } => "ENTRY_EXISTS",
            Self::Stale { .. } => "STALE_ETAG",
            Self::Missing { .. } => "ENTRY_NOT_FOUND",
        }
    }
}

impl fmt::Display for Conflict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Exists { name, etag } => {
                write!(f, "{name} is in the book already; to replace it send its etag, {etag}, or *")
            }
            Self::Stale { name, etag, changed } => {
                write!(f, "{name} has changed")?;
                if !changed.is_empty() {
                    write!(f, " in {}", changed.join(", "))?;
                }
                write!(f, " since it was read; read it again, make the change on it, and send its etag, {etag}")
            }
            Self::Missing { name, nearest } => not_found(f, name, nearest),
        }
    }
}

impl fmt::Display for ApiError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::BadFields(violations) => listed(f, violations.iter().map(|it| (&it.field, &it.description))),
            Self::NotFound { name, field, nearest } => {
                if !field.is_empty() {
                    write!(f, "{field}: ")?;
                }
                not_found(f, name, nearest)
            }
            Self::Conflicts(conflicts) => {
                let mut gap = "";
                for conflict in conflicts {
                    write!(f, "{gap}{conflict}")?;
                    gap = "; ";
                }
                Ok(())
            }
            Self::RequestReused { request_id } => write!(
                f,
                "request_id {request_id} was used before with other content; send the same content again for the same \
                 answer, or a new id for a new change"
            ),
            Self::NotCalculable { field, other, why } => write!(f, "{field} contradicts {other}: {why}"),
            Self::OverLimit { limit, max, is: 0, unit } => {
                write!(f, "more than {max} {unit}; the limit {limit} is {max}: send less at a time")
            }
            Self::OverLimit { limit, max, is, unit } => {
                write!(f, "{is} {unit}; the limit {limit} is {max}: send less at a time")
            }
            Self::RevisionGone { revision, oldest } => write!(
                f,
                "revision {revision} is too old to be read, the oldest is {oldest}; start again from the first page"
            ),
            Self::RevisionAhead { min_revision, revision } => write!(
                f,
                "revision {min_revision} has not been reached, the newest is {revision}; ask again later, or with \
                 min_revision 0 for the newest"
            ),
            Self::InUse { name, used_by } => {
                write!(f, "{name} is referred to by {}; change or remove that first", shortened(used_by))
            }
            Self::Overloaded { in_flight, retry_after } => write!(
                f,
                "{in_flight} calls are running, which is as many as the service takes; try again in {} ms",
                retry_after.as_millis()
            ),
            Self::Deadline { limit, doing } if limit.is_zero() => write!(f, "took longer than {doing}"),
            Self::Deadline { limit, doing } => {
                write!(f, "{doing} took longer than {} ms; ask for less, or allow more time", limit.as_millis())
            }
            Self::ReadOnly { why } => {
                write!(f, "the book takes no writes until the service is started again: {why}; reads go on")
            }
            Self::DiskFull { needed_bytes } => {
                write!(f, "the disk is full; make at least {needed_bytes} bytes of room and try again; reads go on")
            }
            Self::Damaged { what, names, next } if names.is_empty() => write!(f, "{what}; {next}"),
            Self::Damaged { what, names, next } => write!(f, "{what} (touches {}); {next}", shortened(names)),
            Self::Stopping { drain } => {
                write!(f, "the service is stopping; try again in {} s", drain.as_secs().max(1))
            }
            Self::NoSuchMethod { method } => {
                write!(f, "{method} is not a method of this service; reflection lists those that are")
            }
            Self::Uncertain { .. } => f.write_str(
                "the write failed half way and may or may not have taken effect; once the service was started again, \
                 send it again with the same request_id, or read the entry",
            ),
            Self::Fault { .. } => f.write_str("a fault of the service; the log has it under this call's request id"),
        }
    }
}

impl std::error::Error for ApiError {}

impl From<WireError> for ApiError {
    /// Unreadable fields go before names that are not in the book; without them, the first such name leads.
    fn from(error: WireError) -> Self {
        let WireError { mut violations, not_found } = error;
        if violations.is_empty() && not_found.len() == 1 {
            let mut not_found = not_found;
            if let Some(one) = not_found.pop() {
                return Self::NotFound { name: one.name, field: one.field, nearest: one.nearest };
            }
            return Self::BadFields(violations);
        }
        violations.extend(not_found.into_iter().map(|one| {
            let mut description = format!("names {}, which is not in the book", one.name);
            if !one.nearest.is_empty() {
                description.push_str("; nearest: ");
                description.push_str(&one.nearest.join(", "));
            }
            Violation { field: one.field, description }
        }));
        Self::BadFields(violations)
    }
}

impl From<CalcError> for ApiError {
    fn from(error: CalcError) -> Self {
        match error {
            CalcError::Conflict { field, other, why } => {
                Self::NotCalculable { field: field.to_owned(), other: other.to_owned(), why: why.to_owned() }
            }
            CalcError::OutOfRange { field, .. }
            | CalcError::NoSuchRow { field, .. }
            | CalcError::Missing { field, .. }
            | CalcError::Unreadable { field, .. } => Self::field(field, error.to_string()),
        }
    }
}

impl From<BookError> for ApiError {
    /// Preconditions are told apart by the one who set them; here they only name what is wrong.
    fn from(error: BookError) -> Self {
        match error {
            BookError::Precondition { unmet } => Self::Conflicts(
                unmet
                    .into_iter()
                    .map(|one| {
                        let name = one.name.as_str().to_owned();
                        match (one.current, one.expect) {
                            (None, _) => Conflict::Missing { name, nearest: Vec::new() },
                            (Some(current), crate::book::Expect::Absent) => {
                                Conflict::Exists { name, etag: etag(current) }
                            }
                            (Some(current), _) => Conflict::Stale { name, etag: etag(current), changed: Vec::new() },
                        }
                    })
                    .collect(),
            ),
            BookError::RequestReused { id, .. } => Self::RequestReused { request_id: id.as_ref().to_owned() },
            BookError::Repeated { name } => Self::field("entries", format!("hold {name} more than once: send it once")),
            BookError::TooLarge { quota, found, limit } => {
                let (limit, max) = (quota_name(quota), limit as u64);
                Self::OverLimit { limit, max, is: found as u64, unit: quota_unit(quota) }
            }
            BookError::Unnameable { .. } => Self::field("name", error.to_string()),
            BookError::RevisionGone { asked, oldest, .. } => {
                Self::RevisionGone { revision: asked.to_wire(), oldest: oldest.to_wire() }
            }
            BookError::RevisionAhead { asked, newest } => {
                Self::RevisionAhead { min_revision: asked.to_wire(), revision: newest.to_wire() }
            }
            BookError::Damaged { what, names, next } => Self::Damaged { what, names, next },
            BookError::Full { needed_bytes } => Self::DiskFull { needed_bytes },
            BookError::ReadOnly { why } => Self::ReadOnly { why: why.as_ref().to_owned() },
            BookError::Closed => Self::ReadOnly { why: "the book was closed".to_owned() },
            BookError::Uncertain { why } => Self::Uncertain { why: why.as_ref().to_owned() },
            BookError::InUse { .. } | BookError::Io { .. } => Self::Fault { why: error.to_string() },
        }
    }
}

/// Returns the etag of an entry that was last changed at a revision.
#[must_use]
pub fn etag(revision: Revision) -> String {
    format!("r{revision}")
}

/// Returns a reason as `ErrorInfo` carries it.
#[must_use]
pub fn reason_name(reason: pb::ErrorReason) -> &'static str {
    let name = reason.as_str_name();
    name.strip_prefix("ERROR_REASON_").unwrap_or(name)
}

const fn quota_name(quota: crate::book::Quota) -> &'static str {
    use crate::book::Quota;
    match quota {
        Quota::NameBytes => "name_bytes",
        Quota::ValueBytes => "entry_bytes",
        Quota::CommitChanges => "batch_entries",
        Quota::CommitPreconditions => "batch_references",
        Quota::CommitBytes => "batch_bytes",
        Quota::RequestIdBytes => "request_id_chars",
        Quota::AuthorBytes => "author_chars",
    }
}

const fn quota_unit(quota: crate::book::Quota) -> &'static str {
    use crate::book::Quota;
    match quota {
        Quota::NameBytes => "bytes in a name",
        Quota::ValueBytes => "bytes in an entry",
        Quota::CommitChanges => "entries in a batch",
        Quota::CommitPreconditions => "references in a batch",
        Quota::CommitBytes => "bytes in a batch",
        Quota::RequestIdBytes => "bytes in a request id",
        Quota::AuthorBytes => "bytes in an author's name",
    }
}

fn not_found(f: &mut fmt::Formatter<'_>, name: &str, nearest: &[String]) -> fmt::Result {
    write!(f, "{name} is not in the book")?;
    if nearest.is_empty() {
        f.write_str("; list the entries to see what is")
    } else {
        write!(f, "; nearest: {}", nearest.join(", "))
    }
}

fn listed<'a>(f: &mut fmt::Formatter<'_>, fields: impl Iterator<Item = (&'a String, &'a String)>) -> fmt::Result {
    let mut gap = "";
    for (field, description) in fields {
        write!(f, "{gap}{field} {description}")?;
        gap = "; ";
    }
    Ok(())
}

/// As many fields at fault as fit into the headers of a reply; the last one then says how many more there are.
fn fitting<'a>(fields: impl ExactSizeIterator<Item = (&'a String, &'a String)>) -> Vec<FieldViolation> {
    let (all, mut room) = (fields.len(), ERROR_DETAILS_BYTES);
    let mut list = Vec::new();
    for (field, description) in fields {
        let (field, description) = (cut(field, ERROR_MESSAGE_BYTES / 2), cut(description, ERROR_MESSAGE_BYTES));
        let Some(left) = room.checked_sub(field.len() + description.len() + 8) else {
            let more = format!("and {} more fields; mend these and send it again", all - list.len());
            list.push(FieldViolation::new("", more));
            break;
        };
        room = left;
        list.push(FieldViolation::new(field, description));
    }
    list
}

fn shortened(names: &[String]) -> String {
    const SHOWN: usize = 10;
    let mut text = names.iter().take(SHOWN).map(String::as_str).collect::<Vec<_>>().join(", ");
    if names.len() > SHOWN {
        // Writing to a string cannot fail.
        drop(write!(text, " and {} more", names.len() - SHOWN));
    }
    text
}

/// Cuts a text to at most so many bytes once it is percent-encoded for a header, at a character.
fn cut(text: &str, most: usize) -> String {
    let mut room = most;
    for (at, character) in text.char_indices() {
        let takes = if character.is_ascii_graphic() || character == ' ' { 1 } else { 3 * character.len_utf8() };
        match room.checked_sub(takes) {
            Some(left) => room = left,
            None => return format!("{}…", &text[..at]),
        }
    }
    text.to_owned()
}

#[cfg(test)]
#[path = "error_tests.rs"]
mod tests;
