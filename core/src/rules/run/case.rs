//! What a rule reads.

use super::{
    figures::{Figures, JointFigures},
    parts::Parts,
};
use crate::model::upfit::{PlannedJoint, Upfit};

/// One plan and everything computed from it.
#[derive(Debug, Clone, Copy)]
pub struct Case<'a> {
    /// The plan, with every name resolved.
    pub plan: &'a Upfit,
    /// The figures, each computed once.
    pub figures: &'a Figures,
    /// The parts between vehicle and trailer, with what each allows.
    pub links: &'a Parts,
}

impl<'a> Case<'a> {
    /// Returns the joints, each with its figures, in the plan's order.
    pub fn joints(&self) -> impl Iterator<Item = (&'a PlannedJoint, &'a JointFigures)> + use<'a> {
        self.plan.joints.iter().zip(&self.figures.joints)
    }

    /// Returns what a point of the underside is called, counting through body, receiver and ball mount.
    #[must_use]
    pub fn point_label(&self, index: usize) -> &'a str {
        point_label(self.plan, index)
    }
}

/// Returns what a point of a plan's underside is called, counting through body, receiver and ball mount.
#[must_use]
pub fn point_label(plan: &Upfit, index: usize) -> &str {
    let body = plan.vehicle.profile.as_ref().map_or(&[][..], |profile| &profile.points);
    let fit = plan.receiver.as_deref().and_then(|receiver| receiver.fit_for(&plan.vehicle.name));
    let gear = fit.map_or(&[][..], |fit| &fit.points);
    body.iter().chain(gear).nth(index).map_or("ball mount", |point| point.label.as_str())
}
