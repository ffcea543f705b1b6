//! `baybook rules`: the rule book.

mod explain;

use baybook_proto::v1 as pb;
use clap::{Args, Subcommand};

use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Column, Page},
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook rules list
  baybook rules explain gawr-rear";

const LIST_EXAMPLES: &str = "\
Examples:
  baybook rules list
  baybook rules list --format csv";

/// Read the rule book
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct RulesArgs {
    #[command(subcommand)]
    command: RulesCommand,
}

#[derive(Debug, Subcommand)]
enum RulesCommand {
    /// List every rule, in the order they report
    #[command(after_long_help = LIST_EXAMPLES)]
    List,
    Explain(explain::ExplainArgs),
}

pub async fn run(args: RulesArgs, context: &mut Context) -> Outcome {
    match args.command {
        RulesCommand::List => list(context).await,
        RulesCommand::Explain(args) => explain::run(args, context).await,
    }
}

async fn list(context: &mut Context) -> Outcome {
    let request = context.call(pb::ListRulesRequest {});
    let reply = context.upfits().await?.list_rules(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, Flags::NONE))?.into_inner();
    context.out.show_list(&reply, &reply.rules, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

/// Says in a word how much a finding weighs.
pub fn severity(severity: pb::Severity) -> Cell {
    match severity {
        pb::Severity::Block => Cell::marked("BLOCK", Mark::Bad),
        pb::Severity::Review => Cell::marked("REVIEW", Mark::Mind),
        pb::Severity::Warn => Cell::marked("WARN", Mark::Mind),
        pb::Severity::Info => "INFO".into(),
        pb::Severity::Unspecified => "-".into(),
    }
}

fn draw(reply: &pb::ListRulesResponse, page: &mut Page) {
    let rows = reply.rules.iter().map(|rule| {
        vec![
            rule.id.as_str().into(),
            severity(rule.severity()).into(),
            rule.title.as_str().into(),
            rule.source.as_str().into(),
        ]
    });
    page.table(
        &[Column::Words("rule"), Column::Words("weighs"), Column::Words("requires"), Column::Words("source")],
        rows.collect(),
    );
    page.line(Cell::default(), &format!("{} rules", reply.rules.len()));
}
