//! The weakest links of a train: the question from the wire, the answer to it.

use baybook_core::{
    calc::{
        coupling::{self, CouplingInput, CouplingValues, coupling_values},
        ratings::{self, Link, LinkLimit, RatingInput, Weakest, at_share, tongue_links, trailer_links, weakest},
    },
    model::upfit::{TongueLoad, Upfit},
    tables::j684,
    units::{Force, Mass},
};
use baybook_proto::v1 as pb;

use super::{
    Fields, Lookup, WireError,
    basis::{basis_to_wire, caution},
    brake_law,
    load::{Loads, ball_station, tongue_load},
    plan::required_plan,
};

mod about;

/// Reads the question what a train may weigh.
///
/// # Errors
///
/// [`WireError`] with every violation.
pub fn read_rate_towing(wire: &pb::RateTowingRequest, lookup: &impl Lookup) -> Result<Upfit, WireError> {
    let mut fields = Fields::default();
    let plan = required_plan(wire.plan.as_ref(), lookup, &mut fields);
    let plan = fields.finish(plan)?;
    let brake_law = plan.jurisdiction.as_deref().and_then(|place| brake_law::find(place, lookup));
    Ok(Upfit { brake_law, ..plan })
}

/// Writes the weakest links of a plan.
#[must_use]
pub fn towing_to_wire(plan: &Upfit, revision: i64) -> pb::RateTowingResponse {
    let loads = Loads::of(plan);
    let tongue = tongue_load(plan).ok().flatten();
    let input = RatingInput {
        receiver: plan.receiver.as_deref(),
        ball_mount: plan.ball_mount.as_deref(),
        ball: plan.ball.as_deref(),
        coupler: plan.coupler.as_deref(),
        bed_coupling: plan.bed_coupling.as_deref(),
        trailer: plan.trailer.as_deref(),
        extension: plan.extension.as_ref(),
        pin: plan.pin,
        spring_bars: plan.spring_bars == Some(true),
        loads: loads.as_ref().ok().map(|loads| loads.axles),
        ball_station: ball_station(plan).ok(),
        tongue,
        ..RatingInput::of(&plan.vehicle)
    };
    let (for_trailer, for_tongue) = (trailer_links(&input), tongue_links(&input));
    let (trailer, on_tongue) = (weakest(&for_trailer), weakest(&for_tongue));
    let share = share(plan, tongue);
    let both = share.and_then(|share| at_share(&trailer, &on_tongue, share).ok());
    let both = both.and_then(|both| both.limit).filter(|_| trailer.firm().is_some() && on_tongue.firm().is_some());
    let coupling = coupling_of(plan, tongue);
    let values = coupling.as_ref().and_then(|input| coupling_values(input).ok());
    let mut basis = ratings::basis(&for_trailer, &for_tongue);
    if let (Some(input), Some(_)) = (&coupling, &values) {
        basis.extend(coupling::basis(input));
    }
    let (tongue_window, of_window) = about::window(plan, share);
    let (chains, of_chains) = about::chains_of(plan);
    let (brakes, of_brakes) = about::brakes(plan);
    basis.extend(of_window.into_iter().chain(of_chains).chain(of_brakes));
    let kn = |value: fn(&CouplingValues) -> Option<Force>| values.as_ref().and_then(value).map(Force::kn);
    let gross = plan.trailer.as_deref().and_then(|trailer| trailer.gvwr);
    let mut response = pb::RateTowingResponse {
        trailer: Some(link(&trailer, &for_trailer, plan.trailer_mass)),
        tongue: Some(link(&on_tongue, &for_tongue, tongue)),
        trailer_limit_at_share_kg: both.map(Mass::kg),
        tongue_share: share,
        d_value_needed_kn: kn(|values| values.d),
        dc_value_needed_kn: kn(|values| values.dc),
        v_value_needed_kn: kn(|values| values.v),
        s_value_needed_kg: values.as_ref().map(|values| values.s.kg()),
        trailer_class_code: gross.and_then(j684::class_for).map(|class| class.number),
        basis: basis_to_wire(&basis),
        cautions: cautions(plan, &[&trailer, &on_tongue]),
        revision,
        coupling_class: about::class(gross),
        tongue_window,
        chains,
        brakes,
        part_fits: about::part_fits(plan),
    };
    for lack in loads.err().unwrap_or_default() {
        response.cautions.push(caution("loads-unknown", &format!("{} {}", lack.field, lack.why)));
    }
    if values.as_ref().is_some_and(|values| values.v_applies && values.v.is_none()) {
        let text = "a centre-axle trailer over 3.5 t needs a V-value, and nobody says which";
        response.cautions.push(caution("v-value-unknown", text));
    }
    response
}

