//! `baybook rules explain`: one rule, with a plan that trips it and one that just keeps it.

use baybook_proto::v1 as pb;
use clap::Args;

use super::severity;
use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Column, Page},
    table::Cell,
};

const EXAMPLES: &str = "\
Examples:
  baybook rules explain gawr-rear
  baybook rules explain departure-angle-laden --format json";

/// Explain one rule
///
/// Prints what the rule requires, what it needs, the condition, how much it weighs and where it comes from, and two plans
/// that the rule book judges for this answer: one that trips the rule, one that just keeps it. Each is told by what
/// differs from an example to which no rule objects.
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct ExplainArgs {
    /// The rule's id; `baybook rules list` names all
    #[arg(value_name = "ID")]
    rule: String,
}

const FLAGS: Flags = Flags(&[("rule", "ID")]);

pub async fn run(args: ExplainArgs, context: &mut Context) -> Outcome {
    let request = context.call(pb::ExplainRuleRequest { rule: args.rule });
    let reply = context.upfits().await?.explain_rule(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::ExplainRuleResponse, page: &mut Page) {
    page.line(Cell::from(reply.id.as_str()), &reply.title);
    let rows = vec![
        vec!["condition".into(), reply.condition.as_str().into()],
        vec!["weighs".into(), severity(reply.severity()).into()],
        vec!["source".into(), reply.source.as_str().into()],
        vec!["seen".into(), reply.source_seen.as_str().into()],
        vec!["needs".into(), reply.needs.join(", ").into()],
        vec!["remedy".into(), reply.remedy.as_str().into()],
    ];
    page.table(&[Column::Words(""), Column::Words("")], rows);
    for (heading, plan) in [("a plan that trips it", &reply.trips), ("a plan that just keeps it", &reply.keeps)] {
        let Some(plan) = plan else { continue };
        let rows = plan.changes.iter().map(|change| {
            let or_nothing = |text: &str| if text.is_empty() { "-".to_owned() } else { text.to_owned() };
            vec![change.path.as_str().into(), or_nothing(&change.before).into(), or_nothing(&change.after).into()]
        });
        page.line(Cell::from(heading), "");
        page.table(&[Column::Words("field"), Column::Words("from"), Column::Words("to")], rows.collect());
        match &plan.finding {
            Some(finding) => page.line(severity(finding.severity()), &finding.message),
            None if plan.changes.is_empty() => page.line(Cell::default(), "nothing differs: the rule is silent"),
            None => page.line(Cell::default(), "the rule is silent"),
        }
    }
}
