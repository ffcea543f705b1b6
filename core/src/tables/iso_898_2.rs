//! Proof loads of steel nuts with coarse threads, and which nut a bolt needs.

use super::{NutProof, no_class_row};
use crate::basis::{Seen, Source};
use crate::error::CalcError;
use crate::model::fastener::{IsoClass, NutClass};
use crate::model::thread::{Thread, ThreadSeries};
use crate::units::{Force, Stress};

/// The printed proof loads; the older edition's classes 5, 6, 8, 10 and 12 (style 1).
pub const SOURCE: Source =
    Source::new("ISO 898-2, proof load values, coarse thread (as EN 20898-2)", "1992", Seen::Opened);
/// Proof stresses of classes and sizes outside the printed loads.
pub const RECALLED: Source = Source::new("ISO 898-2, mechanical properties, coarse thread", "1992", Seen::FromMemory);
/// Thin nuts, style 0.
pub const THIN: Source = Source::new("ISO 898-2 and ISO 898-6, thin nuts of classes 04 and 05", "", Seen::Opened);
/// Which nut class a bolt class needs.
pub const MATCHING: Source = Source::new("ISO 898-2, table 1", "", Seen::FromMemory);

/// Printed proof loads of one size, in kilonewtons.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Nominal diameter, mm.
    pub diameter_mm: f64,
    /// Loads of the classes in the order of [`PRINTED_CLASSES`].
    pub loads_kn: [f64; 5],
}

/// The classes of the printed loads, in their order.
pub const PRINTED_CLASSES: [NutClass; 5] =
    [NutClass::Iso5, NutClass::Iso6, NutClass::Iso8, NutClass::Iso10, NutClass::Iso12];

/// The printed proof loads of full-height nuts.
#[rustfmt::skip]
pub const LOADS: &[Row] = &[
    Row { diameter_mm:  5.0, loads_kn: [  8.25,  9.50,  12.14,  14.8,  16.3] },
    Row { diameter_mm:  6.0, loads_kn: [ 11.7,  13.5,   17.2,   20.9,  23.1] },
    Row { diameter_mm:  8.0, loads_kn: [ 21.6,  24.9,   31.8,   38.1,  42.5] },
    Row { diameter_mm: 10.0, loads_kn: [ 34.2,  39.4,   50.5,   60.3,  67.3] },
    Row { diameter_mm: 12.0, loads_kn: [ 51.4,  59.0,   74.2,   88.5, 100.3] },
    Row { diameter_mm: 14.0, loads_kn: [ 70.2,  80.5,  101.2,  120.8, 136.9] },
    Row { diameter_mm: 16.0, loads_kn: [ 95.8, 109.9,  138.2,  164.9, 186.8] },
    Row { diameter_mm: 18.0, loads_kn: [121.0, 138.2,  176.6,  203.5, 230.4] },
    Row { diameter_mm: 20.0, loads_kn: [154.4, 176.4,  225.4,  259.7, 294.0] },
    Row { diameter_mm: 22.0, loads_kn: [190.9, 218.2,  278.8,  321.2, 363.6] },
    Row { diameter_mm: 24.0, loads_kn: [222.4, 254.2,  324.8,  374.2, 423.6] },
    Row { diameter_mm: 30.0, loads_kn: [353.4, 403.9,  516.1,  594.7, 673.2] },
    Row { diameter_mm: 36.0, loads_kn: [514.7, 588.2,  751.6,  866.0, 980.4] },
];

/// Proof stress of one class over one span of diameters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// The class.
    pub class: NutClass,
    /// For diameters above this, mm.
    pub above_mm: f64,
    /// To this diameter inclusive, mm.
    pub to_mm: f64,
    /// Proof stress, MPa.
    pub stress_mpa: f64,
    /// Whether the printed loads of this span imply the stress.
    pub source: Source,
}

const fn band(class: NutClass, above_mm: f64, to_mm: f64, stress_mpa: f64, source: Source) -> Band {
    Band { class, above_mm, to_mm, stress_mpa, source }
}

