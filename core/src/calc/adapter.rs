//! Torque wrenches with an adapter on them, and what their scale allows.

use super::torque::{
    WrenchScale,
    caution::{Caution, Cautions},
};
use crate::{
    basis::{Seen, Source},
    error::CalcError,
    range::Range,
    units::{Angle, Length, Torque},
};

/// Where the adapter formula is printed.
pub const SOURCE: Source = Source::new("US Army TM 9-2350-261-20-1, p. 2-29", "", Seen::Opened);
/// Where the permissible deviation of torque wrenches is printed.
pub const DEVIATION_SOURCE: Source = Source::new("ISO 6789", "", Seen::FromMemory);

/// Length of the wrench from its drive centre to the load point of the grip.
pub const LEVER: Range = Range::new("lever_mm", "mm", 50.0, 3000.0);
/// Length of the adapter from the wrench's drive centre to the fastener's centre.
pub const EXTENSION: Range = Range::new("extension_mm", "mm", 0.0, 1000.0);
/// Angle of the adapter against the wrench's axis: 0° straight out, 90° sideways, 180° backwards.
pub const ADAPTER_ANGLE: Range = Range::new("angle_deg", "deg", 0.0, 180.0);
/// A wrench's permissible deviation.
pub const ACCURACY: Range = Range::new("accuracy_share", "", 0.0, 0.30);
/// The share of its scale below which a wrench is not used (common practice, no source).
pub const LEAST_SHARE_OF_SCALE: f64 = 0.20;

/// A crowfoot or other adapter that moves the fastener off the wrench's drive centre.
///
/// A straight drive extension is none: it only winds up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Adapter {
    /// Drive centre to the load point of the grip.
    pub lever: Length,
    /// Drive centre to the fastener's centre.
    pub extension: Length,
    /// Between the wrench's axis and the adapter: 0 straight out, a right angle sideways.
    pub angle: Angle,
}

impl Adapter {
    /// Returns the setting on the wrench over the torque at the fastener.
    ///
    /// ```text
    /// T_set / T = L / (L + E · cos φ)
    /// ```
    ///
    /// | symbol | input                  | unit | range             |
    /// |--------|------------------------|------|-------------------|
    /// | L      | [`Adapter::lever`]     | mm   | [`LEVER`]         |
    /// | E      | [`Adapter::extension`] | mm   | [`EXTENSION`]     |
    /// | φ      | [`Adapter::angle`]     | deg  | [`ADAPTER_ANGLE`] |
    ///
    /// # Errors
    ///
    /// [`CalcError::OutOfRange`] for the first input outside its range; [`CalcError::Conflict`] when the fastener
    /// would come to lie at or behind the hand.
    ///
    /// # Source
    ///
    /// [`SOURCE`]; the projection on the wrench's axis is statics.
    pub fn ratio(&self) -> Result<f64, CalcError> {
        let lever = LEVER.check(self.lever.mm())?;
        let extension = EXTENSION.check(self.extension.mm())?;
        let angle = ADAPTER_ANGLE.check(self.angle.deg())?;
        // A quarter turn is exactly sideways; its cosine in floating point is not exactly nothing.
        let along = if angle == 90.0 { 0.0 } else { extension * self.angle.rad().cos() };
        let arm = lever + along;
        if arm < lever * 0.1 {
            return Err(CalcError::Conflict {
                field: "extension_mm",
                other: "lever_mm",
                why: "an adapter turned backwards must leave at least a tenth of the lever",
            });
        }
        Ok(lever / arm)
    }

    /// Returns what to set the wrench to for this torque at the fastener.
    ///
    /// # Errors
    ///
    /// As [`Adapter::ratio`].
    pub fn setting_for(&self, at_fastener: Torque) -> Result<Torque, CalcError> {
        Ok(at_fastener * self.ratio()?)
    }

    /// Returns the torque at the fastener when the wrench shows this.
    ///
    /// # Errors
    ///
    /// As [`Adapter::ratio`].
    pub fn torque_at(&self, setting: Torque) -> Result<Torque, CalcError> {
        Ok(setting / self.ratio()?)
    }
}

