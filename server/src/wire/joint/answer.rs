//! Whether a joint holds: the answer to the wire.

use baybook_core::{
    basis::{Basis, Seen},
    calc::{
        joint::{
            Item, ItemKind, Under, Unknown,
            assembly::{Assembly, Assessed, Check, Plate, Rates, StiffnessMethod},
            hitch,
            stiffness::{BOLT_SOURCE, CONE_SOURCE, FRUSTUM_SOURCE, RESILIENCE_SOURCE},
        },
        torque::scatter,
    },
    error::CalcError,
    tables::{j684, tightening_method},
    units::{Force, Length},
};
use baybook_proto::v1 as pb;

use super::{
    super::basis::{basis_to_wire, caution, cautions_to_wire},
    AssessJoint,
};

/// Writes whether a joint holds.
#[must_use]
pub fn joint_to_wire(asked: &AssessJoint, found: &Assessed, revision: i64) -> pb::AssessJointResponse {
    let report = &found.report;
    let preload = &asked.preload;
    let share = |force: Force| preload.proof.map(|proof| force / proof);
    let state = match report.holds() {
        Some(true) => pb::JointState::Holds,
        Some(false) => pb::JointState::Fails,
        None => pb::JointState::Undecided,
    };
    let rates = |rates: &Rates| pb::JointRates {
        method: match rates.method {
            StiffnessMethod::Frustum => pb::StiffnessMethod::Frustum,
            StiffnessMethod::Cone => pb::StiffnessMethod::Cone,
        }
        .into(),
        bolt_n_per_mm: Some(rates.bolt.n_per_mm()),
        parts_n_per_mm: Some(rates.parts.n_per_mm()),
        bolt_share: Some(rates.share),
    };
    pb::AssessJointResponse {
        state: state.into(),
        items: report.items.iter().map(item).collect(),
        unknown: report.unknown.iter().map(|it| unknown(it, &asked.assembly)).collect(),
        preload: Some(pb::ForceBand {
            min_n: Some(preload.min.n()),
            nominal_n: Some(preload.nominal.n()),
            max_n: Some(preload.max.n()),
        }),
        proof: preload.proof.map(|_| pb::ShareBand {
            min_share: share(preload.min),
            nominal_share: share(preload.nominal),
            max_share: share(preload.max),
        }),
        cases: report
            .cases
            .iter()
            .map(|case| pb::JointLoadCase {
                label: case.label.to_owned(),
                bolts: case.bolts.iter().map(bolt_load).collect(),
            })
            .collect(),
        bolt_share: report.share,
        embedding_n: report.embedding.map(Force::n),
        separates: report.separates,
        rates: found.rates.iter().map(rates).collect(),
        protrusion_mm: found.protrusion.map(|protrusion| protrusion.out.mm()),
        protrusion_count: found.protrusion.map(|protrusion| protrusion.threads),
        length_min_mm: found.least_length.map(Length::mm),
        engagement_mm: found.engagement.map(Length::mm),
        basis: basis_to_wire(&basis(asked, found)),
        cautions: cautions(asked, found),
        revision,
    }
}

fn bolt_load(load: &hitch::BoltLoad) -> pb::JointBoltLoad {
    pb::JointBoltLoad { tension_n: Some(load.tension.n()), shear_n: Some(load.shear.n()) }
}

/// Returns a count from 1.
fn position(at: Option<usize>) -> Option<i32> {
    at.and_then(|at| i32::try_from(at + 1).ok())
}

fn item(item: &Item) -> pb::JointItem {
    pb::JointItem {
        id: item.kind.id().to_owned(),
        label: item.kind.label().to_owned(),
        demand_in_unit: Some(item.demand),
        allowed_in_unit: Some(item.allowed),
        unit: item.unit.to_lowercase(),
        use_share: Some(item.use_share),
        bolt_position: position(item.bolt),
        load_case: item.case.unwrap_or_default().to_owned(),
        plate_position: position(item.kind.plate()),
        source: item.source.to_string(),
    }
}

fn unknown(unknown: &Unknown, assembly: &Assembly) -> pb::JointUnknown {
    pb::JointUnknown {
        id: unknown.kind.id().to_owned(),
        label: unknown.kind.label().to_owned(),
        field: field(unknown, assembly),
        why: match &unknown.why {
            CalcError::Missing { .. } => "is not known".to_owned(),
            other => other.to_string(),
        },
    }
}

/// Returns the field of the request that an unknown item lacks, or that hinders it.
fn field(unknown: &Unknown, assembly: &Assembly) -> String {
    let last = assembly.plates.len().saturating_sub(1);
    let at = match unknown.kind {
        ItemKind::Pressure(Under::Nut | Under::NutWasher) => last,
        kind => kind.plate().unwrap_or(0),
    };
    let plate = |field: &str| format!("plates[{at}].{field}");
    match unknown.why.field() {
        "faying_friction" => "friction".to_owned(),
        "share" | "load_share" => "stiffness".to_owned(),
        "sheets" | "faces" => "plates".to_owned(),
        "end_distance_mm" | "distance_mm" => plate("end_distance_mm"),
        "strip_width_mm" | "width_mm" => plate("strip_width_mm"),
        "outer_diameter_mm" if unknown.kind == ItemKind::BoltForce => "stiffness.outer_diameter_mm".to_owned(),
        "limiting_pressure_mpa" => {
            let on_washer = match unknown.kind {
                ItemKind::Pressure(Under::Head) => assembly.head_washer.is_some(),
                ItemKind::Pressure(Under::Nut) => assembly.nut_washer.is_some(),
                _ => false,
            };
            if on_washer { "washer_limit_mpa".to_owned() } else { plate("material") }
        }
        "engagement_mm" => "thread".to_owned(),
        "thread" => "thread.bolt_pitch_min_mm".to_owned(),
        "thread_strength_ratio" | "flats_over_diameter" => "thread.factors".to_owned(),
        "stub" => "prying".to_owned(),
        "mean_share" => "tightening".to_owned(),
        "settling" => "settling".to_owned(),
        "hole_diameter_mm" => plate("hole_diameter_mm"),
        "class" => "bolt".to_owned(),
        "slip_rule" => "friction.rule".to_owned(),
        field => match field.strip_prefix("plates[].") {
            Some(rest) => {
                // What holds for the stack as a whole is missing at the first part that lacks it.
                let lacks = |plate: &Plate| match rest {
                    "thickness_mm" => plate.thickness.is_none(),
                    "hole_diameter_mm" => plate.hole.is_none(),
                    _ => plate.modulus.is_none(),
                };
                let first = assembly.plates.iter().position(lacks);
                let at = unknown.kind.plate().or(first).unwrap_or(at);
                format!("plates[{at}].{rest}")
            }
            None => field.to_owned(),
        },
    }
}

