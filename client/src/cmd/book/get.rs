//! `baybook book get`

use baybook_proto::v1 as pb;
use clap::Args;
use erased_serde::Serialize;

use super::label;
use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    out::flatten,
    page::{Column, Page},
    people::{Kind, Units},
    stamp,
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook book get receivers/van-tuck --book deploy/demo/book
  baybook book get bolts/m12-88-40 --book deploy/demo/book --format json";

const FLAGS: Flags = Flags(&[("name", "NAME"), ("names", "NAME")]);

/// Show an entry
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct GetArgs {
    /// The entry's name: vehicles/van-l35
    #[arg(value_name = "NAME")]
    name: String,

    /// The least revision of the book to read at; 0 is the newest
    #[arg(long, value_name = "REVISION", default_value_t = 0)]
    min_revision: i64,
}

pub async fn run(args: GetArgs, context: &mut Context) -> Outcome {
    let request = context.call(pb::GetEntryRequest { name: args.name, min_revision: args.min_revision });
    let reply = context.book().await?.get_entry(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    context.out.show_list(&reply, reply.entry.as_slice(), |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::GetEntryResponse, page: &mut Page) {
    let Some(entry) = &reply.entry else { return };
    page.line(Cell::marked(entry.name.clone(), Mark::Strong), label(entry));
    let mut rows = Vec::new();
    for (field, text) in spec_fields(entry) {
        let (label, text) = readable(&field, &text, page.units());
        rows.push(vec![label.into(), text.into()]);
    }
    page.table(&[Column::Words(""), Column::Words("")], rows);
    let source = entry.source.iter().flat_map(|source| {
        let parts = [&source.document, &source.page, &source.edition, &source.date_seen];
        parts.into_iter().filter(|part| !part.is_empty()).cloned().collect::<Vec<_>>()
    });
    let source: Vec<String> = source.collect();
    let source = if source.is_empty() { "no source was given".to_owned() } else { source.join(", ") };
    page.notes("source", [("", source)]);
    page.notes("note", (!entry.note.is_empty()).then(|| ("", entry.note.clone())));
    let author = if entry.author.is_empty() { String::new() } else { format!(" by {}", entry.author) };
    let moment = stamp::text(entry.update_time.as_ref());
    let change = format!("etag {}, changed {moment}{author} at revision {}", entry.etag, entry.revision);
    page.line(Cell::default(), &change);
}

/// Lists the fields of the specification itself, without the kind that the name says already.
fn spec_fields(entry: &pb::Entry) -> Vec<(String, String)> {
    let bare = pb::Entry { spec: entry.spec.clone(), ..pb::Entry::default() };
    let mut fields = Vec::new();
    if let Ok(value) = serde_json::to_value(&bare as &dyn Serialize) {
        flatten(String::new(), &value, &mut fields);
    }
    for (field, _) in &mut fields {
        if let Some((_, rest)) = field.split_once('.') {
            *field = rest.to_owned();
        }
    }
    fields.retain(|(field, _)| field != "label");
    fields
}

/// How fields end, what they measure, and the unit that their number is in on the wire.
const SUFFIXES: [(&str, Kind, &str); 13] = [
    ("_kg", Kind::Mass, "kg"),
    ("_mm", Kind::Length, "mm"),
    ("_n_m", Kind::Torque, "N·m"),
    ("_n", Kind::Force, "N"),
    ("_deg", Kind::Angle, "°"),
    ("_kn", Kind::Coupling, "kN"),
    ("_n_per_mm", Kind::Count, "N/mm"),
    ("_mm2", Kind::Count, "mm²"),
    ("_hv", Kind::Count, "HV"),
    ("_a", Kind::Count, "A"),
    ("_v", Kind::Count, "V"),
    ("_share", Kind::Count, ""),
    ("_code", Kind::Count, ""),
];

/// How the words of the contract's enums begin.
const ENUMS: [&str; 13] = [
    "HEAD_KIND_",
    "NUT_KIND_",
    "LUBRICATION_",
    "TIGHTENING_METHOD_",
    "MARKET_",
    "VEHICLE_KIND_",
    "SPRING_BAR_RULE_",
    "TYRE_KIND_",
    "PROFILE_JOIN_",
    "CHAIN_RATING_KIND_",
    "DRAWBAR_KIND_",
    "TRAILER_BRAKES_",
    "SOCKET_",
];

/// Below this a length in inches needs its thousandths.
const SMALL_MM: f64 = 50.0;

/// Brings a field and its value into words: `rear.gawr.value_kg` and `1900` become `rear gawr`, `1900 kg (4189 lb)`.
///
/// An entry is what people compare with a plate: its figures are shown with the digits they were put with.
pub(super) fn readable(field: &str, text: &str, units: Units) -> (String, String) {
    let words = |field: &str| field.trim_end_matches(".value").replace(['.', '_'], " ");
    if let Some(field) = field.strip_suffix(".printed") {
        return (words(field), format!("{text}, as printed"));
    }
    if let Some(word) = ENUMS.iter().find_map(|lead| text.strip_prefix(lead)) {
        return (words(field), word.to_lowercase().replace('_', " "));
    }
    let known = SUFFIXES.iter().filter(|(suffix, ..)| field.ends_with(suffix)).max_by_key(|(suffix, ..)| suffix.len());
    let (Some((suffix, kind, unit)), Ok(value)) = (known, text.parse::<f64>()) else {
        return (words(field), text.to_owned());
    };
    let exact = format!("{value} {unit}").trim_end().to_owned();
    let kind = if *kind == Kind::Length && value.abs() < SMALL_MM { Kind::Size } else { *kind };
    let text = match (units, Units::Us.of(kind) == Units::Si.of(kind)) {
        (Units::Si, _) | (_, true) => exact,
        (Units::Us, false) => Units::Us.say(kind, value),
        (Units::Both, false) => format!("{exact} ({})", Units::Us.say(kind, value)),
    };
    (words(field.trim_end_matches(suffix)), text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_field_reads_as_words_with_its_unit() {
        let read = |field: &str, text: &str| readable(field, text, Units::Both);
        assert_eq!(read("rear.gawr.value_kg", "1900"), ("rear gawr".to_owned(), "1900 kg (4189 lb)".to_owned()));
        assert_eq!(read("rear.gawr.printed", "4,189 lb"), ("rear gawr".to_owned(), "4,189 lb, as printed".to_owned()));
        assert_eq!(read("torque.value_n_m", "79"), ("torque".to_owned(), "79 N·m (58.3 lb-ft)".to_owned()));
        assert_eq!(read("thread", "M12x1.75"), ("thread".to_owned(), "M12x1.75".to_owned()));
        assert_eq!(read("d_value_kn", "12.5"), ("d value".to_owned(), "12.5 kN".to_owned()));
        assert_eq!(read("head", "HEAD_KIND_HEX_FLANGE"), ("head".to_owned(), "hex flange".to_owned()));
        assert_eq!(read("bolt_count", "6"), ("bolt count".to_owned(), "6".to_owned()));
        assert_eq!(read("station_mm", "4550.0"), ("station".to_owned(), "4550 mm (179.1 in)".to_owned()));
    }
}
