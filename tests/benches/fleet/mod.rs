//! Callers of one kind of call, made of prepared frames of HTTP/2: a process of its own, to which a call costs a few
//! microseconds, because a fleet of callers does not run on the service's machine.
//!
//! A call is timed from when it was due, whether or not it could be sent then: what waits at the caller counts. An answer
//! that is one frame of headers is a refusal; why it was one is told by the service's own counters and by ordinary callers
//! beside this one.

#[path = "../../tests/hostile/frame.rs"]
mod frame;
mod wire;

use std::{
    collections::VecDeque,
    io,
    net::SocketAddr,
    process::{Command, Stdio},
    time::{Duration, Instant},
};

use serde::{Deserialize, Serialize};
use tokio::net::TcpStream;
use wire::{Seen, Wire};

/// The argument that makes this program the callers.
const CALLERS: &str = "--callers";

/// How long answers are waited for after the last call.
const PATIENCE: Duration = Duration::from_secs(10);

/// What is called.
#[derive(Debug, Clone, Copy)]
pub struct Kind<'a> {
    pub path: &'static str,
    pub message: &'a [u8],
}

/// How calls come.
#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
pub struct Load {
    pub address: SocketAddr,
    pub connections: usize,
    pub span_s: f64,
    /// Calls a second of all together, whether answered or not; without it, each connection waits for its answer.
    pub rate: Option<f64>,
}

/// How they fared, and what it took to make them.
#[derive(Debug, Default, Clone, Serialize, Deserialize)]
pub struct Fared {
    pub answered: usize,
    /// Told to come back, or refused for another reason.
    pub refused: usize,
    /// Without an answer when the patience was over, or when the connection was.
    pub lost: usize,
    /// How long answers took that half, and 99 of 100, had by then, and the last of them.
    pub half_ms: f64,
    pub most_ms: f64,
    pub last_ms: f64,
    /// How long refusals took, 99 of 100.
    pub refusal_ms: f64,
    /// How long after they were due 99 of 100 calls were sent.
    pub late_ms: f64,
    /// Processor time that these callers took.
    pub processor_s: f64,
}

/// Starts the callers in a process of their own, and returns how they fared.
pub fn call(load: Load) -> Fared {
    let mut command = Command::new(std::env::current_exe().expect("this benchmark is a file"));
    command.arg(CALLERS).arg(serde_json::to_string(&load).expect("it is JSON")).stderr(Stdio::inherit());
    let output = command.output().expect("the callers start");
    serde_json::from_slice(&output.stdout).expect("the callers tell how they fared")
}

/// Makes the calls from this process, when the arguments say so.
pub fn is_asked(kind: Kind<'_>) -> bool {
    let Some(load) = std::env::args().skip_while(|argument| argument != CALLERS).nth(1) else { return false };
    let load: Load = serde_json::from_str(&load).expect("it is JSON");
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().expect("a runtime starts");
    let fared = runtime.block_on(all(load, kind));
    println!("{}", serde_json::to_string(&fared).expect("it is JSON"));
    true
}

async fn all(load: Load, kind: Kind<'_>) -> Fared {
    let mut wires = Vec::new();
    for _ in 0..load.connections {
        let stream = TcpStream::connect(load.address).await.expect("the service is there");
        stream.set_nodelay(true).expect("the system knows it");
        wires.push(Wire::new(stream, kind));
    }
    let begun = Instant::now();
    let end = begun + Duration::from_secs_f64(load.span_s);
    let tasks: Vec<_> =
        wires.into_iter().enumerate().map(|(number, wire)| one(wire, load, number, begun, end)).collect();
    let mut tally = Tally::default();
    for one in futures(tasks).await {
        tally.add(one);
    }
    tally.read()
}

/// Runs them side by side on this thread.
async fn futures<F: Future>(all: Vec<F>) -> Vec<F::Output> {
    let mut all: Vec<_> = all.into_iter().map(|one| (Box::pin(one), None)).collect();
    std::future::poll_fn(|cx| {
        for (one, done) in &mut all {
            if done.is_none()
                && let std::task::Poll::Ready(output) = one.as_mut().poll(cx)
            {
                *done = Some(output);
            }
        }
        if all.iter().all(|(_, done)| done.is_some()) { std::task::Poll::Ready(()) } else { std::task::Poll::Pending }
    })
    .await;
    all.into_iter().filter_map(|(_, done)| done).collect()
}

/// What one connection came to.
#[derive(Debug, Default)]
struct Tally {
    answered: Vec<Duration>,
    refused: Vec<Duration>,
    late: Vec<Duration>,
    lost: usize,
}

impl Tally {
    fn add(&mut self, other: Self) {
        self.answered.extend(other.answered);
        self.refused.extend(other.refused);
        self.late.extend(other.late);
        self.lost += other.lost;
    }

    fn read(mut self) -> Fared {
        Fared {
            answered: self.answered.len(),
            refused: self.refused.len(),
            lost: self.lost,
            half_ms: share_ms(&mut self.answered, 0.5),
            most_ms: share_ms(&mut self.answered, 0.99),
            last_ms: share_ms(&mut self.answered, 1.0),
            refusal_ms: share_ms(&mut self.refused, 0.99),
            late_ms: share_ms(&mut self.late, 0.99),
            processor_s: crate::daemon::processor_s("self"),
        }
    }
}

/// The time within which that share of them was over; 0 without any.
fn share_ms(times: &mut [Duration], share: f64) -> f64 {
    times.sort_unstable();
    let at = ((times.len() as f64 * share) as usize).min(times.len().saturating_sub(1));
    times.get(at).map_or(0.0, |time| time.as_secs_f64() * 1e3)
}

/// Makes the calls of one connection until the time is over, then waits for the answers that are out.
async fn one(mut wire: Wire, load: Load, number: usize, begun: Instant, end: Instant) -> Tally {
    let mut tally = Tally::default();
    let mut due: VecDeque<Instant> = VecDeque::new();
    // Calls of all connections are spread evenly over time.
    let every = load.rate.map(|rate| Duration::from_secs_f64(load.connections as f64 / rate));
    let mut next = begun + every.unwrap_or_default().mul_f64(number as f64 / load.connections as f64);
    loop {
        let now = Instant::now();
        match every {
            Some(every) => {
                while next <= now && next < end {
                    due.push_back(next);
                    next += every;
                }
            }
            None if now < end && wire.open() == 0 && due.is_empty() => due.push_back(now),
            None => {}
        }
        while let Some(since) = due.front().copied()
            && wire.send(since)
        {
            due.pop_front();
            tally.late.push(now.saturating_duration_since(since));
        }
        let over = end <= now && (every.is_none() || end <= next);
        if wire.flush().is_err() || (over && due.is_empty() && wire.open() == 0) || end + PATIENCE <= now {
            break;
        }
        let wake = if next < end && every.is_some() { next } else { now + Duration::from_millis(50) };
        let ready = tokio::time::timeout_at(wake.into(), wire.ready()).await;
        if ready.is_ok() && seen(&mut wire, &mut tally).is_err() {
            break;
        }
    }
    tally.lost = wire.open() + due.len() + wire.lost;
    tally
}

/// Reads what has come.
fn seen(wire: &mut Wire, tally: &mut Tally) -> io::Result<()> {
    wire.read(|seen, since| match seen {
        Seen::Answer => tally.answered.push(since.elapsed()),
        Seen::Refusal => tally.refused.push(since.elapsed()),
    })
}
