use baybook_core::calc::{
    assess_torque::assess_torque,
    condition::Face,
    torque::{Mate, adjust_torque},
};
use baybook_proto::v1::{bolt_ref, finish_ref, nut_ref, wrench_ref};

use super::*;
use crate::wire::{
    fixture::{Book, n_m, paths},
    torque_answer::{advice_to_wire, assessment_to_wire},
};

fn bolt(name: &str) -> Option<pb::BoltRef> {
    Some(pb::BoltRef { bolt: Some(bolt_ref::Bolt::Name(name.to_owned())) })
}

fn nut(name: &str) -> Option<pb::NutRef> {
    Some(pb::NutRef { nut: Some(nut_ref::Nut::Name(name.to_owned())) })
}

fn finish(name: &str) -> Option<pb::FinishRef> {
    Some(pb::FinishRef { finish: Some(finish_ref::Finish::Name(name.to_owned())) })
}

/// A bolt of 10.9 with a measured face: 18 mm over a hole of 13.5 mm.
fn measured() -> Option<pb::BoltRef> {
    let spec = pb::Bolt {
        thread: "M12x1.75".to_owned(),
        property_class: "10.9".to_owned(),
        bearing_diameter_mm: Some(18.0),
        hole_diameter_mm: Some(13.5),
        ..Default::default()
    };
    Some(pb::BoltRef { bolt: Some(bolt_ref::Bolt::Spec(Box::new(spec))) })
}

fn asked() -> pb::AdjustTorqueRequest {
    pb::AdjustTorqueRequest {
        bolt: measured(),
        condition: finish("finishes/oiled"),
        aim: n_m(110.0).map(Aim::SpecifiedTorque),
        specified_condition: finish("finishes/zinc-dry"),
        method: pb::TighteningMethod::Torque.into(),
        window_share: Some(0.1),
        ..Default::default()
    }
}

fn wrong(wire: &pb::AdjustTorqueRequest) -> WireError {
    AdjustTorque::read(wire, Book::demo()).unwrap_err()
}

#[test]
fn an_empty_question_lacks_everything_at_once() {
    let error = wrong(&pb::AdjustTorqueRequest::default());
    assert_eq!(paths(&error), ["bolt", "condition", "specified_torque", "window_share"]);
    let error = wrong(&pb::AdjustTorqueRequest { aim: n_m(80.0).map(Aim::SpecifiedTorque), ..Default::default() });
    assert_eq!(paths(&error), ["bolt", "condition", "specified_condition", "method", "window_share"]);
    let error = read_assess_torque(&pb::AssessTorqueRequest::default(), Book::demo()).unwrap_err();
    assert_eq!(paths(&error), ["bolt", "condition", "applied_torque", "reusable"]);
}

#[test]
fn what_goes_with_a_specified_torque_goes_with_nothing_else() {
    let wire = pb::AdjustTorqueRequest { aim: Some(Aim::ProofShare(0.75)), prevailing_included: Some(true), ..asked() };
    assert_eq!(paths(&wrong(&wire)), ["specified_condition", "prevailing_included"]);
    for (aim, path) in [
        (Aim::ProofShare(f64::NAN), "proof_share"),
        (Aim::YieldShare(1.5), "yield_share"),
        (Aim::Preload(pb::Force { value_n: Some(0.0), printed: String::new() }), "preload.value_n"),
    ] {
        let wire = pb::AdjustTorqueRequest { aim: Some(aim), specified_condition: None, ..asked() };
        assert_eq!(paths(&wrong(&wire)), [path]);
    }
}

#[test]
fn contradictions_are_refused() {
    let wire = pb::AdjustTorqueRequest {
        nut: nut("nuts/half-13-g8"),
        tapped_hole: Some(true),
        washer_turns: Some(true),
        bolt_count: Some(6),
        ..asked()
    };
    assert_eq!(paths(&wrong(&wire)), ["washer_turns", "tapped_hole", "nut", "pattern"]);
    let wire = pb::AdjustTorqueRequest { pattern: pb::BoltPattern::Row.into(), ..asked() };
    assert_eq!(paths(&wrong(&wire)), ["bolt_count"]);
}

#[test]
fn a_bolt_without_a_mark_has_no_torque() {
    let wire = pb::AdjustTorqueRequest { bolt: bolt("bolts/m12-unmarked"), ..asked() };
    let error = wrong(&wire);
    assert_eq!(paths(&error), ["bolt.name"]);
    assert!(error.to_string().contains("its class is not known"), "{error}");
}

#[test]
fn a_locking_nut_asks_what_the_printed_torque_contains() {
    let wire = pb::AdjustTorqueRequest { nut: nut("nuts/m12-8-lock"), ..asked() };
    assert_eq!(paths(&wrong(&wire)), ["prevailing_included"]);
    let wire = pb::AdjustTorqueRequest { prevailing_included: Some(false), ..wire };
    assert!(AdjustTorque::read(&wire, Book::demo()).unwrap().input.prevailing.is_some());
}