/// Proof stresses of full-height nuts; those that [`LOADS`] imply are the load over the stress area.
#[rustfmt::skip]
pub const BANDS: &[Band] = &[
    band(NutClass::Iso4,  16.0, 39.0,  510.0, RECALLED),
    band(NutClass::Iso5,   4.0,  6.0,  580.0, SOURCE),
    band(NutClass::Iso5,   6.0, 10.0,  590.0, SOURCE),
    band(NutClass::Iso5,  10.0, 16.0,  610.0, SOURCE),
    band(NutClass::Iso5,  16.0, 39.0,  630.0, SOURCE),
    band(NutClass::Iso6,   4.0,  6.0,  670.0, SOURCE),
    band(NutClass::Iso6,   6.0, 10.0,  680.0, SOURCE),
    band(NutClass::Iso6,  10.0, 16.0,  700.0, SOURCE),
    band(NutClass::Iso6,  16.0, 39.0,  720.0, SOURCE),
    band(NutClass::Iso8,   4.0,  6.0,  855.0, SOURCE),
    band(NutClass::Iso8,   6.0, 10.0,  870.0, SOURCE),
    band(NutClass::Iso8,  10.0, 16.0,  880.0, SOURCE),
    band(NutClass::Iso8,  16.0, 39.0,  920.0, SOURCE),
    band(NutClass::Iso9,   4.0,  6.0,  915.0, RECALLED),
    band(NutClass::Iso9,   6.0, 10.0,  940.0, RECALLED),
    band(NutClass::Iso9,  10.0, 16.0,  950.0, RECALLED),
    band(NutClass::Iso9,  16.0, 39.0,  920.0, RECALLED),
    band(NutClass::Iso10,  4.0, 10.0, 1040.0, SOURCE),
    band(NutClass::Iso10, 10.0, 16.0, 1050.0, SOURCE),
    band(NutClass::Iso10, 16.0, 39.0, 1060.0, SOURCE),
    band(NutClass::Iso12,  4.0,  6.0, 1150.0, SOURCE),
    band(NutClass::Iso12,  6.0, 10.0, 1160.0, SOURCE),
    band(NutClass::Iso12, 10.0, 16.0, 1190.0, SOURCE),
    band(NutClass::Iso12, 16.0, 39.0, 1200.0, SOURCE),
];

/// Proof stress of thin nuts, MPa. Their threads may strip before the bolt breaks.
pub const THIN_STRESSES: [(NutClass, f64); 2] = [(NutClass::Iso04, 380.0), (NutClass::Iso05, 500.0)];

/// Returns the proof stress and load of an ISO nut on a metric thread.
///
/// # Errors
///
/// [`CalcError::NoSuchRow`] when the class is not made in this size.
pub(super) fn nut_proof(class: NutClass, thread: &Thread) -> Result<NutProof, CalcError> {
    let d = thread.diameter.mm();
    let refused = |rows| no_class_row(class, thread, "ISO 898-2", rows);
    if let Some((_, stress)) = THIN_STRESSES.iter().find(|(thin, _)| *thin == class) {
        let fits = if thread.series == ThreadSeries::Coarse { 5.0 <= d } else { 8.0 <= d };
        if fits && d <= 39.0 {
            return Ok(NutProof::computed(Stress::from_mpa(*stress), thread, false, THIN));
        }
        return Err(refused("04 and 05 on M5 to M39 coarse, M8x1 to M39x3 fine"));
    }
    if thread.series != ThreadSeries::Coarse {
        return super::iso_898_6::nut_proof(class, thread);
    }
    let band = BANDS.iter().find(|band| band.class == class && band.above_mm < d && d <= band.to_mm);
    let band = band.ok_or_else(|| refused("4 on M18 to M39; 5, 6, 8, 9, 10 and 12 on M5 to M39"))?;
    let column = PRINTED_CLASSES.iter().position(|printed| *printed == class);
    let row = LOADS.iter().find(|row| (row.diameter_mm - d).abs() < 1e-6);
    let printed = row.zip(column).and_then(|(row, column)| row.loads_kn.get(column)).map(|&kn| Force::from_kn(kn));
    let computed = NutProof::computed(Stress::from_mpa(band.stress_mpa), thread, true, band.source);
    Ok(NutProof { load: printed.unwrap_or(computed.load), ..computed })
}

/// Returns the number of the weakest regular nut class that develops a bolt of this class.
#[must_use]
pub const fn least_nut(class: IsoClass) -> u32 {
    match class {
        IsoClass::C4_6 | IsoClass::C4_8 => 4,
        IsoClass::C5_6 | IsoClass::C5_8 => 5,
        IsoClass::C6_8 => 6,
        IsoClass::C8_8 => 8,
        IsoClass::C9_8 => 9,
        IsoClass::C10_9 => 10,
        IsoClass::C12_9 => 12,
    }
}
