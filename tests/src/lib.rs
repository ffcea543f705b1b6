//! Tests of the whole; nothing depends on this crate.
