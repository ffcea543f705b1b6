//! What is known of the parts of a joint.

use baybook_core::{
    basis::{Seen, Source},
    calc::joint::{
        LEAST_SHARE,
        assembly::{Engaged, Friction, Give, Plate, Pry, StiffnessMethod, Surfaces},
        load_share, prying,
        resistance::{CombinedRule, ShearPlane},
        sheet,
        slip::{self, SlipRule},
        stiffness, strip,
    },
    range::Range,
    tables::{
        embedding::{Loading, Roughness},
        limiting_pressure,
        thread_limits::Limits,
    },
    units::{Length, Stress},
};
use baybook_proto::v1 as pb;

use super::{
    super::{
        Fields,
        fastener::{BOLTS_MAX, MARK_MAX},
        fields::LABEL_MAX,
        ranges,
    },
    LIMIT,
};

/// Diameters of a thread at their limits.
const LIMIT_DIAMETER: Range = Range::new("limit_mm", "mm", 1.0, 200.0);

pub(super) fn plate(wire: &pb::ClampedPlate, fields: &mut Fields) -> Option<Plate> {
    fields.text("label", &wire.label, LABEL_MAX);
    let mm = |fields: &mut Fields, name, value, range: &Range| fields.number(name, value, range).map(Length::from_mm);
    let thickness = mm(fields, "thickness_mm", wire.thickness_mm, &sheet::THICKNESS);
    let hole = mm(fields, "hole_diameter_mm", wire.hole_diameter_mm, &sheet::HOLE);
    let tensile = fields.number("tensile_mpa", wire.tensile_mpa, &sheet::TENSILE).map(Stress::from_mpa);
    let modulus = fields.number("modulus_mpa", wire.modulus_mpa, &stiffness::MODULUS).map(Stress::from_mpa);
    let tabled = if wire.material.trim().is_empty() || !fields.fits("material", &wire.material, MARK_MAX) {
        None
    } else {
        let row = limiting_pressure::named(&wire.material.trim().to_lowercase());
        row.map_err(|error| fields.reject_calc("material", &error)).ok().map(|row| row.limit().0)
    };
    let limit = fields.number("limiting_pressure_mpa", wire.limiting_pressure_mpa, &LIMIT).map(Stress::from_mpa);
    let end = mm(fields, "end_distance_mm", wire.end_distance_mm, &sheet::DISTANCE);
    let side = mm(fields, "side_distance_mm", wire.side_distance_mm, &sheet::DISTANCE);
    let pitch = mm(fields, "next_hole_mm", wire.next_hole_mm, &sheet::DISTANCE);
    let width = mm(fields, "strip_width_mm", wire.strip_width_mm, &sheet::DISTANCE);
    let holes = fields.count("strip_hole_count", wire.strip_hole_count, 0, BOLTS_MAX);
    if wire.strip_width_mm.is_some() && wire.strip_hole_count.is_none() {
        fields.reject("strip_hole_count", "is required with strip_width_mm: how many holes lie across the strip");
    }
    if wire.strip_hole_count.is_some() && wire.strip_width_mm.is_none() {
        fields.reject("strip_width_mm", "is required with strip_hole_count");
    }
    let strip = width.zip(holes.and_then(|holes| u32::try_from(holes).ok()));
    Some(Plate { thickness, hole, tensile, modulus, limit: limit.or(tabled), end, side, pitch, strip })
}

pub(super) fn give(wire: &pb::JointStiffness, fields: &mut Fields) -> Option<Give> {
    let share = fields.number("bolt_share", wire.bolt_share, &load_share::SHARE);
    let method = fields.choice("method", wire.method, |method| match method {
        pb::StiffnessMethod::Unspecified => None,
        pb::StiffnessMethod::Frustum => Some(StiffnessMethod::Frustum),
        pb::StiffnessMethod::Cone => Some(StiffnessMethod::Cone),
    });
    if wire.bolt_share.is_none() && wire.method == 0 {
        fields.reject("method", "is required without bolt_share: frustum or cone");
    }
    if wire.bolt_share.is_some() && wire.method != 0 {
        fields.reject("bolt_share", "contradicts method: give the share, or say how to work it out");
    }
    Some(Give {
        share,
        method,
        threaded: fields.number("threaded_mm", wire.threaded_mm, &stiffness::THREADED).map(Length::from_mm),
        bolt_modulus: fields
            .number("bolt_modulus_mpa", wire.bolt_modulus_mpa, &stiffness::MODULUS)
            .map(Stress::from_mpa),
        outer: fields.number("outer_diameter_mm", wire.outer_diameter_mm, &ranges::RING_OUTER).map(Length::from_mm),
        introduction: fields.number("introduction_share", wire.introduction_share, &load_share::INTRODUCTION),
    })
}

