//! The daemon as those see it who run it: the doctor, the admin port, the log.

use std::{
    fs,
    io::{BufRead as _, BufReader, Read as _, Write as _},
    net::TcpStream,
    path::Path,
    process::{Child, Command, Stdio},
    time::{Duration, SystemTime, UNIX_EPOCH},
};

use rcgen::{CertificateParams, KeyPair};
use serde_json::Value;

use super::{BOOK, root, run};

/// A service with everything it says.
pub struct Daemon {
    child: Child,
    lines: Option<std::io::Lines<BufReader<std::process::ChildStderr>>>,
    log: Option<std::thread::JoinHandle<Vec<String>>>,
    pub address: String,
    admin: String,
}

impl Daemon {
    pub fn start(args: &[&str], variables: &[(&str, &str)]) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_baybook"));
        command.current_dir(root()).args(["serve", "--listen", "127.0.0.1:0"]).args(args);
        for (name, value) in variables {
            command.env(name, value);
        }
        let mut child = command.stderr(Stdio::piped()).stdout(Stdio::null()).spawn().unwrap();
        let mut lines = BufReader::new(child.stderr.take().unwrap()).lines();
        let mut told = |start: &str| {
            let line = lines.find_map(|line| Some(line.unwrap().strip_prefix(start)?.to_owned()));
            line.ok_or(start).unwrap()
        };
        let (address, admin) = (told("listening on "), told("admin on "));
        Self { child, lines: Some(lines), log: None, address, admin }
    }

    /// Reads what it logs from now on, so that a long log does not stop it.
    fn read_log(mut self) -> Self {
        let lines = self.lines.take().unwrap();
        self.log = Some(std::thread::spawn(move || lines.map_while(Result::ok).collect()));
        self
    }

    /// Stops it and returns what it logged.
    fn stop(mut self) -> Vec<String> {
        Command::new("kill").args(["-TERM", &self.child.id().to_string()]).status().unwrap();
        assert_eq!(self.child.wait().unwrap().code(), Some(0));
        match self.log.take() {
            Some(log) => log.join().unwrap(),
            None => self.lines.take().unwrap().map(Result::unwrap).collect(),
        }
    }
}

impl Drop for Daemon {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// The findings of a doctor's report by check: verdict and what mends it.
fn findings(text: &str) -> Vec<(String, String, String)> {
    let report: Value = serde_json::from_str(text).unwrap();
    let text = |finding: &Value, key: &str| finding[key].as_str().unwrap().to_owned();
    let all = report["findings"].as_array().unwrap().iter();
    all.map(|one| (text(one, "check"), text(one, "verdict"), text(one, "next"))).collect()
}

fn verdict<'a>(findings: &'a [(String, String, String)], check: &str) -> &'a str {
    findings.iter().find(|(name, _, _)| name == check).map_or("-", |(_, verdict, _)| verdict)
}

#[test]
fn the_doctor_looks_at_a_service_and_at_a_folder() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("data");
    let data = data.to_str().unwrap();
    let daemon = Daemon::start(&["--data", data, "--log", "error"], &[]);
    let place = ["--server", &daemon.address];
    let (said, _) = run(&[&["doctor", "--format", "json"], &place[..]].concat(), 0);
    let found = findings(&said);
    for check in ["reached", "writes", "release", "clock"] {
        assert_eq!(verdict(&found, check), "ok", "{said}");
    }
    assert_ne!(verdict(&found, "disk"), "-", "{said}");
    assert_eq!(verdict(&found, "certificate"), "-", "without TLS there is none");
    let (table, _) = run(&[&["doctor"], &place[..]].concat(), 0);
    assert!(table.starts_with("ok    reached: answered in "), "{table}");
    // Somebody else has the folder open: the doctor says whom to ask.
    let (locked, _) = run(&["doctor", "--data", data], 1);
    assert!(locked.contains("FAIL  reached: ") && locked.contains("--server URL"), "{locked}");
    let address = daemon.address.clone();
    daemon.stop();
    let (gone, _) = run(&["doctor", "--server", &address, "--deadline", "2s"], 7);
    assert!(gone.starts_with("FAIL  reached: ") && gone.contains("next: is it running? baybook serve"), "{gone}");
    let (said, _) = run(&["doctor", "--data", data, "--format", "json"], 0);
    assert_eq!(verdict(&findings(&said), "reached"), "ok", "{said}");
    assert_ne!(verdict(&findings(&said), "disk"), "-", "{said}");
}

