//! `baybook book put`

use std::path::PathBuf;

use baybook_proto::v1 as pb;
use clap::Args;

use super::{ChangeArgs, draw_entries};
use crate::{
    context::Context,
    entry_file::{self, Located},
    fail::{Exit, Failure, Flags, Outcome},
    page::Page,
    table::Cell,
};

const EXAMPLES: &str = "\
Examples:
  baybook book put deploy/demo/book/shop.json --etag '*' --author 'R. Vance'
  baybook book get wrenches/dial-80 --book deploy/demo/book --format ndjson | \\
    baybook book put - --etag '*' --check-only";

/// Put entries into the book, all or none
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct PutArgs {
    /// A file with one entry, an array of entries, or one entry a line; - reads standard input
    #[arg(value_name = "FILE")]
    file: PathBuf,

    /// The etag of what is replaced, for every entry of the file; '*' replaces whatever is there. Without it, the file
    /// says, and an entry without one must be new
    #[arg(long, value_name = "ETAG")]
    etag: Option<String>,

    /// Check the entries and change nothing
    #[arg(long)]
    check_only: bool,

    #[command(flatten)]
    change: ChangeArgs,
}

pub async fn run(args: PutArgs, context: &mut Context) -> Outcome {
    let mut located = entry_file::file(&args.file)?;
    for Located { entry, .. } in &mut located {
        if let Some(etag) = &args.etag {
            entry.etag.clone_from(etag);
        }
    }
    let mut book = context.book_to_write().await?;
    let (author, request_id) = (args.change.author, args.change.request_id);
    if let [Located { entry, at }] = located.as_slice() {
        let message =
            pb::PutEntryRequest { entry: Some(entry.clone()), request_id, author, validate_only: args.check_only };
        let id = message.request_id.clone();
        let request = context.change(message, &id);
        let reply = book.put_entry(request).await;
        let reply = reply.map_err(|status| {
            at_file(Failure::status(&status, Flags::NONE), |place| {
                place.strip_prefix("entry").map(|rest| format!("{at}: {}", rest.trim_start_matches('.')))
            })
        })?;
        let reply = reply.into_inner();
        context.out.show_list(&reply, reply.entry.as_slice(), |page| {
            draw(reply.entry.as_slice(), reply.revision, args.check_only, page);
        })?;
        return Ok(Exit::Ok);
    }
    let message = pb::BatchPutEntriesRequest {
        entries: located.iter().map(|located| located.entry.clone()).collect(),
        request_id,
        author,
        validate_only: args.check_only,
    };
    let id = message.request_id.clone();
    let request = context.change(message, &id);
    let reply = book.batch_put_entries(request).await;
    let reply = reply.map_err(|status| {
        at_file(Failure::status(&status, Flags::NONE), |place| {
            let (i, rest) = place.strip_prefix("entries[")?.split_once(']')?;
            let at = &located.get(i.parse::<usize>().ok()?)?.at;
            Some(format!("{at}: {}", rest.trim_start_matches('.')))
        })
    })?;
    let reply = reply.into_inner();
    context.out.show_list(&reply, &reply.entries, |page| {
        draw(&reply.entries, reply.revision, args.check_only, page);
    })?;
    Ok(Exit::Ok)
}

/// Turns paths of the message into places of the file.
fn at_file(mut failure: Failure, turn: impl Fn(&str) -> Option<String>) -> Failure {
    for place in &mut failure.places {
        if let Some(at) = turn(&place.at) {
            place.at = at;
        }
    }
    failure
}

fn draw(entries: &[pb::Entry], revision: i64, check_only: bool, page: &mut Page) {
    draw_entries(entries, page);
    let count = entries.len();
    let said = if check_only {
        format!("{count} checked, nothing changed")
    } else {
        format!("{count} put at revision {revision}")
    };
    page.line(Cell::default(), &said);
}
