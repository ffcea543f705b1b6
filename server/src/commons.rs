//! What all callers share, and how much of it one of them may take.
//!
//! One bound for all together would let one caller take everything from the others; a fixed part for each would leave most
//! of it idle. Here a caller may hold a part, say a fifth, of what the others leave. A lonely caller then gets much, many
//! greedy ones get little each, and something stays free for whoever comes next. The rule is that of dynamic thresholds
//! for shared buffers (Choudhury and Hahne, 1998; from memory).

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Something that all callers share: places, or bytes.
#[derive(Debug)]
pub(crate) struct Common {
    taken: AtomicUsize,
    most: usize,
    /// One caller holds at most what the others leave, divided by this.
    part: usize,
    /// What every caller may take whatever the others hold.
    floor: usize,
}

/// What one caller has taken of it. What is left of it is given back when this is dropped.
#[derive(Debug)]
pub(crate) struct Account {
    common: Arc<Common>,
    part: usize,
    taken: AtomicUsize,
}

impl Common {
    pub(crate) fn new(most: usize, part: usize, floor: usize) -> Arc<Self> {
        Arc::new(Self { taken: AtomicUsize::new(0), most, part: part.max(1), floor })
    }

    /// Returns how much is taken by all together.
    pub(crate) fn taken(&self) -> usize {
        self.taken.load(Ordering::Relaxed)
    }

    pub(crate) fn account(self: &Arc<Self>) -> Arc<Account> {
        self.account_of(self.part)
    }

    /// Returns the account of a caller who may take all that the others leave.
    pub(crate) fn whole_account(self: &Arc<Self>) -> Arc<Account> {
        self.account_of(1)
    }

    fn account_of(self: &Arc<Self>, part: usize) -> Arc<Account> {
        Arc::new(Account { common: Arc::clone(self), part, taken: AtomicUsize::new(0) })
    }
}

impl Account {
    fn allows(&self, mine: usize, all: usize) -> bool {
        let Common { most, floor, .. } = *self.common;
        let left = (most + mine).saturating_sub(all);
        mine <= floor || (all <= most && mine <= (left / self.part).max(1))
    }

    /// Takes so much more, or nothing.
    pub(crate) fn take(&self, much: usize) -> bool {
        let mine = self.taken.fetch_add(much, Ordering::Relaxed) + much;
        let all = self.common.taken.fetch_add(much, Ordering::Relaxed) + much;
        let allowed = self.allows(mine, all);
        if !allowed {
            self.give(much);
        }
        allowed
    }

    /// Counts so much more, whether there is room for it or not.
    pub(crate) fn add(&self, much: usize) {
        self.taken.fetch_add(much, Ordering::Relaxed);
        self.common.taken.fetch_add(much, Ordering::Relaxed);
    }

    /// Returns whether there is room for so much more.
    pub(crate) fn fits(&self, much: usize) -> bool {
        self.allows(self.taken() + much, self.common.taken() + much)
    }

    /// Gives so much back.
    pub(crate) fn give(&self, much: usize) {
        self.taken.fetch_sub(much, Ordering::Relaxed);
        self.common.taken.fetch_sub(much, Ordering::Relaxed);
    }

    /// Returns how much this caller has taken.
    pub(crate) fn taken(&self) -> usize {
        self.taken.load(Ordering::Relaxed)
    }
}

impl Drop for Account {
    fn drop(&mut self) {
        self.common.taken.fetch_sub(self.taken(), Ordering::Relaxed);
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn one_caller_gets_a_part_and_the_next_still_finds_room() {
        let common = Common::new(1_000, 5, 2);
        let greedy = common.account();
        while greedy.take(1) {}
        assert_eq!((greedy.taken(), common.taken()), (200, 200));
        let next = common.account();
        while next.take(1) {}
        assert_eq!(next.taken(), 160, "a fifth of the 800 that the other leaves");
        drop(greedy);
        assert_eq!(common.taken(), 160);
    }

    #[test]
    fn a_single_place_goes_to_one_caller_at_a_time() {
        let common = Common::new(1, 3, 0);
        let (one, other) = (common.account(), common.account());
        assert!(one.take(1) && !other.take(1) && !one.take(1));
        one.give(1);
        assert!(other.take(1));
    }

    #[test]
    fn the_floor_is_there_whatever_the_others_hold() {
        let common = Common::new(10, 1, 2);
        let all: Vec<_> = (0..20).map(|_| common.account()).collect();
        assert!(all.iter().all(|account| account.take(1) && account.take(1)));
        assert!(all.iter().all(|account| !account.take(1)));
        assert_eq!(common.taken(), 40, "floors come on top of what is shared");
    }

    proptest! {
        #[test]
        fn nothing_is_lost_and_nothing_taken_beyond_the_bound(
            steps in prop::collection::vec((0_usize..8, 1_usize..40, prop::bool::ANY), 1..300)
        ) {
            let common = Common::new(500, 3, 10);
            let accounts: Vec<_> = (0..8).map(|_| common.account()).collect();
            for (who, much, take) in steps {
                let account = &accounts[who];
                if take {
                    account.take(much);
                } else {
                    account.give(much.min(account.taken()));
                }
                prop_assert_eq!(common.taken(), accounts.iter().map(|account| account.taken()).sum::<usize>());
                prop_assert!(common.taken() <= 500 + 8 * 10);
            }
            drop(accounts);
            prop_assert_eq!(common.taken(), 0);
        }
    }
}
