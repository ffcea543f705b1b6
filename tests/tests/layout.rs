//! The arrows and absences of the house, read from `cargo metadata` and from the tree itself.
//!
//! `DEVELOPERS.md` tells why each of them is there.

#![expect(clippy::expect_used, clippy::panic, reason = "a test that cannot go on has failed")]

use std::{
    collections::{BTreeMap, BTreeSet},
    fs,
    path::{Path, PathBuf},
    process::Command,
};

use baybook_core::rules::RULES;
use cargo_metadata::{DependencyKind, Metadata, MetadataCommand, Package};

/// Lines that a source file may have, its tests left out.
const LINES_MAX: usize = 400;

/// What may stand at the top of the repository, besides dot-files.
const TOP: [&str; 17] = [
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE-APACHE",
    "LICENSE-MIT",
    "README.md",
    "RELIABILITY.md",
    "client",
    "clippy.toml",
    "core",
    "deny.toml",
    "deploy",
    "proto",
    "rust-toolchain.toml",
    "rustfmt.toml",
    "server",
    "tests",
];

/// Folder, package, and the packages of ours that it may depend on in any way.
const ARROWS: [(&str, &str, &[&str]); 6] = [
    ("core", "baybook-core", &[]),
    ("proto", "baybook-proto", &[]),
    ("server", "baybook-server", &["baybook-core", "baybook-proto"]),
    ("client", "baybook", &["baybook-core", "baybook-proto", "baybook-server"]),
    ("tests", "baybook-tests", &["baybook", "baybook-core", "baybook-proto", "baybook-server"]),
    ("tests/benches", "baybook-benches", &["baybook", "baybook-core", "baybook-proto", "baybook-server"]),
];

/// What core may depend on outside its tests.
const CORE_NEEDS: [&str; 1] = ["thiserror"];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("the workspace holds this crate").to_owned()
}

fn metadata() -> Metadata {
    MetadataCommand::new()
        .manifest_path(root().join("Cargo.toml"))
        .no_deps()
        .other_options(["--offline".to_owned()])
        .exec()
        .expect("cargo describes the workspace")
}

fn package<'a>(metadata: &'a Metadata, name: &str) -> &'a Package {
    metadata.packages.iter().find(|package| package.name == name).unwrap_or_else(|| panic!("no package {name}"))
}

/// Lists the tracked files and those that would be; without git, everything but hidden and built things.
fn files() -> Vec<String> {
    let git = Command::new("git")
        .args(["ls-files", "--cached", "--others", "--exclude-standard"])
        .current_dir(root())
        .output();
    let mut files: Vec<String> = match git {
        Ok(output) if output.status.success() && !output.stdout.is_empty() => {
            String::from_utf8(output.stdout).expect("file names are UTF-8").lines().map(str::to_owned).collect()
        }
        _ => {
            let mut found = Vec::new();
            walk(&root(), "", &mut found);
            found
        }
    };
    files.retain(|file| root().join(file).is_file());
    files.sort();
    files.dedup();
    assert!(100 < files.len(), "only {} files found", files.len());
    files
}

fn walk(folder: &Path, under: &str, found: &mut Vec<String>) {
    for entry in fs::read_dir(folder).expect("a folder opens").flatten() {
        let name = entry.file_name().into_string().expect("file names are UTF-8");
        if name == "target" || name == "baybook-data" || name == ".git" {
            continue;
        }
        let path = if under.is_empty() { name } else { format!("{under}/{name}") };
        if entry.path().is_dir() { walk(&entry.path(), &path, found) } else { found.push(path) }
    }
}

fn read(file: &str) -> String {
    fs::read_to_string(root().join(file)).unwrap_or_else(|error| panic!("{file}: {error}"))
}

/// A Rust source file with its tests taken out.
struct Source {
    path: String,
    /// Line number and line.
    lines: Vec<(usize, String)>,
}

