//! Writes the answers as they come, whatever the format; nothing is held back, so nothing piles up.

use std::fmt::Write as _;

use baybook_proto::v1 as pb;
use pb::checked_plan::Outcome;

use crate::{
    fail::Stop,
    out::{Format, Out},
    table::{self, Cell, Mark, WIDTH},
};

/// Room for the unit number.
const UNIT: usize = 12;
/// Room for the verdict.
const VERDICT: usize = 7;
/// Where the message starts.
const INDENT: usize = UNIT + 2 + VERDICT + 2;

/// Writes answers one by one.
pub struct Lines {
    format: Format,
    every_finding: bool,
    coloured: bool,
    text: String,
    written: u64,
}

impl Lines {
    /// Starts without an answer.
    pub const fn new(format: Format, every_finding: bool, coloured: bool) -> Self {
        Self { format, every_finding, coloured, text: String::new(), written: 0 }
    }

    /// Writes what comes before the first answer.
    pub fn begin(&mut self, out: &mut Out) -> Result<(), Stop> {
        match self.format {
            Format::Json => out.raw(b"{\"results\":["),
            Format::Csv => out.raw(
                b"line,unit,verdict,rule,severity,subject,message,value,limit,unit_of_value,unknown,source,remedy,policy,policy_revision\n",
            ),
            Format::Table | Format::Ndjson => Ok(()),
        }
    }

    /// Writes one answer; `heading` tells which column of the sheet a field came from.
    pub fn write(&mut self, result: &pb::CheckedPlan, heading: Headings<'_>, out: &mut Out) -> Result<(), Stop> {
        self.written += 1;
        match self.format {
            Format::Table => {
                self.text.clear();
                if self.written == 1 {
                    let heading = format!("{:UNIT$}  {:VERDICT$}  what governs", "unit", "verdict");
                    self.stress(Mark::Strong, &heading);
                    self.text.push('\n');
                }
                self.row(result, heading);
                out.raw(self.text.as_bytes())
            }
            Format::Json => {
                if 1 < self.written {
                    out.raw(b",\n")?;
                }
                out.json_value(result)
            }
            Format::Ndjson => {
                out.json_value(result)?;
                out.raw(b"\n")
            }
            Format::Csv => out.csv_records(|write| records(result, write)),
        }
    }

    /// Writes what comes after the last answer.
    pub fn end(&mut self, summary: &pb::CheckSummary, revision: i64, out: &mut Out) -> Result<(), Stop> {
        let last = pb::CheckUpfitsResponse { results: Vec::new(), revision, summary: Some(summary.clone()) };
        match self.format {
            Format::Json => {
                out.raw(b"],\"revision\":")?;
                out.json_value(&revision.to_string())?;
                out.raw(b",\"summary\":")?;
                out.json_value(summary)?;
                out.raw(b"}\n")
            }
            Format::Ndjson => {
                out.json_value(&last)?;
                out.raw(b"\n")
            }
            Format::Table if 0 < self.written => out.raw(b"\n"),
            Format::Table | Format::Csv => Ok(()),
        }
    }

    fn stress(&mut self, mark: Mark, text: &str) {
        if self.coloured {
            self.text.push_str(&mark.on(text));
        } else {
            self.text.push_str(text);
        }
    }

    fn spaces(&mut self, count: usize) {
        self.text.extend(std::iter::repeat_n(' ', count));
    }

    fn row(&mut self, result: &pb::CheckedPlan, heading: Headings<'_>) {
        match &result.outcome {
            Some(Outcome::Report(report)) => self.report(report),
            Some(Outcome::Error(error)) => self.error(result.seq, error, heading),
            None => {}
        }
    }

    fn lead(&mut self, unit: &str, verdict: &str, mark: Mark) {
        let width = table::width(unit);
        self.text.push_str(unit);
        self.spaces(UNIT.saturating_sub(width) + 2);
        self.stress(mark, verdict);
        self.spaces(VERDICT.saturating_sub(verdict.len()) + 2);
        if UNIT < width {
            self.text.push('\n');
            self.spaces(INDENT);
        }
    }

    fn report(&mut self, report: &pb::Report) {
        let (word, mark) = verdict(report.verdict());
        self.lead(&report.unit, word, mark);
        let governing = report.governing_position.and_then(|at| usize::try_from(at).ok());
        match governing.and_then(|at| report.findings.get(at)) {
            Some(finding) => self.tell(&finding.message, &finding.rule),
            None => self.text.push_str("no rule objects\n"),
        }
        let others = report.findings.iter().enumerate().filter(|(at, _)| Some(*at) != governing).map(|(_, one)| one);
        if self.every_finding {
            for finding in others {
                let (word, mark) = severity(finding.severity());
                self.spaces(UNIT + 2);
                self.stress(mark, word);
                self.spaces(VERDICT.saturating_sub(word.len()) + 2);
                self.tell(&finding.message, &finding.rule);
            }
            return;
        }
        let mut rules: Vec<(&str, usize)> = Vec::new();
        for finding in others.filter(|finding| pb::Severity::Review as i32 <= finding.severity) {
            match rules.iter_mut().find(|(rule, _)| *rule == finding.rule) {
                Some((_, times)) => *times += 1,
                None => rules.push((&finding.rule, 1)),
            }
        }
        let mut also = String::new();
        for (rule, times) in rules {
            also.push_str(if also.is_empty() { "also " } else { ", " });
            also.push_str(rule);
            if 1 < times {
                let _ = write!(also, " ×{times}");
            }
        }
        if !also.is_empty() {
            self.spaces(INDENT);
            self.wrapped(&also);
        }
    }

