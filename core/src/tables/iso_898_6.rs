//! Proof stresses of full-height steel nuts with fine threads, M8x1 to M39x3.

use super::{NutProof, no_class_row};
use crate::basis::{Seen, Source};
use crate::error::CalcError;
use crate::model::fastener::NutClass;
use crate::model::thread::Thread;
use crate::units::Stress;

/// The table; nobody opened it. Its figures are above those of coarse threads.
pub const SOURCE: Source = Source::new("ISO 898-6, proof load values, fine thread", "1994", Seen::FromMemory);

/// Class, diameters above and to (mm), and proof stress (MPa) of style 1.
#[rustfmt::skip]
pub const BANDS: &[(NutClass, f64, f64, f64)] = &[
    (NutClass::Iso5,  7.0, 16.0,  690.0),
    (NutClass::Iso5, 16.0, 39.0,  720.0),
    (NutClass::Iso6,  7.0, 10.0,  770.0),
    (NutClass::Iso6, 10.0, 16.0,  780.0),
    (NutClass::Iso6, 16.0, 33.0,  870.0),
    (NutClass::Iso6, 33.0, 39.0,  930.0),
    (NutClass::Iso8,  7.0, 16.0,  955.0),
    (NutClass::Iso8, 16.0, 33.0, 1030.0),
    (NutClass::Iso8, 33.0, 39.0, 1090.0),
    (NutClass::Iso10, 7.0, 10.0, 1100.0),
    (NutClass::Iso10, 10.0, 16.0, 1110.0),
];

/// Returns the proof stress of a full-height nut with a fine thread.
///
/// # Errors
///
/// [`CalcError::NoSuchRow`] when the table has no such class or size.
pub(super) fn nut_proof(class: NutClass, thread: &Thread) -> Result<NutProof, CalcError> {
    let d = thread.diameter.mm();
    let band = BANDS.iter().find(|(row, above, to, _)| *row == class && *above < d && d <= *to);
    let &(_, _, _, stress) = band.ok_or_else(|| {
        no_class_row(class, thread, "ISO 898-6:1994", "5, 6 and 8 on M8x1 to M39x3 fine; 10 on M8x1 to M16x1.5")
    })?;
    Ok(NutProof::computed(Stress::from_mpa(stress), thread, true, SOURCE))
}
