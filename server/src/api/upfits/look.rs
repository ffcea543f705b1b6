//! How one stream looks up names: each once, at the stream's revision.

use std::cell::RefCell;
use std::sync::atomic::{AtomicUsize, Ordering};

use ahash::HashMap;

use crate::book::catalog::View;
use crate::wire::{Lookup, Spec};

/// What one stream has looked up so far. Each task of a stream has one of its own, so that none waits for another.
#[derive(Debug, Default)]
pub(super) struct Memory {
    found: HashMap<String, Option<Spec>>,
    nearest: HashMap<String, Vec<String>>,
}

/// The book as one task of a stream sees it.
pub(super) struct Look<'a> {
    pub(super) view: &'a View,
    pub(super) memory: RefCell<&'a mut Memory>,
    /// How many names are kept at hand.
    pub(super) names: usize,
    /// How many more misspelt names of the stream are worth a search for nearest names.
    pub(super) searches: &'a AtomicUsize,
}

impl Lookup for Look<'_> {
    fn find(&self, name: &str) -> Option<Spec> {
        let mut memory = self.memory.borrow_mut();
        if let Some(found) = memory.found.get(name) {
            return found.clone();
        }
        if memory.found.len() >= self.names {
            memory.found.clear();
        }
        let found = self.view.find(name);
        memory.found.insert(name.to_owned(), found.clone());
        found
    }

    fn nearest(&self, name: &str) -> Vec<String> {
        let mut memory = self.memory.borrow_mut();
        if let Some(nearest) = memory.nearest.get(name) {
            return nearest.clone();
        }
        let left = self.searches.fetch_update(Ordering::Relaxed, Ordering::Relaxed, |left| left.checked_sub(1));
        if left.is_err() {
            return Vec::new();
        }
        let nearest = self.view.nearest(name);
        memory.nearest.insert(name.to_owned(), nearest.clone());
        nearest
    }
}
