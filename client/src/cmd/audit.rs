//! `baybook audit`: who did what.

use baybook_proto::v1 as pb;
use clap::Args;

use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Column, Page},
    stamp,
    table::Cell,
};

const EXAMPLES: &str = "\
Examples:
  baybook audit --book deploy/demo/book
  baybook audit --book deploy/demo/book --after 0 --most 10 --format ndjson";

const FLAGS: Flags = Flags(&[("after_revision", "--after"), ("page_size", "--most")]);

/// How many names a line of the table lists.
const NAMES: usize = 3;

/// Show who did what, in order
///
/// Changes of the book, tokens issued and revoked, calls that were denied, exports and backups. With tokens required, who is told
/// is who held the token, and in which bay.
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct AuditArgs {
    /// Begin after this revision of the book
    #[arg(long, value_name = "REVISION", default_value_t = 0)]
    after: i64,

    /// List at most so many records
    #[arg(long, value_name = "COUNT", default_value_t = 50)]
    most: i32,
}

pub async fn run(args: AuditArgs, context: &mut Context) -> Outcome {
    let request = context.call(pb::ListAuditRequest { after_revision: args.after, page_size: args.most });
    let reply = context.steward().await?.list_audit(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    context.out.show_list(&reply, &reply.records, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::ListAuditResponse, page: &mut Page) {
    let rows = reply.records.iter().map(|record| {
        let who = if record.author.is_empty() { "-" } else { record.author.as_str() };
        vec![
            record.revision.to_string().into(),
            stamp::text(record.time.as_ref()).into(),
            who.into(),
            what(record).into(),
        ]
    });
    page.table(
        &[Column::Words("revision"), Column::Words("when"), Column::Words("who"), Column::Words("what")],
        rows.collect(),
    );
    if 0 < reply.horizon_revision {
        page.line(Cell::default(), &format!("records through revision {} are no longer kept", reply.horizon_revision));
    }
    if reply.next_after_revision < reply.revision {
        page.line(Cell::default(), &format!("there is more: --after {}", reply.next_after_revision));
    }
}

fn what(record: &pb::AuditRecord) -> String {
    match record.kind() {
        pb::AuditKind::Token => format!("token {}", record.note),
        pb::AuditKind::Export => format!("export of {}", record.note),
        pb::AuditKind::Backup => format!("backup {}", record.note),
        pb::AuditKind::Denial => {
            let mut lines: Vec<_> = record
                .denials
                .iter()
                .map(|denial| format!("denied: {} by {} from {}: {}", denial.call, denial.who, denial.peer, denial.why))
                .collect();
            if 0 < record.more_denials_count {
                lines.push(format!("denied: {} more", record.more_denials_count));
            }
            lines.join("\n")
        }
        pb::AuditKind::Change | pb::AuditKind::Unspecified => {
            let lines = [("put", &record.put_names), ("removed", &record.removed_names)];
            let told = lines.iter().filter(|(_, names)| !names.is_empty()).map(|(verb, names)| {
                let shown: Vec<_> = names.iter().take(NAMES).map(String::as_str).collect();
                let more = names.len().saturating_sub(NAMES);
                let more = if more == 0 { String::new() } else { format!(" and {more} more") };
                format!("{verb} {}{more}", shown.join(", "))
            });
            told.collect::<Vec<_>>().join("\n")
        }
    }
}
