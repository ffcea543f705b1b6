//! Added mass, the label and the duties: the question from the wire, the answer to it.

use baybook_core::{
    basis::Seen,
    calc::{
        added_mass::{self, ADDED, GVWR, SetBy, Threshold, label_threshold},
        capacity_label::{self, CAPACITY, Change, NewCapacity, OldLabel, Sum, UNLOADED, new_capacity, sum},
        roles::{Duties, WorkFacts, duties},
    },
    model::upfit::SaleState,
    range::Range,
    tables::roles::Role,
    units::Mass,
};
use baybook_proto::v1 as pb;

use super::{
    Fields, FromWire,
    basis::{basis_to_wire, caution},
    fields::LABEL_MAX,
    plan::sale_state,
};

/// The most changes of one question.
pub const CHANGES_MAX: usize = 200;
/// Mass of one change.
const CHANGE: Range = Range::new("added_mass_kg", "kg", 0.0, ADDED.max);

/// What one shop did, as read.
#[derive(Debug, Clone, PartialEq)]
struct Done {
    by: String,
    added: Mass,
    removed: Mass,
}

/// A question what was added to a vehicle.
#[derive(Debug, Clone, PartialEq)]
pub struct AddedMass {
    gvwr: Mass,
    threshold: Threshold,
    done: Vec<Done>,
    total: Sum,
    label: Option<(OldLabel, NewCapacity)>,
    complete: Option<bool>,
    facts: WorkFacts,
}

impl FromWire for AddedMass {
    type Wire = pb::AddedMassRequest;

    fn from_wire(wire: &pb::AddedMassRequest, fields: &mut Fields) -> Option<Self> {
        fields.required("gvwr", wire.gvwr.as_ref());
        let gvwr = fields.mass("gvwr", wire.gvwr.as_ref(), &GVWR);
        let capacity = fields.mass("capacity", wire.capacity.as_ref(), &CAPACITY);
        let unloaded = fields.mass("unloaded", wire.unloaded.as_ref(), &UNLOADED);
        for (field, has, other) in [
            ("capacity", wire.capacity.is_some(), wire.unloaded.is_some()),
            ("unloaded", wire.unloaded.is_some(), wire.capacity.is_some()),
        ] {
            if !has && other {
                fields.reject(field, "is required for the new capacity: give capacity and unloaded, or neither");
            }
        }
        let done = fields.each("changes", &wire.changes, CHANGES_MAX, change);
        let facts = fields.under("work", |fields| facts(wire.work.as_ref(), fields));
        let changes: Vec<Change<'_>> =
            done.iter().map(|it| Change { by: &it.by, added: it.added, removed: it.removed }).collect();
        let total = sum(&changes).map_err(|error| fields.reject_calc("changes", &error)).ok();
        let gvwr = gvwr?;
        let threshold = label_threshold(gvwr).map_err(|error| fields.reject_calc("gvwr", &error)).ok()?;
        let total = total?;
        let label = match capacity.zip(unloaded) {
            None => None,
            Some((capacity, unloaded)) => {
                let old = OldLabel { gvwr, capacity, unloaded };
                let field = |error: &baybook_core::error::CalcError| match error.field() {
                    "gvwr_kg" => "gvwr",
                    "capacity_kg" => "capacity",
                    "unloaded_kg" => "unloaded",
                    _ => "changes",
                };
                let new = new_capacity(&old, &total).map_err(|error| fields.reject_calc(field(&error), &error)).ok()?;
                Some((old, new))
            }
        };
        Some(Self { gvwr, threshold, done, total, label, complete: wire.history_complete, facts })
    }
}

fn change(wire: &pb::MassChange, fields: &mut Fields) -> Option<Done> {
    let by = fields.text("by", wire.by.trim(), LABEL_MAX);
    if wire.by.trim().is_empty() {
        fields.reject("by", "is required: the log says which shop did it");
    }
    fields.text("what", &wire.what, LABEL_MAX);
    let added = fields.number("added_mass_kg", wire.added_mass_kg, &CHANGE);
    let removed = fields.number("removed_mass_kg", wire.removed_mass_kg, &CHANGE);
    if wire.added_mass_kg.is_none() && wire.removed_mass_kg.is_none() {
        fields.reject("added_mass_kg", "or removed_mass_kg is required: weigh the part");
        return None;
    }
    // One of the two was given; a change that only adds takes nothing off.
    let mass = |value: Option<f64>| value.map_or(Mass::ZERO, Mass::from_kg);
    Some(Done { by, added: mass(added), removed: mass(removed) })
}

fn facts(wire: Option<&pb::WorkFacts>, fields: &mut Fields) -> WorkFacts {
    let Some(wire) = wire else { return WorkFacts::default() };
    WorkFacts {
        sale: fields.choice("sale_state", wire.sale_state, sale_state),
        completes_incomplete: wire.completes_incomplete,
        fits_hitch: wire.fits_hitch,
        beyond_readily_attachable: wire.beyond_readily_attachable,
        plate_lamp_moved: wire.plate_lamp_moved,
        type_approval: wire.type_approval,
        heavy_trailer_with_guard: wire.heavy_trailer_with_guard,
    }
}