/// Returns every source file of the four crates that are not tests, each without its tests.
fn sources() -> Vec<Source> {
    let all: Vec<String> = files()
        .into_iter()
        .filter(|file| file.ends_with(".rs"))
        .filter(|file| {
            ["core/src/", "proto/src/", "server/src/", "client/src/"].iter().any(|dir| file.starts_with(dir))
        })
        .collect();
    let mut sources = Vec::new();
    let mut tests = BTreeSet::new();
    for file in &all {
        let (lines, test_modules) = without_tests(file, &read(file));
        tests.extend(test_modules);
        sources.push(Source { path: file.clone(), lines });
    }
    let is_test = |path: &str| {
        tests.iter().any(|test: &String| {
            path == format!("{test}.rs") || path.strip_prefix(test.as_str()).is_some_and(|rest| rest.starts_with('/'))
        })
    };
    sources.retain(|source| !is_test(&source.path));
    assert!(50 < sources.len(), "only {} sources found", sources.len());
    sources
}

/// Returns the lines that are no test, and the paths (without ending) of the modules that are declared as tests.
fn without_tests(file: &str, text: &str) -> (Vec<(usize, String)>, Vec<String>) {
    let folder = file.rsplit_once('/').map_or("", |(folder, _)| folder);
    let stem = file.strip_suffix(".rs").unwrap_or(file);
    let own = if ["lib", "main", "mod"].iter().any(|root| stem.ends_with(&format!("/{root}"))) { folder } else { stem };
    let (mut kept, mut modules) = (Vec::new(), Vec::new());
    let mut lines = text.lines().enumerate().map(|(at, line)| (at + 1, line)).peekable();
    while let Some((at, line)) = lines.next() {
        if line.trim() != "#[cfg(test)]" {
            kept.push((at, line.to_owned()));
            continue;
        }
        let indent = &line[..line.len() - line.trim_start().len()];
        let mut path = None;
        for (_, line) in lines.by_ref() {
            if let Some(named) = line.trim().strip_prefix("#[path = \"") {
                path = named.strip_suffix(".rs\"]").map(|named| format!("{folder}/{named}"));
            } else if !line.trim().starts_with("#[") {
                let name = line.trim().trim_start_matches("pub(crate) ").trim_start_matches("pub(super) ");
                if let Some(name) = name.strip_prefix("mod ").and_then(|name| name.strip_suffix(';')) {
                    modules.push(path.take().unwrap_or_else(|| format!("{own}/{name}")));
                } else if !line.trim_end().ends_with(';') && !line.trim_end().ends_with('}') {
                    // An item with a body, laid out by rustfmt: it ends where its indentation comes back.
                    let end = format!("{indent}}}");
                    lines.by_ref().find(|(_, line)| *line == end || *line == format!("{end};"));
                }
                break;
            }
        }
    }
    (kept, modules)
}

fn is_comment(line: &str) -> bool {
    line.trim_start().starts_with("//")
}

/// Fails with every line that is not as it should be.
fn none(what: &str, found: &[String]) {
    assert!(found.is_empty(), "{what}:\n{}", found.join("\n"));
}

#[test]
fn the_arrows_point_one_way() {
    let metadata = metadata();
    let names: BTreeSet<&str> = metadata.packages.iter().map(|package| package.name.as_str()).collect();
    assert_eq!(names, ARROWS.iter().map(|(_, name, _)| *name).collect());
    let mut wrong = Vec::new();
    for (folder, name, allowed) in ARROWS {
        let package = package(&metadata, name);
        assert_eq!(package.manifest_path.as_std_path(), root().join(folder).join("Cargo.toml"));
        for dependency in &package.dependencies {
            if names.contains(dependency.name.as_str()) && !allowed.contains(&dependency.name.as_str()) {
                wrong.push(format!("{name} -> {} ({:?})", dependency.name, dependency.kind));
            }
            if dependency.name == "baybook-tests" {
                wrong.push(format!("{name} -> baybook-tests: nothing depends on the tests"));
            }
        }
    }
    none("arrows that the house does not have", &wrong);
}

