use std::sync::Arc;

use super::*;
use crate::rules::{Verdict, run::fixture::*};

fn why(rule: &str, stock: &Stock, change: impl FnOnce(&mut Upfit)) -> Why {
    let mut plan = plan();
    change(&mut plan);
    let all = explain(&plan, stock).why;
    all.into_iter().find(|why| why.finding.rule.id == rule).unwrap_or_else(|| panic!("{rule} says nothing"))
}

#[test]
fn a_rear_axle_is_derived_item_by_item_and_cleared_by_less_cargo() {
    let why = why("gawr-rear", &Stock::default(), |p| p.items[1].mass = Some(kg(800.0)));
    // Moments, worked by hand: 1010 + 59.753 + 725.275 + 48.544 + 12.165 + 283.846 = 2139.583 kg.
    let sum: f64 = why.lines.iter().take_while(|line| !line.what.starts_with("rear axle")).map(|line| line.value).sum();
    let total = why.lines.iter().find(|line| line.what == "rear axle, hitched").unwrap();
    assert!((sum - total.value).abs() < 1e-9 && (total.value - 2139.583).abs() < 0.01, "{total:?}");
    assert!(total.formula.starts_with("1010 + "), "{}", total.formula);
    // 1900 kg leave (1900 - 1414.259) 3640/3300 of cargo; the rule itself was asked.
    let less = why.changes.iter().find(|change| change.text.starts_with("less cargo")).unwrap();
    assert_eq!(less.text, "less cargo: 800 kg to at most 535.733 kg");
    // The rear axle is content then, the gross rating is not yet: 3067 + 135.733 kg against 3200 kg.
    assert_eq!(less.verdict, Verdict::Blocked);
}

#[test]
fn every_change_told_really_clears_its_finding() {
    let stock = Stock {
        balls: vec![Arc::new(crate::model::coupling::Ball::clone(plan().ball.as_ref().unwrap()))],
        ..Stock::default()
    };
    let mut heavy = plan();
    heavy.items[1].mass = Some(kg(700.0));
    receiver(&mut heavy).carrying.tongue = Some(kg(200.0));
    ball(&mut heavy).diameter = Some(mm(50.0));
    joint(&mut heavy).planned_torque = Some(crate::units::Torque::from_n_m(120.0));
    let explanation = explain(&heavy, &stock);
    assert!(4 <= explanation.why.len());
    for why in &explanation.why {
        assert!(!why.changes.is_empty(), "{}: {}", why.finding.rule.id, why.finding.message);
        for change in &why.changes {
            assert!(change.verdict <= explanation.report.verdict, "{change:?}");
        }
    }
    let size = explanation.why.iter().find(|why| why.finding.rule.id == "ball-size").unwrap();
    assert_eq!(size.changes[0].text, "another ball: balls/two-inch (2 in ball)");
}

#[test]
fn a_clear_plan_needs_no_explanation() {
    let explanation = explain(&plan(), &Stock::default());
    assert!(explanation.why.is_empty());
    assert_eq!(explanation.report.verdict, Verdict::Clear);
}

#[test]
fn every_numbered_example_of_the_rules_is_derived_down_to_its_limit() {
    for rule in crate::rules::RULES {
        let Some(explained) = crate::rules::examples::explain(rule) else { continue };
        let Some(finding) = explained.trips.said_by(rule).filter(|finding| finding.value.is_some()) else { continue };
        let mut some = plan();
        some.items[1].mass = Some(kg(800.0));
        let lines = lines::derive(&some, &explained.trips.report.figures, finding);
        // Something stands behind the two lines of the comparison, and every line says how and from where.
        assert!(3 <= lines.len(), "{}: {lines:?}", rule.id);
        assert!(lines.iter().all(|line| !line.formula.is_empty() && !line.source.title.is_empty()), "{}", rule.id);
        let last = lines.last().unwrap();
        assert_eq!(last.what, "value against limit", "{}", rule.id);
        assert!((last.value - (finding.value.unwrap() - finding.limit.unwrap())).abs() < 1e-9, "{}", rule.id);
    }
}

