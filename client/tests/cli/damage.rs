//! A book whose files somebody damaged: what a person is told, and the exit code a script sees.

use std::{
    fs,
    path::{Path, PathBuf},
};

use super::{BOOK, operations::Daemon, run};

/// The only file of the journal of a small book.
fn journal(data: &Path) -> PathBuf {
    let mut files = fs::read_dir(data.join("journal")).unwrap().map(|file| file.unwrap().path());
    files.find(|file| file.extension().is_some_and(|end| end == "journal")).unwrap()
}

/// Turns one bit of a byte in the middle of a file.
fn damage(file: &Path) {
    let mut bytes = fs::read(file).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 0x10;
    fs::write(file, bytes).unwrap();
}

/// A book with the entries of the demo, in a folder of its own; closed, so that both copies are whole.
fn filled(folder: &Path) -> PathBuf {
    let data = folder.join("data");
    run(&["book", "import", BOOK, "--data", data.to_str().unwrap()], 0);
    data
}

#[test]
fn a_running_service_mends_what_it_finds_and_verify_ends_with_8_once() {
    let folder = tempfile::tempdir().unwrap();
    let data = filled(folder.path());
    let daemon = Daemon::start(&["--data", data.to_str().unwrap(), "--log", "error"], &[]);
    let verify = ["book", "verify", "--server", &daemon.address];
    let (whole, _) = run(&verify, 0);
    assert!(whole.contains("all is as it was written"), "{whole}");
    damage(&journal(&data));
    let (found, _) = run(&verify, 8);
    assert!(found.contains("damaged, and mended") && found.contains("journal/"), "{found}");
    let (again, _) = run(&verify, 0);
    assert!(again.contains("all is as it was written") && again.contains("mended before"), "{again}");
}

#[test]
fn what_no_copy_holds_ends_with_8_and_says_what_to_type() {
    let folder = tempfile::tempdir().unwrap();
    let data = filled(folder.path());
    damage(&journal(&data));
    fs::remove_dir_all(data.join("store")).unwrap();
    for command in [["book", "verify"], ["book", "list"]] {
        let (shown, said) = run(&[&command[..], &["--data", data.to_str().unwrap()]].concat(), 8);
        assert_eq!(shown, "");
        let next = said.lines().last().unwrap();
        assert!(next.starts_with("  next ") && next.contains("baybook restore BACKUP --data"), "{said}");
        assert_eq!(said.matches("baybook restore").count(), 1, "it is said once: {said}");
    }
}
