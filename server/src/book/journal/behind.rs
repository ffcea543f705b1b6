//! Writing the second copy behind the journal, by a thread of its own.
//!
//! It is some seconds late, and later while much is being written: what it is for is a journal that was damaged, not a
//! crash. Nothing that goes wrong with it stops the book: a store that is damaged is put aside and written anew from the
//! journal, one that has no room waits for it. One thing does: a store that knows of later commits than the journal shows
//! that the journal has lost some, and the book then takes no more writes.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use parking_lot::{Condvar, Mutex};
use tracing::{error, info, warn};

use super::Journal;
use super::mirror::{ASIDE, Mirror};
use super::recover::next_step;
use crate::book::Revision;
use crate::book::engine::Span;
use crate::book::error::BookError;
use crate::book::record::{Moment, Verified};

/// While commits keep coming it waits this long, or for so many of them.
const LATE: Duration = Duration::from_secs(30);
const LATE_COMMITS: u64 = 100_000;
/// How long a store that failed for want of room is left alone.
const WAIT_FOR_ROOM: Duration = Duration::from_secs(10);
/// How long closing the book waits for the second copy.
const CLOSING: Duration = Duration::from_secs(5);
/// How much is taken in at once.
const PORTION: usize = 512;
const PORTION_BYTES: usize = 4 << 20;

#[derive(Debug, Default)]
struct Signal {
    stop: Mutex<bool>,
    anew: AtomicBool,
    woken: Condvar,
}

/// The thread that writes the second copy and syncs the marks.
#[derive(Debug)]
pub(super) struct MirrorThread {
    signal: Arc<Signal>,
    mirror: Arc<Mirror>,
    thread: JoinHandle<()>,
}

impl MirrorThread {
    pub(super) fn start(journal: Arc<Journal>, mirror: Arc<Mirror>, pause: Duration) -> std::io::Result<Self> {
        let signal = Arc::new(Signal::default());
        let mut behind = Behind::new(journal, Arc::clone(&mirror));
        let own = Arc::clone(&signal);
        let thread =
            std::thread::Builder::new().name("book-second-copy".to_owned()).spawn(move || behind.run(&own, pause))?;
        Ok(Self { signal, mirror, thread })
    }

    /// The second copy itself.
    pub(super) fn mirror(&self) -> &Arc<Mirror> {
        &self.mirror
    }

    /// Compares the second copy with the journal, which must be whole itself; one that differs is begun anew.
    pub(super) fn verify(&self, journal: &Journal, verified: &mut Verified) {
        let turn = self.mirror.turn.lock();
        let before = verified.damages.len();
        super::verify::second_copy(journal, &self.mirror, verified);
        drop(turn);
        if verified.damages.len() > before {
            self.signal.anew.store(true, Ordering::Relaxed);
        }
    }

    /// Catches up if that is soon done, and ends.
    pub(super) fn end(self) {
        *self.signal.stop.lock() = true;
        self.signal.woken.notify_all();
        if self.thread.join().is_err() {
            error!("the second copy's thread failed");
        }
        self.mirror.close();
    }
}

/// How far the second copy is behind, and what is done about it.
pub(super) struct Behind {
    journal: Arc<Journal>,
    mirror: Arc<Mirror>,
    /// Through which revision it holds everything; `None` before that is known.
    reached: Option<Revision>,
    settled: bool,
    since: Instant,
    seen: Revision,
    not_before: Option<Instant>,
    given_up: bool,
}

impl Behind {
    pub(super) fn new(journal: Arc<Journal>, mirror: Arc<Mirror>) -> Self {
        Self {
            journal,
            mirror,
            reached: None,
            settled: false,
            since: Instant::now(),
            seen: Revision::ZERO,
            not_before: None,
            given_up: false,
        }
    }

    fn run(&mut self, signal: &Signal, pause: Duration) {
        loop {
            let mut stop = signal.stop.lock();
            if !*stop {
                signal.woken.wait_for(&mut stop, pause);
            }
            let stopping = *stop;
            drop(stop);
            if let Err(cause) = self.journal.sync_mark() {
                self.journal.refuse(&format!("cannot sync the high-water mark: {cause}"));
            }
            if signal.anew.swap(false, Ordering::Relaxed) {
                self.anew("it differed from the journal when it was verified");
            }
            if stopping {
                self.not_before = None;
                self.catch_up(Instant::now() + CLOSING, &|| false);
                return;
            }
            if self.is_due() {
                self.catch_up(Instant::now() + LATE, &|| *signal.stop.lock());
            }
            self.let_go();
        }
    }

    fn is_due(&mut self) -> bool {
        let newest = self.journal.high_water().revision;
        let quiet = newest == self.seen;
        self.seen = newest;
        if self.not_before.is_some_and(|moment| Instant::now() < moment) {
            return false;
        }
        let reached = self.reached.unwrap_or_default();
        let late = newest.get().saturating_sub(reached.get()) >= LATE_COMMITS || self.since.elapsed() >= LATE;
        let behind = self.reached.is_none() || newest > reached || !self.settled;
        behind && (quiet || late)
    }

    /// Takes in what it has not yet.
    pub(super) fn catch_up(&mut self, until: Instant, stopped: &dyn Fn() -> bool) {
        if self.given_up {
            return;
        }
        self.since = Instant::now();
        let mirror = Arc::clone(&self.mirror);
        let _turn = mirror.turn.lock();
        match self.portions(until, stopped) {
            Ok(()) => {}
            Err(BookError::Io { full: true, .. }) => {
                warn!("there is no room for the second copy; it waits");
                self.mirror.close();
                self.reached = None;
                self.not_before = Some(Instant::now() + WAIT_FOR_ROOM);
            }
            Err(why) => {
                if self.is_without_room() {
                    warn!(%why, "the second copy cannot be written, and the disk is full; it waits");
                    self.mirror.close();
                    self.reached = None;
                    self.not_before = Some(Instant::now() + WAIT_FOR_ROOM);
                    return;
                }
                if self.mirror.is_hastened() {
                    warn!(%why, "the second copy did not catch up before the book was closed; the next start looks after it");
                    return;
                }
                warn!(%why, "the second copy is damaged: it is put aside and written anew");
                self.anew(&why.to_string());
            }
        }
    }