#[test]
fn there_is_no_cycle() {
    let metadata = metadata();
    let mut open: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for package in &metadata.packages {
        let ours = package.dependencies.iter().map(|dependency| dependency.name.as_str());
        let ours = ours.filter(|name| metadata.packages.iter().any(|package| package.name == *name));
        open.insert(package.name.as_str(), ours.collect());
    }
    while !open.is_empty() {
        let done: Vec<&str> = open.iter().filter(|(_, needs)| needs.is_empty()).map(|(name, _)| *name).collect();
        assert!(!done.is_empty(), "a cycle among {open:?}");
        for name in done {
            open.remove(name);
            for needs in open.values_mut() {
                needs.remove(name);
            }
        }
    }
}

#[test]
fn core_stands_alone() {
    let metadata = metadata();
    let core = package(&metadata, "baybook-core");
    let needs = core.dependencies.iter().filter(|dependency| dependency.kind != DependencyKind::Development);
    let needs: Vec<&str> = needs.map(|dependency| dependency.name.as_str()).collect();
    assert_eq!(needs, CORE_NEEDS);
    assert!(core.features.is_empty(), "core has one build: {:?}", core.features);
    assert!(core.targets.iter().all(|target| !target.is_custom_build()), "core has no build script");
}

#[test]
fn proto_holds_no_type_of_its_own() {
    let sources = sources();
    let proto: Vec<&Source> = sources.iter().filter(|source| source.path.starts_with("proto/")).collect();
    assert_eq!(proto.iter().map(|source| source.path.as_str()).collect::<Vec<_>>(), ["proto/src/lib.rs"]);
    let items = proto[0].lines.iter().filter(|(_, line)| {
        let line = line.trim_start().trim_start_matches("pub ");
        ["struct ", "enum ", "trait ", "fn ", "impl ", "type "].iter().any(|item| line.starts_with(item))
    });
    assert_eq!(items.count(), 0, "{:?}", proto[0].lines);
}

#[test]
fn the_client_uses_of_core_and_server_what_it_may() {
    let mut wrong = Vec::new();
    for source in sources().iter().filter(|source| source.path.starts_with("client/")) {
        let text: String = source.lines.iter().map(|(_, line)| format!("{line}\n")).collect();
        let mut rest = text.as_str();
        while let Some(at) = rest.find("baybook_core::") {
            rest = &rest[at + "baybook_core::".len()..];
            if !["units", "error", "range", "{"].iter().any(|part| rest.starts_with(part)) {
                wrong.push(format!("{}: baybook_core::{}", source.path, rest.lines().next().unwrap_or_default()));
            }
        }
        let hosts = ["client/src/connect.rs", "client/src/cmd/restore.rs", "client/src/cmd/serve.rs"];
        let hosts = hosts.contains(&source.path.as_str());
        if text.contains("baybook_server") && !hosts {
            wrong.push(format!(
                "{}: only connect.rs and serve.rs host the service, and restore.rs brings a book back",
                source.path
            ));
        }
    }
    none("the client reads text forms and units from core, and reaches into the server in three places", &wrong);
}

#[test]
fn every_crate_has_the_lints_of_the_workspace() {
    let workspace = table("Cargo.toml");
    let lint = |group: &str, name: &str| {
        let lint = &workspace["workspace"]["lints"][group][name];
        lint.as_str().or_else(|| lint.get("level").and_then(toml::Value::as_str)).map(str::to_owned)
    };
    assert_eq!(lint("rust", "unsafe_code").as_deref(), Some("forbid"));
    for name in [
        "unwrap_used",
        "expect_used",
        "panic",
        "todo",
        "unimplemented",
        "dbg_macro",
        "print_stdout",
        "print_stderr",
        "allow_attributes_without_reason",
    ] {
        assert_eq!(lint("clippy", name).as_deref(), Some("deny"), "{name}");
    }
    assert_eq!(lint("clippy", "all").as_deref(), Some("warn"));
    for (folder, ..) in ARROWS {
        let manifest = table(&format!("{folder}/Cargo.toml"));
        assert_eq!(manifest["lints"]["workspace"].as_bool(), Some(true), "{folder}");
        for key in ["version", "edition", "rust-version", "license", "publish"] {
            assert_eq!(manifest["package"][key]["workspace"].as_bool(), Some(true), "{folder}: {key}");
        }
        let sections = ["dependencies", "dev-dependencies", "build-dependencies"];
        for section in sections.iter().filter_map(|section| manifest.get(*section)?.as_table()) {
            for (name, dependency) in section {
                let shared = dependency.get("workspace").and_then(toml::Value::as_bool);
                assert_eq!(shared, Some(true), "{folder}: {name} has its version in the workspace's table");
            }
        }
    }
    for file in ["core/src/lib.rs", "proto/src/lib.rs"] {
        assert!(read(file).contains("#![deny(missing_docs)]"), "{file}");
    }
}

