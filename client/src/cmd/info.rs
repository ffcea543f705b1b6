//! `baybook info`: what the service is.

use baybook_proto::v1 as pb;
use clap::Args;

use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Column, Page},
    stamp,
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook info --book deploy/demo/book
  baybook info --format json";

/// Show what the service is, what its book holds and what its limits are
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct InfoArgs {}

pub async fn run(_args: InfoArgs, context: &mut Context) -> Outcome {
    let request = context.call(pb::ServerInfoRequest {});
    let reply = context.steward().await?.server_info(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, Flags::NONE))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::ServerInfoResponse, page: &mut Page) {
    let writes = if reply.writable { "takes writes" } else { "TAKES NO WRITES" };
    page.line(
        Cell::marked(format!("baybook {}", reply.release), Mark::Strong),
        &format!("book on {} at revision {}, {writes}", reply.engine, reply.revision),
    );
    let since = stamp::text(reply.start_time.as_ref());
    page.line(Cell::default(), &format!("{} rules; started {since}", reply.rule_count));
    let folders = reply.folders.iter().map(|row| vec![row.folder.as_str().into(), count(row.entry_count)]);
    page.table(&[Column::Words("folder"), Column::Words("entries")], folders.collect());
    let limits = reply.limits.iter().map(|limit| {
        vec![
            limit.name.as_str().into(),
            count(limit.max_count),
            limit.unit.as_str().into(),
            limit.about.as_str().into(),
        ]
    });
    page.table(
        &[Column::Words("limit"), Column::Words("most"), Column::Words(""), Column::Words("of")],
        limits.collect(),
    );
}

fn count(count: i64) -> crate::page::Value {
    count.to_string().into()
}
