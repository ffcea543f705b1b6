//! The built program is killed at random moments, again and again: under load, in an import, in a backup, while the second
//! copy is written, while it starts after the kill before. What callers were told is kept here, outside of it.

use std::{
    collections::HashMap,
    path::Path,
    process::Command,
    sync::{
        Arc,
        atomic::{AtomicBool, Ordering},
    },
    time::Duration,
};

use baybook_proto::v1::{self as pb, steward_service_client::StewardServiceClient};
use rand::{Rng as _, SeedableRng as _, rngs::StdRng};

use crate::{
    asked,
    daemon::{Daemon, book, connect, everything, health},
    ledger::{Importer, Keeper, Writer},
    program::program,
    runtime, seeds,
};

const WRITERS: usize = 8;
/// Backups that the service keeps; old ones go while it is killed.
const KEPT: usize = 3;
const SETTINGS: [(&str, &str); 1] = [("KEEP_BACKUPS", "3")];
/// Kills of one book, and of the short run.
const KILLS_A_BOOK: u64 = 20;
const KILLS: u64 = 20;

/// When a kill came.
#[derive(Debug, Default)]
struct Figures {
    load: u64,
    import: u64,
    backup: u64,
    quiet: u64,
    start: u64,
    told: usize,
    backups: usize,
    imports: u64,
    replayed: usize,
}

impl Figures {
    fn kills(&self) -> u64 {
        self.load + self.import + self.backup + self.quiet + self.start
    }
}

#[test]
fn killed_at_any_moment_it_keeps_what_was_acknowledged() {
    let kills = asked("BAYBOOK_KILLS").unwrap_or(KILLS);
    let mut all = Figures::default();
    seeds("killed_at_any_moment", kills.div_ceil(KILLS_A_BOOK), |seed| {
        let folder = tempfile::tempdir().unwrap();
        runtime().block_on(one_book(seed, folder.path(), &mut all));
        if seed % 10 == 9 {
            println!("{} kills so far: {all:?}", all.kills());
        }
    });
    println!(
        "{} kills: {} under load, {} in an import, {} in a backup, {} while the second copy was written, {} while \
         starting; {} acknowledged writes, {} imports and {} backups, 0 lost, 0 torn; {} sent again had had their effect before the kill, and had no second one",
        all.kills(),
        all.load,
        all.import,
        all.backup,
        all.quiet,
        all.start,
        all.told,
        all.imports,
        all.backups,
        all.replayed
    );
    assert!(all.told as u64 > all.kills(), "the rounds were too short to mean anything: {all:?}");
}

