//! Reading and printing what people write.

pub(crate) mod number;

use crate::error::CalcError;

/// Builds the error for text that cannot be read, with the text cut to a length that fits a line.
pub(crate) fn unreadable(
    field: &'static str,
    text: &str,
    wanted: &'static str,
    why: impl Into<String>,
    example: &'static str,
) -> CalcError {
    let mut shown: String = text.chars().take(number::LONGEST).collect();
    if text.chars().nth(number::LONGEST).is_some() {
        shown.push('…');
    }
    CalcError::Unreadable { field, text: shown, wanted, why: why.into(), example }
}
