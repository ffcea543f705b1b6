//! The resistance of a wire.

use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    range::Range,
    tables::{awg, iso_6722},
    units::{Area, Ohms},
};

pub use crate::model::wiring::Wire;

/// Allowed temperature of a conductor, °C.
pub const CELSIUS: Range = Range::new("conductor_c", "°C", -40.0, 150.0);
/// Allowed area of a conductor given by nothing else.
pub const CONDUCTOR: Range = Range::new("conductor_mm2", "mm²", 0.05, 240.0);

impl Wire {
    /// Returns the area: of the gauge, the nominal or the measured one.
    ///
    /// # Errors
    ///
    /// [`CalcError::OutOfRange`] or [`CalcError::NoSuchRow`] for a size that does not exist.
    pub fn area(self) -> Result<Area, CalcError> {
        match self {
            Self::Awg(gauge) => awg::area(gauge),
            Self::Metric(nominal) => iso_6722::resistance_per_metre(nominal).map(|_| nominal),
            Self::Geometric(area) => CONDUCTOR.check(area.mm2()).map(Area::from_mm2),
        }
    }

    /// Returns where its resistance comes from.
    #[must_use]
    pub const fn source(self) -> Source {
        match self {
            Self::Awg(_) => awg::SOURCE,
            Self::Metric(_) => iso_6722::SOURCE,
            Self::Geometric(_) => Source::new("resistivity over area", "", Seen::Derived),
        }
    }

    /// Returns the resistance of one metre at a conductor temperature.
    ///
    /// ```text
    /// R₂₀ = ρ / A        R = R₂₀ · (1 + 0.00393 · (t − 20))
    /// ```
    ///
    /// # Errors
    ///
    /// As [`Wire::area`]; [`CalcError::OutOfRange`] for [`CELSIUS`].
    ///
    /// # Source
    ///
    /// NBS Handbook 100 for copper; ISO 6722-1, from memory, for a metric cable's greatest resistance.
    pub fn resistance_per_metre(self, celsius: f64) -> Result<Ohms, CalcError> {
        let celsius = CELSIUS.check(celsius)?;
        let cold = match self {
            Self::Metric(nominal) => iso_6722::resistance_per_metre(nominal)?.ohm(),
            Self::Awg(_) | Self::Geometric(_) => awg::COPPER_OHM_MM2_PER_M / self.area()?.mm2(),
        };
        Ok(Ohms::from_ohm(cold * warm(celsius)))
    }

    /// Returns the steps behind its resistance.
    #[must_use]
    pub fn basis(self, celsius: f64) -> Vec<Basis> {
        let size = match self {
            Self::Awg(gauge) => ("awg_code", f64::from(gauge)),
            Self::Metric(area) | Self::Geometric(area) => ("conductor_mm2", area.mm2()),
        };
        let text = if matches!(self, Self::Metric(_)) { "R₂₀ by the table" } else { "R₂₀ = ρ / A" };
        vec![
            Basis::new("wire-resistance", text, self.source(), &[size]),
            Basis::new(
                "copper-temperature",
                "R = R₂₀ · (1 + 0.00393 · (t − 20))",
                awg::COPPER_SOURCE,
                &[("conductor_c", celsius)],
            ),
        ]
    }
}

/// Returns by which factor copper's resistance exceeds that at 20 °C.
pub(super) fn warm(celsius: f64) -> f64 {
    1.0 + awg::COPPER_PER_KELVIN * (celsius - 20.0)
}