#[test]
fn a_thin_wire_is_derived_and_cleared_by_the_next_size_that_does() {
    use crate::{model::wiring::Wire, units::Length};
    let thin = |p: &mut Upfit| {
        circuit(p).wire = Some(Wire::Awg(12));
        circuit(p).length = Some(Length::from_m(7.5));
    };
    let why = why("voltage-drop", &Stock::default(), thin);
    // Derived: 12 A over 7.5 m of 12 AWG at 60 C lose 1.0854 V, 8.04 % of 13.5 V.
    let value = |what: &str| why.lines.iter().find(|line| line.what == what).unwrap_or_else(|| panic!("{what}")).value;
    assert!((value("voltage lost") - 1.0854).abs() < 5e-5 && (value("share of the supply") - 0.0804).abs() < 5e-5);
    assert!((value("resistance of a metre") - 6.0298).abs() < 5e-5);
    let told: Vec<&str> = why.changes.iter().map(|change| change.text.as_str()).collect();
    assert!(told.contains(&"wire of brake feed 3 sizes up: 12 AWG to 6 AWG"), "{told:?}");
    assert!(told.iter().any(|text| text.starts_with("shorter run of brake feed: 7500 mm to at most")), "{told:?}");
}

#[test]
fn a_fuse_and_an_answer_of_routing_are_among_the_changes() {
    let why_fuse = why("fuse-over-wire", &Stock::default(), |p| {
        circuit(p).fuse = Some(crate::units::Amps::from_a(40.0));
    });
    assert!(
        why_fuse.changes.iter().any(|change| change.text.starts_with("fuse of brake feed: 40 A to")),
        "{why_fuse:#?}"
    );
    let why_route = why("wire-routing", &Stock::default(), |p| {
        wired(p);
        p.routing[0].1 = false;
    });
    assert!(why_route.changes.iter().any(|change| change.text.starts_with("put right")), "{why_route:#?}");
}

/// What is remembered of the ground, and what is not rolled at all, changes no word: the same is told when every change is
/// judged in full.
#[test]
fn nothing_is_told_otherwise_for_being_told_sooner() {
    let stock = || Stock {
        receivers: vec![Arc::clone(plan().receiver.as_ref().unwrap())],
        ball_mounts: vec![Arc::clone(plan().ball_mount.as_ref().unwrap())],
        balls: vec![Arc::clone(plan().ball.as_ref().unwrap())],
        ..Stock::default()
    };
    let changes: [fn(&mut Upfit); 5] = [
        // In the ground laden, near it empty.
        |p| p.terrains = vec![ground(&[(0.0, 0.0), (3000.0, 600.0)])],
        // Heavy, and over a hump that it clears.
        |p| {
            over_hump(p);
            p.items[1].mass = Some(kg(800.0));
        },
        // Both, and a torque that is of no matter to the ground.
        |p| {
            p.terrains = vec![ground(&[(0.0, 0.0), (3000.0, 600.0)])];
            p.items[1].mass = Some(kg(700.0));
            joint(p).planned_torque = Some(crate::units::Torque::from_n_m(120.0));
        },
        // A drop that leaves the ground alone and drags on the next.
        |p| {
            over_hump(p);
            p.terrains.push(ground(&[(0.0, 0.0), (3000.0, 450.0)]));
            mount(p).drop = Some(mm(120.0));
        },
        // Rolling is not known, while something else is wrong.
        |p| {
            over_hump(p);
            vehicle(p).rear.suspension_rate = None;
            receiver(p).carrying.tongue = Some(kg(200.0));
        },
    ];
    for (at, change) in changes.iter().enumerate() {
        let mut plan = plan();
        change(&mut plan);
        let (soon, full) = (explain(&plan, &stock()), explain_with(&plan, &stock(), None));
        assert_eq!(soon.report, full.report, "{at}");
        assert_eq!(soon.why.len(), full.why.len(), "{at}");
        assert!(!full.why.is_empty(), "{at}");
        for (soon, full) in soon.why.iter().zip(&full.why) {
            assert_eq!((&soon.finding, &soon.lines), (&full.finding, &full.lines), "{at}");
            assert_eq!(soon.changes, full.changes, "{at}: {}", full.finding.rule.id);
        }
    }
}
