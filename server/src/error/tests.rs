use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;

use super::*;
use crate::book::{BookError, Expect, Name, Quota, Unmet};
use crate::wire::{NotFound, WireError};

const CONTRACT: &str = include_str!("../../../proto/baybook/v1/error_reason.proto");

/// Every reason of the contract with the keys of its example.
fn examples() -> BTreeMap<String, BTreeSet<String>> {
    let (mut examples, mut comment) = (BTreeMap::new(), String::new());
    for line in CONTRACT.lines().map(str::trim) {
        if let Some(text) = line.strip_prefix("//") {
            comment.push_str(text);
        } else if let Some((name, _)) = line.strip_prefix("ERROR_REASON_").and_then(|line| line.split_once(" =")) {
            if let Some((start, end)) = comment.find("`{").zip(comment.rfind("}`")) {
                let example: BTreeMap<String, String> = serde_json::from_str(&comment[start + 1..=end]).unwrap();
                examples.insert(name.to_owned(), example.into_keys().collect());
            }
            comment.clear();
        }
    }
    examples
}

fn one_of_each() -> Vec<ApiError> {
    let name = || "bolts/m12-88".to_owned();
    vec![
        ApiError::BadFields(vec![
            Violation { field: "bolt.spec.thread".to_owned(), description: "is required".to_owned() },
            Violation { field: "condition".to_owned(), description: "is required".to_owned() },
        ]),
        ApiError::NotFound { name: name(), field: String::new(), nearest: vec!["bolts/m12-109".to_owned()] },
        ApiError::Conflicts(vec![Conflict::Exists { name: name(), etag: "r41".to_owned() }]),
        ApiError::Conflicts(vec![Conflict::Stale {
            name: name(),
            etag: "r41".to_owned(),
            changed: vec!["length".to_owned(), "label".to_owned()],
        }]),
        ApiError::Conflicts(vec![Conflict::Missing { name: name(), nearest: Vec::new() }]),
        ApiError::RequestReused { request_id: "9f2c".to_owned() },
        ApiError::NotCalculable {
            field: "method".to_owned(),
            other: "specified_torque".to_owned(),
            why: "a torque into yield is never scaled".to_owned(),
        },
        ApiError::OverLimit { limit: "entry_bytes", max: 262_144, is: 300_000, unit: "bytes in an entry" },
        ApiError::RevisionGone { revision: 12, oldest: 40 },
        ApiError::RevisionAhead { min_revision: 99, revision: 98 },
        ApiError::InUse { name: "couplers/c-50".to_owned(), used_by: vec!["trailers/flatbed-2".to_owned()] },
        ApiError::Overloaded { in_flight: 256, retry_after: Duration::from_millis(200) },
        ApiError::Deadline { limit: Duration::from_secs(30), doing: "the call" },
        ApiError::ReadOnly { why: "sync failed".to_owned() },
        ApiError::DiskFull { needed_bytes: 4_096 },
        ApiError::Damaged {
            what: "vehicles/van-7 cannot be read".to_owned(),
            names: vec!["vehicles/van-7".to_owned()],
            next: "baybook book import backup.ndjson".to_owned(),
        },
        ApiError::CursorGone {
            cursor: "9f2c-17".to_owned(),
            why: "is of another book",
            oldest: "41d0-0".to_owned(),
            oldest_revision: 0,
        },
        ApiError::TooSlow { cursor: "9f2c-17".to_owned(), limit: Duration::from_secs(30) },
        ApiError::Stopping { drain: Duration::from_secs(20) },
        ApiError::NoSuchMethod { method: "/baybook.v1.SpecBookService/GetEntrie".to_owned() },
        ApiError::Unidentified { why: "no token came with the call" },
        ApiError::Denied {
            method: "SpecBookService/PutEntry".to_owned(),
            role: "bay",
            roles: vec!["foreman".to_owned(), "admin".to_owned()],
        },
        ApiError::Uncertain { why: "secret".to_owned() },
        ApiError::Fault { why: "secret".to_owned() },
    ]
}

