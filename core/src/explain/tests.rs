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
        let last = lines.last().unwrap();
        assert_eq!(last.what, "value against limit", "{}", rule.id);
        assert!((last.value - (finding.value.unwrap() - finding.limit.unwrap())).abs() < 1e-9, "{}", rule.id);
    }
}
