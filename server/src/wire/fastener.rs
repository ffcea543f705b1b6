//! Bolts, nuts, washers, finishes and joints.

use baybook_core::{
    error::CalcError,
    model::{
        fastener::{Bolt, BoltClass, HeadKind, Nut, NutClass, NutKind, Washer},
        finish::{Band, Finish, Lubricated},
        joint::{JointSpec, TighteningMethod},
        thread::Thread,
    },
    range::Range,
    units::Length,
};
use baybook_proto::v1 as pb;

use super::{
    Fields, FromWire,
    fields::{LABEL_MAX, NOTE_MAX},
    ranges,
    spec::name_of,
};

/// The most bolts of one joint.
pub const BOLTS_MAX: i32 = 64;
/// The most characters of a thread designation or a class.
pub const MARK_MAX: usize = 64;

impl Fields {
    /// Reads a thread designation, which is required.
    pub fn thread(&mut self, name: &'static str, text: &str) -> Option<Thread> {
        if text.trim().is_empty() {
            self.reject(name, "is required: write it like M12x1.75, M14 or 1/2-13 UNC");
            return None;
        }
        self.mark(name, text, Thread::read)
    }

    /// Reads a bolt's class; empty is not known.
    pub fn bolt_class(&mut self, name: &'static str, text: &str) -> Option<BoltClass> {
        self.mark(name, text, BoltClass::read)
    }

    /// Reads a nut's class; empty is not known.
    pub fn nut_class(&mut self, name: &'static str, text: &str) -> Option<NutClass> {
        self.mark(name, text, NutClass::read)
    }

    /// Reads what is stamped on a part, when it is there; what is longer than any stamp is not even quoted.
    fn mark<T>(&mut self, name: &'static str, text: &str, read: fn(&str) -> Result<T, CalcError>) -> Option<T> {
        if text.trim().is_empty() || !self.fits(name, text, MARK_MAX) {
            return None;
        }
        read(text).map_err(|error| self.reject_calc(name, &error)).ok()
    }

    /// Reads a band of three rising numbers, all of them or none.
    pub fn band(&mut self, name: &'static str, wire: Option<&pb::Band>, range: &Range) -> Option<Band> {
        let wire = wire?;
        self.under(name, |fields| {
            let low = fields.needed("low_share", wire.low_share, range);
            let nominal = fields.needed("nominal_share", wire.nominal_share, range);
            let high = fields.needed("high_share", wire.high_share, range);
            let band = Band { low: low?, nominal: nominal?, high: high? };
            if band.low <= band.nominal && band.nominal <= band.high {
                return Some(band);
            }
            let Band { low, nominal, high } = band;
            fields.reject_here(format!("must rise from low over nominal to high, is {low}, {nominal}, {high}"));
            None
        })
    }

    /// Reads how a maker tells to tighten; unspecified is not known.
    pub fn method(&mut self, name: &'static str, number: i32) -> Option<TighteningMethod> {
        self.choice(name, number, |wire| match wire {
            pb::TighteningMethod::Unspecified => None,
            pb::TighteningMethod::Torque => Some(TighteningMethod::Torque),
            pb::TighteningMethod::TorqueAndAngle => Some(TighteningMethod::TorqueAndAngle),
            pb::TighteningMethod::TorqueToYield => Some(TighteningMethod::TorqueToYield),
        })
    }

    /// Notes two diameters of one ring that leave no ring.
    fn ring(&mut self, outer: (&'static str, Option<Length>), hole: (&'static str, Option<Length>)) {
        if let (Some(outside), Some(inside)) = (outer.1, hole.1)
            && outside <= inside
        {
            let why = format!("must be larger than {}, is {} mm against {} mm", hole.0, outside.mm(), inside.mm());
            self.reject(outer.0, why);
        }
    }
}

fn head(wire: pb::HeadKind) -> Option<HeadKind> {
    match wire {
        pb::HeadKind::Unspecified => None,
        pb::HeadKind::Hex => Some(HeadKind::Hex),
        pb::HeadKind::HexFlange => Some(HeadKind::HexFlange),
        pb::HeadKind::Socket => Some(HeadKind::Socket),
        pb::HeadKind::Carriage => Some(HeadKind::Carriage),
        pb::HeadKind::Stud => Some(HeadKind::Stud),
    }
}

fn nut_kind(wire: pb::NutKind) -> Option<NutKind> {
    match wire {
        pb::NutKind::Unspecified => None,
        pb::NutKind::Regular => Some(NutKind::Regular),
        pb::NutKind::Thin => Some(NutKind::Thin),
        pb::NutKind::Flange => Some(NutKind::Flange),
        pb::NutKind::Captive => Some(NutKind::Captive),
        pb::NutKind::Insert => Some(NutKind::Insert),
    }
}

fn lubricated(wire: pb::Lubrication) -> Option<Lubricated> {
    match wire {
        pb::Lubrication::Unspecified => None,
        pb::Lubrication::Dry => Some(Lubricated::Dry),
        pb::Lubrication::ThreadsOnly => Some(Lubricated::ThreadsOnly),
        pb::Lubrication::FaceOnly => Some(Lubricated::FaceOnly),
        pb::Lubrication::Both => Some(Lubricated::Both),
    }
}