/// Returns the permissible deviation of a calibrated torque wrench at this torque: 6 % up to 10 N·m, 4 % above.
///
/// Never used in place of a wrench's own figure: it is for the person who asks what the standard allows.
///
/// # Source
///
/// [`DEVIATION_SOURCE`].
#[must_use]
pub fn permissible_deviation(torque: Torque) -> f64 {
    if torque.n_m() <= 10.0 { 0.06 } else { 0.04 }
}

/// Adds what has to be said about this setting on this wrench: whether its scale reaches, and whether its
/// deviation is known.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for a deviation outside [`ACCURACY`]; [`CalcError::Conflict`] for a scale whose ends
/// are swapped or not torques.
pub fn check_scale(wrench: &WrenchScale, setting: Torque, cautions: &mut Cautions) -> Result<(), CalcError> {
    if let Some(accuracy) = wrench.accuracy_share {
        ACCURACY.check(accuracy)?;
    }
    let min = wrench.min.map_or(0.0, Torque::n_m);
    let max = wrench.max.map_or(f64::MAX, Torque::n_m);
    // Written so that a NaN at either end fails.
    if !(0.0 <= min && min < max) {
        return Err(CalcError::Conflict {
            field: "scale_min_n_m",
            other: "scale_max_n_m",
            why: "a scale runs from its least to its greatest torque",
        });
    }
    let setting = setting.n_m();
    cautions.add_if(setting < min, Caution::BelowScale);
    cautions.add_if(max < setting, Caution::AboveScale);
    let low = wrench.max.is_some() && setting < LEAST_SHARE_OF_SCALE * max;
    cautions.add_if(low && min <= setting, Caution::LowOnScale);
    cautions.add_if(wrench.accuracy_share.is_none(), Caution::AccuracyUnknown);
    Ok(())
}

#[cfg(test)]
mod handbook;

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn adapter(lever: f64, extension: f64, angle: f64) -> Adapter {
        Adapter { lever: Length::from_mm(lever), extension: Length::from_mm(extension), angle: Angle::from_deg(angle) }
    }

    #[test]
    fn sideways_needs_no_correction_and_backwards_needs_more() {
        assert_eq!(adapter(400.0, 50.0, 90.0).ratio(), Ok(1.0));
        assert_eq!(adapter(400.0, 50.0, 180.0).ratio(), Ok(400.0 / 350.0));
        assert!(adapter(100.0, 100.0, 180.0).ratio().is_err());
        assert!(adapter(400.0, f64::NAN, 0.0).ratio().is_err());
    }

    #[test]
    fn a_scale_is_used_from_a_fifth_to_its_end() {
        let wrench = WrenchScale {
            min: Some(Torque::from_n_m(20.0)),
            max: Some(Torque::from_n_m(200.0)),
            accuracy_share: Some(0.04),
        };
        for (setting, want) in [
            (10.0, Some(Caution::BelowScale)),
            (39.9, Some(Caution::LowOnScale)),
            (40.0, None),
            (200.0, None),
            (200.1, Some(Caution::AboveScale)),
        ] {
            let mut cautions = Cautions::default();
            check_scale(&wrench, Torque::from_n_m(setting), &mut cautions).unwrap();
            assert_eq!(cautions.iter().next(), want, "{setting}");
        }
        let swapped = WrenchScale { min: wrench.max, max: wrench.min, ..wrench };
        assert!(check_scale(&swapped, Torque::from_n_m(50.0), &mut Cautions::default()).is_err());
    }

    proptest! {
        #[test]
        fn what_was_set_is_what_arrives(
            lever in 50.0..3000.0, extension in 0.0..500.0, angle in 0.0..=90.0, torque in 1.0..2000.0,
        ) {
            let adapter = adapter(lever, extension, angle);
            let torque = Torque::from_n_m(torque);
            let back = adapter.torque_at(adapter.setting_for(torque).unwrap()).unwrap();
            prop_assert!((back / torque - 1.0).abs() < 1e-12);
            prop_assert!(adapter.setting_for(torque).unwrap() <= torque);
        }

        #[test]
        fn a_longer_adapter_needs_a_lower_setting(
            lever in 50.0..3000.0, extension in 0.0..500.0, more in 0.1..100.0, angle in 0.0..89.0,
        ) {
            let short = adapter(lever, extension, angle).ratio().unwrap();
            let long = adapter(lever, extension + more, angle).ratio().unwrap();
            prop_assert!(long < short);
        }
    }
}
