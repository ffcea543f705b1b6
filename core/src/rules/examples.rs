//! An example of every rule: a plan that trips it and one that just keeps it, both worked out by asking the rules.
//!
//! A row says how to change the plan to which no rule objects. A row with a number is turned between a value that trips
//! the rule and one that keeps it, until the last number that still keeps it is found. Nothing that a reader is shown is
//! written down here but the condition: messages, verdicts and numbers come from the rules themselves.

mod answers;
mod bed;
mod difference;
mod hardware;
mod joints;
mod links;
mod loads;
mod record;
mod shape;
mod stacks;
mod wiring;

pub use difference::Difference;
pub(crate) use difference::between;

use super::{Finding, Report, Rule, check, run::fixture};
use crate::model::upfit::Upfit;

/// How to trip a rule, and how just to keep it.
#[derive(Debug, Clone, Copy)]
pub struct Example {
    /// The rule.
    pub rule: &'static str,
    /// What must hold, in one line.
    pub condition: &'static str,
    /// The changes.
    pub way: Way,
}

/// How a plan comes to trip a rule.
#[derive(Debug, Clone, Copy)]
pub enum Way {
    /// By a number that goes too far.
    Number {
        /// Turns the plan to a number.
        turn: fn(&mut Upfit, f64),
        /// A number that trips the rule.
        trips: f64,
        /// A number that keeps it.
        keeps: f64,
    },
    /// By an answer, a part or a word.
    Answer {
        /// Trips the rule.
        trips: fn(&mut Upfit),
        /// Keeps it, by the least change.
        keeps: fn(&mut Upfit),
    },
}

/// A row with a number.
const fn number(
    rule: &'static str,
    condition: &'static str,
    trips: f64,
    keeps: f64,
    turn: fn(&mut Upfit, f64),
) -> Example {
    Example { rule, condition, way: Way::Number { turn, trips, keeps } }
}

/// A row without one.
const fn answer(rule: &'static str, condition: &'static str, trips: fn(&mut Upfit), keeps: fn(&mut Upfit)) -> Example {
    Example { rule, condition, way: Way::Answer { trips, keeps } }
}

/// One plan of an example.
#[derive(Debug, Clone)]
pub struct Shown {
    /// What differs from the plan to which no rule objects.
    pub differences: Vec<Difference>,
    /// What the rules say.
    pub report: Report,
}

/// A rule explained by two plans.
#[derive(Debug, Clone)]
pub struct Explained {
    /// The rule.
    pub rule: &'static Rule,
    /// What must hold, in one line.
    pub condition: &'static str,
    /// A plan that trips it.
    pub trips: Shown,
    /// A plan that just keeps it.
    pub keeps: Shown,
}

impl Shown {
    fn of(base: &Upfit, plan: &Upfit) -> Self {
        Self { differences: difference::between(base, plan), report: check(plan) }
    }

    /// Returns what one rule says of this plan, the heaviest first.
    #[must_use]
    pub fn said_by(&self, rule: &Rule) -> Option<&Finding> {
        let own = self.report.findings.iter().filter(|finding| finding.rule.id == rule.id);
        own.reduce(|worst, other| if worst.severity < other.severity { other } else { worst })
    }
}

/// Returns every example, one for each rule.
pub fn all() -> impl Iterator<Item = &'static Example> {
    [
        answers::EXAMPLES,
        loads::EXAMPLES,
        links::EXAMPLES,
        bed::EXAMPLES,
        shape::EXAMPLES,
        joints::EXAMPLES,
        stacks::EXAMPLES,
        hardware::EXAMPLES,
        wiring::EXAMPLES,
        record::EXAMPLES,
    ]
    .into_iter()
    .flatten()
}

/// Explains a rule by its two plans; nothing for a rule without an example.
#[must_use]
pub fn explain(rule: &'static Rule) -> Option<Explained> {
    let example = all().find(|example| example.rule == rule.id)?;
    let base = fixture::plan();
    let (tripping, keeping) = plans(rule, example);
    Some(Explained {
        rule,
        condition: example.condition,
        trips: Shown::of(&base, &tripping),
        keeps: Shown::of(&base, &keeping),
    })
}

