//! A disk that is full: a small file system of its own, mounted where nobody else sees it, in memory and on a disk image. Each
//! test starts itself again in a new mount namespace: without rights where the system lets it, else as root; where neither is
//! let, it says that it was skipped.

use std::{
    fs::{self, File},
    io::{ErrorKind, Write as _},
    path::{Path, PathBuf},
    process::{Command, Stdio},
    time::{Duration, Instant},
};

use baybook_proto::v1::{self as pb, spec_book_service_client::SpecBookServiceClient};
use tonic::{Code, Status, transport::Channel};
use tonic_health::pb::health_check_response::ServingStatus;
use tonic_types::StatusExt as _;

use crate::{
    bolt,
    daemon::{Daemon, book, connect, everything, health},
    number,
    program::program,
    runtime,
};

/// Names the mount point to the test within the namespace.
const SMALL: &str = "BAYBOOK_TEST_SMALL_DISK";
const BYTES: u64 = 12 << 20;
/// Of the disk image: the file system's own journal and tables take some megabytes of it.
const IMAGE_BYTES: u64 = 32 << 20;
/// As root only, or without rights as well.
const ROOT: &[&str] = &["--mount"];
const ANYBODY: &[&str] = &["--user", "--map-root-user", "--mount"];

type Client = SpecBookServiceClient<Channel>;

#[test]
fn on_a_full_disk_reads_go_on_and_writes_say_what_they_need() {
    on(&format!("mount -t tmpfs -o size={BYTES} small \"${SMALL}\""), &[ANYBODY, ROOT], "a file system in memory");
}

/// The same on a file system with a journal of its own, which takes room later than it is asked for.
#[test]
fn on_a_full_disk_image_the_same_holds() {
    let folder = tempfile::tempdir().unwrap();
    let image = folder.path().join("image");
    File::create(&image).unwrap().set_len(IMAGE_BYTES).unwrap();
    let made = Command::new("mkfs.ext4").args(["-q", "-F", "-m", "0"]).arg(&image).output();
    match made {
        Ok(made) if made.status.success() => {}
        other => return println!("SKIPPED, nothing was shown: no ext4 can be made here: {other:?}"),
    }
    on(&format!("mount -o loop '{}' \"${SMALL}\"", image.display()), &[ROOT], "ext4 on a disk image");
}

/// Mounts a small file system and runs the test on it.
fn on(mount: &str, namespaces: &[&[&str]], what: &str) {
    // Built outside, while there is room.
    program();
    let folder = tempfile::tempdir().unwrap();
    let me = std::env::current_exe().unwrap();
    let mut refused = Vec::new();
    for namespace in namespaces {
        let script = format!("{mount} && echo mounted && exec \"$0\" \"$@\"");
        let output = Command::new("unshare")
            .args(*namespace)
            .args(["sh", "-c", &script])
            .arg(&me)
            .args(["--exact", "full_disk::within", "--nocapture", "--include-ignored"])
            .env(SMALL, folder.path())
            .stdin(Stdio::null())
            .output();
        match output {
            Ok(output) => {
                let (said, talk) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
                if said.lines().any(|line| line == "mounted") {
                    println!("on {what}, in a namespace of unshare {}:\n{said}", namespace.join(" "));
                    assert!(output.status.success(), "{said}\n{talk}");
                    assert!(said.contains("the disk was full"), "the test within did not run: {said}\n{talk}");
                    return;
                }
                refused.push(format!("unshare {}: {}", namespace.join(" "), talk.trim()));
            }
            Err(cause) => refused.push(format!("unshare: {cause}")),
        }
    }
    println!("SKIPPED, nothing was shown: {what} cannot be mounted here:\n{}", refused.join("\n"));
}

/// The test itself, on the small file system.
#[test]
#[ignore = "runs within a namespace, started by the test above"]
fn within() {
    let Some(disk) = std::env::var_os(SMALL).map(PathBuf::from) else { return };
    runtime().block_on(fills_and_empties(&disk));
    runtime().block_on(starts_on_a_full_disk(&disk.join("again"), &disk));
}

