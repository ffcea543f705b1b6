//! Places words beside points so that they stand clear of each other.

/// Height of a line of words of that size, and the width of one letter, as shares of the size.
const HIGH: f64 = 1.1;
const WIDE: f64 = 0.6;
/// From a point to its words.
const OFF: f64 = 7.0;

/// Where words stand: middle of their base line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spot {
    /// Middle of the words.
    pub(super) x: f64,
    /// Base line of the words.
    pub(super) y: f64,
    /// Whether a line should lead from the point to them.
    pub(super) led: bool,
}

/// What is taken already: left, top, right, bottom.
#[derive(Debug)]
pub(super) struct Taken {
    boxes: Vec<[f64; 4]>,
    /// What everything must stay inside of.
    sheet: [f64; 4],
    size: f64,
}

impl Taken {
    /// Starts with an empty sheet for words of that size.
    pub(super) const fn on(sheet: [f64; 4], size: f64) -> Self {
        Self { boxes: Vec::new(), sheet, size }
    }

    /// Takes a place.
    pub(super) fn take(&mut self, taken: [f64; 4]) {
        self.boxes.push(taken);
    }

    fn around(&self, spot: Spot, letters: usize) -> [f64; 4] {
        let half = letters as f64 * WIDE * self.size / 2.0;
        [spot.x - half, spot.y - HIGH * self.size * 0.8, spot.x + half, spot.y + HIGH * self.size * 0.2]
    }

    fn is_free(&self, place: [f64; 4]) -> bool {
        let [left, top, right, bottom] = self.sheet;
        let inside = left <= place[0] && top <= place[1] && place[2] <= right && place[3] <= bottom;
        inside && self.boxes.iter().all(|other| apart(place, *other))
    }

    /// Finds the nearest free place for words about a point, and takes it; where all is taken they stand above it.
    pub(super) fn words(&mut self, [x, y]: [f64; 2], letters: usize) -> Spot {
        let half = letters as f64 * WIDE * self.size / 2.0;
        let step = HIGH * self.size;
        let beside =
            [(0.0, -OFF), (half + OFF, 0.35 * self.size), (-half - OFF, 0.35 * self.size), (0.0, OFF + 0.8 * step)];
        let near = beside.into_iter().map(|(dx, dy)| Spot { x: x + dx, y: y + dy, led: false });
        let far = (1..8).flat_map(|up| {
            let aside = [0.0, half * 0.7, -half * 0.7, half * 1.3, -half * 1.3];
            aside.map(|dx| Spot { x: x + dx, y: y - OFF - step * f64::from(up), led: true })
        });
        let free = near.chain(far).find(|spot| self.is_free(self.around(*spot, letters)));
        let spot = free.unwrap_or(Spot { x, y: y - OFF, led: false });
        self.boxes.push(self.around(spot, letters));
        spot
    }
}

fn apart(one: [f64; 4], other: [f64; 4]) -> bool {
    one[2] <= other[0] || other[2] <= one[0] || one[3] <= other[1] || other[3] <= one[1]
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// Six names about points close together, as a receiver, its ball mount and a bumper lie: none over another.
        #[test]
        fn words_about_neighbours_stand_clear(points in proptest::collection::vec((400.0..480.0_f64, 120.0..160.0_f64), 1..6)) {
            let mut taken = Taken::on([0.0, 0.0, 900.0, 200.0], 10.0);
            let spots: Vec<_> = points.iter().map(|(x, y)| taken.words([*x, *y], 13)).collect();
            let boxes: Vec<_> = spots.iter().map(|spot| taken.around(*spot, 13)).collect();
            for (index, one) in boxes.iter().enumerate() {
                prop_assert!(boxes.iter().skip(index + 1).all(|other| apart(*one, *other)), "{:?}", spots);
            }
        }
    }

    #[test]
    fn words_alone_stand_above_their_point_and_inside_the_sheet() {
        let mut taken = Taken::on([0.0, 0.0, 900.0, 200.0], 10.0);
        assert_eq!(taken.words([450.0, 100.0], 6), Spot { x: 450.0, y: 93.0, led: false });
        let at_edge = taken.words([2.0, 100.0], 12);
        assert!(0.0 <= taken.around(at_edge, 12)[0], "{at_edge:?}");
    }
}
