//! Upfit plans, with every name resolved.

use std::sync::Arc;

use baybook_core::{
    model::{
        bed::BedCoupling,
        policy::Policy,
        receiver::Receiver,
        terrain::Terrain,
        trailer::{Trailer, TrailerBrakes},
        upfit::{Answers, ChainRule, Extension, Limits, LoadItem, OffRoadClass, SaleState, TongueLoad, Upfit},
        vehicle::Vehicle,
    },
    units::{Angle, Length, Mass},
};
use baybook_proto::v1::{self as pb, terrain_ref, trailer_ref, upfit_plan::Tongue};

use super::{
    Fields, FromWire, Lookup, WireError, brake_law, fields::LABEL_MAX, ranges, unit_figures::unit_figures, work::work,
};

/// The most items of one plan.
pub const ITEMS_MAX: usize = 200;
/// The most terrains of one plan.
pub const TERRAINS_MAX: usize = 8;
/// The most characters of a unit number or a vehicle identification number as written.
pub const UNIT_MAX: usize = 64;

/// Reads a whole plan.
///
/// # Errors
///
/// [`WireError`] with every violation and every name that is not in the book.
pub fn read_plan(plan: &pb::UpfitPlan, lookup: &impl Lookup) -> Result<Upfit, WireError> {
    let mut fields = Fields::default();
    let upfit = plan_in(plan, lookup, &mut fields);
    fields.finish(upfit)
}

/// Reads the plan of a calculator's question.
pub fn required_plan(wire: Option<&pb::UpfitPlan>, lookup: &impl Lookup, fields: &mut Fields) -> Option<Upfit> {
    let plan = fields.required("plan", wire)?;
    fields.under("plan", |fields| plan_in(plan, lookup, fields))
}

/// Reads a plan that is part of a larger message.
pub fn plan_in(plan: &pb::UpfitPlan, lookup: &impl Lookup, fields: &mut Fields) -> Option<Upfit> {
    let unit = fields.text("unit", plan.unit.trim(), UNIT_MAX);
    let vin = fields.optional_text("vin", &plan.vin, UNIT_MAX);
    let vehicle = fields.needed_entry::<Vehicle>("vehicle", plan.vehicle.as_ref(), lookup);
    let receiver = fields.entry::<Receiver>("receiver", plan.receiver.as_ref(), lookup);
    let replaced_receiver = fields.entry("replaced_receiver", plan.replaced_receiver.as_ref(), lookup);
    let ball_mount = fields.entry("ball_mount", plan.ball_mount.as_ref(), lookup);
    let ball = fields.entry("ball", plan.ball.as_ref(), lookup);
    let given_coupler = fields.entry("coupler", plan.coupler.as_ref(), lookup);
    let bed_coupling = fields.entry::<BedCoupling>("bed_coupling", plan.bed_coupling.as_ref(), lookup);
    let trailer = fields.entry::<Trailer>("trailer", plan.trailer.as_ref(), lookup);
    let coupler = match (given_coupler, trailer.as_ref().and_then(|trailer| trailer.coupler.as_ref())) {
        (None, Some(name)) if plan.coupler.is_none() => {
            let inline = matches!(
                plan.trailer.as_ref().and_then(|trailer| trailer.trailer.as_ref()),
                Some(trailer_ref::Trailer::Spec(_))
            );
            fields.under("trailer", |fields| {
                if inline {
                    fields.under("spec", |fields| fields.find("coupler", name, lookup))
                } else {
                    fields.find("name", name, lookup)
                }
            })
        }
        (given, _) => given,
    };
    let extension = fields.message("extension", plan.extension.as_ref());
    let trailer_mass = fields.mass("trailer_mass", plan.trailer_mass.as_ref(), &ranges::MASS);
    let tongue = tongue(plan.tongue.as_ref(), trailer_mass, fields);
    let items = fields.list("items", &plan.items, ITEMS_MAX);
    let added = fields.number("mass_added_before_kg", plan.mass_added_before_kg, &ranges::MASS);
    let removed = fields.number("mass_removed_kg", plan.mass_removed_kg, &ranges::MASS);
    let sale = fields.choice("sale_state", plan.sale_state, sale_state);
    let jurisdiction = jurisdiction(&plan.jurisdiction, fields);
    let chain_rule = fields.choice("chain_rule", plan.chain_rule, |wire| match wire {
        pb::ChainRule::Unspecified => None,
        pb::ChainRule::Each => Some(ChainRule::Each),
        pb::ChainRule::Combined => Some(ChainRule::Combined),
    });
    let socket = fields.socket("socket", plan.socket);
    let joints = fields.planned_joints(plan, receiver.as_deref(), bed_coupling.as_deref(), lookup);
    let work = plan.work.as_ref().map(|wire| fields.under("work", |fields| work(wire, &joints, lookup, fields)));
    let circuits = fields.circuits("circuits", &plan.circuits, lookup);
    let routing = fields.routing("routing", &plan.routing);
    let limits = fields.message("limits", plan.limits.as_ref()).unwrap_or_default();
    let answers = plan.answers.as_ref().map(answers).unwrap_or_default();
    let model_year = fields.count("model_year", plan.model_year, 1980, 2100);
    let policy = fields.entry::<Policy>("policy", plan.policy.as_ref(), lookup);
    let terrains = fields.each("terrains", &plan.terrains, TERRAINS_MAX, |wire, fields| terrain(wire, lookup, fields));
    let off_road_class = fields.choice("off_road_class", plan.off_road_class, |wire| match wire {
        pb::OffRoadClass::Unspecified => None,
        pb::OffRoadClass::EuropeanG => Some(OffRoadClass::EuropeanG),
        pb::OffRoadClass::UsLightTruck => Some(OffRoadClass::UsLightTruck),
    });
    let work_day = fields.day("work_day", &plan.work_day);
    let (vehicle, trailer, maker_tyres) = unit_figures(plan.unit_figures.as_ref(), vehicle, trailer, fields);
    let pin = fields.message("pin", plan.pin.as_ref());
    let restoration = fields.number("restoration_share", plan.restoration_share, &ranges::RESTORATION);
    let stated_train = fields.mass("stated_train", plan.stated_train.as_ref(), &ranges::MASS);
    let label_seen_on = fields.day("label_seen_on", &plan.label_seen_on);
    // Only a trailer without brakes is asked for: most plans have none to look up.
    let unbraked = trailer.as_ref().is_some_and(|trailer| trailer.brakes == Some(TrailerBrakes::None));
    let brake_law = jurisdiction.as_deref().filter(|_| unbraked).and_then(|place| brake_law::find(place, lookup));
    let mut upfit = Upfit {
        unit,
        vin,
        model_year,
        vehicle: vehicle?,
        receiver,
        replaced_receiver,
        ball_mount,
        ball,
        coupler,
        bed_coupling,
        trailer,
        extension,
        pin,
        trailer_mass,
        tongue,
        items,
        mass_added_before: added.map(Mass::from_kg),
        mass_removed: removed.map(Mass::from_kg),
        sale,
        jurisdiction,
        chain_rule,
        spring_bars: plan.spring_bars,
        restoration,
        stated_train,
        label_seen_on,
        maker_tyres,
        brake_law,
        brake_controller: plan.brake_controller,
        socket,
        converter: plan.converter,
        joints,
        circuits,
        routing,
        limits,
        answers,
        terrains,
        off_road_class,
        work_day,
        work: work.map(Box::new),
        twin: None,
        policy: None,
    };
    upfit.hold_against(policy);
    Some(upfit)
}

