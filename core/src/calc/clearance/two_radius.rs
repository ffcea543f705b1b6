//! Approach and departure by the free radius: the hub stands at its loaded height, the arc has the free radius.

use super::{Governed, Point, Underside, tangent, tangent::under_axle, tangent_two_radius};
use crate::{calc::sag::Pose, error::CalcError, units::Length};

/// Returns the approach angle by the front tyre's free radius. It is larger than [`super::approach`], which is the
/// cautious choice and what the law means.
///
/// # Errors
///
/// As [`super::approach`]; [`CalcError::OutOfRange`] for the free radius.
///
/// # Source
///
/// Derived: the tangent to a circle whose centre stands at another height than its radius.
pub fn approach_two_radius(underside: &Underside<'_>, pose: &Pose, free: Length) -> Result<Governed, CalcError> {
    underside.check(pose)?;
    let hub = pose.wheels().front_radius;
    least(underside, pose, "the approach angle", hub, free, |point| -point.station)
}

/// Returns the departure angle by the rear tyre's free radius.
///
/// # Errors
///
/// As [`approach_two_radius`], for the rear axle.
pub fn departure_two_radius(underside: &Underside<'_>, pose: &Pose, free: Length) -> Result<Governed, CalcError> {
    underside.check(pose)?;
    let wheels = *pose.wheels();
    least(underside, pose, "the departure angle", wheels.rear_radius, free, |point| point.station - wheels.wheelbase)
}

fn least(
    underside: &Underside<'_>,
    pose: &Pose,
    by: &'static str,
    hub: Length,
    free: Length,
    side: impl Fn(&Point) -> Length,
) -> Result<Governed, CalcError> {
    let mut best: Option<Governed> = None;
    for (index, at) in underside.placed(pose) {
        let u = side(&at);
        if u <= Length::ZERO {
            continue;
        }
        let angle = match tangent_two_radius(u, at.height, hub, free) {
            Ok(angle) => angle,
            Err(error) if error == tangent::INSIDE_TYRE && under_axle(u.mm(), free.mm()) => continue,
            Err(error) => return Err(error),
        };
        if best.is_none_or(|best| angle < best.angle) {
            best = Some(Governed { angle, at, index, on_edge: false });
        }
    }
    best.ok_or(CalcError::Missing { field: "points", by })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::{
        clearance::{approach, departure},
        example_van::WHEELS,
        printed::prints,
    };
    use crate::model::profile::{Profile, ProfileJoin, ProfilePoint};

    fn van() -> Profile {
        let point = |station, height| ProfilePoint {
            label: String::new(),
            station: Length::from_mm(station),
            height: Length::from_mm(height),
        };
        let points = vec![point(-820.0, 260.0), point(1820.0, 200.0), point(4920.0, 255.0)];
        Profile { points, join: ProfileJoin::SeparatePoints }
    }

    #[test]
    fn the_free_radius_gives_the_worked_angles() {
        let (van, pose) = (van(), Pose::as_measured(WHEELS));
        let underside = Underside::of(&van);
        let free = Length::from_mm(362.0);
        let front = approach_two_radius(&underside, &pose, free).unwrap();
        let rear = departure_two_radius(&underside, &pose, free).unwrap();
        prints("worked angle of an invented van, derived", "20.1291", front.angle.deg());
        prints("worked angle of an invented van, derived", "12.3645", rear.angle.deg());
        assert!(front.angle > approach(&underside, &pose).unwrap().angle);
        assert!(rear.angle > departure(&underside, &pose).unwrap().angle);
        // The loaded radius itself is the one-radius form.
        let same = departure_two_radius(&underside, &pose, WHEELS.rear_radius).unwrap();
        assert!((same.angle.deg() - departure(&underside, &pose).unwrap().angle.deg()).abs() < 1e-9);
        assert!(departure_two_radius(&underside, &pose, Length::from_mm(5.0)).is_err());
    }
}
