//! `SpecBookService`, call by call.

use baybook_proto::v1 as pb;
use tonic::Code;

use crate::rig::{Rig, bolt, receiver, vehicle, wrong};

fn put(entry: pb::Entry, etag: &str) -> pb::PutEntryRequest {
    let entry = Some(pb::Entry { etag: etag.to_owned(), ..entry });
    pb::PutEntryRequest { entry, author: "sam".to_owned(), ..Default::default() }
}

fn get(name: &str) -> pb::GetEntryRequest {
    pb::GetEntryRequest { name: name.to_owned(), ..Default::default() }
}

#[tokio::test]
async fn an_entry_is_put_read_changed_and_removed() {
    for rig in Rig::both().await {
        let mut book = rig.book();
        let created = book.put_entry(put(vehicle("van-7", "Van"), "")).await.unwrap().into_inner();
        let entry = created.entry.unwrap();
        assert_eq!((created.revision, entry.etag.as_str(), entry.author.as_str()), (1, "r1", "sam"));
        assert!(entry.create_time.is_some() && entry.create_time == entry.update_time);

        let changed = book.put_entry(put(vehicle("van-7", "Long van"), "r1")).await.unwrap().into_inner();
        let read = book.get_entry(get("vehicles/van-7")).await.unwrap().into_inner();
        assert_eq!(read.entry, changed.entry);
        assert_eq!((read.revision, read.entry.unwrap().create_time), (2, entry.create_time));

        let request = pb::RemoveEntryRequest {
            name: "vehicles/van-7".to_owned(),
            etag: "r2".to_owned(),
            author: "kim".to_owned(),
            ..Default::default()
        };
        assert_eq!(book.remove_entry(request).await.unwrap().into_inner().revision, 3);
        let gone = wrong(book.get_entry(get("vehicles/van-7")).await);
        assert_eq!((gone.code, gone.reason.as_str()), (Code::NotFound, "ENTRY_NOT_FOUND"));

        let request = pb::EntryHistoryRequest { name: "vehicles/van-7".to_owned(), ..Default::default() };
        let past = book.entry_history(request).await.unwrap().into_inner();
        let seen: Vec<_> =
            past.changes.iter().map(|it| (it.revision, it.author.as_str(), it.entry.is_some())).collect();
        assert_eq!(seen, [(3, "kim", false), (2, "sam", true), (1, "sam", true)]);
        assert_eq!(past.changes[1].differences, ["label: \"Van\" -> \"Long van\""]);
        rig.embedded.close().await.unwrap();
    }
}

#[tokio::test]
async fn history_comes_in_pages() {
    for rig in Rig::both().await {
        for label in ["a", "b", "c", "d", "e"] {
            rig.put(vec![vehicle("van-7", label)]).await;
        }
        let mut request =
            pb::EntryHistoryRequest { name: "vehicles/van-7".to_owned(), page_size: 2, ..Default::default() };
        let mut seen = Vec::new();
        loop {
            let page = rig.book().entry_history(request.clone()).await.unwrap().into_inner();
            assert!(page.changes.len() <= 2 && page.revision == 5);
            seen.extend(page.changes.iter().map(|it| (it.revision, it.differences.len())));
            // What happens meanwhile does not shift the pages.
            rig.put(vec![vehicle("van-7", "later")]).await;
            if page.next_page_token.is_empty() {
                break;
            }
            request.page_token = page.next_page_token;
        }
        assert_eq!(seen.iter().map(|(revision, _)| *revision).collect::<Vec<_>>(), [5, 4, 3, 2, 1]);
        assert!(seen[..4].iter().all(|(_, differences)| *differences == 1), "{seen:?}");
        let none = pb::EntryHistoryRequest { name: "vehicles/van-8".to_owned(), ..Default::default() };
        assert_eq!(wrong(rig.book().entry_history(none).await).meta("nearest"), "vehicles/van-7");
    }
}

#[tokio::test]
async fn a_name_that_is_not_there_gets_the_nearest_ones() {
    let rig = Rig::memory().await;
    rig.put(vec![vehicle("van-7", "a"), vehicle("van-17", "b")]).await;
    let error = wrong(rig.book().get_entry(get("vehicles/van-71")).await);
    assert_eq!(error.meta("name"), "vehicles/van-71");
    assert_eq!(error.meta("nearest"), "vehicles/van-17, vehicles/van-7");
    assert!(error.message.contains("vehicles/van-71 is not in the book; nearest: "), "{}", error.message);
    let error = wrong(rig.book().get_entry(get("van-7")).await);
    assert_eq!((error.code, error.reason.as_str()), (Code::InvalidArgument, "BAD_FIELDS"));
    assert_eq!((error.meta("count"), error.meta("first_field")), ("1", "name"));
    let request = pb::BatchGetEntriesRequest {
        names: ["vehicles/van-7", "vehicles/x", "nonsense"].map(str::to_owned).to_vec(),
        ..Default::default()
    };
    let error = wrong(rig.book().batch_get_entries(request).await);
    assert_eq!(error.fields(), ["names[2]", "names"]);
}

