//! Desks, at which long work is done: no more of it at once than the machine has cores, and by threads of their own, which
//! give way to those that serve everybody: whoever is turned away, and whoever asks for health, is told at once.
//!
//! Whoever comes when no desk is free waits in line. A burst is worked off; but when the line has not been empty for a
//! while, waiting on only makes all of them late, and nobody is let to wait long then. That is the idea of RFC 8289
//! (controlled delay): a queue that stands is shortened, one that passes is left alone. Who would wait too long is told so
//! before its request is even read.

use std::num::NonZero;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, AtomicU64, AtomicUsize, Ordering};
use std::sync::{Arc, OnceLock, mpsc};
use std::thread::available_parallelism;
use std::time::{Duration, Instant};

use parking_lot::Mutex;
use tokio::sync::{Semaphore, oneshot};

use crate::layers::panic_text;
use crate::limits::Limits;

/// How long a line may stand before it is shortened: RFC 8289, section 4.3, suggests 100 ms.
const STANDS: Duration = Duration::from_millis(100);

/// How long one may wait at least, in times of what work usually takes: work that takes long by itself is not turned away
/// because a few others stand before it.
const TIMES: u32 = 6;

/// So many in line for each desk are let to wait whatever their work takes.
const FEW: usize = 4;

/// By how much the threads at the desks give way, of the 19 that the system knows. At 4 a desk gets about four tenths of the
/// processor that a busy serving thread gets, and all of it when nobody else wants it: much less, and turning a flood away
/// would leave nothing for those that were let in.
const GIVES_WAY: i32 = 4;

/// Something to do at a desk.
type Job = Box<dyn FnOnce() + Send>;

/// Why work was not done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Undone {
    /// It would have waited too long behind so many others.
    Waiting(usize),
    /// It fell over.
    Fell(String),
}

/// The desks, and who waits for one.
#[derive(Debug)]
pub(crate) struct Desks {
    free: Arc<Semaphore>,
    count: usize,
    /// Where the threads at the desks get their work; they come with the first of it.
    jobs: OnceLock<mpsc::Sender<Job>>,
    gives_way: AtomicBool,
    waiting: AtomicUsize,
    since: Instant,
    /// When a desk was last found free at once, in nanoseconds since the start.
    last_free: AtomicU64,
    /// How long work usually takes at a desk, in nanoseconds.
    usual: Arc<AtomicU64>,
    /// How long one may wait in a line that passes, and in one that stands.
    patience: Duration,
    standing_patience: Duration,
    /// How long one may wait behind a few.
    few_patience: Duration,
}

/// Somebody who waits.
struct InLine<'a>(&'a AtomicUsize);

impl Drop for InLine<'_> {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::Relaxed);
    }
}

impl Desks {
    /// Sets up a desk for each core.
    pub(crate) fn new(limits: &Limits) -> Self {
        Self::of(available_parallelism().map_or(1, NonZero::get), limits)
    }

    fn of(count: usize, limits: &Limits) -> Self {
        Self {
            free: Arc::new(Semaphore::new(count)),
            count,
            jobs: OnceLock::new(),
            gives_way: AtomicBool::new(false),
            waiting: AtomicUsize::new(0),
            since: Instant::now(),
            last_free: AtomicU64::new(0),
            usual: Arc::new(AtomicU64::new(0)),
            patience: limits.desk_wait,
            standing_patience: limits.queue_wait,
            few_patience: limits.deadline_max,
        }
    }

    /// Returns how many wait in line.
    pub(crate) fn waiting(&self) -> usize {
        self.waiting.load(Ordering::Relaxed)
    }

    /// How long one may wait before whom so many stand. A few are waited for whatever they take: that their work takes longer
    /// than it used to is no reason to turn somebody away.
    fn patience(&self, before: usize) -> Duration {
        if before < FEW * self.count {
            return self.few_patience;
        }
        let usual = Duration::from_nanos(self.usual.load(Ordering::Relaxed));
        let busy = nanos(self.since.elapsed()).saturating_sub(self.last_free.load(Ordering::Relaxed));
        let patience = if nanos(STANDS) < busy { self.standing_patience } else { self.patience };
        patience.max(usual * TIMES)
    }

