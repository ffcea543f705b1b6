//! Entries in bulk, in and out.

use baybook_proto::v1 as pb;
use sha2::{Digest as _, Sha256};

use crate::rig::{Rig, bolt, receiver, vehicle, wrong};

fn messages(batches: Vec<Vec<pb::Entry>>) -> impl tokio_stream::Stream<Item = pb::ImportEntriesRequest> {
    let message = |entries| pb::ImportEntriesRequest { entries, author: "kim".to_owned(), ..Default::default() };
    tokio_stream::iter(batches.into_iter().map(message).collect::<Vec<_>>())
}

async fn export(rig: &Rig) -> (Vec<pb::Entry>, String) {
    let mut stream = rig.book().export_entries(pb::ExportEntriesRequest::default()).await.unwrap().into_inner();
    let (mut entries, mut digest) = (Vec::new(), String::new());
    while let Some(message) = stream.message().await.unwrap() {
        assert!(digest.is_empty(), "the digest comes on the last message");
        entries.extend(message.entries);
        digest = message.digest;
    }
    (entries, digest)
}

fn digest(entries: &[pb::Entry]) -> String {
    let mut hash = Sha256::new();
    for entry in entries {
        hash.update(format!("{} {}\n", entry.name, entry.revision));
    }
    hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
}

#[tokio::test]
async fn a_book_goes_out_and_comes_back_the_same() {
    let demo = Rig::demo().await;
    let (entries, sum) = export(&demo).await;
    assert!(entries.len() > 80 && entries.is_sorted_by(|a, b| a.name < b.name));
    assert_eq!(sum, digest(&entries));
    for rig in Rig::both().await {
        // Receivers come before the vehicles, washers and trailers' couplers they refer to, and in other messages.
        let bare = |entry: &pb::Entry| pb::Entry { etag: String::new(), ..entry.clone() };
        let batches: Vec<Vec<_>> = entries.chunks(7).map(|batch| batch.iter().map(bare).collect()).collect();
        let reply = rig.book().import_entries(messages(batches.clone())).await.unwrap().into_inner();
        assert_eq!((reply.error_count, reply.created_count as usize), (0, entries.len()), "{:?}", reply.errors);
        let again = rig.book().import_entries(messages(batches)).await.unwrap().into_inner();
        assert_eq!((again.unchanged_count as usize, again.revision), (entries.len(), reply.revision));
        let (back, sum) = export(&rig).await;
        assert_eq!(sum, digest(&back));
        assert_eq!(back.len(), entries.len());
        for (back, sent) in back.iter().zip(&entries) {
            assert_eq!((&back.name, &back.spec, &back.source), (&sent.name, &sent.spec, &sent.source));
            assert_eq!(back.author, "kim");
        }
        rig.embedded.close().await.unwrap();
    }
}

#[tokio::test]
async fn an_empty_book_has_a_digest_too() {
    let rig = Rig::memory().await;
    assert_eq!(export(&rig).await, (Vec::new(), digest(&[])));
    let reply = rig.book().import_entries(messages(Vec::new())).await.unwrap().into_inner();
    // That the book was taken out is the one thing in it.
    assert_eq!(reply, pb::ImportEntriesResponse { revision: 1, ..Default::default() });
}

#[tokio::test]
async fn one_bad_entry_leaves_the_others_alone() {
    for rig in Rig::both().await {
        rig.put(vec![vehicle("van-1", "a")]).await;
        let stale = pb::Entry { etag: "r9".to_owned(), ..vehicle("van-1", "b") };
        let mut nameless = vehicle("van-2", "b");
        nameless.name = "VAN".to_owned();
        let lost = receiver("lost", "vehicles/van-1", "bolts/m13");
        let batches = vec![
            vec![stale, nameless, vehicle("van-3", "c"), lost],
            vec![vehicle("van-1", "new"), vehicle("van-1", "twice"), bolt("m12")],
        ];
        let reply = rig.book().import_entries(messages(batches)).await.unwrap().into_inner();
        assert_eq!((reply.created_count, reply.replaced_count, reply.error_count), (2, 1, 4), "{:?}", reply.errors);
        let errors: Vec<_> = reply
            .errors
            .iter()
            .map(|it| (it.seq, it.name.as_str(), it.error.as_ref().unwrap().reason().as_str_name()))
            .collect();
        let expected = [
            (0, "vehicles/van-1", "ERROR_REASON_STALE_ETAG"),
            (1, "VAN", "ERROR_REASON_BAD_FIELDS"),
            (3, "receivers/lost", "ERROR_REASON_BAD_FIELDS"),
            (5, "vehicles/van-1", "ERROR_REASON_BAD_FIELDS"),
        ];
        assert_eq!(errors, expected);
        let lost = reply.errors[2].error.as_ref().unwrap();
        assert_eq!(lost.violations[0].field, "receiver.joints[0].bolt");
        assert!(lost.message.contains("bolts/m12"), "{}", lost.message);
        assert_eq!(export(&rig).await.0.len(), 3);
    }
}

#[tokio::test]
async fn a_checked_import_changes_nothing() {
    let rig = Rig::memory().await;
    let entries = vec![receiver("r", "vehicles/van-1", "bolts/m12"), vehicle("van-1", "a")];
    let mut stream: Vec<_> = [entries, vec![bolt("m12")]]
        .map(|entries| pb::ImportEntriesRequest { entries, validate_only: true, ..Default::default() })
        .into();
    stream[1].validate_only = false;
    let reply = rig.book().import_entries(tokio_stream::iter(stream)).await.unwrap().into_inner();
    assert_eq!((reply.created_count, reply.error_count, reply.revision), (3, 0, 0), "{:?}", reply.errors);
    assert_eq!(export(&rig).await.0.len(), 0);
}

#[tokio::test]
async fn a_message_of_too_many_entries_ends_the_import() {
    let rig = Rig::memory().await;
    let batch = (0..1_001).map(|n| vehicle(&format!("v-{n}"), "x")).collect();
    let error = wrong(rig.book().import_entries(messages(vec![batch])).await);
    assert_eq!((error.reason.as_str(), error.meta("limit")), ("OVER_LIMIT", "batch_entries"));
    assert_eq!((error.meta("max"), error.meta("is")), ("1000", "1001"));
}

#[tokio::test]
async fn what_waits_is_bounded() {
    let limits = baybook_server::Limits { import_waiting: 3, ..Default::default() };
    let rig = Rig::limited(limits).await;
    let batch = (0..4).map(|n| receiver(&format!("r-{n}"), "vehicles/van-1", "bolts/m12")).collect();
    let error = wrong(rig.book().import_entries(messages(vec![batch])).await);
    assert_eq!((error.reason.as_str(), error.meta("limit")), ("OVER_LIMIT", "import_waiting"));
}
