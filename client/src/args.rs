//! Flags that several subcommands share.

pub mod bolted;
pub mod circuit;
pub mod joint;
pub mod plan;

/// Makes the words of a flag out of values of the contract: the same names, each with what it means to a person.
macro_rules! words {
    ($(#[$about:meta])* $seen:vis $name:ident for pb::$wire:ident { $($(#[$meaning:meta])* $word:ident),+ $(,)? }) => {
        #[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
        $(#[$about])*
        $seen enum $name {
            $($(#[$meaning])* $word,)+
        }

        impl From<$name> for pb::$wire {
            fn from(word: $name) -> Self {
                match word {
                    $($name::$word => Self::$word,)+
                }
            }
        }
    };
}
pub(crate) use words;

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
