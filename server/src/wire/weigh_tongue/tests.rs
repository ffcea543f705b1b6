use baybook_proto::v1::{self as pb, weigh_tongue_request::Method};

use super::{WeighTongue, tongue_to_wire};
use crate::wire::{fixture::paths, read};

fn kg(value: f64) -> Option<pb::Mass> {
    Some(pb::Mass { value_kg: Some(value), printed: String::new() })
}

fn balance(centre: f64) -> pb::WeighTongueRequest {
    pb::WeighTongueRequest {
        method: Some(Method::Balance(pb::TrailerBalance { coupler_to_centre_mm: Some(centre) })),
        trailer_mass: kg(2000.0),
        coupler_to_axle_mm: Some(4300.0),
        ..Default::default()
    }
}

#[track_caller]
fn about(got: Option<f64>, printed: f64, half: f64) {
    assert!(got.is_some_and(|got| (got - printed).abs() <= half), "{got:?} is not {printed}");
}

/// Worked example on an invented trailer, derived: moments about its axle.
#[test]
fn a_balance_gives_load_share_and_axle() {
    for (centre, tongue, share, axle) in
        [(4000.0, 139.535, 0.06977, 1860.465), (3870.0, 200.0, 0.1, 1800.0), (4100.0, 93.023, 0.04651, 1906.977)]
    {
        let reply = tongue_to_wire(&read::<WeighTongue>(&balance(centre)).unwrap(), 3);
        about(reply.tongue_kg, tongue, 0.0005);
        about(reply.tongue_share, share, 0.000_005);
        about(reply.axle_kg, axle, 0.0005);
        assert_eq!((reply.revision, reply.tongue_after_kg, reply.window), (3, None, None));
    }
}

#[test]
fn moves_and_target_solve_for_each_other() {
    let mut wire = balance(4000.0);
    wire.moves = vec![pb::CargoMove {
        label: "pallet".to_owned(),
        mass_kg: Some(150.0),
        from_mm: Some(5000.0),
        to_mm: Some(2500.0),
    }];
    wire.target_share = Some(0.105);
    wire.regime = pb::TongueRegime::BallNorthAmerica.into();
    let reply = tongue_to_wire(&read::<WeighTongue>(&wire).unwrap(), 0);
    about(reply.moves[0].tongue_kg, 87.209, 0.0005);
    about(reply.centre_for_target_mm, 3848.5, 1e-9);
    about(reply.tongue_for_target_kg, 210.0, 1e-9);
    let (after, forward) = (reply.tongue_after_kg.unwrap(), reply.forward_for_target_mm.unwrap());
    about(Some(after + 2000.0 * forward / 4300.0), 210.0, 1e-9);
    assert_eq!(reply.window.unwrap().standing(), pb::WindowStanding::Inside);
    let light = tongue_to_wire(&read::<WeighTongue>(&pb::WeighTongueRequest { moves: vec![], ..wire }).unwrap(), 0);
    let window = light.window.unwrap();
    assert_eq!((window.standing(), window.least_by.as_str()), (pb::WindowStanding::Below, "trade window"));
    about(window.least_kg, 200.0, 1e-9);
}

/// Worked example, derived: support 305, scale 610, reading 95 kg give 285.0 kg.
#[test]
fn a_lever_weighs_what_the_scale_cannot() {
    let lever = pb::LeverWeighing {
        support_to_coupler_mm: Some(305.0),
        coupler_to_scale_mm: Some(610.0),
        reading_kg: Some(95.0),
    };
    let mut wire = pb::WeighTongueRequest { method: Some(Method::Lever(lever)), ..Default::default() };
    let reply = tongue_to_wire(&read::<WeighTongue>(&wire).unwrap(), 0);
    about(reply.tongue_kg, 285.0, 0.05);
    assert!(reply.tongue_share.is_none() && reply.cautions.iter().any(|it| it.id == "trailer-mass-unknown"));
    wire.trailer_mass = kg(1900.0);
    about(tongue_to_wire(&read::<WeighTongue>(&wire).unwrap(), 0).tongue_share, 0.15, 1e-9);
    wire.trailer_mass = kg(285.0);
    assert_eq!(paths(&read::<WeighTongue>(&wire).unwrap_err()), ["lever"]);
    wire.trailer_mass = None;
    wire.target_share = Some(0.1);
    assert_eq!(paths(&read::<WeighTongue>(&wire).unwrap_err()), ["coupler_to_axle_mm", "trailer_mass"]);
}

#[test]
fn everything_wrong_is_named_at_once() {
    assert_eq!(paths(&read::<WeighTongue>(&pb::WeighTongueRequest::default()).unwrap_err()), ["balance"]);
    let wire = pb::WeighTongueRequest {
        method: Some(Method::Balance(pb::TrailerBalance::default())),
        trailer_mass: kg(-5.0),
        target_share: Some(5.0),
        static_load_limit: kg(1e9),
        printed_min_share: Some(0.2),
        printed_max_share: Some(0.1),
        ..Default::default()
    };
    assert_eq!(
        paths(&read::<WeighTongue>(&wire).unwrap_err()),
        [
            "trailer_mass.value_kg",
            "coupler_to_axle_mm",
            "balance.coupler_to_centre_mm",
            "target_share",
            "printed_min_share",
            "static_load_limit.value_kg"
        ]
    );
}
