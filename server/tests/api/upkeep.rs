//! Backups and reading the book again, through the service: what is reported, what is in the file, what comes back.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use baybook_proto::v1 as pb;
use baybook_server::access::AccessMode;
use baybook_server::book::{Bounds, backup};
use baybook_server::{Config, EngineKind};
use tonic::{Code, Request};

use crate::rig::{Rig, receiver, vehicle, wrong};

fn settings(home: &Path) -> Config {
    Config {
        engine: EngineKind::Sled,
        data_dir: home.join("data"),
        backup_dir: home.join("backups"),
        ..Config::in_memory().unwrap()
    }
}

async fn backup_of(rig: &Rig) -> pb::BackupNote {
    rig.steward().backup(pb::BackupRequest {}).await.unwrap().into_inner().backup.unwrap()
}

async fn entries(rig: &Rig) -> Vec<pb::Entry> {
    let request = pb::ListEntriesRequest { page_size: 1_000, ..Default::default() };
    rig.book().list_entries(request).await.unwrap().into_inner().entries
}

async fn history(rig: &Rig, name: &str) -> Vec<pb::EntryChange> {
    let request = pb::EntryHistoryRequest { name: name.to_owned(), ..Default::default() };
    rig.book().entry_history(request).await.unwrap().into_inner().changes
}

fn restore(note: &pb::BackupNote, to: &Path) -> backup::Contents {
    backup::restore(Path::new(&note.file), to, &Bounds::default()).unwrap()
}

fn files(folder: &Path) -> Vec<PathBuf> {
    let mut all: Vec<_> = fs::read_dir(folder).unwrap().map(|file| file.unwrap().path()).collect();
    all.sort();
    all
}

#[tokio::test]
async fn a_backup_brings_back_the_book_its_history_and_its_audit() {
    let home = tempfile::tempdir().unwrap();
    let rig = Rig::with(settings(home.path())).await;
    rig.put(vec![vehicle("van-1", "first"), vehicle("van-2", "gone later")]).await;
    rig.put(vec![vehicle("van-1", "second"), receiver("r-1", "vehicles/van-1", "")]).await;
    let gone = pb::RemoveEntryRequest { name: "vehicles/van-2".to_owned(), etag: "*".to_owned(), ..Default::default() };
    rig.book().remove_entry(gone).await.unwrap();
    let info = rig.steward().server_info(pb::ServerInfoRequest {}).await.unwrap().into_inner();
    assert_eq!(info.last_backup, None);
    let note = backup_of(&rig).await;
    assert_eq!((note.revision, note.entry_count), (3, 2));
    assert_eq!(files(&home.path().join("backups")), [fs::canonicalize(&note.file).unwrap()], "nothing else is left");
    assert_eq!(fs::metadata(&note.file).unwrap().len(), note.size_bytes as u64);
    // What comes later is not in it.
    rig.put(vec![vehicle("van-9", "later")]).await;
    let info = rig.steward().server_info(pb::ServerInfoRequest {}).await.unwrap().into_inner();
    assert_eq!(info.last_backup.as_ref(), Some(&note));
    let audit = rig.steward().list_audit(pb::ListAuditRequest::default()).await.unwrap().into_inner();
    let kinds: Vec<_> = audit.records.iter().map(|record| record.kind()).collect();
    assert_eq!(kinds[3], pb::AuditKind::Backup);
    assert!(audit.records[3].note.contains(&note.file), "{}", audit.records[3].note);

    let to = home.path().join("restored");
    let contents = restore(&note, &to);
    assert_eq!(format!("{:032x}", contents.tally.digest()), note.digest);
    let again = Rig::with(Config { data_dir: to, ..settings(home.path()) }).await;
    let before: Vec<_> = entries(&rig).await.into_iter().filter(|entry| entry.name != "vehicles/van-9").collect();
    assert_eq!(entries(&again).await, before);
    for name in ["vehicles/van-1", "vehicles/van-2", "receivers/r-1"] {
        assert_eq!(history(&again, name).await, history(&rig, name).await, "{name}");
    }
    let verified = again.steward().verify_book(pb::VerifyBookRequest::default()).await.unwrap().into_inner();
    assert_eq!((verified.digest, verified.chain, verified.damages), (note.digest, note.chain, Vec::new()));
    // And it goes on from there.
    assert_eq!(again.put(vec![vehicle("van-3", "new")]).await, 4);
    // The last backup is remembered through a restart.
    rig.embedded.close().await.unwrap();
    let opened = Rig::with(settings(home.path())).await;
    let info = opened.steward().server_info(pb::ServerInfoRequest {}).await.unwrap().into_inner();
    assert_eq!(info.last_backup.unwrap().file, note.file);
}

