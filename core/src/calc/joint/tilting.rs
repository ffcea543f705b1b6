//! How the bolts of a plate share a moment that tilts it off its seat.

use super::group::{AREA, BOLTS};
use crate::{
    basis::{Seen, Source},
    error::CalcError,
    range::Range,
    units::{Area, Force, Length, Stress},
};

/// Where turning about the compressed edge and about a neutral axis come from: statics of a cracked section.
pub const SOURCE: Source = Source::new("statics of a plate on its edge or on a compressed strip", "", Seen::Derived);
/// Who warns that the centre of turning need not be the centroid.
pub const WARNING_SOURCE: Source =
    Source::new("NASA RP-1228, fastener groups, as reproduced on a page", "", Seen::Opened);

/// From the compressed edge to a bolt.
pub const FROM_EDGE: Range = Range::new("from_edge_mm", "mm", 0.0, 20_000.0);
/// Width of the plate along the compressed edge.
pub const WIDTH: Range = Range::new("contact_width_mm", "mm", 1.0, 20_000.0);
/// The moment, N·m.
pub const MOMENT: Range = Range::new("moment_n_m", "N·m", 0.0, 5.0e6);

/// A bolt in a plate that tilts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// From the compressed edge.
    pub from_edge: Length,
    /// Its area.
    pub area: Area,
}

fn checked(rows: &[Row], moment_n_m: f64) -> Result<f64, CalcError> {
    BOLTS.check(rows.len() as f64)?;
    for row in rows {
        FROM_EDGE.check(row.from_edge.mm())?;
        AREA.check(row.area.mm2())?;
    }
    Ok(MOMENT.check(moment_n_m)? * 1000.0)
}

const NO_LEVER: CalcError = CalcError::Conflict {
    field: "from_edge_mm",
    other: "moment_n_m",
    why: "bolts on the compressed edge have no lever against tilting",
};

/// Returns the tension of each bolt when the plate turns about its compressed edge: `F_i = M A_i y_i / Σ A y²`.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for a figure outside its range; [`CalcError::Conflict`] when no bolt has a lever.
///
/// # Source
///
/// [`SOURCE`].
pub fn about_edge(rows: &[Row], moment_n_m: f64) -> Result<Vec<Force>, CalcError> {
    let moment = checked(rows, moment_n_m)?;
    let second: f64 = rows.iter().map(|row| row.area.mm2() * row.from_edge.mm().powi(2)).sum();
    if moment == 0.0 {
        return Ok(vec![Force::ZERO; rows.len()]);
    }
    if second <= 0.0 {
        return Err(NO_LEVER);
    }
    Ok(rows.iter().map(|row| Force::from_n(moment * row.area.mm2() * row.from_edge.mm() / second)).collect())
}

/// A plate that tilts about a neutral axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Tilted {
    /// From the compressed edge to the neutral axis.
    pub axis: Length,
    /// Second moment of the compressed strip and the stretched bolts, mm⁴.
    pub second_mm4: f64,
    /// The tension of each bolt; nought within the compressed strip.
    pub bolts: Vec<Force>,
    /// Pressure at the edge.
    pub edge_pressure: Stress,
}

