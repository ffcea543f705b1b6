//! Where errors come from: the wire, the calculators, the book.

use baybook_core::error::CalcError;

use super::{ApiError, Conflict, etag};
use crate::book::{BookError, Expect, Quota};
use crate::wire::{Violation, WireError};

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
                            (Some(current), Expect::Absent) => Conflict::Exists { name, etag: etag(current) },
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

const fn quota_name(quota: Quota) -> &'static str {
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

const fn quota_unit(quota: Quota) -> &'static str {
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
