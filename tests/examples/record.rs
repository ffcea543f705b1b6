//! Runs the command of a promise, keeps what it printed as its figures, and makes the page of reliability anew.
//!
//! ```text
//! cargo run --example record -- ID...            runs the commands of these promises
//! cargo run --example record -- ID --from FILE   keeps the output of a run that was saved
//! cargo run --example record                     only makes the page
//! ```

#![expect(clippy::print_stdout, clippy::print_stderr, reason = "a program that says what it does")]
#![expect(clippy::expect_used, reason = "a program that cannot go on ends")]

#[path = "../reliability/page.rs"]
mod page;

use std::{
    env, fs,
    path::{Path, PathBuf},
    process::{Command, ExitCode, Output},
    time::Instant,
};

use page::{Figures, Promise};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("the workspace holds this crate").to_owned()
}

fn told(program: &str, args: &[&str]) -> String {
    let output = Command::new(program).args(args).current_dir(root()).output().expect("it runs");
    String::from_utf8_lossy(&output.stdout).trim().to_owned()
}

fn main() -> ExitCode {
    let arguments: Vec<String> = env::args().skip(1).collect();
    let from = arguments.iter().position(|argument| argument == "--from");
    let ids = &arguments[..from.unwrap_or(arguments.len())];
    let saved = from.and_then(|at| arguments.get(at + 1));
    let promises = page::promises(&root());
    for id in ids {
        let Some(promise) = promises.iter().find(|promise| promise.id == *id) else {
            let known: Vec<_> = promises.iter().map(|promise| promise.id.as_str()).collect();
            eprintln!("{id} is no promise; there are {}", known.join(", "));
            return ExitCode::from(2);
        };
        if let Err(why) = keep(promise, saved.map(Path::new)) {
            eprintln!("{id}: {why}");
            return ExitCode::FAILURE;
        }
    }
    fs::write(root().join("RELIABILITY.md"), page::page(&root())).expect("the page is written");
    println!("RELIABILITY.md is made");
    ExitCode::SUCCESS
}

fn keep(promise: &Promise, saved: Option<&Path>) -> Result<(), String> {
    println!("{}: {}", promise.id, promise.command);
    let begun = Instant::now();
    let (output, seconds) = match saved {
        Some(path) => (fs::read_to_string(path).map_err(|error| error.to_string())?, 0),
        None => {
            let Output { status, stdout, stderr } = Command::new("bash")
                .args(["-c", &promise.command])
                .current_dir(root())
                .output()
                .map_err(|error| error.to_string())?;
            let output = format!("{}{}", String::from_utf8_lossy(&stdout), String::from_utf8_lossy(&stderr));
            if !status.success() {
                return Err(format!("it ended with {status}:\n{output}"));
            }
            (output, i64::try_from(begun.elapsed().as_secs()).unwrap_or(i64::MAX))
        }
    };
    let wanted = |line: &&str| promise.keep.iter().any(|words| line.contains(words.as_str()));
    let lines: Vec<String> = output.lines().filter(wanted).map(|line| line.trim().to_owned()).collect();
    if lines.is_empty() {
        return Err(format!("it printed no line with any of {:?}:\n{output}", promise.keep));
    }
    let figures = Figures {
        command: promise.command.clone(),
        day: told("date", &["--utc", "+%Y-%m-%d"]),
        commit: told("git", &["rev-parse", "--short", "HEAD"]),
        seconds,
        lines,
    };
    let text = toml::to_string_pretty(&figures).map_err(|error| error.to_string())?;
    fs::write(root().join(format!("tests/results/{}.toml", promise.id)), text).map_err(|error| error.to_string())
}