#[tokio::test]
async fn several_entries_are_read_at_one_revision_in_the_order_asked() {
    let rig = Rig::memory().await;
    rig.put(vec![vehicle("b", "b"), vehicle("a", "a")]).await;
    let request = pb::BatchGetEntriesRequest {
        names: ["vehicles/b", "vehicles/a", "vehicles/b"].map(str::to_owned).to_vec(),
        min_revision: 1,
    };
    let reply = rig.book().batch_get_entries(request).await.unwrap().into_inner();
    let names: Vec<_> = reply.entries.iter().map(|entry| entry.name.as_str()).collect();
    assert_eq!((names, reply.revision), (vec!["vehicles/b", "vehicles/a", "vehicles/b"], 1));
}

#[tokio::test]
async fn a_page_shows_one_revision_while_the_book_is_written() {
    for rig in Rig::both().await {
        let mut entries: Vec<_> = (0..25).map(|n| vehicle(&format!("van-{n:02}"), "old")).collect();
        entries.push(bolt("m12"));
        rig.put(entries).await;
        let mut request = pb::ListEntriesRequest { kind: 1, page_size: 10, ..Default::default() };
        let mut seen = Vec::new();
        loop {
            let page = rig.book().list_entries(request.clone()).await.unwrap().into_inner();
            assert_eq!(page.revision, 1);
            for entry in page.entries {
                let Some(pb::entry::Spec::Vehicle(vehicle)) = entry.spec else { panic!("{}", entry.name) };
                assert_eq!(vehicle.label, "old");
                seen.push(entry.name);
            }
            rig.put(vec![vehicle("van-24", "new"), vehicle(&format!("van-9{}", seen.len()), "new")]).await;
            if page.next_page_token.is_empty() {
                break;
            }
            request.page_token = page.next_page_token;
        }
        assert_eq!(seen, (0..25).map(|n| format!("vehicles/van-{n:02}")).collect::<Vec<_>>());
        // A token is good for its own list alone.
        let other = pb::ListEntriesRequest { kind: 3, page_token: request.page_token, ..Default::default() };
        assert_eq!(wrong(rig.book().list_entries(other).await).fields(), ["page_token"]);
        let all = rig.book().list_entries(pb::ListEntriesRequest::default()).await.unwrap().into_inner();
        assert_eq!(all.entries[0].name, "bolts/m12");
    }
}

#[tokio::test]
async fn words_find_entries() {
    let rig = Rig::memory().await;
    rig.put(vec![vehicle("van-7", "Van"), vehicle("box", "Panel van, long"), vehicle("p", "Pickup"), bolt("van-bolt")])
        .await;
    let find = |words: &str, kind: i32| pb::FindEntriesRequest { words: words.to_owned(), kind, ..Default::default() };
    let found = rig.book().find_entries(find("VAN", 0)).await.unwrap().into_inner();
    assert_eq!((found.found_count, found.entries[0].name.as_str()), (3, "vehicles/van-7"));
    assert_eq!(rig.book().find_entries(find("van", 3)).await.unwrap().into_inner().found_count, 1);
    assert_eq!(rig.book().find_entries(find("long panel", 0)).await.unwrap().into_inner().found_count, 1);
    assert_eq!(rig.book().find_entries(find("long pickup", 0)).await.unwrap().into_inner().found_count, 0);
    for (request, field) in [(find(" ", 0), "words"), (find(&"x".repeat(201), 0), "words"), (find("x", 99), "kind")] {
        assert_eq!(wrong(rig.book().find_entries(request).await).fields(), [field]);
    }
}

