//! The page of sources: made from the figures that the tests really held, and stale as soon as one comes or goes.

use std::{
    collections::{BTreeMap, BTreeSet},
    fmt::Write as _,
    process::{Command, Stdio},
};

use super::register::{self, Figure};
use crate::basis::Seen;

/// The page.
const PAGE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/SOURCES.md");
/// Asks for the page to be written instead of compared.
const WRITE: &str = "BAYBOOK_WRITE_SOURCES";
/// The one command that writes it.
const COMMAND: &str = "BAYBOOK_WRITE_SOURCES=1 cargo test -p baybook-core --lib page_of_sources";

/// What was promised: so many printed figures, from so many sources.
const FIGURES: usize = 1000;
const SOURCES: usize = 25;

/// Runs every other test of this crate once and returns the figures they entered.
fn figures() -> Vec<Figure> {
    let path = std::env::temp_dir().join(format!("baybook-figures-{}", std::process::id()));
    let mut tests = Command::new(std::env::current_exe().unwrap());
    // A figure that does not hold fails its own test and is not entered, so the page then lacks it.
    // Derivations are long, and enter no figure.
    tests
        .args(["--skip", "calc::printed", "--skip", "explain::"])
        .env(register::FILE, &path)
        .env("PROPTEST_CASES", "1");
    tests.stdout(Stdio::null()).stderr(Stdio::null()).status().unwrap();
    #[expect(clippy::disallowed_methods, reason = "a test reads the figures that its own run entered")]
    let text = std::fs::read_to_string(&path).unwrap();
    std::fs::remove_file(path).unwrap();
    register::read(&text)
}

/// The figures of one document that were seen alike.
#[derive(Default)]
struct Row {
    count: usize,
    half: usize,
    wider: usize,
    exact: usize,
    tests: BTreeSet<String>,
}

impl Row {
    fn take(&mut self, figure: &Figure) {
        self.count += 1;
        match figure.tolerance.as_str() {
            "half" => self.half += 1,
            "wider" => self.wider += 1,
            _ => self.exact += 1,
        }
        let module = figure.test.rsplit_once("::").map_or(figure.test.as_str(), |(module, _)| module);
        let module = module.trim_end_matches("::handbook").trim_end_matches("::tests");
        self.tests.insert(module.to_owned());
    }

    fn tolerances(&self) -> String {
        let parts = [(self.half, "half a digit"), (self.wider, "derived"), (self.exact, "exact")];
        let told = parts.into_iter().filter(|(count, _)| 0 < *count);
        told.map(|(count, word)| format!("{word} {count}")).collect::<Vec<_>>().join(", ")
    }
}

fn table(out: &mut String, figures: &[&Figure]) {
    let mut rows: BTreeMap<(&str, Seen), Row> = BTreeMap::new();
    for figure in figures {
        rows.entry((&figure.cited.document, figure.cited.seen)).or_default().take(figure);
    }
    out.push_str("| Document | Seen | Figures | Tolerance | Held in |\n|---|---|---:|---|---|\n");
    for ((document, seen), row) in rows {
        let tests = row.tests.iter().map(|test| format!("`{test}`")).collect::<Vec<_>>().join(" ");
        let (count, tolerances) = (row.count, row.tolerances());
        writeln!(out, "| {document} | {} | {count} | {tolerances} | {tests} |", seen.words()).unwrap();
    }
}

fn documents<'a>(figures: &[&'a Figure]) -> BTreeSet<&'a str> {
    figures.iter().map(|figure| figure.cited.document.as_str()).collect()
}

fn write(figures: &[Figure]) -> String {
    let (worked, printed): (Vec<_>, Vec<_>) = figures.iter().partition(|figure| figure.cited.worked);
    let count = |seen| printed.iter().filter(|figure| figure.cited.seen == seen).count();
    let mut out = String::from("# Sources\n\n");
    writeln!(
        out,
        "Made from the figures that the tests of this crate hold, and from nothing else; a test fails when it is stale. \
         To write it anew:\n\n```\n{COMMAND}\n```\n\n\
         A *printed* figure stands in the document and is reproduced: to half of its last printed digit, or within a \
         tolerance that its test derives, or exactly (marks, colours, orders, whole numbers). A *worked* figure follows \
         from the document's formula, but no document prints it. *From memory* means that nobody opened the document: \
         confirm before relying on it; a limit from memory never blocks a plan.\n\n\
         {} printed figures from {} documents: {} opened, {} from memory, {} common practice without a source; beside \
         them {} worked figures.\n\n## Printed figures\n",
        printed.len(),
        documents(&printed).len(),
        count(Seen::Opened),
        count(Seen::FromMemory),
        count(Seen::CommonPractice),
        worked.len(),
    )
    .unwrap();
    table(&mut out, &printed);
    out.push_str("\n## Worked figures\n\n");
    table(&mut out, &worked);
    out.push_str("\n## Rows from memory\n\nEvery printed figure that nobody opened, by document and place.\n\n");
    let mut rows: BTreeMap<(&str, &str), Vec<&str>> = BTreeMap::new();
    for figure in printed.iter().filter(|figure| figure.cited.seen == Seen::FromMemory) {
        let place = figure.cited.place.split(", M").next().unwrap_or_default();
        rows.entry((&figure.cited.document, place)).or_default().push(&figure.printed);
    }
    for ((document, place), mut figures) in rows {
        figures.sort_by(|a, b| a.len().cmp(&b.len()).then(a.cmp(b)));
        let comma = if place.is_empty() { "" } else { ", " };
        writeln!(out, "- {document}{comma}{place}: {}", figures.join(" · ")).unwrap();
    }
    out
}

#[test]
fn the_page_of_sources_is_what_the_tests_hold() {
    let figures = figures();
    let page = write(&figures);
    #[expect(clippy::disallowed_methods, reason = "a test is told whether to write the page")]
    if std::env::var_os(WRITE).is_some() {
        #[expect(clippy::disallowed_methods, reason = "a test writes the page when it is told to")]
        std::fs::write(PAGE, &page).unwrap();
    }
    #[expect(clippy::disallowed_methods, reason = "a test reads the page it holds")]
    let held = std::fs::read_to_string(PAGE).unwrap_or_default();
    let printed: Vec<_> = figures.iter().filter(|figure| !figure.cited.worked).collect();
    let sources = documents(&printed).len();
    assert!(FIGURES <= printed.len(), "only {} printed figures", printed.len());
    assert!(SOURCES <= sources, "only {sources} sources");
    assert!(page == held, "SOURCES.md is stale; write it anew:\n    {COMMAND}");
}
