//! Slow, independent models: each reaches the number of a calculator by another route, on seeded random input.
//!
//! `BAYBOOK_CASES=1000000 cargo test --release -p baybook-tests --test slow` runs as many cases of each as asked; a case
//! that differs prints its seed, and `BAYBOOK_SEED=…` starts from there.

mod circuit;
mod clearance;
mod exchange;
mod fit_receivers;
mod head_marks;
mod joint;
mod nuts;
mod plan;
mod roll_over;
mod scatter;
mod tightening;
mod torque;
mod towing;
mod train;
mod turning;
mod vin;

/// Returns how many random cases a comparison runs: `BAYBOOK_CASES`, or else `few`.
fn cases(few: u64) -> u64 {
    std::env::var("BAYBOOK_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(few)
}

/// Returns the seed of the first case: `BAYBOOK_SEED`, or else 1.
fn first_seed() -> u64 {
    std::env::var("BAYBOOK_SEED").ok().and_then(|text| text.parse().ok()).unwrap_or(1)
}

#[test]
fn a_comparison_runs_at_least_one_case() {
    assert!(0 < cases(1) && 0 < first_seed());
}