#[tokio::test]
async fn no_token_and_no_hash_of_one_is_in_a_backup_and_none_counts_after_it() {
    let home = tempfile::tempdir().unwrap();
    let rig = Rig::with(settings(home.path())).await;
    let request = pb::IssueTokenRequest {
        role: pb::Role::Admin.into(),
        holder: "Ines Varga".to_owned(),
        life_s: Some(3_600.0),
        ..Default::default()
    };
    let issued = rig.steward().issue_token(request).await.unwrap().into_inner();
    rig.steward().revoke_token(pb::RevokeTokenRequest { id: issued.token.unwrap().id }).await.unwrap();
    let request = pb::IssueTokenRequest {
        role: pb::Role::Admin.into(),
        holder: "Mira Solano".to_owned(),
        life_s: Some(3_600.0),
        ..Default::default()
    };
    let stands = rig.steward().issue_token(request).await.unwrap().into_inner();
    let note = backup_of(&rig).await;
    let bytes = fs::read(&note.file).unwrap();
    let holds = |text: &str| bytes.windows(text.len()).any(|window| window == text.as_bytes());
    use sha2::Digest as _;
    for text in [&issued.text, &stands.text] {
        let hash: String = sha2::Sha256::digest(text).iter().map(|byte| format!("{byte:02x}")).collect();
        assert!(!holds(text) && !holds(&text[17..]) && !holds(&hash));
        // The same search finds it where it is kept.
        let journal = fs::read(home.path().join("data/journal/00000000000000000001.journal")).unwrap();
        assert!(journal.windows(hash.len()).any(|window| window == hash.as_bytes()));
    }
    assert!(holds("Ines Varga") && holds("Mira Solano"), "who was given what stays in the audit");
    let to = home.path().join("restored");
    restore(&note, &to);
    let again = Rig::with(Config { data_dir: to.clone(), access: AccessMode::Tokens, ..settings(home.path()) }).await;
    let mut call = Request::new(pb::ServerInfoRequest {});
    call.metadata_mut().insert("authorization", format!("Bearer {}", stands.text).parse().unwrap());
    assert_eq!(wrong(again.steward().server_info(call).await).code, Code::Unauthenticated);
    again.embedded.close().await.unwrap();
    let open = Rig::with(Config { data_dir: to, ..settings(home.path()) }).await;
    let tokens = open.steward().list_tokens(pb::ListTokensRequest {}).await.unwrap().into_inner().tokens;
    assert_eq!(tokens.iter().map(|token| token.struck).collect::<Vec<_>>(), [true, true]);
}

#[tokio::test]
async fn a_restore_goes_into_an_empty_folder_only_and_only_from_a_whole_file() {
    let home = tempfile::tempdir().unwrap();
    let rig = Rig::with(settings(home.path())).await;
    for number in 0..30 {
        rig.put(vec![vehicle(&format!("van-{number}"), "one of many")]).await;
    }
    let note = backup_of(&rig).await;
    let file = Path::new(&note.file);
    let full = home.path().join("full");
    fs::create_dir_all(&full).unwrap();
    fs::write(full.join("notes.txt"), "mine").unwrap();
    let refused = backup::restore(file, &full, &Bounds::default()).unwrap_err();
    assert!(matches!(&refused, backup::RestoreError::NotEmpty { found, .. } if found == "notes.txt"), "{refused}");
    assert_eq!(files(&full).len(), 1);
    let whole = fs::read(file).unwrap();
    let broken = home.path().join("broken.backup");
    let (mut refusals, to) = (0, home.path().join("to"));
    for at in (0..whole.len()).step_by(whole.len() / 300) {
        for how in 0..3 {
            let mut bytes = whole.clone();
            match how {
                0 => bytes[at] ^= 1 << (at % 8),
                1 => bytes.truncate(at),
                _ => bytes.insert(at, 7),
            }
            fs::write(&broken, bytes).unwrap();
            let refused = backup::restore(&broken, &to, &Bounds::default()).unwrap_err();
            assert!(refused.to_string().contains("is not a whole backup"), "{at} {how}: {refused}");
            refusals += 1;
        }
    }
    assert!(refusals > 800, "{refusals}");
    // What was refused left nothing that is in the way.
    assert_eq!(restore(&note, &to).revision.to_wire(), 30);
    let refused = backup::restore(file, &to, &Bounds::default()).unwrap_err();
    assert!(matches!(refused, backup::RestoreError::NotEmpty { .. }), "{refused}");
}

