//! The list of links between vehicle and trailer.

use super::{Link, LinkLimit};
use crate::{
    calc::{
        axles::{AxleLoads, largest_tongue_by_front_axle, largest_tongue_by_gvwr, largest_tongue_by_rear_axle},
        coupling::{Allowed, trailer_for_d},
        tyres::{Carried, axle_capacity},
    },
    model::{
        LinkRating,
        bed::BedCoupling,
        coupling::{Ball, BallMount, Coupler},
        receiver::Receiver,
        trailer::{Trailer, TrailerBrakes},
        upfit::Extension,
        vehicle::{SpringBarRule, Vehicle},
    },
    units::{Force, Length, Mass},
};

/// The most links a list can hold.
pub const LINKS_MAX: usize = 16;

/// A short list of links that needs no heap. It reads as a slice.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Links {
    items: [Link; LINKS_MAX],
    count: usize,
}

impl Links {
    pub(super) const EMPTY: Self =
        Self { items: [Link { path: "", label: "", limit: LinkLimit::NotLimiting }; LINKS_MAX], count: 0 };

    /// Adds one. The lists below are shorter than the room there is, which a test holds.
    pub(super) fn add(&mut self, path: &'static str, label: &'static str, limit: LinkLimit) {
        if let Some(slot) = self.items.get_mut(self.count) {
            *slot = Link { path, label, limit };
            self.count += 1;
        }
    }

    pub(super) fn add_rated(&mut self, path: &'static str, label: &'static str, rating: Option<Mass>) {
        self.add(path, label, rating.map_or(LinkLimit::Unknown, LinkLimit::Known));
    }
}

impl std::ops::Deref for Links {
    type Target = [Link];

    fn deref(&self) -> &[Link] {
        self.items.get(..self.count).unwrap_or_default()
    }
}

/// The train whose links are listed.
///
/// Receiver, ball mount and ball belong to every train: one that is not named is an unknown link. The coupler belongs
/// to the trailer; with no trailer named, neither is listed, and the limits are those of the towing side. No extension
/// means that none is fitted. A pin with its clip is a link once it is named; most are stamped for the trailer alone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RatingInput<'a> {
    /// The vehicle.
    pub vehicle: &'a Vehicle,
    /// The receiver.
    pub receiver: Option<&'a Receiver>,
    /// The ball mount.
    pub ball_mount: Option<&'a BallMount>,
    /// The ball.
    pub ball: Option<&'a Ball>,
    /// The trailer's coupler.
    pub coupler: Option<&'a Coupler>,
    /// The coupling in the bed, when the trailer hangs over the rear axle; receiver, ball mount and ball are no links then.
    pub bed_coupling: Option<&'a BedCoupling>,
    /// The trailer.
    pub trailer: Option<&'a Trailer>,
    /// An extension or adapter, when one is fitted.
    pub extension: Option<&'a Extension>,
    /// What the pin and clip are stamped, when they are named.
    pub pin: Option<LinkRating>,
    /// The trailer's brakes, when no trailer is named but they are known.
    pub brakes: Option<TrailerBrakes>,
    /// Whether spring bars are planned.
    pub spring_bars: bool,
    /// The vehicle's axle loads before hitching, when they are known.
    pub loads: Option<AxleLoads>,
    /// Where the ball sits, when it is known.
    pub ball_station: Option<Length>,
    /// The tongue load, when it is known; it rests on the ball and not on the trailer's axles.
    pub tongue: Option<Mass>,
}

impl<'a> RatingInput<'a> {
    /// Starts from a vehicle of which nothing else is known.
    #[must_use]
    pub const fn of(vehicle: &'a Vehicle) -> Self {
        Self {
            vehicle,
            receiver: None,
            ball_mount: None,
            ball: None,
            coupler: None,
            bed_coupling: None,
            trailer: None,
            extension: None,
            pin: None,
            brakes: None,
            spring_bars: false,
            loads: None,
            ball_station: None,
            tongue: None,
        }
    }

    fn receiver_row(&self) -> Option<LinkRating> {
        let receiver = self.receiver?;
        if self.spring_bars { receiver.spring_bars } else { Some(receiver.carrying) }
    }
}

