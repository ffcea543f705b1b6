//! Somebody who hitches up: the number on the vehicle, what presses on the ball, which coupling, how the bars are set, what
//! the label must say, how far the tail swings.

use baybook_proto::v1 as pb;

use crate::{bay::plan, driver::Driver};

fn kg(value: f64) -> Option<pb::Mass> {
    Some(pb::Mass { value_kg: Some(value), printed: String::new() })
}

/// Holds a figure against the one that is printed: half of its last digit is allowed.
#[track_caller]
fn prints(printed: &str, got: Option<f64>) {
    let decimals = printed.split_once('.').map_or(0, |(_, behind)| behind.len());
    let value: f64 = printed.parse().expect("it is a number");
    let half = 0.5 * 0.1_f64.powi(i32::try_from(decimals).expect("few digits")) + 1e-9;
    assert!(got.is_some_and(|got| (got - value).abs() <= half), "prints {printed}, got {got:?}");
}

pub fn a_number_is_read_and_never_rewritten(driver: &mut dyn Driver) {
    let ask = |vin: &str, market: pb::Market| pb::CheckVinRequest {
        vin: vin.to_owned(),
        market: market.into(),
        light: Some(true),
        ..pb::CheckVinRequest::default()
    };
    // The sample of 49 CFR 565 (opened in a reprint): sum 411, check digit 4.
    let good = driver.check_vin(ask("1G4AH59H45G118341", pb::Market::NorthAmerica)).expect("it is read");
    assert_eq!((good.standing(), good.weighted_sum_count), (pb::VinStanding::Plausible, Some(411)));
    assert_eq!((good.check_found.as_str(), good.candidate_year.as_slice()), ("4", &[2005][..]));
    let wrong = driver.check_vin(ask("1G4AH59H45G118331", pb::Market::NorthAmerica)).expect("it is read");
    assert_eq!((wrong.standing(), wrong.check_wanted.as_str()), (pb::VinStanding::Misfit, "1"));
    // A market without check digits makes of the same number no more than information.
    let abroad = driver.check_vin(ask("1G4AH59H45G118331", pb::Market::Europe)).expect("it is read");
    assert_eq!((abroad.standing(), abroad.candidate_year.len()), (pb::VinStanding::NotChecked, 0));
    let slip = driver.check_vin(ask("IG4AH59H45GII834I", pb::Market::NorthAmerica)).expect("it is read");
    assert_eq!((slip.standing(), slip.vin.as_str()), (pb::VinStanding::Unreadable, ""), "it is not rewritten");
    assert!(slip.offers.iter().any(|offer| offer.vin == "1G4AH59H45G118341" && offer.check_fits), "{:?}", slip.offers);
    driver.check_vin(ask("", pb::Market::Europe)).expect_err("there is no number").expect(2, &["vin"]);
}

pub fn a_tongue_load_is_weighed_and_moved(driver: &mut dyn Driver) {
    let balance = pb::TrailerBalance { coupler_to_centre_mm: Some(4000.0) };
    let question = pb::WeighTongueRequest {
        method: Some(pb::weigh_tongue_request::Method::Balance(balance)),
        trailer_mass: kg(2000.0),
        coupler_to_axle_mm: Some(4300.0),
        moves: vec![pb::CargoMove {
            label: "pallet".to_owned(),
            mass_kg: Some(150.0),
            from_mm: Some(5000.0),
            to_mm: Some(2500.0),
        }],
        target_share: Some(0.105),
        regime: pb::TongueRegime::BallNorthAmerica.into(),
        ..pb::WeighTongueRequest::default()
    };
    // Worked example on an invented trailer, derived: 139.535 kg, 6.977 %; the move adds 87.209 kg.
    let weighed = driver.weigh_tongue(question.clone()).expect("the question is complete");
    prints("139.535", weighed.tongue_kg);
    prints("0.06977", weighed.tongue_share);
    prints("1860.465", weighed.axle_kg);
    prints("87.209", weighed.moves[0].tongue_kg);
    prints("3848.500", weighed.centre_for_target_mm);
    let window = weighed.window.expect("the regime has a window");
    assert_eq!((window.least_share, window.most_share), (Some(0.10), Some(0.15)));
    assert_eq!(window.standing(), pb::WindowStanding::Inside, "after the move: {:?}", weighed.tongue_after_share);
    // A lever of 305 and 610 mm, the scale at 95 kg: 285 kg.
    let lever = pb::LeverWeighing {
        support_to_coupler_mm: Some(305.0),
        coupler_to_scale_mm: Some(610.0),
        reading_kg: Some(95.0),
    };
    let lever = pb::WeighTongueRequest {
        method: Some(pb::weigh_tongue_request::Method::Lever(lever)),
        trailer_mass: kg(1900.0),
        ..pb::WeighTongueRequest::default()
    };
    prints("285.0", driver.weigh_tongue(lever).expect("the question is complete").tongue_kg);
    let bare = pb::WeighTongueRequest { coupler_to_axle_mm: None, trailer_mass: kg(-5.0), ..question };
    driver.weigh_tongue(bare).expect_err("much is missing").expect(2, &["trailer_mass", "coupler_to_axle_mm"]);
}

