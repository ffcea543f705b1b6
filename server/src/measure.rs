//! What the service measures of itself, and how it is told: OpenMetrics text for whoever collects it.
//!
//! A call costs a microsecond or two, so nothing here takes a lock that a call would wait for: a duration is two additions
//! to counters.

pub(crate) mod calls;
mod text;

use std::sync::OnceLock;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

pub(crate) use text::write;

/// The media type of what [`write`] returns.
pub(crate) const MEDIA_TYPE: &str = "application/openmetrics-text; version=1.0.0; charset=utf-8";

/// Upper ends of the classes of durations, in nanoseconds: 50 µs to 10 s, and one class above.
const CLASSES: [u64; 14] = [
    50_000,
    100_000,
    250_000,
    500_000,
    1_000_000,
    2_500_000,
    5_000_000,
    10_000_000,
    25_000_000,
    50_000_000,
    100_000_000,
    250_000_000,
    1_000_000_000,
    10_000_000_000,
];

/// How long something took, each time it was done.
#[derive(Debug, Default)]
pub struct Timing {
    classes: [AtomicU64; CLASSES.len() + 1],
    nanos: AtomicU64,
}

/// What a [`Timing`] has come to.
#[derive(Debug, Clone, PartialEq)]
pub struct Timed {
    /// All durations together, in seconds.
    pub sum_s: f64,
    /// How many there were.
    pub count: u64,
    /// The upper end of each class in seconds, and how many were in it; the last has no end.
    pub classes: Vec<(f64, u64)>,
}

impl Timing {
    /// Notes one duration.
    pub fn note(&self, took: Duration) {
        let nanos = u64::try_from(took.as_nanos()).unwrap_or(u64::MAX);
        let class = CLASSES.partition_point(|end| *end < nanos);
        self.classes[class].fetch_add(1, Ordering::Relaxed);
        self.nanos.fetch_add(nanos, Ordering::Relaxed);
    }

    /// Returns what it has come to.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "a sum of nanoseconds is exact for 100 days and fine beyond")]
    pub fn read(&self) -> Timed {
        let ends = CLASSES.iter().map(|nanos| *nanos as f64 / 1e9).chain([f64::INFINITY]);
        let classes: Vec<_> =
            ends.zip(&self.classes).map(|(end, count)| (end, count.load(Ordering::Relaxed))).collect();
        let count = classes.iter().map(|(_, count)| count).sum();
        Timed { sum_s: self.nanos.load(Ordering::Relaxed) as f64 / 1e9, count, classes }
    }
}

/// What was turned away because there was too much of it, since the start.
#[derive(Debug, Default)]
pub(crate) struct Shed {
    /// Calls over the limit of calls.
    pub(crate) calls: AtomicU64,
    /// Calls that would have waited too long for their turn.
    pub(crate) waiting: AtomicU64,
    /// Streams over the limit of streams.
    pub(crate) streams: AtomicU64,
    /// Long replies for which there was no room.
    pub(crate) messages: AtomicU64,
}

/// Everything that is counted while the service runs.
#[derive(Debug, Default)]
pub(crate) struct Measures {
    pub(crate) calls: calls::Calls,
    pub(crate) shed: Shed,
    /// Calls that ended by our own fault.
    pub(crate) faults: AtomicU64,
    /// Tells how many lines of the log are lost because nobody read it.
    pub(crate) lost_lines: OnceLock<LostLines>,
}

/// Tells how many lines of the log are lost.
pub(crate) struct LostLines(pub(crate) Box<dyn Fn() -> usize + Send + Sync>);

impl std::fmt::Debug for LostLines {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_tuple("LostLines").field(&(self.0)()).finish()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_duration_falls_into_the_class_that_ends_at_or_above_it() {
        let timing = Timing::default();
        for micros in [50, 51, 1_000, 20_000_000] {
            timing.note(Duration::from_micros(micros));
        }
        let timed = timing.read();
        let filled: Vec<_> = timed.classes.iter().filter(|(_, count)| *count > 0).copied().collect();
        assert_eq!(filled, [(0.000_05, 1), (0.000_1, 1), (0.001, 1), (f64::INFINITY, 1)]);
        assert_eq!(timed.count, 4);
        assert!((timed.sum_s - 20.001_101).abs() < 1e-9, "{}", timed.sum_s);
    }
}