fn table(file: &str) -> toml::Table {
    read(file).parse().unwrap_or_else(|error| panic!("{file}: {error}"))
}

#[test]
fn a_lint_is_suppressed_with_a_reason_only() {
    let mut wrong = Vec::new();
    for source in sources() {
        for (at, line) in &source.lines {
            let line = line.trim_start();
            if line.starts_with("#[allow(") || line.starts_with("#![allow(") {
                wrong.push(format!("{}:{at}: {line}", source.path));
            }
        }
    }
    none("suppress with #[expect(lint, reason = \"...\")], which complains when it is no longer needed", &wrong);
}

#[test]
fn core_is_banned_from_the_world() {
    let bans = table("core/clippy.toml");
    let expected: [(&str, &[&str]); 3] = [
        (
            "disallowed-methods",
            &[
                "std::env::var",
                "std::env::var_os",
                "std::env::args",
                "std::time::Instant::now",
                "std::time::SystemTime::now",
                "std::thread::spawn",
                "std::thread::sleep",
                "std::fs::read",
                "std::fs::read_to_string",
                "std::fs::write",
                "std::process::exit",
            ],
        ),
        (
            "disallowed-types",
            &[
                "std::fs::File",
                "std::fs::OpenOptions",
                "std::net::TcpStream",
                "std::net::TcpListener",
                "std::net::UdpSocket",
                "std::time::Instant",
                "std::time::SystemTime",
                "std::collections::HashMap",
            ],
        ),
        ("disallowed-macros", &["std::println", "std::eprintln", "std::print", "std::eprint", "std::dbg"]),
    ];
    for (list, paths) in expected {
        let rows = bans[list].as_array().unwrap_or_else(|| panic!("{list} is a list"));
        for path in paths {
            let row = rows.iter().find(|row| row["path"].as_str() == Some(path));
            let row = row.unwrap_or_else(|| panic!("core/clippy.toml bans {path} no longer"));
            assert!(row["reason"].as_str().is_some_and(|reason| !reason.is_empty()), "{path} is banned for a reason");
        }
    }
    // The lints see calls; this sees what is merely imported.
    let mut wrong = Vec::new();
    for source in sources().iter().filter(|source| source.path.starts_with("core/")) {
        for (at, line) in source.lines.iter().filter(|(_, line)| !is_comment(line)) {
            let banned = ["std::fs", "std::net", "std::env", "std::thread", "std::process", "std::time", "std::io"];
            for banned in banned.iter().filter(|banned| line.contains(**banned)) {
                wrong.push(format!("{}:{at}: {banned}", source.path));
            }
        }
    }
    none("core takes values and gives values", &wrong);
}

#[test]
fn file_names_say_something_and_files_stay_short() {
    let empty = ["util", "utils", "helper", "helpers", "common", "misc"];
    let mut wrong = Vec::new();
    for file in files() {
        let stems = file.split('/').map(|part| part.split_once('.').map_or(part, |(stem, _)| stem));
        if file.ends_with(".rs") && stems.into_iter().any(|stem| empty.contains(&stem)) {
            wrong.push(format!("{file}: the name says nothing"));
        }
    }
    for source in sources() {
        if LINES_MAX < source.lines.len() {
            let lines = source.lines.len();
            wrong.push(format!("{}: {lines} lines without tests, at most {LINES_MAX}", source.path));
        }
    }
    none("names and lengths", &wrong);
}

