//! `baybook doctor`: what is in order, what is not, and the line that mends it.

mod checks;

use std::time::Instant;
use std::{fs, path::PathBuf};

use baybook_proto::v1 as pb;
use clap::Args;
use serde::Serialize;

use crate::{
    connect::{self, Purpose},
    context::Context,
    fail::{Exit, Failure, Flags, Outcome, Stop},
    page::Page,
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook doctor --book deploy/demo/book
  baybook doctor --book deploy/demo/book --format json";

/// Check that a service, or a book in a folder, is in order
///
/// With --server: whether it is reached and takes writes, its certificate, its clock and release against this machine's,
/// the room on its disk, its last verified backup. With --data: the same of the book in that folder, which is opened and
/// verified. Each line says ok, warn or fail, and what mends it. The exit code is 0 when nothing failed, else that of the
/// first failure: 6 denied, 7 unreachable, 8 damaged, 1 anything else.
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct DoctorArgs {
    /// Check the certificate that the settings in this file name (TOML); without it, the one that BAYBOOK_TLS names
    #[arg(long, value_name = "FILE")]
    config: Option<PathBuf>,
}

/// How one check came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// In order.
    Ok,
    /// Will need somebody.
    Warn,
    /// Needs somebody now.
    Fail,
}

/// One line of the report.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Finding {
    /// How it came out.
    pub verdict: Verdict,
    /// What was looked at.
    pub check: &'static str,
    /// What was seen.
    pub seen: String,
    /// The line that mends it; empty when it is in order.
    pub next: String,
    /// How the process ends because of it.
    #[serde(skip)]
    pub exit: Exit,
}

impl Finding {
    fn ok(check: &'static str, seen: impl Into<String>) -> Self {
        Self { verdict: Verdict::Ok, check, seen: seen.into(), next: String::new(), exit: Exit::Ok }
    }

    fn warn(check: &'static str, seen: impl Into<String>, next: impl Into<String>) -> Self {
        Self { verdict: Verdict::Warn, next: next.into(), ..Self::ok(check, seen) }
    }

    fn fail(check: &'static str, seen: impl Into<String>, next: impl Into<String>) -> Self {
        Self { verdict: Verdict::Fail, exit: Exit::Fault, ..Self::warn(check, seen, next) }
    }

    fn failure(check: &'static str, failure: Failure) -> Self {
        let places = failure.places.iter().map(|place| format!("; {}: {}", place.at, place.why));
        let seen = std::iter::once(failure.what.clone()).chain(places).collect::<String>();
        Self { exit: failure.exit, ..Self::fail(check, seen, failure.next) }
    }
}

/// The report as programs read it.
#[derive(Debug, Serialize)]
struct Report {
    findings: Vec<Finding>,
}

pub async fn run(args: DoctorArgs, context: &mut Context) -> Outcome {
    let mut findings = Vec::new();
    let begun = Instant::now();
    match ask(context).await {
        Ok(reply) => {
            let took = begun.elapsed();
            findings.push(checks::reached(&reply, took));
            findings.extend(checks::all(&reply, took));
        }
        Err(Stop::Failure(failure)) => findings.push(Finding::failure("reached", *failure)),
        Err(stop) => return Err(stop),
    }
    if context.place().server.is_none()
        && let Some(finding) = own_certificate(args.config)?
    {
        findings.push(finding);
    }
    let report = Report { findings };
    context.out.show_list(&report, &report.findings, |page| draw(&report.findings, page))?;
    Ok(report.findings.iter().map(|finding| finding.exit).find(|exit| *exit != Exit::Ok).unwrap_or(Exit::Ok))
}

async fn ask(context: &mut Context) -> Result<pb::ServerInfoResponse, Stop> {
    let request = context.call(pb::ServerInfoRequest {});
    let mut steward = context.steward_for(Purpose::Read).await?;
    let reply = steward.server_info(request).await;
    Ok(reply.map_err(|status| Failure::status(&status, Flags::NONE))?.into_inner())
}

/// Looks at the certificate that the settings of this machine name, if they name one.
fn own_certificate(file: Option<PathBuf>) -> Result<Option<Finding>, Stop> {
    let text = match &file {
        Some(path) => Some(fs::read_to_string(path).map_err(|error| Failure::file("read", path, &error))?),
        None => None,
    };
    let name = file.map(|path| path.display().to_string()).unwrap_or_default();
    let end = connect::own_certificate(text.as_deref().map(|text| (name.as_str(), text)))?;
    Ok(end.map(|end| match end {
        Ok(end) => checks::certificate(end, checks::now()),
        Err(why) => Finding::fail("certificate", why, checks::NEW_CERTIFICATE),
    }))
}

fn draw(findings: &[Finding], page: &mut Page) {
    for Finding { verdict, check, seen, next, .. } in findings {
        let (word, mark) = match verdict {
            Verdict::Ok => ("ok", Mark::Good),
            Verdict::Warn => ("warn", Mark::Mind),
            Verdict::Fail => ("FAIL", Mark::Bad),
        };
        page.line(Cell::marked(format!("{word:<4}"), mark), &format!("{check}: {seen}"));
        if !next.is_empty() {
            page.line(Cell::default(), &format!("      next: {next}"));
        }
    }
}
