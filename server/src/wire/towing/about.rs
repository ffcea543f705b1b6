//! What else a train is asked: its class, its tongue window, chains, brakes, and whether the parts fit.

use baybook_core::{
    basis::Basis,
    calc::{
        brake_need::{self, Need, thresholds},
        chains,
        part_fit::{fits, in_bed},
        tongue_window::{self, Bound, Named, Regime, WindowInput},
    },
    model::{
        trailer::{DrawbarKind, TrailerBrakes},
        upfit::{ChainRule, Upfit},
    },
    rules::run::region::Region,
    tables::j684,
    units::{Force, Length, Mass},
};
use baybook_proto::v1 as pb;

use super::super::weigh_tongue::window_to_wire;

/// Writes what the class of a trailer of that gross mass asks of coupling and chains.
pub(super) fn class(gross: Option<Mass>) -> Option<pb::CouplingClass> {
    let gross = gross?;
    let class = j684::class_for(gross)?;
    let n = |strength: j684::Strength| Some(strength.of(gross).n());
    Some(pb::CouplingClass {
        class_code: Some(class.number),
        trailer_max_kg: Some(class.trailer.kg()),
        ball_min_mm: class.ball_min.map(Length::mm),
        longitudinal_n: n(class.longitudinal),
        transverse_n: n(class.transverse),
        vertical_tension_n: n(class.vertical_tension),
        vertical_compression_n: n(class.vertical_compression),
        chain_each_n: n(class.chain_each),
    })
}

/// Returns the window that applies to a plan: the regime by the law of the place, then everything that narrows it.
pub(super) fn window(plan: &Upfit, share: Option<f64>) -> (Option<pb::TongueWindow>, Vec<Basis>) {
    let Some(trailer_mass) = plan.trailer_mass else { return (None, Vec::new()) };
    let hangs = plan.trailer.as_deref().and_then(|trailer| trailer.drawbar);
    let regime = match Region::of(plan) {
        _ if plan.hangs_in_bed() || hangs == Some(DrawbarKind::FifthWheel) => Some(Regime::FifthWheel),
        Region::NorthAmerica => Some(Regime::BallNorthAmerica),
        Region::Europe => Some(Regime::CentreAxleEurope),
        Region::Elsewhere => None,
    };
    let trailer = plan.trailer.as_deref();
    let bed = plan.vehicle.bed.unwrap_or_default();
    let coupling = plan.bed_coupling.as_deref();
    let in_bed = [
        ("vehicle, from its bed", bed.towing.tongue),
        ("coupling in the bed", coupling.and_then(|coupling| coupling.rating.tongue)),
        ("coupling in the bed, U-value", coupling.and_then(|coupling| coupling.u_value)),
        ("mounting of the coupling", coupling.and_then(|coupling| coupling.mounting.tongue)),
    ];
    let on_ball = [
        ("vehicle", plan.vehicle.tongue.filter(|_| plan.spring_bars != Some(true))),
        ("receiver, S-value", plan.receiver.as_deref().and_then(|receiver| receiver.s_value)),
        ("ball, S-value", plan.ball.as_deref().and_then(|ball| ball.s_value)),
        ("coupler, S-value", plan.coupler.as_deref().and_then(|coupler| coupler.s_value)),
    ];
    let loads = if plan.hangs_in_bed() { in_bed } else { on_ball };
    let mut at_most: Vec<Named> =
        loads.into_iter().filter_map(|(by, load)| Some(Named { by, bound: Bound::Load(load?) })).collect();
    let own = |share: f64| Named { by: "the shop", bound: Bound::Share(share) };
    at_most.extend(plan.limits.tongue_share_max.map(own));
    let at_least: Vec<Named> = plan.limits.tongue_share_min.map(own).into_iter().collect();
    let input = WindowInput {
        regime,
        trailer: trailer_mass,
        trailer_prints: (
            trailer.and_then(|trailer| trailer.tongue_share_min),
            trailer.and_then(|trailer| trailer.tongue_share_max),
        ),
        vehicle_prints: baybook_core::rules::run::tongue_window::handbook(plan),
        at_least: &at_least,
        at_most: &at_most,
    };
    let window = window_to_wire(&input, share);
    let basis = if window.is_some() { tongue_window::basis(&input) } else { Vec::new() };
    (window, basis)
}

