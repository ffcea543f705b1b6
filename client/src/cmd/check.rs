//! `baybook check`: a fleet sheet against the rules, as a stream of any length.

mod answers;
mod explain;
mod feed;
mod lines;
mod tally;

use std::path::PathBuf;

use baybook_proto::v1 as pb;
use clap::{Args, ValueEnum};

use crate::{
    connect::Purpose,
    context::Context,
    fail::{Exit, Failure, Flags, Outcome, Stop},
    out::Format,
    page::{Column, Value},
    progress::Progress,
    sheet,
    table::Cell,
};

use self::{answers::Answers, feed::Feed, lines::Lines, tally::Tally};

const EXAMPLES: &str = "\
Examples:
  baybook check deploy/demo/fleet.csv --book deploy/demo/book
  baybook check deploy/demo/fleet.csv --book deploy/demo/book --show blocked --format ndjson
  baybook check deploy/demo/fleet.csv --book deploy/demo/book --explain TF-L125

Columns refer to entries of the book by name, or say a single value. Units stand in the heading,
as in `trailer_mass (kg)`, or in the cell, as in `4,400 lb`; a number without a unit is refused.
`baybook check --columns` lists every column.

Exit code: 3 when a plan is blocked, else 2 when a row could not be read, else 0.";

/// Check a fleet sheet against the rules
///
/// Reads upfit plans, one a row, as CSV or JSON lines, and says for each whether it is CLEAR, needs REVIEW by a person,
/// or is BLOCKED. What nobody knows is never taken for fine. A row that cannot be read is reported with its line and
/// column, and the rest goes on. A vehicle that stands in two rows is told in the later one and below the table. A row may
/// hold what was written down while the work was done, as `work` in JSON lines and as the columns work., reading., fitted.
/// and follow_up. of --columns in CSV: torque readings with wrench, time and person, the bolts that went in, follow-ups, the odometer, and the day it is judged on. CLEAR means that no rule
/// objects to the figures given; it does not replace the vehicle and part makers' instructions, the law of the place, or
/// a qualified person's inspection.
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct CheckArgs {
    /// The sheet: a CSV or JSON lines file, or - for standard input
    #[arg(value_name = "SHEET", required_unless_present = "columns")]
    sheet: Option<PathBuf>,

    /// Show these units
    #[arg(long, value_name = "WHICH", default_value = "open")]
    show: Show,

    /// Show every finding, not just the one that governs; JSON and CSV always hold every finding
    #[arg(long)]
    findings: bool,

    /// Put the figures behind each verdict into JSON
    #[arg(long)]
    figures: bool,

    /// Leave this column of the sheet out; may be given again
    #[arg(long = "skip-column", value_name = "COLUMN")]
    skip_columns: Vec<String>,

    /// Hold every unit whose row names no policy against this one of the book
    #[arg(long, value_name = "NAME")]
    policy: Option<String>,

    /// Explain one unit of the sheet: how each governing figure comes about, and what would clear it
    #[arg(long, value_name = "UNIT")]
    explain: Option<String>,

    /// List every column a sheet may have, and read no sheet
    #[arg(long)]
    columns: bool,
}

/// Pairs of rows about one vehicle that are listed below the table.
const TWINS_SHOWN: usize = 5;

/// Which units are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Show {
    /// Every unit
    All,
    /// Units that are not clear
    Open,
    /// Units that are blocked or could not be read
    Blocked,
    /// None; totals only
    Totals,
}

impl Show {
    fn wants(self, result: &pb::CheckedPlan) -> bool {
        use pb::checked_plan::Outcome;
        let verdict = match &result.outcome {
            Some(Outcome::Report(report)) => Some(report.verdict()),
            Some(Outcome::Error(_)) | None => None,
        };
        match self {
            Self::All => true,
            Self::Open => verdict != Some(pb::Verdict::Clear),
            Self::Blocked => matches!(verdict, None | Some(pb::Verdict::Blocked)),
            Self::Totals => false,
        }
    }
}

