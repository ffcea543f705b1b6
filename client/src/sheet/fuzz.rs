//! Sheets that nobody would write.

use rand::Rng as _;

use super::*;

#[path = "../../../tests/fuzz/engine.rs"]
mod engine;

use engine::{mutate, run_some};

const WORDS: [&str; 22] = [
    "unit,",
    "vehicle",
    "trailer_mass (kg)",
    "tongue_load (lb)",
    ";",
    "\t",
    "\"",
    "\"\"",
    "\r\n",
    "\u{feff}",
    "sep=;\n",
    "{",
    "}",
    "[",
    "null",
    "\"vehicle\":{\"name\":\"vehicles/van-l35\"}",
    "1e999",
    "4,400 lb",
    "=",
    "\0",
    "\n\n\n",
    "é",
];

/// Reads a sheet to its end, whatever it is.
fn read(bytes: &[u8], options: &SheetOptions) {
    let Ok(mut sheet) = Sheet::open(bytes, options) else { return };
    let mut reader = sheet.readers().make();
    let (mut portion, mut all) = (Portion::default(), 0);
    while sheet.cut(7, &mut portion).is_ok() && !portion.is_empty() {
        reader.read(&portion, |_| all += 1);
        // A row takes a byte of the sheet at least.
        assert!(all <= bytes.len() + 1, "{all} rows in {} bytes", bytes.len());
    }
}

#[test]
fn fuzz_sheets() {
    let csv = include_bytes!("../../../deploy/demo/fleet.csv");
    let line = |number: usize| csv.split_inclusive(|byte| *byte == b'\n').take(number).collect::<Vec<_>>().concat();
    let json = br#"{"unit":"U1","vehicle":{"name":"vehicles/van-l35"},"trailer_mass":{"printed":"4,400 lb"},"tongue_share":0.11}
{"unit":"U2","vin":"11111111111111111","vehicle":{"spec":{"label":"x","wheelbase_mm":3600}}}
"#;
    let corpus = [line(2), line(4), line(12), json.to_vec(), b"unit;vehicle\nU1;van-l35\n".to_vec()];
    run_some("sheets", 1, |dice| {
        let sheet = mutate(dice, &corpus, &WORDS);
        let options = SheetOptions { skip_columns: if dice.random() { vec!["unit".to_owned()] } else { Vec::new() } };
        read(&sheet, &options);
    });
}
