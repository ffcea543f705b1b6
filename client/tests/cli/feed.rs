//! The feed of changes as dispatch software uses it: lines, the cursor file, restarts of both sides.

use std::{
    fs,
    io::{BufRead as _, BufReader},
    path::{Path, PathBuf},
    process::{Child, Command, Output, Stdio},
    sync::{Arc, Mutex},
    thread::JoinHandle,
    time::{Duration, Instant},
};

use serde_json::Value;

use super::{BOOK, root, run};

/// A service on a data folder, on a port that it keeps from one life to the next.
struct Served {
    child: Child,
    address: String,
}

impl Served {
    fn start(data: &Path, listen: &str) -> Self {
        let end = Instant::now() + Duration::from_secs(30);
        loop {
            let mut command = Command::new(env!("CARGO_BIN_EXE_baybook"));
            command.current_dir(root()).args(["serve", "--listen", listen, "--log", "error", "--data"]).arg(data);
            let mut child = command.stderr(Stdio::piped()).stdout(Stdio::null()).spawn().unwrap();
            let mut lines = BufReader::new(child.stderr.take().unwrap()).lines();
            let line = lines.next().unwrap().unwrap();
            if let Some(address) = line.strip_prefix("listening on ") {
                return Self { address: address.to_owned(), child };
            }
            // The port of one that was killed may be held for a moment.
            child.wait().unwrap();
            assert!(Instant::now() < end, "{line}");
            std::thread::sleep(Duration::from_millis(100));
        }
    }

