//! Coupling values and their inverses: the question from the wire, the answer to it.

use baybook_core::{
    basis::Basis,
    calc::coupling::{
        AXLE_SUM, Allowed, BED_LENGTH, DRAWBAR_LENGTH, FIFTH_WHEEL_SOURCE, IMPOSED, SOURCE, Suspension, TRAILER_MASS,
        V_FROM, VALUE, VEHICLE_MASS, VInput, axle_sum_for_v, d_value, dc_value, fifth_wheel_d, trailer_for_d,
        trailer_for_fifth_wheel_d, v_value,
    },
    error::CalcError,
    units::{Force, Length, Mass},
};
use baybook_proto::v1 as pb;

use super::{
    Fields, FromWire,
    basis::{basis_to_wire, caution},
};

/// How the trailer hangs on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Free,
    CentreAxle,
    FifthWheel,
}

/// A question which coupling values a train needs.
#[derive(Debug, Clone, PartialEq)]
pub struct CouplingValues {
    kind: Kind,
    vehicle: Mass,
    trailer: Option<Mass>,
    static_load: Option<Mass>,
    imposed: Option<Mass>,
    axle_sum: Option<Mass>,
    bed: Option<VInput>,
    d: Option<Force>,
    dc: Option<Force>,
    v: Option<Force>,
    s: Option<Mass>,
    u: Option<Mass>,
}

impl FromWire for CouplingValues {
    type Wire = pb::CouplingValuesRequest;

    fn from_wire(wire: &pb::CouplingValuesRequest, fields: &mut Fields) -> Option<Self> {
        let kind = fields.needed_choice("kind", wire.kind, kind);
        fields.required("vehicle", wire.vehicle.as_ref());
        let vehicle = fields.mass("vehicle", wire.vehicle.as_ref(), &VEHICLE_MASS);
        let trailer = fields.mass("trailer", wire.trailer.as_ref(), &TRAILER_MASS);
        let static_load = fields.mass("static_load", wire.static_load.as_ref(), &IMPOSED);
        if kind == Some(Kind::FifthWheel) {
            fields.required("imposed", wire.imposed.as_ref());
        }
        let imposed = fields.mass("imposed", wire.imposed.as_ref(), &IMPOSED);
        let given = fields.mass("axle_sum", wire.axle_sum.as_ref(), &AXLE_SUM);
        let suspension = fields.choice("suspension", wire.suspension, suspension);
        let bed = fields.number("bed_length_mm", wire.bed_length_mm, &BED_LENGTH);
        let drawbar = fields.number("drawbar_length_mm", wire.drawbar_length_mm, &DRAWBAR_LENGTH);
        let mut value = |name, value| fields.number(name, value, &VALUE).map(Force::from_kn);
        let d = value("d_plate_kn", wire.d_plate_kn);
        let dc = value("dc_plate_kn", wire.dc_plate_kn);
        let v = value("v_plate_kn", wire.v_plate_kn);
        let s = fields.mass("s_plate", wire.s_plate.as_ref(), &IMPOSED);
        let u = fields.mass("u_plate", wire.u_plate.as_ref(), &IMPOSED);
        if let (Some(load), Some(trailer)) = (static_load, trailer)
            && load >= trailer
        {
            fields.reject("static_load", "must be below trailer: a trailer puts only a part of its mass on the ball");
        }
        if let (Some(Kind::FifthWheel), Some(load)) = (kind, imposed) {
            for (mass, other) in [(trailer, "trailer"), (vehicle, "vehicle")] {
                if mass.is_some_and(|mass| load >= mass) {
                    fields.reject("imposed", format!("must be below {other}, which it is a part of"));
                }
            }
        }
        let rest = trailer.zip(static_load).map(|(trailer, load)| trailer - load);
        let axle_sum = given.or(rest.filter(|rest| *rest > Mass::ZERO));
        let bed = suspension.zip(bed.zip(drawbar)).map(|(suspension, (bed, drawbar))| VInput {
            suspension,
            bed_length: Length::from_mm(bed),
            drawbar_length: Length::from_mm(drawbar),
            axle_sum: axle_sum.unwrap_or(Mass::from_t(1.0)),
        });
        Some(Self { kind: kind?, vehicle: vehicle?, trailer, static_load, imposed, axle_sum, bed, d, dc, v, s, u })
    }
}

const fn kind(wire: pb::CouplingKind) -> Option<Kind> {
    match wire {
        pb::CouplingKind::Unspecified => None,
        pb::CouplingKind::FreeDrawbar => Some(Kind::Free),
        pb::CouplingKind::CentreAxle => Some(Kind::CentreAxle),
        pb::CouplingKind::FifthWheel => Some(Kind::FifthWheel),
    }
}

const fn suspension(wire: pb::DriveSuspension) -> Option<Suspension> {
    match wire {
        pb::DriveSuspension::Unspecified => None,
        pb::DriveSuspension::Air => Some(Suspension::AirOrEquivalent),
        pb::DriveSuspension::Other => Some(Suspension::Other),
    }
}

/// How a certified value stands to the needed one: unknown is never fine.
fn standing<T: PartialOrd>(needed: Option<T>, certified: Option<T>) -> pb::CertifiedStanding {
    match (needed, certified) {
        (Some(needed), Some(certified)) if needed <= certified => pb::CertifiedStanding::Holds,
        (Some(_), Some(_)) => pb::CertifiedStanding::Short,
        _ => pb::CertifiedStanding::Unknown,
    }
}

