//! The columns as people are shown them.

use super::{COLUMNS, FITTED_PARTS, FOLLOW_UP_PARTS, ITEM_PARTS, JOINT_PARTS, Kind, Part, READING_PARTS};

/// Returns every column with what it holds and what it means, for people.
pub fn column_list() -> Vec<(String, String, &'static str)> {
    let fixed = COLUMNS.iter().map(|(name, _, kind, about)| ((*name).to_owned(), kind_words(*kind), *about));
    let repeat = |prefix: &'static str, parts: &'static [Part]| {
        parts.iter().map(move |(part, _, kind, about)| (format!("{prefix}NAME.{part}"), kind_words(*kind), *about))
    };
    fixed
        .chain(repeat("item.", ITEM_PARTS))
        .chain(repeat("joint.", JOINT_PARTS))
        .chain(repeat("reading.", READING_PARTS))
        .chain(repeat("fitted.", FITTED_PARTS))
        .chain(repeat("follow_up.", FOLLOW_UP_PARTS))
        .chain([("routing.QUESTION".to_owned(), kind_words(Kind::YesNo), "a question of the routing checklist")])
        .chain([("note".to_owned(), "words".to_owned(), "left out; so is every column that starts with `note.`")])
        .collect()
}

fn kind_words(kind: Kind) -> String {
    match kind {
        Kind::Text => "words".to_owned(),
        Kind::Name(folder) => format!("name in {folder}/"),
        Kind::Mass => "mass: 2000 kg".to_owned(),
        Kind::Length => "length: 3300 mm".to_owned(),
        Kind::Angle => "angle: 11.5 deg".to_owned(),
        Kind::Torque => "torque: 75 lb-ft".to_owned(),
        Kind::Share => "share: 0.105 or 10.5 %".to_owned(),
        Kind::Year => "year: 2026".to_owned(),
        Kind::Distance => "distance: 41000 km, 25500 mi".to_owned(),
        Kind::YesNo => "yes or no".to_owned(),
        Kind::Choice(words) => words.iter().map(|(word, _)| *word).collect::<Vec<_>>().join(", "),
    }
}
