//! `baybook book export`

use std::{io::Write as _, path::PathBuf};

use baybook_proto::v1 as pb;
use clap::Args;
use erased_serde::Serialize;

use super::{Kind, kind_number};
use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome, Stop},
    out::{self, Format},
};

const EXAMPLES: &str = "\
Examples:
  baybook book export --book deploy/demo/book --out book.ndjson
  baybook book export bolts --book deploy/demo/book | head -1";

/// Export every entry at one revision, one a line, as import reads them
///
/// With --out the digest of the entries' content is told: a book that imported the file exports it again with the same one.
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct ExportArgs {
    /// The kind; every kind when left out
    #[arg(value_name = "KIND")]
    kind: Option<Kind>,

    /// Write to this file instead of standard output
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

pub async fn run(args: ExportArgs, context: &mut Context) -> Outcome {
    if context.out.format == Format::Csv {
        let failure = Failure::usage("entries cannot be exported as CSV")
            .at("--format csv", "an entry has nested fields, and import could not read it back")
            .next("--format ndjson, or baybook book list --format csv");
        return Err(failure.into());
    }
    let mut file = args.out.as_deref().map(out::file).transpose()?;
    let write_failure = |error: &std::io::Error| match &args.out {
        Some(path) => Stop::from(Failure::file("written", path, error)),
        None => Stop::from(std::io::Error::from(error.kind())),
    };
    let request = context.call(pb::ExportEntriesRequest { kind: kind_number(args.kind), min_revision: 0 });
    let failed = |status| Stop::from(Failure::status(&status, Flags::NONE));
    let mut stream = context.book().await?.export_entries(request).await.map_err(failed)?.into_inner();
    let (mut count, mut revision, mut whole, mut content) = (0_usize, 0, false, String::new());
    while let Some(message) = stream.message().await.map_err(failed)? {
        for entry in &message.entries {
            let mut line = serde_json::to_vec(entry as &dyn Serialize).map_err(|error| write_failure(&error.into()))?;
            line.push(b'\n');
            match &mut file {
                Some(file) => file.write_all(&line).map_err(|error| write_failure(&error))?,
                None => context.out.raw(&line)?,
            }
        }
        count += message.entries.len();
        revision = message.revision;
        whole = !message.digest.is_empty();
        content = message.content_digest;
    }
    if !whole {
        let failure = Failure::new(Exit::Unreachable, "the export broke off before its end")
            .at(format!("after {count} entries"), "the last message, with the digest, did not come")
            .next("export again");
        return Err(failure.into());
    }
    if let Some(mut file) = file {
        let done = file.flush().and_then(|()| file.get_ref().sync_all());
        done.map_err(|error| write_failure(&error))?;
        out::talk(&format!("{count} entries exported at revision {revision}, digest of their content {content}"));
    }
    Ok(Exit::Ok)
}