/// Returns every link that limits the trailer's mass, vehicle first.
///
/// - The vehicle's braked or unbraked rating, by the trailer's brakes; with spring bars planned its spring-bar rating
///   for a braked trailer, where it has one; without them, the mass above which the maker requires them.
/// - `GCWR − vehicle before hitching`; the tongue load counts once, so it cancels.
/// - The receiver's carrying row, or with spring bars its spring-bar row, which is another; receiver, ball and coupler
///   by their D-value too, where they have one.
/// - Ball mount, ball, coupler, extension, pin by their stamps.
/// - The trailer's gross rating, and its axle and tyre ratings plus the tongue load, which they do not carry.
#[must_use]
pub fn trailer_links(input: &RatingInput<'_>) -> Links {
    if let Some(coupling) = input.bed_coupling {
        return super::bed_links::trailer_links(input, coupling);
    }
    let mut links = Links::EMPTY;
    vehicle_rating(&mut links, input);
    by_gcwr(&mut links, input);
    let (path, label) = if input.spring_bars {
        ("receiver.spring_bars.trailer", "receiver, with spring bars")
    } else {
        ("receiver.carrying.trailer", "receiver, carrying")
    };
    let row = input.receiver_row().and_then(|row| row.trailer);
    with_d(&mut links, input, (path, label), row, ("receiver.d_value_kn", "receiver, D-value"), |input| {
        input.receiver.and_then(|receiver| receiver.d_value)
    });
    links.add_rated("ball_mount.rating.trailer", "ball mount", input.ball_mount.and_then(|mount| mount.rating.trailer));
    let row = input.ball.and_then(|ball| ball.rating.trailer);
    with_d(&mut links, input, ("ball.rating.trailer", "ball"), row, ("ball.d_value_kn", "ball, D-value"), |input| {
        input.ball.and_then(|ball| ball.d_value)
    });
    if let Some(extension) = input.extension {
        links.add_rated("extension.rating.trailer", "extension", extension.rating.trailer);
    }
    if let Some(pin) = input.pin {
        links.add_rated("pin.rating.trailer", "pin and clip", pin.trailer);
    }
    if input.coupler.is_some() || input.trailer.is_some() {
        let row = input.coupler.and_then(|coupler| coupler.rating.trailer);
        let stamp = ("coupler.rating.trailer", "coupler");
        with_d(&mut links, input, stamp, row, ("coupler.d_value_kn", "coupler, D-value"), |input| {
            input.coupler.and_then(|coupler| coupler.d_value)
        });
    }
    if let Some(trailer) = input.trailer {
        trailer_own(&mut links, trailer, input.tongue);
    }
    links
}

fn vehicle_rating(links: &mut Links, input: &RatingInput<'_>) {
    let vehicle = input.vehicle;
    let brakes = input.trailer.and_then(|trailer| trailer.brakes).or(input.brakes);
    match brakes {
        None => links.add("trailer.brakes", "vehicle, as the trailer is braked or not", LinkLimit::Unknown),
        Some(TrailerBrakes::None) => {
            links.add_rated("vehicle.tow_unbraked", "vehicle, trailer without brakes", vehicle.tow_unbraked);
        }
        Some(_) if input.spring_bars && vehicle.tow_spring_bars.is_some() => {
            links.add_rated("vehicle.tow_spring_bars", "vehicle, with spring bars", vehicle.tow_spring_bars);
        }
        Some(_) => links.add_rated("vehicle.tow_braked", "vehicle, trailer with brakes", vehicle.tow_braked),
    }
    if let (Some(SpringBarRule::RequiredAbove(mass)), false) = (vehicle.spring_bars, input.spring_bars) {
        links.add("vehicle.spring_bars_required_above", "vehicle, without spring bars", LinkLimit::Known(mass));
    }
}

