//! What stands in `deploy/` is checked by whatever reads it elsewhere, or as near to that as this machine allows.

#![expect(clippy::expect_used, reason = "a test that cannot go on has failed")]
#![expect(clippy::print_stdout, reason = "a test says what it saw and what it skipped")]

#[path = "../hostile/daemon.rs"]
#[expect(dead_code, reason = "another test reads the memory of the service too")]
mod daemon;
#[path = "../scenarios/program.rs"]
mod program;

use std::{
    collections::BTreeSet,
    fs,
    path::{Path, PathBuf},
    process::Command,
};

use promql_parser::parser::{self, Expr};

fn deploy(file: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../deploy").join(file)
}

fn read(file: &str) -> String {
    fs::read_to_string(deploy(file)).expect("it is there")
}

#[test]
fn the_units_leave_little_exposed() {
    for unit in ["systemd/baybook.service", "systemd/baybook-backup.service"] {
        exposure_is_low(&deploy(unit));
    }
}

fn exposure_is_low(unit: &Path) {
    let asked = Command::new("systemd-analyze").args(["security", "--offline=true", "--no-pager"]).arg(unit).output();
    let Ok(told) = asked else {
        return println!("skipped: there is no systemd-analyze here");
    };
    let told = String::from_utf8_lossy(&told.stdout).into_owned();
    let line = told.lines().find(|line| line.contains("Overall exposure level")).expect("it tells the level");
    println!("{}", line.trim_start_matches(['→', ' ']));
    let level = line.split(':').nth(1).and_then(|rest| rest.split_whitespace().next()).expect("a level");
    assert!(level.parse::<f64>().expect("a number") <= 1.5, "{told}");
}

/// Every setting and flag that the unit and the container use is one that the program has.
#[test]
fn settings_and_flags_are_known() {
    let known = fs::read_to_string(deploy("../server/config.toml")).expect("the settings are documented");
    let help = Command::new(program::program()).args(["serve", "--help"]).output().expect("the program runs");
    let help = String::from_utf8_lossy(&help.stdout).into_owned();
    let mut seen = 0;
    for file in ["systemd/baybook.service", "systemd/baybook-backup.service", "container/Containerfile"] {
        for word in read(file).split([' ', '=', '\n']).filter(|word| word.starts_with("BAYBOOK_")) {
            assert!(known.contains(word), "{file}: {word} is no setting");
            seen += 1;
        }
    }
    assert!(8 <= seen, "{seen} settings");
    let unit = read("systemd/baybook.service");
    let start =
        unit.lines().find_map(|line| line.strip_prefix("ExecStart=/usr/local/bin/baybook serve")).expect("it starts");
    for flag in start.split_whitespace().filter(|word| word.starts_with("--")) {
        assert!(help.contains(&format!("{flag} ")), "{flag}");
    }
    let stop = unit.lines().find_map(|line| line.strip_prefix("TimeoutStopSec=")).expect("it says how long it waits");
    let drain = baybook_server::Limits::default().drain.as_secs();
    assert!(drain < stop.parse().expect("seconds"), "running calls get {drain} s");
}

#[test]
fn the_container_runs_as_nobody_and_its_instructions_are_known() {
    let text = read("container/Containerfile").replace("\\\n", " ");
    let lines: Vec<_> = text.lines().filter(|line| !line.starts_with('#') && !line.trim().is_empty()).collect();
    // The instructions that Containerfile(5) lists.
    let known = [
        "FROM",
        "RUN",
        "CMD",
        "LABEL",
        "EXPOSE",
        "ENV",
        "ADD",
        "COPY",
        "ENTRYPOINT",
        "VOLUME",
        "USER",
        "WORKDIR",
        "ARG",
        "STOPSIGNAL",
        "HEALTHCHECK",
    ];
    let word = |line: &str| line.split(' ').next().unwrap_or_default().to_owned();
    for line in &lines {
        assert!(known.contains(&word(line).as_str()), "{line}");
        assert!(!line.contains(":latest"), "{line}");
    }
    let last = lines.iter().rposition(|line| word(line) == "FROM").expect("it begins somewhere");
    let user = lines.iter().skip(last).find(|line| word(line) == "USER").expect("it names its user");
    assert!(!["USER root", "USER 0"].contains(user), "{user}");
    let release = fs::read_to_string(deploy("../rust-toolchain.toml")).expect("it names the compiler");
    let compiler = lines[0].split(':').nth(1).and_then(|rest| rest.split('-').next()).expect("a release");
    assert!(release.contains(&format!("\"{compiler}")), "{} and {release}", lines[0]);
}