pub(super) fn surfaces(wire: &pb::JointSettling, fields: &mut Fields) -> Option<Surfaces> {
    let roughness = fields.needed_choice("roughness", wire.roughness, |roughness| match roughness {
        pb::SurfaceRoughness::Unspecified => None,
        pb::SurfaceRoughness::Below10 => Some(Roughness::Below10),
        pb::SurfaceRoughness::To40 => Some(Roughness::To40),
        pb::SurfaceRoughness::To160 => Some(Roughness::To160),
    });
    let across = fields.required("mainly_across", wire.mainly_across);
    let coated = fields.required("coated", wire.coated);
    let loading = if across? { Loading::Shear } else { Loading::Tension };
    Some(Surfaces { roughness: roughness?, loading, coated: coated? })
}

pub(super) fn friction(wire: &pb::JointFriction, fields: &mut Fields) -> Option<Friction> {
    let least = fields.needed("least_share", wire.least_share, &slip::FRICTION);
    let interfaces = fields.required("interface_count", wire.interface_count);
    let interfaces = fields.count("interface_count", interfaces, 1, slip::INTERFACES.max as i32);
    let alternating = fields.required("alternating", wire.alternating);
    let rule = slip_rule(wire, fields);
    let interfaces = u32::try_from(interfaces?).ok()?;
    Some(Friction { least: least?, interfaces, alternating: alternating?, rule: rule? })
}

/// Reads by which rule slip is judged, and what it takes.
fn slip_rule(wire: &pb::JointFriction, fields: &mut Fields) -> Option<SlipRule> {
    let rule = fields.choice("rule", wire.rule, Some)?;
    let (ec3, aisc) = (rule == pb::SlipRule::Ec3, rule == pb::SlipRule::Aisc);
    let given = [
        ("hole_factor_share", wire.hole_factor_share.is_some(), ec3 || aisc),
        ("du_share", wire.du_share.is_some(), aisc),
        ("pretension", wire.pretension.is_some(), aisc),
    ];
    for (field, given, needed) in given {
        match (given, needed) {
            (true, false) => fields.reject(field, "goes with another rule: say by which rule slip is judged"),
            (false, true) => fields.reject(field, "is required with this rule"),
            _ => {}
        }
    }
    let hole_factor = fields.number("hole_factor_share", wire.hole_factor_share, &slip::HOLE_FACTOR);
    let du = fields.number("du_share", wire.du_share, &slip::DU);
    let pretension = fields.force("pretension", wire.pretension.as_ref(), &ranges::PRELOAD);
    match rule {
        pb::SlipRule::Unspecified | pb::SlipRule::Vdi => Some(SlipRule::Vdi),
        pb::SlipRule::Ec3 => Some(SlipRule::Ec3 { hole_factor: hole_factor? }),
        pb::SlipRule::Aisc => Some(SlipRule::Aisc { du: du?, hole_factor: hole_factor?, pretension: pretension? }),
    }
}

pub(super) fn plane(wire: &pb::AssessJointRequest, fields: &mut Fields) -> Option<(ShearPlane, CombinedRule)> {
    let plane = fields.choice("shear_plane", wire.shear_plane, |plane| match plane {
        pb::ShearPlane::Unspecified => None,
        pb::ShearPlane::Thread => Some(ShearPlane::Thread),
        pb::ShearPlane::Body => Some(ShearPlane::Body),
    });
    let rule = fields.choice("combined_rule", wire.combined_rule, |rule| match rule {
        pb::CombinedRule::Unspecified => None,
        pb::CombinedRule::Ec3 => Some(CombinedRule::Ec3),
        pb::CombinedRule::NasaBody => Some(CombinedRule::NasaBody),
        pb::CombinedRule::NasaThread => Some(CombinedRule::NasaThread),
        pb::CombinedRule::Rp1228Cautious => Some(CombinedRule::Rp1228Cautious),
        pb::CombinedRule::Rp1228Bold => Some(CombinedRule::Rp1228Bold),
        pb::CombinedRule::Aisc => Some(CombinedRule::Aisc),
    });
    if wire.shear_plane != 0 && wire.combined_rule == 0 {
        fields
            .reject("combined_rule", "is required with shear_plane: by which rule are tension and shear put together");
    }
    if wire.combined_rule != 0 && wire.shear_plane == 0 {
        fields.reject("shear_plane", "is required with combined_rule: through the thread, or through the body");
    }
    plane.zip(rule)
}