fn of_force(
    value: &str,
    needed: Option<Force>,
    certified: Option<Force>,
    room: Option<Result<Allowed, CalcError>>,
) -> pb::CouplingValue {
    let room = room.and_then(Result::ok);
    pb::CouplingValue {
        value: value.to_owned(),
        needed_kn: needed.map(Force::kn),
        certified_kn: certified.map(Force::kn),
        room_kg: match room {
            Some(Allowed::UpTo(mass)) => Some(mass.kg()),
            Some(Allowed::NotLimiting) | None => None,
        },
        not_limiting: matches!(room, Some(Allowed::NotLimiting)),
        standing: standing(needed.map(Force::kn), certified.map(Force::kn)).into(),
        ..pb::CouplingValue::default()
    }
}

fn of_mass(value: &str, needed: Option<Mass>, certified: Option<Mass>) -> pb::CouplingValue {
    pb::CouplingValue {
        value: value.to_owned(),
        needed_kg: needed.map(Mass::kg),
        certified_kg: certified.map(Mass::kg),
        standing: standing(needed.map(Mass::kg), certified.map(Mass::kg)).into(),
        ..pb::CouplingValue::default()
    }
}

impl CouplingValues {
    /// Returns whether V applies: a centre-axle trailer above 3.5 t; `None` when its mass is not known.
    fn v_applies(&self) -> Option<bool> {
        if self.kind == Kind::CentreAxle { self.trailer.map(|trailer| trailer > V_FROM) } else { Some(false) }
    }

    fn values(&self) -> Vec<pb::CouplingValue> {
        let t = self.vehicle;
        match self.kind {
            Kind::Free => {
                let needed = self.trailer.and_then(|trailer| d_value(t, trailer).ok());
                vec![
                    of_force("D", needed, self.d, self.d.map(|d| trailer_for_d(d, t))),
                    of_mass("S", self.static_load, self.s),
                ]
            }
            Kind::CentreAxle => {
                let needed = self.axle_sum.and_then(|sum| dc_value(t, sum).ok());
                let mut all = vec![
                    of_force("Dc", needed, self.dc, self.dc.map(|dc| trailer_for_d(dc, t))),
                    of_mass("S", self.static_load, self.s),
                ];
                if self.v_applies() != Some(false) {
                    let known = self.axle_sum.and(self.bed);
                    let needed = known.and_then(|bed| v_value(&bed).ok());
                    let room = self.v.zip(self.bed).map(|(v, bed)| axle_sum_for_v(v, &bed).map(Allowed::UpTo));
                    all.push(of_force("V", needed, self.v, room));
                }
                all
            }
            Kind::FifthWheel => {
                let u = self.imposed;
                let needed = self.trailer.zip(u).and_then(|(trailer, u)| fifth_wheel_d(t, trailer, u).ok());
                let room = self.d.zip(u).map(|(d, u)| trailer_for_fifth_wheel_d(d, t, u));
                vec![of_force("D", needed, self.d, room), of_mass("U", u, self.u)]
            }
        }
    }

    fn basis(&self) -> Vec<Basis> {
        let mut inputs = vec![("vehicle_mass_kg", self.vehicle.kg())];
        let mut add = |name, mass: Option<Mass>| inputs.extend(mass.map(|mass| (name, mass.kg())));
        let mut steps = match self.kind {
            Kind::Free => {
                add("trailer_mass_kg", self.trailer);
                vec![Basis::new("coupling-d", "D = g · T · R / (T + R), g = 9.81", SOURCE, &inputs)]
            }
            Kind::CentreAxle => {
                add("axle_sum_kg", self.axle_sum);
                vec![Basis::new("coupling-dc", "Dc = g · T · C / (T + C), g = 9.81", SOURCE, &inputs)]
            }
            Kind::FifthWheel => {
                add("trailer_mass_kg", self.trailer);
                add("imposed_kg", self.imposed);
                let text = "D = g · 0.6 · T · R / (T + R − U), g = 9.81";
                vec![Basis::new("coupling-d-fifth-wheel", text, FIFTH_WHEEL_SOURCE, &inputs)]
            }
        };
        if let (Some(bed), true) = (&self.bed, self.v_applies() != Some(false)) {
            steps.push(Basis::new(
                "coupling-v",
                "V = a · max(1, X² / l²) · C",
                SOURCE,
                &[
                    ("axle_sum_kg", bed.axle_sum.kg()),
                    ("bed_length_mm", bed.bed_length.mm()),
                    ("drawbar_length_mm", bed.drawbar_length.mm()),
                ],
            ));
        }
        steps
    }
}

/// Writes every value that applies, needed and certified.
#[must_use]
pub fn coupling_values_to_wire(asked: &CouplingValues, revision: i64) -> pb::CouplingValuesResponse {
    let values = asked.values();
    let any = |standing| values.iter().any(|value| value.standing() == standing);
    let holds = match (any(pb::CertifiedStanding::Short), any(pb::CertifiedStanding::Unknown)) {
        (true, _) => Some(false),
        (false, true) => None,
        (false, false) => Some(true),
    };
    let mut cautions = vec![
        caution(
            "every-value-holds",
            "each value must hold on every part, and every other link limits too: the lowest rating holds",
        ),
        caution(
            "formulas-from-memory",
            "the formulas of UN Regulation 55 are recalled, not opened: a person confirms before they decide",
        ),
    ];
    if holds.is_none() {
        cautions.push(caution("values-unknown", "a plate or an input is not known: with it nothing may pass"));
    }
    if asked.v_applies().is_none() {
        cautions.push(caution("v-may-apply", "a centre-axle trailer over 3.5 t needs V: its mass is not known"));
    }
    pb::CouplingValuesResponse { values, holds, basis: basis_to_wire(&asked.basis()), cautions, revision }
}

#[cfg(test)]
mod tests;
