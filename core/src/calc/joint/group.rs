//! How the bolts of a group share a load in their plane, elastically: direct share and turning about the centroid.

use crate::{
    basis::{Seen, Source},
    error::CalcError,
    range::Range,
    units::{Area, Force, Length},
};

/// Where the method is printed.
pub const SOURCE: Source =
    Source::new("NASA RP-1228, shear loads on fastener groups, as reproduced on a page", "", Seen::Opened);

/// How many bolts a group may have.
pub const BOLTS: Range = Range::new("bolt_count", "", 1.0, 64.0);
/// A coordinate.
pub const POSITION: Range = Range::new("position_mm", "mm", -20_000.0, 20_000.0);
/// A component of a force.
pub const FORCE: Range = Range::new("force_n", "N", -5.0e6, 5.0e6);
/// Stress area of a bolt.
pub const AREA: Range = Range::new("area_mm2", "mm²", 1.0, 10_000.0);

/// One bolt of a group.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bolt {
    /// Where it is.
    pub at: [Length; 2],
    /// Its area; only the ratio to the others' matters.
    pub area: Area,
}

/// A load in the plane of the group.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// Its components.
    pub force: [Force; 2],
    /// Where it acts.
    pub at: [Length; 2],
}

/// How a group shares a load.
#[derive(Debug, Clone, PartialEq)]
pub struct Shared {
    /// The centroid, weighted by area.
    pub centroid: [Length; 2],
    /// The sum of area times distance squared, mm⁴.
    pub polar_mm4: f64,
    /// The turning moment about the centroid, N·mm.
    pub moment_n_mm: f64,
    /// The force on each bolt, in the order given.
    pub bolts: Vec<[Force; 2]>,
}

impl Shared {
    /// Returns the size of the force on each bolt.
    pub fn sizes(&self) -> impl Iterator<Item = Force> {
        self.bolts.iter().map(|[x, y]| Force::from_n(x.n().hypot(y.n())))
    }
}

