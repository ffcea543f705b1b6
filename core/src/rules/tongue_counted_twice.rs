//! The tongue load is part of the trailer's mass and counts once.
//!
//! It is counted twice when the order's mass of the train holds it twice, and when an item of cargo at the ball is the
//! tongue load over again. An order that states no mass of the train is not asked for one.

use super::run::finding::Against;
use super::run::words::Load;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::units::{Length, Mass};

/// The rule.
pub static RULE: Rule = Rule {
    id: "tongue-counted-twice",
    title: "the tongue load counts once",
    severity: Severity::Block,
    source: Source::new("the tongue load is a part of the trailer's mass", "", Seen::Derived),
    needs: &["stated_train", "trailer_mass", "tongue_load", "items", "vehicle.front.kerb_kg", "vehicle.rear.kerb_kg"],
    remedy: "Take the mass of the train as vehicle before hitching plus trailer, and the tongue load from the items.",
    check,
};

/// What two readings of one mass may differ by: a kilogram and a thousandth, as scales and rounding do.
fn slack(of: Mass) -> Mass {
    Mass::from_kg(1.0) + of * 0.001
}

/// How far from the ball an item is still at the ball.
const AT_BALL: Length = Length::from_mm(60.0);

fn check(case: &Case<'_>, findings: &mut Findings) {
    let (plan, figures) = (case.plan, case.figures);
    if let (Some(stated), Ok(tongue)) = (plan.stated_train, figures.tongue) {
        match figures.combination {
            Err(unknown) => findings.unknown(unknown, "the mass of the train"),
            Ok(train) => of_train(stated, train, tongue, findings),
        }
    }
    let (Ok(tongue), Ok(ball)) = (figures.tongue, figures.ball_station) else { return };
    for (index, item) in plan.items.iter().enumerate() {
        let (Some(mass), Some(station)) = (item.mass, item.station) else { continue };
        if (station - ball).abs() <= AT_BALL && (mass - tongue).abs() <= slack(Mass::ZERO) {
            findings.add(
                format!("items[{index}].mass"),
                format_args!(
                    "{} of {} sits at the ball and weighs what the tongue load does: it is counted already",
                    item.label,
                    Load(mass.kg())
                ),
            );
        }
    }
}

fn of_train(stated: Mass, train: Mass, tongue: Mass, findings: &mut Findings) {
    let off = slack(train);
    if (stated - train).abs() <= off {
        return;
    }
    let against = Against::new(stated.kg(), train.kg(), "kg");
    if (stated - train - tongue).abs() <= off {
        return findings.breach(
            "stated_train",
            against,
            format_args!(
                "the order's train of {} holds the tongue load twice; vehicle and trailer are {}",
                Load(stated.kg()),
                Load(train.kg())
            ),
        );
    }
    findings.breach_as(
        Severity::Review,
        "stated_train",
        against,
        format_args!("the order's train is {}; vehicle and trailer are {}", Load(stated.kg()), Load(train.kg())),
    );
}

#[cfg(test)]
mod tests {
    use crate::model::upfit::{LoadItem, Upfit};
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    /// Worked example on an invented van, derived: the train is 4857 kg, 5067 kg with the tongue load counted twice.
    #[test]
    fn a_train_with_the_tongue_twice_is_blocked() {
        let stated = |kg_stated: f64| finding("tongue-counted-twice", move |p| p.stated_train = Some(kg(kg_stated)));
        let twice = stated(5067.0).unwrap();
        assert_eq!(twice.severity, Severity::Block);
        assert_eq!(
            twice.message,
            "the order's train of 5,067 kg holds the tongue load twice; vehicle and trailer are 4,857 kg"
        );
        assert!(stated(4857.0).is_none());
        // A kilogram and a thousandth is what two readings may differ by: 5.857 kg.
        assert!(stated(4862.856).is_none());
        assert_eq!(stated(4862.858).unwrap().severity, Severity::Review);
        assert_eq!(stated(4600.0).unwrap().severity, Severity::Review);
    }

    #[test]
    fn the_tongue_load_as_cargo_is_counted_twice_too() {
        let item = |mass: f64, station: f64| {
            move |p: &mut Upfit| {
                p.items.push(LoadItem {
                    label: "tongue".into(),
                    mass: Some(kg(mass)),
                    station: Some(mm(station)),
                    permanent: false,
                });
            }
        };
        let found = finding("tongue-counted-twice", item(210.0, 4920.0)).unwrap();
        assert_eq!(&*found.subject, "items[2].mass");
        // On the edge of the ball and of the scale, and past either.
        assert!(finding("tongue-counted-twice", item(211.0, 4980.0)).is_some());
        assert!(finding("tongue-counted-twice", item(210.0, 4980.1)).is_none());
        assert!(finding("tongue-counted-twice", item(211.1, 4920.0)).is_none());
    }

    #[test]
    fn a_train_that_cannot_be_added_up_is_not_clear() {
        assert!(finding("tongue-counted-twice", |_| ()).is_none());
        let lost = |p: &mut Upfit| {
            p.stated_train = Some(kg(4857.0));
            vehicle(p).front.kerb = None;
        };
        assert_ne!(verdict(lost), Verdict::Clear);
    }
}