#[test]
fn every_reason_is_sent_with_the_metadata_of_its_example() {
    let examples = examples();
    let mut sent = BTreeSet::new();
    for error in one_of_each() {
        let status = error.status("9f2c");
        let info = status.get_details_error_info().unwrap();
        assert_eq!(info.domain, DOMAIN);
        let keys: BTreeSet<String> = info.metadata.keys().cloned().collect();
        assert_eq!(Some(&keys), examples.get(&info.reason), "{}", info.reason);
        assert_eq!(status.get_details_request_info().unwrap().request_id, "9f2c");
        assert_ne!(status.code(), Code::Ok);
        assert!(!status.message().is_empty());
        sent.insert(info.reason);
    }
    assert_eq!(sent, examples.keys().cloned().collect(), "a reason that nobody sends, or has no example");
    let all = (1..).map_while(|number| pb::ErrorReason::try_from(number).ok()).count();
    assert_eq!(sent.len(), all);
}

#[test]
fn a_message_says_what_where_the_limit_and_what_next() {
    let texts: Vec<String> = one_of_each().iter().map(ToString::to_string).collect();
    let expected = [
        "bolt.spec.thread is required; condition is required",
        "bolts/m12-88 is not in the book; nearest: bolts/m12-109",
        "bolts/m12-88 is in the book already; to replace it send its etag, r41, or *",
        "bolts/m12-88 has changed in length, label since it was read; read it again, make the change on it, and send \
         its etag, r41",
        "bolts/m12-88 is not in the book; list the entries to see what is",
        "request_id 9f2c was used before with other content; send the same content again for the same answer, or a new \
         id for a new change",
        "method contradicts specified_torque: a torque into yield is never scaled",
        "300000 bytes in an entry; the limit entry_bytes is 262144: send less at a time",
        "revision 12 is too old to be read, the oldest is 40; start again from the first page",
        "revision 99 has not been reached, the newest is 98; ask again later, or with min_revision 0 for the newest",
        "couplers/c-50 is referred to by trailers/flatbed-2; change or remove that first",
        "256 calls are running, which is as many as the service takes; try again in 200 ms",
        "the call took longer than 30000 ms; ask for less, or allow more time",
        "the book takes no writes until the service is started again: sync failed; reads go on",
        "the disk is full; make at least 4096 bytes of room and try again; reads go on",
        "vehicles/van-7 cannot be read (touches vehicles/van-7); baybook book import backup.ndjson",
        "the cursor 9f2c-17 is of another book; the oldest cursor is 41d0-0, and what happened before it is told no more: \
         begin anew with snapshot = true and no cursor",
        "a message was left unread for longer than 30000 ms; go on from the last cursor, 9f2c-17, and read faster",
        "the service is stopping; try again in 20 s",
        "/baybook.v1.SpecBookService/GetEntrie is not a method of this service; reflection lists those that are",
        "no token came with the call; send the header `authorization: Bearer TOKEN` with a token of baybook token issue",
        "SpecBookService/PutEntry is for foreman, admin, and this token's role is bay; ask an admin for a token of such a \
         role",
        "the write failed half way and may or may not have taken effect; once the service was started again, send it \
         again with the same request_id, or read the entry",
        "a fault of the service; the log has it under this call's request id",
    ];
    assert_eq!(texts, expected);
}

#[test]
fn what_went_wrong_inside_stays_inside() {
    for error in [ApiError::Fault { why: "secret".to_owned() }, ApiError::Uncertain { why: "secret".to_owned() }] {
        let status = error.status("9f2c");
        let details = String::from_utf8_lossy(status.details()).into_owned();
        assert!(!status.message().contains("secret") && !details.contains("secret"));
        assert_eq!(status.get_details_error_info().unwrap().metadata["request_id"], "9f2c");
        assert!(!error.item("9f2c").message.contains("secret"));
    }
}

#[test]
fn whoever_is_turned_away_is_told_when_to_come_back() {
    let wait = |error: ApiError| error.status("").get_details_retry_info().unwrap().retry_delay.unwrap();
    let retry_after = Duration::from_millis(200);
    assert_eq!(wait(ApiError::Overloaded { in_flight: 1, retry_after }), retry_after);
    assert_eq!(wait(ApiError::Stopping { drain: Duration::from_secs(20) }), Duration::from_secs(20));
}

