//! The chances of a preload below what is needed, or over what the bolt bears.

mod normal;

use super::{FACTOR_SOURCE, SCATTER, combined, worst};
use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    range::Range,
    units::Force,
};

/// Ratio of two independent normal quantities, torque and nut factor.
pub const CHANCE_SOURCE: Source = Source::new("ratio of two independent normal quantities", "", Seen::Derived);

/// Preload.
pub const PRELOAD: Range = Range::new("preload_n", "N", 1.0, 5.0e6);
/// How many standard deviations the given shares stand for: three for what hardly ever happens, two for one in twenty.
pub const DEVIATIONS: Range = Range::new("standard_deviations", "", 1.0, 6.0);
/// Scatter of torque or nut factor, plus or minus; wider ones are no longer told by a normal law.
pub const SHARE: Range = Range::new("scatter_share", "", 0.0, 0.75);

/// What [`spread`] needs to know.
#[derive(Debug, Clone, PartialEq)]
pub struct SpreadInput {
    /// The nominal preload.
    pub preload: Force,
    /// Everything that scatters the torque, plus or minus as shares: wrench, window, reading.
    pub torque_shares: Vec<f64>,
    /// What scatters the nut factor, plus or minus as a share.
    pub nut_factor_share: f64,
    /// How many standard deviations these shares stand for.
    pub deviations: f64,
    /// The preload that is needed, embedding and the like added by the caller; `None` when it is not asked.
    pub needed: Option<Force>,
    /// The bolt's proof load; `None` when none is published.
    pub proof: Option<Force>,
}

/// How the preload spreads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Plus or minus this share, torque and nut factor combined as independent and small: the root of the sum of squares.
    pub rss_share: f64,
    /// The least preload within the given number of standard deviations.
    pub low: Force,
    /// The greatest; farther from the nominal than the least is, because preload goes with the inverse of friction.
    pub high: Force,
    /// The least with everything at its worst at once.
    pub least: Force,
    /// The greatest with everything at its worst at once.
    pub greatest: Force,
    /// Tightening factor of the band: greatest over least within it.
    pub factor: f64,
    /// The chance of a preload below the needed one, when asked.
    pub under_needed: Option<f64>,
    /// The chance of a preload over proof, when asked.
    pub over_proof: Option<f64>,
}

/// Returns how the preload spreads, and the chances at both ends.
///
/// ```text
/// F = T/(K d);  T and K normal and independent;  δ_T = √Σδ²
/// P(F < f F0) = Φ[(f − 1) / √(σ_T² + f² σ_K²)],  σ = δ / k
/// band        = F0 [1 ∓ √(δ_T² + δ_K² − δ_T² δ_K²)] / (1 − δ_K²)
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] outside [`PRELOAD`], [`SHARE`] or [`DEVIATIONS`]; [`CalcError::Missing`] when nothing
/// scatters at all: no tightening is like that.
///
/// # Source
///
/// [`CHANCE_SOURCE`]; the tightening factor is [`FACTOR_SOURCE`].
pub fn spread(input: &SpreadInput) -> Result<Spread, CalcError> {
    let nominal = Force::from_n(PRELOAD.check(input.preload.n())?);
    for share in &input.torque_shares {
        SCATTER.check(*share)?;
    }
    let torque = SHARE.check(combined(&input.torque_shares))?;
    let nut_factor = SHARE.check(input.nut_factor_share)?;
    let deviations = DEVIATIONS.check(input.deviations)?;
    if torque + nut_factor <= 0.0 {
        return Err(CalcError::Missing { field: SHARE.field, by: "chances of a preload" });
    }
    let (tt, kk) = (torque * torque, nut_factor * nut_factor);
    let half = (tt + kk - tt * kk).sqrt();
    let (low, high) = (nominal * ((1.0 - half) / (1.0 - kk)), nominal * ((1.0 + half) / (1.0 - kk)));
    let all: f64 = input.torque_shares.iter().sum();
    let (below, above) = worst(all.min(SCATTER.max), nut_factor)?;
    // Distance of a preload from the nominal, in standard deviations of torque less what that preload would take.
    let distance = |force: Force| {
        let f = force / nominal;
        (f - 1.0) * deviations / (tt + f * f * kk).sqrt()
    };
    let checked = |force: Option<Force>| force.map(|force| PRELOAD.check(force.n()).map(|_| force)).transpose();
    let (needed, proof) = (checked(input.needed)?, checked(input.proof)?);
    Ok(Spread {
        rss_share: combined(&[torque, nut_factor]),
        low,
        high,
        least: nominal * (1.0 + below),
        greatest: nominal * (1.0 + above),
        factor: high / low,
        under_needed: needed.map(|needed| normal::upper(-distance(needed))),
        over_proof: proof.map(|proof| normal::upper(distance(proof))),
    })
}

