//! The command line of baybook: parse, connect, dispatch, exit code.
//!
//! A library that only `main.rs` is linked with: so it is compiled beside the service it hosts, not after it.

mod args;
mod cmd;
mod connect;
mod context;
mod credentials;
mod entry_file;
mod fail;
mod load;
mod out;
mod page;
mod people;
mod progress;
mod read;
mod retry;
mod sheet;
mod signals;
mod stamp;
mod table;
mod usage;

use std::{ffi::OsString, process::ExitCode};

use clap::{CommandFactory as _, FromArgMatches as _, Parser, Subcommand};
use tokio::runtime::{Builder, Runtime};

use crate::{
    context::{Context, Options},
    fail::{Outcome, Stop},
};

const AFTER: &str = "\
Exit codes: 0 ok, 1 our fault, 2 usage or unreadable input, 3 findings block at least one plan,
4 not found, 5 conflict, 6 denied, 7 unreachable or timed out, 8 damaged data, 130 interrupted.

Examples:
  baybook thread M12 --class 8.8
  baybook book find van --book deploy/demo/book";

/// Look up, calculate and check towing upfits from one shared book
#[derive(Debug, Parser)]
#[command(name = "baybook", version, after_long_help = AFTER, max_term_width = 100, arg_required_else_help = true)]
struct Cli {
    #[command(subcommand)]
    command: Command,

    #[command(flatten)]
    options: Options,
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
enum Command {
    Check(cmd::check::CheckArgs),
    Torque(cmd::torque::TorqueArgs),
    Assess(cmd::assess::AssessArgs),
    Joint(Box<cmd::joint::JointArgs>),
    Scatter(cmd::scatter::ScatterArgs),
    Tighten(cmd::tighten::TightenArgs),
    Wrench(cmd::wrench::WrenchArgs),
    Angle(cmd::angle::AngleArgs),
    Thread(cmd::thread::ThreadArgs),
    Mark(cmd::mark::MarkArgs),
    Compare(cmd::compare::CompareArgs),
    Captive(cmd::captive::CaptiveArgs),
    Rating(cmd::rating::RatingArgs),
    Axles(cmd::axles::AxlesArgs),
    Clearance(cmd::clearance::ClearanceArgs),
    Roll(cmd::roll::RollArgs),
    Turning(cmd::turning::TurningArgs),
    Circuit(cmd::circuit::CircuitArgs),
    Fit(cmd::fit::FitArgs),
    Vin(cmd::vin::VinArgs),
    Tongue(cmd::tongue::TongueArgs),
    Label(cmd::label::LabelArgs),
    Coupling(cmd::coupling::CouplingArgs),
    Book(cmd::book::BookArgs),
    Feed(cmd::feed::FeedArgs),
    Rules(cmd::rules::RulesArgs),
    Token(cmd::token::TokenArgs),
    Audit(cmd::audit::AuditArgs),
    Backup(cmd::backup::BackupArgs),
    Restore(cmd::restore::RestoreArgs),
    Info(cmd::info::InfoArgs),
    Doctor(cmd::doctor::DoctorArgs),
    Serve(cmd::serve::ServeArgs),
    Completions(cmd::completions::CompletionsArgs),
}

impl Command {
    /// Long work gets every core; a single call is answered sooner by one thread. A feed hears signals while it writes.
    fn runtime(&self) -> std::io::Result<Runtime> {
        match self {
            Self::Check(_) | Self::Serve(_) | Self::Backup(_) | Self::Feed(_) => Builder::new_multi_thread(),
            _ => Builder::new_current_thread(),
        }
        .enable_all()
        .build()
    }

