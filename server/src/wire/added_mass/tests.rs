use baybook_proto::v1 as pb;

use super::{AddedMass, added_mass_to_wire};
use crate::wire::{fixture::paths, read};

fn kg(value: f64) -> Option<pb::Mass> {
    Some(pb::Mass { value_kg: Some(value), printed: String::new() })
}

fn change(by: &str, added: f64) -> pb::MassChange {
    pb::MassChange { by: by.to_owned(), added_mass_kg: Some(added), ..Default::default() }
}

/// The van of the worked example: FMVSS 110, rule opened; invented masses.
fn van(changes: Vec<pb::MassChange>) -> pb::AddedMassRequest {
    pb::AddedMassRequest {
        gvwr: kg(3200.0),
        capacity: kg(940.0),
        unloaded: kg(2260.0),
        changes,
        history_complete: Some(true),
        work: Some(pb::WorkFacts {
            sale_state: pb::SaleState::BeforeFirstSale.into(),
            fits_hitch: Some(true),
            ..Default::default()
        }),
    }
}

fn answer(wire: &pb::AddedMassRequest) -> pb::AddedMassResponse {
    added_mass_to_wire(&read::<AddedMass>(wire).unwrap(), 5)
}

#[test]
fn every_shops_work_counts_together() {
    let under = answer(&van(vec![change("hitch bay", 38.0), change("wiring bay", 2.5)]));
    assert_eq!((under.net_mass_kg, under.label_due), (Some(40.5), Some(false)));
    let over = answer(&van(vec![change("hitch bay", 38.0), change("wiring bay", 2.5), change("hitch bay", 18.0)]));
    assert_eq!((over.net_mass_kg, over.label_due, over.capacity_left_kg), (Some(58.5), Some(true), Some(881.5)));
    assert!(over.label_text.contains("881 kg (1943 lb)"), "{}", over.label_text);
    assert_eq!(over.limit_set_by(), pb::LimitSetBy::HundredPounds);
    assert!((over.limit_mass_kg.unwrap() - 45.359_237).abs() < 1e-9);
    assert_eq!(over.shops.len(), 2);
    assert_eq!((over.shops[0].by.as_str(), over.shops[0].added_mass_kg), ("hitch bay", Some(56.0)));
    assert_eq!(over.duties[0].role, "installer of a hitch before the first sale");
    assert!(over.ask.contains(&"completes_incomplete".to_owned()));
}

#[test]
fn removed_parts_count_and_what_nobody_knows_is_no_answer() {
    let mut beam = van(vec![change("hitch bay", 50.0)]);
    beam.changes.push(pb::MassChange { by: "hitch bay".to_owned(), removed_mass_kg: Some(6.0), ..Default::default() });
    let reply = answer(&beam);
    assert_eq!((reply.net_mass_kg, reply.removed_mass_kg, reply.label_due), (Some(44.0), Some(6.0), Some(false)));
    beam.history_complete = None;
    assert_eq!(answer(&beam).label_due, None);
    beam.work = None;
    let nobody = answer(&beam);
    assert_eq!(nobody.label_due, None);
    assert!(nobody.ask.contains(&"sale_state".to_owned()) && nobody.duties.is_empty());
    // Over the threshold with a part of the history is over with all of it.
    let mut over = van(vec![change("hitch bay", 60.0)]);
    over.history_complete = None;
    assert_eq!(answer(&over).label_due, Some(true));
    over.work.as_mut().unwrap().sale_state = pb::SaleState::InUse.into();
    assert_eq!(answer(&over).label_due, Some(false));
}

#[test]
fn everything_wrong_is_named_at_once() {
    let wire = pb::AddedMassRequest {
        gvwr: kg(5.0),
        capacity: kg(940.0),
        changes: vec![change(" ", -1.0), pb::MassChange { by: "bay".to_owned(), ..Default::default() }],
        work: Some(pb::WorkFacts { sale_state: 9, ..Default::default() }),
        ..Default::default()
    };
    assert_eq!(
        paths(&read::<AddedMass>(&wire).unwrap_err()),
        [
            "gvwr.value_kg",
            "unloaded",
            "changes[0].by",
            "changes[0].added_mass_kg",
            "changes[1].added_mass_kg",
            "work.sale_state"
        ]
    );
    assert_eq!(paths(&read::<AddedMass>(&Default::default()).unwrap_err()), ["gvwr"]);
    let heavy = pb::AddedMassRequest { unloaded: kg(3300.0), ..van(vec![]) };
    assert_eq!(paths(&read::<AddedMass>(&heavy).unwrap_err()), ["unloaded"]);
}
