//! The page of reliability says what its list and the recorded results say, and names tests that are there.

#![expect(clippy::expect_used, reason = "a test that cannot go on has failed")]

#[path = "../reliability/page.rs"]
mod page;

use std::{collections::BTreeSet, fs, path::Path};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("the workspace holds this crate")
}

#[test]
fn the_page_is_made_from_what_is_recorded() {
    let written = fs::read_to_string(root().join("RELIABILITY.md")).expect("the page is there");
    let made = page::page(root());
    assert!(written == made, "RELIABILITY.md is out of date: cargo run --example record");
}

#[test]
fn every_promise_names_tests_that_are_there() {
    let mut ids = BTreeSet::new();
    for promise in page::promises(root()) {
        assert!(ids.insert(promise.id.clone()), "{} stands twice", promise.id);
        assert!(!promise.tests.is_empty() && !promise.keep.is_empty(), "{}", promise.id);
        for [file, test] in &promise.tests {
            let text = fs::read_to_string(root().join(file)).unwrap_or_default();
            let there = text.contains(&format!("fn {test}(")) || text.contains(&format!("{test}: ")) || test == "main";
            assert!(there, "{}: {file} has no {test}", promise.id);
        }
    }
    for id in page::results(root()).keys() {
        assert!(ids.contains(id), "tests/results/{id}.toml belongs to no promise");
    }
}

#[test]
fn figures_are_of_the_command_that_is_named() {
    let results = page::results(root());
    for promise in page::promises(root()) {
        let Some(figures) = results.get(&promise.id) else { continue };
        for line in &figures.lines {
            let kept = promise.keep.iter().any(|words| line.contains(words.as_str()));
            assert!(kept, "{}: {line:?} is no line that its command keeps", promise.id);
        }
    }
}
