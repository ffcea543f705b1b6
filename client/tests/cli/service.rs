//! The program against a service of its own that it also hosts.

use std::{
    io::{BufRead as _, BufReader},
    process::{Child, Command, Stdio},
};

use super::{BOOK, root, run};

/// A service that is stopped when the test is over.
struct Served {
    child: Child,
    address: String,
}

impl Served {
    fn start(args: &[&str]) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_baybook"));
        command.current_dir(root()).args(["serve", "--listen", "127.0.0.1:0", "--log", "error"]).args(args);
        let mut child = command.stderr(Stdio::piped()).stdout(Stdio::null()).spawn().unwrap();
        let mut lines = BufReader::new(child.stderr.take().unwrap()).lines();
        let line = lines.next().unwrap().unwrap();
        let address = line.strip_prefix("listening on ").unwrap().to_owned();
        assert!(address.starts_with("127.0.0.1:") && !address.ends_with(":0"), "{address}");
        Self { child, address }
    }

    /// Sends a signal and returns how the service ended.
    fn stop(mut self, signal: &str) -> Option<i32> {
        Command::new("kill").args([signal, &self.child.id().to_string()]).status().unwrap();
        self.child.wait().unwrap().code()
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
fn a_call_over_the_wire_prints_what_the_embedded_service_prints() {
    let served = Served::start(&["--book", BOOK]);
    let args = [
        "torque",
        "--bolt",
        "bolts/m12-88-40",
        "--nut",
        "nuts/m12-8",
        "--condition",
        "finishes/oiled",
        "--specified",
        "79 N·m",
        "--specified-condition",
        "finishes/zinc-dry",
        "--method",
        "torque",
        "--window",
        "10 %",
    ];
    let over = |place: [&str; 2], format: &str| run(&[&args[..], &place, &["--format", format]].concat(), 0).0;
    for format in ["table", "json", "ndjson", "csv"] {
        assert_eq!(over(["--server", &served.address], format), over(["--book", BOOK], format), "{format}");
    }
    run(&["book", "get", "bolts/nobody", "--server", &served.address], 4);
    run(&["info", "--server", &format!("http://{}", served.address)], 0);
    assert_eq!(served.stop("-TERM"), Some(0));
}

#[test]
fn a_change_is_kept_and_a_stale_one_refused() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("data");
    let served = Served::start(&["--data", data.to_str().unwrap()]);
    let place = ["--server", &served.address];
    let file = folder.path().join("terrain.json");
    let points = r#""points": [{"run_mm": 0, "rise_mm": 0}, {"run_mm": 1000, "rise_mm": 80}]"#;
    std::fs::write(&file, format!(r#"{{"name": "terrains/kerb", "terrain": {{"label": "kerb", {points}}}}}"#)).unwrap();
    let put = |more: &[&str], exit| run(&[&["book", "put", file.to_str().unwrap()], &place[..], more].concat(), exit);
    put(&["--check-only"], 0);
    run(&["book", "get", "terrains/kerb", "--server", &served.address], 4);
    put(&["--author", "R. Vance", "--request-id", "one"], 0);
    put(&[], 5);
    std::fs::write(&file, format!(r#"{{"name": "terrains/kerb", "terrain": {{"label": "high kerb", {points}}}}}"#))
        .unwrap();
    put(&["--etag", "*", "--author", "M. Oduya"], 0);
    put(&["--etag", "r1"], 5);
    let (history, _) = run(&["book", "history", "terrains/kerb", "--server", &served.address], 0);
    assert!(history.contains("M. Oduya  label: \"kerb\" -> \"high kerb\""), "{history}");
    assert!(history.contains("R. Vance  new"), "{history}");
    assert_eq!(served.stop("-INT"), Some(0));
    let (entry, _) = run(&["book", "get", "terrains/kerb", "--data", data.to_str().unwrap()], 0);
    assert!(entry.starts_with("terrains/kerb  high kerb\n"), "{entry}");
    run(&["book", "remove", "terrains/kerb", "--etag", "*", "--data", data.to_str().unwrap()], 0);
    run(&["book", "get", "terrains/kerb", "--data", data.to_str().unwrap()], 4);
}

#[test]
fn a_port_that_is_taken_is_5() {
    let served = Served::start(&["--book", BOOK]);
    let (_, said) = run(&["serve", "--book", BOOK, "--listen", &served.address], 5);
    assert!(said.contains("another port"), "{said}");
}

#[test]
fn interrupted_while_it_waits_it_ends_without_a_word() {
    // A listener that never answers: the call hangs until it is interrupted.
    let silent = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let address = silent.local_addr().unwrap().to_string();
    let mut command = Command::new(env!("CARGO_BIN_EXE_baybook"));
    let child =
        command.args(["info", "--server", &address]).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let _accepted = silent.accept().unwrap();
    Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap();
    let output = child.wait_with_output().unwrap();
    assert!(!output.status.success());
    assert_eq!((output.stdout, output.stderr), (Vec::new(), Vec::new()));
    let (_, said) = run(&["info", "--server", &address, "--deadline", "200ms"], 7);
    assert!(said.contains("--deadline"), "{said}");
}
