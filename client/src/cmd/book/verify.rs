//! `baybook book verify`

use baybook_proto::v1 as pb;
use clap::Args;

use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Column, Page},
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook book verify --book deploy/demo/book
  baybook book verify --data baybook-data --deadline 2m --format json";

const FLAGS: Flags = Flags(&[("known_revision", "--known"), ("known_chain", "--known")]);

/// Names that a line of the table lists.
const NAMES: usize = 5;

/// Read the book on disk again, compare both copies, mend what can be mended
///
/// Ends with exit code 8 when anything was not as it was written, mended or not, and names what that touches and what to
/// type. The line `chain` it prints, kept where nobody who can write in the data folder can, shows later with --known
/// whether what was committed until then is still the same.
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct VerifyArgs {
    /// A chain that an earlier run printed, with its revision: 1204:9f2c…
    #[arg(long, value_name = "REVISION:CHAIN", value_parser = known)]
    known: Option<(i64, String)>,
}

fn known(text: &str) -> Result<(i64, String), String> {
    let parts = text.split_once(':').and_then(|(revision, chain)| Some((revision.parse().ok()?, chain.to_owned())));
    parts.ok_or_else(|| "write the revision, a colon and the chain, as an earlier run printed them".to_owned())
}

pub async fn run(args: VerifyArgs, context: &mut Context) -> Outcome {
    let (known_revision, known_chain) = args.known.unwrap_or_default();
    let request = context.call(pb::VerifyBookRequest { known_revision, known_chain });
    let reply = context.steward().await?.verify_book(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(if reply.damages.is_empty() { Exit::Ok } else { Exit::Damaged })
}

fn draw(reply: &pb::VerifyBookResponse, page: &mut Page) {
    let verdict = match reply.damages.as_slice() {
        [] => "all is as it was written",
        all if all.iter().all(|damage| damage.mended) => "damaged, and mended",
        _ => "DAMAGED",
    };
    let writes = if reply.writable { "" } else { "; the book takes no writes" };
    page.line(
        Cell::marked(format!("revision {}", reply.revision), Mark::Strong),
        &format!("{verdict}{writes}: {} entries and records, digest {}", reply.entry_count, reply.digest),
    );
    page.line(
        Cell::default(),
        &format!(
            "{} bytes of the journal read; the second copy reaches revision {}",
            reply.journal_bytes, reply.second_copy_revision
        ),
    );
    page.line(Cell::default(), &format!("chain {}:{}", reply.revision, reply.chain));
    let rows = reply.damages.iter().map(|damage| {
        let mut touches = damage.names.iter().take(NAMES).cloned().collect::<Vec<_>>().join(", ");
        match damage.names.len().checked_sub(NAMES) {
            None | Some(0) => {}
            Some(more) => touches.push_str(&format!(" and {more} more")),
        }
        let touches = if touches.is_empty() { "-" } else { touches.as_str() };
        vec![damage.what.as_str().into(), touches.into(), damage.next.as_str().into()]
    });
    page.table(&[Column::Words("damaged"), Column::Words("touches"), Column::Words("next")], rows.collect());
    page.notes("mended before", reply.earlier_mends.iter().map(|mend| ("", mend.clone())));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chain_is_read_with_its_revision() {
        assert_eq!(known("12:ab"), Ok((12, "ab".to_owned())));
        assert!(known("12").is_err() && known("ab:12").is_err());
    }
}
