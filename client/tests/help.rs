//! Help: every subcommand has two examples, every example runs, and no line is too wide.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::{
    collections::BTreeSet,
    fs,
    io::{BufRead as _, BufReader},
    path::Path,
    process::{Command, Stdio},
};

const WIDTH: usize = 100;

fn help(path: &[String], flag: &str) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_baybook")).args(path).arg(flag).output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{path:?}");
    assert!(output.stderr.is_empty(), "{path:?}");
    String::from_utf8(output.stdout).unwrap()
}

/// Lists the subcommands that a help text names.
fn subcommands(text: &str) -> Vec<String> {
    let listed = text.lines().skip_while(|line| *line != "Commands:").skip(1).take_while(|line| !line.is_empty());
    let named = listed.filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    named.filter_map(|line| line.split_whitespace().next()).filter(|name| *name != "help").map(str::to_owned).collect()
}

/// Walks the whole tree of commands.
fn every_command() -> Vec<Vec<String>> {
    let mut found = vec![Vec::new()];
    let mut next = 0;
    while let Some(path) = found.get(next).cloned() {
        next += 1;
        for name in subcommands(&help(&path, "-h")) {
            let mut path = path.clone();
            path.push(name);
            found.push(path);
        }
    }
    found
}

/// Takes the examples out of a long help, each as one line of shell.
fn examples(text: &str) -> Vec<String> {
    let (_, after) = text.split_once("\nExamples:\n").unwrap_or_default();
    let mut examples: Vec<String> = Vec::new();
    for line in after.lines().take_while(|line| line.starts_with("  ")) {
        match (line.strip_prefix("    "), examples.last_mut()) {
            (Some(more), Some(example)) => example.push_str(&format!("\n{more}")),
            _ => examples.push(line.trim().to_owned()),
        }
    }
    examples
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap().map(Result::unwrap) {
        let to = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &to);
        } else {
            fs::copy(entry.path(), to).unwrap();
        }
    }
}

/// Runs one example where the demo lies at `deploy/demo`; a daemon is stopped once it listens.
fn run(example: &str, home: &Path) {
    let program = Path::new(env!("CARGO_BIN_EXE_baybook"));
    let path = format!("{}:{}", program.parent().unwrap().display(), std::env::var("PATH").unwrap());
    let daemon = example.starts_with("baybook serve");
    // Whatever else runs on this machine may hold the usual port.
    let line = if daemon { format!("exec {}", example.replace(":7460", ":0")) } else { example.to_owned() };
    let mut command = Command::new("bash");
    command.args(["-o", "pipefail", "-c", &line]).current_dir(home).env("PATH", path).stdin(Stdio::null());
    for variable in ["SERVER", "BOOK_FOLDER", "DATA_DIR", "UNITS", "AUTHOR", "LOG", "LISTEN", "ENGINE"] {
        command.env_remove(format!("BAYBOOK_{variable}"));
    }
    if daemon {
        let mut child = command.stderr(Stdio::piped()).spawn().unwrap();
        let mut said = String::new();
        let mut lines = BufReader::new(child.stderr.take().unwrap()).lines().map(Result::unwrap);
        let listens = lines.any(|line| {
            said.push_str(&format!("{line}\n"));
            line.starts_with("listening on 127.0.0.1:")
        });
        assert!(listens, "{example}\n{said}");
        Command::new("kill").args(["-TERM", &child.id().to_string()]).status().unwrap();
        assert!(child.wait().unwrap().success(), "{example}");
        return;
    }
    let output = command.output().unwrap();
    // A check that blocks plans has done what it was asked.
    let blocked = output.status.code() == Some(3) && example.contains("baybook check");
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success() || blocked, "{example}\n{said}");
    assert!(!output.stdout.is_empty() || example.contains('>') || example.contains("--out"), "{example}\n{said}");
}

#[test]
fn every_command_has_two_examples_and_they_run() {
    let home = tempfile::tempdir().unwrap();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../deploy/demo");
    copy(&demo, &home.path().join("deploy/demo"));
    let mut seen = BTreeSet::new();
    for path in every_command() {
        let found = examples(&help(&path, "--help"));
        assert!(2 <= found.len(), "baybook {} has {} examples", path.join(" "), found.len());
        for example in found {
            assert!(example.contains(&format!("baybook {}", path.join(" ")).trim_end().to_owned()), "{example}");
            if seen.insert(example.clone()) {
                run(&example, home.path());
            }
        }
    }
    assert!(35 <= seen.len(), "only {} examples were found", seen.len());
}

#[test]
fn help_is_narrow_and_begins_with_what_the_command_does() {
    for path in every_command() {
        for flag in ["-h", "--help"] {
            let text = help(&path, flag);
            for line in text.lines() {
                assert!(line.chars().count() <= WIDTH, "baybook {} {flag}: {line}", path.join(" "));
            }
            let first = text.lines().next().unwrap_or_default();
            assert!(first.starts_with(char::is_uppercase) && !first.ends_with('.'), "{first}");
        }
    }
}
