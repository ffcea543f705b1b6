//! A bay: somebody under a vehicle who wants one answer.

use baybook_proto::v1 as pb;

use crate::driver::Driver;

/// A plan of demo entries that can be read in full.
pub fn plan() -> pb::UpfitPlan {
    pb::UpfitPlan {
        unit: "V-101".to_owned(),
        vehicle: Some(pb::VehicleRef { vehicle: Some(pb::vehicle_ref::Vehicle::Name("vehicles/van-l35".to_owned())) }),
        receiver: Some(pb::ReceiverRef {
            receiver: Some(pb::receiver_ref::Receiver::Name("receivers/van-tuck".to_owned())),
        }),
        ball_mount: Some(pb::BallMountRef {
            ball_mount: Some(pb::ball_mount_ref::BallMount::Name("ballmounts/two-in-drop-4".to_owned())),
        }),
        ball: Some(pb::BallRef { ball: Some(pb::ball_ref::Ball::Name("balls/two-in-6000".to_owned())) }),
        trailer: Some(pb::TrailerRef {
            trailer: Some(pb::trailer_ref::Trailer::Name("trailers/flatbed-2t".to_owned())),
        }),
        trailer_mass: Some(pb::Mass { value_kg: Some(1500.0), printed: String::new() }),
        tongue: Some(pb::upfit_plan::Tongue::TongueLoad(pb::Mass { value_kg: Some(160.0), printed: String::new() })),
        items: vec![pb::LoadItem {
            label: "crew".to_owned(),
            mass: Some(pb::Mass { value_kg: Some(170.0), printed: String::new() }),
            station_mm: Some(1400.0),
            permanent: false,
        }],
        jurisdiction: "US-TX".to_owned(),
        ..pb::UpfitPlan::default()
    }
}

pub fn finish(name: &str) -> Option<pb::FinishRef> {
    Some(pb::FinishRef { finish: Some(pb::finish_ref::Finish::Name(name.to_owned())) })
}

pub fn bolt(name: &str) -> Option<pb::BoltRef> {
    Some(pb::BoltRef { bolt: Some(pb::bolt_ref::Bolt::Name(name.to_owned())) })
}

fn torque(printed: &str) -> pb::Torque {
    pb::Torque { value_n_m: None, printed: printed.to_owned() }
}

/// A torque that the maker specifies dry, asked for in the condition the joint is really in.
pub fn torque_question(condition: &str) -> pb::AdjustTorqueRequest {
    pb::AdjustTorqueRequest {
        bolt: bolt("bolts/m12-88-40"),
        nut: Some(pb::NutRef { nut: Some(pb::nut_ref::Nut::Name("nuts/m12-8".to_owned())) }),
        condition: finish(condition),
        aim: Some(pb::adjust_torque_request::Aim::SpecifiedTorque(torque("79 N·m"))),
        specified_condition: finish("finishes/zinc-dry"),
        method: pb::TighteningMethod::Torque.into(),
        window_share: Some(0.1),
        ..pb::AdjustTorqueRequest::default()
    }
}

pub fn applied_question(applied: &str) -> pb::AssessTorqueRequest {
    pb::AssessTorqueRequest {
        bolt: bolt("bolts/m12-88-40"),
        nut: Some(pb::NutRef { nut: Some(pb::nut_ref::Nut::Name("nuts/m12-8".to_owned())) }),
        condition: finish("finishes/oiled"),
        applied_torque: Some(torque(applied)),
        reusable: Some(true),
        ..pb::AssessTorqueRequest::default()
    }
}

