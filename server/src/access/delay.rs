//! Slows down whoever tries tokens.
//!
//! A refused caller waits before it hears so, twice as long each time, whichever connection it uses; others of the same
//! address that show a good token do not wait.

use std::collections::HashMap;
use std::net::IpAddr;
use std::time::{Duration, Instant};

use parking_lot::Mutex;

/// The wait after the first refusal.
const FIRST: Duration = Duration::from_millis(100);
/// The longest wait.
const LONGEST: Duration = Duration::from_secs(5);
/// After this time without a refusal an address starts anew.
const FORGIVEN: Duration = Duration::from_secs(300);
/// Addresses that are remembered; beyond it the oldest is forgotten.
const ADDRESSES: usize = 10_000;

/// How often each address was refused lately.
#[derive(Debug, Default)]
pub struct Delay {
    refused: Mutex<HashMap<Option<IpAddr>, (u32, Instant)>>,
}

impl Delay {
    /// Notes a refusal, and returns how long its caller is kept waiting.
    pub fn after_refusal(&self, peer: Option<IpAddr>, now: Instant) -> Duration {
        let mut refused = self.refused.lock();
        if refused.len() >= ADDRESSES && !refused.contains_key(&peer) {
            refused.retain(|_, (_, last)| now.duration_since(*last) < FORGIVEN);
            let oldest = refused.iter().min_by_key(|(_, (_, last))| *last).map(|(address, _)| *address);
            if let Some(oldest) = oldest.filter(|_| refused.len() >= ADDRESSES) {
                refused.remove(&oldest);
            }
        }
        let (count, last) = refused.entry(peer).or_insert((0, now));
        if now.duration_since(*last) >= FORGIVEN {
            *count = 0;
        }
        let wait = FIRST.saturating_mul(1_u32 << (*count).min(16)).min(LONGEST);
        *count += 1;
        *last = now;
        wait
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_refusal_waits_twice_as_long_up_to_a_limit_and_time_forgives() {
        let (delay, start) = (Delay::default(), Instant::now());
        let peer = Some(IpAddr::from([192, 0, 2, 7]));
        let waits: Vec<u128> = (0..8).map(|_| delay.after_refusal(peer, start).as_millis()).collect();
        assert_eq!(waits, [100, 200, 400, 800, 1_600, 3_200, 5_000, 5_000]);
        assert_eq!(delay.after_refusal(None, start).as_millis(), 100);
        assert_eq!(delay.after_refusal(peer, start + FORGIVEN).as_millis(), 100);
    }

    #[test]
    fn the_memory_is_bounded() {
        let (delay, start) = (Delay::default(), Instant::now());
        for number in 0..ADDRESSES as u32 + 50 {
            delay.after_refusal(
                Some(IpAddr::from(number.to_be_bytes())),
                start + Duration::from_micros(u64::from(number)),
            );
        }
        assert!(delay.refused.lock().len() <= ADDRESSES);
    }
}
