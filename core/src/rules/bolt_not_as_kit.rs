//! What went in is what was to go in: class, thread and length of every fitted bolt are those of the kit, or of the bolt
//! that the plan put in its place and the other rules judged.

use super::run::joints::{same_thread, subject};
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};

/// The rule.
pub static RULE: Rule = Rule {
    id: "bolt-not-as-kit",
    title: "every fitted bolt has class, thread and length of the one planned",
    severity: Severity::Block,
    source: Source::new("a joint is judged with the bolt that is in it", "", Seen::CommonPractice),
    needs: &["work.fitted", "work.released", "joints.bolt"],
    remedy: "Take the bolt out and fit the one of the kit, or plan the bolt that is in it and have it judged.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(work) = case.plan.work.as_deref() else { return };
    for (index, joint) in case.plan.joints.iter().enumerate() {
        let mut rows = work.fitted.iter().enumerate().filter(|(_, row)| row.joint == joint.id).peekable();
        if rows.peek().is_none() && work.released == Some(true) {
            findings.unknown_as_review(
                subject(index, "id"),
                format_args!("what went into joint {} is not written down", joint.id),
            );
        }
        // A joint without a planned bolt is told elsewhere.
        let Some(meant) = joint.bolt.as_deref() else { continue };
        for (place, row) in rows {
            let at = |field: &str| format!("work.fitted[{place}].{field}");
            let Some(bolt) = row.bolt.as_deref() else {
                findings.unknown_as_review(at("bolt"), format_args!("the bolt in joint {} is not known", joint.id));
                continue;
            };
            if !same_thread(&bolt.thread, &meant.thread) {
                findings.add(
                    at("bolt"),
                    format_args!("joint {} is planned with {}; {} went in", joint.id, meant.thread, bolt.thread),
                );
            }
            match (bolt.class, meant.class) {
                (Some(class), Some(wanted)) if class != wanted => findings.add(
                    at("bolt"),
                    format_args!("joint {} is planned with class {wanted}; {class} went in", joint.id),
                ),
                (None, Some(wanted)) => findings.add(
                    at("bolt"),
                    format_args!("joint {} is planned with class {wanted}; what went in has no class", joint.id),
                ),
                // A planned bolt without a class is told elsewhere.
                _ => {}
            }
            match (bolt.length, meant.length) {
                (Some(length), Some(wanted)) if 0.05 < (length - wanted).abs().mm() => findings.add(
                    at("bolt"),
                    format_args!(
                        "joint {} is planned with a bolt of {:.0} mm; {:.0} mm went in",
                        joint.id,
                        wanted.mm(),
                        length.mm()
                    ),
                ),
                (Some(_), Some(_)) => {}
                _ => findings.unknown_as_review(
                    at("bolt.length"),
                    format_args!("the length of the bolt in joint {} cannot be compared", joint.id),
                ),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::model::{
        fastener::{Bolt, BoltClass, IsoClass},
        upfit::Upfit,
    };
    use crate::rules::run::fixture::*;
    use crate::rules::{Severity, Verdict};

    fn with(change: fn(&mut Bolt)) -> impl Fn(&mut Upfit) {
        move |p| change(Arc::make_mut(work(p).fitted[0].bolt.as_mut().unwrap()))
    }

    #[test]
    fn another_class_size_or_length_is_blocked() {
        let said = |change: fn(&mut Bolt)| finding("bolt-not-as-kit", with(change)).unwrap();
        let other = said(|bolt| bolt.class = Some(BoltClass::Iso(IsoClass::C10_9)));
        assert_eq!((other.severity, &*other.subject), (Severity::Block, "work.fitted[0].bolt"));
        assert_eq!(other.message, "joint frame-side is planned with class 8.8; 10.9 went in");
        assert_eq!(said(|bolt| bolt.class = None).severity, Severity::Block);
        assert_eq!(said(|bolt| bolt.thread = half_inch()).severity, Severity::Block);
        assert_eq!(
            said(|bolt| bolt.length = Some(mm(45.0))).message,
            "joint frame-side is planned with a bolt of 40 mm; 45 mm went in"
        );
    }

    #[test]
    fn the_planned_bolt_is_fine() {
        assert!(
            finding("bolt-not-as-kit", |p| {
                work(p);
            })
            .is_none()
        );
    }

    #[test]
    fn what_is_not_written_down_is_asked_at_release() {
        assert_eq!(verdict(|p| work(p).fitted.clear()), Verdict::Review);
        assert_eq!(verdict(|p| work(p).fitted[0].bolt = None), Verdict::Review);
        assert_eq!(verdict(with(|bolt| bolt.length = None)), Verdict::Review);
        assert_eq!(
            verdict(|p| {
                work(p).fitted.clear();
                work(p).released = Some(false);
            }),
            Verdict::Clear
        );
    }
}
