//! A locking nut that was on before goes on again only while it still locks.
//!
//! One manual discards every locking nut that comes off, another keeps those whose prevailing torque is not below its
//! table: below it the plan is blocked, above it the other manual is told.

use super::run::finding::Against;
use super::run::joints::subject;
use super::{Case, Findings, Rule, Severity, Unknown};
use crate::calc::torque::prevailing::{REUSE_SOURCE, least_for_reuse};
use crate::error::CalcError;
use crate::units::Torque;

/// The rule.
pub static RULE: Rule = Rule {
    id: "locking-nut-reused",
    title: "a used locking nut still locks",
    severity: Severity::Block,
    source: REUSE_SOURCE,
    needs: &["joints.nut", "joints.nut_reused", "joints.nut_lock", "joints.nut_prevailing"],
    remedy: "Fit a new nut.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for (index, joint) in case.plan.joints.iter().enumerate() {
        let Some(nut) = joint.nut.as_deref() else { continue };
        let locks = joint.nut_lock.is_some() || nut.prevailing_torque.is_some_and(|torque| Torque::ZERO < torque);
        let missing = |field| Unknown::missing_at(field, index);
        let by = "whether the nut still locks";
        match joint.nut_reused {
            // A new nut, or one that never locked.
            _ if !locks => continue,
            Some(false) => continue,
            // Nobody says, and the bolt is new: so is the nut that goes with it.
            None if joint.bolt_reused != Some(true) => continue,
            None => {
                findings.unknown(missing("joints[].nut_reused"), by);
                continue;
            }
            Some(true) => {}
        }
        let Some(lock) = joint.nut_lock else {
            findings.unknown(missing("joints[].nut_lock"), by);
            continue;
        };
        let Some(measured) = joint.nut_prevailing else {
            findings.unknown(missing("joints[].nut_prevailing"), by);
            continue;
        };
        let least = match least_for_reuse(&nut.thread, lock) {
            Ok(least) => least,
            Err(CalcError::NoSuchRow { .. }) => {
                let why = "has no printed least prevailing torque";
                findings.unknown(Unknown { why, ..missing("joints[].nut") }, by);
                continue;
            }
            Err(error) => {
                findings.unknown(Unknown { index: Some(index), ..Unknown::from_calc("joints[].nut", &error) }, by);
                continue;
            }
        };
        let against = Against::new(measured.n_m(), least.n_m(), "n_m");
        // The gauge is read in whole units of the table; a hair below by conversion is not below.
        if measured * (1.0 + 1e-9) < least {
            findings.breach(
                subject(index, "nut_prevailing"),
                against,
                format_args!(
                    "joint {} uses a locking nut again that prevails with {:.2} N·m; the least is {:.2} N·m",
                    joint.id,
                    measured.n_m(),
                    least.n_m()
                ),
            );
        } else {
            findings.breach_as(
                Severity::Warn,
                subject(index, "nut_prevailing"),
                against,
                format_args!(
                    "joint {} uses a locking nut again that still prevails with {:.2} N·m; another manual, TB 43-0218, \
                     discards every locking nut that comes off",
                    joint.id,
                    measured.n_m()
                ),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::calc::torque::prevailing::Lock;
    use crate::model::upfit::Upfit;
    use crate::rules::run::fixture::*;
    use crate::rules::{Finding, Severity};
    use crate::units::Torque;

    fn half(lock: Option<Lock>, measured: Option<f64>) -> impl Fn(&mut Upfit) {
        move |p| {
            let joint = joint(p);
            let nut = Arc::make_mut(joint.nut.as_mut().unwrap());
            nut.thread = half_inch();
            nut.prevailing_torque = Some(Torque::from_n_m(3.0));
            joint.nut_reused = Some(true);
            joint.nut_lock = lock;
            joint.nut_prevailing = measured.map(Torque::from_lb_in);
        }
    }

    fn at(lock: Option<Lock>, measured: Option<f64>) -> Option<Finding> {
        finding("locking-nut-reused", half(lock, measured))
    }

    /// US Army TM 9-6115-604-34, table 1-3: a 1/2 in nut with an insert needs 15 lbf in, an all-metal one 20.
    #[test]
    fn below_the_printed_least_it_is_replaced() {
        let insert = |measured| at(Some(Lock::Insert), Some(measured)).unwrap().severity;
        assert_eq!(
            [insert(14.0), insert(14.999), insert(15.0), insert(16.0)].map(|it| it == Severity::Block),
            [true, true, false, false]
        );
        let metal = at(Some(Lock::AllMetal), Some(18.0)).unwrap();
        assert_eq!(
            metal.message,
            "joint frame-side uses a locking nut again that prevails with 2.03 N·m; the least is 2.26 N·m"
        );
        assert!(at(Some(Lock::AllMetal), Some(20.0)).is_some_and(|kept| kept.severity == Severity::Warn));
    }

    #[test]
    fn what_was_not_measured_is_asked_for() {
        assert!(at(None, Some(20.0)).is_some_and(|found| found.unknown));
        assert!(at(Some(Lock::Insert), None).is_some_and(|found| found.unknown));
        let metric = finding("locking-nut-reused", |p| {
            half(Some(Lock::Insert), Some(20.0))(p);
            Arc::make_mut(joint(p).nut.as_mut().unwrap()).thread = m12();
        });
        assert!(metric.is_some_and(|found| found.unknown), "no metric row is printed");
        let unsaid = finding("locking-nut-reused", |p| {
            half(Some(Lock::Insert), Some(20.0))(p);
            joint(p).nut_reused = None;
            joint(p).bolt_reused = Some(true);
        });
        assert!(unsaid.is_some_and(|found| found.unknown));
        assert!(finding("locking-nut-reused", |p| joint(p).nut_reused = Some(true)).is_none(), "it never locked");
    }
}