async fn one_book(seed: u64, folder: &Path, all: &mut Figures) {
    let mut rng = StdRng::seed_from_u64(seed);
    let data = folder.join("book");
    let mut writers: Vec<Writer> = (0..WRITERS).map(Writer::new).collect();
    let (mut importer, mut keeper) = (Importer::default(), Keeper::default());
    let end = all.kills() + KILLS_A_BOOK;
    let mut newest = 0;
    while all.kills() < end {
        while rng.random_bool(0.3) {
            let daemon = Daemon::begin_with(&data, &SETTINGS);
            tokio::time::sleep(Duration::from_micros(rng.random_range(0..60_000))).await;
            daemon.kill();
            all.start += 1;
        }
        let (daemon, address) = Daemon::start_with(&data, &SETTINGS);
        settle(&mut writers, &importer, address, &mut newest).await;
        let (killed, paused) = (Arc::new(AtomicBool::new(false)), Arc::new(AtomicBool::new(false)));
        let mut writing = Vec::new();
        for writer in writers.drain(..) {
            let client = book(address).await;
            let (killed, paused) = (Arc::clone(&killed), Arc::clone(&paused));
            let rng = StdRng::seed_from_u64(rng.random());
            writing.push(tokio::spawn(async move { writer.write(client, rng, &killed, &paused).await }));
        }
        let importing = if rng.random_bool(0.5) {
            let client = book(address).await;
            let (killed, paused) = (Arc::clone(&killed), Arc::clone(&paused));
            let own = std::mem::take(&mut importer);
            Some(tokio::spawn(async move { own.import(client, &killed, &paused).await }))
        } else {
            None
        };
        let backing_up = if rng.random_bool(0.35) {
            let channel = connect(address).await;
            let (killed, own) = (Arc::clone(&killed), std::mem::take(&mut keeper));
            Some(tokio::spawn(async move { own.back_up(channel, &killed).await }))
        } else {
            None
        };
        let quiet = rng.random_bool(0.08);
        let span = if rng.random_bool(0.4) { 0..40_000 } else { 40_000..300_000 };
        tokio::time::sleep(Duration::from_micros(rng.random_range(span))).await;
        if quiet {
            // The second copy is written a second after the last write.
            paused.store(true, Ordering::Relaxed);
            tokio::time::sleep(Duration::from_micros(rng.random_range(900_000..2_100_000))).await;
        }
        killed.store(true, Ordering::SeqCst);
        daemon.kill();
        match (&importing, &backing_up, quiet) {
            (_, _, true) => all.quiet += 1,
            (_, Some(_), _) => all.backup += 1,
            (Some(_), ..) => all.import += 1,
            (None, ..) => all.load += 1,
        }
        for writer in writing {
            writers.push(writer.await.expect("what a writer was told holds"));
        }
        if let Some(importing) = importing {
            importer = importing.await.expect("what an importer was told holds");
        }
        if let Some(backing_up) = backing_up {
            keeper = backing_up.await.expect("what a keeper was told holds");
        }
    }
    let (daemon, address) = Daemon::start_with(&data, &SETTINGS);
    settle(&mut writers, &importer, address, &mut newest).await;
    for writer in &mut writers {
        writer.check_past(&mut book(address).await).await;
        all.told += writer.told();
        all.replayed += writer.replayed;
    }
    all.imports += importer.told();
    let mut steward = StewardServiceClient::new(connect(address).await);
    let verified = steward.verify_book(pb::VerifyBookRequest::default()).await.unwrap().into_inner();
    assert!(verified.damages.is_empty() && verified.writable, "{verified:?}");
    restores(folder, &keeper);
    all.backups += keeper.told.len();
    daemon.signal("-TERM");
    assert_eq!(daemon.ended(Duration::from_secs(30)).code(), Some(0));
}

/// Holds the whole book against what its callers were told.
async fn settle(writers: &mut [Writer], importer: &Importer, address: std::net::SocketAddr, newest: &mut i64) {
    assert_eq!(health(connect(address).await).await, tonic_health::pb::health_check_response::ServingStatus::Serving);
    let (revision, entries) = everything(&mut book(address).await).await;
    assert!(revision >= *newest, "the book went back from revision {newest} to {revision}");
    *newest = revision;
    let entries: HashMap<String, _> = entries.into_iter().map(|entry| (entry.name.clone(), entry)).collect();
    for writer in writers {
        writer.settle(&entries);
    }
    importer.settle(&entries);
}

/// The newest backup that was acknowledged comes to what was told of it; so does the newest file that bears a backup's name,
/// whether or not anybody was told. Old ones went only for newer ones.
fn restores(folder: &Path, keeper: &Keeper) {
    let files = std::fs::read_dir(folder.join("backups")).into_iter().flatten().flatten().map(|file| file.path());
    let files: Vec<_> = files.filter(|path| path.extension().is_some_and(|end| end == "backup")).collect();
    assert!(files.len() >= keeper.told.len().min(KEPT), "{} of {} backups are left", files.len(), keeper.told.len());
    // One that was written down and not told of before a kill counts as well.
    let told = keeper.told.last().filter(|note| Path::new(&note.file).is_file() || files.len() < KEPT);
    let told = told.map(|note| (note.file.clone(), Some(note.digest.clone())));
    let named = files.into_iter().max().map(|path| (path.display().to_string(), None));
    for (index, (file, digest)) in told.into_iter().chain(named).enumerate() {
        let into = folder.join(format!("restored-{index}"));
        let output = Command::new(program())
            .args(["restore", &file, "--format", "json", "--data"])
            .arg(&into)
            .env("NO_COLOR", "1")
            .output()
            .expect("the program runs");
        assert!(output.status.success(), "{file}: {output:?}");
        let restored: serde_json::Value = serde_json::from_slice(&output.stdout).expect("it prints JSON");
        let found = restored["digest"].as_str().expect("a digest");
        assert!(digest.is_none_or(|digest| digest == found), "{file}: {restored}");
    }
}
