//! The window the tongue share must lie in.

use super::region::Region;
use crate::model::upfit::Upfit;

/// The trade's least share in North America (vehicle and trailer handbooks).
const LEAST_NORTH_AMERICA: f64 = 0.10;
/// The trade's greatest share in North America (vehicle and trailer handbooks).
const MOST_NORTH_AMERICA: f64 = 0.15;
/// The least share elsewhere: what a European vehicle must at least allow (Directive 97/27/EC, 7.8.2).
const LEAST_ELSEWHERE: f64 = 0.04;

/// Returns the least share: the trailer maker's, else the vehicle handbook's, else the trade's; the shop may ask for
/// more.
#[must_use]
pub fn least(plan: &Upfit) -> Option<f64> {
    let printed = plan.trailer.as_deref().and_then(|trailer| trailer.tongue_share_min);
    let usual = if Region::of(plan) == Region::NorthAmerica { LEAST_NORTH_AMERICA } else { LEAST_ELSEWHERE };
    let base = printed.or(plan.vehicle.tongue_share_min).unwrap_or(usual);
    Some(plan.limits.tongue_share_min.map_or(base, |own| own.max(base)))
}

/// Returns the greatest share, in the same order; the shop may ask for less. Elsewhere than in North America there is
/// none unless somebody prints one: the static load S is the limit there.
#[must_use]
pub fn most(plan: &Upfit) -> Option<f64> {
    let printed = plan.trailer.as_deref().and_then(|trailer| trailer.tongue_share_max);
    let usual = (Region::of(plan) == Region::NorthAmerica).then_some(MOST_NORTH_AMERICA);
    let base = printed.or(plan.vehicle.tongue_share_max).or(usual);
    base.into_iter().chain(plan.limits.tongue_share_max).reduce(f64::min)
}