    /// Lets go of old commits in both copies.
    fn let_go(&mut self) {
        let copied = self.reached.filter(|_| !self.given_up).unwrap_or_default();
        if self.not_before.is_some_and(|moment| Instant::now() < moment) {
            return;
        }
        let mirror = Arc::clone(&self.mirror);
        let _turn = mirror.turn.lock();
        match self.journal.let_go(Moment::now(), copied) {
            Ok(None) => {}
            Ok(Some(horizon)) => {
                info!(revision = horizon.revision.get(), "commits through this revision were let go of");
                if let Err(why) = mirror.forget(horizon.revision) {
                    warn!(%why, "the second copy still holds what the journal let go of");
                }
            }
            Err(why) => {
                warn!(%why, "old commits could not be let go of; they stay for now");
                self.not_before = Some(Instant::now() + WAIT_FOR_ROOM);
            }
        }
    }

    /// Begins the second copy from nothing.
    pub(super) fn anew(&mut self, why: &str) {
        self.reached = None;
        if self.given_up {
            return;
        }
        if self.mirror.is_without_answer() {
            error!(
                "the second copy's store does not answer; the book goes on without one until the service is started again"
            );
            self.given_up = true;
            return;
        }
        self.mirror
            .mended
            .lock()
            .push(format!("the second copy was put into {ASIDE}/ and begun anew from the journal: {why}"));
        if let Err(cause) = self.mirror.put_aside() {
            error!(%cause, "the second copy cannot be put aside; the book goes on without one");
            self.given_up = true;
        }
    }

    /// sled does not always say that room is what it wants.
    fn is_without_room(&self) -> bool {
        let probe = self.mirror.directory.join("room");
        let full =
            matches!(std::fs::write(&probe, vec![0x5a; 256 << 10]), Err(cause) if crate::book::disk::is_full(&cause));
        // Left behind, it would merely be written over the next time.
        drop(std::fs::remove_file(&probe));
        full
    }

    fn portions(&mut self, until: Instant, stopped: &dyn Fn() -> bool) -> Result<(), BookError> {
        let target = self.journal.high_water();
        let mut reached = match self.reached {
            Some(reached) => reached,
            None => self.adopt()?,
        };
        if self.given_up {
            return Ok(());
        }
        if reached == Revision::ZERO && self.journal.base().revision() > Revision::ZERO {
            let base = self.mirror.take_base(&self.journal)?;
            reached = base.revision();
            self.reached = Some(reached);
            self.settled = true;
        }
        while reached < target.revision && Instant::now() < until && !stopped() {
            let span = Span { after: reached, through: target.revision, limit: PORTION, bytes: PORTION_BYTES };
            let commits = match self.journal.commits(span) {
                Ok(commits) => commits,
                Err(why) => {
                    error!(%why, "the journal cannot be read; the second copy stays as it is until it is mended");
                    self.not_before = Some(Instant::now() + WAIT_FOR_ROOM);
                    return Ok(());
                }
            };
            let Some(last) = commits.last().map(|last| last.revision) else { break };
            let tally = (last == target.revision).then_some(target.tally);
            self.mirror.take(&commits, tally)?;
            reached = last;
            self.reached = Some(reached);
            self.settled = tally.is_some();
        }
        Ok(())
    }

    /// Finds out how far it had come, and whether it follows this journal.
    fn adopt(&mut self) -> Result<Revision, BookError> {
        let newest = self.journal.high_water().revision;
        let Some(progress) = self.mirror.progress()? else {
            return Err(self.mirror.damaged("the second copy does not say how far it had come"));
        };
        if progress.revision > newest {
            self.journal.refuse(&format!(
                "the second copy holds commits through revision {} and the journal ends at {newest}: the journal, or the whole \
                 directory but the second copy, is older than it was; {}",
                progress.revision,
                next_step(&self.mirror.directory)
            ));
            self.given_up = true;
            return Ok(newest);
        }
        let base = self.journal.base().revision();
        if progress.revision > Revision::ZERO && progress.revision < base {
            return Err(self.mirror.damaged("the second copy ends before the commits that the journal keeps"));
        }
        if progress.revision > base {
            let ours = self.journal.body(progress.revision)?;
            if self.mirror.try_body(progress.revision)?.as_deref() != Some(&ours) {
                return Err(self.mirror.damaged("the second copy's newest commit is not the journal's"));
            }
        }
        if !self.mirror.is_led_by_a_journal()? {
            self.mirror.with(move |store| store.follow(progress))?;
        }
        // Noted only after it was synced: a store that has come less far has lost what it had.
        if let Some(noted) = self.mirror.noted().filter(|noted| *noted > progress.revision) {
            let lost = format!(
                "the second copy had lost its commits after revision {}, through {noted}; they were written again from the \
                 journal",
                progress.revision
            );
            warn!("{lost}");
            self.mirror.mended.lock().push(lost);
        }
        self.mirror.forget(base)?;
        info!(revision = progress.revision.get(), "the second copy follows the journal");
        self.mirror.note(progress.revision);
        self.reached = Some(progress.revision);
        self.settled = progress.tally.is_some();
        Ok(progress.revision)
    }
}