/// A restore that was ended in the middle: the folder is no book until the restore was run again.
#[tokio::test]
async fn a_restore_that_was_broken_off_is_begun_anew_and_is_no_book_until_then() {
    let home = tempfile::tempdir().unwrap();
    let rig = Rig::with(settings(home.path())).await;
    rig.put(vec![vehicle("van-1", "kept")]).await;
    let note = backup_of(&rig).await;
    let whole = home.path().join("whole");
    restore(&note, &whole);
    // The states between: nothing moved; the marks moved; all moved and the sign still there.
    for moved in [&[][..], &["mark-a", "mark-b"], &["mark-a", "mark-b", "journal"]] {
        let to = tempfile::tempdir_in(home.path()).unwrap();
        fs::create_dir(to.path().join("restoring")).unwrap();
        for name in moved.iter().filter(|name| **name != "journal") {
            fs::copy(whole.join(name), to.path().join(name)).unwrap();
        }
        if moved.contains(&"journal") {
            fs::create_dir(to.path().join("journal")).unwrap();
            for file in files(&whole.join("journal")) {
                fs::copy(&file, to.path().join("journal").join(file.file_name().unwrap())).unwrap();
            }
        }
        let config = Config { data_dir: to.path().to_owned(), ..settings(home.path()) };
        let refused = baybook_server::Service::open(config.clone()).await.unwrap_err().to_string();
        assert!(refused.contains("broken off") && refused.contains("baybook restore BACKUP --data"), "{refused}");
        restore(&note, to.path());
        let again = Rig::with(config).await;
        assert_eq!(entries(&again).await.len(), 1);
        again.embedded.close().await.unwrap();
    }
}

#[tokio::test]
async fn a_backup_of_a_running_book_is_of_one_revision() {
    let home = tempfile::tempdir().unwrap();
    let rig = Rig::with(settings(home.path())).await;
    let writers: Vec<_> = (0..4)
        .map(|writer| {
            let mut book = rig.book();
            tokio::spawn(async move {
                for number in 0..50 {
                    // Both or neither: a backup between them shows the same number twice.
                    let label = format!("{number}");
                    let pair = [("a", &label), ("b", &label)].map(|(side, label)| pb::Entry {
                        etag: "*".to_owned(),
                        ..vehicle(&format!("van-{writer}-{side}"), label)
                    });
                    let request = pb::BatchPutEntriesRequest { entries: pair.to_vec(), ..Default::default() };
                    book.batch_put_entries(request).await.unwrap();
                }
            })
        })
        .collect();
    let mut revisions = Vec::new();
    for number in 0..6 {
        let note = backup_of(&rig).await;
        revisions.push(note.revision);
        let to = home.path().join(format!("restored-{number}"));
        restore(&note, &to);
        let again = Rig::with(Config { data_dir: to, ..settings(home.path()) }).await;
        let all = entries(&again).await;
        for pair in all.chunks(2) {
            let label = |entry: &pb::Entry| match &entry.spec {
                Some(pb::entry::Spec::Vehicle(vehicle)) => vehicle.label.clone(),
                other => panic!("{other:?}"),
            };
            assert_eq!(label(&pair[0]), label(&pair[1]));
        }
        again.embedded.close().await.unwrap();
    }
    for writer in writers {
        writer.await.unwrap();
    }
    assert!(revisions.windows(2).all(|pair| pair[0] < pair[1]), "{revisions:?}");
}

#[tokio::test]
async fn a_chain_that_was_kept_shows_what_was_done_since() {
    let home = tempfile::tempdir().unwrap();
    let rig = Rig::with(settings(home.path())).await;
    rig.put(vec![vehicle("van-1", "first")]).await;
    let verify = async |revision: i64, chain: &str| {
        let request = pb::VerifyBookRequest { known_revision: revision, known_chain: chain.to_owned() };
        rig.steward().verify_book(request).await
    };
    let kept = verify(0, "").await.unwrap().into_inner();
    rig.put(vec![vehicle("van-1", "second")]).await;
    assert_eq!(verify(kept.revision, &kept.chain).await.unwrap().into_inner().damages, []);
    let other = "ab".repeat(32);
    for (revision, word) in [(1, "are not those whose chain was kept"), (9, "before revision 9")] {
        let damages = verify(revision, &other).await.unwrap().into_inner().damages;
        assert!(damages.len() == 1 && damages[0].what.contains(word) && !damages[0].mended, "{damages:?}");
    }
    for (revision, chain, field) in [
        (1, "", "known_chain"),
        (0, other.as_str(), "known_revision"),
        (1, "xyz", "known_chain"),
        (-1, other.as_str(), "known_revision"),
    ] {
        assert_eq!(wrong(verify(revision, chain).await).fields(), [field]);
    }
    // Nothing of that stops the book.
    rig.put(vec![vehicle("van-1", "third")]).await;
}

