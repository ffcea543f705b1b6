//! Scatter of preload: the question from the wire, band and chances to the wire.

use baybook_core::{
    calc::{
        condition::{Condition, Face, NUT_FACTOR},
        torque::{
            self, Target, TorqueAdvice, TorqueInput, adjust_torque,
            caution::Caution,
            scatter::{
                self, LOSS, Limits, LimitsInput, SCATTER,
                chance::{DEVIATIONS, PRELOAD, Spread, SpreadInput, basis, spread},
                preload_limits, share_of_factor,
            },
        },
    },
    model::{fastener::Bolt, finish::Finish, joint::TighteningMethod, wrench::Wrench},
    tables::tightening_method::ROWS,
    units::Force,
};
use baybook_proto::v1 as pb;

use super::{
    Fields, Lookup, WireError,
    basis::{basis_to_wire, caution},
    fastener::BOLTS_MAX,
    ranges,
};

/// A question how the preload of a torque spreads.
#[derive(Debug, Clone, PartialEq)]
pub struct PreloadScatter {
    torque: TorqueInput,
    advice: TorqueAdvice,
    /// What spreads.
    pub input: SpreadInput,
    spread: Spread,
    limits: Limits,
    limits_input: LimitsInput,
}

impl PreloadScatter {
    /// Reads the question and works it out: what the calculators refuse is told at its field.
    ///
    /// # Errors
    ///
    /// [`WireError`] with every violation.
    pub fn read(wire: &pb::PreloadScatterRequest, lookup: &impl Lookup) -> Result<Self, WireError> {
        let mut fields = Fields::default();
        let asked = Self::from_request(wire, lookup, &mut fields);
        fields.finish(asked)
    }

    fn from_request(wire: &pb::PreloadScatterRequest, lookup: &impl Lookup, fields: &mut Fields) -> Option<Self> {
        let bolt = fields.needed_entry::<Bolt>("bolt", wire.bolt.as_ref(), lookup);
        let condition = fields.needed_entry::<Finish>("condition", wire.condition.as_ref(), lookup);
        fields.required("torque", wire.torque.as_ref());
        let torque = fields.torque("torque", wire.torque.as_ref(), &ranges::TORQUE);
        let window = fields.needed("window_share", wire.window_share, &ranges::WINDOW);
        let wrench = fields.entry::<Wrench>("wrench", wire.wrench.as_ref(), lookup);
        let given = fields.number("accuracy_share", wire.accuracy_share, &ranges::ACCURACY);
        let accuracy = given.or_else(|| wrench.and_then(|wrench| wrench.accuracy_share));
        if accuracy.is_none() && wire.accuracy_share.is_none() {
            fields.reject("accuracy_share", "is required: no wrench is named whose entry gives it");
        }
        let deviations = fields.needed("deviations_count", wire.deviations_count, &DEVIATIONS);
        let needed = fields.force("needed", wire.needed.as_ref(), &PRELOAD);
        let count = fields.count("bolt_count", wire.bolt_count, 1, BOLTS_MAX);
        let relaxation = fields.needed("relaxation_share", wire.relaxation_share, &SCATTER);
        let creep = fields.force("creep", wire.creep.as_ref(), &LOSS);
        let thermal_gain = fields.force("thermal_gain", wire.thermal_gain.as_ref(), &LOSS);
        let thermal_loss = fields.force("thermal_loss", wire.thermal_loss.as_ref(), &LOSS);
        let bolt = bolt?;
        if bolt.class.is_none() {
            fields.reject("bolt", "has no readable class: read the mark on the head");
        }
        let condition = Condition::of(condition.as_deref()?);
        if !condition.is_known() {
            fields.reject("condition", "has no band: nobody knows how far it scatters; find out its nut factor");
        }
        let input = TorqueInput {
            thread: bolt.thread,
            class: bolt.class?,
            face: match (bolt.bearing_diameter, bolt.hole_diameter) {
                (Some(outer), Some(hole)) => Face::Ring { outer, hole },
                _ => Face::Tabled,
            },
            washer: None,
            mate: None,
            hot_dip_galvanised: bolt.hot_dip_galvanised,
            target: Target::Specified { torque: torque?, condition, includes_prevailing: None },
            actual: condition,
            prevailing: None,
            method: TighteningMethod::Torque,
            adapter: None,
            wrench: None,
            window: None,
            passes: None,
        };
        let advice = adjust_torque(&input).map_err(|error| fields.reject_calc("torque", &error)).ok()?;
        let nut_factor = advice.nut_factor;
        let nut_factor_share = share_of_factor(nut_factor.high / nut_factor.low);
        let (window, accuracy) = (window?, accuracy?);
        let asked = SpreadInput {
            preload: advice.preload.nominal.force,
            torque_shares: vec![window, accuracy],
            nut_factor_share,
            deviations: deviations?,
            needed,
            proof: advice.loads.proof,
        };
        let found = spread(&asked).map_err(|error| fields.reject_calc("condition", &error)).ok()?;
        let torque_share = scatter::combined(&[window, accuracy]);
        let limits_input = LimitsInput {
            torque: torque?,
            nut_factor: nut_factor.nominal.clamp(NUT_FACTOR.min, NUT_FACTOR.max),
            diameter: bolt.thread.diameter,
            control_min: 1.0 - torque_share,
            control_max: 1.0 + torque_share,
            variation: nut_factor_share,
            fasteners: count.and_then(|count| u32::try_from(count).ok()),
            relaxation: relaxation?,
            creep: creep.unwrap_or(Force::ZERO),
            thermal_gain: thermal_gain.unwrap_or(Force::ZERO),
            thermal_loss: thermal_loss.unwrap_or(Force::ZERO),
        };
        let limits = preload_limits(&limits_input).map_err(|error| fields.reject_calc("torque", &error)).ok()?;
        Some(Self { torque: input, advice, input: asked, spread: found, limits, limits_input })
    }
}

