//! `baybook check`: a fleet sheet, from a file and from standard input, in every format.

use std::fs;

use serde_json::Value;

use super::{BOOK, baybook, run};

const FLEET: &str = "deploy/demo/fleet.csv";

/// Writes the demo's sheet as another program would, with some cells changed.
pub fn sheet(delimiter: char, change: impl Fn(usize, &str, &str) -> Option<&'static str>) -> String {
    let text = fs::read_to_string(super::root().join(FLEET)).unwrap();
    let mut lines = text.lines();
    let headings: Vec<&str> = lines.next().unwrap().split(',').collect();
    let mut out = format!("\u{feff}{}\r\n", headings.join(&delimiter.to_string()));
    for (row, line) in csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(lines.collect::<Vec<_>>().join("\n").as_bytes())
        .records()
        .enumerate()
    {
        let cells: Vec<String> = line
            .unwrap()
            .iter()
            .zip(&headings)
            .map(|(cell, heading)| format!("\"{}\"", change(row, heading, cell).unwrap_or(cell)))
            .collect();
        out += &(cells.join(&delimiter.to_string()) + "\r\n");
    }
    out
}

fn check_text(text: &str, args: &[&str]) -> (String, i32) {
    let all = [&["check", "-", "--book", BOOK][..], args].concat();
    let output = baybook(&all).write_stdin(text).output().unwrap();
    (String::from_utf8(output.stdout).unwrap(), output.status.code().unwrap())
}

#[test]
fn the_work_typed_into_a_sheet_is_judged() {
    let text = fs::read_to_string(super::root().join(FLEET)).unwrap();
    let mut lines = text.lines();
    let (head, first) = (lines.next().unwrap(), lines.next().unwrap());
    let columns = "work.today,work.released,work.person,reading.frame.1.torque (N·m),follow_up.wax.due";
    let sheet = format!("{head},{columns}\n{first},2026-11-26,yes,R. Vance,110,2026-11-20\n");
    let (data, code) = check_text(&sheet, &["--findings"]);
    assert_eq!(code, 3, "{data}");
    for told in ["has 6 bolts and 1 torque reading [torque-reading-missing]", "[follow-up-overdue]", "[recheck-due]"] {
        assert!(data.contains(told), "{told}: {data}");
    }
    let (data, code) = check_text(&format!("{head},{columns}\n{first},2026-11-26,,R. Vance,,\n"), &["--findings"]);
    assert!(code == 0 && !data.contains("torque-reading"), "no work yet is nothing to judge: {data}");
}

#[test]
fn what_the_service_refuses_is_told_by_the_column_it_came_from() {
    let text = fs::read_to_string(super::root().join(FLEET)).unwrap();
    let mut lines = text.lines();
    let (head, first) = (lines.next().unwrap(), lines.next().unwrap());
    let columns = "work.today,work.wrench,reading.frame.1.torque (N·m),reading.frame.2.torque,reading.frame.2.taken_at,\
                   item.tank.mass (kg),item.tank.station,limit.cab_gap,limit.rail_gap";
    // The first reading is left out, so that the second is the first of the plan.
    let row = format!("{first},2026-11-26,click-nowhere,,9000000 N·m,yesterday,99000000,9 m,-4 in,900 ft");
    let (data, code) = check_text(&format!("{head},{columns}\n{row}\n"), &[]);
    assert_eq!(code, 2, "{data}");
    for told in [
        "reading.frame.2.torque: ",
        "reading.frame.2.taken_at: ",
        "item.tank.mass (kg): ",
        "work.wrench: ",
        "limit.cab_gap: ",
        "limit.rail_gap: ",
    ] {
        assert!(data.contains(told), "{told}: {data}");
    }
    assert!(!data.contains("readings[") && !data.contains("items[") && !data.contains("limits."), "{data}");
}

#[test]
fn the_demo_is_held_up_where_a_foreman_would_hold_it_up() {
    let (data, talk) = run(&["check", FLEET, "--book", BOOK], 3);
    assert_eq!(talk, "");
    assert!(data.lines().all(|line| line.chars().count() <= 100), "{data}");
    // Pinned: our own output for our own invented fleet.
    for line in [
        "TF-L112       REVIEW   gear hangs 140 mm above ground, laden; 180 mm is asked for",
        "TF-L115       BLOCKED  joint frame is set to 110.0 N·m; in its condition (anti-seize on threads and",
        "TF-L125       BLOCKED  tongue load 240 kg is 14 kg over the weakest link: receiver, carrying, 226 kg",
        "TF-L137       BLOCKED  rear axle 1,759 kg is 39 kg over its 1,720 kg rating [gawr-rear]",
        "TF-M140       BLOCKED  rear axle 1,750 kg is 160 kg over the 1,590 kg that passenger-car tyres carry",
        "TF-X146       BLOCKED  each chain breaks at 15.6 kN; the trailer's gross weight is 22.2 kN",
        "TF-L152       BLOCKED  98.0 kg are added before first sale; above 45.4 kg a label is due and none is",
    ] {
        assert!(data.contains(line), "{line}\n{data}");
    }
    assert!(
        data.contains("\n60 plans: 14 CLEAR, 10 REVIEW, 36 BLOCKED, 0 could not be read  at book revision"),
        "{data}"
    );
}

