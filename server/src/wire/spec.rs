//! A specification, read from an entry of the book.

use std::sync::Arc;

use baybook_core::model::{
    bed::BedCoupling,
    brake_law::BrakeLaw,
    coupling::{Ball, BallMount, Coupler},
    day::Day,
    fastener::{Bolt, Nut, Washer},
    finish::Finish,
    joint::JointSpec,
    policy::Policy,
    receiver::Receiver,
    terrain::Terrain,
    trailer::Trailer,
    vehicle::Vehicle,
    wiring::Circuit,
    wrench::Wrench,
};
use baybook_proto::v1::{self as pb, entry::Spec as Wire};

use super::{
    Fields, Lookup, brake_law,
    fields::{LABEL_MAX, NOTE_MAX},
    names,
};

/// A specification of one of the sixteen kinds, ready for the calculators. Cloning it copies a pointer.
#[derive(Debug, Clone, PartialEq)]
pub enum Spec {
    /// `vehicles/…`
    Vehicle(Arc<Vehicle>),
    /// `receivers/…`
    Receiver(Arc<Receiver>),
    /// `bolts/…`
    Bolt(Arc<Bolt>),
    /// `nuts/…`
    Nut(Arc<Nut>),
    /// `washers/…`
    Washer(Arc<Washer>),
    /// `finishes/…`
    Finish(Arc<Finish>),
    /// `ballmounts/…`
    BallMount(Arc<BallMount>),
    /// `balls/…`
    Ball(Arc<Ball>),
    /// `couplers/…`
    Coupler(Arc<Coupler>),
    /// `trailers/…`
    Trailer(Arc<Trailer>),
    /// `circuits/…`
    Circuit(Arc<Circuit>),
    /// `wrenches/…`
    Wrench(Arc<Wrench>),
    /// `terrains/…`
    Terrain(Arc<Terrain>),
    /// `policies/…`
    Policy(Arc<Policy>),
    /// `brakelaws/…`
    BrakeLaw(Arc<BrakeLaw>),
    /// `bedcouplings/…`
    BedCoupling(Arc<BedCoupling>),
}

/// A name that an entry refers to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reference<'a> {
    /// The path of the field inside the entry: `receiver.fits[3].vehicle`.
    pub field: String,
    /// The name: `vehicles/van-7`.
    pub name: &'a str,
}

impl Spec {
    /// Returns a copy that shares nothing: threads that count their uses of one entry in one place wait for each other.
    #[must_use]
    pub fn apart(&self) -> Self {
        fn copy<T: Clone>(shared: &Arc<T>) -> Arc<T> {
            Arc::new(T::clone(shared))
        }
        match self {
            Self::Vehicle(it) => Self::Vehicle(copy(it)),
            Self::Receiver(it) => Self::Receiver(copy(it)),
            Self::Bolt(it) => Self::Bolt(copy(it)),
            Self::Nut(it) => Self::Nut(copy(it)),
            Self::Washer(it) => Self::Washer(copy(it)),
            Self::Finish(it) => Self::Finish(copy(it)),
            Self::BallMount(it) => Self::BallMount(copy(it)),
            Self::Ball(it) => Self::Ball(copy(it)),
            Self::Coupler(it) => Self::Coupler(copy(it)),
            Self::Trailer(it) => Self::Trailer(copy(it)),
            Self::Circuit(it) => Self::Circuit(copy(it)),
            Self::Wrench(it) => Self::Wrench(copy(it)),
            Self::Terrain(it) => Self::Terrain(copy(it)),
            Self::Policy(it) => Self::Policy(copy(it)),
            Self::BrakeLaw(it) => Self::BrakeLaw(copy(it)),
            Self::BedCoupling(it) => Self::BedCoupling(copy(it)),
        }
    }

    /// Reads an entry: its name, that its kind is the name's, its source and note, and its specification.
    pub fn from_entry(entry: &pb::Entry, fields: &mut Fields) -> Option<Self> {
        let folder = match names::parse(&entry.name) {
            Ok((folder, _)) => Some(folder),
            Err(why) => {
                fields.reject("name", why);
                None
            }
        };
        fields.text("note", &entry.note, NOTE_MAX);
        if let Some(source) = &entry.source {
            fields.under("source", |fields| {
                fields.text("document", &source.document, NOTE_MAX);
                fields.text("page", &source.page, LABEL_MAX);
                fields.text("edition", &source.edition, LABEL_MAX);
                fields.day("date_seen", &source.date_seen);
            });
        }
        let Some(wire) = &entry.spec else {
            let field = folder.map_or("spec", |folder| folder.field);
            fields.reject(field, "is required: an entry holds one specification");
            return None;
        };
        let kind = kind_of(wire);
        if let (Some(said), Some(held)) = (folder, names::of_kind(kind))
            && said != held
        {
            let why = format!("is {}, but {} names {}: change one of them", held.one, entry.name, said.one);
            fields.reject(held.field, why);
        }
        let mut spec = Self::read(wire, &entry.name, entry.revision, fields);
        if let (Some(Self::Vehicle(vehicle)), Some(source)) = (&mut spec, &entry.source)
            && let Some(day) = Day::read(&source.date_seen)
        {
            Arc::make_mut(vehicle).seen_on = Some(day);
        }
        spec
    }