impl FromWire for Bolt {
    type Wire = pb::Bolt;

    fn from_wire(wire: &pb::Bolt, fields: &mut Fields) -> Option<Self> {
        let label = fields.text("label", &wire.label, LABEL_MAX);
        let thread = fields.thread("thread", &wire.thread);
        let class = fields.bolt_class("property_class", &wire.property_class);
        let length = fields.length("length", wire.length.as_ref(), &ranges::SIZE);
        let bearing_diameter =
            fields.number("bearing_diameter_mm", wire.bearing_diameter_mm, &ranges::RING_OUTER).map(Length::from_mm);
        let hole_diameter =
            fields.number("hole_diameter_mm", wire.hole_diameter_mm, &ranges::RING_HOLE).map(Length::from_mm);
        fields.ring(("bearing_diameter_mm", bearing_diameter), ("hole_diameter_mm", hole_diameter));
        let head = fields.choice("head", wire.head, head);
        Some(Self {
            name: String::new(),
            label,
            thread: thread?,
            class,
            length,
            bearing_diameter,
            hole_diameter,
            head,
            single_use: wire.single_use,
            hot_dip_galvanised: wire.hot_dip_galvanised,
        })
    }
}

impl FromWire for Nut {
    type Wire = pb::Nut;

    fn from_wire(wire: &pb::Nut, fields: &mut Fields) -> Option<Self> {
        let label = fields.text("label", &wire.label, LABEL_MAX);
        let thread = fields.thread("thread", &wire.thread);
        let class = fields.nut_class("property_class", &wire.property_class);
        let kind = fields.choice("kind", wire.kind, nut_kind);
        let height = fields.number("height_mm", wire.height_mm, &ranges::THICKNESS).map(Length::from_mm);
        let bearing_diameter =
            fields.number("bearing_diameter_mm", wire.bearing_diameter_mm, &ranges::RING_OUTER).map(Length::from_mm);
        let prevailing_torque =
            fields.torque("prevailing_torque", wire.prevailing_torque.as_ref(), &ranges::PREVAILING);
        Some(Self {
            name: String::new(),
            label,
            thread: thread?,
            class,
            kind,
            height,
            bearing_diameter,
            prevailing_torque,
        })
    }
}

impl FromWire for Washer {
    type Wire = pb::Washer;

    fn from_wire(wire: &pb::Washer, fields: &mut Fields) -> Option<Self> {
        let label = fields.text("label", &wire.label, LABEL_MAX);
        let inner_diameter = fields.length("inner_diameter", wire.inner_diameter.as_ref(), &ranges::SIZE);
        let outer_diameter = fields.length("outer_diameter", wire.outer_diameter.as_ref(), &ranges::SIZE);
        fields.ring(("outer_diameter", outer_diameter), ("inner_diameter", inner_diameter));
        let thickness = fields.number("thickness_mm", wire.thickness_mm, &ranges::THICKNESS).map(Length::from_mm);
        let hardness_hv = fields.number("hardness_hv", wire.hardness_hv, &ranges::HARDNESS);
        Some(Self { name: String::new(), label, inner_diameter, outer_diameter, thickness, hardness_hv })
    }
}

impl FromWire for Finish {
    type Wire = pb::Finish;

    fn from_wire(wire: &pb::Finish, fields: &mut Fields) -> Option<Self> {
        Some(Self {
            name: String::new(),
            label: fields.text("label", &wire.label, LABEL_MAX),
            nut_factor: fields.band("nut_factor", wire.nut_factor.as_ref(), &ranges::NUT_FACTOR),
            thread_friction: fields.band("thread_friction", wire.thread_friction.as_ref(), &ranges::FRICTION),
            face_friction: fields.band("face_friction", wire.face_friction.as_ref(), &ranges::FRICTION),
            lubricated: fields.choice("lubrication", wire.lubrication, lubricated),
            source: fields.text("friction_source", &wire.friction_source, NOTE_MAX),
        })
    }
}

impl FromWire for JointSpec {
    type Wire = pb::Joint;

    fn from_wire(wire: &pb::Joint, fields: &mut Fields) -> Option<Self> {
        if wire.id.is_empty() {
            fields.reject("id", "is required: a plan calls the joint by it");
        }
        Some(Self {
            id: fields.text("id", &wire.id, LABEL_MAX),
            count: fields.count("bolt_count", wire.bolt_count, 1, BOLTS_MAX),
            bolt: name_of(pb::EntryKind::Bolt, "bolt", &wire.bolt, fields),
            nut: name_of(pb::EntryKind::Nut, "nut", &wire.nut, fields),
            washer: name_of(pb::EntryKind::Washer, "washer", &wire.washer, fields),
            finish: name_of(pb::EntryKind::Finish, "finish", &wire.finish, fields),
            torque: fields.torque("torque", wire.torque.as_ref(), &ranges::TORQUE),
            method: fields.method("method", wire.method),
        })
    }
}
