//! Makes a fleet sheet of any length from a small one: rows are drawn at random, their loads shaken, their units and
//! vehicles numbered anew. The same seed gives the same sheet.
//!
//! ```text
//! cargo run --release -p baybook-benches --bin bench-fleet-sheet -- deploy/demo/fleet.csv 100000 7 > sheet.csv
//! ```

use std::{
    env,
    error::Error,
    io::{self, BufWriter, Write as _},
};

use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

/// Columns whose numbers are shaken by up to a tenth.
const SHAKEN: &[&str] = &["trailer_mass", "tongue_load", "item.crew.mass (kg)", "item.cargo.mass (kg)"];

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = env::args().skip(1).collect();
    let [path, rows, seed] = arguments.as_slice() else {
        return Err("give a sheet, a number of rows and a seed: deploy/demo/fleet.csv 100000 7".into());
    };
    let (rows, mut dice) = (rows.parse::<u64>()?, ChaCha8Rng::seed_from_u64(seed.parse()?));

    let mut from = csv::Reader::from_path(path)?;
    let headings = from.headers()?.clone();
    let unit = headings.iter().position(|heading| heading == "unit").ok_or("the sheet has no column `unit`")?;
    let vin = headings.iter().position(|heading| heading == "vin");
    let shaken: Vec<usize> = (0..headings.len()).filter(|&at| SHAKEN.contains(&&headings[at])).collect();
    let models: Vec<csv::StringRecord> = from.records().collect::<Result<_, _>>()?;
    if models.is_empty() {
        return Err("the sheet has no rows to draw from".into());
    }

    let mut into = csv::Writer::from_writer(BufWriter::with_capacity(1 << 20, io::stdout().lock()));
    into.write_record(&headings)?;
    for row in 0..rows {
        let model = &models[dice.random_range(0..models.len())];
        let record: Vec<String> = model
            .iter()
            .enumerate()
            .map(|(at, cell)| match at {
                at if at == unit => format!("F{row:07}"),
                at if Some(at) == vin => serial(cell, row),
                at if shaken.contains(&at) => shake(cell, dice.random_range(0.9..1.1)),
                _ => cell.to_owned(),
            })
            .collect();
        into.write_record(&record)?;
    }
    into.flush()?;
    into.into_inner().map_err(|error| error.into_error())?.flush()?;
    Ok(())
}

/// Gives a vehicle identification number another serial number; its check digit stays right, or wrong.
fn serial(vin: &str, row: u64) -> String {
    let mut text: Vec<u8> = vin.bytes().collect();
    if text.len() != 17 {
        return vin.to_owned();
    }
    let was_right = text.get(8) == Some(&check_digit(&text));
    text.splice(10.., format!("{:07}", row % 10_000_000).into_bytes());
    let digit = check_digit(&text);
    if let Some(place) = text.get_mut(8).filter(|_| was_right) {
        *place = digit;
    }
    String::from_utf8(text).unwrap_or_else(|_| vin.to_owned())
}

/// 49 CFR 565.15: values of the characters by weights of their places, modulo 11.
fn check_digit(vin: &[u8]) -> u8 {
    const WEIGHTS: [u32; 17] = [8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2];
    let value = |byte: u8| match byte {
        b'0'..=b'9' => u32::from(byte - b'0'),
        b'A'..=b'H' => u32::from(byte - b'A') + 1,
        b'J'..=b'R' => u32::from(byte - b'J') + 1,
        b'S'..=b'Z' => u32::from(byte - b'S') + 2,
        _ => 0,
    };
    let sum: u32 = vin.iter().zip(WEIGHTS).map(|(byte, weight)| value(*byte) * weight).sum();
    if sum % 11 == 10 { b'X' } else { b'0' + u8::try_from(sum % 11).unwrap_or(0) }
}

/// Multiplies the number a cell starts with; a cell without one stays as it is.
fn shake(cell: &str, by: f64) -> String {
    let end = cell.find(|c: char| !c.is_ascii_digit() && c != ',' && c != '.').unwrap_or(cell.len());
    let (number, unit) = cell.split_at(end);
    match number.replace(',', "").parse::<f64>() {
        Ok(value) => format!("{:.0}{unit}", value * by),
        Err(_) => cell.to_owned(),
    }
}
