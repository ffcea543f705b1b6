//! Our own quantities.
//!
//! Each is a number in one SI unit behind a private field: built through a named unit, read through a named unit.
//! Only the products that physics needs exist. The types do not stop a NaN: [`crate::range::Range::check`] does,
//! at the border of every calculator.

use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

pub mod text;

/// Standard acceleration of free fall, m/s², exact by convention (NIST SP 811, from memory).
/// Used for every weight in this crate except the coupling formulas, see [`G_COUPLING`].
pub const G: f64 = 9.806_65;

/// The rounded acceleration that the coupling regulation's formulas print, m/s² (from memory of UN Regulation 55).
/// Kept apart from [`G`]: mixing them moves a D-value by 0.03 %.
pub const G_COUPLING: f64 = 9.81;

macro_rules! quantity {
    (
        $(#[$doc:meta])* $name:ident {
            $( $(#[$unit_doc:meta])* $from:ident / $read:ident = $factor:expr ),+ $(,)?
        }
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0.0);

            $(
                $(#[$unit_doc])*
                #[must_use]
                pub const fn $from(value: f64) -> Self {
                    Self(value * $factor)
                }

                /// Reads it back in the unit the name says.
                #[must_use]
                pub const fn $read(self) -> f64 {
                    self.0 / $factor
                }
            )+

            /// Returns the smaller of two.
            #[must_use]
            pub const fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }

            /// Returns the larger of two.
            #[must_use]
            pub const fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }

            /// Returns the magnitude.
            #[must_use]
            pub const fn abs(self) -> Self {
                Self(self.0.abs())
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl SubAssign for $name {
            fn sub_assign(&mut self, other: Self) {
                self.0 -= other.0;
            }
        }

        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl Mul<$name> for f64 {
            type Output = $name;
            fn mul(self, quantity: $name) -> $name {
                $name(self * quantity.0)
            }
        }

        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }

        /// A ratio of two like quantities is a bare number.
        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }

        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
                items.fold(Self::ZERO, |total, item| total + item)
            }
        }
    };
}

/// Millimetres in an inch, exact (international yard and pound agreement of 1959; from memory of NIST SP 811).
pub const MM_PER_IN: f64 = 25.4;
/// Kilograms in an avoirdupois pound, exact (same origin).
pub const KG_PER_LB: f64 = 0.453_592_37;
/// Newtons in a pound-force: [`KG_PER_LB`] × [`G`], exact.
pub const N_PER_LBF: f64 = 4.448_221_615_260_5;
/// Newton metres in a pound-foot: 0.3048 m × [`N_PER_LBF`], exact.
pub const N_M_PER_LB_FT: f64 = 1.355_817_948_331_400_4;
/// Megapascals in a ksi: 1000 × [`N_PER_LBF`] / 645.16 mm².
pub const MPA_PER_KSI: f64 = 1000.0 * N_PER_LBF / 645.16;

quantity! {
    /// A length, stored in millimetres.
    Length {
        /// From millimetres.
        from_mm / mm = 1.0,
        /// From metres.
        from_m / m = 1000.0,
        /// From inches of exactly 25.4 mm.
        from_in / inches = MM_PER_IN,
        /// From feet of exactly 304.8 mm.
        from_ft / ft = 12.0 * MM_PER_IN,
    }
}

quantity! {
    /// A mass, stored in kilograms.
    Mass {
        /// From kilograms.
        from_kg / kg = 1.0,
        /// From metric tonnes.
        from_t / t = 1000.0,
        /// From pounds of exactly 0.453 592 37 kg.
        from_lb / lb = KG_PER_LB,
    }
}

quantity! {
    /// A force, stored in newtons.
    Force {
        /// From newtons.
        from_n / n = 1.0,
        /// From kilonewtons.
        from_kn / kn = 1000.0,
        /// From pounds-force.
        from_lbf / lbf = N_PER_LBF,
    }
}

