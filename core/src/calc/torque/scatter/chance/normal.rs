//! The upper tail of the normal law.

/// Where the series gives way to the continued fraction.
const TURN: f64 = 2.5;

/// Returns the chance that a normal quantity lies more than so many standard deviations above its mean.
///
/// By the complementary error function: a series of positive terms near the mean, a continued fraction in the tail, so
/// that small chances keep their digits.
pub fn upper(deviations: f64) -> f64 {
    let x = deviations.abs() * std::f64::consts::FRAC_1_SQRT_2;
    let gauss = (-x * x).exp() / std::f64::consts::PI.sqrt();
    let tail = if x < TURN {
        // erf(x) = 2/√π e^(−x²) Σ 2ⁿ x^(2n+1) / (1·3·…·(2n+1))
        let (mut term, mut sum) = (x, x);
        for n in 1..80 {
            term *= 2.0 * x * x / f64::from(2 * n + 1);
            sum += term;
        }
        0.5 - gauss * sum
    } else {
        // erfc(x) = e^(−x²)/√π · 1/(x + ½/(x + 1/(x + 3/2/(x + …))))
        let fraction = (1..=80).rev().fold(x, |below, n| x + f64::from(n) / 2.0 / below);
        gauss / fraction / 2.0
    };
    if deviations < 0.0 { 1.0 - tail } else { tail }
}

#[cfg(test)]
mod tests {
    use statrs::distribution::{ContinuousCDF, Normal};

    use super::{TURN, upper};

    #[test]
    fn agrees_with_a_well_kept_library() {
        let unit = Normal::new(0.0, 1.0).unwrap();
        for step in -800..=800 {
            let x = f64::from(step) / 100.0;
            let (ours, theirs) = (upper(x), unit.sf(x));
            // The library's own error function is good to ten digits.
            assert!((ours - theirs).abs() < 1e-9 * theirs, "{x}: {ours} {theirs}");
        }
    }

    /// Both forms at the place where one gives way to the other, and the law's own symmetry.
    #[test]
    fn both_forms_meet_and_the_tails_are_alike() {
        let turn = TURN * std::f64::consts::SQRT_2;
        let (before, after) = (upper(turn - 1e-9), upper(turn + 1e-9));
        let slope = (-turn * turn / 2.0).exp() / (2.0 * std::f64::consts::PI).sqrt();
        assert!((before - after - 2e-9 * slope).abs() < 1e-14);
        for step in 0..100 {
            let x = f64::from(step) / 10.0;
            assert!((upper(x) + upper(-x) - 1.0).abs() < 1e-15);
        }
    }
}
