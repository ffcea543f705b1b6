//! `baybook book history`

use baybook_proto::v1 as pb;
use clap::Args;

use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Column, Page},
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
    let rows = reply.changes.iter().map(|change| {
        let what = match (&change.entry, change.differences.as_slice()) {
            (None, _) => "removed".to_owned(),
            (Some(_), []) => "put again, the same".to_owned(),
            (Some(_), all) if all.iter().any(|field| field.starts_with("name: nothing -> ")) => "new".to_owned(),
            (Some(_), differences) => differences.join("\n"),
        };
        let who = if change.author.is_empty() { "-" } else { change.author.as_str() };
        vec![
            change.revision.to_string().into(),
            stamp::text(change.change_time.as_ref()).into(),
            who.into(),
            what.into(),
        ]
    });
    page.table(
        &[Column::Words("revision"), Column::Words("when"), Column::Words("who"), Column::Words("what")],
        rows.collect(),
    );
    if !reply.next_page_token.is_empty() {
        page.line(Cell::default(), "there are older changes; --most shows more");
    }
}
