//! Whatever comes in from outside is answered or refused: no panic, no hang, no memory without end.
//!
//! Each target runs a few thousand cases here, made by `tests/fuzz/engine.rs` from the corpus in `tests/fuzz/corpus`. The
//! sheet of plans, the journal and page tokens have their targets beside their code. A long run of all of them:
//!
//! ```text
//! BAYBOOK_FUZZ_CASES=1_000_000 cargo test --release --workspace fuzz_ -- --nocapture --test-threads 2
//! ```

#![expect(clippy::expect_used, reason = "a test that cannot go on has failed")]

mod calls;
#[path = "../../fuzz/engine.rs"]
mod engine;
mod texts;
