//! `baybook restore`: a book out of a backup.

use std::path::{Path, PathBuf};

use baybook_server::book::{
    BookError, Bounds,
    backup::{self, Contents, RestoreError},
};
use clap::Args;
use serde::Serialize;

use crate::{
    connect::DATA_DEFAULT,
    context::Context,
    fail::{Exit, Failure, Outcome, Stop},
    page::Page,
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook backup --book deploy/demo/book --into saved --format csv |
    sed -n 's/^backup.file,//p' | xargs -I FILE baybook restore FILE --data restored-1
  baybook backup --data restored-1 --into saved --format csv |
    sed -n 's/^backup.file,//p' | xargs -I FILE baybook restore FILE --data restored-2";

/// Bring a book back from a backup, into a data folder that is empty or not there
///
/// No service is needed. The book is put in its place only after it was read back whole and came to the digest that the
/// backup names; one that was broken off is begun anew by the same command. Tokens come back without their hashes: issue
/// new ones with baybook token issue --data DIR before the service is started.
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct RestoreArgs {
    /// The backup, as baybook backup named it
    #[arg(value_name = "FILE")]
    file: PathBuf,
}

/// What was brought back.
#[derive(Debug, Serialize)]
struct Restored {
    data_dir: String,
    revision: u64,
    entry_count: u64,
    digest: String,
    chain: String,
}

pub async fn run(args: RestoreArgs, context: &mut Context) -> Outcome {
    let place = context.place();
    if let Some(other) = place
        .server
        .as_ref()
        .map(|url| format!("--server {url}"))
        .or_else(|| place.folder.as_ref().map(|folder| format!("--book {}", folder.display())))
    {
        let failure = Failure::usage("a backup is restored into a data folder of this machine")
            .at(other, "names something else")
            .next("--data DIR, empty or not there yet");
        return Err(failure.into());
    }
    let directory = place.data_folder().unwrap_or_else(|| DATA_DEFAULT.into());
    let (file, into) = (args.file.clone(), directory.clone());
    let restored = tokio::task::spawn_blocking(move || backup::restore(&file, &into, &Bounds::default())).await;
    let restored = restored.map_err(|error| {
        Failure::new(Exit::Fault, "the restore broke off").at(directory.display().to_string(), error.to_string())
    })?;
    let Contents { revision, tally, chain, .. } = restored.map_err(|error| failure(&args.file, &directory, error))?;
    let restored = Restored {
        data_dir: directory.display().to_string(),
        revision: revision.get(),
        entry_count: tally.entries(),
        digest: format!("{:032x}", tally.digest()),
        chain: chain.iter().map(|byte| format!("{byte:02x}")).collect(),
    };
    context.out.show(&restored, |page| draw(&restored, page))?;
    Ok(Exit::Ok)
}

fn draw(restored: &Restored, page: &mut Page) {
    let Restored { data_dir, revision, entry_count, digest, .. } = restored;
    page.line(
        Cell::marked(data_dir.clone(), Mark::Strong),
        &format!("holds the book at revision {revision}, {entry_count} entries and records, digest {digest}"),
    );
    page.line(
        Cell::default(),
        &format!("old tokens let nobody in: baybook token issue --data {data_dir} makes new ones"),
    );
}

fn failure(file: &Path, directory: &Path, error: RestoreError) -> Stop {
    let into = directory.display();
    let (exit, at, next) = match &error {
        RestoreError::NotEmpty { .. } => {
            (Exit::Conflict, format!("--data {into}"), format!("mv {into} {into}.before, then the same again"))
        }
        RestoreError::Book(BookError::Damaged { next, .. }) => {
            (Exit::Damaged, file.display().to_string(), next.clone())
        }
        RestoreError::Book(BookError::InUse { next, .. }) => (Exit::Conflict, format!("--data {into}"), next.clone()),
        RestoreError::Book(BookError::Io { full: true, .. } | BookError::Full { .. }) => {
            (Exit::Fault, format!("--data {into}"), "free space on the disk of the data folder".to_owned())
        }
        RestoreError::Book(_) if !file.exists() => {
            (Exit::NotFound, file.display().to_string(), "baybook info names the last backup".to_owned())
        }
        RestoreError::Book(_) => {
            (Exit::Fault, format!("--data {into}"), "check the path and who may use it".to_owned())
        }
    };
    Failure::new(exit, "the backup cannot be restored").at(at, error.to_string()).next(next).into()
}
