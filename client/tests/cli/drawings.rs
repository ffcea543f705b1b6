//! A drawing and the table beside it tell the same figures.

use std::fs;

use super::{BOOK, run};

/// What stands in a drawing between two tags, line by line.
fn texts(svg: &str) -> Vec<&str> {
    svg.split('>').filter_map(|part| part.split_once("</text").map(|(text, _)| text)).collect()
}

#[test]
fn the_states_from_the_side_have_the_angles_and_places_of_the_tables() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("side.svg");
    let vehicle = ["clearance", "--book", BOOK, "--vehicle", "vehicles/van-l35", "--receiver", "receivers/van-low"];
    let gear = ["--replaced-receiver", "receivers/van-tuck", "--ball-mount", "ballmounts/two-in-drop-4"];
    let load = ["--ball", "balls/two-in-6000", "--trailer", "trailers/flatbed-2t", "--trailer-mass", "1500 kg"];
    let cargo = ["--tongue", "160 kg", "--item", "crew=170 kg@1400 mm", "--item", "cargo=400 kg@3300 mm"];
    let shown = ["--tape-uncertainty", "3 mm", "--units", "si", "--drawing", path.to_str().unwrap()];
    let (tables, _) = run(&[&vehicle[..], &gear, &load, &cargo, &shown].concat(), 0);
    let svg = fs::read_to_string(&path).unwrap();
    let drawn: Vec<&str> = texts(&svg).into_iter().filter(|text| text.contains('°')).collect();
    // A row of a table: what touches, angle, ±, where, station, height; the last two without a unit.
    let told: Vec<String> = tables
        .lines()
        .filter_map(|line| {
            let row: Vec<&str> = line.split_whitespace().collect();
            let (which @ ("approach" | "departure" | "ramp"), [.., station, height]) = (*row.first()?, &row[..]) else {
                return None;
            };
            let station: f64 = station.parse().ok()?;
            let side = if station < 0.0 { "ahead of" } else { "behind" };
            let line = if which == "ramp" { "lines" } else { "line" };
            Some(format!(
                "{which} {}° ± {}° ({line}), at {} mm {side} the front axle, {height} mm above ground",
                row[1],
                row[2],
                station.abs()
            ))
        })
        .collect();
    let drawn: Vec<String> = drawn
        .iter()
        .map(|text| {
            ["solid ", "dashed ", "dotted "].iter().fold((*text).to_owned(), |text, style| text.replace(style, ""))
        })
        .collect();
    assert_eq!(told.len(), 27, "nine states, three angles each: {tables}");
    assert_eq!(told, drawn);
}

#[test]
fn the_order_of_tightening_is_drawn_as_it_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("order.svg");
    for laid in [&["--circle", "8"][..], &["--grid", "2x3"], &["--row", "5"]] {
        let torque =
            ["--steps", "30-70-100", "--torque", "150 N·m", "--units", "si", "--drawing", path.to_str().unwrap()];
        let (table, _) = run(&[&["tighten"], laid, &torque].concat(), 0);
        let svg = fs::read_to_string(&path).unwrap();
        let drawn = texts(&svg);
        let order: Vec<usize> =
            table.lines().nth(1).unwrap().split(", ").map(|bolt| bolt.trim().parse().unwrap()).collect();
        // In the circle its turn, below it its number; in the order of turns.
        let bolts: Vec<usize> = drawn.iter().filter_map(|text| text.strip_prefix("bolt ")?.parse().ok()).collect();
        assert_eq!(bolts, order, "{laid:?}");
        let passes: Vec<_> = drawn.iter().filter(|text| text.starts_with("Pass ")).collect();
        assert_eq!(passes.len(), 4, "three and a check");
        for (pass, note) in (1..).zip(passes) {
            let row = table.lines().find(|line| line.starts_with(&format!("{pass}  "))).unwrap();
            let torque = row.split_whitespace().last().unwrap();
            assert!(note.ends_with(&format!(" = {torque} N·m")), "{note}: {row}");
        }
    }
}
