//! Figures that stand by themselves: coupling values, chains, added mass, the front axle's share.

use super::lines::{AS_GIVEN, Line, line, short};
use crate::{
    basis::{Seen, Source},
    model::upfit::Upfit,
    rules::{Figures, Finding},
    units::{G, G_COUPLING, Mass},
};

const PULL: Source = Source::new("UN Regulation 55, D-value", "", Seen::FromMemory);
const WEIGHT: Source = Source::new("weight is mass times standard gravity", "", Seen::Derived);
const LABEL: Source = Source::new("FMVSS 110 and 120, 72 FR 68442", "", Seen::Opened);
const SUM: Source = Source::new("sum of what is added and taken off", "", Seen::Derived);
const SHARE: Source = Source::new("axle loads over each other", "", Seen::Derived);

/// Derives the figure behind a finding that has a formula of its own.
pub(super) fn derive(plan: &Upfit, figures: &Figures, finding: &Finding, lines: &mut Vec<Line>) {
    let trailer = plan.trailer.as_deref();
    match finding.rule.id {
        "d-value" => {
            let gross = plan.vehicle.gvwr.zip(trailer.and_then(|trailer| trailer.gvwr));
            if let (Some((vehicle, trailer)), Some(Ok(needed))) = (gross, figures.d_required) {
                let (t, r) = (short(vehicle.t()), short(trailer.t()));
                let formula = match figures.tongue.ok().filter(|_| plan.hangs_in_bed()).map(|pin| short(pin.t())) {
                    Some(u) => {
                        format!("0.6 g T R / (T + R - U) = 0.6 x {G_COUPLING} x {t} x {r} / ({t} + {r} - {u}) t")
                    }
                    None => format!("g T R / (T + R) = {G_COUPLING} x {t} x {r} / ({t} + {r}) t"),
                };
                lines.push(line("D-value needed", formula, needed.kn(), "kn", PULL));
            }
        }
        "chain-strength" => {
            if let Some(gvwr) = trailer.and_then(|trailer| trailer.gvwr) {
                let formula = format!("m g = {} kg x {G}", short(gvwr.kg()));
                lines.push(line("trailer's gross weight", formula, gvwr.weight().n(), "n", WEIGHT));
            }
        }
        "cab-clearance" => super::above::behind_cab(plan, figures, lines),
        "rail-clearance" => super::above::over_rails(plan, figures, lines),
        "tail-swing" => super::above::swing(plan, figures, lines),
        "jack-knife-contact" => super::above::contact(plan, figures, lines),
        "terrain-touch" => super::above::terrain(plan, figures, finding, lines),
        "added-mass-label" => added(plan, figures, lines),
        "front-axle-light" => {
            if let Ok(axles) = figures.axles {
                let formula = format!("{} / {}", short(axles.front.kg()), short(axles.total().kg()));
                lines.push(line("front axle's share, hitched", formula, axles.front_share(), "share", SHARE));
                let (before, after) = (short(axles.front_before.kg()), short(axles.front.kg()));
                let formula = format!("({before} - {after}) / {before}");
                lines.push(line("what hitching takes off it", formula, axles.front_loss(), "share", SHARE));
            }
        }
        "payload-gone" => {
            if let (Ok(upfit), Ok(allowed)) = (figures.upfit_mass, figures.payload_allowed) {
                lines.push(line("upfit", "receiver and what stays", upfit.kg(), "kg", SUM));
                lines.push(line("payload", "gross rating less kerb mass", allowed.kg(), "kg", SUM));
            }
        }
        _ => {}
    }
    if lines.is_empty()
        && let Some(value) = finding.value
    {
        let formula = format!("as the plan and its entries give {}", finding.subject);
        lines.push(line("value", formula, value, finding.unit, AS_GIVEN));
    }
}

fn added(plan: &Upfit, figures: &Figures, lines: &mut Vec<Line>) {
    let mut sum = String::new();
    let mut take = |what: &str, mass: Mass, off: bool, lines: &mut Vec<Line>| {
        lines.push(line(what, "as given", mass.kg(), "kg", AS_GIVEN));
        let sign = if off { " - " } else { " + " };
        let sign = if sum.is_empty() { "" } else { sign };
        sum = format!("{sum}{sign}{}", short(mass.kg()));
    };
    if let Some(mass) = plan.receiver.as_deref().and_then(|receiver| receiver.mass) {
        take("receiver", mass, false, lines);
    }
    if let Some(mass) = plan.bed_coupling.as_deref().and_then(|coupling| coupling.mass) {
        take("coupling in the bed", mass, false, lines);
    }
    for item in plan.items.iter().filter(|item| item.permanent) {
        if let Some(mass) = item.mass {
            take(&item.label, mass, false, lines);
        }
    }
    if let Some(mass) = plan.mass_added_before {
        take("added by other shops", mass, false, lines);
    }
    if let Some(mass) = plan.mass_removed {
        take("taken off for good", mass, true, lines);
    }
    if let Ok(added) = figures.added_mass {
        lines.push(line("added mass", sum, added.kg(), "kg", SUM));
    }
    if let (Some(gvwr), Ok(limit)) = (plan.vehicle.gvwr, figures.added_mass_limit) {
        let formula = format!("min(1.5 % x {} kg, 100 lb)", short(gvwr.kg()));
        lines.push(line("a label is due above", formula, limit.kg(), "kg", LABEL));
    }
}
