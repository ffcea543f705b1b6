//! The program against a service of its own that it also hosts.

use std::{
    io::{BufRead as _, BufReader},
    process::{Child, Command, Stdio},
};

use super::{BOOK, check::sheet, heard, root, run};

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

/// The demo's sheet with rows that nobody can read, on either side, and names that are not in the book.
fn sheet_with_faults() -> String {
    let text = sheet(',', |row, heading, _| match (row, heading) {
        (2, "trailer_mass") => Some("heavy"),
        (4, "trailer_mass") => Some("-40 kg"),
        (6, "vehicle") => Some("van-l53"),
        _ => None,
    });
    format!("{text}only,three,cells\r\n")
}

#[test]
fn a_sheet_checked_over_the_wire_and_in_this_process_gives_the_same_bytes() {
    let folder = tempfile::tempdir().unwrap();
    let sheet = folder.path().join("fleet.csv");
    std::fs::write(&sheet, sheet_with_faults()).unwrap();
    let served = Served::start(&["--book", BOOK]);
    for format in ["table", "json", "ndjson", "csv"] {
        for more in [&["--show", "all"][..], &["--show", "all", "--findings", "--figures"], &["--show", "blocked"]] {
            let args = [&["check", sheet.to_str().unwrap(), "--format", format][..], more].concat();
            let over = |place: [&str; 2]| run(&[&args[..], &place].concat(), 3);
            let (wire, said) = over(["--server", &served.address]);
            let (here, said_here) = over(["--book", BOOK]);
            // How long it took is no answer.
            let timeless = |data: &str| match data.rsplit_once(" at book revision 1 in ") {
                Some((before, after)) => format!("{before}{}", after.split_once(" s").unwrap().1),
                None => data.to_owned(),
            };
            assert_eq!(timeless(&wire), timeless(&here), "{format} {more:?}");
            assert_eq!((said, said_here), (String::new(), String::new()));
            assert!(here.contains("van-l53") && here.contains("heavy"), "{here}");
        }
    }
    // What ends a stream is told alike, but for who is asked to look.
    let empty = folder.path().join("empty.csv");
    std::fs::write(&empty, "unit,vehicle\n").unwrap();
    let over =
        |place: [&str; 2]| run(&[&["check", empty.to_str().unwrap(), "--format", "json"], &place[..]].concat(), 0);
    assert_eq!(over(["--server", &served.address]), over(["--book", BOOK]));
    assert_eq!(served.stop("-TERM"), Some(0));
}

#[test]
fn long_lines_travel_in_messages_of_bounded_size() {
    // Each of these lines is far below what a line may have, and together they exceed one message by far.
    let note = "n".repeat(200 << 10);
    let line = |unit: usize| {
        format!("{{\"unit\":\"U{unit}\",\"vin\":\"{note}\",\"vehicle\":{{\"name\":\"vehicles/van-l35\"}}}}\n")
    };
    let folder = tempfile::tempdir().unwrap();
    let sheet = folder.path().join("long.ndjson");
    std::fs::write(&sheet, (0..64).map(line).collect::<String>()).unwrap();
    let served = Served::start(&["--book", BOOK]);
    let over =
        |place: [&str; 2]| run(&[&["check", sheet.to_str().unwrap(), "--format", "csv"], &place[..]].concat(), 2);
    let (wire, here) = (over(["--server", &served.address]), over(["--book", BOOK]));
    assert_eq!(wire, here);
    assert_eq!(here.0.matches("must have at most 64 characters").count(), 64);
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
    assert!(history.contains("M. Oduya  -       label: kerb -> high kerb\n"), "{history}");
    assert!(history.contains("R. Vance  -       new"), "{history}");
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
    let mut command = heard();
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
