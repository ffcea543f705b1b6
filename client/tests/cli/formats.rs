//! Formats: JSON is the wire reply, and every other format is read back.

use std::collections::BTreeMap;

use baybook_proto::v1::{
    self as pb, calculator_service_client::CalculatorServiceClient, spec_book_service_client::SpecBookServiceClient,
};
use baybook_server::{Config, Embedded, EngineKind};

use super::{BOOK, baybook, root, run};

const THREAD: [&str; 4] = ["thread", "M12", "--class", "8.8"];

/// A service over the demo's book, called without the program.
fn wire<A, F: Future<Output = A>>(call: impl FnOnce(tonic::transport::Channel) -> F) -> A {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    runtime.block_on(async {
        let defaults = Config::layered(None, |_| None).unwrap();
        let config = Config { engine: EngineKind::Memory, book_folder: root().join(BOOK), ..defaults };
        let service = Embedded::open(config).await.unwrap();
        let answer = call(service.channel()).await;
        service.close().await.unwrap();
        answer
    })
}

fn with<'a>(args: &[&'a str], more: &[&'a str]) -> Vec<&'a str> {
    args.iter().chain(more).copied().collect()
}

#[test]
fn json_is_the_wire_reply() {
    let (data, _) = run(&with(&THREAD, &["--format", "json"]), 0);
    let request = pb::LookUpThreadRequest { thread: "M12".to_owned(), property_class: "8.8".to_owned() };
    let reply = wire(|channel| async { CalculatorServiceClient::new(channel).look_up_thread(request).await });
    let reply = reply.unwrap().into_inner();
    assert_eq!(serde_json::from_str::<pb::LookUpThreadResponse>(&data).unwrap(), reply);
    assert_eq!(data, serde_json::to_string_pretty(&reply).unwrap() + "\n");
    let (data, _) = run(&with(&THREAD, &["--format", "ndjson", "--units", "us"]), 0);
    assert_eq!(data, serde_json::to_string(&reply).unwrap() + "\n", "units are for people");
}

#[test]
fn json_of_a_list_is_the_reply_with_every_page() {
    let (data, _) = run(&["book", "list", "--book", BOOK, "--format", "json"], 0);
    let reply: pb::ListEntriesResponse = serde_json::from_str(&data).unwrap();
    let request = pb::ListEntriesRequest { page_size: 1_000, ..pb::ListEntriesRequest::default() };
    let direct = wire(|channel| async { SpecBookServiceClient::new(channel).list_entries(request).await });
    let specs = |reply: &pb::ListEntriesResponse| {
        reply.entries.iter().map(|entry| (entry.name.clone(), entry.spec.clone())).collect::<BTreeMap<_, _>>()
    };
    assert_eq!(specs(&reply), specs(&direct.unwrap().into_inner()));
    assert!(100 <= reply.entries.len() && reply.next_page_token.is_empty());
}

#[test]
fn ndjson_of_a_list_is_one_element_a_line() {
    let (data, _) = run(&["book", "list", "bolts", "--book", BOOK, "--format", "ndjson"], 0);
    let entries: Vec<pb::Entry> = data.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert!(10 <= entries.len());
    assert!(entries.iter().all(|entry| entry.name.starts_with("bolts/")));
}

#[test]
fn an_entry_that_was_read_can_be_put_again() {
    for format in ["json", "ndjson"] {
        let (data, _) = run(&["book", "get", "wrenches/dial-80", "--book", BOOK, "--format", format], 0);
        let put = baybook(&["book", "put", "-", "--book", BOOK]).write_stdin(data).output().unwrap();
        assert_eq!(put.status.code(), Some(0), "{format}: {}", String::from_utf8_lossy(&put.stderr));
    }
}

#[test]
fn csv_of_a_reply_is_its_fields_and_of_a_list_its_elements() {
    let (data, _) = run(&with(&THREAD, &["--format", "csv"]), 0);
    let mut csv = csv::Reader::from_reader(data.as_bytes());
    assert_eq!(csv.headers().unwrap(), vec!["field", "value"]);
    let fields: BTreeMap<String, String> = csv.deserialize().map(Result::unwrap).collect();
    assert_eq!(fields["thread"], "M12x1.75");
    assert_eq!(fields["pitch_mm"].parse(), Ok(1.75));

    let (data, _) = run(&["book", "list", "finishes", "--book", BOOK, "--format", "csv"], 0);
    let mut csv = csv::Reader::from_reader(data.as_bytes());
    assert_eq!(csv.headers().unwrap().get(0), Some("name"));
    let rows: Vec<csv::StringRecord> = csv.records().map(Result::unwrap).collect();
    assert!(rows.iter().any(|row| &row[0] == "finishes/zinc-dry"));
}

#[test]
fn an_export_is_read_back_and_changes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("book.ndjson");
    let file = file.to_str().unwrap();
    let (data, said) = run(&["book", "export", "--book", BOOK, "--out", file], 0);
    assert_eq!(data, "");
    let count = std::fs::read_to_string(file).unwrap().lines().count();
    let digest = said.strip_prefix(&format!("{count} entries exported at revision 1, digest of their content "));
    let digest = digest.and_then(|digest| digest.strip_suffix('\n')).unwrap_or_else(|| panic!("{said}"));
    assert!(digest.len() == 64 && digest.chars().all(|digit| digit.is_ascii_hexdigit()), "{said}");
    let (data, _) = run(&["book", "import", file, "--book", BOOK], 0);
    assert_eq!(data, format!("imported: 0 new, 0 replaced, {count} the same, 0 not taken; revision 1\n"));

    let (text, _) = run(&["book", "export", "--book", BOOK], 0);
    let data_dir = folder.path().join("data");
    let data_dir = data_dir.to_str().unwrap();
    let import = baybook(&["book", "import", "-", "--data", data_dir]).write_stdin(text).output().unwrap();
    assert_eq!(import.status.code(), Some(0), "{}", String::from_utf8_lossy(&import.stderr));
    assert!(String::from_utf8(import.stdout).unwrap().starts_with(&format!("imported: {count} new, 0 replaced")));
    run(&["book", "get", "vehicles/van-l35", "--data", data_dir], 0);
}

#[test]
fn a_plan_from_a_file_is_the_plan_by_flags() {
    let plan = r#"{
        "vehicle": {"name": "vehicles/van-l35"},
        "items": [{"label": "crew", "mass": {"value_kg": 170}, "station_mm": 1400}]
    }"#;
    let by_file = baybook(&["axles", "--plan", "-", "--book", BOOK, "--format", "json"]).write_stdin(plan).output();
    let by_flags = run(
        &["axles", "--vehicle", "vehicles/van-l35", "--item", "crew=170 kg@1.4 m", "--book", BOOK, "--format", "json"],
        0,
    );
    assert_eq!(String::from_utf8(by_file.unwrap().stdout).unwrap(), by_flags.0);
}
