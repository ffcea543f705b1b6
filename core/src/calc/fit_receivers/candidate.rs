//! One receiver on the vehicle.

mod certificates;
mod shape;

use std::cmp::Ordering;

use super::Bare;
use crate::{
    calc::{
        axles::{AxleLoads, Station, split},
        ratings::{Link, LinkLimit, RatingInput, Weakest, tongue_links, trailer_links, weakest},
    },
    model::receiver::{Fit, Receiver},
    units::{Angle, Force, Length, Mass},
};

/// How a receiver stands to the vehicle, the trailer and the wish.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Suits {
    /// Everything is known, and holds.
    Yes,
    /// Nothing known speaks against it, but something is unknown.
    Unknown,
    /// Something known speaks against it.
    No,
}

/// Why a receiver does not suit, or may not.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reason {
    /// The vehicle is not in its fit list.
    NotForVehicle,
    /// The ball mount's shank is not of its opening's nominal size.
    ShankSize {
        /// Its opening.
        opening: Length,
        /// The shank.
        shank: Length,
    },
    /// The trailer is heavier than a link allows.
    TrailerOver {
        /// The link that allows least.
        link: Link,
        /// What it allows.
        limit: Mass,
    },
    /// The tongue load is heavier than a link allows.
    TongueOver {
        /// The link that allows least.
        link: Link,
        /// What it allows.
        limit: Mass,
    },
    /// An axle load with it fitted and hitched is over its rating; by the path of the rating.
    AxleOver {
        /// Which rating: `vehicle.front.gawr`.
        path: &'static str,
        /// The load.
        load: Mass,
        /// The rating.
        limit: Mass,
    },
    /// A value on its plate is lower than the train needs.
    CouplingShort {
        /// The field of the plate: `receiver.d_value_kn`.
        path: &'static str,
        /// Which value: `D`.
        value: &'static str,
        /// What the train needs.
        needed: Force,
        /// What the plate says.
        certified: Force,
    },
    /// A departure angle falls short of the wish.
    DepartureShort {
        /// Whether it is the laden one.
        laden: bool,
        /// What it is.
        angle: Angle,
        /// What was wished for.
        wished: Angle,
    },
    /// The fitted gear hangs lower than wished.
    TooLow {
        /// How high it is, laden.
        height: Length,
        /// What was wished for.
        wished: Length,
    },
    /// A link has no known limit.
    UnknownLink {
        /// The link.
        link: Link,
    },
    /// A figure is unknown that is needed; by its path.
    UnknownFigure {
        /// Which: `receiver.mass`.
        path: &'static str,
    },
}

impl Reason {
    /// Returns whether it is a lack of knowledge and not a fault.
    #[must_use]
    pub const fn is_unknown(&self) -> bool {
        matches!(self, Self::UnknownLink { .. } | Self::UnknownFigure { .. })
    }
}

/// What fitting a receiver costs the vehicle.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Loses {
    /// Departure angle, unladen, against the vehicle without it; `None` when either is unknown.
    pub departure: Option<Angle>,
    /// Height of the lowest point, unladen.
    pub height: Option<Length>,
    /// Trailer mass that all other links would allow and this receiver does not.
    pub trailer: Option<Mass>,
    /// Payload: its own mass.
    pub payload: Option<Mass>,
}

/// One receiver, weighed.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// Its index in the list that was given.
    pub index: usize,
    /// How it stands.
    pub suits: Suits,
    /// Why not, or what is missing; empty when it suits.
    pub reasons: Vec<Reason>,
    /// The trailer limit with it.
    pub trailer: Weakest,
    /// The tongue limit with it.
    pub tongue: Weakest,
    /// The worst share of a limit that is used; above 1 when one is exceeded, `None` when neither limit is known.
    pub used: Option<f64>,
    /// The link that is used most.
    pub governing: Option<Link>,
    /// The departure angle unladen.
    pub departure: Option<Angle>,
    /// The departure angle laden and hitched.
    pub departure_laden: Option<Angle>,
    /// The height of its lowest point, laden and hitched.
    pub hitch_height_laden: Option<Length>,
    /// What it costs.
    pub loses: Loses,
    /// Its own mass.
    pub mass: Option<Mass>,
}