fn basis(asked: &AssessJoint, found: &Assessed) -> Vec<Basis> {
    let mut all = found.report.basis();
    let preload = &asked.preload;
    let band =
        [("preload_min_n", preload.min.n()), ("preload_n", preload.nominal.n()), ("preload_max_n", preload.max.n())];
    let factor = "α_A = F_max / F_min";
    all.push(Basis::new("preload-band", factor, scatter::FACTOR_SOURCE, &band));
    if let Some(share) = preload.scatter {
        let text = "F ± δ F by way of tightening";
        all.push(Basis::new("preload-scatter", text, tightening_method::SOURCE, &[("scatter_share", share)]));
    }
    for Rates { method, bolt, parts, share } in &found.rates {
        let inputs = [("bolt_n_per_mm", bolt.n_per_mm()), ("parts_n_per_mm", parts.n_per_mm()), ("bolt_share", *share)];
        all.extend(match method {
            StiffnessMethod::Frustum => [
                Basis::new("bolt-stiffness", "kb = Ad At E / (Ad lt + At ld)", BOLT_SOURCE, &inputs),
                Basis::new("frustum", "k = 0.5774 π E d / ln[…], 30°", FRUSTUM_SOURCE, &inputs),
            ],
            StiffnessMethod::Cone => [
                Basis::new("bolt-resilience", "δ_S = Σ l / (E A)", RESILIENCE_SOURCE, &inputs),
                Basis::new("cone", "δ_P = 2 ln[…] / (w E π dh tan φ)", CONE_SOURCE, &inputs),
            ],
        });
    }
    if asked.is_test() {
        all.push(Basis::new("hitch-test-forces", "static forces by rated trailer mass", j684::SOURCE, &[]));
    }
    all
}

fn cautions(asked: &AssessJoint, found: &Assessed) -> Vec<pb::Caution> {
    let assembly = &asked.assembly;
    let report = &found.report;
    let mut all = cautions_to_wire(asked.cautions);
    let mut add = |holds: bool, id: &str, text: &str| {
        if holds && all.iter().all(|one| one.id != id) {
            all.push(caution(id, text));
        }
    };
    add(
        true,
        "no-approval",
        "a calculation is no approval: the maker of vehicle or receiver, local law and a licensed person decide",
    );
    add(
        assembly.thermal.is_none(),
        "heat-not-counted",
        "what heat takes off the preload is not counted: parts of other metals than the bolt's need it",
    );
    add(report.holds().is_none(), "undecided", "something is unknown: find it out before anybody relies on this joint");
    add(
        report.share.is_none(),
        "load-share-unknown",
        "the load share is unknown: the bolt is counted as bearing the whole load, the clamp as losing all of it",
    );
    add(
        report.separates == Some(true),
        "separates",
        "the parts separate under load: the bolt then bears all of it, bends and works loose",
    );
    add(asked.is_test(), "test-is-no-road-load", "static test forces qualify hardware; they are no load of the road");
    add(asked.uncontrolled, "impact-uncontrolled", "an impact wrench does not control preload: use a torque wrench");
    add(found.face_from_tables, "bearing-from-tables", "a bearing face is from the tables: measure it");
    add(
        assembly.head_washer.is_some() || assembly.nut_washer.is_some(),
        "washer-spreads",
        "a thin or soft washer does not spread the load to its rim: the pressure beneath is then higher than shown",
    );
    add(
        assembly.surfaces.is_some(),
        "bare-steel-only",
        "settling is for bare steel at room temperature: paint and coatings in the stack lose more",
    );
    add(
        report.items.iter().any(|item| item.source.seen == Seen::FromMemory),
        "limits-from-memory",
        "some limits are from memory of their source: confirm them before relying on them",
    );
    if !assembly.left_out.is_empty() {
        let names: Vec<&str> = assembly.left_out.iter().map(|check| check_name(*check)).collect();
        all.push(caution("left-out", &format!("left out on the asker's word: {}", names.join(", "))));
    }
    all
}

const fn check_name(check: Check) -> &'static str {
    match check {
        Check::Slip => "slip",
        Check::Embedding => "embedding",
        Check::Pressure => "pressure",
        Check::Plates => "bearing, tear-out and net section",
        Check::NetSection => "net section",
        Check::BoltStrength => "shear and tension of the bolt",
        Check::Thread => "thread",
        Check::Length => "length",
        Check::Prying => "prying",
        Check::Fatigue => "fatigue",
    }
}