impl AddedMass {
    /// Returns whether a label is due: over the threshold before the first sale. A list that may lack a shop's work is
    /// no proof of staying under.
    fn due(&self) -> Option<bool> {
        let over = self.threshold.due(self.total.net());
        match (self.facts.sale, over, self.complete) {
            (Some(SaleState::InUse), _, _) => Some(false),
            (Some(SaleState::BeforeFirstSale), true, _) => Some(true),
            (Some(SaleState::BeforeFirstSale), false, Some(true)) => Some(false),
            (Some(SaleState::BeforeFirstSale), false, Some(false) | None) | (None, _, _) => None,
        }
    }

    /// Returns the sums of each shop, in the order in which they first come up.
    fn shops(&self) -> Vec<pb::ShopSum> {
        let mut shops: Vec<(&str, Mass, Mass)> = Vec::new();
        for done in &self.done {
            match shops.iter_mut().find(|shop| shop.0 == done.by) {
                Some(shop) => {
                    shop.1 += done.added;
                    shop.2 += done.removed;
                }
                None => shops.push((&done.by, done.added, done.removed)),
            }
        }
        let write = |(by, added, removed): (&str, Mass, Mass)| pb::ShopSum {
            by: by.to_owned(),
            added_mass_kg: Some(added.kg()),
            removed_mass_kg: Some(removed.kg()),
        };
        shops.into_iter().map(write).collect()
    }
}

/// Writes what was added, what is left, and who has which duty.
#[must_use]
pub fn added_mass_to_wire(asked: &AddedMass, revision: i64) -> pb::AddedMassResponse {
    let Duties { duties, ask } = duties(&asked.facts);
    let mut basis = added_mass::basis(asked.gvwr);
    if let Some((old, _)) = &asked.label {
        basis.extend(capacity_label::basis(old, &asked.total));
    }
    let new = asked.label.as_ref().map(|(_, new)| new);
    pb::AddedMassResponse {
        added_mass_kg: Some(asked.total.added.kg()),
        removed_mass_kg: Some(asked.total.removed.kg()),
        net_mass_kg: Some(asked.total.net().kg()),
        limit_mass_kg: Some(asked.threshold.limit.kg()),
        limit_set_by: match asked.threshold.set_by {
            SetBy::Share => pb::LimitSetBy::Share,
            SetBy::HundredPounds => pb::LimitSetBy::HundredPounds,
        }
        .into(),
        label_due: asked.due(),
        shops: asked.shops(),
        capacity_left_kg: new.map(|new| new.capacity.kg()),
        capped_by_gvwr: new.is_some_and(|new| new.capped_by_gvwr),
        label_text: new.map(NewCapacity::words).unwrap_or_default(),
        duties: duties
            .iter()
            .map(|duty| pb::RoleDuty {
                role: role(duty.role).to_owned(),
                trigger: duty.trigger.to_owned(),
                duty: duty.duty.to_owned(),
                source: duty.source.title.to_owned(),
                edition: duty.source.edition.to_owned(),
                status: match duty.source.seen {
                    Seen::Opened => pb::SourceStatus::Opened,
                    Seen::FromMemory => pb::SourceStatus::FromMemory,
                    Seen::CommonPractice => pb::SourceStatus::CommonPractice,
                    Seen::Derived => pb::SourceStatus::Derived,
                }
                .into(),
            })
            .collect(),
        // The field of the question is `sale_state`.
        ask: ask.iter().map(|field| if *field == "sale" { "sale_state" } else { field }.to_owned()).collect(),
        basis: basis_to_wire(&basis),
        cautions: cautions(asked),
        revision,
    }
}

const fn role(role: Role) -> &'static str {
    match role {
        Role::IncompleteVehicleMaker => "incomplete-vehicle maker",
        Role::FinalStageMaker => "final-stage maker",
        Role::Alterer => "alterer",
        Role::ReadilyAttachableInstaller => "installer of readily attachable parts",
        Role::HitchInstallerBeforeSale => "installer of a hitch before the first sale",
        Role::BusinessOnUsedVehicle => "business on a vehicle in use",
        Role::PlateLampMover => "who moves the plate lamp",
        Role::TypeApprovalInstaller => "installer under type approval",
        Role::RearGuardKeeper => "keeper of a rear guard",
    }
}

fn cautions(asked: &AddedMass) -> Vec<pb::Caution> {
    let mut all = vec![caution(
        "law-governs",
        "general words on rules of the United States, no legal advice: the law of the place and the maker govern",
    )];
    let mut add = |holds: bool, id: &str, text: &str| {
        if holds {
            all.push(caution(id, text));
        }
    };
    add(
        asked.complete != Some(true),
        "mass-history-unknown",
        "nobody says that the list holds every shop's work since certification: staying under proves nothing",
    );
    add(
        asked.facts.sale.is_none(),
        "sale-state-unknown",
        "whether a label is due hangs on whether the vehicle was sold to its first user: ask",
    );
    add(
        Mass::ZERO < asked.total.removed,
        "net-of-removed",
        "counting net of removed parts is common practice: keep both masses in the log",
    );
    add(
        asked.label.as_ref().is_some_and(|(_, new)| new.capacity <= Mass::ZERO),
        "no-capacity-left",
        "nothing is left for people and cargo: the vehicle must not go out so",
    );
    add(asked.label.is_none(), "capacity-unknown", "capacity and unloaded mass were not given: no label text");
    add(
        true,
        "exact-pound",
        "the threshold is the exact hundred pounds, 45.359 kg; the rule's own 45.4 kg is that number rounded",
    );
    all
}

#[cfg(test)]
mod tests;