#[tokio::test]
async fn everything_wrong_with_a_batch_is_said_at_once_and_nothing_is_put() {
    let rig = Rig::memory().await;
    let mut broken = vehicle("van-1", "x");
    let Some(pb::entry::Spec::Vehicle(spec)) = &mut broken.spec else { panic!() };
    spec.wheelbase_mm = Some(-5.0);
    spec.gvwr = Some(pb::Mass { value_kg: Some(f64::NAN), ..Default::default() });
    let stale = pb::Entry { etag: "17".to_owned(), ..vehicle("van-2", "x") };
    let entries = vec![vehicle("van-0", "good"), broken, stale, vehicle("van-0", "twice"), vehicle("VAN", "bad name")];
    let request = pb::BatchPutEntriesRequest { entries, ..Default::default() };
    let error = wrong(rig.book().batch_put_entries(request).await);
    let mut fields = error.fields();
    fields.sort_unstable();
    let expected = [
        "entries[1].vehicle.gvwr.value_kg",
        "entries[1].vehicle.wheelbase_mm",
        "entries[2].etag",
        "entries[3].name",
        "entries[4].name",
    ];
    assert_eq!(fields, expected);
    assert_eq!(error.meta("count"), "5");
    assert!(error.message.contains("1000 to 10000 mm"), "{}", error.message);
    let info = rig.steward().server_info(pb::ServerInfoRequest {}).await.unwrap().into_inner();
    assert_eq!(info.revision, 0);
    let empty = wrong(rig.book().put_entry(pb::PutEntryRequest::default()).await);
    assert_eq!(empty.fields(), ["entry"]);
}

#[tokio::test]
async fn more_fields_at_fault_than_headers_hold_are_counted() {
    let rig = Rig::memory().await;
    let entries = (0..1_000).map(|_| pb::Entry { name: "nothing".to_owned(), ..Default::default() }).collect();
    let error = wrong(rig.book().batch_put_entries(pb::BatchPutEntriesRequest { entries, ..Default::default() }).await);
    let count: usize = error.meta("count").parse().unwrap();
    assert!(count >= 2_000 && error.fields().len() < 100, "{count}");
    let last = &error.details.bad_request().unwrap().field_violations.last().unwrap().description;
    assert_eq!(*last, format!("and {} more fields; mend these and send it again", count - error.fields().len() + 1));
}

#[tokio::test]
async fn an_etag_guards_a_change() {
    for rig in Rig::both().await {
        rig.put(vec![vehicle("van-7", "a")]).await;
        let error = wrong(rig.book().put_entry(put(vehicle("van-7", "b"), "")).await);
        assert_eq!(
            (error.code, error.reason.as_str(), error.meta("etag")),
            (Code::AlreadyExists, "ENTRY_EXISTS", "r1")
        );
        rig.put(vec![vehicle("van-7", "b")]).await;
        let error = wrong(rig.book().put_entry(put(vehicle("van-7", "c"), "r1")).await);
        assert_eq!((error.code, error.reason.as_str()), (Code::Aborted, "STALE_ETAG"));
        assert_eq!((error.meta("etag"), error.meta("changed"), error.meta("name")), ("r2", "label", "vehicles/van-7"));
        let error = wrong(rig.book().put_entry(put(vehicle("van-8", "c"), "r1")).await);
        assert_eq!((error.code, error.meta("nearest")), (Code::NotFound, "vehicles/van-7"));
        let mut request = pb::RemoveEntryRequest { name: "vehicles/van-7".to_owned(), ..Default::default() };
        assert_eq!(wrong(rig.book().remove_entry(request.clone()).await).fields(), ["etag"]);
        request.etag = "r1".to_owned();
        assert_eq!(wrong(rig.book().remove_entry(request.clone()).await).reason, "STALE_ETAG");
        request.etag = "*".to_owned();
        assert_eq!(rig.book().remove_entry(request.clone()).await.unwrap().into_inner().revision, 3);
        assert_eq!(wrong(rig.book().remove_entry(request).await).reason, "ENTRY_NOT_FOUND");
        // All that is not as expected comes back, not the first alone.
        rig.put(vec![vehicle("a", "a"), vehicle("b", "b")]).await;
        let entries = vec![vehicle("a", "x"), vehicle("b", "x")];
        let request = pb::BatchPutEntriesRequest { entries, ..Default::default() };
        let error = wrong(rig.book().batch_put_entries(request).await);
        assert_eq!(error.details.precondition_failure().unwrap().violations.len(), 2);
    }
}

#[tokio::test]
async fn a_request_id_has_one_effect() {
    for rig in Rig::both().await {
        let request = |label: &str, id: &str| pb::PutEntryRequest {
            request_id: id.to_owned(),
            ..put(vehicle("van-7", label), "*")
        };
        let first = rig.book().put_entry(request("a", "id-1")).await.unwrap().into_inner();
        rig.book().put_entry(request("b", "id-2")).await.unwrap();
        let again = rig.book().put_entry(request("a", "id-1")).await.unwrap().into_inner();
        assert_eq!(again, first);
        let now = rig.book().get_entry(get("vehicles/van-7")).await.unwrap().into_inner();
        assert_eq!((now.revision, now.entry.unwrap().etag.as_str()), (2, "r2"));
        let error = wrong(rig.book().put_entry(request("c", "id-1")).await);
        assert_eq!((error.code, error.reason.as_str()), (Code::InvalidArgument, "REQUEST_ID_REUSED"));
        assert_eq!(error.meta("request_id"), "id-1");
        let remove = pb::RemoveEntryRequest {
            name: "vehicles/van-7".to_owned(),
            etag: "r2".to_owned(),
            request_id: "id-3".to_owned(),
            ..Default::default()
        };
        for _ in 0..2 {
            assert_eq!(rig.book().remove_entry(remove.clone()).await.unwrap().into_inner().revision, 3);
        }
        let error = wrong(rig.book().put_entry(request("a", "no spaces please")).await);
        assert_eq!(error.fields(), ["request_id"]);
    }
}

