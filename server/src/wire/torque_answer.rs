//! What to set the wrench to, what a torque did, what a thread is: answers to the wire.

use std::f64::consts::PI;

use baybook_core::{
    calc::{
        assess_torque::{self, AppliedInput, Assessment, Outcome, Verdict},
        condition::Screw,
        thread_lookup::{self, ThreadSheet},
        torque::{self, Mate, PreloadPoint, PreloadRange, Setting, TorqueAdvice, rules_of_thumb::RULES_OF_THUMB},
    },
    model::{
        fastener::NutKind,
        finish::Band,
        thread::{ThreadSeries, ThreadSystem},
    },
    units::{Force, Length, Stress, Torque},
};
use baybook_proto::v1 as pb;

use super::{
    basis::{basis_to_wire, caution, cautions_to_wire},
    torque::AdjustTorque,
};

/// Writes what to set the wrench to. `order` is empty when it was not asked for.
#[must_use]
pub fn advice_to_wire(
    asked: &AdjustTorque,
    advice: &TorqueAdvice,
    order: &[usize],
    revision: i64,
) -> pb::AdjustTorqueResponse {
    let specified = match asked.input.target {
        torque::Target::Specified { torque, .. } => Some(torque),
        _ => None,
    };
    let mut steps = torque::basis(&asked.input, advice);
    steps.extend(asked.layout.iter().flat_map(|layout| layout.basis(order.len())));
    pb::AdjustTorqueResponse {
        torque: Some(window(&advice.fastener)),
        setting: Some(window(&advice.wrench)),
        preload: Some(forces(&advice.preload)),
        preload_in_window: Some(forces(&advice.extremes)),
        proof: shares(&advice.extremes, |point| point.proof_share),
        r#yield: yield_shares(&advice.extremes, advice.worst_yield_share),
        change_share: specified.map(|specified| advice.fastener.nominal / specified),
        nut_factor: Some(band(advice.nut_factor)),
        split: split(asked),
        passes: passes(asked, advice),
        order_position: order.iter().filter_map(|&position| i32::try_from(position).ok()).collect(),
        rules_of_thumb: asked.dry.map(rules_of_thumb).unwrap_or_default(),
        basis: basis_to_wire(&steps),
        cautions: cautions_to_wire(advice.cautions),
        revision,
    }
}

/// Writes what a torque did to a bolt.
#[must_use]
pub fn assessment_to_wire(asked: &AppliedInput, found: &Assessment, revision: i64) -> pb::AssessTorqueResponse {
    let tapped = asked.mate == Some(Mate::TappedHole);
    let discard: &[&str] = match found.verdict {
        Verdict::Keep => &[],
        Verdict::ReplaceBolt => &["bolt"],
        Verdict::DiscardBoth if tapped => &["bolt"],
        Verdict::DiscardBoth => &["bolt", "nut"],
    };
    let mut cautions = cautions_to_wire(found.cautions);
    if found.verdict == Verdict::DiscardBoth {
        match asked.mate {
            Some(Mate::TappedHole) => cautions.push(caution(
                "tapped-thread-suspect",
                "the tapped thread bore what stretched the bolt: gauge it before a new bolt goes in",
            )),
            Some(Mate::Nut { kind: Some(NutKind::Captive | NutKind::Insert), .. }) => cautions.push(caution(
                "captive-nut-suspect",
                "the captive nut bore what stretched the bolt: gauge its thread and look at its weld or cage",
            )),
            _ => {}
        }
    }
    let ultimate = |point: &PreloadPoint| Some(point.force / found.loads.tensile);
    pb::AssessTorqueResponse {
        state: outcome(found.outcome).into(),
        state_least: outcome(found.at_high_friction).into(),
        preload: Some(forces(&found.preload)),
        proof: shares(&found.preload, |point| point.proof_share),
        r#yield: yield_shares(&found.preload, Some(found.worst_yield_share)),
        ultimate: shares(&found.preload, ultimate),
        discard: discard.iter().map(|&part| part.to_owned()).collect(),
        basis: basis_to_wire(&assess_torque::basis(asked, found)),
        cautions,
        revision,
    }
}

