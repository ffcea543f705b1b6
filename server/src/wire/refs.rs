//! Entries by name or given inline.

use std::sync::Arc;

use baybook_core::model::{
    bed::BedCoupling,
    coupling::{Ball, BallMount, Coupler},
    fastener::{Bolt, Nut, Washer},
    finish::Finish,
    policy::Policy,
    receiver::Receiver,
    terrain::Terrain,
    trailer::Trailer,
    vehicle::Vehicle,
    wiring::Circuit,
    wrench::Wrench,
};
use baybook_proto::v1 as pb;

use super::{Fields, FromWire, Lookup, Spec, names};

/// What a reference on the wire holds.
#[derive(Debug)]
pub enum Given<'a, W> {
    /// The name of an entry.
    Name(&'a str),
    /// The specification itself.
    Spec(&'a W),
}

/// A specification that can be referred to.
pub trait Referred: FromWire {
    /// The reference on the wire.
    type Ref;

    /// The kind of entry it is.
    const KIND: pb::EntryKind;

    /// Returns what a reference holds; nothing when it is empty.
    fn given(wire: &Self::Ref) -> Option<Given<'_, Self::Wire>>;

    /// Takes it out of an entry; nothing when the entry is of another kind.
    fn pick(spec: Spec) -> Option<Arc<Self>>;
}

macro_rules! referred {
    ($( $domain:ident: $wire:ident . $field:ident, $choice:ident; )+) => {
        $(
            impl Referred for $domain {
                type Ref = pb::$wire;

                const KIND: pb::EntryKind = pb::EntryKind::$domain;

                fn given(wire: &pb::$wire) -> Option<Given<'_, pb::$domain>> {
                    match wire.$field.as_ref()? {
                        pb::$choice::$domain::Name(name) => Some(Given::Name(name)),
                        pb::$choice::$domain::Spec(spec) => Some(Given::Spec(spec)),
                    }
                }

                fn pick(spec: Spec) -> Option<Arc<Self>> {
                    match spec {
                        Spec::$domain(it) => Some(it),
                        _ => None,
                    }
                }
            }
        )+
    };
}

referred! {
    Vehicle: VehicleRef.vehicle, vehicle_ref;
    Receiver: ReceiverRef.receiver, receiver_ref;
    Bolt: BoltRef.bolt, bolt_ref;
    Nut: NutRef.nut, nut_ref;
    Washer: WasherRef.washer, washer_ref;
    Finish: FinishRef.finish, finish_ref;
    BallMount: BallMountRef.ball_mount, ball_mount_ref;
    Ball: BallRef.ball, ball_ref;
    Coupler: CouplerRef.coupler, coupler_ref;
    BedCoupling: BedCouplingRef.bed_coupling, bed_coupling_ref;
    Trailer: TrailerRef.trailer, trailer_ref;
    Circuit: CircuitRef.circuit, circuit_ref;
    Wrench: WrenchRef.wrench, wrench_ref;
    Terrain: TerrainRef.terrain, terrain_ref;
    Policy: PolicyRef.policy, policy_ref;
}

impl Fields {
    /// Reads an entry that may be absent, by its name or as given.
    pub fn entry<D: Referred>(
        &mut self,
        name: &'static str,
        wire: Option<&D::Ref>,
        lookup: &impl Lookup,
    ) -> Option<Arc<D>> {
        let wire = wire?;
        self.under(name, |fields| fields.entry_here(wire, lookup))
    }

    /// Reads the entry at which the notebook stands, by its name or as given.
    pub fn entry_here<D: Referred>(&mut self, wire: &D::Ref, lookup: &impl Lookup) -> Option<Arc<D>> {
        match D::given(wire) {
            Some(Given::Name(name)) => self.find("name", name, lookup),
            Some(Given::Spec(spec)) => self.message("spec", Some(spec)).map(Arc::new),
            None => {
                self.reject_here("is empty: set name to an entry of the book, or spec to the specification itself");
                None
            }
        }
    }

    /// Reads an entry that must be there.
    pub fn needed_entry<D: Referred>(
        &mut self,
        name: &'static str,
        wire: Option<&D::Ref>,
        lookup: &impl Lookup,
    ) -> Option<Arc<D>> {
        let wire = self.required(name, wire);
        self.entry(name, wire, lookup)
    }

    /// Looks up the entry of a name.
    pub fn find<D: Referred>(&mut self, field: &'static str, name: &str, lookup: &impl Lookup) -> Option<Arc<D>> {
        // The name is taken apart only when nothing was found: whatever is in the book is well formed.
        let found = lookup.find(name).and_then(D::pick);
        if found.is_none() {
            self.missed(field, name, D::KIND, lookup);
        }
        found
    }

    #[cold]
    fn missed(&mut self, field: &'static str, name: &str, kind: pb::EntryKind, lookup: &impl Lookup) {
        match names::named(kind, name) {
            Ok(()) => self.not_found(field, name, lookup.nearest(name)),
            Err(why) => self.reject(field, why),
        }
    }
}
