//! Every entry at one revision, by name order.

use std::sync::Arc;

use baybook_proto::v1 as pb;
use sha2::{Digest as _, Sha256};

use super::prefix;
use super::read::{reply_bytes, shown_entries};
use crate::access::Principal;
use crate::access::audit::{self, Export};
use crate::api::page::hex;
use crate::api::{Answering, at_least};
use crate::error::ApiError;
use crate::service::State;

/// Bytes after which a message is sent: enough for good speed, and little for each caller who does not read.
const MESSAGE_BYTES: usize = 32 << 10;

/// Entries looked at together.
const PORTION: usize = 256;

pub(super) async fn export(
    state: Arc<State>,
    wire: pb::ExportEntriesRequest,
    answering: Answering<pb::ExportEntriesResponse>,
    who: Principal,
) -> Result<(), ApiError> {
    let prefix = prefix(wire.kind)?;
    let view = state.catalog.view();
    at_least(wire.min_revision, view.revision())?;
    let folder = prefix.trim_end_matches('/').to_owned();
    audit::write_export(&state, &who, &Export { folder, revision: view.revision().get() }).await?;
    let revision = view.revision().to_wire();
    let message = |entries| pb::ExportEntriesResponse { entries, revision, ..Default::default() };
    let (mut digest, mut content) = (Sha256::new(), Sha256::new());
    let (mut waiting, mut bytes) = (Vec::new(), 0);
    let mut after: Option<String> = None;
    loop {
        let (page, more) = view.page(&prefix, after.as_deref(), PORTION);
        after = page.last().map(|shown| shown.record().name.to_string());
        for shown in page {
            let size = reply_bytes(&shown);
            if bytes + size > MESSAGE_BYTES && !waiting.is_empty() {
                answering.send(message(shown_entries(&waiting)?)).await?;
                waiting.clear();
                bytes = 0;
            }
            let record = shown.record();
            digest.update(format!("{} {}\n", record.name, record.revision));
            content.update(format!("{} {}\n", record.name, hex(&Sha256::digest(&record.value))));
            bytes += size;
            waiting.push(shown);
        }
        if !more {
            break;
        }
    }
    let (digest, content_digest) = (hex(&digest.finalize()), hex(&content.finalize()));
    answering.send(pb::ExportEntriesResponse { digest, content_digest, ..message(shown_entries(&waiting)?) }).await
}
