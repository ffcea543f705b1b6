//! Who did what, read from the commits themselves.

use baybook_proto::v1 as pb;

use crate::access::audit::{BACKUPS, DENIALS, Denied, EXPORTS, Export};
use crate::access::token::Token;
use crate::access::{OWN, TOKENS};
use crate::book::catalog::timestamp;
use crate::book::{Moment, PastCommit, Revision};
use crate::error::ApiError;
use crate::service::State;
use crate::upkeep::backups::Remembered;

pub(super) async fn list(state: &State, wire: &pb::ListAuditRequest) -> Result<pb::ListAuditResponse, ApiError> {
    let size = crate::api::page::size(wire.page_size, &state.limits)?;
    let Some(after) = Revision::from_wire(wire.after_revision) else {
        return Err(ApiError::field("after_revision", format!("must be 0 or more, is {}", wire.after_revision)));
    };
    // From the beginning is from where there is something to tell.
    let horizon = state.book().horizon().revision;
    let after = if after == Revision::ZERO { horizon } else { after };
    let commits = state.book().changes_since(after, size).await?;
    let next = commits.last().map_or(after, |commit| commit.revision);
    Ok(pb::ListAuditResponse {
        records: commits.iter().map(|commit| record(commit)).collect(),
        next_after_revision: next.to_wire(),
        revision: state.catalog.revision().to_wire(),
        horizon_revision: horizon.to_wire(),
    })
}

fn record(commit: &PastCommit) -> pb::AuditRecord {
    let mut record = pb::AuditRecord {
        revision: commit.revision.to_wire(),
        time: Some(timestamp(commit.time)),
        author: commit.author.as_ref().to_owned(),
        kind: pb::AuditKind::Change.into(),
        ..Default::default()
    };
    for line in &commit.lines {
        let name = line.name.as_str();
        match &line.record {
            Some(kept) if name.starts_with(OWN) => own(&mut record, name, &kept.value),
            Some(_) => record.put_names.push(name.to_owned()),
            None => record.removed_names.push(name.to_owned()),
        }
    }
    record
}

/// Tells what one of the service's own records says.
fn own(record: &mut pb::AuditRecord, name: &str, value: &[u8]) {
    const UNREADABLE: &str = "the record cannot be read";
    if name.starts_with(TOKENS) {
        record.kind = pb::AuditKind::Token.into();
        record.note = match serde_json::from_slice::<Token>(value) {
            Ok(token) if token.revoked.is_some() => format!("revoked: {token}"),
            Ok(token) => format!("issued: {token}"),
            Err(_) => UNREADABLE.to_owned(),
        };
    } else if name == DENIALS {
        record.kind = pb::AuditKind::Denial.into();
        match serde_json::from_slice::<Denied>(value) {
            Ok(denied) => {
                record.more_denials_count = i64::try_from(denied.more).unwrap_or(i64::MAX);
                record.denials = denied
                    .denials
                    .into_iter()
                    .map(|denial| pb::Denial {
                        time: Some(timestamp(Moment::from_micros(denial.time))),
                        call: denial.call,
                        who: denial.who,
                        peer: denial.peer,
                        why: denial.why,
                    })
                    .collect();
            }
            Err(_) => record.note = UNREADABLE.to_owned(),
        }
    } else if name == EXPORTS {
        record.kind = pb::AuditKind::Export.into();
        record.note = match serde_json::from_slice::<Export>(value) {
            Ok(export) if export.folder.is_empty() => format!("the whole book at revision {}", export.revision),
            Ok(export) => format!("{} at revision {}", export.folder, export.revision),
            Err(_) => UNREADABLE.to_owned(),
        };
    } else if name == BACKUPS {
        record.kind = pb::AuditKind::Backup.into();
        record.note = match serde_json::from_slice::<Remembered>(value) {
            Ok(Remembered { last, going, .. }) if going.is_empty() => {
                format!("{} at revision {}", last.file, last.revision)
            }
            Ok(Remembered { last, going, .. }) => {
                let going = going.join(", ");
                format!("{} at revision {}; old ones go: {going}", last.file, last.revision)
            }
            Err(_) => UNREADABLE.to_owned(),
        };
    }
}
