//! Errors: four parts on standard error, nothing on standard output, an exit code by kind.

use std::fs;

use super::{BOOK, run};

#[track_caller]
fn fails(args: &[&str], exit: i32, talk: &str) {
    let (data, said) = run(args, exit);
    assert_eq!(data, "", "an error leaves standard output alone");
    assert_eq!(said, talk);
}

#[test]
fn a_number_without_its_unit_names_the_flag_and_what_is_allowed() {
    fails(
        &["rating", "--vehicle", "vehicles/van-l35", "--trailer-mass", "2000"],
        2,
        "\
error: --trailer-mass cannot be read
  where  --trailer-mass \"2000\"
  why    it is not a mass: it has no unit; units are kg, t, lb, oz, g
  next   write it like 7,500 lb, 13 lb 4 oz or 3400 kg
",
    );
}

#[test]
fn an_item_without_a_mass_names_the_flag() {
    let (_, said) = run(&["axles", "--vehicle", "vehicles/van-l35", "--item", "crew"], 2);
    assert!(said.contains("where  --item \"crew\"\n"), "{said}");
    assert!(said.contains("next   write it like cargo=400 kg@3300 mm\n"), "{said}");
}

#[test]
fn the_service_names_every_bad_flag_at_once() {
    fails(
        &[
            "torque",
            "--book",
            BOOK,
            "--thread",
            "M12x",
            "--class",
            "8.8",
            "--condition",
            "finishes/nope",
            "--proof-share",
            "75 %",
            "--window",
            "500 %",
        ],
        2,
        "\
error: 3 inputs cannot be used
  where  --thread (bolt.spec.thread)
  why    \"M12x\" is not a thread: it does not start with a number; write it like M12x1.75, M12 or 1/2-13 UNC
  where  --window (window_share)
  why    must be 0 to 0.5, is 5
  where  --condition (condition.name)
  why    names finishes/nope, which is not in the book
  next   correct the input; --help shows two examples
",
    );
}

#[test]
fn a_name_that_is_not_there_is_4_and_offers_the_nearest() {
    let (data, said) = run(&["book", "get", "vehicles/van-l53", "--book", BOOK], 4);
    assert_eq!(data, "");
    assert!(said.contains("  where  vehicles/van-l53\n"), "{said}");
    assert!(said.contains("  next   one of the nearest names: vehicles/van-l35"), "{said}");
    run(&["book", "find", "no-such-word-anywhere", "--book", BOOK], 4);
    run(&["info", "--book", "no/such/folder"], 4);
    run(&["info", "--data", "no/such/folder"], 4);
    run(&["rating", "--plan", "no/such/plan.json", "--book", BOOK], 4);
}

#[test]
fn what_is_in_the_way_is_5() {
    let (_, said) = run(&["book", "remove", "bolts/m12-88-40", "--etag", "r1", "--book", BOOK], 5);
    assert!(said.contains("receivers/van-low"), "{said}");
    let (_, said) = run(&["book", "put", "deploy/demo/book/shop.json", "--book", BOOK], 5);
    assert!(said.contains("--etag '*'"), "{said}");
    let (_, said) = run(&["book", "remove", "terrains/yard-hump", "--etag", "r99", "--book", BOOK], 5);
    assert!(said.contains("baybook book get terrains/yard-hump"), "{said}");
}

#[test]
fn a_service_that_is_not_there_is_7() {
    fails(
        &["info", "--server", "127.0.0.1:1"],
        7,
        "\
error: the service cannot be reached
  where  127.0.0.1:1
  why    Connection refused (os error 111)
  next   is it running? baybook serve
",
    );
    let (_, said) = run(&["info", "--server", "https://127.0.0.1:1"], 2);
    assert!(
        said.contains("https:// needs the certificates that are trusted") && said.contains("--trust FILE"),
        "{said}"
    );
    let (_, said) = run(&["info", "--server", "ftp://127.0.0.1:1"], 2);
    assert!(said.contains("neither http:// nor https://"), "{said}");
}

#[test]
fn a_bad_file_names_file_line_and_field() {
    let folder = tempfile::tempdir().unwrap();
    let bad = "[\n{\"name\": \"bolts/a\", \"bolt\": {\"thread\": \"M12\"}},\n{\"name\": \"bolts/b\", \"bolt\": {\"hole_diameter_mm\": \"wide\"}}\n]";
    let file = folder.path().join("bolts.json");
    fs::write(&file, bad).unwrap();
    let shown = folder.path().to_str().unwrap();
    let at = format!("where  {}, line 3, column ", file.display());
    for args in [
        vec!["info", "--book", shown],
        vec!["book", "import", shown],
        vec!["serve", "--book", shown, "--listen", "127.0.0.1:0"],
    ] {
        let (data, said) = run(&args, 2);
        assert_eq!(data, "");
        assert!(said.contains(&at) && said.contains(", entry [1].bolt.hole_diameter_mm\n"), "{said}");
    }
    fs::write(&file, "{}\n{\"nam\": \"bolts/b\"}\n").unwrap();
    let (_, said) = run(&["book", "import", file.to_str().unwrap(), "--book", BOOK], 2);
    assert!(said.contains(", line 2, column "), "{said}");
}

