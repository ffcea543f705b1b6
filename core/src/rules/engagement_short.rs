//! Enough thread is engaged that the bolt breaks before a thread strips.

use super::run::{
    figures::{Known, Unknown},
    stack::Stacked,
};
use super::{Case, Findings, Rule, Severity};
use crate::{
    calc::joint::strip,
    error::CalcError,
    rules::run::finding::Against,
    tables::{self, thread_limits},
    units::Length,
};

/// The rule.
pub static RULE: Rule = Rule {
    id: "engagement-short",
    title: "enough thread is engaged",
    severity: Severity::Review,
    source: crate::calc::joint::strip::AREA_SOURCE,
    needs: &["joints.stack.engagement_mm", "joints.nut", "joints.bolt"],
    remedy: "Use a full nut or a deeper thread of stronger material.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    for stacked in case.stacks() {
        match lengths(&stacked) {
            Err(unknown) => findings.unknown(unknown, "whether the thread strips"),
            Ok([engaged, needed]) if engaged.mm() + 1e-9 < needed.mm() => findings.breach(
                stacked.subject("engagement_mm"),
                Against::new(engaged.mm(), needed.mm(), "mm"),
                format_args!(
                    "joint {} has {:.1} mm of thread engaged; it takes {:.1} mm for the bolt to break first",
                    stacked.joint.id,
                    engaged.mm(),
                    needed.mm()
                ),
            ),
            Ok(_) => {}
        }
    }
}

/// Returns the thread engaged, and the thread it takes.
fn lengths(stacked: &Stacked<'_>) -> Known<[Length; 2]> {
    let bolt = stacked.bolt()?;
    let class = stacked.known(bolt.class, "joints[].bolt.property_class")?;
    let nut = stacked.nut();
    let engaged = stacked.stack.engagement.or_else(|| nut.and_then(|nut| nut.height));
    let engaged = stacked.known(engaged, "joints[].stack.engagement_mm")?;
    let proof = nut.and_then(|nut| tables::nut_proof(nut.class?, &bolt.thread).ok()).map(|row| row.stress);
    let inner = stacked.known(stacked.stack.inner_tensile.or(proof), "joints[].stack.inner_tensile_mpa")?;
    let refused = |error: &CalcError| Unknown {
        index: stacked.lacks("joints[].bolt").index,
        ..Unknown::from_calc("joints[].bolt", error)
    };
    let limits = thread_limits::limits(&bolt.thread).map_err(|error| refused(&error))?;
    let strength = tables::bolt_strength(class, &bolt.thread).map_err(|error| refused(&error))?;
    let areas = strip::shear_areas(bolt.thread.pitch, &limits);
    let needed = strip::needed_engagement(&bolt.thread, &areas, strength.tensile_min, inner);
    Ok([engaged, needed.map_err(|error| refused(&error))?])
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::{rules::Verdict, units::Stress};

    fn at(engaged: f64) -> Option<crate::rules::Finding> {
        finding("engagement-short", |p| stack(p).engagement = Some(mm(engaged)))
    }

    #[test]
    fn thread_for_the_bolt_to_break_first() {
        // FED-STD-H28/2B with the limits of ISO 965 (from memory): M12 of equal strength takes 8.89 mm; the
        // tables' rounded tensile area is 0.2 % of it.
        let short = at(5.0).unwrap();
        assert!(short.message.starts_with("joint frame-side has 5.0 mm of thread engaged; it takes 8.9 mm"));
        let needed = short.limit.unwrap();
        assert!((needed / 8.89 - 1.0).abs() < 0.002, "{needed}");
        assert!(at(needed).is_none() && at(needed - 1e-6).is_some());
        // A soft tapped part takes more: the nut's thread shears first.
        let soft = finding("engagement-short", |p| stack(p).inner_tensile = Some(Stress::from_mpa(300.0)));
        assert!(soft.unwrap().limit > Some(8.9));
    }

    #[test]
    fn an_unknown_class_is_not_clear() {
        let unknown = verdict(|p| {
            stack(p);
            std::sync::Arc::make_mut(joint(p).nut.as_mut().unwrap()).class = None;
        });
        assert_ne!(unknown, Verdict::Clear);
    }
}
