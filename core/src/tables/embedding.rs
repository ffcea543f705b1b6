//! How much a bolted stack settles after tightening: flattening of rough surfaces, in micrometres.

use crate::basis::{Seen, Source};

/// The table; nobody opened it. Steel joints at room temperature.
pub const SOURCE: Source = Source::new("VDI 2230 part 1, table 5", "", Seen::FromMemory);

/// How rough the surfaces are, mean peak-to-valley height Rz.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Roughness {
    /// Below 10 µm.
    Below10,
    /// 10 to 40 µm.
    To40,
    /// 40 to 160 µm.
    To160,
}

/// Which way the joint is loaded in service.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Loading {
    /// Along the bolt.
    Tension,
    /// Across it.
    Shear,
}

/// One row: roughness; thread; head or nut face in tension and in shear; inner interface in tension and in shear, µm.
pub type Row = (Roughness, f64, [f64; 2], [f64; 2]);

/// The table.
#[rustfmt::skip]
pub const ROWS: [Row; 3] = [
    (Roughness::Below10, 3.0, [2.5, 3.0], [1.5, 2.0]),
    (Roughness::To40,    3.0, [3.0, 4.5], [2.0, 2.5]),
    (Roughness::To160,   3.0, [4.0, 6.5], [3.0, 3.5]),
];

/// Returns how much the thread, each head or nut face and each inner interface settle, µm.
#[must_use]
pub const fn settling(roughness: Roughness, loading: Loading) -> [f64; 3] {
    let [smooth, usual, rough] = ROWS;
    let (_, thread, face, inner) = match roughness {
        Roughness::Below10 => smooth,
        Roughness::To40 => usual,
        Roughness::To160 => rough,
    };
    match loading {
        Loading::Tension => [thread, face[0], inner[0]],
        Loading::Shear => [thread, face[1], inner[1]],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_stand_under_their_roughness_and_shear_settles_more() {
        for (roughness, thread, face, inner) in ROWS {
            assert_eq!(settling(roughness, Loading::Tension), [thread, face[0], inner[0]]);
            assert_eq!(settling(roughness, Loading::Shear), [thread, face[1], inner[1]]);
            assert!(face[0] < face[1] && inner[0] < inner[1]);
        }
        let faces = ROWS.map(|(_, _, face, _)| face[0]);
        assert!(faces.is_sorted());
    }
}