#[test]
fn a_flange_must_be_measured() {
    let spec = pb::Bolt {
        thread: "M12".to_owned(),
        property_class: "10.9".to_owned(),
        head: pb::HeadKind::HexFlange.into(),
        ..Default::default()
    };
    let wire = pb::AdjustTorqueRequest {
        bolt: Some(pb::BoltRef { bolt: Some(bolt_ref::Bolt::Spec(Box::new(spec))) }),
        ..asked()
    };
    assert_eq!(paths(&wrong(&wire)), ["bolt.spec.bearing_diameter_mm", "bolt.spec.hole_diameter_mm"]);
}

#[test]
fn an_adapter_takes_its_lever_from_the_wrench() {
    let adapter = Some(pb::Adapter { offset_mm: Some(50.0), angle_deg: Some(0.0), lever_mm: None });
    let wire = pb::AdjustTorqueRequest { adapter, ..asked() };
    assert_eq!(paths(&wrong(&wire)), ["adapter.lever_mm"]);
    let wrench = Some(pb::WrenchRef { wrench: Some(wrench_ref::Wrench::Name("wrenches/click-200".to_owned())) });
    let wire = pb::AdjustTorqueRequest { wrench, ..wire };
    let read = AdjustTorque::read(&wire, Book::demo()).unwrap();
    assert_eq!(read.input.adapter.unwrap().lever.mm(), 430.0);
    assert_eq!(read.input.wrench.unwrap().accuracy_share, Some(0.04));
    let empty = pb::AdjustTorqueRequest { adapter: Some(pb::Adapter::default()), ..asked() };
    assert_eq!(paths(&wrong(&empty)), ["adapter.lever_mm", "adapter.offset_mm", "adapter.angle_deg"]);
}

#[test]
fn nobody_is_asked_to_guess_what_the_bolt_is_screwed_into() {
    let read = |wire: &pb::AdjustTorqueRequest| AdjustTorque::read(wire, Book::demo()).unwrap().input;
    assert_eq!(read(&asked()).mate, None);
    let tapped = pb::AdjustTorqueRequest { tapped_hole: Some(true), ..asked() };
    assert_eq!(read(&tapped).mate, Some(Mate::TappedHole));
    assert!(matches!(read(&asked()).face, Face::Ring { .. }));
}