#[tokio::test]
async fn a_check_changes_nothing_but_refuses_the_same() {
    let rig = Rig::memory().await;
    let check = |entry: pb::Entry, etag: &str| pb::PutEntryRequest { validate_only: true, ..put(entry, etag) };
    let reply = rig.book().put_entry(check(vehicle("van-7", "a"), "")).await.unwrap().into_inner();
    assert_eq!((reply.revision, reply.entry.unwrap().etag.as_str()), (0, ""));
    rig.put(vec![vehicle("van-7", "a")]).await;
    assert_eq!(wrong(rig.book().put_entry(check(vehicle("van-7", "a"), "")).await).reason, "ENTRY_EXISTS");
    let error = wrong(rig.book().put_entry(check(receiver("r", "vehicles/van-7", "bolts/none"), "")).await);
    assert_eq!(error.fields(), ["entry.receiver.joints[0].bolt"]);
}

#[tokio::test]
async fn what_an_entry_refers_to_must_be_there_and_stays() {
    for rig in Rig::both().await {
        let error = wrong(rig.book().put_entry(put(receiver("r", "vehicles/van-7", "bolts/m12"), "")).await);
        assert_eq!((error.code, error.reason.as_str()), (Code::InvalidArgument, "BAD_FIELDS"));
        let fields = ["entry.receiver.fits[0].vehicle", "entry.receiver.joints[0].bolt"];
        assert_eq!(error.fields(), fields);
        assert!(error.message.contains("put that first, or in the same batch"), "{}", error.message);
        rig.put(vec![receiver("r", "vehicles/van-7", "bolts/m12"), vehicle("van-7", "v"), bolt("m12")]).await;
        let remove =
            |name: &str| pb::RemoveEntryRequest { name: name.to_owned(), etag: "*".to_owned(), ..Default::default() };
        let error = wrong(rig.book().remove_entry(remove("bolts/m12")).await);
        assert_eq!((error.code, error.reason.as_str()), (Code::FailedPrecondition, "ENTRY_IN_USE"));
        assert_eq!((error.meta("name"), error.meta("used_by")), ("bolts/m12", "receivers/r"));
        rig.book().remove_entry(remove("receivers/r")).await.unwrap();
        rig.book().remove_entry(remove("bolts/m12")).await.unwrap();
    }
}

#[tokio::test]
async fn no_removal_slips_past_an_entry_that_refers_to_it() {
    let rig = Rig::memory().await;
    for round in 0..40 {
        rig.put(vec![vehicle("van-7", "v"), bolt("m12")]).await;
        let put = pb::BatchPutEntriesRequest {
            entries: vec![pb::Entry { etag: "*".to_owned(), ..receiver("r", "vehicles/van-7", "bolts/m12") }],
            ..Default::default()
        };
        let remove =
            pb::RemoveEntryRequest { name: "bolts/m12".to_owned(), etag: "*".to_owned(), ..Default::default() };
        let (mut one, mut other) = (rig.book(), rig.book());
        let (put, removed) = tokio::join!(one.batch_put_entries(put), other.remove_entry(remove));
        assert!(put.is_ok() != removed.is_ok(), "round {round}: {put:?} {removed:?}");
        if put.is_ok() {
            let remove =
                pb::RemoveEntryRequest { name: "receivers/r".to_owned(), etag: "*".to_owned(), ..Default::default() };
            rig.book().remove_entry(remove).await.unwrap();
        }
    }
}

#[tokio::test]
async fn a_revision_that_is_not_there_yet_is_said() {
    let rig = Rig::memory().await;
    rig.put(vec![vehicle("van-7", "a")]).await;
    let request = |min_revision| pb::GetEntryRequest { name: "vehicles/van-7".to_owned(), min_revision };
    assert!(rig.book().get_entry(request(1)).await.is_ok());
    let error = wrong(rig.book().get_entry(request(99)).await);
    assert_eq!((error.code, error.reason.as_str()), (Code::OutOfRange, "REVISION_AHEAD"));
    assert_eq!((error.meta("min_revision"), error.meta("revision")), ("99", "1"));
    assert_eq!(wrong(rig.book().get_entry(request(-1)).await).fields(), ["min_revision"]);
}
