//! Stations run rearward from the front axle: nothing rides ahead of the front end or behind the ball.
//!
//! Ends that are not known are not tested here; the clearance rules ask for them.

use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::units::Length;

/// The rule.
pub static RULE: Rule = Rule {
    id: "station-slip",
    title: "every load sits between the front end and the ball",
    severity: Severity::Review,
    source: Source::new("stations are millimetres rearward of the front axle", "", Seen::Derived),
    needs: &["items", "vehicle.profile", "receiver.fits"],
    remedy: "Measure the station from the front-axle centre, rearward positive, and enter it again.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let front =
        case.plan.vehicle.profile.as_ref().and_then(|profile| profile.points.first()).map(|point| point.station);
    // Behind a pin in the bed there is room for cargo, up to the vehicle's own end.
    let (ball, end) = if case.plan.hangs_in_bed() {
        (case.plan.vehicle.tail.and_then(|tail| tail.rear_face_station), "behind the vehicle's end")
    } else {
        (case.figures.ball_station.ok(), "behind the ball")
    };
    for (index, item) in case.plan.items.iter().enumerate() {
        let Some(station) = item.station else { continue };
        let ahead = front.is_some_and(|front| station < front);
        let behind = ball.is_some_and(|ball| station > ball);
        if !ahead && !behind {
            continue;
        }
        let (limit, side) = if ahead { (front, "ahead of the front end") } else { (ball, end) };
        let limit = limit.unwrap_or(Length::ZERO).mm();
        findings.breach(
            format!("items[{index}].station_mm"),
            Against::new(station.mm(), limit, "mm"),
            format_args!("{} sits at {:.0} mm, {side} at {limit:.0} mm", item.label, station.mm()),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;

    #[test]
    fn a_load_ahead_of_the_bumper_or_behind_the_ball_is_reviewed() {
        assert_eq!(
            message("station-slip", |p| p.items[1].station = Some(mm(-3300.0))),
            "cargo sits at -3300 mm, ahead of the front end at -820 mm"
        );
        let found = finding("station-slip", |p| p.items[0].station = Some(mm(5000.0))).unwrap();
        assert_eq!(found.subject, "items[0].station_mm");
    }

    #[test]
    fn the_ends_themselves_are_fine() {
        assert!(finding("station-slip", |p| p.items[0].station = Some(mm(-820.0))).is_none());
        assert!(finding("station-slip", |p| p.items[0].station = Some(mm(4920.0))).is_none());
    }

    #[test]
    fn a_missing_station_is_not_clear() {
        let found = report(|p| p.items[0].station = None).findings;
        assert!(found.iter().any(|f| f.unknown && f.subject == "items[0].station_mm"), "{found:#?}");
    }
}
