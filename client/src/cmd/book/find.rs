//! `baybook book find`

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
  baybook book find ball two in --book deploy/demo/book
  baybook book find 10.9 --kind bolts --book deploy/demo/book";

const FLAGS: Flags = Flags(&[("words", "WORDS"), ("kind", "--kind"), ("page_size", "--most")]);

/// Find entries by words of their name, label, note or source
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct FindArgs {
    /// The words; every one must be found, in any case
    #[arg(value_name = "WORDS", required = true)]
    words: Vec<String>,

    /// Only this kind
    #[arg(long, value_name = "KIND")]
    kind: Option<Kind>,

    /// List at most so many
    #[arg(long, value_name = "COUNT", default_value_t = 50)]
    most: i32,
}

pub async fn run(args: FindArgs, context: &mut Context) -> Outcome {
    let words = args.words.join(" ");
    let request = context.call(pb::FindEntriesRequest {
        words: words.clone(),
        kind: kind_number(args.kind),
        page_size: args.most,
        min_revision: 0,
    });
    let reply = context.book().await?.find_entries(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    context.out.show_list(&reply, &reply.entries, |page| {
        draw_entries(&reply.entries, page);
        page.line(Cell::default(), &format!("{} of {} found, best first", reply.entries.len(), reply.found_count));
    })?;
    if reply.entries.is_empty() {
        let failure = Failure::new(Exit::NotFound, "no entry has all these words")
            .at("WORDS", words)
            .next("fewer words, or baybook book list");
        return Err(failure.into());
    }
    Ok(Exit::Ok)
}
