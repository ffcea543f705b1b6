//! The page of what is promised and what was last shown of it, made from the list of promises and from recorded results.

use std::{collections::BTreeMap, fmt::Write as _, fs, path::Path};

use serde::{Deserialize, Serialize};

/// One promise, as the list has it.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Promise {
    /// What its result is called.
    pub id: String,
    /// What is promised.
    pub promise: String,
    /// The tests that hold it: a file and a function in it.
    pub tests: Vec<[String; 2]>,
    /// What shows it at length.
    pub command: String,
    /// A line of the command's output that holds one of these is a figure.
    pub keep: Vec<String>,
    /// What is not promised.
    pub limits: String,
}

#[derive(Debug, Deserialize)]
struct List {
    promise: Vec<Promise>,
}

/// What a command last showed.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Figures {
    /// The command as it was run.
    pub command: String,
    /// The day, in UTC.
    pub day: String,
    /// The commit it was run on.
    pub commit: String,
    /// How long it took.
    pub seconds: i64,
    /// The lines that it printed.
    pub lines: Vec<String>,
}

/// Reads the list of promises.
pub fn promises(root: &Path) -> Vec<Promise> {
    let text = fs::read_to_string(root.join("tests/reliability/promises.toml")).expect("the list is there");
    toml::from_str::<List>(&text).expect("the list reads").promise
}

/// Reads every recorded result, by the promise it belongs to.
pub fn results(root: &Path) -> BTreeMap<String, Figures> {
    let files = fs::read_dir(root.join("tests/results")).into_iter().flatten().flatten();
    let results = files.filter_map(|file| {
        let name = file.file_name().into_string().ok()?;
        let id = name.strip_suffix(".toml")?.to_owned();
        let text = fs::read_to_string(file.path()).expect("a result is readable");
        Some((id, toml::from_str(&text).expect("a result reads")))
    });
    results.collect()
}

/// Writes the page.
pub fn page(root: &Path) -> String {
    let results = results(root);
    let mut page = String::from(
        "# Reliability\n\n\
         What is promised, the test that holds it, and what a longer run last showed. This page is made: the promises stand in\n\
         `tests/reliability/promises.toml`, the figures are lines that a command printed, kept in `tests/results`. To run a\n\
         promise's command, keep its figures and make the page anew:\n\n\
         ```\ncargo run --example record -- ID...\n```\n",
    );
    for Promise { id, promise, tests, command, limits, .. } in promises(root) {
        let _ = write!(page, "\n## {id}\n\n{promise}\n\n");
        for [file, test] in &tests {
            let _ = writeln!(page, "- held by `{test}` in `{file}`");
        }
        let _ = write!(page, "\n```\n{command}\n```\n\n");
        match results.get(&id) {
            Some(Figures { day, commit, seconds, lines, command: run }) => {
                let as_run = if *run == command { String::new() } else { format!(", as `{run}`") };
                let _ = write!(page, "Last shown on {day} at commit {commit}, in {seconds} s{as_run}:\n\n```\n");
                for line in lines {
                    let _ = writeln!(page, "{line}");
                }
                page.push_str("```\n");
            }
            None => page.push_str("No figures are kept yet.\n"),
        }
        let _ = write!(page, "\nKnown limits: {limits}\n");
    }
    page
}