    async fn run(self, options: Options) -> Outcome {
        let mut context = Context::new(options);
        let outcome = match self {
            Self::Check(args) => cmd::check::run(args, &mut context).await,
            Self::Torque(args) => cmd::torque::run(args, &mut context).await,
            Self::Assess(args) => cmd::assess::run(args, &mut context).await,
            Self::Joint(args) => cmd::joint::run(*args, &mut context).await,
            Self::Scatter(args) => cmd::scatter::run(args, &mut context).await,
            Self::Tighten(args) => cmd::tighten::run(args, &mut context).await,
            Self::Wrench(args) => cmd::wrench::run(args, &mut context).await,
            Self::Angle(args) => cmd::angle::run(args, &mut context).await,
            Self::Thread(args) => cmd::thread::run(args, &mut context).await,
            Self::Mark(args) => cmd::mark::run(args, &mut context).await,
            Self::Compare(args) => cmd::compare::run(args, &mut context).await,
            Self::Captive(args) => cmd::captive::run(args, &mut context).await,
            Self::Rating(args) => cmd::rating::run(args, &mut context).await,
            Self::Axles(args) => cmd::axles::run(args, &mut context).await,
            Self::Clearance(args) => cmd::clearance::run(args, &mut context).await,
            Self::Roll(args) => cmd::roll::run(args, &mut context).await,
            Self::Turning(args) => cmd::turning::run(args, &mut context).await,
            Self::Circuit(args) => cmd::circuit::run(args, &mut context).await,
            Self::Fit(args) => cmd::fit::run(args, &mut context).await,
            Self::Vin(args) => cmd::vin::run(args, &mut context).await,
            Self::Tongue(args) => cmd::tongue::run(args, &mut context).await,
            Self::Label(args) => cmd::label::run(args, &mut context).await,
            Self::Coupling(args) => cmd::coupling::run(args, &mut context).await,
            Self::Book(args) => cmd::book::run(args, &mut context).await,
            Self::Feed(args) => cmd::feed::run(args, &mut context).await,
            Self::Rules(args) => cmd::rules::run(args, &mut context).await,
            Self::Token(args) => cmd::token::run(args, &mut context).await,
            Self::Audit(args) => cmd::audit::run(args, &mut context).await,
            Self::Backup(args) => cmd::backup::run(args, &mut context).await,
            Self::Restore(args) => cmd::restore::run(args, &mut context).await,
            Self::Info(args) => cmd::info::run(args, &mut context).await,
            Self::Doctor(args) => cmd::doctor::run(args, &mut context).await,
            Self::Serve(args) => cmd::serve::run(args, &context).await,
            Self::Completions(args) => cmd::completions::run(&args, &mut context),
        };
        let closed = context.close().await;
        outcome.and_then(|exit| closed.map(|()| exit))
    }
}

/// Reads the command line. Only the command that was named is built, for building all of them takes as long as a call;
/// help and what was typed wrongly are told from the whole.
fn parse(words: &[OsString]) -> Result<Cli, clap::Error> {
    let matches = Cli::command().try_get_matches_from(words).or_else(|_| whole().try_get_matches_from(words));
    Cli::from_arg_matches(&matches?)
}

/// Builds every command.
fn whole() -> clap::Command {
    let mut whole = Cli::command();
    whole.build();
    whole
}

/// Reads the command line, does what it says, and returns how it ended.
pub fn main() -> ExitCode {
    let words = usage::joined(std::env::args_os());
    let exit = match parse(&words) {
        Ok(cli) => cli
            .command
            .runtime()
            .map_err(Stop::from)
            .and_then(|runtime| runtime.block_on(cli.command.run(cli.options)))
            .unwrap_or_else(out::tell),
        Err(error) => out::tell_usage(&error, &usage::named(&whole(), &words)),
    };
    ExitCode::from(exit as u8)
}

#[cfg(test)]
mod tests {
    use clap::error::ErrorKind;

    use super::*;

    #[test]
    fn the_command_line_is_well_formed() {
        Cli::command().debug_assert();
    }

    /// Lists every command with the words that lead to it.
    fn every_command() -> Vec<(Vec<String>, clap::Command)> {
        let mut found = vec![(vec!["baybook".to_owned()], whole())];
        let mut next = 0;
        while let Some((path, command)) = found.get(next).cloned() {
            next += 1;
            for inner in command.get_subcommands().filter(|inner| inner.get_name() != "help") {
                let mut path = path.clone();
                path.push(inner.get_name().to_owned());
                found.push((path, inner.clone()));
            }
        }
        found
    }

    #[test]
    fn a_value_behind_a_minus_reaches_every_option_of_every_command() {
        let mut options = 0;
        for (path, command) in every_command() {
            let valued = command.get_arguments().filter(|option| option.get_action().takes_values());
            for flag in valued.filter_map(clap::Arg::get_long) {
                options += 1;
                for value in ["-4m", "-4", "-.5 kg", "-five"] {
                    let flag = format!("--{flag}");
                    let words = path.iter().cloned().chain([flag.clone(), value.to_owned()]).map(OsString::from);
                    // It may be refused, and more may be missing, but it is never taken for a flag.
                    let Err(error) = parse(&usage::joined(words)) else { continue };
                    let told = usage::failure(&error, "baybook").map(|failure| failure.to_string()).unwrap_or_default();
                    assert_ne!(error.kind(), ErrorKind::UnknownArgument, "{path:?} {flag} {value}\n{told}");
                    if error.kind() == ErrorKind::ValueValidation {
                        let at = format!("error: {flag} cannot be read\n  where  {flag} {value:?}\n  why    ");
                        assert!(told.starts_with(&at) && told.contains("\n  next   "), "{path:?}\n{told}");
                    }
                }
            }
        }
        assert!(300 <= options, "{options}");
    }
}
