//! What the torque calculators share: the fastener, what it is screwed into, what slides, what turns it.

use std::sync::Arc;

use baybook_core::{
    calc::{
        adapter::Adapter,
        condition::{Face, WasherSeat},
        torque::{Mate, WrenchScale},
    },
    model::{
        fastener::{Bolt, BoltClass, HeadKind, Nut, NutKind, Washer},
        thread::Thread,
        wrench::Wrench,
    },
    units::{Angle, Length, Torque},
};
use baybook_proto::v1 as pb;

use super::{Fields, Lookup, ranges};

/// A fastener as the torque calculators see it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fastening {
    /// The bolt's thread.
    pub thread: Thread,
    /// The bolt's class or grade.
    pub class: BoltClass,
    /// The face that slides.
    pub face: Face,
    /// The washer under it.
    pub washer: Option<WasherSeat>,
    /// What the bolt is screwed into; `None` when nobody says.
    pub mate: Option<Mate>,
    /// Whether it is hot-dip galvanised.
    pub hot_dip_galvanised: Option<bool>,
    /// The nut's prevailing torque.
    pub prevailing: Option<Torque>,
}

/// The fields of a request that describe a fastener.
#[derive(Debug, Clone, Copy)]
pub struct FasteningWire<'a> {
    /// `bolt`
    pub bolt: Option<&'a pb::BoltRef>,
    /// `nut`
    pub nut: Option<&'a pb::NutRef>,
    /// `washer`
    pub washer: Option<&'a pb::WasherRef>,
    /// `washer_turns`
    pub washer_turns: Option<bool>,
    /// `tapped_hole`
    pub tapped_hole: Option<bool>,
}

impl Fields {
    /// Reads bolt, nut, washer and what follows from them.
    pub fn fastening(&mut self, wire: FasteningWire<'_>, lookup: &impl Lookup) -> Option<Fastening> {
        let bolt = self.needed_entry::<Bolt>("bolt", wire.bolt, lookup);
        let nut = self.entry::<Nut>("nut", wire.nut, lookup);
        let washer = self.entry::<Washer>("washer", wire.washer, lookup);
        if wire.washer_turns.is_some() && wire.washer.is_none() {
            self.reject("washer_turns", "is about a washer, but there is none: name the washer or leave this out");
        }
        if wire.tapped_hole == Some(true) && wire.nut.is_some() {
            self.reject("tapped_hole", "contradicts nut: a bolt is screwed into a nut or into the part");
        }
        let seat = match &washer {
            Some(washer) => self.seat(washer, bolt.as_deref(), wire.washer_turns),
            None => None,
        };
        let bolt = bolt?;
        if let Some(nut) = &nut
            && !bolt.thread.mates(&nut.thread)
        {
            self.reject("nut", format!("has the thread {}, but the bolt has {}", nut.thread, bolt.thread));
        }
        let class = bolt.class;
        if class.is_none() {
            self.blame(
                "bolt",
                (&bolt.name, "spec.property_class"),
                "its class is not known: read the mark on the head, or replace the bolt by one that has a mark",
            );
        }
        let face = self.face(&bolt, nut.as_ref(), washer.as_ref(), seat);
        let mate = match (&nut, wire.tapped_hole) {
            (Some(nut), _) => Some(Mate::Nut { class: nut.class, kind: nut.kind }),
            (None, Some(true)) => Some(Mate::TappedHole),
            (None, Some(false) | None) => None,
        };
        Some(Fastening {
            thread: bolt.thread,
            class: class?,
            face,
            washer: seat,
            mate,
            hot_dip_galvanised: bolt.hot_dip_galvanised,
            prevailing: nut.and_then(|nut| nut.prevailing_torque),
        })
    }

    /// Blames a figure that an entry lacks: on its field when it is given inline, else on its name.
    fn blame(&mut self, field: &'static str, (name, inline): (&str, &'static str), why: &str) {
        if name.is_empty() {
            self.under(field, |fields| fields.reject(inline, why));
        } else {
            self.under(field, |fields| fields.reject("name", format!("{name}: {why}")));
        }
    }

    fn seat(&mut self, washer: &Washer, bolt: Option<&Bolt>, turns: Option<bool>) -> Option<WasherSeat> {
        if washer.outer_diameter.is_none() {
            self.blame("washer", (&washer.name, "spec.outer_diameter"), "its outer diameter is needed");
        }
        if washer.inner_diameter.is_none() {
            self.blame("washer", (&washer.name, "spec.inner_diameter"), "its inner diameter is needed");
        }
        let (outer, inner) = (washer.outer_diameter?, washer.inner_diameter?);
        let hole = bolt.and_then(|bolt| bolt.hole_diameter).map_or(inner, |hole| hole.max(inner));
        Some(WasherSeat { outer, hole, turns })
    }

    /// Reads the face that slides when the nut, or without one the head, is turned. A flange has no table to fall back
    /// on: it must be measured.
    fn face(
        &mut self,
        bolt: &Bolt,
        nut: Option<&Arc<Nut>>,
        washer: Option<&Arc<Washer>>,
        seat: Option<WasherSeat>,
    ) -> Face {
        let flanged = match nut {
            Some(nut) => nut.kind == Some(NutKind::Flange),
            None => bolt.head == Some(HeadKind::HexFlange),
        };
        let outer = nut.map_or(bolt.bearing_diameter, |nut| nut.bearing_diameter);
        let hole = washer.map_or(bolt.hole_diameter, |washer| washer.inner_diameter);
        if let (Some(outer), Some(hole)) = (outer, hole) {
            return Face::Ring { outer, hole };
        }
        let covered = seat.is_some_and(|seat| seat.turns == Some(true));
        if flanged && !covered {
            let (field, name) = nut.map_or(("bolt", &bolt.name), |nut| ("nut", &nut.name));
            if outer.is_none() {
                let why = "a flange's bearing diameter is needed: no table gives it, measure it";
                self.blame(field, (name, "spec.bearing_diameter_mm"), why);
            }
            if hole.is_none() {
                let why = "the hole under a flange is needed: measure it";
                self.blame("bolt", (&bolt.name, "spec.hole_diameter_mm"), why);
            }
        }
        Face::Tabled
    }

    /// Reads an adapter; its lever is the wrench's where it has none of its own.
    pub fn adapter(&mut self, wire: Option<&pb::Adapter>, wrench: Option<&Wrench>) -> Option<Adapter> {
        let wire = wire?;
        self.under("adapter", |fields| {
            let lever = fields.number("lever_mm", wire.lever_mm, &ranges::LEVER).map(Length::from_mm);
            let lever = match wire.lever_mm {
                Some(_) => lever,
                None => wrench.and_then(|wrench| wrench.lever),
            };
            if lever.is_none() && wire.lever_mm.is_none() {
                fields.reject("lever_mm", "is required: the wrench's entry does not give it");
            }
            let extension = fields.needed("offset_mm", wire.offset_mm, &ranges::EXTENSION);
            let angle = fields.needed("angle_deg", wire.angle_deg, &ranges::ADAPTER_ANGLE);
            Some(Adapter { lever: lever?, extension: Length::from_mm(extension?), angle: Angle::from_deg(angle?) })
        })
    }
}

/// Returns what the calculators want to know of a wrench.
#[must_use]
pub const fn scale_of(wrench: &Wrench) -> WrenchScale {
    WrenchScale { min: wrench.scale_min, max: wrench.scale_max, accuracy_share: wrench.accuracy_share }
}