/// Returns which candidate goes first.
pub(super) fn order(one: &Candidate, other: &Candidate) -> Ordering {
    let key = |value: Option<f64>| value.unwrap_or(f64::INFINITY);
    let cost = |candidate: &Candidate| key(candidate.loses.departure.map(Angle::rad));
    one.suits
        .cmp(&other.suits)
        .then_with(|| key(one.used).total_cmp(&key(other.used)))
        .then_with(|| cost(one).total_cmp(&cost(other)))
        .then_with(|| key(one.mass.map(Mass::kg)).total_cmp(&key(other.mass.map(Mass::kg))))
        .then_with(|| one.index.cmp(&other.index))
}

/// Weighs one receiver.
pub(super) fn weigh(bare: &Bare<'_>, index: usize, receiver: &Receiver) -> Candidate {
    let input = bare.input;
    let mut reasons = Vec::new();
    let fit = receiver.fit_for(&input.vehicle.name);
    if fit.is_none() {
        reasons.push(Reason::NotForVehicle);
    }
    shank(bare, receiver, &mut reasons);
    certificates::check(bare, receiver, &mut reasons);

    let ball_station = ball_station(bare, fit);
    let before = loads_before(bare, receiver, fit, ball_station, &mut reasons);
    if ball_station.is_none() && fit.is_some() {
        reasons.push(Reason::UnknownFigure { path: "receiver.fits[].pin_station_mm" });
    }
    let loads = before.zip(ball_station).map(|(before, station)| hitched(before, input.tongue, station, bare));
    axles(bare, loads.as_ref(), &mut reasons);

    let rating = RatingInput {
        receiver: Some(receiver),
        ball_mount: input.ball_mount,
        ball: input.ball,
        coupler: input.coupler,
        trailer: input.trailer,
        extension: input.extension,
        pin: input.pin,
        brakes: input.brakes,
        spring_bars: input.spring_bars,
        loads: loads.or(before),
        ball_station,
        tongue: Some(input.tongue),
        ..RatingInput::of(input.vehicle)
    };
    let (trailer_links, tongue_links) = (trailer_links(&rating), tongue_links(&rating));
    let (trailer, tongue) = (weakest(&trailer_links), weakest(&tongue_links));
    for link in trailer_links.iter().chain(tongue_links.iter()) {
        if link.limit == LinkLimit::Unknown {
            reasons.push(Reason::UnknownLink { link: *link });
        }
    }
    if let (Some(limit), Some(link)) = (trailer.limit, trailer.governing)
        && input.trailer_mass.exceeds(limit)
    {
        reasons.push(Reason::TrailerOver { link, limit });
    }
    if let (Some(limit), Some(link)) = (tongue.limit, tongue.governing)
        && input.tongue.exceeds(limit)
    {
        reasons.push(Reason::TongueOver { link, limit });
    }
    let (used, governing) = most_used(&trailer, input.trailer_mass, &tongue, input.tongue);

    let clear = shape::clearance(bare, fit, loads.as_ref());
    shape::wishes(bare, &clear, &mut reasons);
    let others: Vec<Link> = trailer_links.iter().filter(|link| !link.path.starts_with("receiver.")).copied().collect();
    let loses = Loses {
        departure: bare.departure.zip(clear.departure).map(|(before, after)| (before - after).max(Angle::ZERO)),
        height: bare.lowest.zip(clear.lowest).map(|(before, after)| (before - after).max(Length::ZERO)),
        trailer: weakest(&others).limit.zip(trailer.limit).map(|(without, with)| (without - with).max(Mass::ZERO)),
        payload: receiver.mass,
    };
    let suits = if reasons.iter().any(|reason| !reason.is_unknown()) {
        Suits::No
    } else if reasons.is_empty() {
        Suits::Yes
    } else {
        Suits::Unknown
    };
    Candidate {
        index,
        suits,
        reasons,
        trailer,
        tongue,
        used,
        governing,
        departure: clear.departure,
        departure_laden: clear.departure_laden,
        hitch_height_laden: clear.height_laden,
        loses,
        mass: receiver.mass,
    }
}