/// Returns the tongue load as a share of the trailer's mass.
fn share(plan: &Upfit, tongue: Option<Mass>) -> Option<f64> {
    if let Some(TongueLoad::Share(share)) = plan.tongue {
        return Some(share);
    }
    let trailer = plan.trailer_mass.filter(|mass| *mass > Mass::ZERO)?;
    tongue.map(|tongue| tongue / trailer)
}

/// Returns what the coupling values are worked out from: gross ratings, as the regulation asks.
fn coupling_of(plan: &Upfit, tongue: Option<Mass>) -> Option<CouplingInput> {
    let trailer = plan.trailer.as_deref()?;
    Some(CouplingInput {
        vehicle: plan.vehicle.gvwr?,
        trailer: trailer.gvwr?,
        tongue: tongue?,
        drawbar: trailer.drawbar?,
        v_value: trailer.v_value_needed,
    })
}

pub(super) fn link(weakest: &Weakest, links: &[Link], planned: Option<Mass>) -> pb::WeakestLink {
    let label = |link: &Option<Link>| link.as_ref().map(|link| link.label.to_owned()).unwrap_or_default();
    let runner_up = weakest.runner_up.and_then(|link| match link.limit {
        LinkLimit::Known(limit) => Some(limit.kg()),
        LinkLimit::Unknown | LinkLimit::NotLimiting => None,
    });
    pb::WeakestLink {
        limit_kg: weakest.limit.map(Mass::kg),
        governing: label(&weakest.governing),
        runner_up: label(&weakest.runner_up),
        runner_up_kg: runner_up,
        planned_kg: planned.map(Mass::kg),
        margin_kg: weakest.limit.zip(planned).map(|(limit, planned)| (limit - planned).kg()),
        links: links.iter().map(limit).collect(),
        unknown_count: i32::try_from(weakest.unknown_count).unwrap_or(i32::MAX),
    }
}

fn limit(link: &Link) -> pb::LinkLimit {
    let (limit_kg, state) = match link.limit {
        LinkLimit::Known(limit) => (Some(limit.kg()), pb::LinkState::Known),
        LinkLimit::Unknown => (None, pb::LinkState::Unknown),
        LinkLimit::NotLimiting => (None, pb::LinkState::NotLimiting),
    };
    pb::LinkLimit { label: link.label.to_owned(), field: link.path.to_owned(), limit_kg, state: state.into() }
}

fn cautions(plan: &Upfit, both: &[&Weakest; 2]) -> Vec<pb::Caution> {
    let mut all = vec![caution(
        "lowest-rating-holds",
        "the lowest rating of any part holds for the whole train; no part raises that of another",
    )];
    let mut add = |holds: bool, id: &str, text: &str| {
        if holds {
            all.push(caution(id, text));
        }
    };
    add(
        both.iter().any(|weakest| weakest.unknown_count > 0),
        "links-unknown",
        "a link has no known limit: with it nothing may pass, read its label",
    );
    add(
        plan.spring_bars.is_none(),
        "bars-unknown",
        "nobody says whether spring bars are planned: the ratings without them were used",
    );
    add(
        plan.trailer.is_none(),
        "trailer-unknown",
        "no trailer is named: the limits are those of the towing side alone",
    );
    add(
        plan.receiver.is_some() && plan.pin.is_none() && !plan.hangs_in_bed(),
        "pin-not-named",
        "nobody names the pin and its clip: they are a link too, use the size the receiver asks for and read the stamp",
    );
    all
}
