//! A folder of entry files, read into a book at start.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use baybook_proto::v1 as pb;

use crate::book::catalog::encode;
use crate::book::{BookError, Change, Commit, Moment, Name};
use crate::service::State;
use crate::wire::{Fields, Spec};

/// Why a folder of entry files cannot be read into the book.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FolderError {
    /// A file or the folder itself cannot be opened.
    #[error("cannot read {path:?}: {cause}; book_folder must be a folder of *.json, *.ndjson or *.jsonl files")]
    Unreadable {
        /// Which.
        path: PathBuf,
        /// What the system said.
        cause: String,
    },
    /// A piece of a file is no entry.
    #[error("{path:?}, entry {at}: {why}")]
    NoEntry {
        /// Which file.
        path: PathBuf,
        /// Which entry of the file, from 1.
        at: usize,
        /// What is wrong with it.
        why: String,
    },
    /// Two pieces hold the same entry.
    #[error("{path:?}, entry {at}: {name} is also in {other:?}; keep one of them")]
    Twice {
        /// Which file.
        path: PathBuf,
        /// Which entry of the file, from 1.
        at: usize,
        /// The entry.
        name: String,
        /// The file that holds it too.
        other: PathBuf,
    },
    /// The book does not take them.
    #[error("the entry files: {0}")]
    Book(#[from] BookError),
}

/// Reads every entry file of a folder, by order of file names, into a book in memory.
pub(crate) async fn read_into(state: &Arc<State>, folder: &Path) -> Result<(), FolderError> {
    let mut files = Vec::new();
    let unreadable = |path: &Path, cause: std::io::Error| FolderError::Unreadable {
        path: path.to_owned(),
        cause: cause.to_string(),
    };
    let mut listing = tokio::fs::read_dir(folder).await.map_err(|cause| unreadable(folder, cause))?;
    while let Some(file) = listing.next_entry().await.map_err(|cause| unreadable(folder, cause))? {
        let path = file.path();
        if path.extension().is_some_and(|it| it == "json" || it == "ndjson" || it == "jsonl") {
            files.push(path);
        }
    }
    files.sort();
    let mut all: Vec<(PathBuf, usize, pb::Entry, Spec)> = Vec::new();
    let mut places: std::collections::HashMap<String, PathBuf> = std::collections::HashMap::new();
    for path in files {
        let text = tokio::fs::read_to_string(&path).await.map_err(|cause| unreadable(&path, cause))?;
        for (index, entry) in entries(&text).into_iter().enumerate() {
            let (path, at) = (path.clone(), index + 1);
            let entry = entry.map_err(|why| FolderError::NoEntry { path: path.clone(), at, why })?;
            let mut fields = Fields::default();
            let spec = Spec::from_entry(&entry, &mut fields);
            let spec = fields.finish(spec).map_err(|error| FolderError::NoEntry {
                path: path.clone(),
                at,
                why: format!("{}: {error}", entry.name),
            })?;
            if let Some(other) = places.insert(entry.name.clone(), path.clone()) {
                return Err(FolderError::Twice { path, at, name: entry.name, other });
            }
            all.push((path, at, entry, spec));
        }
    }
    for (path, at, entry, spec) in &all {
        for reference in spec.references() {
            if !places.contains_key(reference.name) {
                let why = format!("{}: {} names {}, which is in no file", entry.name, reference.field, reference.name);
                return Err(FolderError::NoEntry { path: path.clone(), at: *at, why });
            }
        }
    }
    let entries: Vec<pb::Entry> = all.into_iter().map(|(_, _, entry, _)| entry).collect();
    for batch in entries.chunks(state.limits.batch_entries.max(1)) {
        let mut commit = Commit { author: "book folder".into(), time: Moment::now(), ..Commit::default() };
        for entry in batch {
            commit.changes.push(Change::Put { name: Name::new(&entry.name)?, value: encode(entry) });
        }
        state.book().commit(commit).await?;
    }
    Ok(())
}

/// Takes a file apart: one entry, a list of entries, or one entry a line.
fn entries(text: &str) -> Vec<Result<pb::Entry, String>> {
    let text = text.trim_start_matches('\u{feff}');
    if text.trim_start().starts_with('[') {
        return match serde_json::from_str::<Vec<pb::Entry>>(text) {
            Ok(entries) => entries.into_iter().map(Ok).collect(),
            Err(error) => vec![Err(error.to_string())],
        };
    }
    serde_json::Deserializer::from_str(text)
        .into_iter::<pb::Entry>()
        .map(|entry| entry.map_err(|error| error.to_string()))
        .collect()
}

#[cfg(test)]
mod tests {
    use crate::config::{Config, EngineKind};
    use crate::service::{ServeError, Service};

    async fn open(files: &[(&str, &str)]) -> Result<Service, ServeError> {
        let folder = tempfile::tempdir().unwrap();
        for (name, text) in files {
            std::fs::write(folder.path().join(name), text).unwrap();
        }
        let config = Config {
            engine: EngineKind::Memory,
            book_folder: folder.path().to_owned(),
            ..Config::in_memory().unwrap()
        };
        Service::open(config).await
    }

    const COUPLER: &str = r#"{"name": "couplers/c-50", "coupler": {"label": "c", "ball": {"printed": "50 mm"}}}"#;
    const TRAILER: &str = r#"{"name": "trailers/t-1", "trailer": {"label": "t", "coupler": "couplers/c-50"}}"#;

    #[tokio::test]
    async fn one_entry_a_list_or_lines_are_read() {
        let ball = r#"{"name": "balls/b-50", "ball": {"label": "b", "diameter": {"value_mm": 50}}}"#;
        let files = [
            ("a.json", &*format!("\u{feff}[{COUPLER}]")),
            ("b.ndjson", &*format!("{TRAILER}\n{ball}\n")),
            ("readme.txt", "no entry"),
        ];
        let service = open(&files).await.unwrap();
        assert_eq!(service.catalog().folders().iter().map(|(_, count)| count).sum::<usize>(), 3);
        let (_, shown) = service.catalog().newest("trailers/t-1");
        assert_eq!(shown.unwrap().entry().unwrap().author, "book folder");
    }

    #[tokio::test]
    async fn what_is_wrong_names_file_and_entry() {
        let error = open(&[("a.json", TRAILER)]).await.unwrap_err().to_string();
        assert!(error.contains("a.json\", entry 1: trailers/t-1") && error.contains("couplers/c-50"), "{error}");
        let error = open(&[("a.ndjson", &format!("{COUPLER}\n{{\"nam\": 1}}"))]).await.unwrap_err().to_string();
        assert!(error.contains("a.ndjson\", entry 2: ") && error.contains("nam"), "{error}");
        let error = open(&[("a.json", COUPLER), ("b.json", COUPLER)]).await.unwrap_err().to_string();
        assert!(error.contains("couplers/c-50 is also in") && error.contains("keep one"), "{error}");
    }

    #[tokio::test]
    async fn a_folder_that_is_not_there_is_said() {
        let config = Config { book_folder: "no/such/folder".into(), ..Config::in_memory().unwrap() };
        let error = Service::open(config).await.unwrap_err().to_string();
        assert!(error.contains("no/such/folder") && error.contains("*.json"), "{error}");
    }
}
