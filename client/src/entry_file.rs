//! Entries from files: JSON with one entry or an array of entries, or one entry a line.

use std::{
    ffi::OsStr,
    fs,
    io::{self, Read as _},
    path::{Path, PathBuf},
};

use baybook_proto::v1::{Entry, GetEntryResponse, ListEntriesResponse};
use serde::de::DeserializeOwned;
use serde_json::error::Category;

use crate::fail::{Failure, Stop};

/// An entry and where it was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Located {
    /// The entry.
    pub entry: Entry,
    /// Its file and place: `bolts.json [3]`, `bolts.ndjson:12`.
    pub at: String,
}

/// Reads every `*.json`, `*.ndjson` and `*.jsonl` of a folder, by file name.
pub fn folder(path: &Path) -> Result<Vec<Located>, Stop> {
    let listed = fs::read_dir(path)
        .and_then(|files| files.map(|file| file.map(|file| file.path())).collect::<io::Result<Vec<PathBuf>>>());
    let mut files = listed.map_err(|error| Failure::file("read", path, &error))?;
    files.retain(|file| file.extension().is_some_and(|end| end == "json" || is_lines_file(end)));
    files.sort();
    if files.is_empty() {
        return Err(Failure::usage("the folder holds no entries")
            .at(path.display().to_string(), "it has no file that ends in .json, .ndjson or .jsonl")
            .next("name the folder of a book, such as --book deploy/demo/book")
            .into());
    }
    let mut entries = Vec::new();
    for file in files {
        entries.extend(self::file(&file)?);
    }
    Ok(entries)
}

/// Reads one file; `-` is standard input.
pub fn file(path: &Path) -> Result<Vec<Located>, Stop> {
    let text = text(path)?;
    let shown = if path == Path::new("-") { "standard input".to_owned() } else { path.display().to_string() };
    let lines = path.extension().map_or_else(|| is_lines(&text), is_lines_file);
    Ok(if lines { by_line(&shown, &text)? } else { whole(&shown, &text)? })
}

/// Reads a message of the contract from a JSON file; `-` is standard input.
pub fn message<T: DeserializeOwned>(path: &Path, wanted: &Wanted) -> Result<T, Stop> {
    let shown = if path == Path::new("-") { "standard input".to_owned() } else { path.display().to_string() };
    Ok(parse(&text(path)?, &shown, 0, "", wanted)?)
}

/// What a file is to hold, for those who wrote something else.
pub struct Wanted {
    /// What is allowed, with an example.
    pub allowed: &'static str,
    /// What to do next.
    pub next: &'static str,
}

const ENTRY: Wanted = Wanted {
    allowed: r#"an entry as a JSON object, such as {"name": "bolts/a", "bolt": {"thread": "M12"}}, or a list of them"#,
    next: "correct the line; baybook book get NAME --format json shows how an entry is written",
};
/// An upfit plan.
pub const PLAN: Wanted = Wanted {
    allowed: r#"an upfit plan as a JSON object, such as {"unit": "V1", "vehicle": {"name": "vehicles/van-l35"}}"#,
    next: "correct the line, or give the plan by flags: --vehicle NAME --receiver NAME",
};

fn text(path: &Path) -> Result<String, Stop> {
    let read = if path == Path::new("-") {
        let mut text = String::new();
        io::stdin().lock().read_to_string(&mut text).map(|_| text)
    } else {
        fs::read_to_string(path)
    };
    let text = read.map_err(|error| match error.kind() {
        io::ErrorKind::InvalidData => Failure::usage("the file cannot be read")
            .at(path.display().to_string(), "it is not UTF-8 text")
            .next("save it as UTF-8"),
        _ => Failure::file("read", path, &error),
    })?;
    // A byte-order mark comes along from some editors.
    Ok(text.strip_prefix('\u{feff}').map_or_else(|| text.clone(), str::to_owned))
}

fn is_lines_file(extension: &OsStr) -> bool {
    extension == "ndjson" || extension == "jsonl"
}

