//! Calls per second, 16 in flight over one machine's loopback, against an empty tonic handler that gives the same reply
//! in the same run. A benchmark, not a test: it prints, and fails only when a call does.
//!
//! `cargo bench -p baybook-benches --bench calls [-- --quick]`

#![expect(clippy::print_stdout, reason = "a benchmark prints what it measured")]

mod bare;
mod compare;

/// As in the program, for both sides.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

use std::{
    error::Error,
    net::SocketAddr,
    path::Path,
    sync::Arc,
    time::{Duration, Instant},
};

use baybook_proto::v1 as pb;
use baybook_server::{Config, EngineKind, Limits, embed};
use pb::{
    calculator_service_client::CalculatorServiceClient, calculator_service_server::CalculatorServiceServer,
    spec_book_service_client::SpecBookServiceClient, spec_book_service_server::SpecBookServiceServer,
};
use tonic::transport::{Channel, Endpoint, Server};

const IN_FLIGHT: usize = 16;

type Outcome<T> = Result<T, Box<dyn Error + Send + Sync>>;

fn main() -> Outcome<()> {
    let quick = std::env::args().any(|argument| argument == "--quick");
    tokio::runtime::Builder::new_multi_thread().enable_all().build()?.block_on(run(quick))
}

async fn run(quick: bool) -> Outcome<()> {
    let (rounds, span) = if quick { (3, Duration::from_millis(400)) } else { (9, Duration::from_secs(2)) };
    let ours = connect(start_ours().await?).await?;
    let entry = get(&ours).await?;
    let torque = adjust(&ours).await?;
    let floor = bare::Floor { entry: Arc::new(entry), torque: Arc::new(torque) };
    let floor = connect(start_floor(floor).await?).await?;

    for (what, call) in [("GetEntry", Call::Get), ("AdjustTorque", Call::Adjust)] {
        let (mut mine, mut bare) = (Vec::new(), Vec::new());
        rate(&ours, call, span / 4).await?;
        rate(&floor, call, span / 4).await?;
        for _ in 0..rounds {
            mine.push(rate(&ours, call, span).await?);
            bare.push(rate(&floor, call, span).await?);
        }
        println!("{}", compare::line(&format!("{what}, {IN_FLIGHT} in flight"), "calls/s", &mine, &bare, ">= 0.80"));
    }
    Ok(())
}

#[derive(Clone, Copy)]
enum Call {
    Get,
    Adjust,
}

async fn rate(channel: &Channel, call: Call, span: Duration) -> Outcome<f64> {
    let begun = Instant::now();
    let mut workers = Vec::new();
    for _ in 0..IN_FLIGHT {
        let channel = channel.clone();
        workers.push(tokio::spawn(async move {
            let mut calls = 0_u64;
            while begun.elapsed() < span {
                match call {
                    Call::Get => drop(get(&channel).await?),
                    Call::Adjust => drop(adjust(&channel).await?),
                }
                calls += 1;
            }
            Outcome::Ok(calls)
        }));
    }
    let mut calls = 0;
    for worker in workers {
        calls += worker.await??;
    }
    Ok(calls as f64 / begun.elapsed().as_secs_f64())
}

async fn get(channel: &Channel) -> Outcome<pb::GetEntryResponse> {
    let request = pb::GetEntryRequest { name: "bolts/m12-109-40".to_owned(), min_revision: 0 };
    Ok(SpecBookServiceClient::new(channel.clone()).get_entry(request).await?.into_inner())
}

async fn adjust(channel: &Channel) -> Outcome<pb::AdjustTorqueResponse> {
    let finish = |name: &str| Some(pb::FinishRef { finish: Some(pb::finish_ref::Finish::Name(name.to_owned())) });
    let request = pb::AdjustTorqueRequest {
        bolt: Some(pb::BoltRef { bolt: Some(pb::bolt_ref::Bolt::Name("bolts/m12-109-40".to_owned())) }),
        condition: finish("finishes/anti-seize"),
        specified_condition: finish("finishes/zinc-dry"),
        method: pb::TighteningMethod::Torque.into(),
        window_share: Some(0.1),
        aim: Some(pb::adjust_torque_request::Aim::SpecifiedTorque(pb::Torque {
            value_n_m: Some(110.0),
            printed: String::new(),
        })),
        ..pb::AdjustTorqueRequest::default()
    };
    Ok(CalculatorServiceClient::new(channel.clone()).adjust_torque(request).await?.into_inner())
}

async fn connect(address: SocketAddr) -> Outcome<Channel> {
    let endpoint = Endpoint::from_shared(format!("http://{address}"))?;
    Ok(embed::tuned(endpoint, &Limits::default()).tcp_nodelay(true).connect().await?)
}

async fn start_ours() -> Outcome<SocketAddr> {
    let mut config = Config::layered(None, |_| None)?;
    config.listen = "127.0.0.1:0".parse()?;
    config.engine = EngineKind::Memory;
    config.book_folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../deploy/demo/book");
    let listener = baybook_server::bind(&config).await?;
    let address = listener.local_addr()?;
    let incoming = baybook_server::incoming(listener, &config)?;
    tokio::spawn(async move { baybook_server::serve(config, incoming, std::future::pending()).await });
    Ok(address)
}

async fn start_floor(floor: bare::Floor) -> Outcome<SocketAddr> {
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await?;
    let address = listener.local_addr()?;
    let router = Server::builder()
        .tcp_nodelay(true)
        .add_service(SpecBookServiceServer::new(floor.clone()))
        .add_service(CalculatorServiceServer::new(floor));
    let incoming = tonic::transport::server::TcpIncoming::from(listener).with_nodelay(Some(true));
    tokio::spawn(router.serve_with_incoming(incoming));
    Ok(address)
}
