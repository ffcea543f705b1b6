//! How bolt and parts give, by every method whose inputs are there.

use super::{Assembly, Give};
use crate::{
    calc::joint::{
        Said, Share,
        item::ItemKind,
        load_share,
        stiffness::{self, Cone, Layer, Seat, Shank},
    },
    error::CalcError,
    model::fastener::HeadKind,
    tables,
    units::{Length, Rate, Stress},
};

/// How stiffness is worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StiffnessMethod {
    /// The book method: shank and frusta of 30°.
    Frustum,
    /// The method of VDI 2230.
    Cone,
}

/// Bolt and parts by one method.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rates {
    /// By which.
    pub method: StiffnessMethod,
    /// The bolt.
    pub bolt: Rate,
    /// The parts.
    pub parts: Rate,
    /// The share of an outside load that the bolt takes.
    pub share: f64,
}

const fn missing(field: &'static str) -> CalcError {
    CalcError::Missing { field, by: ItemKind::BoltForce.id() }
}

/// Lists bolt and parts by every method whose inputs are there.
pub(super) fn of(assembly: &Assembly) -> Vec<Rates> {
    let Some(give) = assembly.give else { return Vec::new() };
    [StiffnessMethod::Frustum, StiffnessMethod::Cone]
        .into_iter()
        .filter_map(|method| rates(&by(assembly, &give, method).ok()?, method).ok())
        .collect()
}

fn rates(share: &Share, method: StiffnessMethod) -> Result<Rates, CalcError> {
    match share {
        Share::Given(_) => Err(missing("stiffness.method")),
        Share::Frustum { shank, layers } => {
            let (bolt, parts) = (stiffness::bolt(shank)?, stiffness::frustum(shank.thread.diameter, layers)?);
            Ok(Rates { method, bolt, parts, share: load_share::of_rates(bolt, parts)? })
        }
        Share::Cone { shank, head, seat, cone, introduction } => {
            let bolt = stiffness::resilience(shank, *head, *seat)?;
            let parts = stiffness::cone(cone)?;
            let share = load_share::of_resiliences(*introduction, bolt.total(), parts)?;
            Ok(Rates { method, bolt: bolt.rate(), parts: Rate::from_n_per_mm(1.0 / parts), share })
        }
    }
}

/// Returns how the load share is found.
pub(super) fn share(assembly: &Assembly) -> Result<Said<Share>, CalcError> {
    let Some(give) = assembly.give else { return Err(missing("stiffness")) };
    if let Some(share) = give.share {
        return Ok(Said::Given(Share::Given(share)));
    }
    let method = give.method.ok_or(missing("stiffness.method"))?;
    let share = by(assembly, &give, method)?;
    // What the method refuses is said here, where the input is known.
    rates(&share, method)?;
    Ok(Said::Given(share))
}

fn by(assembly: &Assembly, give: &Give, method: StiffnessMethod) -> Result<Share, CalcError> {
    let layers = layers(assembly, give)?;
    let grip = Length::from_mm(layers.iter().map(|layer| layer.thickness.mm()).sum());
    let shank = Shank {
        thread: assembly.bolt.thread,
        grip,
        threaded: give.threaded.ok_or(missing("stiffness.threaded_mm"))?,
        modulus: give.bolt_modulus.ok_or(missing("stiffness.bolt_modulus_mpa"))?,
    };
    if method == StiffnessMethod::Frustum {
        return Ok(Share::Frustum { shank, layers });
    }
    let tapped = assembly.tapped == Some(true);
    if !tapped && assembly.nut.is_none() {
        return Err(missing("nut"));
    }
    let bearing = match &assembly.head_washer {
        Some(washer) => washer.outer_diameter.ok_or(missing("head_washer.outer_diameter"))?,
        None => {
            let bolt = &assembly.bolt;
            let tabled =
                matches!(bolt.head, Some(HeadKind::Hex) | None).then(|| tables::bearing_diameter(&bolt.thread));
            bolt.bearing_diameter.or(tabled.flatten()).ok_or(missing("bolt.bearing_diameter_mm"))?
        }
    };
    let mut hole = Length::ZERO;
    for plate in &assembly.plates {
        hole = hole.max(plate.hole.ok_or(missing("plates[].hole_diameter_mm"))?);
    }
    Ok(Share::Cone {
        shank,
        head: assembly.bolt.head.ok_or(missing("bolt.head"))?,
        seat: if tapped { Seat::Tapped } else { Seat::Nut },
        cone: Cone {
            bearing,
            hole,
            grip,
            outer: give.outer.ok_or(missing("stiffness.outer_diameter_mm"))?,
            modulus: one_modulus(&layers)?,
            tapped,
        },
        introduction: give.introduction.ok_or(missing("stiffness.introduction_share"))?,
    })
}

/// Lists what is clamped, washers with the bolt's modulus.
fn layers(assembly: &Assembly, give: &Give) -> Result<Vec<Layer>, CalcError> {
    if assembly.plates.is_empty() {
        return Err(missing("plates"));
    }
    let washer = |washer: &Option<std::sync::Arc<crate::model::fastener::Washer>>, field| match washer {
        None => Ok(None),
        Some(washer) => Ok(Some(Layer {
            thickness: washer.thickness.ok_or(missing(field))?,
            modulus: give.bolt_modulus.ok_or(missing("stiffness.bolt_modulus_mpa"))?,
        })),
    };
    let mut layers = Vec::new();
    layers.extend(washer(&assembly.head_washer, "head_washer.thickness_mm")?);
    for plate in &assembly.plates {
        layers.push(Layer {
            thickness: plate.thickness.ok_or(missing("plates[].thickness_mm"))?,
            modulus: plate.modulus.ok_or(missing("plates[].modulus_mpa"))?,
        });
    }
    layers.extend(washer(&assembly.nut_washer, "nut_washer.thickness_mm")?);
    Ok(layers)
}

/// Returns the modulus that all layers share.
fn one_modulus(layers: &[Layer]) -> Result<Stress, CalcError> {
    let first = layers.first().ok_or(missing("plates"))?.modulus;
    if layers.iter().all(|layer| (layer.modulus / first - 1.0).abs() < 0.05) {
        return Ok(first);
    }
    Err(CalcError::Conflict {
        field: "stiffness.method",
        other: "plates",
        why: "the cone is for parts of one material; use the frustum for parts of different stiffness",
    })
}
