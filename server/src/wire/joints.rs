//! The joints of a plan: what the receiver's maker specifies, and what the shop will really make.

use baybook_core::{
    calc::joint::{load_share, sheet, slip, strip},
    model::{
        bed::BedCoupling,
        joint::{JointSpec, JointStack},
        receiver::Receiver,
        upfit::PlannedJoint,
    },
    tables::limiting_pressure,
    units::{Length, Stress},
};
use baybook_proto::v1::{self as pb, bed_coupling_ref, receiver_ref};

use super::{
    Fields, Lookup, compare_fasteners::inspection, fastener::MARK_MAX, fields::LABEL_MAX, ranges, receiver::JOINTS_MAX,
    refs::Referred,
};

impl Fields {
    /// Reads the planned joints and puts beside each what the receiver specifies for it.
    pub(super) fn planned_joints(
        &mut self,
        plan: &pb::UpfitPlan,
        receiver: Option<&Receiver>,
        coupling: Option<&BedCoupling>,
        lookup: &impl Lookup,
    ) -> Vec<PlannedJoint> {
        if plan.joints.is_empty() {
            return Vec::new();
        }
        if plan.receiver.is_none() && plan.bed_coupling.is_none() {
            self.reject("joints", "are joints of the receiver, but the plan has none: name the receiver");
            return Vec::new();
        }
        for (index, joint) in plan.joints.iter().enumerate().take(JOINTS_MAX) {
            let first = plan.joints.iter().take(index).position(|before| before.id == joint.id);
            if let Some(first) = first.filter(|_| !joint.id.is_empty()) {
                let why = format!("is the same as joints[{first}].id: each must differ");
                self.at("joints", index, |fields| fields.reject("id", why));
            }
        }
        let holders = [
            receiver.map(|receiver| Holder {
                field: "receiver",
                joints: &receiver.joints,
                inline: matches!(
                    plan.receiver.as_ref().and_then(|r| r.receiver.as_ref()),
                    Some(receiver_ref::Receiver::Spec(_))
                ),
            }),
            coupling.map(|coupling| Holder {
                field: "bed_coupling",
                joints: &coupling.joints,
                inline: matches!(
                    plan.bed_coupling.as_ref().and_then(|r| r.bed_coupling.as_ref()),
                    Some(bed_coupling_ref::BedCoupling::Spec(_))
                ),
            }),
        ];
        // One that could not be read has been reported; its joints cannot be told from wrong ones.
        let all_read =
            receiver.is_some() == plan.receiver.is_some() && coupling.is_some() == plan.bed_coupling.is_some();
        self.each("joints", &plan.joints, JOINTS_MAX, |wire, fields| {
            let id = fields.text("id", &wire.id, LABEL_MAX);
            let spec = if all_read { fields.joint_of(&holders, &wire.id) } else { None };
            let mut joint = PlannedJoint {
                id,
                bolt_count: None,
                specified_bolt: None,
                specified_nut: None,
                specified_finish: None,
                specified_torque: None,
                method: None,
                bolt: fields.entry("bolt", wire.bolt.as_ref(), lookup),
                nut: fields.entry("nut", wire.nut.as_ref(), lookup),
                washer: fields.entry("washer", wire.washer.as_ref(), lookup),
                finish: fields.entry("finish", wire.finish.as_ref(), lookup),
                planned_torque: fields.torque("planned_torque", wire.planned_torque.as_ref(), &ranges::TORQUE),
                bolt_reused: wire.bolt_reused,
                bolt_inspection: wire.bolt_inspection.as_ref().map(inspection),
                nut_reused: wire.nut_reused,
                nut_lock: fields.nut_lock("nut_lock", wire.nut_lock),
                nut_prevailing: fields.torque("nut_prevailing", wire.nut_prevailing.as_ref(), &ranges::PREVAILING),
                wrench: fields.entry("wrench", wire.wrench.as_ref(), lookup),
                stack: wire.stack.as_ref().map(|wire| fields.under("stack", |fields| stack(wire, fields))),
            };
            if let Some((place, spec)) = spec {
                fields.specify(&mut joint, wire, spec, place, lookup);
            }
            Some(joint)
        })
    }

