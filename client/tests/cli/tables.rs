//! Tables for people, to the letter, in every choice of units.

use super::{BOOK, run};

#[track_caller]
fn shows(args: &[&str], table: &str) {
    let (data, said) = run(args, 0);
    assert_eq!(said, "");
    assert_eq!(data, table);
    narrow(&data);
}

#[track_caller]
fn narrow(data: &str) {
    for line in data.lines() {
        assert!(line.chars().count() <= 100, "{line}");
        assert_eq!(line, line.trim_end(), "trailing space");
    }
}

// Pinned: the figures are checked where they are worked out; here it is how they are shown.
const BOTH: &str = "\
M12x1.75  coarse

geometry
nominal diameter              12.00  mm   0.4724  in
pitch                          1.75  mm   0.0689  in
pitch diameter                10.86  mm   0.4277  in
minor diameter, rounded root   9.85  mm   0.3879  in
minor diameter of the nut     10.11  mm   0.3979  in
tensile stress area            84.3  mm²  0.1306  in²
area at the minor diameter     76.2  mm²  0.1182  in²
lead angle                      2.9  °
usual bearing face, outside   16.63  mm   0.6547  in
clearance hole, fine          13.00  mm   0.5118  in
clearance hole, medium        13.50  mm   0.5315  in
clearance hole, coarse        14.50  mm   0.5709  in
height of a regular nut       10.80  mm   0.4252  in

strength
tensile strength, least   800  MPa   116.0  ksi
yield strength, least     640  MPa    92.8  ksi
proof stress              580  MPa    84.1  ksi
proof load               48.9  kN   11,000  lbf
yield load               53.9  kN   12,100  lbf
ultimate load            67.4  kN   15,200  lbf

based on
";

#[test]
fn a_thread_in_both_units() {
    let (data, _) = run(&["thread", "M12", "--class", "8.8"], 0);
    assert_eq!(data.split_inclusive("based on\n").next(), Some(BOTH), "{data}");
    assert!(data.contains("\n  bolt-loads: ISO 898-1, table 3, 2013\n"), "{data}");
    narrow(&data);
}

#[test]
fn units_choose_the_columns() {
    let (si, _) = run(&["thread", "M12", "--units", "si"], 0);
    assert!(si.contains("nominal diameter              12.00  mm\n") && !si.contains("  in\n"), "{si}");
    let (us, _) = run(&["thread", "M12", "--units", "us"], 0);
    assert!(us.contains("nominal diameter              0.4724  in\n") && !us.contains("  mm\n"), "{us}");
}

const TORQUE: [&str; 20] = [
    "torque",
    "--book",
    BOOK,
    "--bolt",
    "bolts/m12-88-40",
    "--nut",
    "nuts/m12-8",
    "--condition",
    "finishes/oiled",
    "--specified",
    "79 N·m",
    "--specified-condition",
    "finishes/zinc-dry",
    "--method",
    "torque",
    "--window",
    "10 %",
    "--passes",
    "30-70-100",
    "--no-color",
];

#[test]
fn a_torque_says_first_what_to_set() {
    let (data, _) = run(&[&TORQUE[..], &["--bolt-count", "6", "--pattern", "circle"]].concat(), 0);
    let head = "\
set the wrench to  59.2 N·m (43.7 lb-ft), 75.0 % of the specified torque

torque            low  target  high
on the wrench    53.3    59.2  65.2  N·m
                 39.3    43.7  48.1  lb-ft
at the fastener  53.3    59.2  65.2  N·m
                 39.3    43.7  48.1  lb-ft

what results                least  likely  greatest
preload, at the target       19.0    32.9      49.4  kN
                             4270    7400    11,100  lbf
";
    assert!(data.starts_with(head), "{data}");
    let passes = "
pass                                 fastener N·m  lb-ft  wrench N·m  lb-ft
1     tighten                                17.8   13.1        17.8   13.1
2     tighten                                41.5   30.6        41.5   30.6
3     tighten                                59.2   43.7        59.2   43.7
4     check: nothing turns any more          59.2   43.7        59.2   43.7

order in each pass  1, 4, 2, 5, 3, 6
";
    assert!(data.contains(passes), "{data}");
    assert!(data.contains("\nmind\n  a torque printed by the maker"), "{data}");
    narrow(&data);
}

#[test]
fn an_entry_shows_its_figures_as_they_were_put() {
    let (data, _) = run(&["book", "get", "bolts/m14f-109-50", "--book", BOOK], 0);
    let head = "\
bolts/m14f-109-50  M14 fine flange bolt 50, class 10.9

thread              M14x1.5
property class      10.9
length              50 mm (2.0 in)
bearing diameter    28 mm (1.1024 in)
hole diameter       15.5 mm (0.6102 in)
head                hex flange
single use          false
hot dip galvanised  false

source
  fastener carton label, 2026-10-12

etag r1, changed ";
    assert!(data.starts_with(head), "{data}");
}