/// Reads one terrain, by its name or as given.
fn terrain(wire: &pb::TerrainRef, lookup: &impl Lookup, fields: &mut Fields) -> Option<Arc<Terrain>> {
    match &wire.terrain {
        Some(terrain_ref::Terrain::Name(name)) => fields.find("name", name, lookup),
        Some(terrain_ref::Terrain::Spec(spec)) => fields.message("spec", Some(spec)).map(Arc::new),
        None => {
            fields.reject_here("is empty: set name to an entry of the book, or spec to the terrain itself");
            None
        }
    }
}

fn tongue(wire: Option<&Tongue>, trailer_mass: Option<Mass>, fields: &mut Fields) -> Option<TongueLoad> {
    match wire? {
        Tongue::TongueLoad(wire) => {
            let load = fields.mass("tongue_load", Some(wire), &ranges::MASS)?;
            if let Some(trailer) = trailer_mass
                && load >= trailer
            {
                let why = format!("must be below trailer_mass, is {} kg against {} kg", load.kg(), trailer.kg());
                fields.reject("tongue_load", why);
            }
            Some(TongueLoad::Load(load))
        }
        Tongue::TongueShare(share) => fields.share("tongue_share", Some(*share)).map(TongueLoad::Share),
    }
}

/// Reads whose law applies: an ISO 3166 code, or `EU`. Any other spelling would quietly fall under no law.
fn jurisdiction(text: &str, fields: &mut Fields) -> Option<String> {
    let text = text.trim();
    if text.is_empty() {
        return None;
    }
    if is_jurisdiction(text) {
        return Some(text.to_owned());
    }
    fields.reject("jurisdiction", "must be a country and, after a hyphen, its part, in capitals, such as US-TX, or EU");
    None
}