#[test]
fn the_sheet_of_pickups_is_held_up_where_a_trailer_hangs_wrong_in_the_bed() {
    let sheet = "deploy/demo/bed.csv";
    let (data, talk) = run(&["check", sheet, "--book", BOOK, "--show", "all"], 3);
    assert_eq!(talk, "");
    assert!(data.lines().all(|line| line.chars().count() <= 100), "{data}");
    // Pinned: our own output for our own invented fleet.
    for line in [
        "TF-P301       CLEAR    no rule objects",
        "TF-P302       CLEAR    no rule objects",
        "TF-P303       BLOCKED  the nose's corner strikes the cab in a turn: it reaches 1378 mm from the pin,",
        "TF-P304       CLEAR    no rule objects",
        "TF-P305       BLOCKED  king pin of 88.90 mm on a coupling of 50.80 mm [pin-size]",
        "TF-P306       BLOCKED  loaded vehicle 5,055 kg is 525 kg over its 4,530 kg gross rating [gvwr]",
        "TF-P307       BLOCKED  the trailer hangs on a fifth wheel or a gooseneck ball in the bed; the plan",
        "TF-P308       REVIEW   tongue carries 9.5 % of the trailer; at least 15.0 % is asked for",
        "8 plans: 3 CLEAR, 1 REVIEW, 4 BLOCKED, 0 could not be read  at book revision",
    ] {
        assert!(data.contains(line), "{line}\n{data}");
    }
    // More room than there is, asked for by the sheet.
    let asked = fs::read_to_string(super::root().join(sheet)).unwrap().replace(",4 in,6 in,", ",10 in,16 in,");
    let (data, exit) = check_text(&asked, &["--show", "all", "--findings"]);
    assert_eq!(exit, 3);
    for told in [
        "254 mm is asked for\n                       [cab-clearance]",
        "406 mm is\n                       asked for [rail-clearance]",
    ] {
        assert!(data.contains(told), "{told}\n{data}");
    }
}

#[test]
fn a_sheet_of_another_program_gives_the_same_answers() {
    let (plain, _) = run(&["check", FLEET, "--book", BOOK, "--show", "all", "--format", "csv"], 3);
    for delimiter in [',', ';', '\t'] {
        let (other, exit) = check_text(&sheet(delimiter, |_, _, _| None), &["--show", "all", "--format", "csv"]);
        assert_eq!(exit, 3);
        assert_eq!(plain, other, "{delimiter:?}");
    }
}

#[test]
fn a_row_that_cannot_be_read_is_named_and_the_rest_goes_on() {
    let text = sheet(';', |row, heading, _| match (row, heading) {
        (1, "trailer_mass") => Some("2,1 t"),
        (2, "vehicle") => Some("van-l53"),
        (3, "socket") => Some("round"),
        _ => None,
    });
    let (data, exit) = check_text(&text, &["--show", "blocked"]);
    assert_eq!(exit, 3);
    for part in [
        "line 3        UNREAD   trailer_mass: read \"2,1 t\"",
        "write a point for decimals: 2.1",
        "line 4        UNREAD   vehicle: vehicles/van-l53 is not in the book; nearest: vehicles/van-l35,",
        "line 5        UNREAD   socket: read \"round\"; allowed: one of four-flat,",
        "36 BLOCKED, 3 could not be read",
    ] {
        assert!(data.contains(part), "{part}\n{data}");
    }
    assert_eq!(data.matches("vehicles/van-xl50").count(), 1, "nearest names are told once\n{data}");
}

#[test]
fn an_unreadable_row_alone_ends_with_2_and_a_clear_sheet_with_0() {
    let head = "unit,vehicle,trailer_mass\n";
    let (_, exit) = check_text(&format!("{head}V1,van-l35,heavy\n"), &[]);
    assert_eq!(exit, 2);
    let text = sheet(',', |_, _, _| None);
    let clear: Vec<&str> = text.lines().take(2).collect();
    let (data, exit) = check_text(&clear.join("\n"), &[]);
    assert_eq!(exit, 0, "{data}");
    assert!(data.starts_with("1 plan: 1 CLEAR,"), "{data}");
}

#[test]
fn json_is_one_value_and_ndjson_one_answer_a_line() {
    let args = ["check", FLEET, "--book", BOOK, "--show", "all", "--figures"];
    let (data, _) = run(&[&args[..], &["--format", "json"]].concat(), 3);
    let whole: Value = serde_json::from_str(&data).unwrap();
    assert_eq!(whole["results"].as_array().unwrap().len(), 60);
    assert_eq!(whole["summary"]["plan_count"], "60");
    let (data, _) = run(&[&args[..], &["--format", "ndjson"]].concat(), 3);
    let lines: Vec<Value> = data.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(lines.len(), 61);
    assert_eq!(whole["results"][7], lines[7]);
    assert!(lines[0]["report"]["figures"]["rear_kg"].is_number());
    assert_eq!(lines[60]["summary"], whole["summary"]);
}

#[test]
fn json_lines_are_a_sheet_too() {
    let plan = r#"{"unit":"J1","vehicle":{"name":"vehicles/van-l35"},"trailer_mass":{"printed":"4,400 lb"}}"#;
    let (data, exit) = check_text(&format!("{plan}\n{{\"unit\":7}}\n"), &[]);
    assert_eq!(exit, 3, "{data}");
    assert!(data.contains("J1            BLOCKED"), "{data}");
    assert!(data.contains("line 2        UNREAD"), "{data}");
}