fn band(least: Force, likely: Force, greatest: Force) -> pb::ForceBand {
    pb::ForceBand { min_n: Some(least.n()), nominal_n: Some(likely.n()), max_n: Some(greatest.n()) }
}

/// Writes band and chances.
#[must_use]
pub fn scatter_to_wire(asked: &PreloadScatter, revision: i64) -> pb::PreloadScatterResponse {
    let (spread, limits, preload) = (&asked.spread, &asked.limits, asked.input.preload);
    let mut steps = torque::basis(&asked.torque, &asked.advice);
    steps.extend(basis(&asked.input, spread));
    steps.push(baybook_core::basis::Basis::new(
        "preload-limits",
        "P_max = c_max (1 + Γ) P + ΔP_heat; P_min = c_min (1 − Γ) P − relaxed − crept − ΔP_heat, Γ/√n where the joint is \
         not critical to separation",
        scatter::LIMITS_SOURCE,
        &[("variation", asked.limits_input.variation), ("relaxation", asked.limits_input.relaxation)],
    ));
    let mut cautions = vec![caution(
        "chances-are-a-model",
        "the chances are those of normal, independent scatter: dirt, damage and a wrong lubricant are not in them",
    )];
    // Window and wrench scatter the torque here; the advice was worked out for the exact torque.
    let taken_in = |it: &Caution| matches!(it, Caution::WindowUnknown | Caution::AccuracyUnknown);
    let rest = asked.advice.cautions.iter().filter(|it| !taken_in(it));
    cautions.extend(rest.map(|it| caution(it.id(), it.words())));
    let methods = ROWS.iter().map(|row| {
        let ([good, bad], [low, high]) = (row.scatter, row.factor);
        pb::MethodScatter {
            id: row.id.to_owned(),
            good_share: Some(good),
            bad_share: Some(bad),
            factor_low_share: Some(low),
            factor_high_share: Some(high),
        }
    });
    pb::PreloadScatterResponse {
        preload_n: Some(preload.n()),
        rss_share: Some(spread.rss_share),
        band: Some(band(spread.low, preload, spread.high)),
        worst: Some(band(spread.least, preload, spread.greatest)),
        tightening_factor_share: Some(spread.factor),
        under_needed_share: spread.under_needed,
        over_proof_share: spread.over_proof,
        proof_load_n: asked.input.proof.map(Force::n),
        limits: Some(band(limits.min, limits.nominal, limits.max)),
        limit_relaxed_n: Some(limits.min_relaxed.n()),
        methods: methods.collect(),
        basis: basis_to_wire(&steps),
        cautions,
        revision,
    }
}

#[cfg(test)]
mod tests {
    use baybook_proto::v1::{bolt_ref, finish_ref};

    use super::*;
    use crate::wire::fixture::{Book, n_m, paths};

    fn asked() -> pb::PreloadScatterRequest {
        let band = pb::Band { low_share: Some(0.135), nominal_share: Some(0.18), high_share: Some(0.225) };
        let spec = pb::Finish { nut_factor: Some(band), ..Default::default() };
        pb::PreloadScatterRequest {
            bolt: Some(pb::BoltRef { bolt: Some(bolt_ref::Bolt::Name("bolts/m12-88-40".to_owned())) }),
            condition: Some(pb::FinishRef { finish: Some(finish_ref::Finish::Spec(Box::new(spec))) }),
            torque: n_m(80.0),
            window_share: Some(0.0),
            accuracy_share: Some(0.05),
            deviations_count: Some(3.0),
            relaxation_share: Some(0.05),
            needed: Some(pb::Force { value_n: Some(25_000.0), ..Default::default() }),
            ..Default::default()
        }
    }

    /// NASA-STD-5020B, section 4.3.1 (from memory), worked by hand: 80 N·m ± 5 %, K 0.18, M12, Γ 0.25.
    #[test]
    fn the_limits_are_those_worked_by_hand() {
        let told = scatter_to_wire(&PreloadScatter::read(&asked(), Book::demo()).unwrap(), 1);
        let kn = |n: Option<f64>| (n.unwrap() / 10.0).round() / 100.0;
        let limits = told.limits.unwrap();
        assert_eq!([kn(limits.min_n), kn(limits.nominal_n), kn(limits.max_n)], [26.39, 37.04, 48.61]);
        assert_eq!(kn(told.limit_relaxed_n), 25.07);
        assert!(told.under_needed_share.is_some_and(|chance| 0.0 < chance && chance < 0.01));
        // M12 of 8.8 holds 48.9 kN at proof.
        assert!(told.over_proof_share.is_some_and(|chance| 0.0 < chance && chance < 0.05));
        assert_eq!(told.methods.len(), 8);
    }

    #[test]
    fn everything_that_is_missing_is_told() {
        let error = PreloadScatter::read(&pb::PreloadScatterRequest::default(), Book::demo()).unwrap_err();
        let all =
            ["bolt", "condition", "torque", "window_share", "accuracy_share", "deviations_count", "relaxation_share"];
        assert_eq!(paths(&error), all);
        let wrong = pb::PreloadScatterRequest { deviations_count: Some(9.0), ..asked() };
        assert_eq!(paths(&PreloadScatter::read(&wrong, Book::demo()).unwrap_err()), ["deviations_count"]);
    }
}
