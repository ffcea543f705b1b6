//! What a durable put costs through gRPC, beside a bare append and `fdatasync` on the same disk in the same run. A
//! benchmark, not a test: it prints, and fails only when a call does.
//!
//! The service runs in this process, on a free port of this machine's loopback, with its book on disk where temporary files
//! go; set `TMPDIR` to measure another disk. Writers wait for one put before they send the next.
//!
//! `cargo bench -p baybook-benches --bench durable [-- --quick]`

#![expect(clippy::print_stdout, reason = "a benchmark prints what it measured")]

mod compare;

/// As in the program.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

use std::{
    error::Error,
    fs::OpenOptions,
    io::Write as _,
    net::SocketAddr,
    path::Path,
    time::{Duration, Instant},
};

use baybook_proto::v1 as pb;
use baybook_server::{Config, EngineKind, Limits, embed};
use pb::spec_book_service_client::SpecBookServiceClient;
use prost::Message as _;
use tonic::transport::{Channel, Endpoint};

/// Writers at the same time, and over how many connections they are spread.
const WRITERS: usize = 64;
const SPREADS: [usize; 2] = [8, 64];

/// Entries that each writer puts again and again.
const NAMES: usize = 100;

/// What a commit has on disk beside its entry's own bytes: sums, chain, revision, time, author, name.
const FRAME_BYTES: usize = 200;

type Outcome<T> = Result<T, Box<dyn Error + Send + Sync>>;

fn main() -> Outcome<()> {
    let quick = std::env::args().any(|argument| argument == "--quick");
    let folder = tempfile::tempdir()?;
    tokio::runtime::Builder::new_multi_thread().enable_all().build()?.block_on(run(quick, folder.path()))
}

async fn run(quick: bool, folder: &Path) -> Outcome<()> {
    let (rounds, span) = if quick { (3, Duration::from_millis(500)) } else { (7, Duration::from_secs(2)) };
    let address = start(folder.join("book")).await?;
    let one = connect(address).await?;
    let (mut floors, mut lone) = (Vec::new(), Vec::new());
    let mut rates = SPREADS.map(|_| Vec::new());
    let mut spreads = Vec::new();
    for connections in SPREADS {
        let mut channels = Vec::new();
        for _ in 0..connections {
            channels.push(connect(address).await?);
        }
        spreads.push(channels);
    }
    write(std::slice::from_ref(&one), 1, span / 4).await?;
    // First the one writer, who would else wait while the second copy takes in what the many have put.
    for _ in 0..rounds {
        floors.push(middle(bare(&folder.join("floor"), span / 2)?));
        lone.push(middle(write(std::slice::from_ref(&one), 1, span / 2).await?));
    }
    for _ in 0..rounds {
        for (channels, rates) in spreads.iter().zip(&mut rates) {
            let begun = Instant::now();
            let puts = write(channels, WRITERS, span).await?;
            rates.push((puts.len() as f64 / begun.elapsed().as_secs_f64(), middle(puts)));
        }
    }
    println!("{}", compare::line("PutEntry, 1 writer, p50", "us", &lone, &floors, "<= 3.00"));
    for (connections, rates) in SPREADS.iter().zip(&rates) {
        let (least, rate, most) = compare::spread(rates.iter().map(|(rate, _)| *rate).collect());
        let (_, wait, _) = compare::spread(rates.iter().map(|(_, wait)| *wait).collect());
        println!(
            "PutEntry, {WRITERS} writers on {connections:2} connections {rate:10.0} puts/s ({least:.0} to {most:.0}), bar >= 15000; p50 {wait:.0} us"
        );
    }
    let (_, floor, _) = compare::spread(floors);
    println!("floor: one append and fdatasync {floor:.0} us, {:.0} a second", 1e6 / floor);
    Ok(())
}

fn middle(times: Vec<f64>) -> f64 {
    compare::spread(times).1
}

/// Appends what one commit appends, and syncs it, again and again; microseconds each.
fn bare(path: &Path, span: Duration) -> Outcome<Vec<f64>> {
    let mut file = OpenOptions::new().create(true).append(true).open(path)?;
    let bytes = vec![0x5a; entry("bolts/w-00-000", 0).encoded_len() + FRAME_BYTES];
    let begun = Instant::now();
    let mut times = Vec::new();
    while begun.elapsed() < span {
        let one = Instant::now();
        file.write_all(&bytes)?;
        file.sync_data()?;
        times.push(one.elapsed().as_secs_f64() * 1e6);
    }
    Ok(times)
}

/// Lets writers put for a while; microseconds each put.
async fn write(channels: &[Channel], writers: usize, span: Duration) -> Outcome<Vec<f64>> {
    let begun = Instant::now();
    let mut running = Vec::new();
    for writer in 0..writers {
        let channel = channels[writer % channels.len()].clone();
        running.push(tokio::spawn(async move {
            let mut client = SpecBookServiceClient::new(channel);
            let mut times = Vec::new();
            while begun.elapsed() < span {
                let number = times.len();
                let entry = entry(&format!("bolts/w-{writer:02}-{:03}", number % NAMES), number);
                let request = pb::PutEntryRequest { entry: Some(entry), ..pb::PutEntryRequest::default() };
                let one = Instant::now();
                client.put_entry(request).await?;
                times.push(one.elapsed().as_secs_f64() * 1e6);
            }
            Outcome::Ok(times)
        }));
    }
    let mut times = Vec::new();
    for writer in running {
        times.extend(writer.await??);
    }
    Ok(times)
}

/// A bolt as a shop would enter it.
fn entry(name: &str, number: usize) -> pb::Entry {
    let bolt = pb::Bolt { label: format!("M12 x 40, {number}"), thread: "M12".to_owned(), ..pb::Bolt::default() };
    pb::Entry {
        name: name.to_owned(),
        etag: "*".to_owned(),
        note: "as on the bag of the kit; counted again at the spring stock-taking".to_owned(),
        spec: Some(pb::entry::Spec::Bolt(bolt)),
        ..pb::Entry::default()
    }
}

async fn connect(address: SocketAddr) -> Outcome<Channel> {
    let endpoint = Endpoint::from_shared(format!("http://{address}"))?;
    Ok(embed::tuned(endpoint, &Limits::default()).tcp_nodelay(true).connect().await?)
}

async fn start(data_dir: std::path::PathBuf) -> Outcome<SocketAddr> {
    let mut config = Config::layered(None, |_| None)?;
    config.listen = "127.0.0.1:0".parse()?;
    (config.engine, config.data_dir) = (EngineKind::Sled, data_dir);
    let listener = baybook_server::bind(&config).await?;
    let address = listener.local_addr()?;
    let incoming = baybook_server::incoming(listener, &config)?;
    tokio::spawn(async move { baybook_server::serve(config, incoming, std::future::pending()).await });
    Ok(address)
}