quantity! {
    /// A torque, stored in newton metres.
    Torque {
        /// From newton metres.
        from_n_m / n_m = 1.0,
        /// From pound-feet.
        from_lb_ft / lb_ft = N_M_PER_LB_FT,
        /// From pound-inches, a twelfth of a pound-foot.
        from_lb_in / lb_in = N_M_PER_LB_FT / 12.0,
    }
}

quantity! {
    /// A stress or pressure, stored in megapascals.
    Stress {
        /// From megapascals, which are newtons per square millimetre.
        from_mpa / mpa = 1.0,
        /// From kilopascals.
        from_kpa / kpa = 0.001,
        /// From thousands of pounds-force per square inch.
        from_ksi / ksi = MPA_PER_KSI,
        /// From pounds-force per square inch.
        from_psi / psi = MPA_PER_KSI / 1000.0,
    }
}

quantity! {
    /// An area, stored in square millimetres.
    Area {
        /// From square millimetres.
        from_mm2 / mm2 = 1.0,
        /// From square inches of exactly 645.16 mm².
        from_in2 / in2 = MM_PER_IN * MM_PER_IN,
    }
}

quantity! {
    /// An angle, stored in radians.
    Angle {
        /// From radians.
        from_rad / rad = 1.0,
        /// From degrees.
        from_deg / deg = std::f64::consts::PI / 180.0,
    }
}

quantity! {
    /// A spring rate, stored in newtons per millimetre.
    Rate {
        /// From newtons per millimetre.
        from_n_per_mm / n_per_mm = 1.0,
        /// From pounds-force per inch.
        from_lbf_per_in / lbf_per_in = N_PER_LBF / MM_PER_IN,
    }
}

quantity! {
    /// An electric potential, stored in volts.
    Volts {
        /// From volts.
        from_v / v = 1.0,
    }
}

quantity! {
    /// An electric current, stored in amperes.
    Amps {
        /// From amperes.
        from_a / a = 1.0,
    }
}

quantity! {
    /// An electric resistance, stored in ohms.
    Ohms {
        /// From ohms.
        from_ohm / ohm = 1.0,
    }
}

impl Mass {
    /// Returns the weight of this mass under [`G`].
    #[must_use]
    pub const fn weight(self) -> Force {
        Force(self.0 * G)
    }

    /// Returns whether it is more than a limit by more than a microgram.
    ///
    /// Sums and shares of exact figures come out a few parts in 10¹⁶ off in binary: 1.5 % of 6000 lb is not quite
    /// 90 lb. A load that sits exactly on its limit must not fail for that.
    #[must_use]
    pub const fn exceeds(self, limit: Self) -> bool {
        self.0 - limit.0 > 1e-9
    }
}

/// Force over area is stress.
impl Div<Area> for Force {
    type Output = Stress;
    fn div(self, area: Area) -> Stress {
        Stress(self.0 / area.0)
    }
}

/// Stress on an area is a force.
impl Mul<Area> for Stress {
    type Output = Force;
    fn mul(self, area: Area) -> Force {
        Force(self.0 * area.0)
    }
}

/// Force on a lever is a torque; millimetres and metres are minded here, once.
impl Mul<Length> for Force {
    type Output = Torque;
    fn mul(self, lever: Length) -> Torque {
        Torque(self.0 * lever.0 / 1000.0)
    }
}

/// Torque over a lever is a force.
impl Div<Length> for Torque {
    type Output = Force;
    fn div(self, lever: Length) -> Force {
        Force(self.0 * 1000.0 / lever.0)
    }
}

/// Force over a spring rate is a travel.
impl Div<Rate> for Force {
    type Output = Length;
    fn div(self, rate: Rate) -> Length {
        Length(self.0 / rate.0)
    }
}

/// A rectangle's area.
impl Mul for Length {
    type Output = Area;
    fn mul(self, other: Self) -> Area {
        Area(self.0 * other.0)
    }
}

/// Ohm's law: current through a resistance drops a voltage.
impl Mul<Ohms> for Amps {
    type Output = Volts;
    fn mul(self, resistance: Ohms) -> Volts {
        Volts(self.0 * resistance.0)
    }
}

#[cfg(test)]
mod tests;