/// A bracket on a frame rail, tightened as its maker says, pulled along its worst bolt.
pub fn joint_question(tension: &str) -> pb::AssessJointRequest {
    let force = |printed: &str| Some(pb::Force { value_n: None, printed: printed.to_owned() });
    let plate = |label: &str, thickness_mm: f64| pb::ClampedPlate {
        label: label.to_owned(),
        thickness_mm: Some(thickness_mm),
        hole_diameter_mm: Some(13.5),
        tensile_mpa: Some(470.0),
        material: "s355".to_owned(),
        end_distance_mm: Some(25.0),
        ..pb::ClampedPlate::default()
    };
    pb::AssessJointRequest {
        bolt: bolt("bolts/m12-88-40"),
        nut: Some(pb::NutRef { nut: Some(pb::nut_ref::Nut::Name("nuts/m12-8".to_owned())) }),
        plates: vec![plate("bracket", 8.0), plate("frame rail", 5.0)],
        tightening: Some(pb::JointTightening {
            aim: Some(pb::joint_tightening::Aim::Torque(torque("79 N·m"))),
            condition: finish("finishes/zinc-dry"),
            window_share: Some(0.1),
            ..pb::JointTightening::default()
        }),
        loads: Some(pb::JointLoads {
            loads: Some(pb::joint_loads::Loads::PerBolt(pb::WorstBoltLoad {
                tension: force(tension),
                shear: force("500 N"),
            })),
            bracket: None,
        }),
        friction: Some(pb::JointFriction {
            least_share: Some(0.15),
            interface_count: Some(1),
            alternating: Some(true),
            ..pb::JointFriction::default()
        }),
        ..pb::AssessJointRequest::default()
    }
}

pub fn a_bay_asks_whether_a_joint_holds(driver: &mut dyn Driver) {
    let some = driver.assess_joint(joint_question("4 kN")).expect("the question is complete");
    assert_eq!(some.state(), pb::JointState::Undecided, "much is unknown: {:?}", some.items);
    assert!(some.items.is_sorted_by(|a, b| a.use_share >= b.use_share), "the governing item is first");
    assert!(some.unknown.iter().any(|it| it.id == "fatigue"), "{:?}", some.unknown);
    assert!(!some.basis.is_empty() && !some.cautions.is_empty());
    let pulled = driver.assess_joint(joint_question("60 kN")).expect("the question is complete");
    assert_eq!(pulled.state(), pb::JointState::Fails, "60 kN are more than the preload of an M12 8.8");
    let mut question = joint_question("4 kN");
    question.plates[0].thickness_mm = Some(-8.0);
    question.friction = Some(pb::JointFriction { least_share: Some(1.5), ..pb::JointFriction::default() });
    question.tightening = None;
    let refused = driver.assess_joint(question).expect_err("much of it cannot be read");
    refused.expect(2, &["plates[0].thickness_mm", "tightening", "friction.least_share", "0.5 to 100 mm"]);
}

pub fn a_bay_looks_up(driver: &mut dyn Driver) {
    let reply = driver.get("vehicles/van-l35").expect("the demo holds it");
    let entry = reply.entry.expect("a reply holds the entry");
    assert_eq!(entry.name, "vehicles/van-l35");
    assert!(!entry.etag.is_empty() && 0 < entry.revision && entry.revision <= reply.revision);
    let Some(pb::entry::Spec::Vehicle(van)) = entry.spec else { panic!("a vehicle is a vehicle") };
    assert_eq!(van.wheelbase_mm, Some(3640.0), "as deploy/demo/book/vehicles.json has it");

    let found = driver.find("VAN tuck").expect("there is such an entry");
    assert_eq!(found.entries[0].name, "receivers/van-tuck");
    assert_eq!(usize::try_from(found.found_count).ok(), Some(found.entries.len()));

    let all = driver.list(pb::EntryKind::Unspecified).expect("a book can be listed").entries;
    let bolts = driver.list(pb::EntryKind::Bolt).expect("a kind can be listed").entries;
    assert!(all.is_sorted_by(|a, b| a.name < b.name), "by name order, each once");
    assert_eq!(all.len(), crate::house::demo_entries().len());
    assert_eq!(bolts, all.iter().filter(|entry| entry.name.starts_with("bolts/")).cloned().collect::<Vec<_>>());

    // ISO 898-1:2013, tables 4 and 5, for M12 of class 8.8: stress area 84.3 mm², proof load 48.9 kN (from memory of the
    // standard; the area is also printed in makers' tables). Half of the last printed digit is allowed.
    let thread =
        driver.look_up_thread(pb::LookUpThreadRequest { thread: "M12".to_owned(), property_class: "8.8".to_owned() });
    let thread = thread.expect("M12 is a thread");
    assert_eq!((thread.thread.as_str(), thread.series.as_str()), ("M12x1.75", "coarse"));
    assert!(thread.stress_area_mm2.is_some_and(|area| (area - 84.3).abs() <= 0.05), "{:?}", thread.stress_area_mm2);
    assert!(thread.proof_load_n.is_some_and(|load| (load - 48_900.0).abs() <= 50.0), "{:?}", thread.proof_load_n);
    assert!(!thread.basis.is_empty(), "a number says what it rests on");

    let info = driver.info().expect("the service says what it is");
    assert_eq!(info.engine, "memory");
    assert_eq!(info.folders.iter().map(|folder| folder.entry_count).sum::<i64>(), all.len() as i64);
    assert!(info.limits.iter().any(|limit| limit.name == "receive_bytes" && limit.max_count == 4 << 20));
}