#[test]
fn the_answer_carries_settings_passes_shares_and_basis() {
    let wire = pb::AdjustTorqueRequest { passes: pb::PassPlan::ThirtySeventyHundred.into(), ..asked() };
    let asked = AdjustTorque::read(&wire, Book::demo()).unwrap();
    let advice = adjust_torque(&asked.input).unwrap();
    let answer = advice_to_wire(&asked, &advice, &[1, 3, 2], 7);
    let torque = answer.torque.unwrap();
    let target = torque.target_n_m.unwrap();
    assert_eq!(torque.low_n_m.unwrap(), target * 0.9);
    assert_eq!(answer.change_share, Some(target / 110.0));
    assert!(target < 110.0, "oil asks for less torque than dry zinc, got {target}");
    let passes: Vec<f64> = answer.passes.iter().filter_map(|pass| pass.torque_n_m).collect();
    assert_eq!(passes.len(), 4);
    assert!(answer.passes[3].check_only && passes[3] == passes[2]);
    assert_eq!(answer.order_position, [1, 3, 2]);
    let split = answer.split.unwrap();
    let sum = split.pitch_share.unwrap() + split.thread_share.unwrap() + split.face_share.unwrap();
    assert!((sum - 1.0).abs() < 1e-12);
    let (within, alone) = (answer.preload_in_window.unwrap(), answer.preload.unwrap());
    assert!(within.min_n < alone.min_n && within.nominal_n == alone.nominal_n && within.max_n > alone.max_n);
    assert_eq!(answer.r#yield.unwrap().max_share, advice.worst_yield_share);
    assert!(!answer.rules_of_thumb.is_empty() && !answer.basis.is_empty() && !answer.cautions.is_empty());
    assert_eq!(answer.revision, 7);
}

#[test]
fn the_worst_outcome_is_the_state_and_says_what_to_discard() {
    let wire = pb::AssessTorqueRequest {
        bolt: measured(),
        condition: finish("finishes/anti-seize"),
        applied_torque: n_m(400.0),
        reusable: Some(false),
        ..Default::default()
    };
    let asked = read_assess_torque(&wire, Book::demo()).unwrap();
    let answer = assessment_to_wire(&asked, &assess_torque(&asked).unwrap(), 3);
    assert_eq!(answer.state(), pb::PreloadState::FractureRisk);
    assert_eq!(answer.discard, ["bolt", "nut"]);
    assert!(answer.ultimate.unwrap().max_share.unwrap() > 1.0);
}

#[test]
fn a_tapped_thread_is_suspect_and_is_no_nut_to_discard() {
    let wire = pb::AssessTorqueRequest {
        bolt: measured(),
        condition: finish("finishes/anti-seize"),
        applied_torque: n_m(400.0),
        reusable: Some(false),
        tapped_hole: Some(true),
        ..Default::default()
    };
    let asked = read_assess_torque(&wire, Book::demo()).unwrap();
    let answer = assessment_to_wire(&asked, &assess_torque(&asked).unwrap(), 3);
    assert_eq!(answer.discard, ["bolt"]);
    assert!(answer.cautions.iter().any(|caution| caution.id == "tapped-thread-suspect"));
}

/// VDI 2230:2001 fine-thread table, as reproduced in a catalogue, p. 685 (opened): M12x1.25 8.8 at friction 0.12 makes
/// 48 kN at 90 N·m; 1.2 % as promised for that table.
#[test]
fn a_cell_of_the_preload_table_comes_through_the_wire() {
    let band = Some(pb::Band { low_share: Some(0.12), nominal_share: Some(0.12), high_share: Some(0.12) });
    let friction = pb::Finish { thread_friction: band, face_friction: band, ..pb::Finish::default() };
    let bolt = pb::Bolt {
        thread: "M12x1.25".to_owned(),
        property_class: "8.8".to_owned(),
        bearing_diameter_mm: Some(16.63),
        hole_diameter_mm: Some(13.5),
        ..pb::Bolt::default()
    };
    let wire = pb::AdjustTorqueRequest {
        bolt: Some(pb::BoltRef { bolt: Some(pb::bolt_ref::Bolt::Spec(Box::new(bolt))) }),
        condition: Some(pb::FinishRef { finish: Some(pb::finish_ref::Finish::Spec(Box::new(friction))) }),
        aim: Some(Aim::YieldShare(0.9)),
        window_share: Some(0.0),
        ..pb::AdjustTorqueRequest::default()
    };
    let asked = AdjustTorque::read(&wire, Book::demo()).unwrap();
    let answer = advice_to_wire(&asked, &adjust_torque(&asked.input).unwrap(), &[], 1);
    let preload = answer.preload.unwrap().nominal_n.unwrap();
    let torque = answer.torque.unwrap().target_n_m.unwrap();
    assert!((preload / 48_000.0 - 1.0).abs() < 0.012, "{preload}");
    assert!((torque / 90.0 - 1.0).abs() < 0.012, "{torque}");
    let split = answer.split.unwrap();
    let parts = [split.pitch_share, split.thread_share, split.face_share].map(Option::unwrap);
    assert!((parts.iter().sum::<f64>() - 1.0).abs() < 1e-9, "{parts:?}");
}

#[test]
fn the_order_comes_from_a_grid_or_from_positions_and_check_rounds_are_counted() {
    let told = |wire: &pb::AdjustTorqueRequest| {
        let asked = AdjustTorque::read(wire, Book::demo()).unwrap();
        let order = asked.layout.as_ref().unwrap().order().unwrap();
        advice_to_wire(&asked, &adjust_torque(&asked.input).unwrap(), &order, 1)
    };
    let grid = pb::AdjustTorqueRequest {
        grid: Some(pb::BoltGrid { row_count: Some(3), column_count: Some(3) }),
        passes: pb::PassPlan::FiftyEightyHundred.into(),
        check_round_count: Some(2),
        ..asked()
    };
    let reply = told(&grid);
    // From the stiffest part, the middle, to the free edges.
    assert_eq!(reply.order_position, [5, 2, 4, 6, 8, 1, 3, 7, 9]);
    let target = reply.torque.unwrap().target_n_m.unwrap();
    let shares: Vec<_> = reply.passes.iter().map(|pass| (pass.torque_n_m.unwrap() / target * 100.0).round()).collect();
    assert_eq!(shares, [50.0, 80.0, 100.0, 100.0, 100.0]);
    assert_eq!(reply.passes.iter().filter(|pass| pass.check_only).count(), 2);
    assert!(reply.basis.iter().any(|step| step.formula == "tightening-order"));
    let at = |x, y| pb::BoltSpot { x_mm: Some(x), y_mm: Some(y) };
    // The corners of a square, numbered around it: crosswise, as on a circle.
    let spots = pb::BoltSpots { spots: vec![at(0.0, 0.0), at(80.0, 0.0), at(80.0, 80.0), at(0.0, 80.0)] };
    let placed = pb::AdjustTorqueRequest { spots: Some(spots.clone()), ..asked() };
    assert_eq!(told(&placed).order_position, [1, 3, 2, 4]);

    let both = pb::AdjustTorqueRequest { spots: Some(spots), ..grid.clone() };
    assert_eq!(paths(&wrong(&both)), ["spots"]);
    let counted = pb::AdjustTorqueRequest { bolt_count: Some(9), ..grid.clone() };
    assert_eq!(paths(&wrong(&counted)), ["grid"]);
    let loose = pb::AdjustTorqueRequest { passes: 0, check_round_count: Some(9), ..grid };
    assert_eq!(paths(&wrong(&loose)), ["check_round_count", "check_round_count"]);
}