/// Lays a certificate for this machine that ends in so many days.
fn certificate(folder: &Path, days: i64) {
    let now = SystemTime::now().duration_since(UNIX_EPOCH).unwrap();
    let mut params = CertificateParams::new(vec!["localhost".to_owned(), "127.0.0.1".to_owned()]).unwrap();
    let end = i64::try_from(now.as_secs()).unwrap() + days * 86_400;
    params.not_after = rcgen::date_time_ymd(1970, 1, 1) + Duration::from_secs(u64::try_from(end).unwrap());
    let key = KeyPair::generate().unwrap();
    fs::write(folder.join("certificate.pem"), params.self_signed(&key).unwrap().pem()).unwrap();
    fs::write(folder.join("key.pem"), key.serialize_pem()).unwrap();
}

#[test]
fn the_doctor_tells_of_a_certificate_before_it_ends() {
    let tls = tempfile::tempdir().unwrap();
    certificate(tls.path(), 5);
    let variable = [("BAYBOOK_TLS", tls.path().to_str().unwrap())];
    let daemon = Daemon::start(&["--book", BOOK, "--log", "error"], &variable);
    let trust = tls.path().join("certificate.pem");
    let server = format!("https://{}", daemon.address);
    let args = ["doctor", "--server", &server, "--trust", trust.to_str().unwrap(), "--format", "json"];
    let found = findings(&run(&args, 0).0);
    assert_eq!(verdict(&found, "certificate"), "warn", "{found:?}");
    assert!(found.iter().any(|(check, _, next)| check == "certificate" && next.contains("key.pem")), "{found:?}");
    daemon.stop();
    // The settings of this machine are looked at too, ended certificates among them.
    certificate(tls.path(), -1);
    let config = tls.path().join("mine.toml");
    fs::write(&config, format!("tls = {:?}\n", tls.path())).unwrap();
    let args = ["doctor", "--book", BOOK, "--config", config.to_str().unwrap()];
    let (said, _) = run(&args, 7);
    assert!(said.contains("FAIL  certificate: ended "), "{said}");
    fs::write(tls.path().join("key.pem"), "nonsense").unwrap();
    let (said, _) = run(&args, 1);
    assert!(said.contains("FAIL  certificate: ") && said.contains("key.pem"), "{said}");
}

#[test]
fn the_log_is_json_with_request_principal_and_revision() {
    let variables = [("BAYBOOK_LOG_FORMAT", "json"), ("BAYBOOK_LOG", "info,baybook_server::calls=debug")];
    let daemon = Daemon::start(&["--book", BOOK], &variables);
    run(&["book", "get", "bolts/m12-88-40", "--server", &daemon.address], 0);
    run(&["book", "get", "bolts/nobody", "--server", &daemon.address], 4);
    let lines: Vec<Value> = daemon.stop().iter().map(|line| serde_json::from_str(line).unwrap()).collect();
    let calls: Vec<&Value> = lines.iter().filter(|line| line["message"] == "a call").collect();
    let codes: Vec<&str> = calls.iter().filter_map(|call| call["code"].as_str()).collect();
    assert_eq!(codes, ["OK", "NOT_FOUND"], "{lines:?}");
    for call in calls {
        assert_eq!((&call["principal"], &call["revision"]), (&Value::from("local"), &Value::from(1)), "{call}");
        assert_eq!(call["path"], "/baybook.v1.SpecBookService/GetEntry");
        assert!(call["request_id"].as_str().is_some_and(|id| !id.is_empty()) && call["us"].is_u64(), "{call}");
        assert_eq!(call["level"], "DEBUG");
    }
}

