//! Runs a target on cases without end, each made from a seed and a number, so that any one of them can be made again.
//!
//! It runs on the compiler that everything else is built with. A panic, a case that takes longer than [`PATIENCE`], or
//! memory that grows by more than [`GROWTH_MIB`] fails the run, and names the case.
//!
//! * `BAYBOOK_FUZZ_CASES`: how many cases each target gets; 3,000 without it.
//! * `BAYBOOK_FUZZ_SEED`: another seed, for other cases.
//! * `BAYBOOK_FUZZ_CASE`: only this case.

#![allow(
    clippy::print_stdout,
    clippy::expect_used,
    dead_code,
    reason = "a run tells what it did; not every target needs all"
)]

use std::{
    env, fs,
    panic::{AssertUnwindSafe, catch_unwind, resume_unwind},
    sync::{
        Arc,
        atomic::{AtomicBool, AtomicU64, Ordering},
    },
    time::{Duration, Instant},
};

use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

/// The source of what a case is made from.
pub type Dice = ChaCha8Rng;

/// Cases of a short run.
const CASES: u64 = 3_000;

/// How long one case may take; a debug build on a busy machine is slow.
const PATIENCE: Duration = Duration::from_secs(20);

/// By how much memory may grow during a run, in MiB.
const GROWTH_MIB: f64 = 256.0;

/// The longest case, in bytes.
const LONGEST: usize = 64 << 10;

fn setting(name: &str) -> Option<u64> {
    env::var(name).ok()?.replace('_', "").parse().ok()
}

/// Makes case after case and tries each.
pub fn run(target: &str, try_one: impl FnMut(&mut Dice)) {
    run_some(target, 1, try_one);
}

/// As [`run`], for a target so slow that it gets only one of so many cases.
pub fn run_some(target: &str, one_of: u64, mut try_one: impl FnMut(&mut Dice)) {
    let seed = setting("BAYBOOK_FUZZ_SEED").unwrap_or(1);
    let cases = match setting("BAYBOOK_FUZZ_CASE") {
        Some(case) => case..case + 1,
        None => 0..(setting("BAYBOOK_FUZZ_CASES").unwrap_or(CASES) / one_of).max(1),
    };
    let replay = |case: u64| format!("BAYBOOK_FUZZ_SEED={seed} BAYBOOK_FUZZ_CASE={case}, target {target}");
    let (at, begun) = (Arc::new(AtomicU64::new(cases.start)), Instant::now());
    let over = Arc::new(AtomicBool::new(false));
    let watch = std::thread::spawn({
        let (at, over, replay) = (Arc::clone(&at), Arc::clone(&over), replay(0));
        move || {
            let (mut case, mut since) = (u64::MAX, Instant::now());
            while !over.load(Ordering::Relaxed) {
                let now = at.load(Ordering::Relaxed);
                if now != case {
                    (case, since) = (now, Instant::now());
                } else if PATIENCE < since.elapsed() {
                    // A hang cannot be ended from outside but with the process.
                    let told = format!("case {case} hangs; {replay}, with this case\n");
                    let _ = fs::write("/dev/stderr", told);
                    std::process::abort();
                }
                std::thread::sleep(Duration::from_millis(50));
            }
        }
    });
    let before = resident_mib();
    let last = cases.end;
    for case in cases {
        at.store(case, Ordering::Relaxed);
        let mut dice = Dice::seed_from_u64(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ case);
        if let Err(panic) = catch_unwind(AssertUnwindSafe(|| try_one(&mut dice))) {
            over.store(true, Ordering::Relaxed);
            println!("to see it again: {}", replay(case));
            resume_unwind(panic);
        }
    }
    over.store(true, Ordering::Relaxed);
    watch.join().expect("the watch ends");
    let growth = resident_mib() - before;
    assert!(growth <= GROWTH_MIB, "{target}: memory grew by {growth:.0} MiB, at most {GROWTH_MIB} MiB");
    println!("{target}: {last} cases in {:.1} s, memory grew by {growth:.0} MiB", begun.elapsed().as_secs_f64());
}

/// The memory in use, in MiB; 0 where the system does not say.
fn resident_mib() -> f64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"));
    let kib = line.and_then(|line| line.trim().trim_end_matches(" kB").parse::<f64>().ok());
    kib.unwrap_or(0.0) / 1024.0
}

/// Makes one case: something of the corpus, changed in some places; now and then nothing but noise.
pub fn mutate(dice: &mut Dice, corpus: &[Vec<u8>], words: &[&str]) -> Vec<u8> {
    let mut case = match corpus.len() {
        0 => Vec::new(),
        many if dice.random_ratio(15, 16) => corpus[dice.random_range(0..many)].clone(),
        _ => (0..dice.random_range(0..64)).map(|_| dice.random()).collect(),
    };
    for _ in 0..dice.random_range(0..6) {
        change(dice, &mut case, corpus, words);
    }
    case.truncate(LONGEST);
    case
}

/// As [`mutate`], as text: what is no UTF-8 is replaced.
pub fn mutate_text(dice: &mut Dice, corpus: &[Vec<u8>], words: &[&str]) -> String {
    String::from_utf8_lossy(&mutate(dice, corpus, words)).into_owned()
}

fn change(dice: &mut Dice, case: &mut Vec<u8>, corpus: &[Vec<u8>], words: &[&str]) {
    const STRANGE: [u8; 12] = [0, 1, 0x7f, 0x80, 0xff, b'0', b'9', b'-', b' ', b'"', b'\n', b','];
    let at = dice.random_range(0..=case.len());
    let end = dice.random_range(at..=case.len().min(at + 32));
    match dice.random_range(0..9) {
        0 if at < case.len() => case[at] ^= 1 << dice.random_range(0..8),
        1 if at < case.len() => case[at] = dice.random(),
        2 if at < case.len() => case[at] = STRANGE[dice.random_range(0..STRANGE.len())],
        3 => case.truncate(at),
        4 => drop(case.drain(at..end)),
        5 => {
            let again = case[at..end].repeat(dice.random_range(1..20));
            case.splice(at..at, again);
        }
        6 if !words.is_empty() => {
            let word = words[dice.random_range(0..words.len())];
            case.splice(at..at, word.bytes());
        }
        7 if !corpus.is_empty() => {
            let other = &corpus[dice.random_range(0..corpus.len())];
            let from = dice.random_range(0..=other.len());
            case.truncate(at);
            case.extend(&other[from..]);
        }
        _ => {
            let number = dice.random::<u64>() >> dice.random_range(0..64);
            let text = if dice.random() { number.to_string() } else { format!("{:e}", number as f64 / 7.0) };
            case.splice(at..end, text.into_bytes());
        }
    }
}

/// Returns the lines of a text as a corpus.
pub fn lines(text: &str) -> Vec<Vec<u8>> {
    text.lines().filter(|line| !line.starts_with("# ")).map(|line| line.as_bytes().to_vec()).collect()
}
