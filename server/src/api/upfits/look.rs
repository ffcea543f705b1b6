//! How one stream looks up names: each once, at the stream's revision.

use std::cell::RefCell;
use std::sync::atomic::{AtomicUsize, Ordering};

use ahash::HashMap;

use crate::book::catalog::View;
use crate::wire::{Lookup, Spec};

/// How many entries a memory holds as copies of its own; beyond that it shares the book's.
const APART: usize = 1_000;

/// How many names have a place among the latest; a power of two.
const LATEST: usize = 256;

/// What one stream has looked up so far. Each task of a stream has one of its own, entries and all, so that none waits
/// for another.
#[derive(Debug, Default)]
pub(super) struct Memory {
    found: HashMap<String, Option<Spec>>,
    nearest: HashMap<String, Vec<String>>,
    /// The latest names, each at one place by its end and length: plans repeat themselves.
    latest: Vec<(String, Option<Spec>)>,
}

impl Memory {
    /// Looks a name up, and keeps what was found.
    #[cold]
    fn look_up(&mut self, name: &str, names: usize, view: &View) -> Option<Spec> {
        if self.latest.is_empty() {
            self.latest.resize_with(LATEST, Default::default);
        }
        if self.found.len() >= names {
            self.found.clear();
        }
        let found = match self.found.get(name) {
            Some(found) => found.clone(),
            None => {
                let found = view.find(name);
                let found = if self.found.len() < APART { found.as_ref().map(Spec::apart) } else { found };
                self.found.insert(name.to_owned(), found.clone());
                found
            }
        };
        if let Some(latest) = self.latest.get_mut(place(name)) {
            name.clone_into(&mut latest.0);
            latest.1.clone_from(&found);
        }
        found
    }
}

/// Returns the place of a name among the latest.
fn place(name: &str) -> usize {
    const MIX: u64 = 0x9E37_79B9_7F4A_7C15;
    let bytes = name.as_bytes();
    let end = match bytes.last_chunk::<8>() {
        Some(end) => u64::from_le_bytes(*end),
        None => bytes.iter().fold(0, |all, byte| all << 8 | u64::from(*byte)),
    };
    let mixed = (end ^ (bytes.len() as u64) << 56).wrapping_mul(MIX);
    (mixed >> (u64::BITS - LATEST.trailing_zeros())) as usize
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
        match memory.latest.get(place(name)) {
            Some((latest, found)) if latest == name => found.clone(),
            _ => memory.look_up(name, self.names, self.view),
        }
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
