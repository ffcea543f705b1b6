//! Whether parts fit into one another: ball in coupler, ball in mount, mount in receiver, each by its exact nominal size.

use crate::{
    model::{
        bed::{BedCoupling, BedCouplingKind, KingPin},
        coupling::{Ball, BallMount, Coupler},
        receiver::Receiver,
    },
    units::Length,
};

/// What two printings of one nominal size may differ by: half of the last digit of a size in hundredths of a
/// millimetre. 50 mm and 2 in differ by 0.8 mm.
const SAME_MM: f64 = 0.005;

/// Returns whether two sizes are the same nominal size.
#[must_use]
pub fn same_nominal(one: Length, other: Length) -> bool {
    (one - other).abs().mm() <= SAME_MM
}

/// Two parts that go into one another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartFit {
    /// What people call it: `ball in coupler`.
    pub label: &'static str,
    /// The field of the part that goes in.
    pub inner_path: &'static str,
    /// The field of the part it goes into.
    pub outer_path: &'static str,
    /// The size of the part that goes in.
    pub inner: Option<Length>,
    /// The size of the part it goes into.
    pub outer: Option<Length>,
}

/// A part's size, and the field that says it.
type Part = (Option<Length>, &'static str);

impl PartFit {
    const fn of(label: &'static str, (inner, inner_path): Part, (outer, outer_path): Part) -> Self {
        Self { label, inner_path, outer_path, inner, outer }
    }

    /// Returns whether the two are made for each other; `None` when a size is not known.
    #[must_use]
    pub fn holds(&self) -> Option<bool> {
        Some(same_nominal(self.inner?, self.outer?))
    }
}

/// Returns every fit between receiver and coupler. A part that is not named has no size that anybody knows.
#[must_use]
pub fn fits(
    receiver: Option<&Receiver>,
    mount: Option<&BallMount>,
    ball: Option<&Ball>,
    coupler: Option<&Coupler>,
) -> [PartFit; 3] {
    let shank = (mount.and_then(|mount| mount.shank), "ball_mount.shank");
    let tube = (receiver.and_then(|receiver| receiver.opening), "receiver.opening");
    let stud = (ball.and_then(|ball| ball.shank), "ball.shank");
    let hole = (mount.and_then(|mount| mount.ball_hole), "ball_mount.ball_hole");
    let sphere = (ball.and_then(|ball| ball.diameter), "ball.diameter");
    [
        PartFit::of("shank of the ball mount in the receiver", shank, tube),
        PartFit::of("shank of the ball in the ball mount", stud, hole),
        PartFit::of("ball in the coupler", sphere, socket(coupler)),
    ]
}

fn socket(coupler: Option<&Coupler>) -> Part {
    (coupler.and_then(|coupler| coupler.ball), "coupler.ball")
}

/// Returns the fit of what hangs in the bed: the king pin in a fifth wheel, the ball in a gooseneck's coupler; nothing while
/// nobody says which of the two the coupling is.
#[must_use]
pub fn in_bed(coupling: &BedCoupling, pin: Option<&KingPin>, coupler: Option<&Coupler>) -> Option<PartFit> {
    let own = (coupling.size, "bed_coupling.size");
    Some(match coupling.kind? {
        BedCouplingKind::FifthWheel => {
            let pin = (pin.and_then(|pin| pin.diameter), "trailer.king_pin.diameter");
            PartFit::of("king pin in the fifth wheel", pin, own)
        }
        BedCouplingKind::GooseneckBall => PartFit::of("ball in the bed in the coupler", own, socket(coupler)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::printed::prints;

    /// ISO 1103 (abstract opened): 50 mm. SAE J684 coupler table (opened in a reprint): 1-7/8 in and 2 in; 2-5/16 in is
    /// trade practice. 47.625, 50.8 and 58.738 mm are those inches.
    #[test]
    fn the_four_balls_never_pass_for_each_other() {
        let sizes = [Length::from_in(1.875), Length::from_mm(50.0), Length::from_in(2.0), Length::from_in(2.3125)];
        for (printed, size) in ["47.625", "50.0", "50.8", "58.738"].into_iter().zip(sizes) {
            prints("ISO 1103 and SAE J684, ball sizes, opened", printed, size.mm());
            let same = sizes.iter().filter(|other| same_nominal(size, **other)).count();
            assert_eq!(same, 1, "{size:?}");
        }
    }

    #[test]
    fn what_is_not_known_does_not_fit() {
        let [shank, hole, coupler] = fits(None, None, None, None);
        assert_eq!([shank.holds(), hole.holds(), coupler.holds()], [None; 3]);
        let fit = PartFit { inner: Some(Length::from_mm(50.0)), outer: Some(Length::from_in(2.0)), ..coupler };
        assert_eq!(fit.holds(), Some(false));
        assert_eq!(PartFit { outer: fit.inner, ..fit }.holds(), Some(true));
    }
}
