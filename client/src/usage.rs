//! What was typed: a value that begins with a minus, and what the parser of the command line refuses, in four parts.

use std::ffi::OsString;

use clap::error::{ContextKind, ContextValue, ErrorKind};

use crate::{fail::Failure, read::ReadError};

/// The flags of one letter; everything else behind a single dash is a value.
const SHORT: [&str; 3] = ["-", "-h", "-V"];

/// Joins `--tongue -4m` to `--tongue=-4m`, for every option of every command: what begins with a single dash and follows
/// an option is its value, so that the range of the value answers and not the parser of flags.
pub fn joined(words: impl IntoIterator<Item = OsString>) -> Vec<OsString> {
    let mut read: Vec<OsString> = Vec::new();
    let mut flags = true;
    for word in words {
        let text = word.to_str().unwrap_or_default();
        let is_value = text.starts_with('-') && !text.starts_with("--") && !SHORT.contains(&text);
        let option = read.last_mut().filter(|last| flags && is_value && is_open(last));
        match option {
            Some(option) => {
                option.push("=");
                option.push(word);
            }
            None => {
                flags &= text != "--";
                read.push(word);
            }
        }
    }
    read
}

/// Returns whether a word is an option whose value may follow.
fn is_open(word: &OsString) -> bool {
    word.to_str().is_some_and(|word| word.len() > 2 && word.starts_with("--") && !word.contains('='))
}

/// Tells in four parts what the parser of the command line refuses; nothing when help or the release was asked for.
/// `command` is the command that was named, as far as the words name one.
pub fn failure(error: &clap::Error, command: &str) -> Option<Failure> {
    let one = |kind| match error.get(kind) {
        Some(ContextValue::String(text)) => text.clone(),
        Some(ContextValue::Strings(all)) => all.join(", "),
        Some(ContextValue::StyledStr(text)) => text.to_string(),
        Some(ContextValue::Number(number)) => number.to_string(),
        _ => String::new(),
    };
    let invalid = one(ContextKind::InvalidArg);
    // `--tongue <MASS|SHARE>` is typed as `--tongue`.
    let flag = if invalid.starts_with('-') { invalid.split([' ', '=']).next().unwrap_or_default() } else { &invalid };
    let value = one(ContextKind::InvalidValue);
    let help = format!("{command} --help shows how it is used, with two examples");
    let failure = match error.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion | ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => {
            return None;
        }
        ErrorKind::ValueValidation => {
            let source = std::error::Error::source(error);
            let at = format!("{flag} {value:?}");
            let failure = Failure::usage(format!("{flag} cannot be read"));
            match source.and_then(|source| source.downcast_ref::<ReadError>()) {
                Some(read) => failure.at(at, read.why.clone()).next(read.next.clone()),
                None => failure.at(at, source.map_or_else(String::new, ToString::to_string)).next(help),
            }
        }
        ErrorKind::InvalidValue => {
            let allowed = one(ContextKind::ValidValue);
            let allowed = if allowed.is_empty() { String::new() } else { format!("; allowed: {allowed}") };
            let next = match one(ContextKind::SuggestedValue) {
                nearest if nearest.is_empty() => help,
                nearest => format!("{flag} {nearest}"),
            };
            if value.is_empty() {
                Failure::usage(format!("{flag} has no value")).at(invalid, format!("it needs one{allowed}")).next(next)
            } else {
                Failure::usage(format!("{flag} cannot be read"))
                    .at(format!("{flag} {value:?}"), format!("it has no such value{allowed}"))
                    .next(next)
            }
        }
        ErrorKind::UnknownArgument => {
            let next = match one(ContextKind::SuggestedArg) {
                nearest if nearest.is_empty() => help,
                nearest => format!("the nearest is {nearest}; {command} --help lists all"),
            };
            Failure::usage("an argument is not known").at(flag, format!("{command} takes nothing like it")).next(next)
        }
        ErrorKind::InvalidSubcommand => {
            let word = one(ContextKind::InvalidSubcommand);
            let next = match one(ContextKind::SuggestedSubcommand) {
                nearest if nearest.is_empty() => format!("{command} --help lists every command"),
                nearest => format!("the nearest is {nearest}; {command} --help lists every command"),
            };
            Failure::usage("there is no such command").at(word, format!("it is no command of {command}")).next(next)
        }
        ErrorKind::MissingRequiredArgument => missing(error).next(help),
        ErrorKind::ArgumentConflict => {
            let prior = one(ContextKind::PriorArg);
            let why = match prior {
                prior if prior == invalid => "it stands there twice; once is allowed".to_owned(),
                prior if prior.is_empty() => "it cannot go with what else is given".to_owned(),
                prior => format!("it cannot go with {prior}"),
            };
            Failure::usage("two arguments exclude each other").at(invalid, why).next(help)
        }
        _ => {
            let told = error.to_string();
            let told = told.lines().next().unwrap_or_default().trim_start_matches("error: ").to_owned();
            let at = if invalid.is_empty() { command.to_owned() } else { invalid };
            Failure::usage("the command line cannot be read").at(at, told).next(help)
        }
    };
    Some(failure)
}

