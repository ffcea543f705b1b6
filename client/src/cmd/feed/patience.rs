//! How long, and how often, a service that is away is tried again.

use std::time::{Duration, Instant};

const FIRST: Duration = Duration::from_millis(200);
const LONGEST: Duration = Duration::from_secs(15);

/// Waits that grow, each of a random part of its length, so that many callers do not come back at the same moment.
pub struct Patience {
    most: Duration,
    /// Since when nothing has been heard.
    since: Option<Instant>,
    tries: u32,
}

impl Patience {
    pub const fn new(most: Duration) -> Self {
        Self { most, since: None, tries: 0 }
    }

    /// The service was there.
    pub const fn renew(&mut self) {
        (self.since, self.tries) = (None, 0);
    }

    /// Returns how long to wait before the next try; nothing when patience is at its end.
    pub fn next(&mut self) -> Option<Duration> {
        let since = *self.since.get_or_insert_with(Instant::now);
        let left = self.most.checked_sub(since.elapsed()).filter(|left| !left.is_zero())?;
        let whole = FIRST.saturating_mul(1 << self.tries.min(10)).min(LONGEST);
        self.tries = self.tries.saturating_add(1);
        Some(part(whole, random()).min(left))
    }

    /// Returns whether the last wait was the first of a row.
    pub const fn is_first(&self) -> bool {
        self.tries == 1
    }
}

/// From half to the whole of a wait.
fn part(whole: Duration, share: u32) -> Duration {
    whole.mul_f64(0.5 + 0.5 * f64::from(share) / f64::from(u32::MAX))
}

fn random() -> u32 {
    // Without randomness the waits are merely whole.
    getrandom::u32().unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn waits_grow_to_a_limit_and_vary() {
        let mut patience = Patience::new(Duration::from_secs(3_600));
        for tries in 0..12 {
            let whole = FIRST.saturating_mul(1 << tries.min(10)).min(LONGEST);
            let wait = patience.next().unwrap();
            assert!(wait >= whole / 2 && wait <= whole, "{tries}: {wait:?} of {whole:?}");
            assert_eq!(patience.is_first(), tries == 0);
        }
        patience.renew();
        assert!(patience.next().unwrap() <= FIRST);
        assert_eq!((part(LONGEST, 0), part(LONGEST, u32::MAX)), (LONGEST / 2, LONGEST));
    }

    #[test]
    fn patience_ends() {
        let mut patience = Patience::new(Duration::from_millis(30));
        assert!(patience.next().unwrap() <= Duration::from_millis(30));
        std::thread::sleep(Duration::from_millis(40));
        assert_eq!(patience.next(), None);
    }
}