#[test]
fn status_codes_are_chosen_in_one_place() {
    let mut wrong = Vec::new();
    let elsewhere = |source: &&Source| source.path.starts_with("server/") && source.path != "server/src/error.rs";
    for source in sources().iter().filter(elsewhere) {
        for (at, line) in source.lines.iter().filter(|(_, line)| !is_comment(line)) {
            let chosen = ["Code::", "tonic::Code", "Status::new(", "Status::invalid_argument(", "Status::not_found("];
            let chosen = chosen.iter().chain(&["Status::internal(", "Status::unimplemented(", "Status::unavailable("]);
            // The status codes of HTTP, on the admin port, are no codes of gRPC.
            let line = line.replace("StatusCode::", "");
            if chosen.into_iter().any(|code| line.contains(code)) {
                wrong.push(format!("{}:{at}: {}", source.path, line.trim()));
            }
        }
    }
    none("only server/src/error.rs knows status codes", &wrong);
    let error = read("server/src/error.rs");
    assert!(error.contains("Code::InvalidArgument") && error.contains("Code::Aborted"));
}

#[test]
fn printing_happens_in_one_file() {
    let macros = ["println!", "eprintln!", "print!", "eprint!", "io::stdout()", "io::stderr()"];
    let mut wrong = Vec::new();
    for source in sources().iter().filter(|source| source.path != "client/src/out.rs") {
        for (at, line) in source.lines.iter().filter(|(_, line)| !is_comment(line)) {
            if macros.iter().any(|print| line.contains(print)) {
                wrong.push(format!("{}:{at}: {}", source.path, line.trim()));
            }
        }
    }
    none("only client/src/out.rs prints", &wrong);
}

#[test]
fn every_rule_file_is_in_the_list() {
    let stem = |source: &Source| {
        let stem = source.path.strip_prefix("core/src/rules/")?.strip_suffix(".rs")?.to_owned();
        (!stem.contains('/') && stem != "run" && stem != "examples").then(|| stem.replace('_', "-"))
    };
    let written: BTreeSet<String> = sources().iter().filter_map(stem).collect();
    let listed: BTreeSet<String> = RULES.iter().map(|rule| rule.id.to_owned()).collect();
    assert_eq!(written, listed, "core/src/rules/*.rs and RULES");
    assert_eq!(listed.len(), RULES.len(), "a rule is listed once");
    assert!(36 <= RULES.len(), "{} rules", RULES.len());
    for rule in RULES {
        let text = |what: &str, text: &str| assert!(!text.trim().is_empty(), "{}: {what} is empty", rule.id);
        text("title", rule.title);
        text("remedy", rule.remedy);
        text("source", rule.source.title);
        assert!(!rule.title.ends_with('.'), "{}: a title has no full stop", rule.id);
    }
}

#[test]
fn a_table_names_its_source_first() {
    let mut wrong = Vec::new();
    let mut tables = 0;
    for source in sources().iter().filter(|source| source.path.starts_with("core/src/tables/")) {
        let constants: Vec<&str> = source
            .lines
            .iter()
            .map(|(_, line)| line.trim_start_matches("pub(crate) ").trim_start_matches("pub "))
            .filter(|line| line.starts_with("const ") && !line.starts_with("const fn") || line.starts_with("static "))
            .collect();
        let Some(first) = constants.first() else { continue };
        tables += 1;
        // A table put together from several documents names each of them, or each row names its own.
        if source.lines.iter().any(|(_, line)| line.trim() == "pub source: &'static str,") {
            continue;
        }
        let of_documents = constants.iter().filter(|line| line.contains(": Source =")).count();
        let named =
            if 1 < of_documents { first.contains(": Source =") } else { first.starts_with("const SOURCE: Source") };
        if !named {
            wrong.push(format!("{}: {first}", source.path));
        }
    }
    assert!(15 <= tables, "{tables} tables");
    none("the first constant of a table says where it was printed", &wrong);
}