pub fn a_coupling_is_held_against_its_plates(driver: &mut dyn Driver) {
    let question = pb::CouplingValuesRequest {
        kind: pb::CouplingKind::FreeDrawbar.into(),
        vehicle: kg(3200.0),
        trailer: kg(2000.0),
        static_load: kg(100.0),
        d_plate_kn: Some(12.1),
        s_plate: kg(120.0),
        ..pb::CouplingValuesRequest::default()
    };
    let answer = driver.coupling_values(question.clone()).expect("the question is complete");
    let value = |answer: &pb::CouplingValuesResponse, name: &str| {
        answer.values.iter().find(|value| value.value == name).cloned().expect("it applies")
    };
    // UN Regulation 55 formulas from memory; the figure is derived: D(3.2, 2.0) = 12.0738 kN.
    prints("12.0738", value(&answer, "D").needed_kn);
    assert_eq!((answer.holds, value(&answer, "D").standing()), (Some(true), pb::CertifiedStanding::Holds));
    // The same turned round: a plate of 12 kN leaves room for 1.9802 t.
    let short = pb::CouplingValuesRequest { d_plate_kn: Some(12.0), ..question.clone() };
    let short = driver.coupling_values(short).expect("the question is complete");
    assert_eq!(short.holds, Some(false));
    prints("1.9802", value(&short, "D").room_kg.map(|kg| kg / 1000.0));
    let unread = pb::CouplingValuesRequest { d_plate_kn: None, ..question.clone() };
    let unread = driver.coupling_values(unread).expect("an unread plate is no error");
    assert_eq!((unread.holds, value(&unread, "D").standing()), (None, pb::CertifiedStanding::Unknown));
    let fifth = pb::CouplingValuesRequest {
        kind: pb::CouplingKind::FifthWheel.into(),
        vehicle: kg(7500.0),
        trailer: kg(6000.0),
        imposed: kg(1500.0),
        ..pb::CouplingValuesRequest::default()
    };
    // Formula as in an encyclopaedia article, opened; the figure is derived: 22.0725 kN.
    prints("22.0725", value(&driver.coupling_values(fifth).expect("complete"), "D").needed_kn);
    let heavy = pb::CouplingValuesRequest { static_load: kg(2500.0), ..question };
    driver.coupling_values(heavy).expect_err("more on the ball than it weighs").expect(2, &["static_load"]);
}

pub fn a_label_sums_what_every_shop_added(driver: &mut dyn Driver) {
    let change = |by: &str, added: Option<f64>, removed: Option<f64>| pb::MassChange {
        by: by.to_owned(),
        added_mass_kg: added,
        removed_mass_kg: removed,
        ..pb::MassChange::default()
    };
    let question = pb::AddedMassRequest {
        gvwr: kg(3200.0),
        capacity: kg(940.0),
        unloaded: kg(2260.0),
        changes: vec![
            change("hitch bay", Some(38.0), None),
            change("wiring bay", Some(2.5), None),
            change("body shop", Some(18.0), None),
            change("hitch bay", None, Some(6.0)),
        ],
        history_complete: Some(true),
        work: Some(pb::WorkFacts {
            sale_state: pb::SaleState::BeforeFirstSale.into(),
            fits_hitch: Some(true),
            ..pb::WorkFacts::default()
        }),
    };
    let answer = driver.added_mass(question.clone()).expect("the question is complete");
    // 72 FR 68442 (opened): the lesser of 1.5 % and 100 lb; 38 + 2.5 + 18 - 6 = 52.5 kg are over 45.36 kg.
    prints("52.5", answer.net_mass_kg);
    prints("45.359", answer.limit_mass_kg);
    assert_eq!((answer.label_due, answer.limit_set_by()), (Some(true), pb::LimitSetBy::HundredPounds));
    prints("887.5", answer.capacity_left_kg);
    assert!(!answer.label_text.is_empty());
    assert!(answer.duties.iter().all(|duty| !duty.duty.is_empty() && !duty.source.is_empty()));
    assert!(answer.duties.iter().any(|duty| duty.duty.contains("alterer")), "{:?}", answer.duties);
    // Under the threshold nothing is due; while nobody knows what others added, nobody knows.
    let mut little = question.clone();
    little.changes.truncate(2);
    assert_eq!(driver.added_mass(little.clone()).expect("complete").label_due, Some(false));
    little.history_complete = None;
    assert_eq!(driver.added_mass(little).expect("complete").label_due, None);
    driver
        .added_mass(pb::AddedMassRequest { gvwr: kg(-1.0), ..question })
        .expect_err("no vehicle is rated so")
        .expect(2, &["gvwr"]);
}