/// Returns how the group shares the load.
///
/// ```text
/// centroid = Σ A r / Σ A;  M = r × F;  F_i = A_i F / Σ A + M A_i (−y_i, x_i) / Σ A r²
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for no bolts, more than [`BOLTS`] allows, or a measure outside its range;
/// [`CalcError::Conflict`] when bolts that all sit in one spot would have to resist turning.
///
/// # Source
///
/// [`SOURCE`]. The method of the instantaneous centre gives more; this one is the cautious of the two.
pub fn share(bolts: &[Bolt], load: &Load) -> Result<Shared, CalcError> {
    BOLTS.check(bolts.len() as f64)?;
    let mut total = 0.0;
    let mut centroid = [0.0; 2];
    for bolt in bolts {
        let area = AREA.check(bolt.area.mm2())?;
        total += area;
        for (sum, at) in centroid.iter_mut().zip(bolt.at) {
            *sum += area * POSITION.check(at.mm())?;
        }
    }
    let [cx, cy] = centroid.map(|sum| sum / total);
    let [fx, fy] = [FORCE.check(load.force[0].n())?, FORCE.check(load.force[1].n())?];
    let [px, py] = [POSITION.check(load.at[0].mm())?, POSITION.check(load.at[1].mm())?];
    let moment = (px - cx) * fy - (py - cy) * fx;
    let arms: Vec<[f64; 2]> = bolts.iter().map(|bolt| [bolt.at[0].mm() - cx, bolt.at[1].mm() - cy]).collect();
    let polar: f64 = bolts.iter().zip(&arms).map(|(bolt, [x, y])| bolt.area.mm2() * (x * x + y * y)).sum();
    // Under a hundredth of a millimetre of spread nothing resists turning; under a newton millimetre nothing turns.
    let turn = if polar / total < 1e-4 {
        if 1.0 < moment.abs() {
            return Err(CalcError::Conflict {
                field: "bolts",
                other: "load",
                why: "bolts in one spot cannot resist turning about it",
            });
        }
        0.0
    } else {
        moment / polar
    };
    let forces = bolts.iter().zip(&arms).map(|(bolt, [x, y])| {
        let area = bolt.area.mm2();
        [Force::from_n(area * (fx / total - turn * y)), Force::from_n(area * (fy / total + turn * x))]
    });
    Ok(Shared {
        centroid: [Length::from_mm(cx), Length::from_mm(cy)],
        polar_mm4: polar,
        moment_n_mm: moment,
        bolts: forces.collect(),
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::calc::printed::prints;

    fn bolt(x: f64, y: f64, area: f64) -> Bolt {
        Bolt { at: [Length::from_mm(x), Length::from_mm(y)], area: Area::from_mm2(area) }
    }

    fn load(fx: f64, fy: f64, x: f64, y: f64) -> Load {
        Load { force: [fx, fy].map(Force::from_n), at: [x, y].map(Length::from_mm) }
    }

    /// Derived: four equal bolts under an eccentric load.
    #[test]
    fn four_equal_bolts() {
        let source = "derived from NASA RP-1228, four equal bolts";
        let bolts = [bolt(-60.0, 0.0, 1.0), bolt(60.0, 0.0, 1.0), bolt(-60.0, 80.0, 1.0), bolt(60.0, 80.0, 1.0)];
        let shared = share(&bolts, &load(0.0, -20_000.0, 150.0, 40.0)).unwrap();
        prints(source, "20800", shared.polar_mm4);
        prints(source, "-3000000", shared.moment_n_mm);
        for (size, printed) in shared.sizes().zip(["6.829", "14.823", "6.829", "14.823"]) {
            prints(source, printed, size.kn());
        }
    }

    /// Derived: three bolts of unequal areas.
    #[test]
    fn three_unequal_bolts() {
        let source = "derived from NASA RP-1228, three unequal bolts";
        let bolts = [bolt(0.0, 0.0, 84.3), bolt(100.0, 0.0, 84.3), bolt(50.0, 120.0, 157.0)];
        let shared = share(&bolts, &load(10_000.0, 0.0, 50.0, 200.0)).unwrap();
        prints(source, "50.0", shared.centroid[0].mm());
        prints(source, "57.862", shared.centroid[1].mm());
        prints(source, "1.59217", shared.polar_mm4 / 1e6);
        prints(source, "-1.42138", shared.moment_n_mm / 1e6);
        for (size, printed) in shared.sizes().zip(["4.156", "4.156", "13.531"]) {
            prints(source, printed, size.kn());
        }
    }

    const BOOK: &str = "V. B. Bhandari, Design of Machine Elements, as coded in an open textbook companion, opened";

    /// Examples 7.3 and 7.4: brackets under an eccentric load, and the sizes the book ends at.
    #[test]
    fn brackets_of_a_textbook() {
        let rectangle =
            [bolt(-100.0, -75.0, 1.0), bolt(100.0, -75.0, 1.0), bolt(-100.0, 75.0, 1.0), bolt(100.0, 75.0, 1.0)];
        let shared = share(&rectangle, &load(0.0, -10_000.0, 500.0, 0.0)).unwrap();
        let sizes: Vec<f64> = shared.sizes().map(Force::n).collect();
        let derived = "derived from Bhandari, example 7.3";
        prints(derived, "8139.4", sizes[0]);
        prints(derived, "12093.4", sizes[1]);
        // 400 MPa yield, half of it in shear, 2.5 fold: 80 MPa on the core; the core is 0.8 of the diameter.
        let size = |force: f64| (4.0 * force / (std::f64::consts::PI * 80.0)).sqrt();
        prints(derived, "13.87", size(sizes[1]));
        prints(derived, "17.34", size(sizes[1]) / 0.8);
        // M20 is the next first-choice size above 17.34.
        let next = |need: f64| [8.0, 10.0, 12.0, 16.0, 20.0, 24.0].into_iter().find(|d| need <= *d).unwrap();
        prints(BOOK, "20", next(size(sizes[1]) / 0.8));

        let row = [bolt(-75.0, 0.0, 1.0), bolt(0.0, 0.0, 1.0), bolt(75.0, 0.0, 1.0)];
        let shared = share(&row, &load(0.0, -5000.0, 305.0, 0.0)).unwrap();
        let most = shared.sizes().map(Force::n).fold(0.0, f64::max);
        prints("derived from Bhandari, example 7.4", "11833.3", most);
        prints(BOOK, "20", next(size(most) / 0.8));
        // The same load on a circle of three at radius 75 gives less.
        let circle = [90.0_f64, 210.0, 330.0]
            .map(f64::to_radians)
            .map(|angle| bolt(75.0 * angle.cos(), 75.0 * angle.sin(), 1.0));
        let turning = share(&circle, &load(0.0, -5000.0, 305.0, 0.0)).unwrap().moment_n_mm.abs() / (3.0 * 75.0);
        prints("derived from Bhandari, example 7.4, on a circle", "8444.4", 5000.0 / 3.0 + turning);
    }

    #[test]
    fn one_bolt_carries_but_does_not_resist_turning() {
        let one = [bolt(10.0, 20.0, 84.3)];
        let shared = share(&one, &load(1000.0, 0.0, 50.0, 20.0)).unwrap();
        assert_eq!(shared.bolts, vec![[Force::from_n(1000.0), Force::ZERO]]);
        assert_eq!(share(&one, &load(1000.0, 0.0, 0.0, 0.0)).unwrap_err().field(), "bolts");
        assert_eq!(share(&[], &load(1.0, 0.0, 0.0, 0.0)).unwrap_err().field(), "bolt_count");
        assert_eq!(share(&one, &load(f64::NAN, 0.0, 0.0, 0.0)).unwrap_err().field(), "force_n");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn equilibrium_holds_and_turning_the_paper_changes_nothing(
            bolts in prop::collection::vec((-200.0..200.0_f64, -200.0..200.0_f64, 20.0..400.0_f64), 3..9),
            fx in -5e4..5e4_f64, fy in -5e4..5e4_f64, x in -800.0..800.0_f64, y in -800.0..800.0_f64, turn in 0.0..6.3_f64,
        ) {
            let (sin, cos) = turn.sin_cos();
            let spin = |x: f64, y: f64| (cos * x - sin * y, sin * x + cos * y);
            let group: Vec<_> = bolts.iter().map(|&(x, y, area)| bolt(x, y, area)).collect();
            let spun: Vec<_> = bolts.iter().map(|&(x, y, area)| { let (x, y) = spin(x, y); bolt(x, y, area) }).collect();
            let shared = share(&group, &load(fx, fy, x, y)).unwrap();
            prop_assume!(100.0 < shared.polar_mm4 / bolts.iter().map(|bolt| bolt.2).sum::<f64>());
            let ((gx, gy), (px, py)) = (spin(fx, fy), spin(x, y));
            let turned = share(&spun, &load(gx, gy, px, py)).unwrap();
            for (a, b) in shared.sizes().zip(turned.sizes()) {
                prop_assert!((a - b).abs().n() < 1e-5);
            }
            let sum = |axis: usize| shared.bolts.iter().map(|force| force[axis].n()).sum::<f64>();
            prop_assert!((sum(0) - fx).abs() < 1e-6 && (sum(1) - fy).abs() < 1e-6);
        }
    }
}
