//! The window the tongue share must lie in.

use super::region::Region;
use crate::model::{trailer::DrawbarKind, upfit::Upfit};

/// The trade's least share in North America (vehicle and trailer handbooks).
const LEAST_NORTH_AMERICA: f64 = 0.10;
/// The trade's greatest share in North America (vehicle and trailer handbooks).
const MOST_NORTH_AMERICA: f64 = 0.15;
/// The least share elsewhere: what a European vehicle must at least allow (Directive 97/27/EC, 7.8.2).
const LEAST_ELSEWHERE: f64 = 0.04;

/// The trade's least share on a fifth wheel (vehicle and trailer handbooks).
const LEAST_FIFTH_WHEEL: f64 = 0.15;
/// The trade's greatest share on a fifth wheel (vehicle and trailer handbooks).
const MOST_FIFTH_WHEEL: f64 = 0.25;

fn on_fifth_wheel(plan: &Upfit) -> bool {
    plan.hangs_in_bed()
        || plan.trailer.as_deref().is_some_and(|trailer| trailer.drawbar == Some(DrawbarKind::FifthWheel))
}

/// Returns what the vehicle's handbook prints: for a pin in the bed another window than for a ball behind the bumper.
#[must_use]
pub fn handbook(plan: &Upfit) -> (Option<f64>, Option<f64>) {
    let vehicle = &plan.vehicle;
    if on_fifth_wheel(plan) {
        return vehicle.bed.map_or((None, None), |bed| (bed.pin_share_min, bed.pin_share_max));
    }
    (vehicle.tongue_share_min, vehicle.tongue_share_max)
}

/// Returns the least share: the trailer maker's, else the vehicle handbook's, else the trade's; the shop may ask for
/// more.
#[must_use]
pub fn least(plan: &Upfit) -> Option<f64> {
    let printed = plan.trailer.as_deref().and_then(|trailer| trailer.tongue_share_min);
    let base = printed.or(handbook(plan).0).unwrap_or_else(|| usual_least(plan));
    Some(plan.limits.tongue_share_min.map_or(base, |own| own.max(base)))
}

/// Returns the greatest share, in the same order; the shop may ask for less. Elsewhere than in North America there is
/// none unless somebody prints one: the static load S is the limit there.
#[must_use]
pub fn most(plan: &Upfit) -> Option<f64> {
    let printed = plan.trailer.as_deref().and_then(|trailer| trailer.tongue_share_max);
    let base = printed.or(handbook(plan).1).or_else(|| usual_most(plan));
    base.into_iter().chain(plan.limits.tongue_share_max).reduce(f64::min)
}

/// Returns the least share where neither trailer nor vehicle handbook prints one.
#[must_use]
pub fn usual_least(plan: &Upfit) -> f64 {
    if on_fifth_wheel(plan) {
        return LEAST_FIFTH_WHEEL;
    }
    if Region::of(plan) == Region::NorthAmerica { LEAST_NORTH_AMERICA } else { LEAST_ELSEWHERE }
}

/// Returns the greatest share where neither trailer nor vehicle handbook prints one; elsewhere than in North America
/// there is none.
#[must_use]
pub fn usual_most(plan: &Upfit) -> Option<f64> {
    if on_fifth_wheel(plan) {
        return Some(MOST_FIFTH_WHEEL);
    }
    (Region::of(plan) == Region::NorthAmerica).then_some(MOST_NORTH_AMERICA)
}