    /// Reads the specification of an entry of that name, last changed at that revision.
    fn read(wire: &Wire, name: &str, revision: i64, fields: &mut Fields) -> Option<Self> {
        macro_rules! named {
            ($field:literal, $wire:expr, $kind:ident) => {{
                let mut spec: $kind = fields.message($field, Some($wire))?;
                spec.name = name.to_owned();
                Some(Self::$kind(Arc::new(spec)))
            }};
        }
        match wire {
            Wire::Vehicle(wire) => named!("vehicle", wire, Vehicle),
            Wire::Receiver(wire) => named!("receiver", wire, Receiver),
            Wire::Bolt(wire) => named!("bolt", wire, Bolt),
            Wire::Nut(wire) => named!("nut", wire, Nut),
            Wire::Washer(wire) => named!("washer", wire, Washer),
            Wire::Finish(wire) => named!("finish", wire, Finish),
            Wire::BallMount(wire) => named!("ball_mount", wire, BallMount),
            Wire::Ball(wire) => named!("ball", wire, Ball),
            Wire::Coupler(wire) => named!("coupler", wire, Coupler),
            Wire::Trailer(wire) => named!("trailer", wire, Trailer),
            Wire::Circuit(wire) => named!("circuit", wire, Circuit),
            Wire::Wrench(wire) => named!("wrench", wire, Wrench),
            Wire::Terrain(wire) => named!("terrain", wire, Terrain),
            Wire::BedCoupling(wire) => named!("bed_coupling", wire, BedCoupling),
            Wire::BrakeLaw(wire) => {
                let mut spec: BrakeLaw = fields.message("brake_law", Some(wire))?;
                if name.split_once('/').map(|(_, id)| id) != Some(&*brake_law::id_of(&spec.place)) {
                    let why = format!(
                        "is {}, so its entry must be named brakelaws/{}",
                        spec.place,
                        brake_law::id_of(&spec.place)
                    );
                    fields.under("brake_law", |fields| fields.reject("place", why));
                }
                name.clone_into(&mut spec.name);
                Some(Self::BrakeLaw(Arc::new(spec)))
            }
            Wire::Policy(wire) => {
                let mut spec: Policy = fields.message("policy", Some(wire))?;
                name.clone_into(&mut spec.name);
                spec.revision = revision;
                Some(Self::Policy(Arc::new(spec)))
            }
        }
    }

    /// Returns the kind of entry it is.
    #[must_use]
    pub const fn kind(&self) -> pb::EntryKind {
        match self {
            Self::Vehicle(_) => pb::EntryKind::Vehicle,
            Self::Receiver(_) => pb::EntryKind::Receiver,
            Self::Bolt(_) => pb::EntryKind::Bolt,
            Self::Nut(_) => pb::EntryKind::Nut,
            Self::Washer(_) => pb::EntryKind::Washer,
            Self::Finish(_) => pb::EntryKind::Finish,
            Self::BallMount(_) => pb::EntryKind::BallMount,
            Self::Ball(_) => pb::EntryKind::Ball,
            Self::Coupler(_) => pb::EntryKind::Coupler,
            Self::Trailer(_) => pb::EntryKind::Trailer,
            Self::Circuit(_) => pb::EntryKind::Circuit,
            Self::Wrench(_) => pb::EntryKind::Wrench,
            Self::Terrain(_) => pb::EntryKind::Terrain,
            Self::Policy(_) => pb::EntryKind::Policy,
            Self::BrakeLaw(_) => pb::EntryKind::BrakeLaw,
            Self::BedCoupling(_) => pb::EntryKind::BedCoupling,
        }
    }

