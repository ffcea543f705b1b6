//! Off-road classes and height windows: to the wire.

use baybook_core::{
    basis::Basis,
    calc::{
        ball_window::{self, Regime, Standing as BallStanding, ball_window, window},
        clearance::Underside,
        off_road::{self, Class, Criterion, Item, class_test, measures},
        sag::Pose,
    },
    model::upfit::{OffRoadClass, Upfit},
    units::Length,
};
use baybook_proto::v1 as pb;

const CLASSES: [(Class, pb::OffRoadClass); 2] =
    [(Class::EuropeanG, pb::OffRoadClass::EuropeanG), (Class::UsLightTruck, pb::OffRoadClass::UsLightTruck)];

/// Holds one state of a vehicle against both classes.
pub(super) fn tests(underside: &Underside<'_>, pose: &Pose) -> Vec<pb::OffRoadTest> {
    let Ok(measures) = measures(underside, pose) else { return Vec::new() };
    let of = |(class, wire): (Class, pb::OffRoadClass)| {
        let test = class_test(class, &measures).ok()?;
        Some(pb::OffRoadTest {
            off_road_class: wire.into(),
            holds: test.passes(),
            held_count: i32::try_from(test.held()).ok(),
            needed_count: i32::try_from(test.needed).ok(),
            items: test.items.iter().map(item).collect(),
        })
    };
    CLASSES.into_iter().filter_map(of).collect()
}

fn item(item: &Item) -> pb::OffRoadItem {
    let (label, is_angle) = match item.criterion {
        Criterion::Approach => ("approach angle", true),
        Criterion::Departure => ("departure angle", true),
        Criterion::Ramp => ("ramp angle", true),
        Criterion::FrontAxle => ("under the front axle", false),
        Criterion::RearAxle => ("under the rear axle", false),
        Criterion::Between => ("between the axles", false),
        Criterion::BothAxles => ("under both axles", false),
    };
    let angle = |value: Option<f64>| value.filter(|_| is_angle);
    let clearance = |value: Option<f64>| value.filter(|_| !is_angle);
    pb::OffRoadItem {
        label: label.to_owned(),
        holds: item.holds(),
        angle_deg: angle(item.value),
        least_angle_deg: angle(Some(item.least)),
        clearance_mm: clearance(item.value),
        least_clearance_mm: clearance(Some(item.least)),
    }
}

/// Returns the steps behind [`tests`].
pub(super) fn basis() -> Vec<Basis> {
    CLASSES.into_iter().flat_map(|(class, _)| off_road::basis(class)).collect()
}

/// Holds the ball's centre, laden, against every window there is.
pub(super) fn windows(plan: &Upfit, ball_top: Option<Length>, steps: &mut Vec<Basis>) -> Vec<pb::BallWindow> {
    let diameter = plan.ball.as_deref().and_then(|ball| ball.diameter);
    let Some(centre) = ball_top.zip(diameter).map(|(top, diameter)| top - diameter / 2.0) else { return Vec::new() };
    let off_road = plan.off_road_class.map(|class| class == OffRoadClass::EuropeanG);
    let mut all = Vec::new();
    for (regime, jurisdiction) in [(Regime::Europe, "Europe"), (Regime::Australia, "Australia")] {
        let (Some((low, high)), Ok(standing)) = (window(regime).heights, ball_window(regime, centre, off_road)) else {
            continue;
        };
        let (standing, off) = match standing {
            BallStanding::Inside => (pb::BallStanding::Inside, None),
            BallStanding::TooLow(by) => (pb::BallStanding::TooLow, Some(by)),
            BallStanding::TooHigh(by) => (pb::BallStanding::TooHigh, Some(by)),
            BallStanding::NotApplicable => (pb::BallStanding::Exempt, None),
            BallStanding::Unknown => (pb::BallStanding::Unknown, None),
        };
        steps.extend(ball_window::basis(regime, centre));
        all.push(pb::BallWindow {
            jurisdiction: jurisdiction.to_owned(),
            low_mm: Some(low.mm()),
            high_mm: Some(high.mm()),
            standing: standing.into(),
            off_mm: off.map(Length::mm),
        });
    }
    all
}
