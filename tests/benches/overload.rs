//! Ten times more calls than the service can answer: what those wait that it takes, what it turns away, how much it still
//! answers, and whether its health is still told. A benchmark, not a test: it prints.
//!
//! The calls rank the receivers of a book. First eight callers who wait for each answer show what the service can do and
//! what its answers take then; that is the normal here. Then calls come at ten times that rate, whether answered or not,
//! over eight connections. The callers are a process of their own that is made to cost little, but share the machine with
//! the service; what they take of it is printed. Beside them an ordinary client makes some calls, and looks at what it is
//! told when it is turned away.
//!
//! The bar is held for 4,000 receivers of the 10,000 that a book may well have: answering costs far more than turning away
//! then. For fewer, turning away costs a good part of answering; those are printed beside it.
//!
//! `cargo bench -p baybook-benches --bench overload [-- --quick]`

#![expect(clippy::print_stdout, clippy::expect_used, reason = "a benchmark prints what it measured, or ends")]

#[path = "../tests/hostile/daemon.rs"]
#[expect(dead_code, reason = "another benchmark reads the memory of the service too")]
mod daemon;
mod fleet;
mod program;

use std::{
    fs,
    net::SocketAddr,
    path::Path,
    time::{Duration, Instant},
};

use baybook_proto::v1 as pb;
use daemon::{Daemon, demo_book};
use fleet::{Fared, Kind, Load};
use pb::calculator_service_client::CalculatorServiceClient;
use prost::Message as _;
use tonic::{
    Code,
    transport::{Channel, Endpoint},
};
use tonic_types::StatusExt as _;

/// Receivers that one call ranks, besides the demonstration's own, and whether the bar is held for them.
const SIZES: [(usize, bool); 3] = [(4_000, true), (400, false), (40, false)];

const CALLERS: usize = 8;

/// How much more comes than can be answered.
const TIMES: f64 = 10.0;

/// What the answers of those that are let in may take, in times of the usual.
const BAR: f64 = 3.0;

fn main() {
    let question = question().encode_to_vec();
    if fleet::is_asked(Kind { path: "/baybook.v1.CalculatorService/FitReceivers", message: &question }) {
        return;
    }
    let quick = std::env::args().any(|argument| argument == "--quick");
    let span_s = if quick { 4.0 } else { 12.0 };
    let runtime = tokio::runtime::Runtime::new().expect("a runtime starts");
    for (receivers, held) in SIZES {
        let folder = tempfile::tempdir().expect("a temporary folder");
        book(folder.path(), receivers);
        measure(&Daemon::start(folder.path()), &runtime, (receivers, held), span_s);
    }
}

fn measure(daemon: &Daemon, runtime: &tokio::runtime::Runtime, (receivers, held): (usize, bool), span_s: f64) {
    let load = Load { address: daemon.address, connections: CALLERS, span_s, rate: None };
    fleet::call(Load { span_s: span_s / 4.0, ..load });
    let normal = fleet::call(load);
    let rate = normal.answered as f64 / span_s;
    println!(
        "{receivers} receivers, normal, {CALLERS} callers in turn: {rate:.0} calls/s, half within {:.2} ms, 99 of 100 within \
         {:.2} ms; {} not answered; the callers took {:.2} of a processor",
        normal.half_ms,
        normal.most_ms,
        normal.refused + normal.lost,
        normal.processor_s / span_s,
    );

    let before = Counts::of(daemon);
    let (begun, used) = (Instant::now(), daemon.processor_s());
    let beside = runtime.spawn(beside(daemon.address, Duration::from_secs_f64(span_s)));
    let flood = fleet::call(Load { rate: Some(rate * TIMES), ..load });
    let (took, used) = (begun.elapsed().as_secs_f64(), daemon.processor_s() - used);
    let beside = runtime.block_on(beside).expect("somebody calls beside");
    let counts = Counts::of(daemon).since(&before);
    tell(receivers, &normal, &flood, rate, span_s);
    println!(
        "{receivers} receivers: it took {took:.1} s, of which the service used {used:.1} s of processor and the callers {:.1} s; \
         calls were sent at most {:.2} ms late, 99 of 100; refusals came within {:.2} ms",
        flood.processor_s, flood.late_ms, flood.refusal_ms
    );
    println!(
        "{receivers} receivers, as the service counts: {} answered, {} RESOURCE_EXHAUSTED, {} other ends; shed for the queue {}, \
         for want of a place {}",
        counts.ok, counts.exhausted, counts.other, counts.waiting, counts.places
    );
    println!(
        "{receivers} receivers, an ordinary client beside them: {} answered, {} turned away with RetryInfo, {} otherwise",
        beside.answered, beside.told, beside.otherwise
    );
    println!(
        "{receivers} receivers, health: {} times told, {} times not, 99 of 100 within {:.1} ms",
        beside.healthy,
        beside.unhealthy,
        share_ms(beside.health, 0.99)
    );
    let ratio = flood.most_ms / normal.most_ms;
    let bar = if held { format!("bar <= {BAR:.2}") } else { "no bar".to_owned() };
    println!("{receivers} receivers, 99 of 100 answers beside the normal: ratio {ratio:.2}, {bar}");
}

