//! What a joint's build and load lack is told by the very rule that needs it, each asked alone.

use super::super::{Severity, Verdict, check, find, run::fixture::*};
use crate::{
    model::{
        fastener::{BoltClass, HeadKind, NutKind, SaeGrade},
        upfit::Upfit,
    },
    rules::{Case, Figures, Finding, Findings, Parts},
};
use std::sync::Arc;

/// Asks one rule alone: nobody before it has told what is missing.
fn alone(rule: &str, plan: &Upfit) -> Vec<Finding> {
    let (figures, links) = (Figures::of(plan), Parts::of(plan));
    let (rule, mut findings) = (find(rule).unwrap(), Findings::default());
    findings.begin(rule);
    (rule.check)(&Case { plan, figures: &figures, links: &links }, &mut findings);
    findings.into_list()
}

fn built() -> Upfit {
    let mut p = plan();
    stack(&mut p);
    p
}

type Knock = (&'static str, fn(&mut Upfit));

const BOLT: Knock = ("joints[0].bolt", |p| joint(p).bolt = None);
const CLASS: Knock = ("joints[0].bolt.property_class", |p| {
    Arc::make_mut(joint(p).bolt.as_mut().unwrap()).class = None;
});
const TORQUE: Knock = ("joints[0].planned_torque", |p| joint(p).planned_torque = None);
const FINISH: Knock = ("joints[0].finish", |p| joint(p).finish = None);
const HOLE: Knock = ("joints[0].stack.hole_diameter_mm", |p| part(p).hole_diameter = None);
const EDGE: Knock = ("joints[0].stack.edge_distance_mm", |p| part(p).edge_distance = None);
const TENSION: Knock = ("joints[0].stack.tension", |p| part(p).tension = None);
const SHEAR: Knock = ("joints[0].stack.shear", |p| part(p).shear = None);
const PLATE: Knock = ("joints[0].stack.plate_thickness_mm", |p| part(p).plate_thickness = None);
const TENSILE: Knock = ("joints[0].stack.plate_tensile_mpa", |p| part(p).plate_tensile = None);

fn part(p: &mut Upfit) -> &mut crate::model::joint::JointStack {
    joint(p).stack.as_mut().unwrap()
}

/// Every rule over a joint's build and load, and every input it takes.
const NEEDS: &[(&str, &[Knock])] = &[
    (
        "bolt-too-short",
        &[
            BOLT,
            ("joints[0].bolt.length", |p| Arc::make_mut(joint(p).bolt.as_mut().unwrap()).length = None),
            ("joints[0].nut.height_mm", |p| Arc::make_mut(joint(p).nut.as_mut().unwrap()).height = None),
            ("joints[0].stack.grip_mm", |p| part(p).grip = None),
            ("joints[0].stack.washer_count", |p| part(p).washer_count = None),
            ("joints[0].washer.thickness_mm", |p| Arc::make_mut(joint(p).washer.as_mut().unwrap()).thickness = None),
        ],
    ),
    (
        "engagement-short",
        &[
            BOLT,
            CLASS,
            ("joints[0].stack.engagement_mm", |p| Arc::make_mut(joint(p).nut.as_mut().unwrap()).height = None),
            ("joints[0].stack.inner_tensile_mpa", |p| Arc::make_mut(joint(p).nut.as_mut().unwrap()).class = None),
        ],
    ),
    (
        "pressure-under-head",
        &[
            BOLT,
            TORQUE,
            FINISH,
            HOLE,
            ("joints[0].stack.head_material", |p| part(p).head_limit = None),
            ("joints[0].bolt.bearing_diameter_mm", |p| {
                Arc::make_mut(joint(p).bolt.as_mut().unwrap()).head = Some(HeadKind::HexFlange);
            }),
        ],
    ),
    (
        "pressure-under-nut",
        &[
            BOLT,
            TORQUE,
            FINISH,
            HOLE,
            ("joints[0].stack.nut_material", |p| part(p).nut_limit = None),
            ("joints[0].stack.washer_count", |p| part(p).washer_count = None),
            ("joints[0].washer.outer_diameter", |p| {
                Arc::make_mut(joint(p).washer.as_mut().unwrap()).outer_diameter = None;
            }),
            ("joints[0].washer.inner_diameter", |p| {
                Arc::make_mut(joint(p).washer.as_mut().unwrap()).inner_diameter = None;
            }),
            ("joints[0].nut.bearing_diameter_mm", |p| {
                joint(p).washer = None;
                Arc::make_mut(joint(p).nut.as_mut().unwrap()).kind = Some(NutKind::Captive);
            }),
        ],
    ),
    ("joint-separates", &[TENSION, TORQUE, FINISH]),
    (
        "joint-slips",
        &[
            SHEAR,
            TENSION,
            TORQUE,
            FINISH,
            ("joints[0].stack.friction_share", |p| part(p).friction = None),
            ("joints[0].stack.interface_count", |p| part(p).interfaces = None),
        ],
    ),
    ("bolt-overloaded", &[TENSION, BOLT, CLASS, TORQUE, FINISH]),
    ("edge-distance-short", &[EDGE, BOLT]),
    ("hole-bearing", &[BOLT, HOLE, EDGE, PLATE, TENSILE]),
    ("tear-out", &[BOLT, HOLE, EDGE, PLATE, TENSILE]),
    ("bolt-sheared", &[BOLT, CLASS, SHEAR, TENSION]),
    ("coated-interface", &[("joints[0].stack.coated", |p| part(p).coated = None)]),
];

#[test]
fn each_rule_over_a_joints_build_asks_for_what_it_lacks() {
    assert_eq!(check(&built()).verdict, Verdict::Clear);
    for (rule, knocks) in NEEDS {
        assert!(alone(rule, &built()).is_empty(), "{rule}");
        for (field, knock) in *knocks {
            let mut p = built();
            knock(&mut p);
            let told = alone(rule, &p);
            let asked = told.iter().any(|f| f.unknown && f.subject == *field && Severity::Review <= f.severity);
            assert!(asked, "{rule} does not ask for {field}: {told:?}");
            assert!(Verdict::Review <= check(&p).verdict, "{rule}, {field}");
        }
    }
}

/// A bolt that is too long is told from the same lengths, and leaves it to its neighbour to ask for them.
#[test]
fn every_rule_that_reads_a_stack_is_in_the_list() {
    let listed: Vec<&str> = NEEDS.iter().map(|(rule, _)| *rule).chain(["bolt-too-long"]).collect();
    for rule in super::super::RULES {
        let reads = rule.needs.iter().any(|field| field.starts_with("joints.stack"));
        assert_eq!(reads, listed.contains(&rule.id), "{}", rule.id);
    }
}

/// What is lost with a rule that has no figures for a bolt is not taken for fine either.
#[test]
fn a_bolt_that_the_rule_for_shear_has_no_figures_for_is_asked_about() {
    let mut p = built();
    Arc::make_mut(joint(&mut p).bolt.as_mut().unwrap()).class = Some(BoltClass::Sae(SaeGrade::G8));
    assert!(alone("bolt-sheared", &p).iter().any(|f| f.unknown && Severity::Review <= f.severity));
}
