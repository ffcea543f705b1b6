//! Pipes, colours and shells.

use std::process::{Command, Stdio};

use super::{BOOK, baybook, heard, root, run};

/// Runs a line of shell with the program on its path.
fn shell(line: &str) -> (Option<i32>, String, String) {
    let program = std::path::Path::new(env!("CARGO_BIN_EXE_baybook"));
    let path = format!("{}:{}", program.parent().unwrap().display(), std::env::var("PATH").unwrap());
    let output =
        Command::new("bash").args(["-o", "pipefail", "-c", line]).current_dir(root()).env("PATH", path).output();
    let output = output.unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code(), text(output.stdout), text(output.stderr))
}

#[test]
fn a_closed_pipe_ends_quietly() {
    for format in ["table", "json", "ndjson", "csv"] {
        let (exit, data, said) = shell(&format!("baybook book list --book {BOOK} --format {format} | head -1"));
        assert_eq!((exit, said.as_str()), (Some(0), ""), "{format}");
        assert_eq!(data.lines().count(), 1, "{format}");
    }
    // Nobody reads at all.
    let (exit, _, said) = shell(&format!("baybook book export --book {BOOK} | true"));
    assert_eq!((exit, said.as_str()), (Some(0), ""));
    let (exit, _, said) = shell("baybook --help | true");
    assert_eq!((exit, said.as_str()), (Some(0), ""));
}

#[test]
fn a_full_disk_is_told() {
    let mut full = Command::new(env!("CARGO_BIN_EXE_baybook"));
    let Ok(device) = std::fs::OpenOptions::new().write(true).open("/dev/full") else { return };
    let output = full.args(["thread", "M12"]).stdout(Stdio::from(device)).output().unwrap();
    assert_eq!(output.status.code(), Some(1));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.contains("the output cannot be written"), "{said}");
}

#[test]
fn colour_is_off_in_a_pipe_and_under_no_color_and_words_say_it_all() {
    let args = [
        "assess",
        "--thread",
        "M12",
        "--class",
        "8.8",
        "--condition",
        "K=0.1/0.12/0.14",
        "--applied",
        "120 N·m",
        "--reusable",
        "no",
        "--tapped-hole",
        "no",
    ];
    let plain = run(&args, 0).0;
    assert!(!plain.contains('\u{1b}'), "{plain}");
    let output = |variable: &str, more: &[&str]| {
        let output = baybook(&args).args(more).env(variable, "1").output().unwrap();
        String::from_utf8(output.stdout).unwrap()
    };
    let forced = output("CLICOLOR_FORCE", &[]);
    assert!(forced.contains('\u{1b}'), "{forced}");
    assert_eq!(anstream::adapter::strip_str(&forced).to_string(), plain, "colour only adds to words");
    assert_eq!(output("CLICOLOR_FORCE", &["--no-color"]), plain);
    assert_eq!(output("NO_COLOR", &[]), plain);
}

#[test]
fn completions_know_every_command_and_are_readable_by_their_shell() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let (script, said) = run(&["completions", shell], 0);
        assert_eq!(said, "");
        for word in ["torque", "clearance", "import"] {
            assert!(script.contains(word), "{shell} does not know {word}");
        }
    }
    let (exit, _, said) = shell("baybook completions bash | bash -n");
    assert_eq!((exit, said.as_str()), (Some(0), ""));
}

/// Ctrl-C in the middle of a sheet: the signal ends it at once, which a shell shows as 130, and nothing more is said.
#[cfg(unix)]
#[test]
fn an_interrupted_check_ends_quietly() {
    use std::{io::Write as _, os::unix::process::ExitStatusExt as _};

    let mut check = heard();
    check.current_dir(root()).args(["check", "-", "--book", BOOK, "--format", "ndjson"]);
    check.env_remove("BAYBOOK_SERVER").stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut check = check.spawn().unwrap();
    // The sheet has no end, so that only the signal can end the check.
    let mut sheet = check.stdin.take().unwrap();
    sheet.write_all(&std::fs::read(root().join("deploy/demo/fleet.csv")).unwrap()).unwrap();
    sheet.flush().unwrap();
    std::thread::sleep(std::time::Duration::from_secs(2));
    assert_eq!(check.try_wait().unwrap(), None, "it waits for more of the sheet");
    Command::new("kill").args(["-INT", &check.id().to_string()]).status().unwrap();
    let ended = check.wait_with_output().unwrap();
    assert!(ended.status.signal() == Some(2) || ended.status.code() == Some(130), "{:?}", ended.status);
    assert_eq!(String::from_utf8(ended.stderr).unwrap(), "");
    drop(sheet);
}
