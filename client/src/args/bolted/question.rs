//! From flags to the question on the wire.

use baybook_proto::v1::{self as pb, joint_loads::Loads, joint_tightening::Aim};

use super::BoltedFlags;

impl BoltedFlags {
    pub(super) fn request(self) -> pb::AssessJointRequest {
        let (tightening, loads, stiffness) = (self.tightening(), self.loads(), self.give());
        let settled = self.roughness.is_some() || self.mainly_across.is_some() || self.coated.is_some();
        let slides = self.friction.is_some()
            || self.interfaces.is_some()
            || self.alternating.is_some()
            || self.slip_rule.is_some();
        let engaged = self.engagement.is_some()
            || self.inner_strength.is_some()
            || self.thread_shear.is_some()
            || self.strip_factors.is_some();
        let comes = self.rolled_after.is_some() || self.least_load.is_some();
        let washer =
            |name: Option<String>| name.map(|name| pb::WasherRef { washer: Some(pb::washer_ref::Washer::Name(name)) });
        pb::AssessJointRequest {
            bolt: Some(self.bolt()),
            nut: self.nut.map(|name| pb::NutRef { nut: Some(pb::nut_ref::Nut::Name(name)) }),
            head_washer: washer(self.head_washer),
            nut_washer: washer(self.nut_washer),
            washer_limit_mpa: self.washer_limit,
            tapped_hole: self.tapped_hole.map(bool::from),
            plates: self.plate,
            tightening,
            loads,
            stiffness,
            settling: settled.then(|| pb::JointSettling {
                roughness: self.roughness.map_or(pb::SurfaceRoughness::Unspecified, Into::into).into(),
                mainly_across: self.mainly_across.map(bool::from),
                coated: self.coated.map(bool::from),
            }),
            friction: slides.then(|| pb::JointFriction {
                least_share: self.friction,
                interface_count: self.interfaces,
                alternating: self.alternating.map(bool::from),
                rule: self.slip_rule.map_or(pb::SlipRule::Unspecified, Into::into).into(),
                hole_factor_share: self.hole_factor,
                du_share: self.du,
                pretension: self.pretension,
            }),
            thermal_loss: self.thermal_loss,
            shear_plane: self.shear_plane.map_or(pb::ShearPlane::Unspecified, Into::into).into(),
            combined_rule: self.combined_rule.map_or(pb::CombinedRule::Unspecified, Into::into).into(),
            thread: engaged.then(|| pb::ThreadEngagement {
                engagement_mm: self.engagement,
                inner_tensile_mpa: self.inner_strength,
                shear_share: self.thread_shear,
                factors: self.strip_factors.map_or(pb::StripFactors::Unspecified, Into::into).into(),
                ..pb::ThreadEngagement::default()
            }),
            prying: self.prying,
            cycles: comes.then(|| pb::JointCycles {
                rolled_after: self.rolled_after.map(bool::from),
                least_share: self.least_load,
            }),
            left_out: self.leave_out.into_iter().map(|check| pb::JointCheck::from(check).into()).collect(),
        }
    }

    fn bolt(&self) -> pb::BoltRef {
        let bolt = match &self.bolt {
            Some(name) => pb::bolt_ref::Bolt::Name(name.clone()),
            None => pb::bolt_ref::Bolt::Spec(Box::new(pb::Bolt {
                thread: self.thread.clone().unwrap_or_default(),
                property_class: self.class.clone().unwrap_or_default(),
                length: self.length.map(|length| pb::Length { value_mm: Some(length), printed: String::new() }),
                head: self.head.map_or(pb::HeadKind::Unspecified, pb::HeadKind::from).into(),
                bearing_diameter_mm: self.bearing_diameter,
                ..pb::Bolt::default()
            })),
        };
        pb::BoltRef { bolt: Some(bolt) }
    }

    fn tightening(&self) -> Option<pb::JointTightening> {
        let torque = self.torque.clone().map(Aim::Torque);
        let aim = torque.or_else(|| self.preload.clone().map(Aim::Preload))?;
        let wrench = self.wrench.clone().map(|name| pb::WrenchRef { wrench: Some(pb::wrench_ref::Wrench::Name(name)) });
        Some(pb::JointTightening {
            aim: Some(aim),
            condition: self.condition.clone(),
            window_share: self.window,
            wrench,
            washer_turns: self.washer_turns.map(bool::from),
            method: self.way.map_or(pb::JointTighteningWay::Unspecified, Into::into).into(),
        })
    }

    fn loads(&self) -> Option<pb::JointLoads> {
        let loads = if self.tension.is_some() || self.shear.is_some() {
            Some(Loads::PerBolt(pb::WorstBoltLoad { tension: self.tension.clone(), shear: self.shear.clone() }))
        } else if let Some(trailer) = &self.trailer_mass {
            Some(Loads::Road(pb::RoadLoad {
                trailer_mass: Some(trailer.clone()),
                tongue_load: self.tongue.clone(),
                pull_share: self.lengthwise,
                sway_share: self.crosswise,
                bounce_share: self.bounce,
            }))
        } else {
            self.test_rating.clone().map(Loads::TestRating).or(self.force.map(Loads::Given))
        };
        let placed = !self.bolt_at.is_empty() || self.ball_at.is_some() || self.axis.is_some() || self.side.is_some();
        if loads.is_none() && !placed {
            return None;
        }
        let bracket = placed.then(|| pb::JointBracket {
            bolts: self.bolt_at.clone(),
            axis: self.axis.map_or(pb::BoltAxis::Unspecified, Into::into).into(),
            side: self.side.map_or(pb::FrameSide::Unspecified, Into::into).into(),
            ball: self.ball_at,
            taken_share: self.taken,
            contact_least: self.contact_least,
            contact_most: self.contact_most,
        });
        Some(pb::JointLoads { loads, bracket })
    }

    fn give(&self) -> Option<pb::JointStiffness> {
        let any = self.stiffness.is_some()
            || self.bolt_share.is_some()
            || [self.threaded, self.bolt_modulus, self.parts_diameter, self.introduction].iter().any(Option::is_some);
        any.then(|| pb::JointStiffness {
            bolt_share: self.bolt_share,
            method: self.stiffness.map_or(pb::StiffnessMethod::Unspecified, Into::into).into(),
            threaded_mm: self.threaded,
            bolt_modulus_mpa: self.bolt_modulus,
            outer_diameter_mm: self.parts_diameter,
            introduction_share: self.introduction,
        })
    }
}