pub fn a_bay_asks_what_to_set_the_wrench_to(driver: &mut dyn Driver) {
    let same = driver.adjust_torque(torque_question("finishes/zinc-dry")).expect("the question is complete");
    let oiled = driver.adjust_torque(torque_question("finishes/oiled")).expect("the question is complete");
    let target = |reply: &pb::AdjustTorqueResponse| {
        reply.setting.as_ref().and_then(|setting| setting.target_n_m).expect("there is a setting")
    };
    // In the condition it was specified for, the specified torque is the answer.
    assert!((target(&same) - 79.0).abs() < 1e-9, "{}", target(&same));
    assert!(target(&oiled) < target(&same), "oil takes less torque for the same preload");
    let window = oiled.torque.as_ref().expect("there is a window");
    let (low, high) = (window.low_n_m.expect("a low end"), window.high_n_m.expect("a high end"));
    assert!(low < target(&oiled) && target(&oiled) < high);
    for reply in [&same, &oiled] {
        assert!(!reply.basis.is_empty() && reply.basis.iter().all(|basis| !basis.source.is_empty()));
        assert!(0 < reply.revision);
    }

    let state = |reply: pb::AssessTorqueResponse| reply.state();
    let gentle = driver.assess_torque(applied_question("20 N·m")).map(state).expect("the question is complete");
    let brutal = driver.assess_torque(applied_question("300 N·m")).map(state).expect("the question is complete");
    assert_eq!(gentle, pb::PreloadState::Ok);
    assert!(pb::PreloadState::ProofExceeded < brutal, "{brutal:?}");

    let rating = driver.rate(plan()).expect("the plan is complete");
    let trailer = rating.trailer.expect("there is a weakest link");
    assert_eq!(trailer.planned_kg, Some(1500.0));
    assert!(trailer.limit_kg.is_some() && !trailer.governing.is_empty());
    let axles = driver.axles(plan()).expect("the plan is complete");
    // Moments balance: what the axles carry is the kerb mass (1250 + 1010 kg), the load, the gear and the tongue.
    let sum = axles.front_kg.expect("a front load") + axles.rear_kg.expect("a rear load");
    assert!(2260.0 + 170.0 + 160.0 < sum && sum < 2260.0 + 170.0 + 160.0 + 100.0, "{sum}");
    let clearances = driver.clearances(plan()).expect("the plan is complete");
    assert!(clearances.states.iter().any(|state| state.laden), "{:?}", clearances.cautions);
}

pub fn an_unknown_name_offers_the_nearest(driver: &mut dyn Driver) {
    let refused = driver.get("vehicles/van-l36").expect_err("there is no such van");
    refused.expect(4, &["vehicles/van-l36", "vehicles/van-l35"]);
    let mut plan = plan();
    plan.receiver =
        Some(pb::ReceiverRef { receiver: Some(pb::receiver_ref::Receiver::Name("receivers/van-tuk".to_owned())) });
    let refused = driver.rate(plan).expect_err("there is no such receiver");
    refused.expect(4, &["receivers/van-tuk", "receivers/van-tuck"]);
    let refused = driver.history("bolts/nothing-like-it").expect_err("there is no such bolt");
    assert_eq!(refused.exit, 4, "{}", refused.told);
}