#[test]
fn a_list_counts_and_a_search_too() {
    shows(
        &["book", "list", "wrenches", "--book", BOOK],
        "\
name                label                              etag
wrenches/click-200  bay 1 click wrench, 40 to 200 N·m  r1
wrenches/click-340  bay 2 click wrench, 60 to 340 N·m  r1
wrenches/dial-80    bench dial wrench, 8 to 80 N·m     r1

3 entries at revision 1
",
    );
    let (data, _) = run(&["book", "find", "ZINC", "dry", "--kind", "finishes", "--book", BOOK], 0);
    assert!(data.ends_with("\n1 of 1 found, best first\n"), "{data}");
}

#[test]
fn every_table_fits_a_line() {
    let combination = [
        "--book",
        BOOK,
        "--vehicle",
        "vehicles/van-l35",
        "--receiver",
        "receivers/van-tuck",
        "--replaced-receiver",
        "receivers/van-low",
        "--ball-mount",
        "ballmounts/two-in-drop-4",
        "--ball",
        "balls/two-in-6000",
        "--trailer",
        "trailers/flatbed-2t",
        "--trailer-mass",
        "1500 kg",
        "--tongue",
        "10.5 %",
        "--item",
        "crew=170 kg@1400 mm",
    ];
    for command in ["rating", "axles", "clearance"] {
        for units in ["us", "si", "both"] {
            narrow(&run(&[&[command], &combination[..], &["--units", units]].concat(), 0).0);
        }
    }
    for args in [vec!["info"], vec!["rules", "list"], vec!["book", "list"], vec!["book", "history", "vehicles/van-l35"]]
    {
        narrow(&run(&[&args[..], &["--book", BOOK]].concat(), 0).0);
    }
}

#[test]
fn a_weakest_link_governs_and_its_runner_up_is_next() {
    let args = [
        "rating",
        "--book",
        BOOK,
        "--vehicle",
        "vehicles/van-l35",
        "--receiver",
        "receivers/van-tuck",
        "--ball-mount",
        "ballmounts/two-in-drop-4",
        "--ball",
        "balls/two-in-6000",
        "--trailer",
        "trailers/flatbed-2t",
        "--tongue",
        "10.5 %",
    ];
    let (within, _) = run(&[&args[..], &["--trailer-mass", "1500 kg"]].concat(), 0);
    let head = "\
trailer mass: WITHIN  planned 1500 kg (3307 lb), limit 2267 kg (5000 lb) by receiver, carrying

link                                           allows kg    lb           field
vehicle, trailer with brakes                        2500  5511           vehicle.tow_braked
vehicle, combination rating less its own mass       3493  7702           vehicle.gcwr
receiver, carrying                                  2267  5000  governs  receiver.carrying.trailer
";
    assert!(within.starts_with(head), "{within}");
    assert!(within.contains("\ntongue load: WITHIN  planned 158 kg (348 lb), limit 226 kg (500 lb)"), "{within}");
    let (over, _) = run(&[&args[..], &["--trailer-mass", "5,100 lb"]].concat(), 0);
    assert!(over.starts_with("trailer mass: OVER  planned 2314 kg (5100 lb), limit 2267 kg (5000 lb)"), "{over}");
    let bare = ["--book", BOOK, "--vehicle", "vehicles/pickup-old", "--trailer-mass", "900 kg", "--tongue", "90 kg"];
    let (unknown, _) = run(&[&["rating", "--receiver", "receivers/no-plate"], &bare[..]].concat(), 0);
    assert!(unknown.starts_with("trailer mass: UNKNOWN  "), "what nobody knows is never within: {unknown}");
    assert!(unknown.contains("unknown"), "{unknown}");
}

#[test]
fn every_state_of_clearance_has_its_line() {
    let args = ["--book", BOOK, "--vehicle", "vehicles/van-l35", "--receiver", "receivers/van-low"];
    let (data, _) = run(&[&["clearance", "--units", "si", "--tape-uncertainty", "3 mm"], &args[..]].concat(), 0);
    let head = "\
state                           approach °  departure °  ramp °  lowest mm
bare vehicle, unladen                 18.8         23.6    12.6        200
with the new receiver, unladen        18.8         14.4    12.6        200
";
    assert!(data.starts_with(head), "{data}");
    assert!(
        data.contains("\n\nbare vehicle, unladen\ntouches       angle °  ± °  where        station mm  height mm\n"),
        "{data}"
    );
}
