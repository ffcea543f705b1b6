//! `CalculatorService`: each question answered, and refused with every field that is missing.

use baybook_proto::v1 as pb;
use tonic::Code;

use crate::rig::{Rig, plan, wrong};

fn bolt_ref(name: &str) -> Option<pb::BoltRef> {
    Some(pb::BoltRef { bolt: Some(pb::bolt_ref::Bolt::Name(name.to_owned())) })
}

fn finish(label: &str, k: f64) -> Option<pb::FinishRef> {
    let band = pb::Band { low_share: Some(0.9 * k), nominal_share: Some(k), high_share: Some(1.1 * k) };
    let spec = pb::Finish {
        label: label.to_owned(),
        nut_factor: Some(band),
        friction_source: "shop trial".to_owned(),
        ..Default::default()
    };
    Some(pb::FinishRef { finish: Some(pb::finish_ref::Finish::Spec(Box::new(spec))) })
}

fn n_m(value: f64) -> pb::Torque {
    pb::Torque { value_n_m: Some(value), ..Default::default() }
}

fn adjust() -> pb::AdjustTorqueRequest {
    pb::AdjustTorqueRequest {
        bolt: bolt_ref("bolts/m12-88-40"),
        tapped_hole: Some(true),
        condition: finish("oiled", 0.15),
        aim: Some(pb::adjust_torque_request::Aim::SpecifiedTorque(n_m(80.0))),
        specified_condition: finish("dry", 0.20),
        method: pb::TighteningMethod::Torque.into(),
        window_share: Some(0.1),
        ..Default::default()
    }
}

#[tokio::test]
async fn a_torque_follows_the_condition() {
    let rig = Rig::demo().await;
    let reply = rig.calculator().adjust_torque(adjust()).await.unwrap().into_inner();
    // The short form, T = K F d: at the same preload the torque goes as K. 80 N m x 0.15 / 0.20.
    let target = reply.torque.unwrap().target_n_m.unwrap();
    assert!((target - 60.0).abs() < 1e-9, "{target}");
    assert_eq!(reply.revision, 1);
    assert!(!reply.basis.is_empty());
}

#[tokio::test]
async fn every_missing_field_is_named() {
    let rig = Rig::demo().await;
    let error = wrong(rig.calculator().adjust_torque(pb::AdjustTorqueRequest::default()).await);
    assert_eq!((error.code, error.reason.as_str()), (Code::InvalidArgument, "BAD_FIELDS"));
    for field in ["bolt", "condition", "window_share"] {
        assert!(error.fields().contains(&field), "{field} is not in {:?}", error.fields());
    }
    let error = wrong(rig.calculator().assess_torque(pb::AssessTorqueRequest::default()).await);
    for field in ["bolt", "condition", "applied_torque"] {
        assert!(error.fields().contains(&field), "{field} is not in {:?}", error.fields());
    }
    let error = wrong(rig.calculator().look_up_thread(pb::LookUpThreadRequest::default()).await);
    assert_eq!(error.fields(), ["thread"]);
    for error in [
        wrong(rig.calculator().rate_towing(pb::RateTowingRequest::default()).await),
        wrong(rig.calculator().axle_loads(pb::AxleLoadsRequest::default()).await),
        wrong(rig.calculator().clearances(pb::ClearancesRequest::default()).await),
    ] {
        assert_eq!(error.fields(), ["plan"]);
    }
    let error = wrong(rig.calculator().roll_over(pb::RollOverRequest::default()).await);
    assert_eq!(error.fields(), ["plan", "terrain"]);
}

#[tokio::test]
async fn a_bolt_that_is_not_there_gets_the_nearest_ones() {
    let rig = Rig::demo().await;
    let request = pb::AdjustTorqueRequest { bolt: bolt_ref("bolts/m12-88-41"), ..adjust() };
    let error = wrong(rig.calculator().adjust_torque(request).await);
    assert_eq!((error.code, error.meta("name")), (Code::NotFound, "bolts/m12-88-41"));
    assert!(error.meta("nearest").contains("bolts/m12-88-40"), "{:?}", error.metadata);
}

