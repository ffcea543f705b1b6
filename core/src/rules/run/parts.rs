//! The parts between vehicle and trailer, each with its stamped or printed rating.
//!
//! Only parts: what axle, gross, combination and trailer ratings leave room for has rules of its own, and so have D and
//! S. A part that is not in the plan, or has no stamp, is unknown, and unknown is never unlimited.

use super::region::Region;
use crate::{
    calc::ratings::{Link, LinkLimit},
    model::{
        LinkRating,
        bed::{BedCoupling, BedCouplingKind},
        trailer::TrailerBrakes,
        upfit::Upfit,
    },
    units::Mass,
};

/// How many parts there are: vehicle, receiver, ball mount, ball, coupler, extension, pin.
const COUNT: usize = 7;

/// What each part allows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parts {
    trailer: [Link; COUNT],
    tongue: [Link; COUNT],
}

/// A place that this train does not fill.
const NONE: Link = Link { path: "", label: "", limit: LinkLimit::NotLimiting };

/// A rating that every such part must have.
fn must(rating: Option<Mass>) -> LinkLimit {
    rating.map_or(LinkLimit::Unknown, LinkLimit::Known)
}

/// A rating that counts when it is there.
fn may(rating: Option<Mass>) -> LinkLimit {
    rating.map_or(LinkLimit::NotLimiting, LinkLimit::Known)
}

impl Parts {
    /// Lists the parts of a plan.
    ///
    /// - With spring bars planned, vehicle and receiver count by their second row of ratings; a row that is absent
    ///   means that they are not rated for bars.
    /// - A ball, a coupler and a pin are commonly stamped for the trailer's mass alone: a tongue stamp counts when it is
    ///   there. A pin counts once it is named.
    /// - Where the UN/EU coupling rules apply, receiver, ball mount, ball and coupler carry D and S instead of stamps:
    ///   a stamp counts when it is there, and the rules over D and S ask for the rest.
    #[must_use]
    pub fn of(plan: &Upfit) -> Self {
        if let Some(coupling) = plan.bed_coupling.as_deref() {
            return Self::in_bed(plan, coupling);
        }
        let vehicle = &plan.vehicle;
        let bars = plan.spring_bars == Some(true);
        let stamp = if Region::of(plan) == Region::Europe { may } else { must };

        let receiver = plan.receiver.as_deref();
        let row = receiver.and_then(|receiver| if bars { receiver.spring_bars } else { Some(receiver.carrying) });
        let mount = plan.ball_mount.as_deref().map(|mount| mount.rating);
        let ball = plan.ball.as_deref().map(|ball| ball.rating);
        let coupler = plan.coupler.as_deref().map(|coupler| coupler.rating);
        let extension = plan.extension.as_ref().map(|extension| extension.rating);
        // A part nobody named is unknown whatever the law, a part without a stamp only where stamps are the law.
        let part = |rating: Option<LinkRating>, read: fn(LinkRating) -> Option<Mass>| match rating {
            None => LinkLimit::Unknown,
            Some(rating) => stamp(read(rating)),
        };
        let trailer_of = |rating: LinkRating| rating.trailer;
        let tongue_of = |rating: LinkRating| rating.tongue;
        let row_of = |read: fn(LinkRating) -> Option<Mass>| {
            if receiver.is_some() { stamp(row.and_then(read)) } else { LinkLimit::Unknown }
        };

        let brakes = plan.trailer.as_deref().and_then(|trailer| trailer.brakes);
        let (vehicle_path, vehicle_label, vehicle_limit) = match brakes {
            None => ("trailer.brakes", "vehicle, as the trailer is braked or not", LinkLimit::Unknown),
            Some(TrailerBrakes::None) => {
                ("vehicle.tow_unbraked", "vehicle, trailer without brakes", must(vehicle.tow_unbraked))
            }
            Some(_) if bars => ("vehicle.tow_spring_bars", "vehicle, with spring bars", must(vehicle.tow_spring_bars)),
            Some(_) => ("vehicle.tow_braked", "vehicle, trailer with brakes", must(vehicle.tow_braked)),
        };
        let (tongue_path, tongue_label, tongue_limit) = if bars {
            ("vehicle.tongue_spring_bars", "vehicle, with spring bars", must(vehicle.tongue_spring_bars))
        } else {
            ("vehicle.tongue", "vehicle", must(vehicle.tongue))
        };
        let (row_trailer, row_tongue, row_label) = if bars {
            ("receiver.spring_bars.trailer", "receiver.spring_bars.tongue", "receiver, with spring bars")
        } else {
            ("receiver.carrying.trailer", "receiver.carrying.tongue", "receiver, carrying")
        };
        let link = |path, label, limit| Link { path, label, limit };
        Self {
            trailer: [
                link(vehicle_path, vehicle_label, vehicle_limit),
                link(row_trailer, row_label, row_of(trailer_of)),
                link("ball_mount.rating.trailer", "ball mount", part(mount, trailer_of)),
                link("ball.rating.trailer", "ball", part(ball, trailer_of)),
                link("coupler.rating.trailer", "coupler", part(coupler, trailer_of)),
                link(
                    "extension.rating.trailer",
                    "extension",
                    extension.map_or(LinkLimit::NotLimiting, |rating| must(rating.trailer)),
                ),
                link(
                    "pin.rating.trailer",
                    "pin and clip",
                    plan.pin.map_or(LinkLimit::NotLimiting, |rating| must(rating.trailer)),
                ),
            ],
            tongue: [
                link(tongue_path, tongue_label, tongue_limit),
                link(row_tongue, row_label, row_of(tongue_of)),
                link("ball_mount.rating.tongue", "ball mount", part(mount, tongue_of)),
                link("ball.rating.tongue", "ball", may(ball.and_then(tongue_of))),
                link("coupler.rating.tongue", "coupler", may(coupler.and_then(tongue_of))),
                link(
                    "extension.rating.tongue",
                    "extension",
                    extension.map_or(LinkLimit::NotLimiting, |rating| must(rating.tongue)),
                ),
                link("pin.rating.tongue", "pin and clip", may(plan.pin.and_then(tongue_of))),
            ],
        }
    }

