//! Callers that wish the service ill: it stays up, it goes on answering others, and its memory stays within bounds.
//!
//! How many calls a second others keep is no matter of a test; `cargo bench -p baybook-tests --bench hostile` prints it.

#![expect(clippy::expect_used, reason = "a test that cannot go on has failed")]

mod attacks;
mod callers;
#[expect(dead_code, reason = "a benchmark reads more of it")]
mod daemon;
mod frame;
#[path = "../scenarios/program.rs"]
mod program;

use std::time::{Duration, Instant};

use attacks::Attack;
use daemon::{Daemon, demo_book};
use tokio::runtime::Runtime;

/// By how much its memory may grow, in MiB: watchers that never read have a bound of their own.
fn growth_mib(attack: Attack) -> f64 {
    if attack == Attack::SilentWatchers { 256.0 } else { 64.0 }
}

/// Others keep four calls of five, so that at most one of five is turned away.
const REFUSED: f64 = 0.2;

/// The time that running calls are given when the service stops, `drain` in its table of limits.
const DRAIN: Duration = Duration::from_secs(20);

/// As many watchers as the service takes, `watchers` in its table of limits.
const WATCHERS: f64 = 200.0;

/// How long each attack lasts.
const SPAN: Duration = Duration::from_secs(3);

fn withstand(attack: Attack) {
    let daemon = Daemon::start(&demo_book());
    let runtime = Runtime::new().expect("a runtime starts");
    let before = runtime.block_on(callers::call(daemon.address, 4, Instant::now() + Duration::from_millis(500)));
    assert!(before.answered > 0 && before.refused.is_empty(), "{before:?}");
    let resident = daemon.resident_mib();
    let end = Instant::now() + SPAN;
    let fared = runtime.block_on(async {
        let attacking = tokio::spawn(attack.run(daemon.address, end));
        tokio::time::sleep(Duration::from_millis(300)).await;
        let fared = callers::call(daemon.address, 4, end - Duration::from_millis(300)).await;
        let watchers = daemon.measured("baybook_watchers");
        assert!(watchers <= WATCHERS, "{watchers} watchers");
        assert_eq!(attack == Attack::SilentWatchers, watchers > 0.0, "{watchers} watchers during {attack:?}");
        attacking.await.expect("the attack ends");
        fared
    });
    assert!(fared.answered > 0, "{attack:?}: nobody else was answered: {:?}", fared.refused.first());
    let refused = fared.refused.len() as f64 / (fared.answered + fared.refused.len()) as f64;
    assert!(refused <= REFUSED, "{attack:?}: of others, {refused:.2} were turned away: {:?}", fared.refused.first());
    let growth = daemon.peak_mib() - resident;
    assert!(growth <= growth_mib(attack), "{attack:?}: memory grew by {growth:.0} MiB, at most {}", growth_mib(attack));
    assert!((daemon.measured("baybook_writable") - 1.0).abs() < 0.5, "the admin port answers after {attack:?}");
    // When it is over, everything is as before.
    let after = runtime.block_on(callers::call(daemon.address, 4, Instant::now() + Duration::from_millis(500)));
    assert!(after.answered > 0 && after.refused.is_empty(), "{attack:?}: {after:?}");
    let gauges =
        ["baybook_calls_open", "baybook_streams_running", "baybook_watchers", "baybook_held{what=\"requests\"}"];
    let until = Instant::now() + Duration::from_secs(20);
    for gauge in gauges.into_iter().chain(["baybook_held{what=\"replies\"}"]) {
        while daemon.measured(gauge) > 0.0 {
            assert!(Instant::now() < until, "{attack:?} is over, and {gauge} is {}", daemon.measured(gauge));
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

#[test]
fn watchers_that_do_not_read_do_not_hold_the_end_up() {
    let daemon = Daemon::start(&demo_book());
    let runtime = Runtime::new().expect("a runtime starts");
    let address = daemon.address;
    let attacking = runtime.spawn(Attack::SilentWatchers.run(address, Instant::now() + Duration::from_secs(30)));
    let until = Instant::now() + Duration::from_secs(20);
    // Each connection takes half of what the others leave: the last places go one by one.
    while daemon.measured("baybook_watchers") < 0.95 * WATCHERS {
        assert!(Instant::now() < until, "only {} watchers", daemon.measured("baybook_watchers"));
        std::thread::sleep(Duration::from_millis(20));
    }
    let (status, took) = daemon.stopped(DRAIN * 2).expect("it ends");
    attacking.abort();
    assert_eq!(status.code(), Some(0));
    // Running calls have all of that time; who only watches has none of it.
    assert!(took < DRAIN / 2, "held up for {took:?}");
}

#[test]
fn a_log_that_nobody_reads_holds_nobody_up() {
    let daemon = Daemon::unread(&demo_book());
    let runtime = Runtime::new().expect("a runtime starts");
    let until = Instant::now() + Duration::from_secs(60);
    // A pipe takes 64 KiB of lines; what comes when it and the lines that wait are full is lost, and is counted.
    while daemon.measured("baybook_log_lines_lost_total") < 100.0 {
        assert!(Instant::now() < until, "no line is lost");
        let fared = runtime.block_on(callers::call(daemon.address, 4, Instant::now() + Duration::from_millis(500)));
        assert!(fared.answered > 0 && fared.refused.is_empty(), "{fared:?}");
    }
}

macro_rules! attacks {
    ($($name:ident: $attack:ident;)*) => {
        $(#[test] fn $name() {
            withstand(Attack::$attack);
        })*

        #[test]
        fn every_attack_is_withstood() {
            let listed = [$(Attack::$attack),*];
            assert_eq!(listed, Attack::ALL);
        }
    };
}

attacks! {
    a_flood_of_streams: StreamFlood;
    calls_taken_back_at_once: RapidReset;
    headers_without_end: ContinuationFlood;
    settings_without_end: SettingsFlood;
    pings_without_end: PingFlood;
    callers_that_do_not_read: SlowReaders;
    watchers_that_do_not_read: SilentWatchers;
    callers_that_write_byte_by_byte: SlowWriters;
    callers_that_never_finish_a_long_message: AlmostDone;
    headers_that_are_huge_or_unpack_to_it: HugeHeaders;
    messages_that_are_huge: HugeMessages;
    messages_that_unpack_to_much_more: CompressionBombs;
    messages_that_hold_a_million_others: CrowdedMessages;
    a_thousand_connections_that_do_nothing: IdleConnections;
}
