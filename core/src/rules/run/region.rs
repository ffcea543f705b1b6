//! Which family of law applies.

use crate::model::{upfit::Upfit, vehicle::Market};

/// A family of law.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Region {
    /// The United States and Canada.
    NorthAmerica,
    /// Where the UN/EU type-approval rules apply.
    Europe,
    /// Anywhere else, or nobody says.
    Elsewhere,
}

/// Jurisdiction codes, up to the first hyphen, of states that apply the UN/EU coupling rules.
const EUROPEAN: &[&[u8; 2]] = &[
    b"EU", b"AT", b"BE", b"BG", b"CH", b"CY", b"CZ", b"DE", b"DK", b"EE", b"ES", b"FI", b"FR", b"GB", b"GR", b"HR",
    b"HU", b"IE", b"IS", b"IT", b"LI", b"LT", b"LU", b"LV", b"MT", b"NL", b"NO", b"PL", b"PT", b"RO", b"SE", b"SI",
    b"SK",
];

impl Region {
    /// Returns the family of the plan's jurisdiction; without one, that of the market the vehicle was built for.
    #[must_use]
    pub fn of(plan: &Upfit) -> Self {
        let Some(jurisdiction) = plan.jurisdiction.as_deref() else {
            return match plan.vehicle.market {
                Some(Market::NorthAmerica) => Self::NorthAmerica,
                Some(Market::Europe) => Self::Europe,
                Some(Market::Other) | None => Self::Elsewhere,
            };
        };
        // Ten rules ask: a country is two letters, with nothing or a hyphen behind them.
        let ([one, two] | [one, two, b'-', ..]) = jurisdiction.as_bytes() else { return Self::Elsewhere };
        match &[*one, *two] {
            b"US" | b"CA" => Self::NorthAmerica,
            country if EUROPEAN.contains(&country) => Self::Europe,
            _ => Self::Elsewhere,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Region;
    use crate::rules::run::fixture::{plan, vehicle};

    #[test]
    fn the_law_of_the_road_comes_before_the_market() {
        let mut plan = plan();
        for (code, region) in [
            ("US-TX", Region::NorthAmerica),
            ("CA-ON", Region::NorthAmerica),
            ("FI", Region::Europe),
            ("AU", Region::Elsewhere),
        ] {
            plan.jurisdiction = Some(code.into());
            assert_eq!(Region::of(&plan), region, "{code}");
        }
        plan.jurisdiction = None;
        assert_eq!(Region::of(&plan), Region::NorthAmerica);
        vehicle(&mut plan).market = None;
        assert_eq!(Region::of(&plan), Region::Elsewhere);
    }
}