#[test]
fn what_is_typed_wrongly_is_2_and_help_is_0() {
    run(&["torq"], 2);
    run(&["torque", "--book", BOOK], 2);
    run(
        &[
            "torque",
            "--bolt",
            "bolts/a",
            "--thread",
            "M12",
            "--condition",
            "finishes/x",
            "--preload",
            "1 kN",
            "--window",
            "5 %",
        ],
        2,
    );
    run(&["rating", "--plan", "p.json", "--vehicle", "vehicles/x"], 2);
    run(&["info", "--server", "x", "--book", BOOK], 2);
    run(&["serve", "--server", "x"], 2);
    run(&["serve", "--listen", "0.0.0.0:0", "--book", BOOK], 2);
    run(&["book", "export", "--format", "csv", "--book", BOOK], 2);
    run(&[], 2);
    run(&["--version"], 0);
    run(&["torque", "-h"], 0);
}

#[test]
fn no_physical_flag_has_a_default() {
    let needs = [
        (
            vec!["torque", "--thread", "M12", "--class", "8.8", "--proof-share", "75 %", "--window", "5 %"],
            "--condition",
        ),
        (
            vec![
                "torque",
                "--thread",
                "M12",
                "--class",
                "8.8",
                "--proof-share",
                "75 %",
                "--condition",
                "finishes/oiled",
            ],
            "--window",
        ),
        (
            vec!["torque", "--thread", "M12", "--class", "8.8", "--window", "5 %", "--condition", "finishes/oiled"],
            "--proof-share",
        ),
        (vec!["assess", "--thread", "M12", "--condition", "finishes/oiled", "--reusable", "no"], "--applied"),
    ];
    for (args, flag) in needs {
        let (_, said) = run(&args, 2);
        assert!(said.contains(flag), "{args:?} {said}");
    }
}

#[test]
fn a_negative_value_is_read_and_its_range_answers() {
    for (flag, value) in [("--trailer-mass", "-5 kg"), ("--tongue", "-5 kg"), ("--mass-removed", "-1 lb")] {
        let (_, apart) = run(&["rating", "--book", BOOK, "--vehicle", "vehicles/van-l35", flag, value], 2);
        let joined = format!("{flag}={value}");
        let (_, in_one) = run(&["rating", "--book", BOOK, "--vehicle", "vehicles/van-l35", &joined], 2);
        assert_eq!(apart, in_one, "{flag}");
        assert!(apart.contains(&format!("  where  {flag}")) && apart.contains("  why    must be 0 to "), "{apart}");
        assert!(apart.contains(" kg, is -") && apart.contains("  next   "), "{apart}");
    }
    let (_, said) = run(&["rating", "--vehicle", "vehicles/van-l35", "--trailer-mass", "-five kg"], 2);
    assert!(said.contains("where  --trailer-mass \"-five kg\"") && said.contains("  next   write it like"), "{said}");
    let (_, said) = run(&["info", "--deadline", "-5s"], 2);
    assert!(said.contains("where  --deadline \"-5s\""), "{said}");
    let (_, said) = run(&["tongue", "--coupler-to-axle", "-4m", "--centre", "4 m", "--trailer-mass", "2000 kg"], 2);
    assert!(said.contains("  where  --coupler-to-axle"), "{said}");
    assert!(said.contains(" mm, is -4000") && said.contains("  next   "), "{said}");
}

#[test]
fn what_the_command_line_refuses_is_told_in_four_parts() {
    fails(
        &["info", "--format", "xml"],
        2,
        "\
error: --format cannot be read
  where  --format \"xml\"
  why    it has no such value; allowed: table, json, ndjson, csv
  next   baybook info --help shows how it is used, with two examples
",
    );
    fails(
        &["thread", "M12", "--clas", "8.8"],
        2,
        "\
error: an argument is not known
  where  --clas
  why    baybook thread takes nothing like it
  next   the nearest is --class; baybook thread --help lists all
",
    );
    fails(
        &["torq"],
        2,
        "\
error: there is no such command
  where  torq
  why    it is no command of baybook
  next   the nearest is torque; baybook --help lists every command
",
    );
    fails(
        &["book", "get"],
        2,
        "\
error: an argument is missing
  where  <NAME>
  why    it is required
  next   baybook book get --help shows how it is used, with two examples
",
    );
    fails(
        &["axles", "--book", BOOK],
        2,
        "\
error: an argument is missing
  where  --plan <FILE>
  why    it is required, or --vehicle and the parts of the plan as flags of their own
  next   baybook axles --help shows how it is used, with two examples
",
    );
    fails(
        &["info", "--server", "x", "--book", BOOK],
        2,
        "\
error: two arguments exclude each other
  where  --server <URL>
  why    it cannot go with --book <FOLDER>
  next   baybook info --help shows how it is used, with two examples
",
    );
    let (_, said) = run(&["info", "--units", "us", "--units", "si"], 2);
    assert!(said.contains("  why    it stands there twice; once is allowed\n"), "{said}");
    let (_, said) = run(&["info", "--units"], 2);
    assert!(said.contains("error: --units has no value\n") && said.contains("us, si, both"), "{said}");
}

#[test]
fn a_file_that_is_no_json_is_told_in_four_parts() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("plan.json");
    fs::write(&file, "nonsense\n").unwrap();
    let at = file.display();
    fails(
        &["rating", "--book", BOOK, "--plan", file.to_str().unwrap()],
        2,
        &format!(
            "\
error: the file cannot be read
  where  {at}, line 1, column 2
  why    the line is \"nonsense\", which is not JSON (a word without quotation marks); allowed is an upfit plan as a JSON object, such as {{\"unit\": \"V1\", \"vehicle\": {{\"name\": \"vehicles/van-l35\"}}}}
  next   correct the line, or give the plan by flags: --vehicle NAME --receiver NAME
"
        ),
    );
}
