//! Circuits: how a drop comes about, and which wire, run or fuse would clear a finding.

use std::sync::Arc;

use super::{
    changes::{Asked, Change, round},
    lines::{AS_GIVEN, Line, line, short},
};
use crate::{
    basis::{Seen, Source},
    calc::wiring::{Sizing, Wire, size::limit},
    model::{
        upfit::Upfit,
        wiring::{Circuit, ReturnPath},
    },
    rules::Finding,
    tables::{fuses, iso_6722},
    units::{Amps, Area, Length},
};

const OHM: Source = Source::new("Ohm's law", "", Seen::Derived);

/// Returns which circuit a finding is about.
fn index_of(finding: &Finding) -> Option<usize> {
    finding.subject.strip_prefix("circuits[")?.split(']').next()?.parse().ok()
}

/// Derives the figures of a circuit; nothing where it lacks an input.
pub(super) fn derive(plan: &Upfit, finding: &Finding, lines: &mut Vec<Line>) {
    let Some(circuit) = index_of(finding).and_then(|index| plan.circuits.get(index)) else { return };
    let Ok(sizing) = Sizing::of(circuit) else { return };
    let (Ok(per_metre), Ok((resistance, joints))) =
        (sizing.run.wire.resistance_per_metre(sizing.run.celsius), sizing.run.resistance())
    else {
        return;
    };
    let (wire, metres, celsius) = (sizing.run.wire, sizing.run.length.m(), sizing.run.celsius);
    let warm = format!("R20 (1 + 0.00393 (t - 20)) of {wire} at {} C", short(celsius));
    lines.push(line("resistance of a metre", warm, per_metre.ohm() * 1000.0, "mohm", wire.source()));
    let ways = if circuit.back == Some(ReturnPath::Wire) { "2 x " } else { "" };
    let formula = format!("{ways}{} m x {} mohm/m", short(metres), short(per_metre.ohm() * 1000.0));
    lines.push(line("resistance out and back", formula, resistance.ohm() * 1000.0, "mohm", OHM));
    let Ok(drop) = sizing.worst() else { return };
    if let (Some(load), None) = (sizing.load, sizing.current) {
        let formula =
            format!("{} V / ({} + {}) ohm", short(sizing.supply.v()), short(load.ohm()), short(resistance.ohm()));
        lines.push(line("current, the loop solved", formula, drop.current.a(), "a", OHM));
    } else {
        lines.push(line("current", "as planned", drop.current.a(), "a", AS_GIVEN));
    }
    let extra = if joints.v() > 0.0 { format!(" + {} V of joints", short(joints.v())) } else { String::new() };
    let formula = format!("I R = {} A x {} ohm{extra}", short(drop.current.a()), short(resistance.ohm()));
    lines.push(line("voltage lost", formula, drop.lost.v(), "v", OHM));
    let formula = format!("{} V / {} V", short(drop.lost.v()), short(sizing.supply.v()));
    lines.push(line("share of the supply", formula, drop.share, "share", OHM));
    let formula = format!("{} V - {} V", short(sizing.supply.v()), short(drop.lost.v()));
    lines.push(line("voltage at the load", formula, drop.at_load.v(), "v", OHM));
    if finding.rule.id.starts_with("fuse")
        && let Some(fuse) = circuit.fuse
    {
        let formula = format!("{} A / {} A", short(drop.current.a()), short(fuse.a()));
        lines.push(line("load over fuse", formula, drop.current.a() / fuse.a(), "share", OHM));
    }
    let limit = limit(circuit);
    let of =
        if circuit.safety_relevant == Some(false) { "nothing that must work hangs on it" } else { "lamps or brakes" };
    if finding.rule.id == "voltage-drop" {
        lines.push(line("share that may be lost", of, limit.share(), "share", finding.rule.source));
    }
}