/// Adds a stamped rating, a D-value turned into a trailer mass, or both; one of the two makes the link known.
fn with_d(
    links: &mut Links,
    input: &RatingInput<'_>,
    (path, label): (&'static str, &'static str),
    stamped: Option<Mass>,
    (d_path, d_label): (&'static str, &'static str),
    d_value: fn(&RatingInput<'_>) -> Option<Force>,
) {
    let d_value = d_value(input);
    if stamped.is_some() || d_value.is_none() {
        links.add_rated(path, label, stamped);
    }
    if let Some(d) = d_value {
        // T is the vehicle's greatest mass with the tongue load on it, so its gross rating.
        let limit = match input.vehicle.gvwr.map(|gvwr| trailer_for_d(d, gvwr)) {
            Some(Ok(Allowed::UpTo(mass))) => LinkLimit::Known(mass),
            Some(Ok(Allowed::NotLimiting)) => LinkLimit::NotLimiting,
            Some(Err(_)) | None => LinkLimit::Unknown,
        };
        links.add(d_path, d_label, limit);
    }
}

/// What the combination rating leaves; the tongue load counts once, so it cancels.
pub(super) fn by_gcwr(links: &mut Links, input: &RatingInput<'_>) {
    links.add_rated(
        "vehicle.gcwr",
        "vehicle, combination rating less its own mass",
        input.vehicle.gcwr.zip(input.loads).map(|(gcwr, loads)| (gcwr - loads.total_before()).max(Mass::ZERO)),
    );
}

pub(super) fn trailer_own(links: &mut Links, trailer: &Trailer, tongue: Option<Mass>) {
    let on_ball = tongue.unwrap_or(Mass::ZERO).max(Mass::ZERO);
    links.add_rated("trailer.gvwr", "trailer, gross rating", trailer.gvwr);
    links.add_rated("trailer.gawr", "trailer, axle rating", trailer.gawr.map(|gawr| gawr + on_ball));
    let tyres = trailer.tyres.as_ref().zip(trailer.axle_count).and_then(|(tyres, axles)| {
        let capacity = axle_capacity(tyres, axles, Carried::TruckOrTrailer).ok()?;
        Some(capacity.lower().unwrap_or(capacity.tyres) + on_ball)
    });
    links.add_rated("trailer.tyres", "trailer, tyres", tyres);
}

/// Returns every link that limits the tongue load, vehicle first.
///
/// - The vehicle's tongue rating, or with spring bars planned its spring-bar tongue rating, where it has one.
/// - What the rear axle's rating and the gross rating leave, solved back from the loads before hitching.
/// - The receiver's row, as for the trailer; its S-value too, where it has one.
/// - Ball mount and extension by their stamps; ball and coupler by their tongue stamp or S-value. A ball or coupler
///   that prints a trailer rating alone puts no limit of its own on the tongue load.
/// - The trailer's jack.
#[must_use]
pub fn tongue_links(input: &RatingInput<'_>) -> Links {
    if let Some(coupling) = input.bed_coupling {
        return super::bed_links::tongue_links(input, coupling);
    }
    let mut links = Links::EMPTY;
    let vehicle = input.vehicle;
    if input.spring_bars && vehicle.tongue_spring_bars.is_some() {
        links.add_rated("vehicle.tongue_spring_bars", "vehicle, with spring bars", vehicle.tongue_spring_bars);
    } else {
        links.add_rated("vehicle.tongue", "vehicle", vehicle.tongue);
    }
    by_axles_and_gvwr(&mut links, input);

    let (path, label) = if input.spring_bars {
        ("receiver.spring_bars.tongue", "receiver, with spring bars")
    } else {
        ("receiver.carrying.tongue", "receiver, carrying")
    };
    let row = input.receiver_row().and_then(|row| row.tongue);
    let s_value = input.receiver.and_then(|receiver| receiver.s_value);
    if row.is_some() || s_value.is_none() {
        links.add_rated(path, label, row);
    }
    if s_value.is_some() {
        links.add_rated("receiver.s_value_kg", "receiver, S-value", s_value);
    }
    links.add_rated("ball_mount.rating.tongue", "ball mount", input.ball_mount.and_then(|mount| mount.rating.tongue));
    let stamp = input.ball.map(|ball| (ball.rating, ball.s_value));
    stamped_tongue(&mut links, ("ball.rating.tongue", "ball"), ("ball.s_value_kg", "ball, S-value"), stamp);
    if let Some(extension) = input.extension {
        links.add_rated("extension.rating.tongue", "extension", extension.rating.tongue);
    }
    if let Some(pin) = input.pin {
        stamped_tongue(&mut links, ("pin.rating.tongue", "pin and clip"), ("", ""), Some((pin, None)));
    }
    if input.coupler.is_some() || input.trailer.is_some() {
        let stamp = input.coupler.map(|coupler| (coupler.rating, coupler.s_value));
        let s_value = ("coupler.s_value_kg", "coupler, S-value");
        stamped_tongue(&mut links, ("coupler.rating.tongue", "coupler"), s_value, stamp);
    }
    if let Some(trailer) = input.trailer {
        links.add_rated("trailer.jack_rating", "trailer, jack", trailer.jack_rating);
    }
    links
}

/// What the axle ratings and the gross rating leave, solved back from the loads before hitching. The front axle limits a
/// load ahead of the rear one alone.
pub(super) fn by_axles_and_gvwr(links: &mut Links, input: &RatingInput<'_>) {
    let vehicle = input.vehicle;
    let at = input.loads.zip(input.ball_station);
    let by_rear = vehicle.rear.gawr.zip(at).and_then(|(gawr, (loads, ball))| {
        largest_tongue_by_rear_axle(gawr, loads.rear_before, vehicle.wheelbase, ball)
    });
    links.add_rated("vehicle.rear.gawr", "vehicle, rear axle", by_rear);
    if input.ball_station.is_some_and(|ball| ball < vehicle.wheelbase) {
        let by_front = vehicle.front.gawr.zip(at).and_then(|(gawr, (loads, ball))| {
            largest_tongue_by_front_axle(gawr, loads.front_before, vehicle.wheelbase, ball)
        });
        links.add_rated("vehicle.front.gawr", "vehicle, front axle", by_front);
    }
    let by_gvwr = vehicle.gvwr.zip(input.loads).map(|(gvwr, loads)| largest_tongue_by_gvwr(gvwr, loads.total_before()));
    links.add_rated("vehicle.gvwr", "vehicle, gross rating", by_gvwr);
}

/// Adds a tongue stamp, an S-value, or both; a part that is stamped for trailers alone does not limit the tongue load.
pub(super) fn stamped_tongue(
    links: &mut Links,
    (path, label): (&'static str, &'static str),
    (s_path, s_label): (&'static str, &'static str),
    part: Option<(LinkRating, Option<Mass>)>,
) {
    let Some((rating, s_value)) = part else {
        links.add(path, label, LinkLimit::Unknown);
        return;
    };
    match (rating.tongue, s_value, rating.trailer) {
        (Some(tongue), _, _) => links.add(path, label, LinkLimit::Known(tongue)),
        (None, None, Some(_)) => links.add(path, label, LinkLimit::NotLimiting),
        (None, None, None) => links.add(path, label, LinkLimit::Unknown),
        (None, Some(_), _) => {}
    }
    if let Some(s_value) = s_value {
        links.add(s_path, s_label, LinkLimit::Known(s_value));
    }
}
