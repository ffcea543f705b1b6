//! How many calls are let in at once, learnt from how long they wait for their turn.
//!
//! A call that is let in waits until a thread takes it up. When in one short while after the other they waited long, a queue
//! stands, and letting more in only makes all of them wait longer: fewer are let in then, and the rest is told to come
//! back. A burst ends by itself before it counts as a queue. The idea, a queue that stands is shortened and one that passes
//! is left alone, is that of RFC 8289 (controlled delay); the mean is looked at and not the least wait, because the call
//! that came last is often taken up first.

use std::sync::atomic::{AtomicU64, AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use crate::limits::Limits;

/// How long a while is that one judgement is made from.
const WHILE: Duration = Duration::from_millis(20);

/// A while with fewer calls says nothing.
const CALLS: u64 = 8;

/// So many whiles of long waits after each other are a queue that stands: 100 ms, as RFC 8289, section 4.3, suggests.
const STANDS: usize = 5;

/// How many calls may be in at once.
#[derive(Debug)]
pub(crate) struct Pressure {
    epoch: Instant,
    allowed: AtomicUsize,
    /// When the present while ends, in nanoseconds since the epoch.
    ends: AtomicU64,
    /// All waits of the present while together, in nanoseconds.
    waited: AtomicU64,
    seen: AtomicU64,
    /// Whiles of long waits after each other.
    long: AtomicUsize,
    bearable: u64,
    least: usize,
    most: usize,
}

impl Pressure {
    pub(crate) fn new(limits: &Limits) -> Self {
        Self {
            epoch: Instant::now(),
            allowed: AtomicUsize::new(limits.calls),
            ends: AtomicU64::new(0),
            waited: AtomicU64::new(0),
            seen: AtomicU64::new(0),
            long: AtomicUsize::new(0),
            bearable: nanos(limits.queue_wait),
            least: limits.calls_least.min(limits.calls),
            most: limits.calls,
        }
    }

    /// Returns how many calls may be in at once at present.
    pub(crate) fn allowed(&self) -> usize {
        self.allowed.load(Ordering::Relaxed)
    }

    /// Notes that a call was taken up after a wait, while so many were in.
    pub(crate) fn taken_up(&self, since: Instant, now: Instant, running: usize) {
        // One that waited for very long does not speak for all.
        let waited = nanos(now.saturating_duration_since(since)).min(self.bearable.saturating_mul(8));
        self.waited.fetch_add(waited, Ordering::Relaxed);
        self.seen.fetch_add(1, Ordering::Relaxed);
        let at = nanos(now.saturating_duration_since(self.epoch));
        let ends = self.ends.load(Ordering::Relaxed);
        if at < ends {
            return;
        }
        // One of those that see the while end judges it.
        let next = at + nanos(WHILE);
        if self.ends.compare_exchange(ends, next, Ordering::Relaxed, Ordering::Relaxed).is_err() {
            return;
        }
        let waited = self.waited.swap(0, Ordering::Relaxed);
        let seen = self.seen.swap(0, Ordering::Relaxed);
        let allowed = self.allowed();
        let long = if seen >= CALLS && waited / seen > self.bearable {
            self.long.fetch_add(1, Ordering::Relaxed) + 1
        } else {
            self.long.store(0, Ordering::Relaxed);
            0
        };
        let now_allowed = if long >= STANDS {
            (running.min(allowed) * 3 / 4).max(self.least)
        } else {
            (allowed + allowed / 8 + 1).min(self.most)
        };
        self.allowed.store(now_allowed, Ordering::Relaxed);
    }
}

fn nanos(duration: Duration) -> u64 {
    u64::try_from(duration.as_nanos()).unwrap_or(u64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pressure() -> Pressure {
        let limits =
            Limits { calls: 1_000, calls_least: 16, queue_wait: Duration::from_millis(5), ..Limits::default() };
        Pressure::new(&limits)
    }

    /// Lets whiles pass in which every call waits as long as told, in milliseconds.
    fn pass(pressure: &Pressure, start: &mut Instant, whiles: u32, running: usize, waits_ms: &[u64]) {
        for _ in 0..whiles {
            *start += WHILE + Duration::from_millis(1);
            for wait in waits_ms.iter().cycle().take(20) {
                pressure.taken_up(*start - Duration::from_millis(*wait), *start, running);
            }
        }
    }

    #[test]
    fn a_standing_queue_lets_fewer_in_and_its_end_lets_them_in_again() {
        let pressure = pressure();
        let mut now = pressure.epoch + Duration::from_secs(1);
        pass(&pressure, &mut now, 3, 900, &[30]);
        assert_eq!(pressure.allowed(), 1_000, "three whiles are a burst");
        pass(&pressure, &mut now, 5, 900, &[30, 0, 30]);
        assert!(pressure.allowed() < 700, "{}", pressure.allowed());
        for running in [400, 200, 100, 50, 20, 16, 16, 16] {
            pass(&pressure, &mut now, 1, running, &[20]);
        }
        assert_eq!(pressure.allowed(), 16, "never fewer than the least");
        pass(&pressure, &mut now, 60, 16, &[0]);
        assert_eq!(pressure.allowed(), 1_000);
    }

    #[test]
    fn a_burst_and_a_lonely_slow_call_are_left_alone() {
        let pressure = pressure();
        let mut now = pressure.epoch + Duration::from_secs(1);
        for _ in 0..20 {
            pass(&pressure, &mut now, 4, 900, &[40, 30, 1]);
            pass(&pressure, &mut now, 1, 900, &[2]);
        }
        assert_eq!(pressure.allowed(), 1_000, "each queue passed");
        for _ in 0..20 {
            now += WHILE * 2;
            pressure.taken_up(now - Duration::from_secs(1), now, 1);
        }
        assert_eq!(pressure.allowed(), 1_000, "a few calls on a busy machine are no queue");
    }
}
