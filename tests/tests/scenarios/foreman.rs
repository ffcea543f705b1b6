//! A foreman: somebody who keeps the book.

use baybook_proto::v1 as pb;

use crate::{driver::Driver, house::demo_entries};

fn wrench(name: &str, label: &str) -> pb::Entry {
    let spec = pb::Wrench {
        label: label.to_owned(),
        scale_min: Some(pb::Torque { value_n_m: Some(40.0), printed: String::new() }),
        scale_max: Some(pb::Torque { value_n_m: None, printed: "150 lb-ft".to_owned() }),
        accuracy_share: Some(0.04),
        lever_mm: Some(430.0),
        calibration_due: "2027-03-31".to_owned(),
    };
    let source = pb::EntrySource { document: "calibration certificate".to_owned(), ..pb::EntrySource::default() };
    pb::Entry {
        name: name.to_owned(),
        source: Some(source),
        spec: Some(pb::entry::Spec::Wrench(spec)),
        ..pb::Entry::default()
    }
}

fn relabelled(entry: &pb::Entry, label: &str) -> pb::Entry {
    let mut entry = entry.clone();
    match &mut entry.spec {
        Some(pb::entry::Spec::Wrench(wrench)) => label.clone_into(&mut wrench.label),
        other => panic!("not a wrench: {other:?}"),
    }
    entry
}

fn put(driver: &mut dyn Driver, entry: pb::Entry, request_id: &str) -> crate::driver::Answer<pb::PutEntryResponse> {
    driver.put(pb::PutEntryRequest {
        entry: Some(entry),
        request_id: request_id.to_owned(),
        author: "R. Vance".to_owned(),
        validate_only: false,
    })
}

pub fn a_foreman_changes_an_entry(driver: &mut dyn Driver) {
    let fresh = wrench("wrenches/bay-7", "bay 7 click wrench");
    let created = put(driver, fresh.clone(), "").expect("it is new");
    let first = created.entry.expect("the reply holds the entry");
    assert_eq!((first.author.as_str(), first.spec.as_ref()), ("R. Vance", fresh.spec.as_ref()));
    put(driver, fresh, "").expect_err("it is there already").expect(5, &["wrenches/bay-7", &first.etag]);

    let changed = put(driver, relabelled(&first, "bay 7 click wrench, repaired"), "").expect("the etag is current");
    let second = changed.entry.expect("the reply holds the entry");
    assert!(created.revision < changed.revision && first.etag != second.etag);
    assert_eq!(driver.get("wrenches/bay-7").expect("it is there").entry.as_ref(), Some(&second));

    let history = driver.history("wrenches/bay-7").expect("it has a past");
    let revisions: Vec<i64> = history.changes.iter().map(|change| change.revision).collect();
    assert_eq!(revisions, [changed.revision, created.revision], "newest first");
    assert!(history.changes[0].differences.iter().any(|line| line.contains("label")), "{:?}", history.changes[0]);

    let removal = |etag: &str| pb::RemoveEntryRequest {
        name: "wrenches/bay-7".to_owned(),
        etag: etag.to_owned(),
        ..pb::RemoveEntryRequest::default()
    };
    driver.remove(removal(&first.etag)).expect_err("that etag is old").expect(5, &[&second.etag]);
    let removed = driver.remove(removal(&second.etag)).expect("the etag is current");
    assert!(changed.revision < removed.revision);
    assert_eq!(driver.get("wrenches/bay-7").expect_err("it is gone").exit, 4);
    let history = driver.history("wrenches/bay-7").expect("what is gone has a past");
    assert_eq!(history.changes[0].entry, None);
}

pub fn a_stale_etag_is_told_what_changed(driver: &mut dyn Driver) {
    let entry = put(driver, wrench("wrenches/bay-7", "as bought"), "").expect("it is new").entry;
    let entry = entry.expect("the reply holds the entry");
    let current = put(driver, relabelled(&entry, "repaired"), "").expect("the etag is current").entry;
    let etag = current.expect("the reply holds the entry").etag;
    let refused = put(driver, relabelled(&entry, "painted red"), "").expect_err("somebody was faster");
    refused.expect(5, &["wrenches/bay-7", "label", &etag]);
    let kept = driver.get("wrenches/bay-7").expect("it is there").entry.expect("the reply holds the entry");
    assert_eq!(kept.etag, etag, "nothing was changed");
    let forced = pb::Entry { etag: "*".to_owned(), ..relabelled(&entry, "painted red") };
    put(driver, forced, "").expect("a star replaces whatever is there");
}