#[test]
fn an_error_fits_into_the_headers_of_a_reply() {
    let violation =
        |n: usize| Violation { field: format!("plans[{n}].unit"), description: "muß kürzer sein ".repeat(30) };
    let long = "ü".repeat(100_000);
    let names: Vec<String> = (0..5_000).map(|n| format!("receivers/r-{n}")).collect();
    let conflict = |name: &String| Conflict::Exists { name: name.clone(), etag: "r1".to_owned() };
    for error in [
        ApiError::BadFields((0..1_000).map(violation).collect()),
        ApiError::field(long.clone(), long.clone()),
        ApiError::Conflicts(names.iter().map(conflict).collect()),
        ApiError::InUse { name: "vehicles/v".to_owned(), used_by: names.clone() },
        ApiError::ReadOnly { why: long },
    ] {
        let mut headers = http::HeaderMap::new();
        error.status("9f2c").add_header(&mut headers).unwrap();
        let bytes: usize = headers.iter().map(|(name, value)| name.as_str().len() + value.len() + 32).sum();
        assert!(bytes < 8 << 10, "{bytes} bytes for {:?}", std::mem::discriminant(&error));
    }
}

#[test]
fn unreadable_fields_go_before_names_that_are_not_there() {
    let missing = |name: &str| NotFound {
        field: "plan.vehicle.name".to_owned(),
        name: name.to_owned(),
        nearest: vec!["vehicles/van-7".to_owned()],
    };
    let one = WireError { violations: Vec::new(), not_found: vec![missing("vehicles/x")] };
    assert!(matches!(ApiError::from(one), ApiError::NotFound { name, .. } if name == "vehicles/x"));
    let mut both = WireError::of("unit", "is too long");
    both.not_found.push(missing("vehicles/x"));
    let ApiError::BadFields(all) = ApiError::from(both) else { panic!() };
    assert_eq!(all.len(), 2);
    assert_eq!(all[1].description, "names vehicles/x, which is not in the book; nearest: vehicles/van-7");
}

#[test]
fn what_the_book_says_keeps_its_meaning() {
    let name = Name::new("bolts/m12").unwrap();
    let reason = |error: BookError| reason_name(ApiError::from(error).meaning("").reason);
    let unmet =
        |expect, current| BookError::Precondition { unmet: vec![Unmet { name: name.clone(), expect, current }] };
    let at = Revision::new(4);
    assert_eq!(reason(unmet(Expect::Absent, Some(at))), "ENTRY_EXISTS");
    assert_eq!(reason(unmet(Expect::At(Revision::new(3)), Some(at))), "STALE_ETAG");
    assert_eq!(reason(unmet(Expect::Present, None)), "ENTRY_NOT_FOUND");
    assert_eq!(reason(BookError::Repeated { name: name.clone() }), "BAD_FIELDS");
    assert_eq!(reason(BookError::TooLarge { quota: Quota::ValueBytes, found: 2, limit: 1 }), "OVER_LIMIT");
    assert_eq!(reason(BookError::Full { needed_bytes: 1 }), "DISK_FULL");
    assert_eq!(reason(BookError::ReadOnly { why: "x".into() }), "READ_ONLY");
    assert_eq!(reason(BookError::Closed), "READ_ONLY");
    assert_eq!(reason(BookError::RevisionGone { asked: at, oldest: at, newest: at }), "REVISION_GONE");
    let failed = BookError::Io { doing: "read", path: "p".to_owned(), cause: "c".to_owned(), full: false };
    assert_eq!(reason(failed), "FAULT");
}

#[test]
fn an_item_s_error_carries_fields_and_names() {
    let item = ApiError::field("plans[3].unit", "is too long").item("");
    assert_eq!((item.reason(), item.violations.len()), (pb::ErrorReason::BadFields, 1));
    let error =
        ApiError::NotFound { name: "bolts/x".to_owned(), field: "f".to_owned(), nearest: vec!["bolts/y".to_owned()] };
    assert_eq!(error.item("").nearest_names, ["bolts/y"]);
    assert_eq!(serde_json::to_value(error.item("")).unwrap()["reason"], Value::from("ERROR_REASON_ENTRY_NOT_FOUND"));
}