#[test]
fn the_top_of_the_repository_is_fixed() {
    let top: BTreeSet<String> = files()
        .iter()
        .filter_map(|file| file.split('/').next().map(str::to_owned))
        .filter(|f| !f.starts_with('.'))
        .collect();
    assert_eq!(top, TOP.iter().map(|name| (*name).to_owned()).collect());
    assert!(root().join(".ci/run").is_file());
    let toolchain = table("rust-toolchain.toml");
    let release = toolchain["toolchain"]["channel"].as_str().unwrap_or_default().to_owned();
    let workspace = table("Cargo.toml");
    let minimum = workspace["workspace"]["package"]["rust-version"].as_str().unwrap_or_default().to_owned();
    assert!(release.starts_with(&minimum) && !minimum.is_empty(), "{release} and {minimum}");
}

#[test]
fn dependencies_come_from_one_place() {
    let lock = table("Cargo.lock");
    let packages = lock["package"].as_array().expect("the lock file lists packages");
    let index = "registry+https://github.com/rust-lang/crates.io-index";
    let mut wrong = Vec::new();
    for package in packages {
        let name = package["name"].as_str().unwrap_or_default();
        match package.get("source").and_then(toml::Value::as_str) {
            Some(source) if source == index && package.get("checksum").is_some() => {}
            None if name.starts_with("baybook") => {}
            other => wrong.push(format!("{name}: {other:?}")),
        }
    }
    none("packages from elsewhere", &wrong);
}

/// Words are put together here, so that this file does not hold what it looks for.
#[test]
fn no_file_tells_of_the_machine_it_was_made_on() {
    let machine = [
        concat!("/wo", "rk/"),
        concat!("/ro", "ot/"),
        concat!("/ho", "me/"),
        concat!("seed docu", "ment"),
        concat!("trans", "cript"),
        concat!("artifac", "tory"),
        concat!(".inter", "nal/"),
        concat!("index-", "url"),
    ];
    let mut wrong = Vec::new();
    for file in files().iter().filter(|file| *file != "Cargo.lock") {
        let bytes = fs::read(root().join(file)).unwrap_or_else(|error| panic!("{file}: {error}"));
        let text = String::from_utf8_lossy(&bytes).to_lowercase();
        for (at, line) in text.lines().enumerate() {
            for word in machine.iter().filter(|word| line.contains(**word)) {
                wrong.push(format!("{file}:{}: {word}", at + 1));
            }
            for host in line.split("://").skip(1).filter(|host| is_private(host)) {
                wrong.push(format!("{file}:{}: a private address {host}", at + 1));
            }
        }
    }
    none("words that tell of a machine or a place", &wrong);
}

/// Whether an address is a numbered one that is neither this machine nor set aside for documentation.
fn is_private(host: &str) -> bool {
    let host: String = host.chars().take_while(|c| c.is_ascii_digit() || *c == '.').collect();
    let shown = ["127.", "0.0.0.0", "192.0.2.", "198.51.100.", "203.0.113."];
    host.matches('.').count() == 3 && !shown.iter().any(|start| host.starts_with(start))
}

#[test]
fn tests_are_told_from_sources() {
    let text = "use a;\n#[cfg(test)]\nmod handbook;\nfn f() {\n}\n#[cfg(test)]\nmod tests {\n    fn g() {\n    }\n}\nfn h() {}\n";
    let (lines, modules) = without_tests("core/src/calc/x.rs", text);
    assert_eq!(lines.iter().map(|(at, _)| *at).collect::<Vec<_>>(), [1, 4, 5, 11]);
    assert_eq!(modules, ["core/src/calc/x/handbook"]);
    let (_, modules) = without_tests("server/src/error.rs", "#[cfg(test)]\n#[path = \"error_tests.rs\"]\nmod tests;\n");
    assert_eq!(modules, ["server/src/error_tests"]);
    let (_, modules) = without_tests("server/src/book/mod.rs", "#[cfg(test)]\nmod scenarios;\n");
    assert_eq!(modules, ["server/src/book/scenarios"]);
}