pub fn a_retry_has_one_effect(driver: &mut dyn Driver) {
    let entry = wrench("wrenches/bay-7", "as bought");
    let first = put(driver, entry.clone(), "order-4711").expect("it is new");
    let again = put(driver, entry, "order-4711").expect("a retry gets the first answer");
    assert_eq!(first, again);
    let other = put(driver, wrench("wrenches/bay-8", "another"), "order-4711").expect_err("the id was used");
    other.expect(2, &["order-4711"]);
    assert_eq!(driver.history("wrenches/bay-7").expect("it has a past").changes.len(), 1);
    let removal = pb::RemoveEntryRequest {
        name: "wrenches/bay-7".to_owned(),
        etag: "*".to_owned(),
        request_id: "order-4712".to_owned(),
        author: "R. Vance".to_owned(),
    };
    let first = driver.remove(removal.clone()).expect("it is there");
    assert_eq!(first, driver.remove(removal).expect("a retry gets the first answer"));
}

pub fn a_batch_of_entries_is_all_or_none(driver: &mut dyn Driver) {
    let mut entries: Vec<pb::Entry> =
        (1..=5).map(|bay| wrench(&format!("wrenches/bay-{bay}"), "click wrench")).collect();
    let spoil = |entry: &mut pb::Entry| match &mut entry.spec {
        Some(pb::entry::Spec::Wrench(wrench)) => wrench.accuracy_share = Some(4.0),
        other => panic!("not a wrench: {other:?}"),
    };
    let good = entries.clone();
    spoil(&mut entries[1]);
    spoil(&mut entries[3]);
    let request = |entries| pb::BatchPutEntriesRequest { entries, ..pb::BatchPutEntriesRequest::default() };
    let refused = driver.put_all(request(entries)).expect_err("two of them cannot be read");
    // One way names the elements of the message, the other the elements of the file.
    refused.expect(2, &["[1]", "[3]", "wrench.accuracy_share"]);
    assert_eq!(driver.list(pb::EntryKind::Wrench).expect("the book can be listed").entries, []);
    let put = driver.put_all(request(good)).expect("all of them can be read");
    assert_eq!(put.entries.len(), 5);
    assert!(put.entries.iter().all(|entry| entry.revision == put.revision), "one commit");
    assert_eq!(driver.list(pb::EntryKind::Wrench).expect("the book can be listed").entries, put.entries);
}

pub fn an_entry_in_use_stays(driver: &mut dyn Driver) {
    driver.import(demo_entries()).expect("the demo's book is sound");
    let removal = |name: &str| pb::RemoveEntryRequest {
        name: name.to_owned(),
        etag: "*".to_owned(),
        ..pb::RemoveEntryRequest::default()
    };
    let refused = driver.remove(removal("couplers/two-in-5000")).expect_err("a trailer names it");
    refused.expect(5, &["couplers/two-in-5000", "trailers/flatbed-2t"]);
    driver.remove(removal("terrains/yard-hump")).expect("nothing names it");
}

pub fn what_is_exported_can_be_imported(driver: &mut dyn Driver) {
    let entries = demo_entries();
    let count = i32::try_from(entries.len()).expect("few entries");
    let reply = driver.import(entries.clone()).expect("the demo's book is sound");
    assert_eq!((reply.created_count, reply.error_count), (count, 0), "{:?}", reply.errors);
    let exported = driver.export().expect("a book can be exported");
    assert!(exported.is_sorted_by(|a, b| a.name < b.name));
    let mut specs: Vec<_> = entries.iter().map(|entry| (entry.name.clone(), entry.spec.clone())).collect();
    specs.sort_by(|a, b| a.0.cmp(&b.0));
    let exported_specs: Vec<_> = exported.iter().map(|entry| (entry.name.clone(), entry.spec.clone())).collect();
    assert_eq!(exported_specs, specs, "every figure came back as it went in");

    let again = driver.import(exported.clone()).expect("an export is an import");
    assert_eq!((again.created_count, again.replaced_count, again.unchanged_count), (0, 0, count));
    assert_eq!(driver.export().expect("a book can be exported"), exported, "nothing was changed");

    let mut broken = wrench("wrenches/bay-9", "no scale");
    broken.spec = Some(pb::entry::Spec::Nut(pb::Nut::default()));
    let mixed = vec![wrench("wrenches/bay-8", "sound"), broken];
    let reply = driver.import(mixed).expect("an entry that cannot be taken is no failure of the import");
    assert_eq!((reply.created_count, reply.error_count), (1, 1));
    assert_eq!((reply.errors[0].seq, reply.errors[0].name.as_str()), (1, "wrenches/bay-9"));
    assert!(!reply.errors[0].error.as_ref().expect("it says why").violations.is_empty());
}
