//! The service as its callers see it: every call and every way it fails, through the same transport as in use.

#![expect(clippy::unwrap_used, clippy::panic, reason = "a test that finds what it did not look for ends there")]

mod access;
mod calculator;
mod crowd;
mod edges;
mod guessing;
mod import;
mod old_backups;
mod operations;
mod overload;
mod rig;
mod spec_book;
mod strain;
mod upfits;
mod upkeep;
mod watch;
