//! What a rule reads.

use super::figures::Figures;
use crate::model::upfit::Upfit;

/// One plan and everything computed from it.
#[derive(Debug, Clone, Copy)]
pub struct Case<'a> {
    /// The plan, with every name resolved.
    pub plan: &'a Upfit,
    /// The figures, each computed once.
    pub figures: &'a Figures,
}
