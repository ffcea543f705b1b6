//! `baybook book remove`

use baybook_proto::v1 as pb;
use clap::Args;

use super::ChangeArgs;
use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook book remove wrenches/dial-80 --etag '*' --book deploy/demo/book
  baybook book remove terrains/yard-hump --etag '*' --author 'R. Vance' --book deploy/demo/book";

const FLAGS: Flags =
    Flags(&[("name", "NAME"), ("etag", "--etag"), ("request_id", "--request-id"), ("author", "--author")]);

/// Remove an entry that no other entry needs
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct RemoveArgs {
    /// The entry's name: wrenches/dial-80
    #[arg(value_name = "NAME")]
    name: String,

    /// The entry's etag as last read; '*' removes whatever is there
    #[arg(long, value_name = "ETAG")]
    etag: String,

    #[command(flatten)]
    change: ChangeArgs,
}

pub async fn run(args: RemoveArgs, context: &mut Context) -> Outcome {
    let message = pb::RemoveEntryRequest {
        name: args.name.clone(),
        etag: args.etag,
        request_id: args.change.request_id,
        author: args.change.author,
    };
    let id = message.request_id.clone();
    let request = context.change(message, &id);
    let reply = context.book_to_write().await?.remove_entry(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    context.out.show(&reply, |page| {
        page.line(Cell::marked(args.name, Mark::Strong), &format!("removed at revision {}", reply.revision));
    })?;
    Ok(Exit::Ok)
}
