//! Old backups: which ones go, which ones stay, and what is told of it.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use baybook_proto::v1 as pb;
use baybook_server::book::{Bounds, backup};
use baybook_server::{Config, EngineKind};

use crate::rig::{Rig, vehicle};

fn settings(home: &Path, keep_backups: u64) -> Config {
    Config {
        engine: EngineKind::Sled,
        data_dir: home.join("data"),
        backup_dir: home.join("backups"),
        keep_backups,
        ..Config::in_memory().unwrap()
    }
}

/// Changes the book and takes a backup; returns the name of its file.
async fn another(rig: &Rig, label: &str) -> String {
    rig.put(vec![pb::Entry { etag: "*".to_owned(), ..vehicle("van-1", label) }]).await;
    let note = rig.steward().backup(pb::BackupRequest {}).await.unwrap().into_inner().backup.unwrap();
    Path::new(&note.file).file_name().unwrap().to_str().unwrap().to_owned()
}

fn names(home: &Path) -> BTreeSet<String> {
    let files = fs::read_dir(home.join("backups")).unwrap();
    files.map(|file| file.unwrap().file_name().into_string().unwrap()).collect()
}

async fn told(rig: &Rig) -> (i64, i64, i64) {
    let info = rig.steward().server_info(pb::ServerInfoRequest {}).await.unwrap().into_inner();
    (info.backup_count.unwrap(), info.backup_bytes.unwrap(), info.kept_backup_count.unwrap())
}

fn all<'a>(names: impl IntoIterator<Item = &'a String>) -> BTreeSet<String> {
    names.into_iter().cloned().collect()
}

#[tokio::test]
async fn old_backups_go_and_nothing_else_does() {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("backups");
    let rig = Rig::with(settings(home.path(), 3)).await;
    let mut own = Vec::new();
    for number in 0..3 {
        own.push(another(&rig, &format!("{number}")).await);
    }
    assert_eq!(names(home.path()), all(&own), "as many as are kept");
    // A copy, a file of another book's that bears such a name, one of ours that was changed since, and something else.
    let copy = "copy-of-the-first.backup".to_owned();
    fs::copy(folder.join(&own[0]), folder.join(&copy)).unwrap();
    let foreign = "baybook-20200101T000000Z-r1.backup".to_owned();
    fs::copy(folder.join(&own[1]), folder.join(&foreign)).unwrap();
    let mut bytes = fs::read(folder.join(&own[1])).unwrap();
    bytes.push(0);
    fs::write(folder.join(&own[1]), bytes).unwrap();
    let notes = "notes.txt".to_owned();
    fs::write(folder.join(&notes), "mine").unwrap();
    own.push(another(&rig, "3").await);
    // The one that was changed is no longer counted, so three of ours are there still.
    let others = [copy, foreign, notes, own[1].clone()];
    let expected = |ours: &[String]| &all(ours) | &all(&others);
    assert_eq!(names(home.path()), expected(&[own[0].clone(), own[2].clone(), own[3].clone()]));
    own.push(another(&rig, "4").await);
    assert_eq!(names(home.path()), expected(&own[2..5]), "the oldest one went");
    let (count, size, kept) = told(&rig).await;
    let sizes: u64 = own[2..5].iter().map(|name| fs::metadata(folder.join(name)).unwrap().len()).sum();
    assert_eq!((count, size as u64, kept), (3, sizes, 3));
    let audit = rig.steward().list_audit(pb::ListAuditRequest::default()).await.unwrap().into_inner();
    let last = audit.records.last().unwrap();
    assert_eq!(last.kind(), pb::AuditKind::Backup);
    assert!(last.note.contains(&own[4]) && last.note.ends_with(&format!("old ones go: {}", own[0])), "{}", last.note);
    // What the service wrote is known to its next start; one that the shop moved away is missed by nobody.
    rig.embedded.close().await.unwrap();
    fs::rename(folder.join(&own[4]), home.path().join("elsewhere.backup")).unwrap();
    let rig = Rig::with(settings(home.path(), 3)).await;
    assert_eq!(told(&rig).await.0, 2);
    own.push(another(&rig, "5").await);
    let there = [own[2].clone(), own[3].clone(), own[5].clone()];
    assert_eq!(names(home.path()), expected(&there));
    own.push(another(&rig, "6").await);
    let there = [own[3].clone(), own[5].clone(), own[6].clone()];
    assert_eq!(names(home.path()), expected(&there));
    // Every one that was kept can be restored.
    for (number, name) in there.iter().enumerate() {
        backup::restore(&folder.join(name), &home.path().join(format!("r-{number}")), &Bounds::default()).unwrap();
    }
}

#[tokio::test]
async fn the_newest_stays_and_none_goes_when_all_are_kept() {
    for (keep, left) in [(1, 1), (0, 4)] {
        let home = tempfile::tempdir().unwrap();
        let rig = Rig::with(settings(home.path(), keep)).await;
        let mut own = Vec::new();
        for number in 0..4 {
            own.push(another(&rig, &format!("{number}")).await);
            assert!(names(home.path()).contains(own.last().unwrap()));
        }
        assert_eq!(names(home.path()), all(&own[4 - left..]));
    }
}

/// The same book brought back elsewhere writes into the same folder: what the other one wrote is not its own.
#[tokio::test]
async fn a_book_that_was_brought_back_elsewhere_leaves_the_others_backups_alone() {
    let home = tempfile::tempdir().unwrap();
    let rig = Rig::with(settings(home.path(), 2)).await;
    let first = another(&rig, "first").await;
    let second = another(&rig, "second").await;
    let restored = home.path().join("restored");
    backup::restore(&home.path().join("backups").join(&second), &restored, &Bounds::default()).unwrap();
    let other = Rig::with(Config { data_dir: restored, ..settings(home.path(), 1) }).await;
    assert_eq!(told(&other).await.0, 0);
    let (third, fourth) = (another(&other, "third").await, another(&other, "fourth").await);
    assert_eq!(names(home.path()), all([&first, &second, &fourth]), "{third} was its own");
}