    /// Lists the parts of a trailer that hangs in the bed: the vehicle there, the coupling, its mounting, the king pin or
    /// the gooseneck's coupler.
    ///
    /// Where the UN/EU coupling rules apply, coupling and king pin carry D and U instead of stamps; the mounting carries
    /// the coupling and must be rated all the same.
    fn in_bed(plan: &Upfit, coupling: &BedCoupling) -> Self {
        let vehicle = &plan.vehicle;
        let stamp = if Region::of(plan) == Region::Europe { may } else { must };
        let towing = vehicle.bed.map(|bed| bed.towing).unwrap_or_default();
        let link = |path, label, limit| Link { path, label, limit };
        let gooseneck = coupling.kind == Some(BedCouplingKind::GooseneckBall);
        let hung = if gooseneck {
            plan.coupler.as_deref().map(|coupler| coupler.rating)
        } else {
            plan.trailer.as_deref().and_then(|trailer| trailer.king_pin).map(|pin| pin.rating)
        };
        let [hung_trailer, hung_tongue, hung_label] = if gooseneck {
            ["coupler.rating.trailer", "coupler.rating.tongue", "coupler"]
        } else {
            ["trailer.king_pin.rating.trailer", "trailer.king_pin.rating.tongue", "king pin"]
        };
        let unbraked = match plan.trailer.as_deref().and_then(|trailer| trailer.brakes) {
            None => link("trailer.brakes", "vehicle, as the trailer is braked or not", LinkLimit::Unknown),
            Some(TrailerBrakes::None) => {
                link("vehicle.tow_unbraked", "vehicle, trailer without brakes", must(vehicle.tow_unbraked))
            }
            Some(_) => NONE,
        };
        Self {
            trailer: [
                link("vehicle.bed.towing.trailer", "vehicle, from its bed", must(towing.trailer)),
                unbraked,
                link("bed_coupling.rating.trailer", "coupling in the bed", stamp(coupling.rating.trailer)),
                link("bed_coupling.mounting.trailer", "mounting of the coupling", must(coupling.mounting.trailer)),
                link(hung_trailer, hung_label, hung.map_or(LinkLimit::Unknown, |rating| stamp(rating.trailer))),
                NONE,
                NONE,
            ],
            tongue: [
                link("vehicle.bed.towing.tongue", "vehicle, from its bed", must(towing.tongue)),
                link("bed_coupling.rating.tongue", "coupling in the bed", stamp(coupling.rating.tongue)),
                link("bed_coupling.mounting.tongue", "mounting of the coupling", must(coupling.mounting.tongue)),
                link(hung_tongue, hung_label, may(hung.and_then(|rating| rating.tongue))),
                NONE,
                NONE,
                NONE,
            ],
        }
    }

    /// Returns what each part allows of the trailer's mass.
    #[must_use]
    pub const fn trailer_parts(&self) -> &[Link] {
        &self.trailer
    }

    /// Returns what each part allows of the tongue load.
    #[must_use]
    pub const fn tongue_parts(&self) -> &[Link] {
        &self.tongue
    }
}
