//! The states of a vehicle from the side, drawn from what was worked out.

use baybook_core::{
    calc::clearance::Point,
    draw::side_view::{SideAngle, SidePoint, SideView, Which, svg},
    model::profile::ProfileJoin,
};
use baybook_proto::v1 as pb;

use super::{super::standing::Standing, Clearances};

/// Draws every state that has angles.
pub(super) fn draw(asked: &Clearances, standings: &[Standing<'_>], states: &[pb::ClearanceState]) -> String {
    let find = |state: &pb::ClearanceState| standings.iter().find(|standing| standing.label() == state.label);
    let views: Vec<SideView<'_>> = states.iter().filter_map(|state| Some(view(asked, find(state)?, state))).collect();
    let vehicle = &asked.plan.vehicle;
    let title = if vehicle.label.is_empty() { &vehicle.name } else { &vehicle.label };
    let notes = [
        "Lines touch the static loaded radius of the tyres. Angles are rounded down to a tenth of a degree.".to_owned(),
        "Static, on level ground: leave a margin, and measure on this unit, laden.".to_owned(),
    ];
    svg(title, &views, &notes)
}

fn view<'a>(asked: &'a Clearances, standing: &Standing<'a>, state: &pb::ClearanceState) -> SideView<'a> {
    let pose = &standing.pose;
    let wheels = pose.wheels();
    let place = |point: Point| {
        let at = pose.place(point);
        [at.station.mm(), at.height.mm()]
    };
    let profile = asked.plan.vehicle.profile.as_ref();
    let body = profile.map_or(&[][..], |profile| &profile.points);
    let straight = profile.is_some_and(|profile| profile.join == ProfileJoin::StraightEdges);
    let mut points: Vec<SidePoint<'_>> = body
        .iter()
        .enumerate()
        .map(|(index, point)| SidePoint {
            label: &point.label,
            at: place(Point { station: point.station, height: point.height }),
            joined: straight && index + 1 < body.len(),
        })
        .collect();
    points.extend(standing.points().iter().map(|point| SidePoint {
        label: &point.label,
        at: place(Point { station: point.station, height: point.height }),
        joined: false,
    }));
    points.extend(standing.mount().iter().map(|point| SidePoint {
        label: "ball mount",
        at: place(*point),
        joined: false,
    }));
    let angles = [(Which::Approach, &state.approach), (Which::Departure, &state.departure), (Which::Ramp, &state.ramp)];
    let angles = angles.into_iter().filter_map(|(which, angle)| {
        let angle = angle.as_ref()?;
        let at = angle.at.as_ref()?;
        Some(SideAngle {
            which,
            deg: angle.angle_deg?,
            off_deg: angle.uncertainty_deg,
            at: [at.station_mm?, at.height_mm?],
        })
    });
    SideView {
        title: state.label.clone(),
        wheelbase: wheels.wheelbase.mm(),
        radii: [wheels.front_radius.mm(), wheels.rear_radius.mm()],
        points,
        angles: angles.collect(),
    }
}