/// Returns whether a text is the code of a country, or of a country and its part.
pub(super) fn is_jurisdiction(text: &str) -> bool {
    let (country, part) = text.split_once('-').unwrap_or((text, "A"));
    let country_reads = country.len() == 2 && country.bytes().all(|byte| byte.is_ascii_uppercase());
    let part_reads =
        (1..=3).contains(&part.len()) && part.bytes().all(|byte| byte.is_ascii_uppercase() || byte.is_ascii_digit());
    country_reads && part_reads
}

/// Reads where a vehicle stands in its life.
pub(super) const fn sale_state(wire: pb::SaleState) -> Option<SaleState> {
    match wire {
        pb::SaleState::Unspecified => None,
        pb::SaleState::BeforeFirstSale => Some(SaleState::BeforeFirstSale),
        pb::SaleState::InUse => Some(SaleState::InUse),
    }
}

const fn answers(wire: &pb::Answers) -> Answers {
    Answers {
        maker_points_used: wire.maker_points_used,
        near_fuel: wire.near_fuel,
        guard_removed: wire.guard_removed,
        lamp_hidden: wire.lamp_hidden,
        rust_at_mounts: wire.rust_at_mounts,
        recall_open: wire.recall_open,
        captive_nut_loose: wire.captive_nut_loose,
        chains_on_ball_mount: wire.chains_on_ball_mount,
        raises_gvwr: wire.raises_gvwr,
        mass_label_planned: wire.mass_label_planned,
        alterer_label_planned: wire.alterer_label_planned,
        beyond_readily_attachable: wire.beyond_readily_attachable,
        pressure_at_placard: wire.pressure_at_placard,
        earths_joined: wire.earths_joined,
        plate_lamp_moved: wire.plate_lamp_moved,
        plate_lamp_tested: wire.plate_lamp_tested,
        wired_elsewhere: wire.wired_elsewhere,
    }
}

impl FromWire for Extension {
    type Wire = pb::Extension;

    fn from_wire(wire: &pb::Extension, fields: &mut Fields) -> Option<Self> {
        let rating = fields.message("rating", wire.rating.as_ref()).unwrap_or_default();
        let length = fields.number("length_mm", wire.length_mm, &ranges::REACH).map(Length::from_mm);
        Some(Self { rating, length })
    }
}

impl FromWire for LoadItem {
    type Wire = pb::LoadItem;

    fn from_wire(wire: &pb::LoadItem, fields: &mut Fields) -> Option<Self> {
        Some(Self {
            label: fields.text("label", &wire.label, LABEL_MAX),
            mass: fields.mass("mass", wire.mass.as_ref(), &ranges::ITEM_MASS),
            station: fields.number("station_mm", wire.station_mm, &ranges::STATION).map(Length::from_mm),
            permanent: wire.permanent,
        })
    }
}

impl FromWire for Limits {
    type Wire = pb::Limits;

    fn from_wire(wire: &pb::Limits, fields: &mut Fields) -> Option<Self> {
        let mut angle = |name, value| fields.number(name, value, &ranges::ANGLE).map(Angle::from_deg);
        let approach_min = angle("approach_min_deg", wire.approach_min_deg);
        let departure_min = angle("departure_min_deg", wire.departure_min_deg);
        let departure_laden_min = angle("departure_laden_min_deg", wire.departure_laden_min_deg);
        let ramp_min = angle("ramp_min_deg", wire.ramp_min_deg);
        let height = fields.number("hitch_height_min_mm", wire.hitch_height_min_mm, &ranges::HEIGHT);
        let (tongue_share_min, tongue_share_max) = fields.tongue_window(wire.tongue_min_share, wire.tongue_max_share);
        let tolerance = fields.number("level_tolerance_mm", wire.level_tolerance_mm, &ranges::TOLERANCE);
        let margin = fields.number("terrain_margin_mm", wire.terrain_margin_mm, &ranges::GROUND_MARGIN);
        let swing = fields.number("tail_swing_max_mm", wire.tail_swing_max_mm, &ranges::SWING);
        let articulation = fields.number("articulation_min_deg", wire.articulation_min_deg, &ranges::ARTICULATION);
        let (cab_gap_min, rail_gap_min) = fields.bed_room(wire.cab_gap_min_mm, wire.rail_gap_min_mm);
        Some(Self {
            approach_min,
            departure_min,
            departure_laden_min,
            ramp_min,
            hitch_height_min: height.map(Length::from_mm),
            tongue_share_min,
            tongue_share_max,
            level_tolerance: tolerance.map(Length::from_mm),
            terrain_margin: margin.map(Length::from_mm),
            tail_swing_max: swing.map(Length::from_mm),
            articulation_min: articulation.map(Angle::from_deg),
            cab_gap_min,
            rail_gap_min,
        })
    }
}

#[cfg(test)]
mod tests;