pub fn a_tail_swings_and_a_trailer_touches(driver: &mut dyn Driver) {
    let turned = driver.turning(plan()).expect("the demo measured both from above");
    let (body, mount) = (turned.body_swing_mm.expect("a swing"), turned.ball_mount_swing_mm.expect("a swing"));
    assert!(0.0 < body && body < mount, "what sticks out swings further: {body} {mount}");
    assert!((mount - body - turned.swing_gain_mm.expect("the gain")).abs() < 1e-9);
    assert!(turned.contact_deg.is_some_and(|angle| (20.0..135.0).contains(&angle)), "{turned:?}");
    assert_ne!(turned.contact(), pb::TurnContact::Unspecified);
    let mut lost = plan();
    lost.vehicle = None;
    driver.turning(lost).expect_err("there is no vehicle").expect(2, &["plan.vehicle"]);
}

pub fn bars_are_set_and_the_rear_axle_is_told_without_them(driver: &mut dyn Driver) {
    let mut barred = plan();
    (barred.trailer_mass, barred.spring_bars) = (kg(2000.0), Some(true));
    barred.tongue = kg(210.0).map(pb::upfit_plan::Tongue::TongueLoad);
    let ask = |plan: &pb::UpfitPlan, share: f64| pb::AxleLoadsRequest {
        plan: Some(plan.clone()),
        spring_bars: Some(pb::SpringBarSetting {
            setting: Some(pb::spring_bar_setting::Setting::RestorationShare(share)),
            bar_length_mm: None,
        }),
        tilt: None,
    };
    let all = driver.axles_with(ask(&barred, 1.0)).expect("the plan is complete");
    let bars = all.spring_bars.as_ref().expect("the bars are set");
    // All given back: the front axle stands as before hitching.
    assert!((bars.front_kg.expect("a load") - all.front_before_kg.expect("a load")).abs() < 1e-9);
    assert!(bars.rear_kg < all.rear_kg && !bars.over_restored && bars.rear_holds_slack == Some(true), "{bars:?}");
    assert!(all.tongue_room.as_ref().is_some_and(|room| room.margin_kg > Some(0.0)));
    assert_eq!(all.tyres.len(), 3, "{:?}", all.tyres);
    let refused = driver.axles_with(ask(&barred, 2.5)).expect_err("no bars do that");
    refused.expect(2, &["spring_bars.restoration_share"]);

    // What the plan says of its bars the rules read too.
    let verdict = |driver: &mut dyn Driver, share: Option<f64>| {
        let plan = pb::UpfitPlan { restoration_share: share, ..barred.clone() };
        let checked = driver.check(vec![plan]).expect("it is checked");
        let found = checked.results.into_iter().next().expect("one plan");
        let Some(pb::checked_plan::Outcome::Report(report)) = found.outcome else { panic!("{found:?}") };
        let own = report.findings.iter().find(|finding| finding.rule == "restoration-over-one");
        own.map(|finding| finding.severity())
    };
    assert_eq!(verdict(driver, Some(1.2)), Some(pb::Severity::Block));
    assert_eq!(verdict(driver, Some(1.0)), None);
    assert_eq!(verdict(driver, None), Some(pb::Severity::Review), "nobody says how tight");
}

/// A foreman adds the law of a place that the built-in table does not know; from then on it is read.
pub fn a_law_of_the_book_is_read_beside_the_table(driver: &mut dyn Driver) {
    driver.import(crate::house::demo_entries()).expect("the demo can be imported");
    let mut there = plan();
    there.jurisdiction = "XB-7".to_owned();
    let brakes = |driver: &mut dyn Driver, plan: &pb::UpfitPlan| {
        driver.rate(plan.clone()).expect("the plan is complete").brakes.expect("it has a trailer")
    };
    let before = brakes(driver, &there);
    assert_eq!((before.need(), before.unbraked_to_kg), (pb::BrakeNeed::Unspecified, None));
    let law = pb::BrakeLaw {
        label: "an invented province".to_owned(),
        place: "XB-7".to_owned(),
        unbraked_to: kg(1000.0),
        source: "ordinance 12 of an invented province".to_owned(),
        seen_on: "2026-11-02".to_owned(),
    };
    let entry = |name: &str, law: pb::BrakeLaw| pb::PutEntryRequest {
        entry: Some(pb::Entry {
            name: name.to_owned(),
            spec: Some(pb::entry::Spec::BrakeLaw(law)),
            ..pb::Entry::default()
        }),
        ..pb::PutEntryRequest::default()
    };
    let undated = entry("brakelaws/xb-7", pb::BrakeLaw { seen_on: String::new(), ..law.clone() });
    driver.put(undated).expect_err("a law has a date").expect(2, &["brake_law.seen_on"]);
    driver.put(entry("brakelaws/xb-7", law)).expect("it is put");
    let after = brakes(driver, &there);
    assert_eq!((after.need(), after.from_book), (pb::BrakeNeed::Must, true));
    assert_eq!((after.unbraked_to_kg, after.seen_on.as_str()), (Some(1000.0), "2026-11-02"));
}