pub(super) fn engaged(wire: &pb::ThreadEngagement, fields: &mut Fields) -> Option<Engaged> {
    let length = fields.number("engagement_mm", wire.engagement_mm, &strip::ENGAGEMENT).map(Length::from_mm);
    let tensile = fields.number("inner_tensile_mpa", wire.inner_tensile_mpa, &strip::TENSILE).map(Stress::from_mpa);
    let shear_share = fields.needed("shear_share", wire.shear_share, &strip::SHEAR_SHARE);
    let method = fields.needed_choice("factors", wire.factors, |factors| match factors {
        pb::StripFactors::Unspecified => None,
        pb::StripFactors::None => Some(strip::StripMethod::Plain),
        pb::StripFactors::WideningAndBending => Some(strip::StripMethod::Factored),
    });
    let four = [
        ("bolt_pitch_min_mm", wire.bolt_pitch_min_mm),
        ("bolt_major_min_mm", wire.bolt_major_min_mm),
        ("inner_pitch_max_mm", wire.inner_pitch_max_mm),
        ("inner_minor_max_mm", wire.inner_minor_max_mm),
    ];
    let limits = if four.iter().any(|(_, value)| value.is_some()) {
        let read = four.map(|(name, value)| fields.needed(name, value, &LIMIT_DIAMETER).map(Length::from_mm));
        let [bolt_pitch_min, bolt_major_min, nut_pitch_max, nut_minor_max] = read;
        let source = Source::new("thread limits as given with the call", "", Seen::Derived);
        let limits = Limits {
            bolt_pitch_min: bolt_pitch_min?,
            bolt_major_min: bolt_major_min?,
            nut_pitch_max: nut_pitch_max?,
            nut_minor_max: nut_minor_max?,
            source,
        };
        if limits.bolt_pitch_min <= limits.nut_minor_max || limits.bolt_major_min <= limits.nut_pitch_max {
            fields.reject("inner_minor_max_mm", "leaves no overlap of the two threads: check the four diameters");
            return None;
        }
        Some(limits)
    } else {
        None
    };
    Some(Engaged { length, tensile, shear_share: shear_share?, method: method?, limits })
}

pub(super) fn pry(wire: &pb::JointPrying, fields: &mut Fields) -> Option<Pry> {
    let lever = |fields: &mut Fields, name, value| fields.needed(name, value, &prying::LEVER).map(Length::from_mm);
    let length = lever(fields, "effective_length_mm", wire.effective_length_mm);
    let thickness = fields.needed("thickness_mm", wire.thickness_mm, &prying::THICKNESS).map(Length::from_mm);
    let yields = fields.needed("yield_mpa", wire.yield_mpa, &prying::YIELD).map(Stress::from_mpa);
    let to_web = lever(fields, "to_web_mm", wire.to_web_mm);
    let to_edge = lever(fields, "to_edge_mm", wire.to_edge_mm);
    let bolts = fields.required("bolt_count", wire.bolt_count);
    let bolts = fields.count("bolt_count", bolts, 1, BOLTS_MAX);
    Some(Pry {
        length: length?,
        thickness: thickness?,
        yields: yields?,
        to_web: to_web?,
        to_edge: to_edge?,
        bolts: u32::try_from(bolts?).ok()?,
    })
}

pub(super) fn cycles(wire: &pb::JointCycles, fields: &mut Fields) -> Option<(bool, f64)> {
    let after = fields.required("rolled_after", wire.rolled_after);
    let least = fields.needed("least_share", wire.least_share, &LEAST_SHARE);
    Some((after?, least?))
}
