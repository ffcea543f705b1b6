//! The scrub: everything on disk is read again every so often, compared, and mended or refused.

use std::time::{Duration, Instant};

use crate::book::{BookError, Known, Moment, Revision, Verified};
use crate::service::State;

/// The last time everything on disk was read again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LastVerify {
    /// When it began.
    pub time: Moment,
    /// How long it took.
    pub took: Duration,
    /// The book's revision when it began.
    pub revision: Revision,
    /// What was not as it was written.
    pub damages: usize,
    /// How much of that was mended.
    pub mended: usize,
}

/// Reads everything on disk again, one at a time, and remembers what came of it.
pub(crate) async fn verify(state: &State, known: Option<Known>) -> Result<Verified, BookError> {
    let _one_at_a_time = state.upkeep.verifying.lock().await;
    let (time, begun) = (Moment::now(), Instant::now());
    let verified = state.book().verify(known).await?;
    for damage in &verified.damages {
        let (what, next, names) = (&damage.what, &damage.next, damage.names.len());
        if damage.mended {
            tracing::warn!(what, next, names, "damage was found and mended");
        } else {
            tracing::error!(what, next, names, "damage was found");
        }
    }
    let mended = verified.damages.iter().filter(|damage| damage.mended).count();
    let (took, revision, damages) = (begun.elapsed(), verified.revision, verified.damages.len());
    tracing::info!(revision = revision.get(), took_ms = took.as_millis(), damages, mended, "the book was read again");
    *state.upkeep.last_verify.write() = Some(LastVerify { time, took, revision, damages, mended });
    Ok(verified)
}

/// Scrubs, for as long as it is polled.
pub(crate) async fn run(state: &State) {
    loop {
        tokio::time::sleep(state.upkeep.scrub_every).await;
        match verify(state, None).await {
            Ok(_) => {}
            Err(BookError::Closed) => return std::future::pending().await,
            Err(error) => tracing::error!(%error, "the book could not be read again"),
        }
    }
}
