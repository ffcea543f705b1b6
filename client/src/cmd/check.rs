//! `baybook check`

use clap::Args;

use crate::{
    context::Context,
    fail::{Failure, Outcome},
};

/// Check a fleet sheet against the rules
#[derive(Debug, Args)]
pub struct CheckArgs {}

pub async fn run(_args: CheckArgs, _context: &mut Context) -> Outcome {
    Err(Failure::usage("check is not in this build").next("baybook --help").into())
}