pub async fn run(args: CheckArgs, context: &mut Context) -> Outcome {
    let Some(path) = args.sheet.as_ref().filter(|_| !args.columns) else {
        return list_columns(context);
    };
    let options = sheet::SheetOptions { skip_columns: args.skip_columns.clone() };
    if let Some(unit) = &args.explain {
        return explain::run(path, &options, unit, args.policy.as_deref().map(policy_ref), context).await;
    }
    let view = match (context.out.format, args.findings, args.figures) {
        (Format::Table, false, _) => pb::ReportView::Summary,
        (Format::Table, true, _) | (Format::Csv, ..) | (_, _, false) => pb::ReportView::Findings,
        (Format::Json | Format::Ndjson, _, true) => pb::ReportView::Full,
    };
    let policy = args.policy.as_deref().map(policy_ref);
    let settings = pb::CheckSettings { view: view.into(), min_revision: 0, policy };
    let mut feed = Feed::start(path, options, settings)?;
    context.connection(Purpose::Read).await?;
    let progress = Progress::start(feed.bytes());
    let mut lines = Lines::new(context.out.format, args.findings, context.out.is_coloured());
    let mut tally = Tally::default();
    lines.begin(&mut context.out)?;

    let requests = feed.requests()?;
    let answers = Answers::to(requests, context.connection(Purpose::Read).await?).await;
    let mut answers = answers.map_err(|status| feed.blame(&status))?;
    while let Some(message) = answers.next().await.map_err(|status| feed.blame(&status))? {
        for result in &message.results {
            while let Some(unread) = feed.unread_before(result.seq) {
                take(&unread, args.show, &mut tally, &mut lines, context)?;
            }
            tally.answer(result);
            if args.show.wants(result) {
                lines.write(result, &|path| feed.heading(result.seq, path), &mut context.out)?;
            }
        }
        if let Some(last) = message.results.last() {
            feed.answered(last.seq);
        }
        progress.tick(tally.seen(), feed.bytes_read());
        tally.end(message.revision, message.summary);
    }
    feed.join()?;
    while let Some(unread) = feed.unread_before(i64::MAX) {
        take(&unread, args.show, &mut tally, &mut lines, context)?;
    }
    progress.clear();
    let summary = tally.finish()?;
    lines.end(&summary, tally.revision(), &mut context.out)?;
    if context.out.format == Format::Table {
        totals(&summary, &tally, context)?;
    }
    Ok(if 0 < summary.blocked_count {
        Exit::Blocked
    } else if 0 < summary.unreadable_count {
        Exit::Usage
    } else {
        Exit::Ok
    })
}

/// Refers to a policy of the book; the folder may be left out.
fn policy_ref(name: &str) -> pb::PolicyRef {
    let name = if name.contains('/') { name.to_owned() } else { format!("policies/{name}") };
    pb::PolicyRef { policy: Some(pb::policy_ref::Policy::Name(name)) }
}

/// Takes a row that could not be read on our side, as if the service had answered it so.
fn take(
    unread: &pb::CheckedPlan,
    show: Show,
    tally: &mut Tally,
    lines: &mut Lines,
    context: &mut Context,
) -> Result<(), Stop> {
    tally.unread();
    if show.wants(unread) {
        lines.write(unread, &|_| None, &mut context.out)?;
    }
    Ok(())
}

fn totals(summary: &pb::CheckSummary, tally: &Tally, context: &mut Context) -> Result<(), Stop> {
    let count = |count: i64| Some(count as f64);
    let rows = summary.rules.iter().map(|rule| {
        vec![
            rule.rule.as_str().into(),
            Value::Number(count(rule.block_count)),
            Value::Number(count(rule.review_count)),
            Value::Number(count(rule.note_count)),
        ]
    });
    let rows: Vec<_> = rows.collect();
    context.out.print(|page| {
        page.line(lines::counted(summary), &tally.told());
        for line in tally.policies().into_iter().chain(twins(summary)) {
            page.line(Cell::default(), &line);
        }
        page.table(
            &[
                Column::Words("rule"),
                Column::Numbers("blocks", crate::people::Kind::Count),
                Column::Numbers("reviews", crate::people::Kind::Count),
                Column::Numbers("notes", crate::people::Kind::Count),
            ],
            rows,
        );
    })
}

/// Says which rows are about one vehicle, and whether all were compared.
fn twins(summary: &pb::CheckSummary) -> Vec<String> {
    let told = summary.twins.iter().map(|pair| {
        let plans = if pair.alike { "one plan" } else { "two different plans" };
        format!("rows {} and {} carry one vehicle identification number and {plans}", pair.first_seq, pair.seq)
    });
    let mut lines: Vec<_> = told.take(TWINS_SHOWN).collect();
    let more = summary.twin_count - i64::try_from(lines.len()).unwrap_or(i64::MAX);
    if 0 < more {
        lines.push(format!("and {more} more rows with the number of an earlier one"));
    }
    if 0 < summary.vins_forgotten_count {
        let count = summary.vins_forgotten_count;
        lines.push(format!("{count} early rows were not compared with the last ones: split the sheet to compare all"));
    }
    lines
}

fn list_columns(context: &mut Context) -> Outcome {
    let rows: Vec<Vec<Value>> = sheet::column_list()
        .into_iter()
        .map(|(name, holds, about)| vec![name.into(), holds.into(), about.into()])
        .collect();
    context.out.print(|page| {
        page.table(&[Column::Words("column"), Column::Words("holds"), Column::Words("meaning")], rows);
    })?;
    Ok(Exit::Ok)
}

/// Tells why a sheet could not be read.
fn sheet_failure(path: &std::path::Path, error: &sheet::SheetError) -> Failure {
    let at = if path.as_os_str() == "-" { "standard input".to_owned() } else { path.display().to_string() };
    match error {
        sheet::SheetError::Io(error) => Failure::file("read", path, error),
        sheet::SheetError::Header { line, columns } => {
            let mut failure = Failure::usage("the sheet's header cannot be used");
            for bad in columns {
                failure = failure.at(format!("{at}, line {line}, column {:?}", bad.heading), bad.why.clone());
            }
            failure.next("baybook check --columns lists every column; --skip-column NAME leaves one out")
        }
        other => Failure::usage("the sheet cannot be read")
            .at(at, other.to_string())
            .next("baybook check --help shows what a sheet looks like"),
    }
}

/// The flags that the service's field paths stand for: none, a sheet has columns.
const FLAGS: Flags = Flags::NONE;
