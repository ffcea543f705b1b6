//! The program as it was built.

use std::{
    env, fs,
    path::{Path, PathBuf},
    sync::OnceLock,
    time::SystemTime,
};

/// Returns the program that `cargo test --workspace` has built beside this test; builds it when only this package was
/// asked for and the program is missing or older than its sources.
pub fn program() -> &'static Path {
    static PROGRAM: OnceLock<PathBuf> = OnceLock::new();
    PROGRAM.get_or_init(|| {
        let test = env::current_exe().expect("this test is a file");
        let built = test.parent().and_then(Path::parent).expect("it lies in target/PROFILE/deps");
        let program = built.join(format!("baybook{}", env::consts::EXE_SUFFIX));
        let made = fs::metadata(&program).and_then(|file| file.modified()).ok();
        let sources =
            ["client/src", "server/src", "core/src", "proto/baybook"].map(|folder| newest(&top().join(folder)));
        if made.is_none_or(|made| sources.iter().any(|source| made < *source)) {
            let mut cargo = baybook_tests::cargo();
            cargo.args(["build", "--workspace", "--bin", "baybook", "--target-dir"]);
            cargo.arg(built.parent().expect("profiles lie in the target folder")).current_dir(top());
            if built.ends_with("release") {
                cargo.arg("--release");
            }
            let done = cargo.status().expect("cargo runs");
            assert!(done.success(), "cargo build --bin baybook failed; these scenarios need the program");
        }
        program
    })
}

fn newest(folder: &Path) -> SystemTime {
    let entries = fs::read_dir(folder).expect("a folder of sources").flatten();
    let times = entries.map(|entry| {
        if entry.path().is_dir() {
            newest(&entry.path())
        } else {
            entry.metadata().and_then(|file| file.modified()).expect("files have a time")
        }
    });
    times.max().unwrap_or(SystemTime::UNIX_EPOCH)
}

fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("the workspace holds this crate").to_owned()
}
