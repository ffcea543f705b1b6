//! Where names are looked up.

use super::Spec;

/// A view of the book at one revision.
pub trait Lookup {
    /// Returns the entry of that name.
    fn find(&self, name: &str) -> Option<Spec>;

    /// Returns the names of the same kind that are nearest to it, nearest first, at most five.
    fn nearest(&self, name: &str) -> Vec<String>;
}

impl<L: Lookup + ?Sized> Lookup for &L {
    fn find(&self, name: &str) -> Option<Spec> {
        (**self).find(name)
    }

    fn nearest(&self, name: &str) -> Vec<String> {
        (**self).nearest(name)
    }
}
