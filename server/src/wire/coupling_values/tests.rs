use baybook_proto::v1 as pb;

use super::{CouplingValues, coupling_values_to_wire};
use crate::wire::{fixture::paths, read};

fn t(value: f64) -> Option<pb::Mass> {
    Some(pb::Mass { value_kg: Some(value * 1000.0), printed: String::new() })
}

fn ask(kind: pb::CouplingKind, change: impl FnOnce(&mut pb::CouplingValuesRequest)) -> pb::CouplingValuesResponse {
    let mut wire = pb::CouplingValuesRequest { kind: kind.into(), vehicle: t(3.5), ..Default::default() };
    change(&mut wire);
    coupling_values_to_wire(&read::<CouplingValues>(&wire).unwrap(), 2)
}

#[track_caller]
fn about(got: Option<f64>, printed: f64) {
    assert!(got.is_some_and(|got| (got - printed).abs() <= 0.000_05), "{got:?} is not {printed}");
}

/// UN Regulation 55 section 2, formulas from memory; figures derived with g = 9.81.
#[test]
fn d_and_its_inverse() {
    for (vehicle, trailer, d) in
        [(3.5, 3.5, 17.1675), (3.2, 2.0, 12.0738), (2.5, 2.0, 10.9), (2.0, 0.75, 5.3509), (3.0, 2.8, 14.2076)]
    {
        let reply = ask(pb::CouplingKind::FreeDrawbar, |wire| {
            (wire.vehicle, wire.trailer) = (t(vehicle), t(trailer));
            wire.d_plate_kn = Some(d + 0.000_1);
        });
        about(reply.values[0].needed_kn, d);
        assert_eq!(reply.values[0].standing(), pb::CertifiedStanding::Holds);
        assert_eq!((reply.values[1].standing(), reply.holds), (pb::CertifiedStanding::Unknown, None));
    }
    for (plate, vehicle, trailer) in [(17.0, 3.5, 3.4324), (12.0, 3.2, 1.9802), (20.0, 3.5, 4.8832)] {
        let reply = ask(pb::CouplingKind::FreeDrawbar, |wire| {
            wire.vehicle = t(vehicle);
            wire.d_plate_kn = Some(plate);
        });
        about(reply.values[0].room_kg.map(|kg| kg / 1000.0), trailer);
    }
    let strong = ask(pb::CouplingKind::FreeDrawbar, |wire| wire.d_plate_kn = Some(34.4));
    assert!(strong.values[0].not_limiting && strong.values[0].room_kg.is_none());
}

#[test]
fn a_centre_axle_trailer_needs_dc_s_and_above_three_and_a_half_tonnes_v() {
    let heavy = |suspension: pb::DriveSuspension, bed: f64| {
        ask(pb::CouplingKind::CentreAxle, |wire| {
            (wire.vehicle, wire.trailer, wire.axle_sum) = (t(3.2), t(3.6), t(3.0));
            wire.suspension = suspension.into();
            (wire.bed_length_mm, wire.drawbar_length_mm) = (Some(bed), Some(5000.0));
            (wire.dc_plate_kn, wire.v_plate_kn) = (Some(15.0), Some(10.368));
        })
    };
    let reply = heavy(pb::DriveSuspension::Other, 6000.0);
    let names: Vec<&str> = reply.values.iter().map(|value| value.value.as_str()).collect();
    assert_eq!(names, ["Dc", "S", "V"]);
    about(reply.values[0].needed_kn, 15.1897);
    assert_eq!((reply.values[0].standing(), reply.holds), (pb::CertifiedStanding::Short, Some(false)));
    about(reply.values[2].needed_kn, 10.368);
    about(reply.values[2].room_kg.map(|kg| kg / 1000.0), 3.0);
    about(heavy(pb::DriveSuspension::Air, 6000.0).values[2].needed_kn, 7.776);
    about(heavy(pb::DriveSuspension::Other, 4000.0).values[2].needed_kn, 7.2);
    let light = ask(pb::CouplingKind::CentreAxle, |wire| (wire.trailer, wire.static_load) = (t(3.5), t(0.1)));
    assert_eq!(light.values.len(), 2);
}

#[test]
fn a_fifth_wheel_needs_d_and_u() {
    let reply = ask(pb::CouplingKind::FifthWheel, |wire| {
        (wire.vehicle, wire.trailer, wire.imposed) = (t(7.5), t(6.0), t(1.5));
        (wire.d_plate_kn, wire.u_plate) = (Some(22.0725), t(1.5));
    });
    about(reply.values[0].needed_kn, 22.0725);
    about(reply.values[0].room_kg.map(|kg| kg / 1000.0), 6.0);
    assert_eq!(reply.holds, Some(true));
}

#[test]
fn everything_wrong_is_named_at_once() {
    assert_eq!(paths(&read::<CouplingValues>(&Default::default()).unwrap_err()), ["kind", "vehicle"]);
    let wire = pb::CouplingValuesRequest {
        kind: pb::CouplingKind::FifthWheel.into(),
        vehicle: t(-1.0),
        trailer: t(2.0),
        static_load: t(2.0),
        d_plate_kn: Some(f64::NAN),
        ..Default::default()
    };
    assert_eq!(
        paths(&read::<CouplingValues>(&wire).unwrap_err()),
        ["vehicle.value_kg", "imposed", "d_plate_kn", "static_load"]
    );
}
