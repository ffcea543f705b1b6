//! `baybook book history`

use baybook_proto::v1 as pb;
use clap::Args;

use super::get::readable;
use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Column, Page},
    people::Units,
    stamp,
    table::Cell,
};

const EXAMPLES: &str = "\
Examples:
  baybook book history vehicles/van-l35 --book deploy/demo/book
  baybook book history bolts/m12-88-40 --book deploy/demo/book --format csv";

const FLAGS: Flags = Flags(&[("name", "NAME"), ("page_size", "--most")]);

/// Show who changed what of an entry, newest first
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct HistoryArgs {
    /// The entry's name: vehicles/van-l35
    #[arg(value_name = "NAME")]
    name: String,

    /// List at most so many changes
    #[arg(long, value_name = "COUNT", default_value_t = 50)]
    most: i32,
}

pub async fn run(args: HistoryArgs, context: &mut Context) -> Outcome {
    let request =
        context.call(pb::EntryHistoryRequest { name: args.name, page_size: args.most, page_token: String::new() });
    let reply = context.book().await?.entry_history(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    context.out.show_list(&reply, &reply.changes, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::EntryHistoryResponse, page: &mut Page) {
    let units = page.units();
    let rows = reply.changes.iter().map(|change| {
        let what = match (&change.entry, change.fields.as_slice()) {
            (None, _) => "removed".to_owned(),
            (Some(_), _) if change.before_gone => "changed; what it was before is no longer kept".to_owned(),
            (Some(_), []) => "put again, the same".to_owned(),
            (Some(_), all) if all.iter().any(|one| one.field == "name" && one.before.is_empty()) => "new".to_owned(),
            (Some(_), all) => all.iter().map(|one| difference(one, units)).collect::<Vec<_>>().join("\n"),
        };
        let source = change
            .entry
            .as_ref()
            .and_then(|entry| entry.source.as_ref())
            .map_or("-", |source| if source.document.is_empty() { "-" } else { source.document.as_str() });
        let who = if change.author.is_empty() { "-" } else { change.author.as_str() };
        vec![
            change.revision.to_string().into(),
            stamp::text(change.change_time.as_ref()).into(),
            who.into(),
            source.into(),
            what.into(),
        ]
    });
    page.table(
        &[
            Column::Words("revision"),
            Column::Words("when"),
            Column::Words("who"),
            Column::Words("source"),
            Column::Words("what"),
        ],
        rows.collect(),
    );
    if 0 < reply.horizon_revision {
        page.line(Cell::default(), &format!("changes through revision {} are no longer kept", reply.horizon_revision));
    }
    if !reply.next_page_token.is_empty() {
        page.line(Cell::default(), "there are older changes; --most shows more");
    }
}

/// Tells what one field was and what it became, in the words and units that `get` shows.
fn difference(one: &pb::FieldDifference, units: Units) -> String {
    let side = |text: &str| match text {
        "" => (String::new(), "nothing".to_owned()),
        text => readable(&one.field, text.trim_matches('"'), units),
    };
    let ((before_field, before), (after_field, after)) = (side(&one.before), side(&one.after));
    let field = if before_field.is_empty() { after_field } else { before_field };
    format!("{field}: {before} -> {after}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_difference_is_told_with_its_units() {
        let one = |field: &str, before: &str, after: &str| pb::FieldDifference {
            field: field.to_owned(),
            before: before.to_owned(),
            after: after.to_owned(),
            unit: "kg".to_owned(),
        };
        let gvwr = one("gvwr.value_kg", "3000", "3200");
        assert_eq!(difference(&gvwr, Units::Both), "gvwr: 3000 kg (6614 lb) -> 3200 kg (7055 lb)");
        assert_eq!(difference(&gvwr, Units::Si), "gvwr: 3000 kg -> 3200 kg");
        assert_eq!(difference(&one("note", "", "\"weighed\""), Units::Si), "note: nothing -> weighed");
        assert_eq!(difference(&one("gvwr.value_kg", "3000", ""), Units::Si), "gvwr: 3000 kg -> nothing");
    }
}