fn tell(receivers: usize, normal: &Fared, flood: &Fared, rate: f64, span_s: f64) {
    let came = (flood.answered + flood.refused + flood.lost) as f64 / span_s;
    let answered = flood.answered as f64 / span_s;
    println!(
        "{receivers} receivers, {:.1} times as many, {came:.0} calls/s came: {answered:.0} calls/s answered, {:.2} of the normal, {} \
         turned away, {} lost",
        came / rate,
        flood.answered as f64 / normal.answered as f64,
        flood.refused,
        flood.lost
    );
    println!(
        "{receivers} receivers: answers half within {:.2} ms, 99 of 100 within {:.2} ms, the last {:.2} ms",
        flood.half_ms, flood.most_ms, flood.last_ms
    );
}

/// What the service itself counts.
#[derive(Debug, Clone, Default)]
struct Counts {
    ok: u64,
    exhausted: u64,
    other: u64,
    waiting: u64,
    places: u64,
}

impl Counts {
    fn of(daemon: &Daemon) -> Self {
        let text = daemon.metrics();
        let mut counts = Self::default();
        for (name, count) in text.lines().filter_map(|line| line.rsplit_once(' ')) {
            let count = count.parse().unwrap_or(0.0) as u64;
            if name.starts_with("baybook_call_duration_seconds_count") && !name.contains("grpc.health") {
                let code = name.split("code=\"").nth(1).unwrap_or_default().trim_end_matches("\"}");
                *match code {
                    "OK" => &mut counts.ok,
                    "RESOURCE_EXHAUSTED" => &mut counts.exhausted,
                    _ => &mut counts.other,
                } += count;
            }
            match name {
                "baybook_shed_total{what=\"waiting\"}" => counts.waiting = count,
                "baybook_shed_total{what=\"calls\"}" => counts.places = count,
                _ => {}
            }
        }
        counts
    }

    fn since(&self, before: &Self) -> Self {
        Self {
            ok: self.ok - before.ok,
            exhausted: self.exhausted - before.exhausted,
            other: self.other - before.other,
            waiting: self.waiting - before.waiting,
            places: self.places - before.places,
        }
    }
}

/// Lays the demonstration's book, with many more receivers.
fn book(folder: &Path, receivers: usize) {
    for file in fs::read_dir(demo_book()).expect("the demo has a book").flatten() {
        fs::copy(file.path(), folder.join(file.file_name())).expect("the demo's files are readable");
    }
    let text = fs::read_to_string(demo_book().join("receivers.json")).expect("the demo has receivers");
    let known: Vec<serde_json::Value> = serde_json::from_str(&text).expect("they are JSON");
    let first = known.first().expect("there is one");
    let more: Vec<_> = (0..receivers)
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

/// How an ordinary client fared, and what it was told of the health.
#[derive(Debug, Default)]
struct Beside {
    answered: usize,
    told: usize,
    otherwise: usize,
    healthy: usize,
    unhealthy: usize,
    health: Vec<Duration>,
}

/// Makes a call and asks for the health twenty times a second.
async fn beside(address: SocketAddr, span: Duration) -> Beside {
    let mut beside = Beside::default();
    let mut calls = CalculatorServiceClient::new(connect(address).await);
    let mut health = tonic_health::pb::health_client::HealthClient::new(connect(address).await);
    let end = Instant::now() + span;
    while Instant::now() < end {
        let begun = Instant::now();
        match health.check(tonic_health::pb::HealthCheckRequest::default()).await {
            Ok(reply) if reply.get_ref().status == 1 => beside.healthy += 1,
            _ => beside.unhealthy += 1,
        }
        beside.health.push(begun.elapsed());
        match calls.fit_receivers(question()).await {
            Ok(_) => beside.answered += 1,
            Err(status) => {
                let retry = status.get_details_retry_info().and_then(|info| info.retry_delay);
                let told = status.code() == Code::ResourceExhausted && retry.is_some();
                *if told { &mut beside.told } else { &mut beside.otherwise } += 1;
            }
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    beside
}

fn share_ms(mut times: Vec<Duration>, share: f64) -> f64 {
    times.sort_unstable();
    let at = ((times.len() as f64 * share) as usize).min(times.len().saturating_sub(1));
    times.get(at).map_or(0.0, |time| time.as_secs_f64() * 1e3)
}
