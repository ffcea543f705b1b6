//! `baybook book get`

use baybook_proto::v1 as pb;
use clap::Args;

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
    context.out.show(&reply, |page| draw(&reply, page))?;
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
    if let Ok(value) = serde_json::to_value(&bare) {
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

const SUFFIXES: [(&str, Kind); 9] = [
    ("_kg", Kind::Mass),
    ("_mm", Kind::Size),
    ("_n_m", Kind::Torque),
    ("_n", Kind::Force),
    ("_deg", Kind::Angle),
    ("_kn", Kind::Coupling),
    ("_mpa", Kind::Stress),
    ("_mm2", Kind::Area),
    ("_share", Kind::Factor),
];

/// Brings a field and its value into words: `rear.gawr.value_kg` and `1900` become `rear gawr`, `1900 kg (4189 lb)`.
fn readable(field: &str, text: &str, units: Units) -> (String, String) {
    let kind = SUFFIXES.iter().filter(|(suffix, _)| field.ends_with(suffix)).max_by_key(|(suffix, _)| suffix.len());
    let (field, text) = match (kind, text.parse::<f64>()) {
        (Some((suffix, kind)), Ok(value)) => (field.trim_end_matches(suffix), units.say(*kind, value)),
        _ => (field, text.to_owned()),
    };
    let field = field.trim_end_matches(".value").trim_end_matches("_code").trim_end_matches("_count");
    (field.replace(['.', '_'], " "), text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_field_reads_as_words_with_its_unit() {
        let read = |field: &str, text: &str| readable(field, text, Units::Both);
        assert_eq!(read("rear.gawr.value_kg", "1900"), ("rear gawr".to_owned(), "1900 kg (4189 lb)".to_owned()));
        assert_eq!(read("rear.gawr.printed", "4,189 lb"), ("rear gawr printed".to_owned(), "4,189 lb".to_owned()));
        assert_eq!(read("torque.value_n_m", "79"), ("torque".to_owned(), "79.0 N·m (58.3 lb-ft)".to_owned()));
        assert_eq!(read("thread", "M12x1.75"), ("thread".to_owned(), "M12x1.75".to_owned()));
        assert_eq!(read("d_value_kn", "12.5"), ("d value".to_owned(), "12.50 kN".to_owned()));
    }
}
