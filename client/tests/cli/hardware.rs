//! Tables about fasteners and what turns them, to the letter where they are read first.
//!
//! Pinned: the figures are checked where they are worked out; here it is how they are shown.

use super::{BOOK, run};

/// Runs a command on the demo's book and returns its table; no line is too long or ends in blanks.
fn table(args: &[&str]) -> String {
    let (data, said) = run(&[args, &["--book", BOOK, "--no-color"]].concat(), 0);
    assert_eq!(said, "");
    for line in data.lines() {
        assert!(line.chars().count() <= 100 && line == line.trim_end(), "{line}");
    }
    data
}

#[test]
fn a_wrench_is_named_first_and_each_other_one_says_why_not() {
    let data = table(&["wrench", "--torque", "66 N·m", "--day", "2026-11-26"]);
    let head = "\
take  wrenches/click-200, set to 66.0 N·m (48.7 lb-ft)

wrench                   set to N·m  lb-ft  of scale %  off by N·m  lb-ft
wrenches/click-200  FIT        66.0   48.7        33.0        2.64   1.95
wrenches/dial-80    FIT        66.0   48.7        82.5        3.96   2.92
wrenches/click-340  NO         66.0   48.7        19.4        2.64   1.95

why not
  wrenches/click-340: a setting of 66.0 N·m lies in the lowest fifth of its scale, which is good
    from 68.0 N·m
";
    assert!(data.starts_with(head), "{data}");
    let none = table(&["wrench", "--torque", "66 N·m", "--day", "2030-01-01", "--units", "si"]);
    assert!(none.starts_with("NONE IS FIT  no wrench may be used for this\n"), "{none}");
    assert!(none.contains("wrenches/dial-80: its calibration held until 2026-12-01"), "{none}");
    let (_, told) = run(&["wrench", "--torque", "66 N·m", "--day", "soon", "--book", BOOK], 2);
    assert!(told.contains("--day") && told.contains("YYYY-MM-DD"), "{told}");
}

#[test]
fn a_turn_says_what_it_stretches_and_when_the_bolt_yields() {
    let stiff = ["--bolt-stiffness", "666.4 kN/mm", "--parts-stiffness", "2498 kN/mm", "--units", "si"];
    let data = table(&[&["angle", "--bolt", "bolts/m12-88-40", "--preload", "40 kN"], &stiff[..]].concat());
    let head = "\
turn from snug  15.6 ° for 40.0 kN

the turn
stretches the bolt  12.3  °
squeezes the parts   3.3  °
reaches proof at    19.1  °
yields at           21.1  °

preload
of the proof load  81.8  %
";
    assert!(data.starts_with(head), "{data}");
    let far = [&["angle", "--bolt", "bolts/m12-88-40", "--turn", "60 deg", "--book", BOOK], &stiff[..]].concat();
    let (_, told) = run(&far, 2);
    assert!(told.contains("--turn") && told.contains("yields at"), "{told}");
}

#[test]
fn an_order_a_scatter_a_mark_and_a_comparison_are_tables_too() {
    let order = table(&["tighten", "--grid", "2x3", "--steps", "50-80-100", "--torque", "79 N·m", "--units", "si"]);
    let head = "\
order in each pass, by bolt number
  2, 5, 1, 3, 4, 6

pass                                 of the full %  torque N·m
1     tighten every bolt                      50.0        39.5
2     tighten every bolt                      80.0        63.2
3     tighten every bolt                     100.0        79.0
4     check: nothing turns any more          100.0        79.0

24  times a tool is put on a bolt
";
    assert!(order.starts_with(head), "{order}");

    let torque = ["scatter", "--bolt", "bolts/m12-88-40", "--condition", "finishes/oiled", "--torque", "60 N·m"];
    let rest = ["--window", "10 %", "--wrench", "wrenches/click-200", "--deviations", "3", "--relaxation", "5 %"];
    let scatter = table(&[&torque[..], &rest[..], &["--needed", "25 kN", "--units", "si"]].concat());
    let head = "\
preload                       least  likely  greatest
within the deviations          22.6    33.3      60.4  kN
everything at its worst        19.8    33.3      68.4  kN
limits as for space hardware   16.5    33.3      53.3  kN

scatter and chances
scatter, plus or minus         45.7  %
tightening factor             2.668
chance of too little clamp      1.6  %
chance of going over proof      1.7  %
proof load                     48.9  kN
least of the limits, relaxed   15.7  kN
";
    assert!(scatter.starts_with(head), "{scatter}");

    let mark = table(&["mark", "--lines", "6", "--threads", "inch", "--on", "bolt"]);
    assert!(mark.starts_with("SAE 8  bears: 6 radial lines, evenly spread\n"), "{mark}");

    let specified = ["--specified-bolt", "bolts/m12-88-40", "--specified-nut", "nuts/m12-8", "--specified-locks", "no"];
    let offered = ["--bolt", "bolts/m12-109-40", "--nut", "nuts/m12-8", "--electroplated", "no", "--grip", "20 mm"];
    let compared = [&["compare", "--torque", "79 N·m", "--units", "si"], &specified[..], &offered[..]].concat();
    let better = table(&compared);
    assert!(better.starts_with("BETTER, KEEP THE ORIGINAL TORQUE  79.0 N·m\n\nbetter\n  higher-class: "), "{better}");

    let spun = ["captive", "--bolt", "bolts/m12-88-90", "--new-nut", "nuts/m12-8", "--torque", "79 N·m"];
    let load = ["--condition", "finishes/zinc-dry", "--load", "12 kN", "--frame-material", "s355", "--units", "si"];
    let captive = table(&[&spun[..], &load[..]].concat());
    assert!(
        captive.starts_with("greatest preload  38.7 kN, at the lowest friction\n\nOPEN  1. a through bolt"),
        "{captive}"
    );
}
