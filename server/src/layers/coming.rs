//! Calls on their way from their headers to their turn.
//!
//! Many calls may come in one piece, and all of their headers are looked at before the first of them runs. Whoever is let in
//! counts from then on, so that not all of them find the place free that is there for one. A call that is taken up counts
//! among those that run or stand in line instead; one whose request is still to come counts nowhere until it has.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use crate::service::State;

/// How many calls are on their way.
#[derive(Debug, Default)]
pub(crate) struct OnTheWay {
    all: AtomicUsize,
    long: AtomicUsize,
}

impl OnTheWay {
    /// Returns how many are.
    pub(crate) fn all(&self) -> usize {
        self.all.load(Ordering::Relaxed)
    }

    /// Returns how many of them are long work.
    pub(crate) fn long(&self) -> usize {
        self.long.load(Ordering::Relaxed)
    }
}

/// One of them, until this is dropped.
pub(crate) struct Coming {
    state: Arc<State>,
    is_long: bool,
}

impl Coming {
    pub(super) fn new(state: &Arc<State>, is_long: bool) -> Self {
        state.on_the_way.all.fetch_add(1, Ordering::Relaxed);
        if is_long {
            state.on_the_way.long.fetch_add(1, Ordering::Relaxed);
        }
        Self { state: Arc::clone(state), is_long }
    }
}

impl Drop for Coming {
    fn drop(&mut self) {
        self.state.on_the_way.all.fetch_sub(1, Ordering::Relaxed);
        if self.is_long {
            self.state.on_the_way.long.fetch_sub(1, Ordering::Relaxed);
        }
    }
}