/// Two values that each fill a line are lines; anything else is one value.
fn is_lines(text: &str) -> bool {
    let mut filled = text.lines().filter(|line| !line.trim().is_empty());
    let one = |line: &str| {
        let line = line.trim();
        line.starts_with('{') && line.ends_with('}')
    };
    filled.next().is_some_and(one) && filled.next().is_some_and(one)
}

fn by_line(shown: &str, text: &str) -> Result<Vec<Located>, Failure> {
    let filled = text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty());
    filled
        .map(|(i, line)| Ok(Located { entry: parse(line, shown, i, "", &ENTRY)?, at: format!("{shown}:{}", i + 1) }))
        .collect()
}

fn whole(shown: &str, text: &str) -> Result<Vec<Located>, Failure> {
    // What `book get` and `book list` write as JSON can be edited and put again.
    match first_key(text) {
        Some("entry") => {
            let reply: GetEntryResponse = parse(text, shown, 0, "", &ENTRY)?;
            let located = |entry| Located { entry, at: shown.to_owned() };
            return Ok(reply.entry.into_iter().map(located).collect());
        }
        Some("entries") => {
            let reply: ListEntriesResponse = parse(text, shown, 0, "", &ENTRY)?;
            let located = |(i, entry)| Located { entry, at: format!("{shown} entries[{i}]") };
            return Ok(reply.entries.into_iter().enumerate().map(located).collect());
        }
        _ => {}
    }
    if !text.trim_start().starts_with('[') {
        return Ok(vec![Located { entry: parse(text, shown, 0, "", &ENTRY)?, at: shown.to_owned() }]);
    }
    let entries: Vec<Entry> = parse(text, shown, 0, "entry ", &ENTRY)?;
    let located = |(i, entry)| Located { entry, at: format!("{shown} [{i}]") };
    Ok(entries.into_iter().enumerate().map(located).collect())
}

/// Returns the first key of a JSON object.
fn first_key(text: &str) -> Option<&str> {
    text.trim_start().strip_prefix('{')?.trim_start().strip_prefix('"')?.split('"').next()
}

/// Reads a value and blames file, line and field.
fn parse<T: DeserializeOwned>(
    text: &str,
    shown: &str,
    lines_before: usize,
    lead: &str,
    wanted: &Wanted,
) -> Result<T, Failure> {
    let mut reader = serde_json::Deserializer::from_str(text);
    let read = serde_path_to_error::deserialize(&mut reader);
    let (path, error) = match read {
        Ok(value) => match reader.end() {
            Ok(()) => return Ok(value),
            Err(error) => (String::new(), error),
        },
        Err(error) => (error.path().to_string(), error.into_inner()),
    };
    let line = lines_before + error.line().max(1);
    let field = if path.is_empty() || path == "." { String::new() } else { format!(", {lead}{path}") };
    Err(Failure::usage("the file cannot be read")
        .at(
            format!("{shown}, line {line}, column {}{field}", error.column()),
            why(text, &error, !path.contains(char::is_alphabetic), wanted),
        )
        .next(wanted.next))
}

/// Says what was read and what is allowed there.
fn why(text: &str, error: &serde_json::Error, all_of_it: bool, wanted: &Wanted) -> String {
    const SHOWN: usize = 24;
    let allowed = wanted.allowed;
    let told = told(error);
    match error.classify() {
        Category::Data if all_of_it => format!("{told}; allowed is {allowed}"),
        Category::Data | Category::Io => told,
        Category::Eof => format!("it ends before it is complete ({told}); allowed is {allowed}"),
        Category::Syntax => {
            let line = text.lines().nth(error.line().saturating_sub(1)).unwrap_or_default().trim();
            let mut read: String = line.chars().take(SHOWN).collect();
            if line.chars().nth(SHOWN).is_some() {
                read.push('…');
            }
            format!("the line is {read:?}, which is not JSON ({told}); allowed is {allowed}")
        }
    }
}

