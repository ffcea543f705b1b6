//! What an error says to a person: what, where, the limit with its unit, and what to do next.

use std::fmt::{self, Write as _};

use tonic_types::FieldViolation;

use super::{ApiError, Conflict};
use crate::limits::{ERROR_DETAILS_BYTES, ERROR_MESSAGE_BYTES};

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
            Self::CursorGone { cursor, why, oldest, .. } => {
                if cursor.is_empty() {
                    write!(f, "where the stream was {why}")?;
                } else {
                    write!(f, "the cursor {cursor} {why}")?;
                }
                write!(
                    f,
                    "; the oldest cursor is {oldest}, and what happened before it is told no more: begin anew with \
                     snapshot = true and no cursor"
                )
            }
            Self::TooSlow { cursor, limit } => {
                write!(f, "a message was left unread for longer than {} ms; ", limit.as_millis())?;
                if cursor.is_empty() {
                    f.write_str("begin anew, and read faster")
                } else {
                    write!(f, "go on from the last cursor, {cursor}, and read faster")
                }
            }
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
            Self::Unidentified { why } => {
                write!(f, "{why}; send the header `authorization: Bearer TOKEN` with a token of baybook token issue")
            }
            Self::Denied { method, role, roles } if roles.is_empty() => {
                write!(f, "{method} is for no role, and this token's role is {role}")
            }
            Self::Denied { method, role, roles } => write!(
                f,
                "{method} is for {}, and this token's role is {role}; ask an admin for a token of such a role",
                roles.join(", ")
            ),
            Self::Uncertain { .. } => f.write_str(
                "the write failed half way and may or may not have taken effect; once the service was started again, \
                 send it again with the same request_id, or read the entry",
            ),
            Self::Fault { .. } => f.write_str("a fault of the service; the log has it under this call's request id"),
        }
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

pub(super) fn shortened(names: &[String]) -> String {
    const SHOWN: usize = 10;
    let mut text = names.iter().take(SHOWN).map(String::as_str).collect::<Vec<_>>().join(", ");
    if names.len() > SHOWN {
        // Writing to a string cannot fail.
        let _ = write!(text, " and {} more", names.len() - SHOWN);
    }
    text
}

/// As many fields at fault as fit into the headers of a reply; the last one then says how many more there are.
pub(super) fn fitting<'a>(fields: impl ExactSizeIterator<Item = (&'a String, &'a String)>) -> Vec<FieldViolation> {
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

/// Cuts a text to at most so many bytes once it is percent-encoded for a header, at a character.
pub(super) fn cut(text: &str, most: usize) -> String {
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
