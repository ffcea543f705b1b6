//! Flags that several subcommands share.

pub mod bolted;
pub mod circuit;
pub mod joint;
pub mod plan;

/// An answer that is never guessed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum YesNo {
    /// It is so
    Yes,
    /// It is not so
    No,
}

impl From<YesNo> for bool {
    fn from(answer: YesNo) -> Self {
        answer == YesNo::Yes
    }
}
