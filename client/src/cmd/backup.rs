//! `baybook backup`: the whole book in one file that was tried.

use std::path::PathBuf;

use baybook_proto::v1 as pb;
use clap::Args;

use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::Page,
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook backup --book deploy/demo/book --into backups
  baybook backup --data baybook-data --into backups --deadline 2m --format json";

/// Write the whole book into a file, and try it by restoring it beside itself
///
/// While a service holds the book, name the service: it writes into the folder of its own settings (backup_dir), at one
/// revision, and goes on serving. Without one the book of --data is opened here. It is reported only after a book was
/// restored from the file and came to the same digest. Tokens are in it without their hashes: after a restore nobody gets
/// in with an old one. Once it is verified, old ones that the same service wrote go, beyond as many as its setting keep_backups
/// says. A book that takes longer than --deadline is backed up all the same; baybook info then tells.
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct BackupArgs {
    /// Write into this folder; for a book that no service holds [env: BAYBOOK_BACKUP_DIR] [default: baybook-backups]
    #[arg(long, value_name = "FOLDER")]
    into: Option<PathBuf>,
}

pub async fn run(args: BackupArgs, context: &mut Context) -> Outcome {
    if let Some(folder) = args.into {
        if let Some(url) = context.place().elsewhere() {
            let failure = Failure::usage("a service writes backups into the folder of its own settings")
                .at(format!("--into {}", folder.display()), format!("the book is held by the service at {url}"))
                .next("leave --into out; the service is told by backup_dir in its settings");
            return Err(failure.into());
        }
        context.put_backups_into(folder);
    }
    let request = context.call(pb::BackupRequest {});
    let reply = context.steward().await?.backup(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, Flags::NONE))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::BackupResponse, page: &mut Page) {
    let Some(backup) = &reply.backup else { return };
    page.line(
        Cell::marked(backup.file.clone(), Mark::Strong),
        &format!("{} bytes, restored beside itself and found equal", backup.size_bytes),
    );
    let digest = &backup.digest;
    page.line(
        Cell::default(),
        &format!("revision {}, {} entries and records, digest {digest}", backup.revision, backup.entry_count),
    );
}