pub fn every_violation_is_told_at_once(driver: &mut dyn Driver) {
    let bolt = pb::Bolt {
        thread: "M12x".to_owned(),
        property_class: "8.9".to_owned(),
        length: Some(pb::Length { value_mm: None, printed: "40 lb".to_owned() }),
        bearing_diameter_mm: Some(-5.0),
        ..pb::Bolt::default()
    };
    let entry =
        pb::Entry { name: "bolts/wrong".to_owned(), spec: Some(pb::entry::Spec::Bolt(bolt)), ..pb::Entry::default() };
    let refused = driver.put(pb::PutEntryRequest { entry: Some(entry), ..pb::PutEntryRequest::default() });
    let refused = refused.expect_err("nothing of it can be read");
    let fields = ["bolt.thread", "bolt.property_class", "bolt.length", "bolt.bearing_diameter_mm"];
    refused.expect(2, &fields);

    let mut plan = plan();
    plan.trailer_mass = Some(pb::Mass { value_kg: Some(-1.0), printed: String::new() });
    plan.tongue = Some(pb::upfit_plan::Tongue::TongueShare(1.5));
    plan.items[0].mass = Some(pb::Mass { value_kg: None, printed: "170 mm".to_owned() });
    let refused = driver.axles(plan).expect_err("three of its fields cannot be read");
    refused.expect(2, &["plan.trailer_mass", "plan.tongue_share", "plan.items[0].mass", "kg"]);

    let refused = driver
        .look_up_thread(pb::LookUpThreadRequest { thread: "M12x1,75".to_owned(), property_class: "9.8.7".to_owned() });
    refused.expect_err("neither can be read").expect(2, &["thread", "property_class"]);
}

/// The plan without its receiver, every receiver of the book listed.
pub fn fit_question() -> pb::FitReceiversRequest {
    let plan = pb::UpfitPlan { receiver: None, ..plan() };
    pb::FitReceiversRequest { plan: Some(plan), with_misfits: true, ..pb::FitReceiversRequest::default() }
}

pub fn a_bay_asks_which_receivers_suit(driver: &mut dyn Driver) {
    let all = driver.fit(fit_question()).expect("the plan is complete");
    let book = driver.list(pb::EntryKind::Receiver).expect("the book lists");
    assert_eq!(all.fits.len(), book.entries.len());
    assert_eq!(all.candidate_count, all.suits_count + all.unknown_count + all.misfit_count);
    assert!(0 < all.suits_count && 0 < all.misfit_count, "{all:?}");
    let first = all.fits.first().expect("there are receivers");
    assert_eq!((first.suits(), first.rank_position, first.reasons.len()), (pb::Suits::Yes, 1, 0), "{first:?}");
    assert!(!first.governing.is_empty() && first.payload_lost_kg.is_some_and(|lost| 0.0 < lost));
    // What the ranking says of it, the weakest link says too.
    let mut fitted = plan();
    fitted.receiver = Some(pb::ReceiverRef { receiver: Some(pb::receiver_ref::Receiver::Name(first.name.clone())) });
    let rating = driver.rate(fitted).expect("the plan is complete");
    let limit = |link: Option<pb::WeakestLink>| link.and_then(|link| link.limit_kg).expect("a limit");
    assert!((limit(rating.trailer) - first.trailer_limit_kg.expect("a limit")).abs() < 1e-6);
    assert!((limit(rating.tongue) - first.tongue_limit_kg.expect("a limit")).abs() < 1e-6);

    // Pages make the whole; a token is good for its own question alone.
    let mut paged = fit_question();
    paged.page_size = 4;
    let mut joined = Vec::new();
    loop {
        let page = driver.fit(paged.clone()).expect("a page");
        joined.extend(page.fits);
        if page.next_page_token.is_empty() {
            break;
        }
        paged.page_token = page.next_page_token;
    }
    assert_eq!(joined, all.fits);
    paged.with_misfits = false;
    driver.fit(paged).expect_err("the token is of another list").expect(2, &["page"]);

    let mut wish = fit_question();
    let steep = first.departure_deg.expect("an angle") + 0.1;
    let limits = pb::Limits { departure_min_deg: Some(steep), ..pb::Limits::default() };
    wish.plan.as_mut().expect("a plan").limits = Some(limits);
    let wished = driver.fit(wish).expect("the plan is complete");
    let same = wished.fits.iter().find(|one| one.name == first.name).expect("none is left out");
    assert_eq!(same.suits(), pb::Suits::No);
    assert!(same.reasons.iter().any(|reason| reason.field == "limits.departure_min_deg"), "{same:?}");

    let bare = pb::UpfitPlan { receiver: None, trailer_mass: None, tongue: None, ..plan() };
    let refused = driver.fit(pb::FitReceiversRequest { plan: Some(bare), ..fit_question() });
    refused.expect_err("nobody knows the trailer").expect(2, &["trailer_mass", "tongue"]);
}
