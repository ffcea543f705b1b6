//! Greatest preload and load together leave the bolt within its proof load.

use super::run::{
    figures::Known,
    finding::Against,
    stack::{Stacked, check_tension},
};
use super::{Case, Findings, Rule, Severity};
use crate::{
    basis::{Seen, Source},
    tables,
    units::Force,
};

/// The rule.
pub static RULE: Rule = Rule {
    id: "bolt-overloaded",
    title: "preload and load together stay within proof",
    severity: Severity::Review,
    source: Source::new("ISO 898-1, proof loads; SAE J429, proof loads", "", Seen::Opened),
    needs: &["joints.stack.tension", "joints.planned_torque", "joints.bolt"],
    remedy: "Use a stronger bolt by the maker's list, more bolts, or find out the load share.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    check_tension(case, findings, "what the bolt bears under load", forces, |f, Against { value, limit, .. }| {
        write!(f, "bears {value:.1} kN, tightened and loaded; proof is {limit:.1} kN")
    });
}

/// Returns what the bolt bears, and its proof load.
fn forces(stacked: &Stacked<'_>) -> Known<[Force; 2]> {
    let tension = stacked.tension()?;
    let bolt = stacked.bolt()?;
    let class = stacked.known(bolt.class, "joints[].bolt.property_class")?;
    let borne = stacked.bolt_force(tension)?;
    let strength =
        tables::bolt_strength(class, &bolt.thread).map_err(|_| stacked.lacks("joints[].bolt.property_class"))?;
    // Where no proof stress is published the yield stress stands in, as for stainless bolts.
    let proof = strength.proof.unwrap_or(strength.yield_min) * bolt.thread.stress_area();
    Ok([borne, proof])
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::{rules::Verdict, units::Force};

    fn at(tension: f64) -> Option<crate::rules::Finding> {
        finding("bolt-overloaded", |p| stack(p).tension = Some(Force::from_kn(tension)))
    }

    #[test]
    fn proof_is_the_limit_for_preload_and_load() {
        // M12 8.8: proof 580 MPa on 84.27 mm² is 48.87 kN; 88 N·m at K 0.18 is 40.74 kN: a fifth of 40.67 kN fits.
        assert!(at(40.5).is_none() && at(41.0).is_some());
        assert!(at(60.0).unwrap().message.ends_with("bears 52.7 kN, tightened and loaded; proof is 48.9 kN"));
    }

    #[test]
    fn an_unknown_load_is_not_clear() {
        assert_ne!(verdict(|p| stack(p).tension = None), Verdict::Clear);
    }
}
