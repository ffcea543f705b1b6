//! What others keep of their calls a second while somebody attacks: the same callers with and without the attack, in turn,
//! in the same run. A benchmark, not a test: it prints.
//!
//! `cargo bench -p baybook-tests --bench hostile [-- --quick]`

#![expect(clippy::print_stdout, clippy::expect_used, reason = "a benchmark prints what it measured, or ends")]

#[path = "../tests/hostile/attacks.rs"]
mod attacks;
#[path = "../tests/hostile/callers.rs"]
mod callers;
#[path = "../tests/hostile/daemon.rs"]
#[expect(dead_code, reason = "a test reads more of it")]
mod daemon;
#[path = "../tests/scenarios/program.rs"]
mod program;

use std::time::{Duration, Instant};

use attacks::Attack;
use daemon::{Daemon, demo_book};

/// Well-behaved callers.
const CALLERS: usize = 8;

fn main() {
    let quick = std::env::args().any(|argument| argument == "--quick");
    let (rounds, span) = if quick { (1, Duration::from_millis(1_000)) } else { (3, Duration::from_secs(3)) };
    let runtime = tokio::runtime::Runtime::new().expect("a runtime starts");
    for attack in Attack::ALL {
        let daemon = Daemon::start(&demo_book());
        let (mut alone, mut beside, mut refused) = (0.0, 0.0, 0);
        let calls = |span: Duration| runtime.block_on(callers::call(daemon.address, CALLERS, Instant::now() + span));
        calls(span / 4);
        let resident = daemon.resident_mib();
        for _ in 0..rounds {
            alone += calls(span).answered as f64 / span.as_secs_f64();
            let end = Instant::now() + span + Duration::from_millis(300);
            let attacking = runtime.spawn(attack.run(daemon.address, end));
            std::thread::sleep(Duration::from_millis(300));
            let fared = calls(span);
            beside += fared.answered as f64 / span.as_secs_f64();
            refused += fared.refused.len();
            runtime.block_on(attacking).expect("the attack ends");
        }
        let (alone, beside) = (alone / f64::from(rounds), beside / f64::from(rounds));
        println!(
            "{attack:?}: {beside:.0} calls/s beside it, {alone:.0} without, ratio {:.2}, bar >= 0.80; {refused} refused; memory \
             grew by {:.0} MiB, bound 64",
            beside / alone,
            daemon.peak_mib() - resident
        );
    }
}