fn plans(rule: &Rule, example: &Example) -> (Upfit, Upfit) {
    let with = |change: &dyn Fn(&mut Upfit)| {
        let mut plan = fixture::plan();
        change(&mut plan);
        plan
    };
    match example.way {
        Way::Answer { trips, keeps } => (with(&trips), with(&keeps)),
        Way::Number { turn, trips, keeps } => {
            let holds = |value: f64| {
                weight(rule, &with(&|plan| turn(plan, value))) < weight(rule, &with(&|plan| turn(plan, trips)))
            };
            (with(&|plan| turn(plan, trips)), with(&|plan| turn(plan, last_kept(trips, keeps, holds))))
        }
    }
}

/// How heavily a rule objects to a plan.
fn weight(rule: &Rule, plan: &Upfit) -> Option<super::Severity> {
    let report = check(plan);
    report.findings.iter().filter(|finding| finding.rule.id == rule.id).map(|finding| finding.severity).max()
}

/// Returns the number nearest to `trips` that still holds, by halving the way from `keeps`.
pub(crate) fn last_kept(trips: f64, keeps: f64, holds: impl Fn(f64) -> bool) -> f64 {
    let (mut bad, mut good) = (trips, keeps);
    // A double has 52 binary digits: after that many halvings nothing lies between the two.
    for _ in 0..64 {
        let middle = good + (bad - good) / 2.0;
        if middle == bad || middle == good {
            break;
        }
        if holds(middle) { good = middle } else { bad = middle }
    }
    good
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::rules::RULES;

    #[test]
    fn every_rule_has_one_example() {
        let told: Vec<_> = all().map(|example| example.rule).collect();
        let once: BTreeSet<_> = told.iter().copied().collect();
        assert_eq!(told.len(), once.len(), "a rule has two examples");
        let rules: BTreeSet<_> = RULES.iter().map(|rule| rule.id).collect();
        let missing: Vec<_> = rules.difference(&once).collect();
        let stray: Vec<_> = once.difference(&rules).collect();
        assert!(missing.is_empty() && stray.is_empty(), "without an example: {missing:?}; no such rule: {stray:?}");
    }

    #[test]
    fn every_example_trips_its_rule_and_just_keeps_it() {
        let mut wrong = Vec::new();
        for example in all() {
            let Some(rule) = crate::rules::find(example.rule) else { continue };
            let explained = explain(rule).unwrap();
            let Explained { condition, trips, keeps, .. } = &explained;
            assert!(!condition.is_empty() && !condition.ends_with('.'), "{}: {condition}", rule.id);
            let (bad, good) = (trips.said_by(rule), keeps.said_by(rule));
            if bad.is_none() || bad.map(|f| f.severity) <= good.map(|f| f.severity) {
                wrong.push(format!(
                    "{}: {:?} against {:?}",
                    rule.id,
                    bad.map(|f| &f.message),
                    good.map(|f| &f.message)
                ));
            }
            if trips.differences.is_empty() {
                wrong.push(format!("{}: nothing differs", rule.id));
            }
        }
        assert!(wrong.is_empty(), "{wrong:#?}");
    }

    #[test]
    fn a_number_sits_on_its_limit() {
        for example in all() {
            let (Some(rule), Way::Number { turn, trips, keeps }) = (crate::rules::find(example.rule), example.way)
            else {
                continue;
            };
            let at = |value: f64| {
                let mut plan = fixture::plan();
                turn(&mut plan, value);
                weight(rule, &plan)
            };
            let last = last_kept(trips, keeps, |value| at(value) < at(trips));
            // A billionth of the way further, and it speaks.
            let further = last + (trips - keeps) * 1e-9;
            assert!(at(last) < at(trips), "{}", rule.id);
            assert!(at(keeps) < at(trips), "{}", rule.id);
            assert_eq!(at(further), at(trips), "{}: {last} keeps, {further} should not", rule.id);
        }
    }
}