/// Writes what the standards say of a thread.
#[must_use]
pub fn thread_to_wire(sheet: &ThreadSheet) -> pb::LookUpThreadResponse {
    let thread = &sheet.thread;
    let mm = |length: Option<Length>| length.map(Length::mm);
    let class = sheet.class.as_ref();
    let unified = thread.system == ThreadSystem::Unified;
    pb::LookUpThreadResponse {
        thread: thread.to_string(),
        series: match thread.series {
            ThreadSeries::Coarse => "coarse",
            ThreadSeries::Fine => "fine",
            ThreadSeries::Special => "special",
        }
        .to_owned(),
        diameter_mm: Some(thread.diameter.mm()),
        pitch_mm: Some(thread.pitch.mm()),
        threads_per_inch_count: unified.then(|| thread.threads_per_inch()),
        pitch_diameter_mm: Some(sheet.pitch_diameter.mm()),
        minor_diameter_mm: Some(sheet.minor_diameter.mm()),
        internal_minor_diameter_mm: Some(sheet.internal_minor_diameter.mm()),
        stress_area_mm2: Some(sheet.stress_area.mm2()),
        minor_area_mm2: Some(sheet.minor_area.mm2()),
        lead_angle_deg: Some(sheet.lead_angle.deg()),
        bearing_diameter_mm: mm(sheet.bearing_diameter),
        hole_fine_mm: mm(sheet.holes.fine),
        hole_medium_mm: mm(sheet.holes.medium),
        hole_coarse_mm: mm(sheet.holes.coarse),
        nut_height_mm: mm(sheet.nut_height),
        tensile_min_mpa: class.map(|class| class.tensile_min.mpa()),
        yield_min_mpa: class.map(|class| class.yield_min.mpa()),
        proof_stress_mpa: class.and_then(|class| class.proof).map(Stress::mpa),
        proof_load_n: class.and_then(|class| class.loads.proof).map(Force::n),
        yield_load_n: class.map(|class| class.loads.yielding.n()),
        ultimate_load_n: class.map(|class| class.loads.tensile.n()),
        basis: basis_to_wire(&thread_lookup::basis(sheet)),
        cautions: Vec::new(),
    }
}

const fn outcome(outcome: Outcome) -> pb::PreloadState {
    match outcome {
        Outcome::Ok => pb::PreloadState::Ok,
        Outcome::High => pb::PreloadState::High,
        Outcome::ProofExceeded => pb::PreloadState::ProofExceeded,
        Outcome::Yielded => pb::PreloadState::Yielded,
        Outcome::FractureRisk => pb::PreloadState::FractureRisk,
    }
}

fn window(setting: &Setting) -> pb::TorqueWindow {
    pb::TorqueWindow {
        low_n_m: setting.low.map(Torque::n_m),
        target_n_m: Some(setting.nominal.n_m()),
        high_n_m: setting.high.map(Torque::n_m),
    }
}

fn forces(range: &PreloadRange) -> pb::ForceBand {
    pb::ForceBand {
        min_n: Some(range.min.force.n()),
        nominal_n: Some(range.nominal.force.n()),
        max_n: Some(range.max.force.n()),
    }
}

/// Writes a share of each preload; nothing when none is known.
fn shares(range: &PreloadRange, share: impl Fn(&PreloadPoint) -> Option<f64>) -> Option<pb::ShareBand> {
    let band = pb::ShareBand {
        min_share: share(&range.min),
        nominal_share: share(&range.nominal),
        max_share: share(&range.max),
    };
    (band != pb::ShareBand::default()).then_some(band)
}

/// Writes the shares of yield; the greatest is the worst over every corner of the friction band.
fn yield_shares(range: &PreloadRange, worst: Option<f64>) -> Option<pb::ShareBand> {
    let band = shares(range, |point| point.yield_share)?;
    Some(pb::ShareBand { max_share: worst.or(band.max_share), ..band })
}

const fn band(band: Band) -> pb::Band {
    pb::Band { low_share: Some(band.low), nominal_share: Some(band.nominal), high_share: Some(band.high) }
}

/// Writes how the clamping torque splits at likely friction; nothing when the bearing face is not known.
fn split(asked: &AdjustTorque) -> Option<pb::TorqueSplit> {
    let input = &asked.input;
    let screw = Screw::new(&input.thread, input.face, input.washer).ok()?;
    let arm = screw.arms(&input.actual).ok()?.nominal;
    let (pitch, thread) = (input.thread.pitch.mm() / (2.0 * PI), arm.thread?);
    Some(pb::TorqueSplit {
        pitch_share: Some(pitch / arm.total),
        thread_share: Some((thread - pitch) / arm.total),
        face_share: Some((arm.total - thread) / arm.total),
    })
}

fn passes(asked: &AdjustTorque, advice: &TorqueAdvice) -> Vec<pb::TorquePass> {
    let Some(passes) = &advice.passes else { return Vec::new() };
    let ratio = advice.wrench.nominal / advice.fastener.nominal;
    let steps = passes.steps().iter().map(|&torque| (torque, false));
    let rounds = asked.check_rounds.unwrap_or(usize::from(passes.check_round));
    let check = std::iter::repeat_n((advice.fastener.nominal, true), rounds);
    let write = |(pass, (torque, check_only)): (i32, (Torque, bool))| pb::TorquePass {
        pass,
        torque_n_m: Some(torque.n_m()),
        setting_n_m: Some((torque * ratio).n_m()),
        check_only,
    };
    (1..).zip(steps.chain(check)).map(write).collect()
}

fn rules_of_thumb(dry: Torque) -> Vec<pb::RuleOfThumb> {
    let write = |rule: &torque::rules_of_thumb::RuleOfThumb| {
        let (low, high) = rule.of(dry);
        pb::RuleOfThumb {
            text: rule.when.to_owned(),
            factor_low_share: Some(rule.low),
            factor_high_share: Some(rule.high),
            torque_low_n_m: Some(low.n_m()),
            torque_high_n_m: Some(high.n_m()),
            source: rule.source.to_string(),
        }
    };
    RULES_OF_THUMB.iter().map(write).collect()
}
