//! Makes a fleet sheet of any length from a small one: rows are drawn at random, their loads shaken, their units
//! numbered anew. The same seed gives the same sheet.
//!
//! ```text
//! cargo run --release -p baybook --example fleet_sheet -- deploy/demo/fleet.csv 100000 7 > sheet.csv
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

/// Multiplies the number a cell starts with; a cell without one stays as it is.
fn shake(cell: &str, by: f64) -> String {
    let end = cell.find(|c: char| !c.is_ascii_digit() && c != ',' && c != '.').unwrap_or(cell.len());
    let (number, unit) = cell.split_at(end);
    match number.replace(',', "").parse::<f64>() {
        Ok(value) => format!("{:.0}{unit}", value * by),
        Err(_) => cell.to_owned(),
    }
}
