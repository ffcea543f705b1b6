//! `baybook check SHEET --explain UNIT`: why one unit is judged as it is, and what would clear it.

use std::{fs::File, io::BufReader, path::Path};

use baybook_proto::v1 as pb;

use crate::{
    cmd::rules::severity,
    context::Context,
    fail::{Exit, Failure, Outcome, Stop},
    page::{Column, Page},
    sheet::{Portion, Row, Sheet, SheetOptions},
    table::Cell,
};

/// Rows read at a time.
const PORTION: usize = 64;

pub async fn run(
    path: &Path,
    options: &SheetOptions,
    unit: &str,
    policy: Option<pb::PolicyRef>,
    context: &mut Context,
) -> Outcome {
    let plan = find(path, options, unit)?;
    let request = context.call(pb::ExplainUpfitRequest { plan: Some(*plan), policy, min_revision: 0 });
    let reply = context.upfits().await?.explain_upfit(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, super::FLAGS))?.into_inner();
    context.out.show(&reply, |page| draw(unit, &reply, page))?;
    let blocked = reply.report.as_ref().is_some_and(|report| report.verdict() == pb::Verdict::Blocked);
    Ok(if blocked { Exit::Blocked } else { Exit::Ok })
}

/// Finds the row of a unit; the first of several.
fn find(path: &Path, options: &SheetOptions, unit: &str) -> Result<Box<pb::UpfitPlan>, Stop> {
    let from: Box<dyn std::io::Read + Send> = if path.as_os_str() == "-" {
        Box::new(std::io::stdin())
    } else {
        Box::new(File::open(path).map_err(|error| Failure::file("opened", path, &error))?)
    };
    let bad = |error| Stop::from(super::sheet_failure(path, &error));
    let mut sheet = Sheet::open(BufReader::new(from), options).map_err(bad)?;
    let mut reader = sheet.readers().make();
    let mut portion = Portion::default();
    loop {
        sheet.cut(PORTION, &mut portion).map_err(bad)?;
        if portion.is_empty() {
            let why = format!("no row has the unit {unit:?}");
            let failure =
                Failure::new(Exit::NotFound, "the unit is not in the sheet").at(path.display().to_string(), why);
            return Err(failure.next("baybook check SHEET --show all lists every unit").into());
        }
        let mut found = None;
        reader.read(&portion, |row| {
            let its = match &row {
                Row::Plan { plan, .. } => &plan.unit,
                Row::Unreadable { unit, .. } => unit,
            };
            if found.is_none() && its.trim() == unit.trim() {
                found = Some(row);
            }
        });
        match found {
            Some(Row::Plan { plan, .. }) => return Ok(plan),
            Some(Row::Unreadable { line, cells, .. }) => {
                let mut failure = Failure::usage("the unit's row cannot be read");
                for cell in cells {
                    let place = format!("line {line}, column {:?}", cell.column);
                    failure = failure.at(place, format!("read {:?}; allowed: {}", cell.read, cell.allowed));
                }
                return Err(failure.next("correct the row and try again").into());
            }
            None => {}
        }
    }
}

fn draw(unit: &str, reply: &pb::ExplainUpfitResponse, page: &mut Page) {
    let Some(report) = &reply.report else { return };
    page.line(Cell::from(unit), report.verdict().as_str_name().trim_start_matches("VERDICT_"));
    if reply.findings.is_empty() {
        page.line(Cell::default(), "no figure holds the unit up");
    }
    for why in &reply.findings {
        let Some(finding) = &why.finding else { continue };
        page.line(severity(finding.severity()), &format!("{} [{}]", finding.message, finding.rule));
        let rows = why.lines.iter().map(|line| {
            let unit = line.unit.replace("n_m", "N·m").replace("n_per_mm", "N/mm").replace("deg", "°");
            let value = line.value_in_unit.map_or_else(String::new, |value| format!("{value:.3} {unit}"));
            vec![line.what.as_str().into(), line.formula.as_str().into(), value.into(), line.source.as_str().into()]
        });
        page.table(
            &[Column::Words("figure"), Column::Words("how"), Column::Words("is"), Column::Words("source")],
            rows.collect(),
        );
        if why.changes.is_empty() {
            page.line(Cell::default(), "no single change of load, torque or part of the book clears it");
        } else {
            let rows = why.changes.iter().map(|change| {
                let verdict = change.verdict().as_str_name().trim_start_matches("VERDICT_").to_owned();
                vec![change.text.as_str().into(), verdict.into()]
            });
            page.table(&[Column::Words("any one of these clears it"), Column::Words("then")], rows.collect());
        }
    }
    let unknown = report.findings.iter().filter(|finding| finding.unknown);
    for finding in unknown {
        page.line(severity(finding.severity()), &format!("{} [{}]", finding.message, finding.rule));
    }
    if let Some(policy) = &report.policy {
        let name = if policy.name.is_empty() { &policy.label } else { &policy.name };
        page.line(Cell::default(), &format!("policy {name}, revision {}", policy.revision));
    }
    page.line(Cell::default(), &format!("book revision {}", reply.revision));
}