/// Writes how the chains stand; nothing without a trailer or its gross rating.
pub(super) fn chains_of(plan: &Upfit) -> (Option<pb::ChainAnswer>, Vec<Basis>) {
    let Some((trailer, gross)) = plan.trailer.as_deref().and_then(|trailer| Some((trailer, trailer.gvwr?))) else {
        return (None, Vec::new());
    };
    let rule = plan.chain_rule.unwrap_or(ChainRule::Each);
    let wire_rule = match rule {
        ChainRule::Each => pb::ChainRule::Each,
        ChainRule::Combined => pb::ChainRule::Combined,
    };
    let braked = trailer.brakes.is_some_and(|brakes| brakes != TrailerBrakes::None);
    let needed = Some(gross.weight().n());
    // A breakaway cable that applies the brakes stands in for chains there; a king pin hangs in its jaws.
    if plan.hangs_by_king_pin() || Region::of(plan) == Region::Europe && braked && trailer.breakaway == Some(true) {
        let answer = pb::ChainAnswer { rule: wire_rule.into(), ..pb::ChainAnswer::default() };
        return (Some(answer), Vec::new());
    }
    let Some(chains) = &trailer.chains else {
        let standing = pb::CertifiedStanding::Unknown.into();
        return (
            Some(pb::ChainAnswer { rule: wire_rule.into(), needed_n: needed, held_n: None, standing }),
            Vec::new(),
        );
    };
    let found = chains::standing(chains, gross, Some(rule));
    let standing = match found.holds {
        Some(true) => pb::CertifiedStanding::Holds,
        Some(false) => pb::CertifiedStanding::Short,
        None => pb::CertifiedStanding::Unknown,
    };
    let answer = pb::ChainAnswer {
        rule: wire_rule.into(),
        needed_n: Some(found.needed.n()),
        held_n: found.held.map(Force::n),
        standing: standing.into(),
    };
    (Some(answer), chains::basis(&found, gross))
}

/// Writes whether the trailer must have brakes; nothing without a trailer.
pub(super) fn brakes(plan: &Upfit) -> (Option<pb::BrakeAnswer>, Vec<Basis>) {
    let Some(trailer) = plan.trailer.as_deref() else { return (None, Vec::new()) };
    let mass = trailer.gvwr.into_iter().chain(plan.trailer_mass).reduce(Mass::max);
    let mut answer = pb::BrakeAnswer {
        trailer_kg: mass.map(Mass::kg),
        braked: trailer.brakes.map(|brakes| brakes != TrailerBrakes::None),
        ..pb::BrakeAnswer::default()
    };
    let known = plan.jurisdiction.as_deref().and_then(|place| thresholds(place, plan.brake_law.as_deref()));
    let Some(known) = known else { return (Some(answer), Vec::new()) };
    answer.unbraked_to_kg = Some(known.strict.unbraked_to.kg());
    known.strict.source.clone_into(&mut answer.source);
    known.strict.seen_on.clone_into(&mut answer.seen_on);
    answer.from_book = known.strict.from_book;
    answer.other_unbraked_to_kg = known.mild.map(|mild| mild.unbraked_to.kg());
    let Some(mass) = mass else { return (Some(answer), Vec::new()) };
    answer.set_need(match known.need(mass) {
        Need::May => pb::BrakeNeed::May,
        Need::Disputed => pb::BrakeNeed::Disputed,
        Need::Must => pb::BrakeNeed::Must,
    });
    (Some(answer), brake_need::basis(&known, mass))
}

/// Writes whether the parts between receiver and coupler fit into one another.
pub(super) fn part_fits(plan: &Upfit) -> Vec<pb::PartFit> {
    // The coupler is the trailer's: without either nothing is asked of it.
    let hung = plan.coupler.is_some() || plan.trailer.is_some();
    let asked: Vec<_> = match plan.bed_coupling.as_deref() {
        Some(coupling) => {
            let pin = plan.trailer.as_deref().and_then(|trailer| trailer.king_pin);
            let fit = in_bed(coupling, pin.as_ref(), plan.coupler.as_deref());
            fit.into_iter().filter(|_| hung).collect()
        }
        None => {
            let (receiver, mount) = (plan.receiver.as_deref(), plan.ball_mount.as_deref());
            let all = fits(receiver, mount, plan.ball.as_deref(), plan.coupler.as_deref());
            all.into_iter().filter(|fit| fit.outer_path != "coupler.ball" || hung).collect()
        }
    };
    asked
        .into_iter()
        .map(|fit| pb::PartFit {
            label: fit.label.to_owned(),
            inner_field: fit.inner_path.to_owned(),
            outer_field: fit.outer_path.to_owned(),
            inner_mm: fit.inner.map(Length::mm),
            outer_mm: fit.outer.map(Length::mm),
            holds: fit.holds(),
        })
        .collect()
}