/// The service may write where it is told to: into what the unit and the container give it.
#[test]
fn data_and_backups_have_a_place_that_can_be_written() {
    let unit = read("systemd/baybook.service");
    let given = unit.lines().find_map(|line| line.strip_prefix("StateDirectory=")).expect("it may write somewhere");
    let container = read("container/Containerfile");
    let volumes = container.lines().find_map(|line| line.strip_prefix("VOLUME ")).expect("it may write somewhere");
    for setting in ["BAYBOOK_DATA_DIR=", "BAYBOOK_BACKUP_DIR="] {
        let place = |text: &str| {
            let at = text.find(setting).expect("it is told where");
            text[at + setting.len()..].split_whitespace().next().map(str::to_owned).expect("a folder")
        };
        let folder = place(&unit);
        let folder = folder.strip_prefix("/var/lib/").expect("a state directory");
        assert!(given.split(' ').any(|one| one == folder), "{folder} is not in {given}");
        assert!(volumes.contains(&format!("\"{}\"", place(&container))), "{setting} {volumes}");
    }
}

/// What the timer starts is a command that the program has, with flags that it takes.
#[test]
fn the_nightly_backup_is_a_command_of_the_program() {
    let unit = read("systemd/baybook-backup.service");
    let start =
        unit.lines().find_map(|line| line.strip_prefix("ExecStart=/usr/local/bin/baybook ")).expect("it starts");
    // The credentials of the unit are files of this test; nobody listens on port 1.
    let folder = tempfile::tempdir().expect("a folder");
    let certified = rcgen::generate_simple_self_signed(["localhost".to_owned()]).expect("a certificate");
    fs::write(folder.path().join("certificate.pem"), certified.cert.pem()).expect("it is written");
    fs::write(folder.path().join("token"), "of nobody\n").expect("it is written");
    let start = start.replace("%d", folder.path().to_str().expect("text")).replace(":7460", ":1");
    let ran = Command::new(program::program()).args(start.split(' ')).env("BAYBOOK_LOG", "off").output();
    let ran = ran.expect("the program runs");
    let said = String::from_utf8_lossy(&ran.stderr);
    assert_eq!(ran.status.code(), Some(7), "only the service is missing: {said}");
    let timer = read("systemd/baybook-backup.timer");
    assert!(timer.lines().any(|line| line.starts_with("OnCalendar=")), "{timer}");
}

/// Collects the names of series in an expression.
fn names(expr: &Expr, into: &mut BTreeSet<String>) {
    match expr {
        Expr::Aggregate(it) => names(&it.expr, into),
        Expr::Unary(it) => names(&it.expr, into),
        Expr::Binary(it) => [&it.lhs, &it.rhs].into_iter().for_each(|side| names(side, into)),
        Expr::Paren(it) => names(&it.expr, into),
        Expr::Subquery(it) => names(&it.expr, into),
        Expr::VectorSelector(it) => into.extend(it.name.clone()),
        Expr::MatrixSelector(it) => into.extend(it.vs.name.clone()),
        Expr::Call(it) => it.args.args.iter().for_each(|arg| names(arg, into)),
        _ => {}
    }
}

/// Every rule is an expression of the query language, over series that the service has.
#[test]
fn alerts_ask_for_what_is_measured() {
    let daemon = daemon::Daemon::start(&daemon::demo_book());
    let server = daemon.address.to_string();
    let called =
        Command::new(program::program()).args(["info", "--server", &server]).output().expect("the program runs");
    assert!(called.status.success(), "{called:?}");
    let measured = daemon.metrics();
    // These stand only where there is a disk, a certificate, or somebody who collects.
    let elsewhere = [
        "up",
        "baybook_disk_free_bytes",
        "baybook_last_verified_backup_timestamp_seconds",
        "baybook_certificate_end_timestamp_seconds",
        "baybook_fsync_duration_seconds_bucket",
    ];
    let text = read("alerts/baybook.yml");
    let mut rules = 0;
    for (at, line) in text.lines().enumerate() {
        let Some(expr) = line.trim().strip_prefix("expr: ") else { continue };
        let parsed = parser::parse(expr);
        assert!(parsed.is_ok(), "line {}: {parsed:?}", at + 1);
        let mut series = BTreeSet::new();
        names(&parsed.expect("it was parsed"), &mut series);
        assert!(!series.is_empty(), "{expr}");
        for name in series.iter().filter(|name| !elsewhere.contains(&name.as_str())) {
            let there = measured
                .lines()
                .any(|line| line.starts_with(&format!("{name} ")) || line.starts_with(&format!("{name}{{")));
            assert!(there, "{name} is not measured");
        }
        rules += 1;
    }
    assert_eq!(rules, text.matches("- alert: ").count());
    assert_eq!(rules, text.matches("then: ").count(), "each says what to type first");
}
