//! `baybook book list`

use baybook_proto::v1 as pb;
use clap::Args;

use super::{Kind, draw_entries, kind_number};
use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    table::Cell,
};

const EXAMPLES: &str = "\
Examples:
  baybook book list --book deploy/demo/book
  baybook book list vehicles --book deploy/demo/book --format ndjson | head -1";

/// Entries fetched in one call.
const PAGE_SIZE: i32 = 500;

/// List the entries of the book by name
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct ListArgs {
    /// The kind; every kind when left out
    #[arg(value_name = "KIND", hide_possible_values = false)]
    kind: Option<Kind>,
}

pub async fn run(args: ListArgs, context: &mut Context) -> Outcome {
    let mut book = context.book().await?;
    // The pages are put together into one reply; all of them read the same revision.
    let mut whole = pb::ListEntriesResponse::default();
    loop {
        let request = context.call(pb::ListEntriesRequest {
            kind: kind_number(args.kind),
            page_size: PAGE_SIZE,
            page_token: std::mem::take(&mut whole.next_page_token),
            min_revision: 0,
        });
        let reply = book.list_entries(request).await;
        let page = reply.map_err(|status| Failure::status(&status, Flags::NONE))?.into_inner();
        whole.revision = page.revision;
        whole.entries.extend(page.entries);
        whole.next_page_token = page.next_page_token;
        if whole.next_page_token.is_empty() {
            break;
        }
    }
    context.out.show_list(&whole, &whole.entries, |page| {
        draw_entries(&whole.entries, page);
        page.line(Cell::default(), &format!("{} entries at revision {}", whole.entries.len(), whole.revision));
    })?;
    Ok(Exit::Ok)
}
