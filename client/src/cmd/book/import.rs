//! `baybook book import`

use std::path::PathBuf;

use clap::Args;

use crate::{
    context::Context,
    entry_file,
    fail::{Exit, Outcome},
    load::{self, Load},
    page::{Column, Page},
    table::Cell,
};

const EXAMPLES: &str = "\
Examples:
  baybook book export --book deploy/demo/book | baybook book import - --check-only
  baybook book import deploy/demo/book --author 'R. Vance'";

/// Import entries from files; what is there already is replaced
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct ImportArgs {
    /// A file with one entry, an array of entries, or one entry a line; a folder of such files; - reads standard input.
    /// Etags in it are left aside
    #[arg(value_name = "FILE")]
    file: PathBuf,

    /// Check the entries and change nothing
    #[arg(long)]
    check_only: bool,

    /// Who makes the change
    #[arg(long, value_name = "WHO", env = "BAYBOOK_AUTHOR", default_value = "", hide_default_value = true)]
    author: String,
}

pub async fn run(args: ImportArgs, context: &mut Context) -> Outcome {
    let entries = if args.file.is_dir() { entry_file::folder(&args.file)? } else { entry_file::file(&args.file)? };
    let mut book = context.book_to_write().await?;
    let load = load::entries(&mut book, entries, args.author, args.check_only, context.deadline()).await?;
    context.out.show(&load.reply, |page| draw(&load, args.check_only, page))?;
    Ok(if load.reply.error_count == 0 { Exit::Ok } else { Exit::Usage })
}

fn draw(load: &Load, check_only: bool, page: &mut Page) {
    let reply = &load.reply;
    let rows = load.refused().map(|(at, name, why)| vec![at.into(), name.into(), why.into()]);
    page.table(&[Column::Words("where"), Column::Words("not taken"), Column::Words("why")], rows.collect());
    let done = if check_only { "checked, nothing changed" } else { "imported" };
    page.line(
        Cell::default(),
        &format!(
            "{done}: {} new, {} replaced, {} the same, {} not taken; revision {}",
            reply.created_count, reply.replaced_count, reply.unchanged_count, reply.error_count, reply.revision
        ),
    );
}
