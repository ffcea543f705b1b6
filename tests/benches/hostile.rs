//! What others keep of their calls a second while somebody attacks: the same callers with and without the attack, in turn,
//! in the same run. A benchmark, not a test: it prints.
//!
//! The attack is a process of its own that gets what the processor has left (`chrt --idle`): what it takes to make an attack
//! is the attacker's, and would else be taken from the callers. A lower priority alone (`nice -n 19`, where `chrt` is
//! not to be had) is not enough: once it runs, it runs on while a caller waits. What it sends is answered at the service's own
//! priority.
//! How much processor the service used for each answered call, with and without the attack, and what the attack itself
//! took, is printed beside it; and what the attack costs the service when nobody else is there, and nothing holds it back.
//!
//! `cargo bench -p baybook-benches --bench hostile [-- --quick]`

#![expect(clippy::print_stdout, clippy::expect_used, reason = "a benchmark prints what it measured, or ends")]

#[path = "../tests/hostile/attacks.rs"]
mod attacks;
#[path = "../tests/hostile/callers.rs"]
mod callers;
#[path = "../tests/hostile/daemon.rs"]
#[expect(dead_code, reason = "a test reads more of it")]
mod daemon;
#[path = "../tests/hostile/frame.rs"]
mod frame;
mod program;

use std::{
    process::{Child, Command, Stdio},
    time::{Duration, Instant},
};

use attacks::Attack;
use daemon::{Daemon, demo_book};

/// Well-behaved callers.
const CALLERS: usize = 8;

/// Makes an attack from this process, when the arguments name one.
fn attack(runtime: &tokio::runtime::Runtime) -> bool {
    let arguments: Vec<String> = std::env::args().collect();
    let Some([name, address, span]) = arguments.iter().position(|one| one == ATTACK).map(|at| {
        [1, 2, 3].map(|next| arguments.get(at + next).expect("an attack has a name, an address and a span").as_str())
    }) else {
        return false;
    };
    let attack = Attack::ALL.into_iter().find(|attack| format!("{attack:?}") == name).expect("it is one of them");
    let span = Duration::from_millis(span.parse().expect("a number"));
    runtime.block_on(attack.run(address.parse().expect("an address"), Instant::now() + span));
    println!("{}", daemon::processor_s("self"));
    true
}

/// How fast an attack is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Pace {
    /// As fast as the processor time lets it that nobody else wants.
    Left,
    /// As fast as it can.
    Full,
}

/// Starts an attack in a process of its own.
fn start(attack: Attack, daemon: &Daemon, span: Duration, pace: Pace) -> Child {
    let start = |program: &str, first: &[&str]| {
        let mut command = Command::new(program);
        command.args(first).arg(std::env::current_exe().expect("this benchmark is a file")).arg(ATTACK);
        command.arg(format!("{attack:?}")).arg(daemon.address.to_string()).arg(span.as_millis().to_string());
        command.stdout(Stdio::piped()).spawn()
    };
    if pace == Pace::Full {
        return start("nice", &["-n", "0"]).expect("the attack starts");
    }
    let idle = Command::new("chrt").args(["--idle", "0", "true"]).status().is_ok_and(|exit| exit.success());
    let started = if idle { start("chrt", &["--idle", "0"]) } else { start("nice", &["-n", "19"]) };
    started.expect("the attack starts")
}

/// The argument that makes this an attacker.
const ATTACK: &str = "--attack";

fn main() {
    let runtime = tokio::runtime::Runtime::new().expect("a runtime starts");
    if attack(&runtime) {
        return;
    }
    let quick = std::env::args().any(|argument| argument == "--quick");
    let (rounds, span) = if quick { (2, Duration::from_millis(1_000)) } else { (3, Duration::from_secs(3)) };
    for attack in Attack::ALL {
        let daemon = Daemon::start(&demo_book());
        let (mut alone, mut beside, mut refused) = (0.0, 0.0, 0);
        let (mut work_alone, mut work_beside, mut attackers) = (0.0, 0.0, 0.0);
        let calls = |span: Duration| {
            let before = daemon.processor_s();
            let fared = runtime.block_on(callers::call(daemon.address, CALLERS, Instant::now() + span));
            (fared, daemon.processor_s() - before)
        };
        calls(span / 4);
        let resident = daemon.resident_mib();
        for _ in 0..rounds {
            let (fared, work) = calls(span);
            alone += fared.answered as f64 / span.as_secs_f64();
            work_alone += work;
            let attacking = start(attack, &daemon, span + Duration::from_millis(300), Pace::Left);
            std::thread::sleep(Duration::from_millis(300));
            let (fared, work) = calls(span);
            beside += fared.answered as f64 / span.as_secs_f64();
            work_beside += work;
            refused += fared.refused.len();
            let told = attacking.wait_with_output().expect("the attack ends").stdout;
            attackers += String::from_utf8_lossy(&told).trim().parse::<f64>().expect("it tells what it took");
        }
        // Whoever has run out is not heard for some seconds, and the next attack is to be heard.
        let peak = daemon.peak_mib();
        let daemon = Daemon::start(&demo_book());
        let before = daemon.processor_s();
        start(attack, &daemon, span, Pace::Full).wait_with_output().expect("the attack ends");
        let unhindered = (daemon.processor_s() - before) / span.as_secs_f64();
        let micros = |work: f64, rate: f64| work / (rate * span.as_secs_f64()) * 1e6;
        println!(
            "{attack:?}: {:.0} calls/s beside it, {:.0} without, ratio {:.2}, bar >= 0.80; {refused} refused; the service used \
             {:.0} us a call, {:.0} without; the attack took {:.2} of a processor; unhindered, it costs the service {unhindered:.2}; \
             memory grew by {:.0} MiB, bound {}",
            beside / f64::from(rounds),
            alone / f64::from(rounds),
            beside / alone,
            micros(work_beside, beside),
            micros(work_alone, alone),
            attackers / (f64::from(rounds) * (span.as_secs_f64() + 0.3)),
            peak - resident,
            if attack == Attack::SilentWatchers { 256 } else { 64 },
        );
    }
}
