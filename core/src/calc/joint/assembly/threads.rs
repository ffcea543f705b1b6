//! The engaged thread.

use super::Assembly;
use crate::{
    calc::joint::{
        Said,
        item::ItemKind,
        strip::{Around, StripInput},
    },
    error::CalcError,
    model::fastener::NutKind,
    tables::{self, thread_limits},
};

const fn missing(field: &'static str) -> CalcError {
    CalcError::Missing { field, by: ItemKind::NutThread.id() }
}

/// Returns what stripping is judged on; the nut's height and proof stress stand in where nothing else is said.
pub(super) fn engaged(assembly: &Assembly) -> Result<Said<StripInput>, CalcError> {
    let Some(engaged) = assembly.engaged else { return Ok(Said::Nothing) };
    let thread = assembly.bolt.thread;
    let nut = assembly.nut.as_deref();
    let engagement =
        engaged.length.or_else(|| nut.and_then(|nut| nut.height)).ok_or(missing("thread.engagement_mm"))?;
    let inner = match (engaged.tensile, nut.and_then(|nut| nut.class)) {
        (Some(tensile), _) => tensile,
        (None, Some(class)) => match assembly.bolt.hot_dip_galvanised {
            Some(true) => tables::nut_proof_galvanised(class, &thread)?.stress,
            _ => tables::nut_proof(class, &thread)?.stress,
        },
        (None, None) => return Err(missing("thread.inner_tensile_mpa")),
    };
    let limits = match engaged.limits {
        Some(limits) => limits,
        None => thread_limits::limits(&thread)?,
    };
    let around = match nut.and_then(|nut| nut.kind) {
        Some(NutKind::Regular | NutKind::Thin) => {
            Around::Nut { across_flats: tables::across_flats(&thread).ok_or(missing("thread.factors"))? }
        }
        _ => Around::Plate,
    };
    Ok(Said::Given(StripInput {
        pitch: thread.pitch,
        limits,
        diameter: thread.diameter,
        engagement,
        bolt: tables::bolt_strength(assembly.class, &thread)?.tensile_min,
        nut: inner,
        shear_share: engaged.shear_share,
        around,
        method: engaged.method,
    }))
}
