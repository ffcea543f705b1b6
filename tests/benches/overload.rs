//! Ten times more calls than the service can answer: what those wait that it takes, what it turns away, and whether its
//! health is still told. A benchmark, not a test: it prints.
//!
//! The calls rank some hundreds of receivers each, so that answering one costs far more than turning one away. First eight
//! callers who wait for each answer show what the service can do and what its answers take then; that is the normal here.
//! Then calls come at ten times that rate, whether answered or not, over eight connections. Callers and service share one
//! machine.
//!
//! `cargo bench -p baybook-tests --bench overload [-- --quick]`

#![expect(clippy::print_stdout, clippy::expect_used, reason = "a benchmark prints what it measured, or ends")]

#[path = "../tests/hostile/daemon.rs"]
#[expect(dead_code, reason = "another benchmark reads the memory of the service too")]
mod daemon;
#[path = "../tests/scenarios/program.rs"]
mod program;

use std::{
    fs,
    net::SocketAddr,
    path::Path,
    sync::Arc,
    time::{Duration, Instant},
};

use baybook_proto::v1 as pb;
use daemon::{Daemon, demo_book};
use pb::calculator_service_client::CalculatorServiceClient;
use tonic::{
    Code,
    transport::{Channel, Endpoint},
};
use waits::Waits;

/// Receivers that one call ranks, besides the demonstration's own.
const RECEIVERS: usize = 400;

const CALLERS: usize = 8;

/// How much more comes than can be answered.
const TIMES: f64 = 10.0;

mod waits {
    //! How long answers took.

    use std::{sync::Mutex, time::Duration};

    /// Answered calls and how long they took; calls turned away.
    #[derive(Debug, Default)]
    pub struct Waits {
        answered: Mutex<Vec<Duration>>,
        pub shed: std::sync::atomic::AtomicUsize,
        pub failed: std::sync::atomic::AtomicUsize,
    }

    impl Waits {
        pub fn note(&self, wait: Duration) {
            self.answered.lock().expect("nobody panics here").push(wait);
        }

        /// Returns how many were answered, and the times that half and 99 of 100 took at most, in milliseconds.
        pub fn read(&self) -> (usize, f64, f64) {
            let mut answered = self.answered.lock().expect("nobody panics here").clone();
            answered.sort();
            let at = |share: f64| {
                let wait =
                    answered.get(((answered.len() as f64 * share) as usize).min(answered.len().saturating_sub(1)));
                wait.map_or(f64::NAN, |wait| wait.as_secs_f64() * 1e3)
            };
            (answered.len(), at(0.5), at(0.99))
        }
    }
}

fn main() {
    let quick = std::env::args().any(|argument| argument == "--quick");
    let span = if quick { Duration::from_secs(2) } else { Duration::from_secs(10) };
    let folder = tempfile::tempdir().expect("a temporary folder");
    book(folder.path());
    let daemon = Daemon::start(folder.path());
    let runtime = tokio::runtime::Runtime::new().expect("a runtime starts");
    runtime.block_on(run(&daemon, span));
}

async fn run(daemon: &Daemon, span: Duration) {
    let mut channels = Vec::new();
    for _ in 0..CALLERS {
        channels.push(connect(daemon.address).await);
    }
    drop(closed(&channels, span / 4).await);
    let normal = closed(&channels, span).await;
    let (answered, half, most) = normal.read();
    let rate = answered as f64 / span.as_secs_f64();
    println!(
        "normal, {CALLERS} callers in turn: {rate:.0} calls/s, half within {half:.1} ms, 99 of 100 within {most:.1} ms"
    );

    let health = tokio::spawn(health(daemon.address, span));
    let (begun, used) = (Instant::now(), daemon.processor_s());
    let flood = open(&channels, rate * TIMES, span).await;
    let (took, used) = (begun.elapsed().as_secs_f64(), daemon.processor_s() - used);
    let health = health.await.expect("health is asked");
    let (taken, half_taken, most_taken) = flood.read();
    let shed = flood.shed.load(std::sync::atomic::Ordering::Relaxed);
    let failed = flood.failed.load(std::sync::atomic::Ordering::Relaxed);
    println!(
        "{TIMES:.0} times as many, {:.0} calls/s came: {:.0} calls/s answered, {shed} turned away with RetryInfo, {failed} failed \
         otherwise",
        (taken + shed + failed) as f64 / span.as_secs_f64(),
        taken as f64 / span.as_secs_f64(),
    );
    println!(
        "all of them were answered or turned away after {took:.1} s, of which the service used {used:.1} s of processor"
    );
    println!(
        "answers: half within {half_taken:.1} ms, 99 of 100 within {most_taken:.1} ms, ratio {:.2}, bar <= 3.00",
        most_taken / most
    );
    let (within, all) = daemon_share(daemon, SERVICE_S);
    println!(
        "in the service, from a call's headers to its answer, both parts together: {within} of {all} answered within {:.0} ms; \
         what callers waited beyond that lies before the headers are read or after the answer is made",
        SERVICE_S * 1e3
    );
    let (told, half_health, most_health) = health.read();
    let missed = health.failed.load(std::sync::atomic::Ordering::Relaxed);
    println!(
        "health: {told} times told, {missed} times not; half within {half_health:.1} ms, 99 of 100 within {most_health:.1} ms"
    );
    println!(
        "shed for want of a place {:.0}, for the queue {:.0}",
        daemon.measured("baybook_shed_total{what=\"calls\"}"),
        daemon.measured("baybook_shed_total{what=\"waiting\"}")
    );
}

