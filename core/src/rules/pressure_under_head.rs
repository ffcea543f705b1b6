//! What lies under the head or its washer bears the greatest bolt force without creeping.

use super::run::stack::{End, check_pressure};
use super::{Case, Findings, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "pressure-under-head",
    title: "what lies under the head bears the pressure",
    severity: Severity::Review,
    source: crate::tables::limiting_pressure::SOURCE,
    needs: &["joints.stack.head_material", "joints.stack.hole_diameter_mm", "joints.planned_torque"],
    remedy: "Put a hard, wide washer under it, or use a smaller hole.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    check_pressure(case, findings, End::Head);
}

#[cfg(test)]
mod tests {
    use crate::rules::run::fixture::*;
    use crate::{rules::Verdict, units::Stress};

    fn at(limit: f64) -> Option<crate::rules::Finding> {
        finding("pressure-under-head", |p| stack(p).head_limit = Some(Stress::from_mpa(limit)))
    }

    #[test]
    fn a_soft_seat_is_reviewed() {
        // 88 N·m at K 0.18 is 40.74 kN, and a fifth of 4 kN: 41.54 kN on the M12 face, 16.63 and 13.5 mm: 560.8 MPa.
        let soft = at(100.0).unwrap();
        let pressure = soft.value.unwrap();
        assert!((pressure - 560.8).abs() < 0.2, "{pressure}");
        assert!(at(pressure).is_none() && at(pressure - 1e-6).is_some());
    }

    #[test]
    fn an_unknown_material_is_not_clear() {
        assert_ne!(verdict(|p| stack(p).head_limit = None), Verdict::Clear);
    }
}