    /// Returns the entry's name, or nothing for a specification given inline.
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Self::Vehicle(it) => &it.name,
            Self::Receiver(it) => &it.name,
            Self::Bolt(it) => &it.name,
            Self::Nut(it) => &it.name,
            Self::Washer(it) => &it.name,
            Self::Finish(it) => &it.name,
            Self::BallMount(it) => &it.name,
            Self::Ball(it) => &it.name,
            Self::Coupler(it) => &it.name,
            Self::Trailer(it) => &it.name,
            Self::Circuit(it) => &it.name,
            Self::Wrench(it) => &it.name,
            Self::Terrain(it) => &it.name,
            Self::Policy(it) => &it.name,
            Self::BrakeLaw(it) => &it.name,
            Self::BedCoupling(it) => &it.name,
        }
    }

    /// Returns what people call it.
    #[must_use]
    pub fn label(&self) -> &str {
        match self {
            Self::Vehicle(it) => &it.label,
            Self::Receiver(it) => &it.label,
            Self::Bolt(it) => &it.label,
            Self::Nut(it) => &it.label,
            Self::Washer(it) => &it.label,
            Self::Finish(it) => &it.label,
            Self::BallMount(it) => &it.label,
            Self::Ball(it) => &it.label,
            Self::Coupler(it) => &it.label,
            Self::Trailer(it) => &it.label,
            Self::Circuit(it) => &it.label,
            Self::Wrench(it) => &it.label,
            Self::Terrain(it) => &it.label,
            Self::Policy(it) => &it.label,
            Self::BrakeLaw(it) => &it.label,
            Self::BedCoupling(it) => &it.label,
        }
    }

    /// Returns every other entry it refers to.
    #[must_use]
    pub fn references(&self) -> Vec<Reference<'_>> {
        let mut all = Vec::new();
        match self {
            Self::Receiver(receiver) => {
                for (i, fit) in receiver.fits.iter().enumerate() {
                    all.push(Reference { field: format!("receiver.fits[{i}].vehicle"), name: &fit.vehicle });
                }
                of_joints("receiver", &receiver.joints, &mut all);
            }
            Self::BedCoupling(coupling) => {
                for (i, fit) in coupling.fits.iter().enumerate() {
                    all.push(Reference { field: format!("bed_coupling.fits[{i}].vehicle"), name: &fit.vehicle });
                }
                of_joints("bed_coupling", &coupling.joints, &mut all);
            }
            Self::Trailer(trailer) => {
                if let Some(name) = &trailer.coupler {
                    all.push(Reference { field: "trailer.coupler".to_owned(), name });
                }
            }
            Self::Vehicle(_)
            | Self::BrakeLaw(_)
            | Self::Bolt(_)
            | Self::Nut(_)
            | Self::Washer(_)
            | Self::Finish(_)
            | Self::BallMount(_)
            | Self::Ball(_)
            | Self::Coupler(_)
            | Self::Circuit(_)
            | Self::Wrench(_)
            | Self::Terrain(_)
            | Self::Policy(_) => {}
        }
        all
    }

    /// Notes every reference that the book does not hold.
    pub fn check_references(&self, lookup: &impl Lookup, fields: &mut Fields) {
        for Reference { field, name } in self.references() {
            if lookup.find(name).is_none() {
                fields.not_found_at(&field, name, lookup.nearest(name));
            }
        }
    }
}

/// Adds what the joints of a part refer to.
fn of_joints<'a>(part: &str, joints: &'a [JointSpec], all: &mut Vec<Reference<'a>>) {
    for (i, joint) in joints.iter().enumerate() {
        let names = [("bolt", &joint.bolt), ("nut", &joint.nut), ("washer", &joint.washer), ("finish", &joint.finish)];
        for (field, name) in names {
            if let Some(name) = name {
                all.push(Reference { field: format!("{part}.joints[{i}].{field}"), name });
            }
        }
    }
}

/// Returns the kind of entry a specification on the wire is.
#[must_use]
pub const fn kind_of(wire: &Wire) -> pb::EntryKind {
    match wire {
        Wire::Vehicle(_) => pb::EntryKind::Vehicle,
        Wire::Receiver(_) => pb::EntryKind::Receiver,
        Wire::Bolt(_) => pb::EntryKind::Bolt,
        Wire::Nut(_) => pb::EntryKind::Nut,
        Wire::Washer(_) => pb::EntryKind::Washer,
        Wire::Finish(_) => pb::EntryKind::Finish,
        Wire::BallMount(_) => pb::EntryKind::BallMount,
        Wire::Ball(_) => pb::EntryKind::Ball,
        Wire::Coupler(_) => pb::EntryKind::Coupler,
        Wire::Trailer(_) => pb::EntryKind::Trailer,
        Wire::Circuit(_) => pb::EntryKind::Circuit,
        Wire::Wrench(_) => pb::EntryKind::Wrench,
        Wire::Terrain(_) => pb::EntryKind::Terrain,
        Wire::Policy(_) => pb::EntryKind::Policy,
        Wire::BrakeLaw(_) => pb::EntryKind::BrakeLaw,
        Wire::BedCoupling(_) => pb::EntryKind::BedCoupling,
    }
}

/// Reads the name of an entry of one kind; an empty one is absent.
pub(crate) fn name_of(kind: pb::EntryKind, field: &'static str, name: &str, fields: &mut Fields) -> Option<String> {
    if name.is_empty() {
        return None;
    }
    match names::named(kind, name) {
        Ok(()) => Some(name.to_owned()),
        Err(why) => {
            fields.reject(field, why);
            None
        }
    }
}

#[cfg(test)]
mod tests;