/// Returns what the figures of a spread rest on.
#[must_use]
pub fn basis(input: &SpreadInput, spread: &Spread) -> Vec<Basis> {
    let mut inputs = vec![
        ("preload_n", input.preload.n()),
        ("torque_share", combined(&input.torque_shares)),
        ("nut_factor_share", input.nut_factor_share),
        ("standard_deviations", input.deviations),
    ];
    inputs.extend(input.needed.map(|needed| ("needed_n", needed.n())));
    inputs.extend(input.proof.map(|proof| ("proof_n", proof.n())));
    vec![
        Basis::new("preload-chance", "P(F < f F0) = Φ[(f − 1)/√(σ_T² + f² σ_K²)]", CHANCE_SOURCE, &inputs),
        Basis::new("tightening-factor", "α_A = F_max / F_min", FACTOR_SOURCE, &[("factor", spread.factor)]),
    ]
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use rand::{Rng, SeedableRng};
    use statrs::distribution::{ContinuousCDF, Normal};

    use super::*;
    use crate::{calc::printed::prints, tables::tightening_method};

    fn input() -> SpreadInput {
        SpreadInput {
            preload: Force::from_kn(36.0),
            torque_shares: vec![0.04],
            nut_factor_share: 0.25,
            deviations: 3.0,
            needed: Some(Force::from_kn(30.0)),
            proof: Some(Force::from_kn(48.9)),
        }
    }

    /// Derived: a wrench of ±4 % and friction of ±25 %; the window of ±20 % widens the worst of it to +60 and −36 %.
    #[test]
    fn a_usual_tightening() {
        let spread = spread(&input()).unwrap();
        prints("derived: root of the sum of squares", "0.2532", spread.rss_share);
        let wide = super::spread(&SpreadInput { torque_shares: vec![0.20], ..input() }).unwrap();
        prints("derived: ends multiplied", "1.60", wide.greatest / input().preload);
        prints("derived: ends multiplied", "0.64", wide.least / input().preload);
    }

    /// The chances by drawing torque and nut factor: seeded, a million draws, within four standard errors of the count.
    #[test]
    fn chances_and_band_agree_with_draws() {
        const DRAWS: usize = 1_000_000;
        let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(20);
        let unit = Normal::new(0.0, 1.0).unwrap();
        for (torque, nut_factor, needed, proof) in
            [(0.04, 0.25, 30.0, 45.0), (0.20, 0.30, 32.0, 48.9), (0.1, 0.1, 34.5, 38.0)]
        {
            let input = SpreadInput {
                torque_shares: vec![torque],
                nut_factor_share: nut_factor,
                needed: Some(Force::from_kn(needed)),
                proof: Some(Force::from_kn(proof)),
                ..input()
            };
            let told = spread(&input).unwrap();
            let (mut under, mut over, mut inside) = (0_usize, 0_usize, 0_usize);
            for _ in 0..DRAWS {
                let [t, k] = [torque, nut_factor]
                    .map(|share| 1.0 + share / 3.0 * unit.inverse_cdf(random.random_range(f64::EPSILON..1.0)));
                let preload = 36.0 * t / k;
                under += usize::from(preload < needed);
                over += usize::from(proof < preload);
                inside += usize::from((told.low.kn()..=told.high.kn()).contains(&preload));
            }
            // Three standard deviations on both sides hold 99.73 %.
            let chances = [(under, told.under_needed.unwrap()), (over, told.over_proof.unwrap()), (inside, 0.997_300)];
            for (count, chance) in chances {
                let drawn = count as f64 / DRAWS as f64;
                let error = (chance * (1.0 - chance) / DRAWS as f64).sqrt();
                assert!((drawn - chance).abs() < 4.0 * error + 1e-6, "drawn {drawn}, told {chance}");
            }
        }
    }

    /// VDI 2230:1986 by method (opened where the table says so): the share and the factor of each row belong together as
    /// far as both were printed, to the rounding of the factor and the wider editions.
    #[test]
    fn printed_scatter_by_method() {
        let rows: Vec<_> = tightening_method::ROWS.iter().map(|row| (row.id, row.scatter, row.factor)).collect();
        for (id, [good, bad], [least, greatest]) in rows {
            let factor = |share| super::super::tightening_factor(share).unwrap();
            // Half of the last printed digit of the share, and of the factor; later editions print wider factors.
            assert!(least - 0.05 <= factor(good + 0.005) + 0.11, "{id}");
            assert!(factor(bad - 0.005) <= greatest + 0.05, "{id}");
        }
    }

    #[test]
    fn what_does_not_scatter_is_refused() {
        let still = SpreadInput { torque_shares: vec![], nut_factor_share: 0.0, ..input() };
        assert_eq!(spread(&still).unwrap_err().field(), "scatter_share");
        assert_eq!(spread(&SpreadInput { deviations: 0.0, ..input() }).unwrap_err().field(), "standard_deviations");
        assert_eq!(
            spread(&SpreadInput { nut_factor_share: f64::NAN, ..input() }).unwrap_err().field(),
            "scatter_share"
        );
        assert_eq!(spread(&SpreadInput { needed: Some(Force::ZERO), ..input() }).unwrap_err().field(), "preload_n");
        assert_eq!(spread(&SpreadInput { needed: None, ..input() }).unwrap().under_needed, None);
        let told = basis(&input(), &spread(&input()).unwrap());
        assert_eq!(told.len(), 2);
    }

    proptest! {
        #[test]
        fn wider_scatter_widens_the_band(a in 0.01..0.3_f64, b in 0.01..0.5_f64, more in 1.01..1.4_f64) {
            let at = |a: f64, b: f64| {
                spread(&SpreadInput { torque_shares: vec![a], nut_factor_share: b, ..input() }).unwrap()
            };
            let base = at(a, b);
            for wide in [at(a * more, b), at(a, b * more)] {
                prop_assert!(wide.low < base.low && base.high < wide.high && base.factor < wide.factor);
            }
            prop_assert!(base.least <= base.low && base.high <= base.greatest * (1.0 + 1e-12));
            prop_assert!(base.low < input().preload && input().preload < base.high);
        }

        #[test]
        fn chances_rise_with_the_need_and_fall_with_proof(kn in 5.0..90.0_f64, more in 1.001..2.0_f64) {
            let at = |kn: f64| {
                let force = Some(Force::from_kn(kn));
                spread(&SpreadInput { needed: force, proof: force, ..input() }).unwrap()
            };
            let (base, higher) = (at(kn), at(kn * more));
            prop_assert!(base.under_needed <= higher.under_needed && higher.over_proof <= base.over_proof);
            // One of the two happens.
            prop_assert!((base.under_needed.unwrap() + base.over_proof.unwrap() - 1.0).abs() < 1e-12);
        }
    }
}