    fn error(&mut self, line: i64, error: &pb::ItemError, heading: Headings<'_>) {
        self.lead(&format!("line {line}"), "UNREAD", Mark::Bad);
        if error.violations.is_empty() {
            let (path, why) = error.message.split_once(": ").unwrap_or_default();
            self.wrapped(&if path.starts_with("plans[") {
                format!("{}: {why}", column(path, heading))
            } else {
                error.message.clone()
            });
        }
        for (at, violation) in error.violations.iter().enumerate() {
            if 0 < at {
                self.spaces(INDENT);
            }
            self.wrapped(&format!("{}: {}", column(&violation.field, heading), violation.description));
        }
        let told = |name: &String| {
            error.message.contains(name.as_str())
                || error.violations.iter().any(|violation| violation.description.contains(name.as_str()))
        };
        if !error.nearest_names.iter().all(told) {
            self.spaces(INDENT);
            self.wrapped(&format!("nearest: {}", error.nearest_names.join(", ")));
        }
    }

    /// Writes a message and the rule behind it.
    fn tell(&mut self, message: &str, rule: &str) {
        if message.is_empty() {
            self.wrapped(rule);
        } else if table::width(message) + rule.len() + 3 <= WIDTH - INDENT {
            self.text.extend([message, " [", rule, "]\n"]);
        } else {
            self.wrapped(&format!("{message} [{rule}]"));
        }
    }

    fn wrapped(&mut self, text: &str) {
        let room = WIDTH - INDENT;
        if text.len() <= room {
            self.text.extend([text, "\n"]);
            return;
        }
        for (at, line) in table::wrap(text, room).into_iter().enumerate() {
            if 0 < at {
                self.spaces(INDENT);
            }
            self.text.extend([line, "\n"]);
        }
    }
}

/// Finds the heading of the column that a field of a plan came from.
pub type Headings<'a> = &'a dyn Fn(&str) -> Option<String>;

/// Returns the column that a field's path in the stream stands for: `plans[4].vehicle.name` is `vehicle`.
fn column(path: &str, heading: Headings<'_>) -> String {
    let within = path.strip_prefix("plans[").and_then(|rest| rest.split_once("].")).map_or(path, |(_, within)| within);
    heading(within).unwrap_or_else(|| {
        let bare = [".name", ".value_kg", ".value_n_m"].iter().find_map(|end| within.strip_suffix(end));
        bare.unwrap_or(within).to_owned()
    })
}

/// Returns the counts by verdict as one stressed sentence.
pub fn counted(summary: &pb::CheckSummary) -> Cell {
    let pb::CheckSummary { plan_count, clear_count, review_count, blocked_count, unreadable_count, .. } = summary;
    let plans = if *plan_count == 1 { "plan" } else { "plans" };
    Cell::marked(
        format!(
            "{plan_count} {plans}: {clear_count} CLEAR, {review_count} REVIEW, {blocked_count} BLOCKED, \
             {unreadable_count} could not be read"
        ),
        Mark::Strong,
    )
}

const fn verdict(verdict: pb::Verdict) -> (&'static str, Mark) {
    match verdict {
        pb::Verdict::Clear => ("CLEAR", Mark::Good),
        pb::Verdict::Review => ("REVIEW", Mark::Mind),
        pb::Verdict::Blocked => ("BLOCKED", Mark::Bad),
        pb::Verdict::Unspecified => ("?", Mark::Mind),
    }
}

const fn severity(severity: pb::Severity) -> (&'static str, Mark) {
    match severity {
        pb::Severity::Block => ("block", Mark::Bad),
        pb::Severity::Review => ("review", Mark::Mind),
        pb::Severity::Warn => ("warn", Mark::Plain),
        pb::Severity::Info => ("info", Mark::Plain),
        pb::Severity::Unspecified => ("?", Mark::Plain),
    }
}

/// Writes one record for each finding; a unit without any gets one record.
fn records(result: &pb::CheckedPlan, write: &mut dyn FnMut(&[&str]) -> Result<(), Stop>) -> Result<(), Stop> {
    let line = result.seq.to_string();
    match &result.outcome {
        Some(Outcome::Report(report)) => {
            let (verdict, _) = verdict(report.verdict());
            let policy =
                report.policy.as_ref().map_or("", |used| if used.name.is_empty() { &used.label } else { &used.name });
            let revision = report.policy.as_ref().map_or_else(String::new, |used| used.revision.to_string());
            if report.findings.is_empty() {
                return write(&[
                    &line,
                    &report.unit,
                    verdict,
                    "",
                    "",
                    "",
                    "",
                    "",
                    "",
                    "",
                    "",
                    "",
                    "",
                    policy,
                    &revision,
                ]);
            }
            for finding in &report.findings {
                let number = |number: Option<f64>| number.map_or_else(String::new, |number| number.to_string());
                let (value, limit) = (number(finding.value_in_unit), number(finding.limit_in_unit));
                write(&[
                    &line,
                    &report.unit,
                    verdict,
                    &finding.rule,
                    severity(finding.severity()).0,
                    &finding.subject,
                    &finding.message,
                    &value,
                    &limit,
                    &finding.unit,
                    if finding.unknown { "yes" } else { "no" },
                    &finding.source,
                    &finding.remedy,
                    policy,
                    &revision,
                ])?;
            }
            Ok(())
        }
        Some(Outcome::Error(error)) => {
            for violation in &error.violations {
                let (subject, message) = (&violation.field, &violation.description);
                write(&[&line, "", "UNREADABLE", "", "", subject, message, "", "", "", "", "", "", "", ""])?;
            }
            if error.violations.is_empty() {
                write(&[&line, "", "UNREADABLE", "", "", "", &error.message, "", "", "", "", "", "", "", ""])?;
            }
            Ok(())
        }
        None => Ok(()),
    }
}