#[test]
fn the_admin_port_goes_beside_the_service_s_own() {
    let daemon = Daemon::start(&["--book", BOOK, "--log", "error"], &[]);
    let mut stream = TcpStream::connect(&daemon.admin).unwrap();
    stream.write_all(b"GET /metrics HTTP/1.1\r\nHost: here\r\n\r\n").unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    assert!(answer.contains("\nbaybook_build_info{release=\"") && answer.ends_with("# EOF\n"), "{answer}");
    let (_, said) = run(&["serve", "--book", BOOK, "--listen", "127.0.0.1:0", "--admin", &daemon.admin], 5);
    assert!(said.contains("--admin off"), "{said}");
    let (_, said) = run(&["serve", "--book", BOOK, "--listen", "127.0.0.1:0", "--admin", "0.0.0.0:0"], 2);
    assert!(said.contains("asks nobody who they are"), "{said}");
}

#[test]
fn a_log_that_nobody_reads_ends_nothing() {
    let mut daemon = Daemon::start(&["--book", BOOK], &[("BAYBOOK_LOG", "debug")]);
    // Closes the pipe; each call has something to log.
    drop(daemon.lines.take());
    for _ in 0..3 {
        run(&["info", "--server", &daemon.address], 0);
    }
    Command::new("kill").args(["-TERM", &daemon.child.id().to_string()]).status().unwrap();
    assert_eq!(daemon.child.wait().unwrap().code(), Some(0));
}

#[test]
fn a_token_s_secret_is_never_logged_and_never_in_an_error() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let (data, file) = (path("data"), path("admin.token"));
    let issue = ["token", "issue", "--role", "admin", "--holder", "Ines Varga", "--life", "1d", "--data", &data];
    let (token, _) = run(&issue, 0);
    let secret = token.trim().rsplit_once('-').unwrap().1.to_owned();
    assert_eq!(secret.len(), 64);
    fs::write(&file, &token).unwrap();
    // One that differs in its last place, and one that is no token: canaries that are refused.
    let mut wrong = token.trim().to_owned();
    wrong.replace_range(wrong.len() - 1.., if secret.ends_with('0') { "1" } else { "0" });
    fs::write(path("wrong.token"), &wrong).unwrap();
    fs::write(path("other.token"), "canary-canary-canary").unwrap();
    let variables = [("BAYBOOK_LOG", "trace"), ("BAYBOOK_ACCESS", "tokens")];
    let daemon = Daemon::start(&["--data", &data], &variables).read_log();
    let call = |token: &str, exit| {
        let args = ["token", "list", "--server", &daemon.address, "--token-file", token];
        let (data, talk) = run(&args, exit);
        data + &talk
    };
    let told = [call(&file, 0), call(&path("wrong.token"), 6), call(&path("other.token"), 6)].concat();
    let log = daemon.stop().join("\n");
    assert!(log.contains("ListTokens"), "the log has the calls");
    let almost = &wrong[wrong.len() - 64..];
    for canary in [secret.as_str(), almost, "canary-canary"] {
        assert!(!log.contains(canary), "{canary} is in the log");
        assert!(!told.contains(canary), "{canary} is in what callers are told");
    }
}

#[test]
fn an_address_that_others_reach_asks_for_two_lines() {
    let (_, said) = run(&["serve", "--book", BOOK, "--listen", "0.0.0.0:0"], 2);
    let lines = "tls = \"FOLDER-OF-CERTIFICATE-AND-KEY\" and access = \"tokens\"";
    assert!(said.contains(lines), "{said}");
}
