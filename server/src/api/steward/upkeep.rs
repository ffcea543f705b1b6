//! Backups, and reading the book on disk again.

use std::sync::Arc;

use baybook_proto::v1 as pb;

use crate::access::Principal;
use crate::api::page::hex;
use crate::book::catalog::timestamp;
use crate::book::{Damage, Known, Moment, Revision, Standing};
use crate::error::ApiError;
use crate::service::State;
use crate::upkeep::backups::{self, LastBackup};
use crate::upkeep::scrub::{self, LastVerify};
use crate::wire::Fields;

/// Names that a reply lists of one damage.
const NAMES: usize = 1_000;

pub(super) async fn backup(state: &Arc<State>, who: Principal) -> Result<pb::BackupResponse, ApiError> {
    let taken = backups::take(Arc::clone(state), who).await?;
    Ok(pb::BackupResponse { revision: whole(taken.revision), backup: Some(note(&taken)) })
}

/// What is told of a backup.
pub(super) fn note(backup: &LastBackup) -> pb::BackupNote {
    pb::BackupNote {
        time: Some(timestamp(Moment::from_micros(backup.time))),
        revision: whole(backup.revision),
        entry_count: whole(backup.entries),
        digest: backup.digest.clone(),
        chain: backup.chain.clone(),
        file: backup.file.clone(),
        size_bytes: whole(backup.bytes),
    }
}

/// What is told of a reading.
pub(super) fn verify_note(last: &LastVerify) -> pb::VerifyNote {
    pb::VerifyNote {
        time: Some(timestamp(last.time)),
        revision: last.revision.to_wire(),
        damage_count: whole(last.damages as u64),
        mended_count: whole(last.mended as u64),
        took_ms: Some(last.took.as_secs_f64() * 1_000.0),
    }
}

pub(super) async fn verify(state: &State, wire: pb::VerifyBookRequest) -> Result<pb::VerifyBookResponse, ApiError> {
    let verified = scrub::verify(state, known(&wire)?).await?;
    let damages = verified.damages.into_iter().map(|Damage { what, mut names, mended, next }| {
        names.truncate(NAMES);
        pb::Damage { what, names, mended, next }
    });
    Ok(pb::VerifyBookResponse {
        revision: verified.revision.to_wire(),
        entry_count: whole(verified.tally.entries()),
        digest: format!("{:032x}", verified.tally.digest()),
        chain: hex(&verified.chain),
        journal_bytes: whole(verified.bytes),
        second_copy_revision: verified.second_copy.to_wire(),
        damages: damages.collect(),
        earlier_mends: verified.mended,
        writable: state.book().standing() == Standing::Writable,
    })
}

/// Reads the chain that the caller kept.
fn known(wire: &pb::VerifyBookRequest) -> Result<Option<Known>, ApiError> {
    let mut fields = Fields::default();
    let revision = Revision::from_wire(wire.known_revision);
    if revision.is_none() {
        fields.reject("known_revision", format!("must be 0 or more, is {}", wire.known_revision));
    }
    let chain = chain(&wire.known_chain);
    match (wire.known_revision, wire.known_chain.as_str()) {
        (0, "") => return Ok(None),
        (0, _) => fields.reject("known_revision", "is required with known_chain: the revision it was given for"),
        (_, "") => fields.reject("known_chain", "is required with known_revision: 64 hexadecimal digits"),
        _ if chain.is_none() => {
            fields.reject("known_chain", "must be 64 hexadecimal digits, as an earlier reply gave them")
        }
        _ => {}
    }
    let (revision, chain) = fields.finish(revision.zip(chain))?;
    Ok(Some(Known { revision, chain }))
}

fn chain(text: &str) -> Option<[u8; 32]> {
    let mut chain = [0; 32];
    if text.len() != 64 || !text.is_ascii() {
        return None;
    }
    for (at, byte) in chain.iter_mut().enumerate() {
        *byte = u8::from_str_radix(text.get(2 * at..2 * at + 2)?, 16).ok()?;
    }
    Some(chain)
}

fn whole(count: u64) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}
