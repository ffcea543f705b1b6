//! `baybook check` end to end on a long sheet, against parsing the same file with the csv crate alone in the same run.
//! A benchmark, not a test: it prints time, ratio and peak memory.
//!
//! Two floors are printed. The lower one only splits the file into cells; the higher one also reads every cell into a
//! type, which is the least that anything which uses the values must do.
//!
//! `cargo bench -p baybook-benches --bench sheet [-- --quick]`

#![expect(clippy::print_stdout, reason = "a benchmark prints what it measured")]

mod compare;
#[path = "compare/typed_row.rs"]
mod typed_row;

use std::{
    error::Error,
    fs::{self, File},
    path::Path,
    process::{Command, Stdio},
    thread,
    time::{Duration, Instant},
};

fn main() -> Result<(), Box<dyn Error>> {
    let quick = std::env::args().any(|argument| argument == "--quick");
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let folder = tempfile::tempdir()?;
    for (rows, rounds) in if quick { vec![(100_000, 3)] } else { vec![(100_000, 7), (1_000_000, 1)] } {
        let sheet = folder.path().join(format!("{rows}.csv"));
        let made = Command::new(env!("CARGO_BIN_EXE_bench-fleet-sheet"))
            .arg(top.join("deploy/demo/fleet.csv"))
            .args([rows.to_string(), "7".to_owned()])
            .stdout(File::create(&sheet)?)
            .status()?;
        if !made.success() {
            return Err("the sheet could not be made".into());
        }
        let (mut ours, mut bare, mut typed, mut peak) = (Vec::new(), Vec::new(), Vec::new(), 0);
        for _ in 0..rounds {
            let begun = Instant::now();
            let read = parse(&sheet)?;
            bare.push(begun.elapsed().as_secs_f64() * 1000.0);
            if read != rows {
                return Err(format!("the csv crate read {read} rows of {rows}").into());
            }
            let begun = Instant::now();
            let read = parse_typed(&sheet)?;
            typed.push(begun.elapsed().as_secs_f64() * 1000.0);
            if read != rows {
                return Err(format!("the csv crate typed {read} rows of {rows}").into());
            }
            let (took, memory) = check(&sheet, &top.join("deploy/demo/book"))?;
            ours.push(took.as_secs_f64() * 1000.0);
            peak = peak.max(memory);
        }
        let what = format!("check of {rows} rows");
        println!("{}", compare::line(&format!("{what}, cells split"), "ms", &ours, &bare, "<= 6"));
        println!("{}", compare::line(&format!("{what}, cells typed"), "ms", &ours, &typed, "<= 6"));
        println!("{:34} {:10.1} MiB, bar <= 150", "  peak memory", peak as f64 / 1024.0);
        fs::remove_file(sheet)?;
    }
    Ok(())
}

/// Reads every cell of every row, as the csv crate hands them out.
fn parse(sheet: &Path) -> Result<u64, Box<dyn Error>> {
    let mut rows = 0;
    let mut bytes = 0;
    for record in csv::Reader::from_path(sheet)?.records() {
        bytes += record?.iter().map(str::len).sum::<usize>();
        rows += 1;
    }
    std::hint::black_box(bytes);
    Ok(rows)
}

/// Reads every row into a type.
fn parse_typed(sheet: &Path) -> Result<u64, Box<dyn Error>> {
    let mut rows = 0;
    for row in csv::Reader::from_path(sheet)?.deserialize::<typed_row::TypedRow>() {
        std::hint::black_box(row?);
        rows += 1;
    }
    Ok(rows)
}

/// Runs the program, and returns its time and its peak resident memory in KiB.
fn check(sheet: &Path, book: &Path) -> Result<(Duration, u64), Box<dyn Error>> {
    let begun = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_bench-baybook"))
        .arg("check")
        .arg(sheet)
        .arg("--book")
        .arg(book)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()?;
    let status = format!("/proc/{}/status", child.id());
    let mut peak = 0;
    let exit = loop {
        if let Ok(text) = fs::read_to_string(&status) {
            let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
            peak = line.and_then(|line| line.trim().trim_end_matches(" kB").parse().ok()).unwrap_or(peak);
        }
        if let Some(exit) = child.try_wait()? {
            break exit;
        }
        thread::sleep(Duration::from_millis(5));
    };
    let took = begun.elapsed();
    // Blocked plans are expected: the demo holds some.
    if exit.code() != Some(3) {
        return Err(format!("baybook check ended with {exit}").into());
    }
    Ok((took, peak))
}