    /// Whether one who comes now would wait too long, as far as can be told from how long work usually takes. So many were
    /// let in before, and are on their way into the line.
    pub(crate) fn overrun(&self, coming: usize) -> bool {
        let before = (self.waiting() + coming).saturating_sub(self.free.available_permits());
        let wait = (before as u64 + 1).saturating_mul(self.usual.load(Ordering::Relaxed)) / self.count as u64;
        nanos(self.patience(before)) < wait
    }

    /// Long work gives way to serving from now on. To be said before the first of it.
    pub(crate) fn give_way(&self) {
        self.gives_way.store(true, Ordering::Relaxed);
    }

    fn jobs(&self) -> &mpsc::Sender<Job> {
        self.jobs.get_or_init(|| {
            let (jobs, taken) = mpsc::channel::<Job>();
            let taken = Arc::new(Mutex::new(taken));
            for number in 0..self.count {
                let (taken, gives_way) = (Arc::clone(&taken), self.gives_way.load(Ordering::Relaxed));
                let desk = std::thread::Builder::new().name(format!("desk-{number}"));
                let desk = desk.spawn(move || {
                    if gives_way {
                        // The system applies it to the thread that asks. One that refuses is served as well as before.
                        let _ = rustix::process::setpriority_process(None, GIVES_WAY);
                    }
                    loop {
                        let job = taken.lock().recv();
                        let Ok(job) = job else { return };
                        job();
                    }
                });
                if let Err(error) = desk {
                    tracing::error!(%error, number, "a desk has nobody");
                }
            }
            jobs
        })
    }

    /// Does some work at a desk. Once it has begun it is done to its end, whether or not anybody waits for it.
    pub(crate) async fn work<T: Send + 'static>(&self, work: impl FnOnce() -> T + Send + 'static) -> Result<T, Undone> {
        let free = Arc::clone(&self.free);
        let desk = match Arc::clone(&free).try_acquire_owned() {
            Ok(desk) => {
                self.last_free.store(nanos(self.since.elapsed()), Ordering::Relaxed);
                desk
            }
            Err(_) => {
                let before = self.waiting.fetch_add(1, Ordering::Relaxed);
                let _in_line = InLine(&self.waiting);
                let since = Instant::now();
                match tokio::time::timeout(self.patience(before), free.acquire_owned()).await {
                    // The line may have come to stand meanwhile: who waited too long for that goes at once, and makes
                    // room for those behind who have not.
                    Ok(Ok(desk)) if since.elapsed() <= self.patience(before) => desk,
                    Ok(_) | Err(_) => return Err(Undone::Waiting(before + 1)),
                }
            }
        };
        let usual = Arc::clone(&self.usual);
        let (tell, told) = oneshot::channel();
        let job = Box::new(move || {
            let _desk = desk;
            let begun = Instant::now();
            let done = catch_unwind(AssertUnwindSafe(work));
            // A mean that forgets: each new time counts for an eighth.
            let (took, before) = (nanos(begun.elapsed()), usual.load(Ordering::Relaxed));
            usual.store(before - before / 8 + took / 8, Ordering::Relaxed);
            // Nobody may wait for it any more.
            drop(tell.send(done));
        });
        let nobody = || Undone::Fell("nobody is at the desk".to_owned());
        self.jobs().send(job).map_err(|_| nobody())?;
        let done = told.await.map_err(|_| nobody())?;
        done.map_err(|panic| Undone::Fell(panic_text(panic.as_ref())))
    }
}