    /// Finds the joint that a plan calls by its id.
    fn joint_of<'r>(&mut self, holders: &[Option<Holder<'r>>; 2], id: &str) -> Option<(Place, &'r JointSpec)> {
        let known = || holders.iter().flatten();
        let found = known().find_map(|holder| {
            let mut joints = holder.joints.iter().enumerate();
            let (position, joint) = joints.find(|(_, joint)| joint.id == id && !id.is_empty())?;
            Some((Place { inline: holder.inline, field: holder.field, position }, joint))
        });
        if found.is_none() {
            let ids: Vec<&str> = known().flat_map(|holder| holder.joints).map(|joint| joint.id.as_str()).collect();
            let of = if holders[0].is_some() { "receiver" } else { "coupling in the bed" };
            let why = match ids.as_slice() {
                [] => format!("is a joint of the {of}, but the {of} lists none"),
                ids => format!("must be one of the {of}'s joints: {}", ids.join(", ")),
            };
            self.reject("id", why);
        }
        found
    }

    /// Fills in what the receiver specifies.
    fn specify(
        &mut self,
        joint: &mut PlannedJoint,
        wire: &pb::PlannedJoint,
        spec: &JointSpec,
        place: Place,
        lookup: &impl Lookup,
    ) {
        joint.specified_bolt = self.specified(spec.bolt.as_deref(), "bolt", place, lookup);
        joint.specified_nut = self.specified(spec.nut.as_deref(), "nut", place, lookup);
        joint.specified_finish = self.specified(spec.finish.as_deref(), "finish", place, lookup);
        joint.bolt_count = spec.count;
        joint.specified_torque = spec.torque;
        joint.method = spec.method;
        if wire.bolt.is_none() {
            joint.bolt.clone_from(&joint.specified_bolt);
        }
        if wire.nut.is_none() {
            joint.nut.clone_from(&joint.specified_nut);
        }
        if wire.washer.is_none() {
            joint.washer = self.specified(spec.washer.as_deref(), "washer", place, lookup);
        }
    }

    fn specified<D: Referred>(
        &mut self,
        name: Option<&str>,
        field: &'static str,
        place: Place,
        lookup: &impl Lookup,
    ) -> Option<std::sync::Arc<D>> {
        let name = name?;
        let found = lookup.find(name).and_then(D::pick);
        if found.is_none() {
            self.not_specified(name, field, place, lookup);
        }
        found
    }

    /// Notes that the receiver names an entry that is not there: under the receiver, for there it has to be mended.
    #[cold]
    fn not_specified(&mut self, name: &str, field: &'static str, place: Place, lookup: &impl Lookup) {
        let path = if place.inline {
            format!("{}.spec.joints[{}].{field}", place.field, place.position)
        } else {
            format!("{}.name", place.field)
        };
        self.not_found_beside("joints", &path, name, lookup.nearest(name));
    }
}

/// Where a specified joint stands.
#[derive(Debug, Clone, Copy)]
struct Place {
    /// Whether the part was given inline.
    inline: bool,
    /// The field of the plan that names the part.
    field: &'static str,
    /// Which of its joints it is.
    position: usize,
}

/// A part of the plan that is held by joints.
#[derive(Debug, Clone, Copy)]
struct Holder<'a> {
    /// The field of the plan that names it.
    field: &'static str,
    joints: &'a [JointSpec],
    /// Whether it was given inline.
    inline: bool,
}

/// Reads how a joint is built and loaded.
fn stack(wire: &pb::JointStack, fields: &mut Fields) -> JointStack {
    let material = |fields: &mut Fields, name: &'static str, material: &str| {
        if material.trim().is_empty() || !fields.fits(name, material, MARK_MAX) {
            return None;
        }
        let row = limiting_pressure::named(&material.trim().to_lowercase());
        row.map_err(|error| fields.reject_calc(name, &error)).ok().map(|row| row.limit().0)
    };
    JointStack {
        grip: fields.number("grip_mm", wire.grip_mm, &ranges::THICKNESS).map(Length::from_mm),
        washer_count: fields.count("washer_count", wire.washer_count, 0, 2),
        hole_diameter: fields.number("hole_diameter_mm", wire.hole_diameter_mm, &sheet::HOLE).map(Length::from_mm),
        head_limit: material(fields, "head_material", &wire.head_material),
        nut_limit: material(fields, "nut_material", &wire.nut_material),
        engagement: fields.number("engagement_mm", wire.engagement_mm, &strip::ENGAGEMENT).map(Length::from_mm),
        inner_tensile: fields
            .number("inner_tensile_mpa", wire.inner_tensile_mpa, &strip::TENSILE)
            .map(Stress::from_mpa),
        edge_distance: fields.number("edge_distance_mm", wire.edge_distance_mm, &sheet::DISTANCE).map(Length::from_mm),
        coated: wire.coated,
        tension: fields.force("tension", wire.tension.as_ref(), &load_share::EXTERNAL),
        shear: fields.force("shear", wire.shear.as_ref(), &load_share::EXTERNAL),
        bolt_share: fields.number("bolt_share", wire.bolt_share, &load_share::SHARE),
        friction: fields.number("friction_share", wire.friction_share, &slip::FRICTION),
        interfaces: fields
            .count("interface_count", wire.interface_count, 1, slip::INTERFACES.max as i32)
            .and_then(|count| u32::try_from(count).ok()),
        plate_thickness: fields
            .number("plate_thickness_mm", wire.plate_thickness_mm, &sheet::THICKNESS)
            .map(Length::from_mm),
        plate_tensile: fields
            .number("plate_tensile_mpa", wire.plate_tensile_mpa, &sheet::TENSILE)
            .map(Stress::from_mpa),
    }
}