async fn fills_and_empties(disk: &Path) {
    let data = disk.join("book");
    let (mut daemon, address) = Daemon::start(&data);
    let mut client = book(address).await;
    let mut told = put_some(&mut client, 0..20).await;
    // Long enough for the second copy to be begun.
    tokio::time::sleep(Duration::from_millis(1_500)).await;
    for round in 0..3_u64 {
        fill(disk);
        let refused = put_until_refused(&mut client, &mut told, 1_000 * (round + 1)).await;
        assert_eq!(refused.code(), Code::ResourceExhausted, "{refused:?}");
        let details = refused.get_error_details();
        let info = details.error_info().expect("an error has a reason");
        assert_eq!(info.reason, "DISK_FULL");
        let needed: usize = info.metadata["needed_bytes"].parse().expect("bytes");
        let least = NOTE * usize::try_from(ENTRIES).unwrap();
        assert!(needed > least, "{needed} bytes are said to be needed for a batch of more than {least}");
        assert!(refused.message().contains("bytes"), "{}", refused.message());
        println!("the disk was full: {}", refused.message());
        // It stays full for longer than the threads behind need to notice.
        let begun = Instant::now();
        while begun.elapsed() < Duration::from_secs(3) {
            same(&mut client, &told).await;
            assert_eq!(health(connect(address).await).await, ServingStatus::Serving);
            let again = client.batch_put_entries(request(1)).await.expect_err("the disk is full");
            assert_eq!(again.code(), Code::ResourceExhausted, "{again:?}");
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        // Room comes back, and so do writes, without a start.
        fs::remove_file(disk.join("filler")).unwrap();
        told.extend(put_some(&mut client, 100 * (round + 1)..100 * (round + 1) + 5).await);
        assert!(daemon.runs());
        same(&mut client, &told).await;
    }
    drop(client);
    daemon.signal("-TERM");
    assert_eq!(daemon.ended(Duration::from_secs(30)).code(), Some(0));
    let (daemon, address) = Daemon::start(&data);
    same(&mut book(address).await, &told).await;
    drop(daemon);
    fs::remove_dir_all(&data).unwrap();
}

async fn starts_on_a_full_disk(data: &Path, disk: &Path) {
    let (daemon, address) = Daemon::start(data);
    let mut client = book(address).await;
    let mut told = put_some(&mut client, 0..20).await;
    tokio::time::sleep(Duration::from_millis(1_500)).await;
    daemon.kill();
    // The first start may give the ballast up, the second finds none; then it is stopped on a full disk, not killed.
    for start in 0..3 {
        fill(disk);
        assert_eq!(free(disk), 0, "the disk is full to the last byte");
        let (daemon, address) = Daemon::start(data);
        let mut client = book(address).await;
        same(&mut client, &told).await;
        assert_eq!(health(connect(address).await).await, ServingStatus::Serving);
        fill(disk);
        let refused = put_until_refused(&mut client, &mut told, 5_000 + 100 * start).await;
        assert_eq!(refused.code(), Code::ResourceExhausted, "start {start}: {refused:?}");
        same(&mut client, &told).await;
        if start == 2 {
            drop(client);
            daemon.signal("-TERM");
            assert_eq!(daemon.ended(Duration::from_secs(30)).code(), Some(0));
        } else {
            daemon.kill();
        }
        println!("the disk was full at start {start}: {} entries were read, none was lost", told.len());
    }
    remove_fillers(disk);
    let (daemon, address) = Daemon::start(data);
    let mut client = book(address).await;
    same(&mut client, &told).await;
    told.extend(put_some(&mut client, 50..60).await);
    same(&mut client, &told).await;
    assert!(data.join("ballast").metadata().is_ok_and(|file| file.len() == 1 << 20), "the ballast was not put back");
    drop(daemon);
}

/// Entries of a batch that takes room, and the bytes of the note of each.
const ENTRIES: u64 = 20;
const NOTE: usize = 2_000;

fn names(number: u64) -> impl Iterator<Item = String> {
    (0..ENTRIES).map(move |entry| format!("bolts/f{number}-{entry}"))
}

fn request(number: u64) -> pb::BatchPutEntriesRequest {
    let entries = names(number).map(|name| bolt(&name, number, &"n".repeat(NOTE))).collect();
    pb::BatchPutEntriesRequest { entries, ..Default::default() }
}

async fn put_some(client: &mut Client, numbers: std::ops::Range<u64>) -> Vec<(String, u64)> {
    let mut told = Vec::new();
    for number in numbers {
        let name = format!("bolts/f{number}");
        let entry = Some(bolt(&name, number, "small"));
        client.put_entry(pb::PutEntryRequest { entry, ..Default::default() }).await.expect("there is room");
        told.push((name, number));
    }
    told
}

/// Puts large batches until one is refused; those that went in are noted.
async fn put_until_refused(client: &mut Client, told: &mut Vec<(String, u64)>, from: u64) -> Status {
    for number in from..from + 1_000 {
        match client.batch_put_entries(request(number)).await {
            Ok(_) => told.extend(names(number).map(|name| (name, number))),
            Err(refused) => return refused,
        }
    }
    panic!("a full disk took 1,000 batches of {ENTRIES} entries of more than {NOTE} bytes");
}

/// Everything that was acknowledged is read, and nothing else.
async fn same(client: &mut Client, told: &[(String, u64)]) {
    let (_, entries) = everything(client).await;
    let mut found: Vec<(String, u64)> = entries.iter().map(|entry| (entry.name.clone(), number(entry))).collect();
    let mut told = told.to_vec();
    found.sort();
    told.sort();
    assert_eq!(found, told);
    for (name, _) in told.iter().take(5) {
        client.get_entry(pb::GetEntryRequest { name: name.clone(), min_revision: 0 }).await.expect("reads go on");
    }
}

/// Takes all the room there is.
fn fill(disk: &Path) {
    let taken = (0..).map(|count| disk.join(if count == 0 { "filler".to_owned() } else { format!("filler-{count}") }));
    let path = taken.into_iter().find(|path| !path.exists()).expect("a name is free");
    let mut file = File::create(path).unwrap();
    let mut more = true;
    while more {
        more = false;
        for bytes in [&vec![0x5a; 64 << 10][..], &[0x5a; 512], &[0x5a]] {
            loop {
                match file.write(bytes) {
                    Ok(_) => more = true,
                    Err(cause) if cause.kind() == ErrorKind::StorageFull => break,
                    Err(cause) => panic!("{cause}"),
                }
            }
        }
        // What was set aside for its tables and not needed is free again then.
        file.sync_all().unwrap();
    }
}

fn remove_fillers(disk: &Path) {
    for file in fs::read_dir(disk).unwrap().flatten() {
        if file.file_name().to_string_lossy().starts_with("filler") {
            fs::remove_file(file.path()).unwrap();
        }
    }
}

/// Bytes that are free, as the system tells.
fn free(disk: &Path) -> u64 {
    let output = Command::new("df").args(["--output=avail", "--block-size=1"]).arg(disk).output().expect("df runs");
    let text = String::from_utf8(output.stdout).unwrap();
    text.lines().nth(1).and_then(|line| line.trim().parse().ok()).expect("df prints a number")
}