/// Returns the tension of each bolt when a strip of the plate is compressed and the bolts beyond it are stretched.
///
/// ```text
/// b c²/2 = Σ A_i (y_i − c);  I = b c³/3 + Σ A_i (y_i − c)²;  F_i = M A_i (y_i − c) / I;  p = M c / I
/// ```
///
/// Only bolts beyond the axis count: a bolt under compressed plate neither pulls nor presses.
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for a figure outside its range; [`CalcError::Conflict`] when no bolt has a lever.
///
/// # Source
///
/// [`SOURCE`].
pub fn about_axis(rows: &[Row], width: Length, moment_n_m: f64) -> Result<Tilted, CalcError> {
    let moment = checked(rows, moment_n_m)?;
    let width = WIDTH.check(width.mm())?;
    let mut far: Vec<[f64; 2]> = rows.iter().map(|row| [row.from_edge.mm(), row.area.mm2()]).collect();
    far.sort_by(|a, b| b[0].total_cmp(&a[0]));
    // Bolts join from the far side for as long as they lie beyond the axis that those before them make.
    let (mut areas, mut moments, mut axis) = (0.0, 0.0, 0.0);
    for [y, area] in far {
        if y <= axis {
            break;
        }
        areas += area;
        moments += area * y;
        axis = (-areas + f64::sqrt(areas * areas + 2.0 * width * moments)) / width;
    }
    let lever = |row: &Row| (row.from_edge.mm() - axis).max(0.0);
    let second: f64 =
        width * axis.powi(3) / 3.0 + rows.iter().map(|row| row.area.mm2() * lever(row).powi(2)).sum::<f64>();
    if second <= 0.0 {
        return Err(NO_LEVER);
    }
    Ok(Tilted {
        axis: Length::from_mm(axis),
        second_mm4: second,
        bolts: rows.iter().map(|row| Force::from_n(moment * row.area.mm2() * lever(row) / second)).collect(),
        edge_pressure: Stress::from_mpa(moment * axis / second),
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::calc::printed::prints;

    fn rows(of: &[(f64, f64)]) -> Vec<Row> {
        of.iter().map(|&(y, a)| Row { from_edge: Length::from_mm(y), area: Area::from_mm2(a) }).collect()
    }

    /// Derived: two rows of two M12 under 5 kN·m.
    #[test]
    fn two_rows_of_two() {
        let source = "derived: statics of a tilted plate, two rows of two M12";
        let bolts = rows(&[(30.0, 84.3), (30.0, 84.3), (130.0, 84.3), (130.0, 84.3)]);
        let edge = about_edge(&bolts, 5000.0).unwrap();
        // Printed 4.214 for 5000 · 30 / 35 600 = 4.2135, rounded twice: one last digit.
        assert!((edge[0].kn() - 4.214).abs() < 1e-3);
        prints(source, "18.258", edge[3].kn());
        let tilted = about_axis(&bolts, Length::from_mm(100.0), 5000.0).unwrap();
        prints(source, "20.10", tilted.axis.mm());
        prints(source, "2.3236", tilted.second_mm4 / 1e6);
        prints(source, "1.796", tilted.bolts[0].kn());
        prints(source, "19.936", tilted.bolts[3].kn());
        prints(source, "43.25", tilted.edge_pressure.mpa());
    }

    const BOOK: &str = "V. B. Bhandari, Design of Machine Elements, as coded in an open textbook companion, opened";

    /// Example 7.8: a wall bracket, 20 kN at 550 mm, bolts 450 and 50 mm from the edge; half of the load pulls each.
    #[test]
    fn a_tilting_wall_bracket() {
        let tilting = about_edge(&rows(&[(450.0, 1.0), (50.0, 1.0)]), 20.0 * 550.0).unwrap();
        let most = tilting[0].n() + 20_000.0 / 2.0;
        prints(BOOK, "34146.3", most);
        prints(BOOK, "455.284553", most / 75.0);
    }

    /// Example 7.12: a flange of radius 1125 mm on 16 bolts at 1000 mm, 50 kN at 6375 mm.
    #[test]
    fn a_tilting_flange() {
        let bolts: Vec<_> =
            (0..16).map(|at| (1125.0 + 1000.0 * (f64::from(at) * std::f64::consts::TAU / 16.0).cos(), 1.0)).collect();
        let most = about_edge(&rows(&bolts), 50.0 * 6375.0).unwrap()[0].n();
        prints(BOOK, "23976.8", most);
        prints(BOOK, "319.690265", most / 75.0);
        let (a, b) = (1125.0_f64, 1000.0_f64);
        let printed = 2.0 * 50_000.0 * 6375.0 * (a + b) / (16.0 * (2.0 * a * a + b * b));
        assert!((most / printed - 1.0).abs() < 1e-12);
    }

    #[test]
    fn no_lever_is_refused() {
        let on_edge = rows(&[(0.0, 84.3)]);
        assert_eq!(about_edge(&on_edge, 1.0).unwrap_err().field(), "from_edge_mm");
        assert_eq!(about_axis(&on_edge, Length::from_mm(50.0), 1.0).unwrap_err().field(), "from_edge_mm");
        assert_eq!(about_edge(&rows(&[(10.0, 84.3)]), f64::NAN).unwrap_err().field(), "moment_n_m");
        assert_eq!(about_edge(&on_edge, 0.0).unwrap(), vec![Force::ZERO]);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        /// The plate as a thousand thin fibres that only press and bolts that only pull; the axis is found by halving.
        #[test]
        fn agrees_with_fibres(
            bolts in prop::collection::vec((1.0..300.0_f64, 20.0..400.0_f64), 1..8),
            width in 20.0..300.0_f64, moment in 100.0..20_000.0_f64,
        ) {
            let tilted = about_axis(&rows(&bolts), Length::from_mm(width), moment).unwrap();
            const FIBRES: usize = 2000;
            let (mut low, mut high) = (0.0, 300.0);
            // Forces per unit of tilt for an axis at c: pull of the bolts and push of the fibres, and their moments.
            let sums = |c: f64| {
                let step = c / FIBRES as f64;
                let (mut push, mut turn) = (0.0, 0.0);
                for at in 0..FIBRES {
                    let y = (at as f64 + 0.5) * step;
                    push += width * step * (c - y);
                    turn += width * step * (c - y) * (c - y);
                }
                let pull: f64 = bolts.iter().map(|(y, a)| a * (y - c).max(0.0)).sum();
                turn += bolts.iter().map(|(y, a)| a * (y - c).max(0.0).powi(2)).sum::<f64>();
                (pull - push, turn)
            };
            for _ in 0..60 {
                let c = f64::midpoint(low, high);
                if 0.0 < sums(c).0 { low = c } else { high = c }
            }
            let tilt = moment * 1000.0 / sums(low).1;
            prop_assert!((tilted.axis.mm() - low).abs() < 1e-4, "{} {low}", tilted.axis.mm());
            for ((y, a), force) in bolts.iter().zip(&tilted.bolts) {
                let slow = tilt * a * (y - low).max(0.0);
                prop_assert!((force.n() - slow).abs() < 1e-4 * moment * 10.0, "{force:?} {slow}");
            }
            // The plate pushes as much as the bolts pull.
            let push = tilted.edge_pressure.mpa() * width * tilted.axis.mm() / 2.0;
            let pull: f64 = tilted.bolts.iter().map(|force| force.n()).sum();
            prop_assert!((push / pull - 1.0).abs() < 1e-9);
        }

        #[test]
        fn turning_about_the_edge_bears_the_moment(
            bolts in prop::collection::vec((1.0..300.0_f64, 20.0..400.0_f64), 1..8), moment in 1.0..20_000.0_f64,
        ) {
            let forces = about_edge(&rows(&bolts), moment).unwrap();
            let borne: f64 = forces.iter().zip(&bolts).map(|(force, (y, _))| force.n() * y).sum();
            prop_assert!((borne / moment / 1000.0 - 1.0).abs() < 1e-12);
        }
    }
}