    fn kill(mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A feed that is running, and the lines it has written.
struct Feed {
    child: Child,
    lines: Arc<Mutex<Vec<Value>>>,
    reader: Option<JoinHandle<()>>,
}

impl Feed {
    fn start(args: &[&str]) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_baybook"));
        command.args(["feed", "--format", "ndjson"]).args(args).stdout(Stdio::piped()).stderr(Stdio::null());
        let mut child = command.spawn().unwrap();
        let out = BufReader::new(child.stdout.take().unwrap());
        let lines = Arc::new(Mutex::new(Vec::new()));
        let taken = Arc::clone(&lines);
        let reader = std::thread::spawn(move || {
            for line in out.lines().map_while(Result::ok) {
                // A kill may cut the last line short; it comes again.
                let Ok(value) = serde_json::from_str(&line) else { continue };
                taken.lock().unwrap().push(value);
            }
        });
        Self { child, lines, reader: Some(reader) }
    }

    fn wait_for(&self, count: usize) {
        let end = Instant::now() + Duration::from_secs(60);
        while commits(&self.lines.lock().unwrap()).len() < count {
            assert!(Instant::now() < end, "{count} commits, and {:?}", commits(&self.lines.lock().unwrap()));
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// Sends a signal; returns how the feed ended and what it wrote.
    fn stop(mut self, signal: &str) -> (Option<i32>, Vec<Value>) {
        Command::new("kill").args([signal, &self.child.id().to_string()]).status().unwrap();
        let code = self.child.wait().unwrap().code();
        self.reader.take().unwrap().join().unwrap();
        (code, self.lines.lock().unwrap().clone())
    }
}

/// The revision and the cursor of every commit among the lines.
fn commits(lines: &[Value]) -> Vec<(u64, String)> {
    let commits = lines.iter().filter_map(|line| line.get("commit"));
    let text = |commit: &Value, field: &str| commit[field].as_str().unwrap().to_owned();
    commits.map(|commit| (text(commit, "revision").parse().unwrap(), text(commit, "cursor"))).collect()
}

fn parsed(data: &str) -> Vec<Value> {
    data.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

/// Changes one entry; returns the revision.
fn change(folder: &Path, place: [&str; 2], number: u64) {
    let file = folder.join("terrain.json");
    let points = r#""points": [{"run_mm": 0, "rise_mm": 0}, {"run_mm": 1000, "rise_mm": 80}]"#;
    let entry = format!(r#"{{"name": "terrains/kerb", "terrain": {{"label": "kerb {number}", {points}}}}}"#);
    fs::write(&file, entry).unwrap();
    run(&["book", "put", file.to_str().unwrap(), "--etag", "*", place[0], place[1]], 0);
}

#[test]
fn a_snapshot_is_told_between_two_marks_and_a_kind_alone() {
    let (data, said) = run(&["feed", "--book", BOOK, "--until-caught-up", "--format", "ndjson"], 0);
    assert_eq!(said, "");
    let lines = parsed(&data);
    // That the whole book was taken is itself written down in it.
    assert_eq!(lines[0]["snapshot_begin"]["revision"], "2");
    let (end, entries) = (&lines[lines.len() - 1], &lines[1..lines.len() - 1]);
    let (exported, _) = run(&["book", "export", "--book", BOOK], 0);
    let names = |entries: &mut dyn Iterator<Item = &Value>| {
        entries.map(|entry| entry["name"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    assert_eq!(names(&mut entries.iter().map(|line| &line["entry"])), names(&mut parsed(&exported).iter()));
    assert_eq!(end["snapshot_end"]["entry_count"], entries.len().to_string());
    let (data, _) = run(&["feed", "--book", BOOK, "--until-caught-up", "--kind", "terrains"], 0);
    assert!(data.starts_with("terrains/") && data.contains(" entries at revision 2\n"), "{data}");
    assert!(!data.contains("vehicles/"));
    // From now there is nothing to tell but where now is.
    let now = ["feed", "--book", BOOK, "--until-caught-up", "--from", "now", "--bookmarks", "--format", "ndjson"];
    let lines = parsed(&run(&now, 0).0);
    assert_eq!((lines.len(), &lines[0]["revision"]), (1, &Value::from("1")));
}

#[test]
fn what_cannot_be_followed_is_told() {
    let refused = |args: &[&str], exit, told: &str| {
        let (data, said) = run(&[&["feed", "--book", BOOK, "--until-caught-up"], args].concat(), exit);
        assert_eq!(data, "");
        assert!(said.contains(told), "{said}");
    };
    refused(&["--format", "json"], 2, "--format ndjson");
    refused(&["--from", "yesterday"], 2, "--from (cursor)");
    // A well-formed cursor of another book.
    let (data, _) =
        run(&["feed", "--book", BOOK, "--until-caught-up", "--from", "now", "--bookmarks", "--format", "ndjson"], 0);
    let cursor = parsed(&data)[0]["bookmark"]["cursor"].as_str().unwrap().to_owned();
    refused(&["--from", &cursor], 4, "baybook feed --from start");
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("feed.cursor");
    fs::write(&file, format!("{cursor}\n")).unwrap();
    refused(&["--cursor-file", file.to_str().unwrap()], 4, "remove ");
    fs::write(&file, "two words\n").unwrap();
    refused(&["--cursor-file", file.to_str().unwrap()], 2, "one cursor");
    let away = ["feed", "--server", "127.0.0.1:9", "--patience", "300ms"];
    let (_, said) = run(&away, 7);
    assert!(said.contains("cannot be reached") && said.contains("trying again"), "{said}");
}

#[test]
fn the_cursor_file_goes_on_where_the_last_run_ended() {
    let folder = tempfile::tempdir().unwrap();
    let (data, file) = (folder.path().join("data"), folder.path().join("feed.cursor"));
    let place = ["--data", data.to_str().unwrap()];
    let feed = || {
        let args = ["feed", "--until-caught-up", "--format", "ndjson", "--cursor-file", file.to_str().unwrap()];
        parsed(&run(&[&args[..], &place].concat(), 0).0)
    };
    change(folder.path(), place, 1);
    let first = feed();
    assert_eq!((first.len(), commits(&first).len()), (3, 0), "{first:?}");
    for number in 2..5 {
        change(folder.path(), place, number);
    }
    let next = feed();
    // The second revision is the record of the snapshot.
    assert_eq!(commits(&next).iter().map(|(revision, _)| *revision).collect::<Vec<_>>(), [3, 4, 5]);
    assert_eq!(fs::read_to_string(&file).unwrap().trim(), commits(&next)[2].1);
    assert_eq!(feed(), Vec::<Value>::new());
}

#[test]
fn a_pipe_that_nobody_reads_ends_it_without_a_word_even_while_it_waits() {
    let program = PathBuf::from(env!("CARGO_BIN_EXE_baybook"));
    // Nothing happens after the snapshot: only the pipe can end it.
    let line = format!("timeout 60 {} feed --book {BOOK} --format ndjson | head -1", program.display());
    let output: Output =
        Command::new("bash").args(["-o", "pipefail", "-c", &line]).current_dir(root()).output().unwrap();
    assert_eq!((output.status.code(), output.stderr), (Some(0), Vec::new()));
    assert!(output.stdout.starts_with(b"{\"snapshot_begin\""));
}

#[test]
fn a_signal_ends_it_in_good_order() {
    for (signal, code) in [("-INT", 130), ("-TERM", 0)] {
        let feed = Feed::start(&["--book", root().join(BOOK).to_str().unwrap(), "--bookmarks"]);
        let end = Instant::now() + Duration::from_secs(30);
        while !feed.lines.lock().unwrap().iter().any(|line| line.get("bookmark").is_some()) {
            assert!(Instant::now() < end);
            std::thread::sleep(Duration::from_millis(10));
        }
        assert_eq!(feed.stop(signal).0, Some(code), "{signal}");
    }
}

#[test]
fn both_sides_may_be_killed_and_nothing_is_missed() {
    let folder = tempfile::tempdir().unwrap();
    let (data, file) = (folder.path().join("data"), folder.path().join("feed.cursor"));
    let mut served = Served::start(&data, "127.0.0.1:0");
    let address = served.address.clone();
    let place = ["--server", address.as_str()];
    let feed = || Feed::start(&["--server", &address, "--cursor-file", file.to_str().unwrap()]);
    let mut following = feed();
    let mut told: Vec<Value> = Vec::new();
    let mut written = 0;
    for round in 0..6 {
        for _ in 0..4 {
            written += 1;
            change(folder.path(), place, written);
        }
        if round % 2 == 0 {
            // The service goes without a word; the feed waits for it.
            served.kill();
            served = Served::start(&data, &address);
        } else {
            let (code, lines) = following.stop("-KILL");
            assert_eq!(code, None);
            told.extend(lines);
            following = feed();
        }
    }
    written += 1;
    change(folder.path(), place, written);
    let end = Instant::now() + Duration::from_secs(60);
    let newest = |lines: &[Value]| commits(lines).last().map_or(0, |(revision, _)| *revision);
    // One more than was written: the record of the snapshot.
    let last = written + 1;
    while newest(&following.lines.lock().unwrap()) < last {
        assert!(Instant::now() < end, "{:?}", commits(&following.lines.lock().unwrap()));
        std::thread::sleep(Duration::from_millis(20));
    }
    told.extend(following.stop("-TERM").1);
    let began: u64 = told[0]["snapshot_begin"]["revision"].as_str().unwrap().parse().unwrap();
    let mut revisions: Vec<u64> = commits(&told).into_iter().map(|(revision, _)| revision).collect();
    // What was on its way when the feed was killed may come twice; nothing goes back further than that, or is left out.
    revisions.dedup();
    let mut seen = revisions.clone();
    seen.sort_unstable();
    seen.dedup();
    assert_eq!(seen, (began + 1..=last).collect::<Vec<_>>(), "{revisions:?}");
}

#[test]
fn a_service_that_stops_politely_is_waited_for() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("data");
    let served = Served::start(&data, "127.0.0.1:0");
    let address = served.address.clone();
    change(folder.path(), ["--server", &address], 1);
    let following = Feed::start(&["--server", &address, "--from", "now", "--bookmarks"]);
    let end = Instant::now() + Duration::from_secs(30);
    while following.lines.lock().unwrap().is_empty() {
        assert!(Instant::now() < end);
        std::thread::sleep(Duration::from_millis(10));
    }
    let began = Instant::now();
    Command::new("kill").args(["-TERM", &served.child.id().to_string()]).status().unwrap();
    let mut served = served;
    assert_eq!(served.child.wait().unwrap().code(), Some(0));
    assert!(began.elapsed() < Duration::from_secs(15), "the watcher holds the service up: {:?}", began.elapsed());
    let _again = Served::start(&data, &address);
    change(folder.path(), ["--server", &address], 2);
    following.wait_for(1);
    let (code, lines) = following.stop("-TERM");
    assert_eq!((code, commits(&lines).len()), (Some(0), 1));
}

/// Watchers that never read cost what the limit says: 256 MiB for as many as there may be.
#[cfg(target_os = "linux")]
#[test]
fn watchers_that_never_read_are_cheap() {
    use baybook_proto::v1 as pb;
    use pb::spec_book_service_client::SpecBookServiceClient;

    fn resident(process: u32) -> u64 {
        let status = fs::read_to_string(format!("/proc/{process}/status")).unwrap();
        let line = status.lines().find(|line| line.starts_with("VmRSS:")).unwrap();
        line.split_whitespace().nth(1).unwrap().parse::<u64>().unwrap() / 1_024
    }

    let folder = tempfile::tempdir().unwrap();
    let served = Served::start(&folder.path().join("data"), "127.0.0.1:0");
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build().unwrap();
    let (before, after) = runtime.block_on(async {
        let url = format!("http://{}", served.address);
        // The widest window that a caller may open: all that is kept back is then kept by the service.
        let connect = || async { tonic::transport::Endpoint::from_shared(url.clone()).unwrap().connect().await };
        let mut writer = SpecBookServiceClient::new(connect().await.unwrap());
        let put = |n: usize| pb::BatchPutEntriesRequest {
            entries: (0..1_000)
                .map(|at| pb::Entry {
                    name: format!("bolts/b-{at}"),
                    etag: "*".to_owned(),
                    note: format!("{n}{}", "n".repeat(1_900)),
                    spec: Some(pb::entry::Spec::Bolt(pb::Bolt { thread: "M12".to_owned(), ..Default::default() })),
                    ..Default::default()
                })
                .collect(),
            ..Default::default()
        };
        // What the book itself keeps of recent changes is there before anybody watches.
        for n in 0..12 {
            writer.batch_put_entries(put(n)).await.unwrap();
        }
        let before = resident(served.child.id());
        let mut streams = Vec::new();
        for n in 0..200 {
            let mut book = SpecBookServiceClient::new(connect().await.unwrap());
            let request = pb::WatchBookRequest { snapshot: n % 2 == 0, ..Default::default() };
            streams.push((book.watch_book(request).await.unwrap().into_inner(), book));
        }
        for n in 12..24 {
            writer.batch_put_entries(put(n)).await.unwrap();
        }
        tokio::time::sleep(Duration::from_secs(2)).await;
        (before, resident(served.child.id()))
    });
    eprintln!("{before} MiB before, {after} MiB with 200 watchers that never read");
    assert!(after.saturating_sub(before) <= 256, "{before} MiB, then {after} MiB");
}
