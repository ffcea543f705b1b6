//! The links of a trailer that hangs in the bed: the vehicle's own limits there, coupling, mounting, king pin or gooseneck
//! coupler, and the trailer.

use super::{
    LinkLimit,
    links::{Links, RatingInput, by_axles_and_gvwr, by_gcwr, stamped_tongue, trailer_own},
};
use crate::{
    calc::coupling::{Allowed, trailer_for_fifth_wheel_d},
    model::{
        LinkRating,
        bed::{BedCoupling, BedCouplingKind},
        trailer::TrailerBrakes,
    },
    units::{Force, Mass},
};

/// Returns every link that limits the trailer's mass.
///
/// - What the vehicle's maker allows from the bed; for a trailer without brakes the unbraked rating too.
/// - What the combination rating leaves.
/// - Coupling, mounting, king pin or coupler by their plates; coupling and king pin by their D-value too, where they have
///   one.
/// - What the trailer itself carries, the pin load aside.
pub(super) fn trailer_links(input: &RatingInput<'_>, coupling: &BedCoupling) -> Links {
    let mut links = Links::EMPTY;
    let vehicle = input.vehicle;
    let towing = vehicle.bed.map(|bed| bed.towing).unwrap_or_default();
    links.add_rated("vehicle.bed.towing.trailer", "vehicle, from its bed", towing.trailer);
    match input.trailer.and_then(|trailer| trailer.brakes).or(input.brakes) {
        None => links.add("trailer.brakes", "vehicle, as the trailer is braked or not", LinkLimit::Unknown),
        Some(TrailerBrakes::None) => {
            links.add_rated("vehicle.tow_unbraked", "vehicle, trailer without brakes", vehicle.tow_unbraked);
        }
        Some(_) => {}
    }
    by_gcwr(&mut links, input);
    let plate = ("bed_coupling.rating.trailer", "coupling in the bed");
    let d = ("bed_coupling.d_value_kn", "coupling in the bed, D-value");
    with_d(&mut links, input, plate, coupling.rating.trailer, d, coupling.d_value);
    let mounting = coupling.mounting.trailer;
    links.add_rated("bed_coupling.mounting.trailer", "mounting of the coupling", mounting);
    if input.trailer.is_some() || input.coupler.is_some() {
        if coupling.kind == Some(BedCouplingKind::GooseneckBall) {
            let stamp = input.coupler.and_then(|coupler| coupler.rating.trailer);
            links.add_rated("coupler.rating.trailer", "coupler", stamp);
        } else {
            let pin = input.trailer.and_then(|trailer| trailer.king_pin);
            let plate = ("trailer.king_pin.rating.trailer", "king pin");
            let d = ("trailer.king_pin.d_value_kn", "king pin, D-value");
            let (rating, d_value) = (pin.and_then(|pin| pin.rating.trailer), pin.and_then(|pin| pin.d_value));
            with_d(&mut links, input, plate, rating, d, d_value);
        }
    }
    if let Some(trailer) = input.trailer {
        trailer_own(&mut links, trailer, input.tongue);
    }
    links
}

/// Adds a plate's rating, a D-value turned into a trailer mass, or both; one of the two makes the link known.
fn with_d(
    links: &mut Links,
    input: &RatingInput<'_>,
    (path, label): (&'static str, &'static str),
    plate: Option<Mass>,
    (d_path, d_label): (&'static str, &'static str),
    d_value: Option<Force>,
) {
    if plate.is_some() || d_value.is_none() {
        links.add_rated(path, label, plate);
    }
    let Some(d) = d_value else { return };
    // T is the vehicle's greatest mass with the pin load on it, so its gross rating.
    let limit = match input.vehicle.gvwr.zip(input.tongue).map(|(t, u)| trailer_for_fifth_wheel_d(d, t, u)) {
        Some(Ok(Allowed::UpTo(mass))) => LinkLimit::Known(mass),
        Some(Ok(Allowed::NotLimiting)) => LinkLimit::NotLimiting,
        Some(Err(_)) | None => LinkLimit::Unknown,
    };
    links.add(d_path, d_label, limit);
}

/// Returns every link that limits the load on the pin.
///
/// - What the vehicle's maker allows from the bed.
/// - What both axle ratings and the gross rating leave: ahead of the rear axle the load presses on both.
/// - Coupling and mounting by their plates, the coupling by U too; king pin or coupler by a stamp for it, where they have
///   one.
/// - The trailer's landing gear.
pub(super) fn tongue_links(input: &RatingInput<'_>, coupling: &BedCoupling) -> Links {
    let mut links = Links::EMPTY;
    let towing = input.vehicle.bed.map(|bed| bed.towing).unwrap_or_default();
    links.add_rated("vehicle.bed.towing.tongue", "vehicle, from its bed", towing.tongue);
    by_axles_and_gvwr(&mut links, input);
    if coupling.rating.tongue.is_some() || coupling.u_value.is_none() {
        links.add_rated("bed_coupling.rating.tongue", "coupling in the bed", coupling.rating.tongue);
    }
    if coupling.u_value.is_some() {
        links.add_rated("bed_coupling.u_value_kg", "coupling in the bed, U-value", coupling.u_value);
    }
    let mounting = coupling.mounting.tongue;
    links.add_rated("bed_coupling.mounting.tongue", "mounting of the coupling", mounting);
    let none = ("", "");
    if input.trailer.is_some() || input.coupler.is_some() {
        if coupling.kind == Some(BedCouplingKind::GooseneckBall) {
            let stamp: Option<(LinkRating, _)> = input.coupler.map(|coupler| (coupler.rating, coupler.s_value));
            let s_value = ("coupler.s_value_kg", "coupler, S-value");
            stamped_tongue(&mut links, ("coupler.rating.tongue", "coupler"), s_value, stamp);
        } else {
            let stamp = input.trailer.and_then(|trailer| trailer.king_pin).map(|pin| (pin.rating, None));
            stamped_tongue(&mut links, ("trailer.king_pin.rating.tongue", "king pin"), none, stamp);
        }
    }
    if let Some(trailer) = input.trailer {
        links.add_rated("trailer.jack_rating", "trailer, landing gear", trailer.jack_rating);
    }
    links
}