fn nanos(duration: Duration) -> u64 {
    u64::try_from(duration.as_nanos()).unwrap_or(u64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn desks(count: usize) -> Arc<Desks> {
        let limits =
            Limits { desk_wait: Duration::from_secs(20), queue_wait: Duration::from_millis(5), ..Limits::default() };
        Arc::new(Desks::of(count, &limits))
    }

    #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
    async fn no_more_is_done_at_once_than_there_are_desks_and_a_burst_is_worked_off() {
        let desks = desks(2);
        let (now, most) = (Arc::new(AtomicUsize::new(0)), Arc::new(AtomicUsize::new(0)));
        let burst: Vec<_> = (0..8)
            .map(|number| {
                let (desks, now, most) = (Arc::clone(&desks), Arc::clone(&now), Arc::clone(&most));
                tokio::spawn(async move {
                    let work = move || {
                        most.fetch_max(now.fetch_add(1, Ordering::SeqCst) + 1, Ordering::SeqCst);
                        std::thread::sleep(Duration::from_millis(2));
                        now.fetch_sub(1, Ordering::SeqCst);
                        number
                    };
                    desks.work(work).await
                })
            })
            .collect();
        for (number, one) in burst.into_iter().enumerate() {
            assert_eq!(one.await.unwrap(), Ok(number));
        }
        assert_eq!(most.load(Ordering::SeqCst), 2);
        assert_eq!(desks.waiting(), 0);
    }

    #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
    async fn a_line_that_stands_is_turned_away_and_its_end_forgotten() {
        let desks = desks(1);
        let (hold, held) = std::sync::mpsc::channel::<()>();
        let busy = tokio::spawn({
            let desks = Arc::clone(&desks);
            async move { desks.work(move || held.recv().is_ok()).await }
        });
        while desks.free.available_permits() > 0 {
            tokio::time::sleep(Duration::from_millis(1)).await;
        }
        tokio::time::sleep(STANDS + Duration::from_millis(20)).await;
        let few: Vec<_> = (0..FEW)
            .map(|number| {
                let desks = Arc::clone(&desks);
                tokio::spawn(async move { desks.work(move || number).await })
            })
            .collect();
        while desks.waiting() < FEW {
            tokio::time::sleep(Duration::from_millis(1)).await;
        }
        assert_eq!(desks.work(|| FEW).await, Err(Undone::Waiting(FEW + 1)));
        hold.send(()).unwrap();
        assert_eq!(busy.await.unwrap(), Ok(true));
        for (number, one) in few.into_iter().enumerate() {
            assert_eq!(one.await.unwrap(), Ok(number), "a few are let to wait however long it takes");
        }
        assert_eq!(desks.work(|| 7).await, Ok(7));
        assert_eq!(desks.patience(FEW), Duration::from_secs(20), "a free desk ends the line");
    }

    proptest::proptest! {
        /// Whoever is let in waits no longer than is borne, if work takes what it usually takes: counted one by one.
        #[test]
        fn who_is_let_in_waits_no_longer_than_is_borne(count in 1_usize..9, usual_us in 1_u64..100_000, coming in 0_usize..400) {
            let desks = desks(count);
            desks.usual.store(usual_us * 1_000, Ordering::Relaxed);
            desks.last_free.store(0, Ordering::Relaxed);
            let _taken = desks.free.try_acquire_many(u32::try_from(count).unwrap()).unwrap();
            let (mut ends, mut waits) = (vec![usual_us; count], 0);
            for _ in 0..=coming {
                let next = ends.iter_mut().min().unwrap();
                waits = *next;
                *next += usual_us;
            }
            let borne = desks.patience(coming);
            // A desk that is taken is half done in the mean; the count takes it as just begun.
            proptest::prop_assert!(desks.overrun(coming) || waits <= u64::try_from(borne.as_micros()).unwrap() + usual_us);
            proptest::prop_assert!(!desks.overrun(coming) || coming >= FEW * count);
        }
    }

    #[tokio::test]
    async fn work_that_falls_over_gives_its_desk_back() {
        let desks = desks(1);
        let fell = desks.work(|| assert_eq!(1, 2)).await;
        assert!(matches!(fell, Err(Undone::Fell(_))), "{fell:?}");
        assert_eq!(desks.work(|| 1).await, Ok(1));
    }

    #[test]
    fn who_would_wait_too_long_is_known_beforehand() {
        let desks = desks(2);
        desks.usual.store(nanos(Duration::from_millis(1)), Ordering::Relaxed);
        assert!(!desks.overrun(1), "a desk is free");
        let _taken = desks.free.try_acquire_many(2).unwrap();
        assert!(!desks.overrun(0));
        assert!(desks.overrun(1_000_000), "a million of a millisecond each at two desks are 500 s");
        desks.waiting.store(1_000_000, Ordering::Relaxed);
        assert!(desks.overrun(0));
    }
}
