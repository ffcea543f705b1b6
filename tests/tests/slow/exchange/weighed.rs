//! What each reason weighs, and the verdict that follows.

use std::collections::BTreeSet;

use baybook_core::calc::compare_fasteners::{Comparison, Verdict};

/// The names of the reasons that were found, or must be.
pub type Why = BTreeSet<&'static str>;

/// What each reason weighs: refused, not known, better; what is not listed is a note.
const REFUSED: [&str; 30] = [
    "threads-look-alike",
    "other-thread",
    "other-pitch",
    "nut-does-not-mate",
    "lower-class",
    "other-family",
    "smaller-face",
    "other-head",
    "too-short",
    "too-long",
    "nut-missing",
    "thin-nut",
    "weaker-nut",
    "galvanised-nut",
    "lock-lost",
    "washer-missing",
    "washer-does-not-fit",
    "washer-on-fillet",
    "smaller-washer",
    "soft-washer",
    "threads-damaged",
    "pitted",
    "rust-stays",
    "stretched",
    "locking-used",
    "overtightened",
    "single-use",
    "structural-used",
    "nut-locks-no-more",
    "steel-in-stainless",
];
const NOT_KNOWN: [&str; 11] = [
    "class-unknown",
    "specified-unknown",
    "length-unknown",
    "nut-class-unknown",
    "galvanising-unknown",
    "lock-unknown",
    "hardness-unknown",
    "washer-unknown",
    "not-inspected",
    "nut-lock-unmeasured",
    "nut-least-unprinted",
];
const BETTER: [&str; 3] = ["higher-class", "stronger-nut", "larger-washer"];

/// Holds what was found against what must be found, and the verdict with it.
pub fn agree(found: &Comparison, mut due: Why, what: &dyn Fn() -> String) {
    due.insert("maker-overrides");
    let ids: Why = found.reasons.iter().map(|reason| reason.kind.id()).collect();
    assert_eq!(ids, due, "{}", what());
    let any = |list: &[&str]| due.iter().any(|id| list.contains(id));
    let verdict = if any(&REFUSED) {
        Verdict::WorseRefuse
    } else if any(&NOT_KNOWN) {
        Verdict::Unknown
    } else if any(&BETTER) {
        Verdict::BetterKeepTorque
    } else {
        Verdict::Same
    };
    assert_eq!(found.verdict, verdict, "{}", what());
}
