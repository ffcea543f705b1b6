//! The program as people and scripts use it: exact text, exit codes, formats, pipes, the service.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod check;
mod damage;
mod drawings;
mod errors;
mod feed;
mod formats;
mod hardware;
mod operations;
mod pipes;
mod service;
mod tables;

use std::path::PathBuf;

use assert_cmd::Command;

/// The folder of the demo's book, from where every command of these tests runs.
const BOOK: &str = "deploy/demo/book";

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// The program, away from the settings of whoever runs the tests.
fn baybook(args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_baybook"));
    for variable in ["SERVER", "BOOK_FOLDER", "DATA_DIR", "UNITS", "AUTHOR", "LOG", "LISTEN", "ENGINE"] {
        command.env_remove(format!("BAYBOOK_{variable}"));
    }
    command.current_dir(root()).args(args);
    command
}

/// The program as from a terminal: what a shell runs in the background does not hear interrupts.
fn heard() -> std::process::Command {
    let mut command = std::process::Command::new("env");
    command.args(["--default-signal=INT", env!("CARGO_BIN_EXE_baybook")]);
    command
}

/// Runs the program, which must end with this exit code, and returns what it wrote to its two outputs.
fn run(args: &[&str], exit: i32) -> (String, String) {
    let output = baybook(args).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    let (data, talk) = (text(output.stdout), text(output.stderr));
    assert_eq!(output.status.code(), Some(exit), "{args:?}\n{data}\n{talk}");
    (data, talk)
}