/// Lists what is required and was not given.
fn missing(error: &clap::Error) -> Failure {
    let wanted = match error.get(ContextKind::InvalidArg) {
        Some(ContextValue::Strings(all)) => all.as_slice(),
        _ => &[],
    };
    let what = match wanted {
        [_] => "an argument is missing".to_owned(),
        all => format!("{} arguments are missing", all.len()),
    };
    wanted.iter().fold(Failure::usage(what), |failure, wanted| {
        let other = INSTEAD.iter().find(|(flag, _)| wanted.split(' ').next() == Some(*flag));
        let why = other.map_or_else(|| "it is required".to_owned(), |(_, other)| format!("it is required, or {other}"));
        failure.at(wanted, why)
    })
}

/// What may be given in the place of an argument that is missing; of several ways the reader of arguments names only one.
const INSTEAD: &[(&str, &str)] = &[
    ("--plan", "--vehicle and the parts of the plan as flags of their own"),
    ("--request", "--bolt or --thread and the joint as flags of their own"),
    ("--bolt", "--thread"),
    ("--specified-bolt", "--specified-thread"),
    ("--terrain", "--ground"),
    ("--wrench", "--accuracy"),
];

/// Returns the command that the words name, as far as they do: `baybook book get`.
pub fn named(whole: &clap::Command, words: &[OsString]) -> String {
    let (mut path, mut within) = (whole.get_name().to_owned(), whole);
    for word in words.iter().skip(1).filter_map(|word| word.to_str()) {
        if let Some(inner) = within.find_subcommand(word) {
            path = format!("{path} {word}");
            within = inner;
        }
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(words: &[&str]) -> Vec<String> {
        let words = joined(words.iter().map(OsString::from));
        words.into_iter().map(|word| word.into_string().unwrap()).collect()
    }

    #[test]
    fn what_follows_an_option_behind_one_dash_is_its_value() {
        assert_eq!(read(&["tongue", "--ball", "-4m", "--out", "-"]), ["tongue", "--ball=-4m", "--out", "-"]);
        assert_eq!(read(&["--a", "-.5 in", "--b", "-five kg", "-½ in"]), ["--a=-.5 in", "--b=-five kg", "-½ in"]);
        // Flags, values that are there already and what stands behind the lone pair of dashes stay as they are.
        for words in [&["--a", "--b", "-h"][..], &["--a=1", "-4m"], &["--a", "1", "-4m"], &["--", "--a", "-4m"]] {
            assert_eq!(read(words), words);
        }
    }

    #[test]
    fn the_command_is_what_the_words_name() {
        let whole =
            clap::Command::new("baybook").subcommand(clap::Command::new("book").subcommand(clap::Command::new("get")));
        let told = |words: &[&str]| named(&whole, &words.iter().map(OsString::from).collect::<Vec<_>>());
        assert_eq!(told(&["./x", "--format", "json", "book", "get", "bolts/a"]), "baybook book get");
        assert_eq!(told(&["baybook", "get"]), "baybook");
        assert_eq!(told(&[]), "baybook");
    }
}