/// A file is damaged under a running service: the scrub finds it, mends it and tells.
#[tokio::test]
async fn the_scrub_of_a_running_service_mends_what_was_damaged() {
    let home = tempfile::tempdir().unwrap();
    let rig = Rig::with(Config { scrub_every: Duration::from_millis(100), ..settings(home.path()) }).await;
    for number in 0..20 {
        rig.put(vec![vehicle(&format!("van-{number}"), "one of many")]).await;
    }
    let verify = || async { rig.steward().verify_book(pb::VerifyBookRequest::default()).await.unwrap().into_inner() };
    while verify().await.second_copy_revision < 20 {
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    let journal = home.path().join("data/journal/00000000000000000001.journal");
    let whole = fs::read(&journal).unwrap();
    let mut bytes = whole.clone();
    bytes[whole.len() / 2] ^= 1;
    fs::write(&journal, bytes).unwrap();
    for _ in 0..100 {
        // Nobody asks for it: only the scrub can have put it there.
        if home.path().join("data/damaged").exists() {
            break;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    let verified = verify().await;
    assert_eq!((verified.earlier_mends.len(), verified.damages, verified.writable), (1, Vec::new(), true));
    let info = rig.steward().server_info(pb::ServerInfoRequest {}).await.unwrap().into_inner();
    let last = info.last_verify.unwrap();
    assert_eq!((last.revision, last.damage_count), (20, 0));
    rig.put(vec![vehicle("van-20", "goes on")]).await;
    rig.embedded.close().await.unwrap();
    let again = Rig::with(settings(home.path())).await;
    assert_eq!(entries(&again).await.len(), 21);
}

async fn exported(rig: &Rig) -> (Vec<pb::Entry>, String, String) {
    let mut stream = rig.book().export_entries(pb::ExportEntriesRequest::default()).await.unwrap().into_inner();
    let (mut all, mut digests) = (Vec::new(), (String::new(), String::new()));
    while let Some(message) = stream.message().await.unwrap() {
        all.extend(message.entries);
        digests = (message.digest, message.content_digest);
    }
    (all, digests.0, digests.1)
}

/// What is exported as lines of JSON and imported by another book is exported there with an equal digest.
#[tokio::test]
async fn an_export_is_imported_to_an_equal_digest() {
    let demo = Rig::demo().await;
    // Numbers that a careless reader of decimals would bring back as their neighbours.
    let odd = [3_000.1 + 0.2, 10_000.0 / 3.0, 3_600.000_000_000_000_5, 1_234.567_890_123_456_7];
    let odd = odd.into_iter().enumerate().map(|(number, value)| pb::Entry {
        note: "a \"quoted\" word, a back\\slash, 110 N·m and °".to_owned(),
        ..wheelbase(&format!("odd-{number}"), value)
    });
    demo.put(odd.collect()).await;
    let (entries, digest, content) = exported(&demo).await;
    assert_eq!(entries.iter().filter(|entry| entry.name.contains("odd-")).count(), 4);
    let lines: Vec<String> = entries.iter().map(|entry| serde_json::to_string(entry).unwrap()).collect();
    let read = lines.iter().map(|line| serde_json::from_str::<pb::Entry>(line).unwrap());
    let (home, mut entries) = (tempfile::tempdir().unwrap(), Vec::new());
    entries.extend(read.map(|entry| pb::Entry { etag: String::new(), ..entry }));
    let other = Rig::with(settings(home.path())).await;
    let messages =
        entries.chunks(7).map(|some| pb::ImportEntriesRequest { entries: some.to_vec(), ..Default::default() });
    let messages: Vec<_> = messages.collect();
    let done = other.book().import_entries(tokio_stream::iter(messages)).await.unwrap().into_inner();
    assert_eq!((done.created_count as usize, done.error_count), (lines.len(), 0), "{:?}", done.errors);
    let (again, other_digest, other_content) = exported(&other).await;
    assert_eq!((again.len(), other_content.as_str()), (lines.len(), content.as_str()));
    assert_ne!(other_digest, digest, "the revisions are others");
    // One field of one entry more, and it is another book.
    other.put(vec![wheelbase("odd-0", 3_000.1)]).await;
    assert_ne!(exported(&other).await.2, content);
}

fn wheelbase(id: &str, mm: f64) -> pb::Entry {
    let mut entry = vehicle(id, "numbers");
    if let Some(pb::entry::Spec::Vehicle(vehicle)) = &mut entry.spec {
        vehicle.wheelbase_mm = Some(mm);
    }
    entry
}

/// Taking the book out leaves a record, also where nobody shows a token.
#[tokio::test]
async fn an_export_on_this_machine_is_in_the_audit() {
    let rig = Rig::memory().await;
    rig.put(vec![vehicle("van-1", "x")]).await;
    exported(&rig).await;
    let audit = rig.steward().list_audit(pb::ListAuditRequest::default()).await.unwrap().into_inner();
    let last = audit.records.last().unwrap();
    assert_eq!((last.kind(), last.author.as_str()), (pb::AuditKind::Export, "whoever uses this machine"));
    assert_eq!(last.note, "the whole book at revision 1");
}