/// One class of the service's own histogram: a round figure near three times what 99 of 100 take undisturbed.
const SERVICE_S: f64 = 0.025;

/// How many of the rankings that were answered took at most so long by the service's own measure, and how many there were.
fn daemon_share(daemon: &Daemon, within_s: f64) -> (u64, u64) {
    let text = daemon.metrics();
    let rows = text.lines().filter(|line| {
        let of = ["method=\"FitReceivers\"", "code=\"OK\""];
        line.starts_with("baybook_call_duration_seconds") && of.iter().all(|label| line.contains(label))
    });
    let (mut within, mut all) = (0, 0);
    for row in rows {
        let Some((head, count)) = row.rsplit_once(' ') else { continue };
        let count = count.parse().unwrap_or(0);
        if head.starts_with("baybook_call_duration_seconds_count") {
            all = count;
        }
        let end =
            head.split_once("le=\"").and_then(|(_, rest)| rest.split_once('"')).and_then(|(end, _)| end.parse().ok());
        if end.is_some_and(|end: f64| end <= within_s) {
            within = count.max(within);
        }
    }
    (within, all)
}

/// Lays the demonstration's book, with many more receivers.
fn book(folder: &Path) {
    for file in fs::read_dir(demo_book()).expect("the demo has a book").flatten() {
        fs::copy(file.path(), folder.join(file.file_name())).expect("the demo's files are readable");
    }
    let text = fs::read_to_string(demo_book().join("receivers.json")).expect("the demo has receivers");
    let known: Vec<serde_json::Value> = serde_json::from_str(&text).expect("they are JSON");
    let first = known.first().expect("there is one");
    let more: Vec<_> = (0..RECEIVERS)
        .map(|number| {
            let mut entry = first.clone();
            entry["name"] = format!("receivers/more-{number}").into();
            entry
        })
        .collect();
    let text = serde_json::to_string(&more).expect("it is JSON");
    fs::write(folder.join("more.json"), text).expect("it is written");
}

async fn connect(address: SocketAddr) -> Channel {
    let endpoint = Endpoint::from_shared(format!("http://{address}")).expect("an address").tcp_nodelay(true);
    endpoint.connect().await.expect("it answers")
}

fn question() -> pb::FitReceiversRequest {
    let vehicle = Some(pb::vehicle_ref::Vehicle::Name("vehicles/van-l35".to_owned()));
    let trailer = Some(pb::trailer_ref::Trailer::Name("trailers/flatbed-2t".to_owned()));
    let plan = pb::UpfitPlan {
        vehicle: Some(pb::VehicleRef { vehicle }),
        trailer: Some(pb::TrailerRef { trailer }),
        trailer_mass: Some(pb::Mass { value_kg: Some(1_500.0), printed: String::new() }),
        tongue: Some(pb::upfit_plan::Tongue::TongueShare(0.11)),
        ..pb::UpfitPlan::default()
    };
    pb::FitReceiversRequest { plan: Some(plan), ..pb::FitReceiversRequest::default() }
}

async fn ask(channel: Channel, waits: &Waits) {
    let begun = Instant::now();
    match CalculatorServiceClient::new(channel).fit_receivers(question()).await {
        Ok(_) => waits.note(begun.elapsed()),
        Err(status) => {
            let shed = status.code() == Code::ResourceExhausted;
            let counter = if shed { &waits.shed } else { &waits.failed };
            if counter.fetch_add(1, std::sync::atomic::Ordering::Relaxed) == 0 && !shed {
                println!("the first to fail: {status}");
            }
        }
    }
}

/// Callers who wait for each answer before they ask again.
async fn closed(channels: &[Channel], span: Duration) -> Arc<Waits> {
    let waits = Arc::new(Waits::default());
    let end = Instant::now() + span;
    let callers: Vec<_> = channels
        .iter()
        .map(|channel| {
            let (channel, waits) = (channel.clone(), Arc::clone(&waits));
            tokio::spawn(async move {
                while Instant::now() < end {
                    ask(channel.clone(), &waits).await;
                }
            })
        })
        .collect();
    for caller in callers {
        caller.await.expect("a caller keeps going");
    }
    waits
}

/// Calls that come at a rate, whatever becomes of those before.
async fn open(channels: &[Channel], rate: f64, span: Duration) -> Arc<Waits> {
    let waits = Arc::new(Waits::default());
    let begun = Instant::now();
    let (mut made, mut calls) = (0_usize, tokio::task::JoinSet::new());
    let mut tick = tokio::time::interval(Duration::from_millis(2));
    while begun.elapsed() < span {
        tick.tick().await;
        let due = (begun.elapsed().as_secs_f64() * rate) as usize;
        while made < due {
            let (channel, waits) = (channels[made % channels.len()].clone(), Arc::clone(&waits));
            calls.spawn(async move { ask(channel, &waits).await });
            made += 1;
        }
    }
    while calls.join_next().await.is_some() {}
    waits
}

/// Asks for the service's health ten times a second.
async fn health(address: SocketAddr, span: Duration) -> Arc<Waits> {
    let waits = Arc::new(Waits::default());
    let mut client = tonic_health::pb::health_client::HealthClient::new(connect(address).await);
    let end = Instant::now() + span;
    while Instant::now() < end {
        let begun = Instant::now();
        match client.check(tonic_health::pb::HealthCheckRequest::default()).await {
            Ok(reply) if reply.get_ref().status == 1 => waits.note(begun.elapsed()),
            _ => drop(waits.failed.fetch_add(1, std::sync::atomic::Ordering::Relaxed)),
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    waits
}
