//! What the figures of a [`TorqueAdvice`] rest on.

use super::{Target, TorqueAdvice, TorqueInput, capacity, scatter};
use crate::{
    basis::{Basis, Seen, Source},
    calc::{
        adapter,
        condition::{FACE_SOURCE, LONG_SOURCE, SHORT_SOURCE, TorqueForm},
        passes::{self, PassPlan},
    },
};

const PREVAILING: Source = Source::new("prevailing torque adds to clamping torque (statics)", "", Seen::Derived);
const CONVERSION: Source = Source::new("ratio of the two torque relations at equal preload", "", Seen::Derived);

/// Returns what the figures of this advice rest on: formula, source, edition, inputs used.
#[must_use]
pub fn basis(input: &TorqueInput, advice: &TorqueAdvice) -> Vec<Basis> {
    let diameter = ("diameter_mm", input.thread.diameter.mm());
    let pitch = ("pitch_mm", input.thread.pitch.mm());
    let mut steps = vec![strength(input, advice)];
    let k = advice.nut_factor;
    let band = [("nut_factor_low", k.low), ("nut_factor", k.nominal), ("nut_factor_high", k.high)];
    let preload = ("preload_n", advice.preload.nominal.force.n());
    steps.push(match advice.form {
        TorqueForm::Short => Basis::new(
            "torque-short-form",
            "T = K · F · d",
            if input.actual.is_known() { SHORT_SOURCE } else { crate::tables::friction::UNKNOWN_SOURCE },
            &[diameter, preload, band[0], band[1], band[2]],
        ),
        TorqueForm::Long => Basis::new(
            "torque-long-form",
            "T = F · [P/2π + μ_thread · d2 / (2 cos 30°) + μ_face · D_mean / 2]",
            LONG_SOURCE,
            &[diameter, pitch, preload, band[0], band[1], band[2]],
        ),
    });
    if advice.cautions.has(super::caution::Caution::FaceFromTables) {
        steps.push(Basis::new(
            "bearing-face",
            "D_mean = (d_w + d_h) / 2, hexagon on a medium hole",
            FACE_SOURCE,
            &[diameter],
        ));
    }
    if let (Some(conversion), Target::Specified { torque, .. }) = (advice.conversion, input.target) {
        steps.push(Basis::new(
            "constant-preload-conversion",
            "T_actual / T_specified = arm_actual / arm_specified",
            CONVERSION,
            &[
                ("torque_n_m", torque.n_m()),
                ("nut_factor", conversion.specified.nominal),
                ("factor", conversion.factor),
            ],
        ));
    }
    if let Some(share) = advice.worst_yield_share {
        steps.push(Basis::new(
            "tension-and-torsion",
            "√(σ² + 3 τ²) / Rp0.2, τ = M_thread / (π/12 · d0³)",
            capacity::COMBINED_SOURCE,
            &[("preload_n", advice.extremes.max.force.n()), ("yield_share", share)],
        ));
    }
    if let Some(prevailing) = input.prevailing {
        let clamping = ("clamping_n_m", advice.clamping.n_m());
        let inputs = [clamping, ("prevailing_n_m", prevailing.n_m())];
        steps.push(Basis::new("prevailing-torque", "T_set = T_clamp + T_prevailing", PREVAILING, &inputs));
    }
    if let Some(adapter) = input.adapter {
        steps.push(Basis::new(
            "wrench-adapter",
            "T_set = T · L / (L + E · cos φ)",
            adapter::SOURCE,
            &[
                ("lever_mm", adapter.lever.mm()),
                ("extension_mm", adapter.extension.mm()),
                ("angle_deg", adapter.angle.deg()),
            ],
        ));
    }
    steps.push(Basis::new(
        "preload-scatter",
        "δ = √(δ_window² + δ_wrench² + δ_friction²), δ = (α − 1)/(α + 1)",
        scatter::FACTOR_SOURCE,
        &[("scatter_share", advice.scatter_share)],
    ));
    let source = match input.passes {
        Some(PassPlan::ThirtySeventyHundred | PassPlan::FiftyEightyHundred) => Some(passes::THREE_PASS_SOURCE),
        Some(PassPlan::SeventyHundred) => Some(passes::ARMY_SOURCE),
        Some(PassPlan::Single) | None => None,
    };
    if let Some(source) = source {
        let inputs = [("torque_n_m", advice.fastener.nominal.n_m())];
        steps.push(Basis::new(
            "tightening-passes",
            "shares of the full torque, all bolts before the next",
            source,
            &inputs,
        ));
    }
    steps
}

/// Returns the step that looks up the strength.
fn strength(input: &TorqueInput, advice: &TorqueAdvice) -> Basis {
    let mut inputs = vec![("stress_area_mm2", input.thread.stress_area().mm2())];
    inputs.extend(advice.loads.proof.map(|proof| ("proof_load_n", proof.n())));
    inputs.push(("yield_load_n", advice.loads.yielding.n()));
    inputs.push(("tensile_load_n", advice.loads.tensile.n()));
    inputs.extend(advice.loads.nut_proof.map(|proof| ("nut_proof_load_n", proof.n())));
    Basis::new("bolt-loads", "load = stress · As", advice.loads.source, &inputs)
}
