//! `baybook info`: what the service is.

use baybook_proto::v1 as pb;
use clap::Args;

use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Column, Page, Value},
    people::Kind,
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
    let backup = match &reply.last_backup {
        Some(backup) => format!(
            "last verified backup {}, of revision {}: {}",
            stamp::text(backup.time.as_ref()),
            backup.revision,
            backup.file
        ),
        None => "no backup was ever verified; baybook backup".to_owned(),
    };
    page.line(Cell::default(), &backup);
    if let Some(verify) = &reply.last_verify {
        let found = match verify.damage_count {
            0 => "all as it was written".to_owned(),
            count => format!("{count} damages, {} of them mended; baybook book verify", verify.mended_count),
        };
        let when = stamp::text(verify.time.as_ref());
        page.line(Cell::default(), &format!("read again from disk {when}, at revision {}: {found}", verify.revision));
    }
    let folders = reply.folders.iter().map(|row| vec![row.folder.as_str().into(), count(row.entry_count)]);
    page.table(&[Column::Words("folder"), Column::Numbers("entries", Kind::Count)], folders.collect());
    let limits = reply.limits.iter().map(|limit| {
        vec![
            limit.name.as_str().into(),
            count(limit.max_count),
            limit.unit.as_str().into(),
            limit.about.as_str().into(),
        ]
    });
    page.table(
        &[Column::Words("limit"), Column::Numbers("most", Kind::Count), Column::Words(""), Column::Words("of")],
        limits.collect(),
    );
}

#[expect(clippy::cast_precision_loss, reason = "counts and limits stay far below what a float holds exactly")]
fn count(count: i64) -> Value {
    Some(count as f64).into()
}
