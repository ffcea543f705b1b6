//! What every rule stands on: the case it reads, the figures computed once for all, the findings it makes, the report.

pub mod case;
pub mod figures;
pub mod finding;
#[cfg(test)]
pub(crate) mod fixture;
pub mod region;
pub mod report;
pub mod words;