fn shank(bare: &Bare<'_>, receiver: &Receiver, reasons: &mut Vec<Reason>) {
    let Some(mount) = bare.input.ball_mount else { return };
    match (receiver.opening, mount.shank) {
        // Nominal sizes: compared exactly, never rounded towards each other.
        (Some(opening), Some(shank)) if opening != shank => reasons.push(Reason::ShankSize { opening, shank }),
        (Some(_), Some(_)) => {}
        (None, _) => reasons.push(Reason::UnknownFigure { path: "receiver.opening_mm" }),
        (_, None) => reasons.push(Reason::UnknownFigure { path: "ball_mount.shank_mm" }),
    }
}

/// Returns the loads before hitching with the receiver on.
fn loads_before(
    bare: &Bare<'_>,
    receiver: &Receiver,
    fit: Option<&Fit>,
    ball_station: Option<Length>,
    reasons: &mut Vec<Reason>,
) -> Option<AxleLoads> {
    let Some(loads) = bare.loads else {
        reasons.push(Reason::UnknownFigure { path: "vehicle.front.kerb_kg" });
        return None;
    };
    let Some(mass) = receiver.mass else {
        reasons.push(Reason::UnknownFigure { path: "receiver.mass_kg" });
        return None;
    };
    let Some(station) = fit?.mass_station else {
        reasons.push(Reason::UnknownFigure { path: "receiver.fits[].mass_station_mm" });
        return None;
    };
    let wheelbase = bare.input.vehicle.wheelbase;
    let part = split(Station { mass, station }, wheelbase);
    let (mut front, mut rear) = (loads.front_before + part.front, loads.rear_before + part.rear);
    let at_ball = bare.input.at_ball;
    if at_ball > Mass::ZERO {
        // Without a place for it nobody knows what the axles carry; that the pin is unknown is told beside it.
        let part = split(Station { mass: at_ball, station: ball_station? }, wheelbase);
        (front, rear) = (front + part.front, rear + part.rear);
    }
    Some(AxleLoads { front_before: front, rear_before: rear, front, rear })
}

/// Returns where the ball sits: pin hole, ball mount and extension; without a ball mount nobody knows.
fn ball_station(bare: &Bare<'_>, fit: Option<&Fit>) -> Option<Length> {
    let extension = match bare.input.extension {
        Some(extension) => extension.length?,
        None => Length::ZERO,
    };
    Some(fit?.pin_station? + bare.input.ball_mount?.length? + extension)
}

fn hitched(before: AxleLoads, tongue: Mass, station: Length, bare: &Bare<'_>) -> AxleLoads {
    let part = split(Station { mass: tongue, station }, bare.input.vehicle.wheelbase);
    AxleLoads { front: before.front_before + part.front, rear: before.rear_before + part.rear, ..before }
}

fn axles(bare: &Bare<'_>, loads: Option<&AxleLoads>, reasons: &mut Vec<Reason>) {
    let Some(loads) = loads else { return };
    let vehicle = bare.input.vehicle;
    for (path, load, limit) in [
        ("vehicle.front.gawr", loads.front.max(loads.front_before), vehicle.front.gawr),
        ("vehicle.rear.gawr", loads.rear, vehicle.rear.gawr),
        ("vehicle.gvwr", loads.total(), vehicle.gvwr),
    ] {
        match limit {
            Some(limit) if load.exceeds(limit) => reasons.push(Reason::AxleOver { path, load, limit }),
            Some(_) => {}
            None => reasons.push(Reason::UnknownFigure { path }),
        }
    }
}

/// Returns the worse share of the two limits, and the link that sets it.
fn most_used(
    trailer: &Weakest,
    trailer_mass: Mass,
    tongue: &Weakest,
    tongue_load: Mass,
) -> (Option<f64>, Option<Link>) {
    // A limit of nothing is used without bounds, even by nothing.
    let share = |load: Mass, limit: Mass| if limit > Mass::ZERO { load / limit } else { f64::INFINITY };
    let one = trailer.limit.map(|limit| (share(trailer_mass, limit), trailer.governing));
    let other = tongue.limit.map(|limit| (share(tongue_load, limit), tongue.governing));
    match (one, other) {
        (Some(one), Some(other)) => {
            let (used, link) = if other.0 > one.0 { other } else { one };
            (Some(used), link)
        }
        (Some((used, link)), None) | (None, Some((used, link))) => (Some(used), link),
        (None, None) => (None, None),
    }
}
