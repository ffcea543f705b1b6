//! What goes wrong with a call, and what that means on the wire: one exhaustive match, and no status code anywhere else.

mod conflict;
mod origin;
mod words;

use std::collections::HashMap;
use std::time::Duration;

use baybook_proto::v1 as pb;
use tonic::{Code, Status};
use tonic_types::{ErrorDetails, PreconditionViolation, StatusExt as _};

pub use conflict::Conflict;

use crate::book::Revision;
use crate::limits::{ERROR_DETAILS_BYTES, ERROR_MESSAGE_BYTES};
use crate::wire::Violation;
use words::{cut, fitting, shortened};

/// The domain of every `ErrorInfo`.
pub const DOMAIN: &str = "baybook.v1";

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
    /// The cursor of a watcher is no longer good.
    CursorGone {
        /// The cursor; empty for the place where a stream was.
        cursor: String,
        /// Why it is not.
        why: &'static str,
        /// The oldest one that is.
        oldest: String,
        /// What that stands for.
        oldest_revision: i64,
    },
    /// A watcher does not read what it is told.
    TooSlow {
        /// The last cursor it was told; empty when that was none.
        cursor: String,
        /// How long it may leave a message unread.
        limit: Duration,
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
    /// The caller is not known.
    Unidentified {
        /// Why.
        why: &'static str,
    },
    /// The caller's role may not make this call.
    Denied {
        /// The call.
        method: String,
        /// The caller's role.
        role: &'static str,
        /// The roles that may.
        roles: Vec<String>,
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
            Self::CursorGone { cursor, oldest, oldest_revision, .. } => {
                let oldest = ("oldest", oldest.clone());
                let metadata =
                    vec![("cursor", cursor.clone()), oldest, ("oldest_revision", oldest_revision.to_string())];
                (Code::OutOfRange, R::CursorGone, metadata)
            }
            Self::TooSlow { cursor, limit } => {
                let metadata = vec![("cursor", cursor.clone()), ("limit_ms", limit.as_millis().to_string())];
                (Code::ResourceExhausted, R::TooSlow, metadata)
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
            Self::Unidentified { why } => (Code::Unauthenticated, R::Unidentified, vec![("why", (*why).to_owned())]),
            Self::Denied { method, role, roles } => {
                let metadata =
                    vec![("method", method.clone()), ("role", (*role).to_owned()), ("roles", roles.join(", "))];
                (Code::PermissionDenied, R::Denied, metadata)
            }
            Self::NoSuchMethod { method } => (Code::Unimplemented, R::NoSuchMethod, vec![("method", method.clone())]),
            Self::Uncertain { .. } | Self::Fault { .. } => {
                (Code::Internal, R::Fault, vec![("request_id", call.to_owned())])
            }
        };
        Meaning { code, reason, metadata }
    }

    /// Returns whether it is our failure rather than the caller's: the log then says so.
    #[must_use]
    pub const fn is_ours(&self) -> bool {
        use ApiError::{Damaged, DiskFull, Fault, ReadOnly, Uncertain};
        matches!(self, ReadOnly { .. } | DiskFull { .. } | Damaged { .. } | Uncertain { .. } | Fault { .. })
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
            _ => {}
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
        let own = std::error::Error::source(status).and_then(|source| source.downcast_ref::<Self>());
        if let Some(own) = own {
            return own.clone();
        }
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

/// Returns whether a code, by its number, tells of our own fault.
pub(crate) fn is_fault(code: usize) -> bool {
    [Code::Internal, Code::DataLoss, Code::Unknown].iter().any(|fault| *fault as usize == code)
}

impl std::error::Error for ApiError {}

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

#[cfg(test)]
mod tests;