/// Returns the sizes thicker than a wire, thinnest first: gauges for a gauge, cables for a cable.
fn thicker(wire: Wire) -> Vec<Wire> {
    match wire {
        Wire::Awg(gauge) => (0..gauge).rev().filter(|size| size % 2 == 0).map(Wire::Awg).collect(),
        Wire::Metric(area) | Wire::Geometric(area) => {
            let sizes = iso_6722::ROWS.iter().map(|row| Area::from_mm2(row.0)).filter(|size| area < *size);
            sizes.map(Wire::Metric).collect()
        }
    }
}

/// Tries every wire, run and fuse in the place of the planned one, and every answer of routing put right.
pub(super) fn changes(asked: &Asked<'_>, found: &mut Vec<Change>) {
    if let Some(index) = index_of(asked.finding)
        && let Some(circuit) = asked.plan.circuits.get(index)
    {
        wires(asked, index, circuit, found);
        fuses(asked, index, circuit, found);
        runs(asked, index, circuit, found);
    }
    if asked.finding.subject == "routing" {
        for (place, (id, good)) in asked.plan.routing.iter().enumerate() {
            if !good {
                let set = |plan: &mut Upfit| {
                    if let Some(answer) = plan.routing.get_mut(place) {
                        answer.1 = true;
                    }
                };
                asked.keep(format!("put right what stands behind {id}"), &set, found);
            }
        }
    }
}

fn set(plan: &mut Upfit, index: usize, change: impl FnOnce(&mut Circuit)) {
    if let Some(circuit) = plan.circuits.get_mut(index) {
        change(Arc::make_mut(circuit));
    }
}

fn wires(asked: &Asked<'_>, index: usize, circuit: &Circuit, found: &mut Vec<Change>) {
    let Some(now) = circuit.wire else { return };
    for (up, wire) in thicker(now).into_iter().enumerate() {
        let change = |plan: &mut Upfit| set(plan, index, |circuit| circuit.wire = Some(wire));
        let sizes = if up == 0 { "one size up".to_owned() } else { format!("{} sizes up", up + 1) };
        let text = format!("wire of {} {sizes}: {now} to {wire}", circuit.label);
        if asked.keep(text, &change, found) {
            return;
        }
    }
}

fn fuses(asked: &Asked<'_>, index: usize, circuit: &Circuit, found: &mut Vec<Change>) {
    let Some(now) = circuit.fuse else { return };
    let mut steps: Vec<Amps> = fuses::STEPS.iter().map(|step| step.rating).filter(|step| *step != now).collect();
    // The nearest to what is planned first.
    steps.sort_by(|one, other| (one.a() - now.a()).abs().total_cmp(&(other.a() - now.a()).abs()));
    for step in steps {
        let change = |plan: &mut Upfit| set(plan, index, |circuit| circuit.fuse = Some(step));
        let text = format!("fuse of {}: {} A to {} A", circuit.label, round(now.a()), round(step.a()));
        if asked.keep(text, &change, found) {
            return;
        }
    }
}

fn runs(asked: &Asked<'_>, index: usize, circuit: &Circuit, found: &mut Vec<Change>) {
    if let Some(length) = circuit.length {
        let change = |plan: &mut Upfit, mm: f64| set(plan, index, |circuit| circuit.length = Some(Length::from_mm(mm)));
        asked.turn(length.mm(), 1.0, &format!("shorter run of {}", circuit.label), "mm", &change, found);
    }
    if let Some(distance) = circuit.fuse_distance {
        let change =
            |plan: &mut Upfit, mm: f64| set(plan, index, |circuit| circuit.fuse_distance = Some(Length::from_mm(mm)));
        asked.turn(distance.mm(), 0.0, &format!("fuse of {} nearer", circuit.label), "mm", &change, found);
    }
    if let Some(load) = circuit.load {
        let change = |plan: &mut Upfit, a: f64| set(plan, index, |circuit| circuit.load = Some(Amps::from_a(a)));
        asked.turn(load.a(), 0.01, &format!("less load on {}", circuit.label), "A", &change, found);
    }
}
