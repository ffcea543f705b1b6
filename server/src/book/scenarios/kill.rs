//! A process that writes is killed; another one finds everything it had been told was written.

use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Write as _};
use std::process::{Command, Stdio};
use std::time::Duration;

use super::*;

/// Names the directory to the process that is going to be killed.
const VICTIM: &str = "BAYBOOK_TEST_VICTIM";
const WRITERS: u64 = 8;

/// Writes until it is killed; does nothing in an ordinary test run.
#[tokio::test]
async fn victim() {
    let Ok(directory) = std::env::var(VICTIM) else { return };
    let book = LocalBook::open(std::path::Path::new(&directory), Bounds::default()).unwrap();
    let writer = |writer: u64| {
        let book = &book;
        async move {
            let names = [format!("nuts/{writer}-l"), format!("nuts/{writer}-r")];
            let next = book.get(&names[0]).map_or(1, |record| read(&record) + 1);
            for number in next.. {
                // Both names carry the number: a torn commit would show.
                let padding = "x".repeat(usize::try_from(number * 37 % 3_000).unwrap());
                let text = format!("{number} {padding}");
                book.commit(changes(names.iter().map(|name| put(name, &text)))).await.unwrap();
                let line = format!("ack {writer} {number}\n");
                std::io::stdout().lock().write_all(line.as_bytes()).unwrap();
            }
        }
    };
    futures_util::future::join_all((0..WRITERS).map(writer)).await;
}

fn read(record: &Record) -> u64 {
    std::str::from_utf8(&record.value).unwrap().split(' ').next().unwrap().parse().unwrap()
}

#[test]
fn killed_writers_lose_nothing_they_were_told_was_written() {
    let directory = tempfile::tempdir().unwrap();
    let mut told: BTreeMap<u64, u64> = BTreeMap::new();
    for round in 0..6_u64 {
        let mut victim = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "book::scenarios::kill::victim", "--nocapture"])
            .env(VICTIM, directory.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let out = BufReader::new(victim.stdout.take().unwrap());
        let reader = std::thread::spawn(move || {
            let mut told = BTreeMap::new();
            for line in out.lines().map_while(Result::ok) {
                let Some((_, ack)) = line.split_once("ack ") else { continue };
                let Some((writer, number)) = ack.split_once(' ') else { continue };
                if let (Ok(writer), Ok(number)) = (writer.parse::<u64>(), number.parse::<u64>()) {
                    told.insert(writer, number);
                }
            }
            told
        });
        std::thread::sleep(Duration::from_millis(250 + round * 97));
        victim.kill().unwrap();
        victim.wait().unwrap();
        told.extend(reader.join().unwrap());
        let book = LocalBook::open(directory.path(), Bounds::default()).unwrap();
        for (writer, number) in &told {
            let [left, right] = ["l", "r"].map(|side| book.get(&format!("nuts/{writer}-{side}")).unwrap());
            assert_eq!((left.revision, &left.value), (right.revision, &right.value), "a torn commit");
            assert!(read(&left) >= *number, "writer {writer} was told of {number}, found {}", read(&left));
        }
    }
    assert_eq!(told.len() as u64, WRITERS, "every writer got to write");
    assert!(told.values().sum::<u64>() > 6 * WRITERS, "the rounds were long enough to mean something: {told:?}");
}
