//! One connection's caller: what it holds of what all share, and how it is told to go.

use std::net::IpAddr;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicI64, AtomicU64, Ordering};
use std::time::{Duration, Instant};

use tokio::sync::Notify;

use crate::commons::{Account, Common};
use crate::limits::Limits;

/// What all callers share.
#[derive(Debug)]
pub(crate) struct Commons {
    /// Calls that are not over, their replies taken.
    pub(crate) calls: Arc<Common>,
    /// Streams whose work is not over.
    pub(crate) streams: Arc<Common>,
    /// Watchers whose streams are not gone.
    pub(crate) watchers: Arc<Common>,
    /// Bytes of long requests that are not whole.
    pub(crate) requests: Arc<Common>,
    /// Bytes of long replies that are not taken.
    pub(crate) replies: Arc<Common>,
}

impl Commons {
    pub(crate) fn new(limits: &Limits) -> Self {
        Self {
            calls: Common::new(limits.calls, CALLS_PART, limits.calls_floor),
            streams: Common::new(limits.streams, STREAMS_PART, 0),
            // Who gathers all changes for a whole shop has many watchers on one connection.
            watchers: Common::new(limits.watchers, WATCHERS_PART, 0),
            requests: Common::new(limits.requests_bytes, BYTES_PART, limits.held_floor_bytes),
            replies: Common::new(limits.replies_bytes, BYTES_PART, limits.held_floor_bytes),
        }
    }
}

/// One connection may have a fifth of the calls that others leave,
const CALLS_PART: usize = 5;
/// a third of the streams,
const STREAMS_PART: usize = 3;
/// half of the watchers,
const WATCHERS_PART: usize = 2;
/// and a third of the bytes, so that a message of the greatest length still finds room beside another one.
const BYTES_PART: usize = 3;

/// How long a connection may be worked on before the others have their turn.
const TURN: Duration = Duration::from_micros(500);

/// The caller of one connection.
#[derive(Debug)]
pub(crate) struct Caller {
    peer: Option<IpAddr>,
    pub(crate) calls: Arc<Account>,
    pub(crate) streams: Arc<Account>,
    pub(crate) watchers: Arc<Account>,
    pub(crate) requests: Arc<Account>,
    pub(crate) replies: Arc<Account>,
    since: Instant,
    /// When its present turn began, and when it was last heard, in nanoseconds since it came.
    turn: AtomicU64,
    heard: AtomicU64,
    /// Whether the call that it is being answered was refused, and whether bytes for it wait until its turn is over.
    refused: AtomicBool,
    holds: AtomicBool,
    ill: AtomicBool,
    /// What it has earned since it was last asked, by its conduct.
    earned: AtomicI64,
    dismissed: Notify,
}

impl Caller {
    pub(crate) fn new(commons: &Commons, peer: Option<IpAddr>) -> Arc<Self> {
        Arc::new(Self {
            peer,
            calls: commons.calls.account(),
            streams: commons.streams.account(),
            // In this process nobody else is there to whom something should be left.
            watchers: if peer.is_some() { commons.watchers.account() } else { commons.watchers.whole_account() },
            requests: commons.requests.account(),
            replies: commons.replies.account(),
            since: Instant::now(),
            turn: AtomicU64::new(0),
            heard: AtomicU64::new(0),
            refused: AtomicBool::new(false),
            holds: AtomicBool::new(false),
            ill: AtomicBool::new(false),
            earned: AtomicI64::new(0),
            dismissed: Notify::new(),
        })
    }

    pub(crate) const fn peer(&self) -> Option<IpAddr> {
        self.peer
    }

    fn now(&self) -> u64 {
        u64::try_from(self.since.elapsed().as_nanos()).unwrap_or(u64::MAX)
    }

    /// Its turn begins.
    pub(crate) fn begin(&self) {
        self.turn.store(self.now(), Ordering::Relaxed);
    }

    /// Whether its turn has lasted long enough.
    pub(crate) fn has_had_its_turn(&self) -> bool {
        let turn = self.now().saturating_sub(self.turn.load(Ordering::Relaxed));
        Duration::from_nanos(turn) >= TURN
    }

    /// The call that it makes is refused. Until the end of its turn nothing goes out then: one writing for each of many
    /// refusals would cost more than they do.
    pub(crate) fn is_refused(&self) {
        self.refused.store(true, Ordering::Relaxed);
        self.holds.store(true, Ordering::Relaxed);
    }

    /// Whether the call that it makes was refused; to be asked once.
    pub(crate) fn was_refused(&self) -> bool {
        self.refused.swap(false, Ordering::Relaxed)
    }

    /// Whether nothing goes out at present.
    pub(crate) fn holds(&self) -> bool {
        self.holds.load(Ordering::Relaxed)
    }

    /// What was held may go out; says whether anything was.
    pub(crate) fn goes_out(&self) -> bool {
        self.holds.swap(false, Ordering::Relaxed)
    }

    /// Something came from it.
    pub(crate) fn is_heard(&self) {
        self.heard.store(self.now(), Ordering::Relaxed);
    }

    /// Its conduct is ill: it is not heard any more.
    pub(crate) fn is_ill(&self) {
        self.ill.store(true, Ordering::Relaxed);
    }

    /// Returns for how long nothing came from it, unless it waits for an answer; without end when it is not heard.
    pub(crate) fn quiet(&self) -> Option<Duration> {
        if self.ill.load(Ordering::Relaxed) {
            return Some(Duration::MAX);
        }
        let quiet = Duration::from_nanos(self.now().saturating_sub(self.heard.load(Ordering::Relaxed)));
        (self.calls.taken() == 0).then_some(quiet)
    }

    /// It has earned something, or lost it.
    pub(crate) fn earn(&self, earned: i64) {
        self.earned.fetch_add(earned, Ordering::Relaxed);
    }

    /// Takes what it has earned.
    pub(crate) fn earned(&self) -> i64 {
        self.earned.swap(0, Ordering::Relaxed)
    }

    /// Closes its connection.
    pub(crate) fn dismiss(&self) {
        self.dismissed.notify_one();
    }

    /// Waits until it is to go. Only its connection waits.
    pub(crate) async fn dismissed(&self) {
        self.dismissed.notified().await;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn who_waits_for_an_answer_is_not_quiet() {
        let caller = Caller::new(&Commons::new(&Limits::default()), None);
        std::thread::sleep(Duration::from_millis(5));
        assert!(caller.quiet().is_some_and(|quiet| quiet >= Duration::from_millis(5)));
        assert!(caller.calls.take(1));
        assert_eq!(caller.quiet(), None);
        caller.calls.give(1);
        assert!(caller.quiet().is_some());
    }

    #[test]
    fn a_turn_ends() {
        let caller = Caller::new(&Commons::new(&Limits::default()), None);
        caller.begin();
        std::thread::sleep(TURN);
        assert!(caller.has_had_its_turn());
    }
}
