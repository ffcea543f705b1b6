//! One call of the command line against a running server, against an empty clap program that makes one empty call.
//! A benchmark, not a test: it prints times and their ratio.
//!
//! `cargo bench -p baybook-benches --bench command [-- --quick]`

#![expect(clippy::print_stdout, reason = "a benchmark prints what it measured")]

mod bare;
mod compare;

use std::{
    error::Error,
    path::Path,
    process::{Command, Stdio},
    sync::Arc,
    time::Instant,
};

use baybook_proto::v1 as pb;
use pb::steward_service_server::StewardServiceServer;
use tonic::transport::Server;

type Outcome<T> = Result<T, Box<dyn Error + Send + Sync>>;

fn main() -> Outcome<()> {
    let quick = std::env::args().any(|argument| argument == "--quick");
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build()?;
    let bare = runtime.block_on(start_floor())?;
    let mut server = Command::new(env!("CARGO_BIN_EXE_bench-baybook"))
        .args(["serve", "--listen", "127.0.0.1:0", "--book"])
        .arg(top.join("deploy/demo/book"))
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()?;
    let ours = address_of(&mut server)?;

    let rounds = if quick { 30 } else { 200 };
    let (mut mine, mut floor) = (Vec::new(), Vec::new());
    for _ in 0..rounds {
        let call = ["book", "get", "bolts/m12-109-40", "--server"];
        mine.push(time(Command::new(env!("CARGO_BIN_EXE_bench-baybook")).args(call).arg(&ours))?);
        floor.push(time(Command::new(env!("CARGO_BIN_EXE_bench-empty-call")).arg("--server").arg(&bare))?);
    }
    println!("{}", compare::line("one call of the command line", "ms", &mine, &floor, "<= 2"));
    server.kill()?;
    server.wait()?;
    Ok(())
}

fn time(command: &mut Command) -> Outcome<f64> {
    let begun = Instant::now();
    let exit = command.stdout(Stdio::null()).stderr(Stdio::null()).status()?;
    let took = begun.elapsed().as_secs_f64() * 1000.0;
    if exit.success() { Ok(took) } else { Err(format!("{command:?} ended with {exit}").into()) }
}

fn address_of(server: &mut std::process::Child) -> Outcome<String> {
    use std::io::BufRead as _;
    let talk = server.stderr.take().ok_or("the server says nothing")?;
    let mut lines = std::io::BufReader::new(talk).lines();
    while let Some(line) = lines.next().transpose()? {
        if let Some(address) = line.split("listening on ").nth(1) {
            let address = format!("http://{}", address.trim());
            // Keep reading, so that the server never waits for us.
            std::thread::spawn(move || lines.for_each(drop));
            return Ok(address);
        }
    }
    Err("the server did not say where it listens".into())
}

async fn start_floor() -> Outcome<String> {
    let floor = bare::Floor {
        entry: Arc::new(pb::GetEntryResponse::default()),
        torque: Arc::new(pb::AdjustTorqueResponse::default()),
    };
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await?;
    let address = listener.local_addr()?;
    let router = Server::builder().add_service(StewardServiceServer::new(floor));
    // Without it the floor would wait 40 ms for an acknowledgement, and no bar could be missed.
    let incoming = tonic::transport::server::TcpIncoming::from(listener).with_nodelay(Some(true));
    tokio::spawn(router.serve_with_incoming(incoming));
    Ok(format!("http://{address}"))
}
