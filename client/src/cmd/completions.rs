//! `baybook completions`

use clap::{Args, CommandFactory as _};
use clap_complete::Shell;

use crate::{
    Cli,
    context::Context,
    fail::{Exit, Outcome},
};

const EXAMPLES: &str = "\
Examples:
  baybook completions bash > baybook.bash
  baybook completions zsh > _baybook";

/// Print what a shell needs to complete commands and flags
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct CompletionsArgs {
    /// The shell
    #[arg(value_name = "SHELL")]
    shell: Shell,
}

pub fn run(args: &CompletionsArgs, context: &mut Context) -> Outcome {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Cli::command(), "baybook", &mut script);
    context.out.raw(&script)?;
    Ok(Exit::Ok)
}
