//! How much tongue load a loaded vehicle leaves room for: every limit solved back, the least of them first.

use super::{AxleLoads, largest_tongue_by_front_axle, largest_tongue_by_gvwr, largest_tongue_by_rear_axle};
use crate::{
    calc::ratings::{Link, LinkLimit},
    units::{Length, Mass},
};

/// What the room is worked out from. Each limit may be unknown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoomInput {
    /// The loads before hitching.
    pub loads: AxleLoads,
    /// Front axle to rear axle.
    pub wheelbase: Length,
    /// Where the ball sits.
    pub ball: Length,
    /// Rating of the front axle; it limits a load ahead of the rear axle alone.
    pub front_gawr: Option<Mass>,
    /// Rating of the rear axle.
    pub rear_gawr: Option<Mass>,
    /// Gross rating of the vehicle.
    pub gvwr: Option<Mass>,
    /// What the rear tyres and wheels carry together.
    pub rear_tyres: Option<Mass>,
    /// The least share of the vehicle's mass that the front axle must keep; most handbooks print none.
    pub front_share_min: Option<f64>,
}

/// Returns the largest tongue load that leaves the front axle its share of the vehicle's mass.
///
/// ```text
/// F − T · h / L ≥ s · (F + R + T)        T = (F − s · (F + R)) / (s + h / L)
/// ```
///
/// `h` is how far the ball sits behind the rear axle. Zero when the front axle is too light before hitching; `None` when
/// no tongue load at the ball takes the share below it.
#[must_use]
pub fn largest_tongue_by_front_share(loads: &AxleLoads, wheelbase: Length, ball: Length, share: f64) -> Option<Mass> {
    let below = share + (ball - wheelbase) / wheelbase;
    let above = loads.front_before - loads.total_before() * share;
    (below > 0.0).then(|| (above / below).max(Mass::ZERO))
}

/// Returns every limit of the tongue load that the loaded vehicle sets, unknown ones included.
#[must_use]
pub fn tongue_room(input: &RoomInput) -> Vec<Link> {
    let RoomInput { loads, wheelbase, ball, .. } = *input;
    let by_rear = |limit: Mass| largest_tongue_by_rear_axle(limit, loads.rear_before, wheelbase, ball);
    let known = |limit: Option<Mass>| limit.map_or(LinkLimit::Unknown, LinkLimit::Known);
    let solved = |limit: Option<Option<Mass>>| match limit {
        None => LinkLimit::Unknown,
        Some(None) => LinkLimit::NotLimiting,
        Some(Some(mass)) => LinkLimit::Known(mass),
    };
    let mut all = vec![
        Link { path: "vehicle.rear.gawr", label: "rear axle rating", limit: solved(input.rear_gawr.map(by_rear)) },
        Link {
            path: "vehicle.gvwr",
            label: "gross vehicle rating",
            limit: known(input.gvwr.map(|gvwr| largest_tongue_by_gvwr(gvwr, loads.total_before()))),
        },
        Link {
            path: "vehicle.rear.tyres",
            label: "rear tyres and wheels",
            limit: solved(input.rear_tyres.map(by_rear)),
        },
    ];
    if ball < wheelbase {
        let by_front = |limit| largest_tongue_by_front_axle(limit, loads.front_before, wheelbase, ball);
        let limit = solved(input.front_gawr.map(by_front));
        all.push(Link { path: "vehicle.front.gawr", label: "front axle rating", limit });
    }
    if let Some(share) = input.front_share_min {
        let limit = largest_tongue_by_front_share(&loads, wheelbase, ball, share);
        let label = "front axle's least share";
        all.push(Link { path: "vehicle.front_share_min_share", label, limit: solved(Some(limit)) });
    }
    all
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::calc::{
        axles::axle_loads,
        example_van::{BALL, ITEMS, SOURCE, WHEELBASE, axles},
        printed::prints,
        ratings::weakest,
    };

    fn van() -> RoomInput {
        RoomInput {
            loads: axle_loads(&axles(&ITEMS, None)).unwrap(),
            wheelbase: WHEELBASE,
            ball: BALL,
            front_gawr: Some(Mass::from_kg(1550.0)),
            rear_gawr: Some(Mass::from_kg(1900.0)),
            gvwr: Some(Mass::from_kg(3200.0)),
            rear_tyres: Some(Mass::from_kg(2430.0)),
            front_share_min: None,
        }
    }

    /// Worked example: 301.077 kg by the rear axle, 343 kg by the gross rating.
    #[test]
    fn the_rear_axle_governs_the_example() {
        let room = tongue_room(&van());
        let least = weakest(&room);
        assert_eq!(least.governing.map(|link| link.path), Some("vehicle.rear.gawr"));
        prints(SOURCE, "301.077", least.limit.unwrap().kg());
        prints(
            SOURCE,
            "343.000",
            least
                .runner_up
                .and_then(|link| match link.limit {
                    LinkLimit::Known(mass) => Some(mass.kg()),
                    LinkLimit::Unknown | LinkLimit::NotLimiting => None,
                })
                .unwrap(),
        );
        assert_eq!(weakest(&tongue_room(&RoomInput { gvwr: None, ..van() })).unknown_count, 1);
    }

    proptest! {
        /// With exactly that tongue load on it, each limit is met to the last gram and the next gram breaks it.
        #[test]
        fn every_limit_is_met_exactly(front in 900.0..2500.0_f64, rear in 700.0..2000.0_f64, share in 0.2..0.6_f64) {
            let before = AxleLoads {
                front_before: Mass::from_kg(front),
                rear_before: Mass::from_kg(rear),
                front: Mass::from_kg(front),
                rear: Mass::from_kg(rear),
            };
            let hitched = |tongue: Mass| {
                let lever = BALL / WHEELBASE;
                (before.front_before + tongue * (1.0 - lever), before.rear_before + tongue * lever)
            };
            let gawr = Mass::from_kg(2100.0);
            let most = largest_tongue_by_rear_axle(gawr, before.rear_before, WHEELBASE, BALL).unwrap();
            prop_assert!((hitched(most).1 - gawr).kg().abs() < 1e-9);
            // Ahead of the rear axle the front one bears a part of it too.
            let pin = WHEELBASE * 0.9;
            let gawr = Mass::from_kg(2600.0);
            let most = largest_tongue_by_front_axle(gawr, before.front_before, WHEELBASE, pin).unwrap();
            prop_assert!((before.front_before + most * (1.0 - pin / WHEELBASE) - gawr).kg().abs() < 1e-9);
            prop_assert_eq!(largest_tongue_by_front_axle(gawr, before.front_before, WHEELBASE, BALL), None);
            let most = largest_tongue_by_front_share(&before, WHEELBASE, BALL, share).unwrap();
            let (f, r) = hitched(most);
            if Mass::ZERO < most {
                prop_assert!((f / (f + r) - share).abs() < 1e-12);
            } else {
                prop_assert!(f / (f + r) <= share + 1e-12);
            }
        }
    }
}