/// Returns what the reader of JSON says, without the place. Where its words name one of its own states, they are put in
/// words of the file.
pub fn told(error: &serde_json::Error) -> String {
    let told = error.to_string();
    let told = told.rsplit_once(" at line ").map_or(told.as_str(), |(told, _)| told);
    if told == "expected ident" { "a word without quotation marks".to_owned() } else { told.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BOLT: &str = r#"{"name": "bolts/a", "bolt": {"thread": "M12"}}"#;

    #[test]
    fn one_entry_an_array_and_lines_are_told_apart() {
        assert_eq!(whole("f", BOLT).map(|entries| entries.len()), Ok(1));
        assert_eq!(
            whole("f", &format!("[{BOLT}, {BOLT}]")).map(|entries| entries[1].at.clone()),
            Ok("f [1]".to_owned())
        );
        assert!(is_lines(&format!("{BOLT}\n\n{BOLT}\n")));
        assert!(!is_lines(BOLT) && !is_lines("{\n \"name\": \"bolts/a\"\n}"));
        assert_eq!(
            by_line("f", &format!("{BOLT}\n\n{BOLT}\n")).map(|entries| entries[1].at.clone()),
            Ok("f:3".to_owned())
        );
    }

    #[test]
    fn the_reply_of_a_look_up_can_be_put_again() {
        let names = |text: &str| {
            let entries = whole("f", text).unwrap();
            entries.into_iter().map(|located| located.entry.name).collect::<Vec<_>>()
        };
        assert_eq!(names(&format!("{{ \"entry\": {BOLT}, \"revision\": \"7\"}}")), ["bolts/a"]);
        assert_eq!(names(&format!("{{\"entries\": [{BOLT}, {BOLT}]}}")), ["bolts/a", "bolts/a"]);
    }

    #[test]
    fn a_bad_file_names_line_and_field() {
        let text =
            format!("[\n  {BOLT},\n  {{\"name\": \"bolts/b\", \"bolt\": {{\"hole_diameter_mm\": \"wide\"}}}}\n]");
        let failure = whole("bolts.json", &text).unwrap_err();
        assert_eq!(failure.places.len(), 1);
        assert!(failure.places[0].at.starts_with("bolts.json, line 3, column "), "{failure}");
        assert!(failure.places[0].at.ends_with(", entry [1].bolt.hole_diameter_mm"), "{failure}");
    }

    #[test]
    fn an_unknown_field_is_refused() {
        let failure = by_line("b.ndjson", &format!("{BOLT}\n{{\"nam\": \"bolts/b\"}}")).unwrap_err();
        assert!(failure.places[0].at.starts_with("b.ndjson, line 2"), "{failure}");
        assert!(failure.places[0].why.contains("unknown field `nam`"), "{failure}");
    }

    #[test]
    fn what_is_no_json_is_told_with_what_is_allowed() {
        for (text, read) in
            [("nonsense", "the line is \"nonsense\""), ("", "it ends before"), ("{\"name\": ", "it ends before")]
        {
            let failure = whole("f.json", text).unwrap_err();
            let why = &failure.places[0].why;
            assert!(failure.places[0].at.starts_with("f.json, line 1, column "), "{failure}");
            assert!(
                why.starts_with(read) && why.contains("allowed is an entry as a JSON object, such as {"),
                "{failure}"
            );
            assert!(failure.next.contains("baybook book get NAME"), "{failure}");
        }
        let list = whole("f.json", "[[1]]").unwrap_err();
        assert!(list.places[0].why.contains("allowed is an entry as a JSON object"), "{list}");
        let number = whole("f.json", "7").unwrap_err();
        assert!(number.places[0].why.contains("allowed is an entry as a JSON object"), "{number}");
        let long = whole("f.json", &"nonsense ".repeat(50)).unwrap_err();
        assert!(long.places[0].why.contains("\"nonsense nonsense nonsen…\""), "{long}");
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("plan.json");
        fs::write(&file, "nonsense").unwrap();
        let Err(Stop::Failure(failure)) = message::<baybook_proto::v1::UpfitPlan>(&file, &PLAN) else {
            panic!("it was read")
        };
        assert!(
            failure.places[0].why.contains("allowed is an upfit plan") && failure.next.contains("--vehicle"),
            "{failure}"
        );
    }
}