#[tokio::test]
async fn a_torque_is_judged() {
    let rig = Rig::demo().await;
    let request = |torque: f64| pb::AssessTorqueRequest {
        bolt: bolt_ref("bolts/m12-88-40"),
        tapped_hole: Some(true),
        condition: finish("dry", 0.20),
        applied_torque: Some(n_m(torque)),
        reusable: Some(false),
        ..Default::default()
    };
    let calm = rig.calculator().assess_torque(request(40.0)).await.unwrap().into_inner();
    assert_eq!(calm.state(), pb::PreloadState::Ok);
    let wild = rig.calculator().assess_torque(request(400.0)).await.unwrap().into_inner();
    assert!(wild.state() > pb::PreloadState::ProofExceeded && !wild.discard.is_empty(), "{:?}", wild.state());
}

#[tokio::test]
async fn a_thread_is_looked_up() {
    let rig = Rig::memory().await;
    let request = pb::LookUpThreadRequest { thread: "M12".to_owned(), property_class: "8.8".to_owned() };
    let reply = rig.calculator().look_up_thread(request).await.unwrap().into_inner();
    // ISO 898-1:2013, table 4: the stress area of M12 coarse is 84.3 mm2; table 5: its proof load at 8.8 is 48 900 N
    // to three digits.
    assert!((reply.stress_area_mm2.unwrap() - 84.3).abs() <= 0.05);
    assert_eq!((reply.thread.as_str(), reply.series.as_str()), ("M12x1.75", "coarse"));
}

#[tokio::test]
async fn a_towing_plan_is_rated_weighed_and_measured() {
    let rig = Rig::demo().await;
    let mass = |value: f64| Some(pb::Mass { value_kg: Some(value), ..Default::default() });
    let plan = pb::UpfitPlan {
        receiver: Some(pb::ReceiverRef {
            receiver: Some(pb::receiver_ref::Receiver::Name("receivers/van-tuck".into())),
        }),
        trailer: Some(pb::TrailerRef { trailer: Some(pb::trailer_ref::Trailer::Name("trailers/flatbed-2t".into())) }),
        ball_mount: Some(pb::BallMountRef {
            ball_mount: Some(pb::ball_mount_ref::BallMount::Name("ballmounts/two-in-drop-2".to_owned())),
        }),
        trailer_mass: mass(1_500.0),
        tongue: Some(pb::upfit_plan::Tongue::TongueLoad(pb::Mass { value_kg: Some(160.0), ..Default::default() })),
        ..plan("vehicles/van-l35")
    };
    let rated =
        rig.calculator().rate_towing(pb::RateTowingRequest { plan: Some(plan.clone()) }).await.unwrap().into_inner();
    let trailer = rated.trailer.unwrap();
    assert!(!trailer.links.is_empty() && trailer.planned_kg == Some(1_500.0), "{trailer:?}");
    let weighed = rig
        .calculator()
        .axle_loads(pb::AxleLoadsRequest { plan: Some(plan.clone()), ..Default::default() })
        .await
        .unwrap()
        .into_inner();
    assert!((weighed.tongue_kg.unwrap() - 160.0).abs() < 1e-9 && !weighed.ratings.is_empty());
    // A tongue load behind the rear axle loads it by more than itself and lifts the front.
    assert!(weighed.rear_kg.unwrap() - weighed.rear_before_kg.unwrap() > 160.0);
    assert!(weighed.front_kg.unwrap() < weighed.front_before_kg.unwrap());
    let request = pb::ClearancesRequest { plan: Some(plan), ..Default::default() };
    let measured = rig.calculator().clearances(request).await.unwrap().into_inner();
    assert!(!measured.states.is_empty() && measured.revision == 1);
}
