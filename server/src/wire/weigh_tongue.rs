//! A trailer's tongue load, from its balance or from a weighing: the question from the wire, the answer to it.

use baybook_core::{
    calc::{
        axles::tongue::{
            self, Balance, COUPLER_TO_AXLE, COUPLER_TO_CENTRE, LEVER, LeverWeighing, READING, TONGUE_SHARE,
            TRAILER_MASS, centre_for_share, tongue_by_lever, tongue_from_balance, tongue_gain,
        },
        tongue_window::{self, Bound, Named, Regime, STATIC_LOAD, WindowInput, tongue_window},
    },
    range::Range,
    units::{Length, Mass},
};
use baybook_proto::v1::{self as pb, weigh_tongue_request::Method};

use super::{
    Fields, FromWire,
    basis::{basis_to_wire, caution},
    fields::LABEL_MAX,
};

/// The most moves of one question.
pub const MOVES_MAX: usize = 200;
/// Where cargo may stand behind the coupler; ahead of it is below zero.
const PLACE: Range = Range::new("place_mm", "mm", -3_000.0, 20_000.0);

/// How the tongue load is found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Found {
    /// From the balance.
    Balance(Balance),
    /// By the lever.
    Lever(LeverWeighing),
}

/// Cargo that moves.
#[derive(Debug, Clone, PartialEq)]
pub struct Move {
    /// What it is.
    pub label: String,
    /// What it adds to the tongue load; below zero when it goes rearward.
    pub gain: Mass,
}

/// A question what presses on the ball.
#[derive(Debug, Clone, PartialEq)]
pub struct WeighTongue {
    found: Found,
    trailer: Option<Mass>,
    to_axle: Option<Length>,
    moves: Vec<Move>,
    target: Option<f64>,
    regime: Option<Regime>,
    prints: (Option<f64>, Option<f64>),
    static_load: Option<Mass>,
    tongue: Mass,
}

impl FromWire for WeighTongue {
    type Wire = pb::WeighTongueRequest;

    fn from_wire(wire: &pb::WeighTongueRequest, fields: &mut Fields) -> Option<Self> {
        let trailer = fields.mass("trailer_mass", wire.trailer_mass.as_ref(), &TRAILER_MASS);
        let to_axle = fields.number("coupler_to_axle_mm", wire.coupler_to_axle_mm, &COUPLER_TO_AXLE);
        let to_axle = to_axle.map(Length::from_mm);
        let needs_axle = !wire.moves.is_empty() || wire.target_share.is_some();
        if needs_axle && wire.coupler_to_axle_mm.is_none() && !matches!(wire.method, Some(Method::Balance(_))) {
            fields.reject("coupler_to_axle_mm", "is required with moves or a target: measure coupler to axle centre");
        }
        if wire.target_share.is_some()
            && wire.trailer_mass.is_none()
            && !matches!(wire.method, Some(Method::Balance(_)))
        {
            fields.reject("trailer_mass", "is required with a target: weigh the trailer");
        }
        let found = method(wire, trailer, to_axle, fields);
        let moves = fields.each("moves", &wire.moves, MOVES_MAX, |wire, fields| moved(wire, to_axle, fields));
        let target = fields.number("target_share", wire.target_share, &TONGUE_SHARE);
        let regime = fields.choice("regime", wire.regime, regime);
        let least = fields.share("printed_min_share", wire.printed_min_share);
        let most = fields.share("printed_max_share", wire.printed_max_share);
        if let (Some(low), Some(high)) = (least, most)
            && low > high
        {
            fields.reject("printed_min_share", format!("must not be above printed_max_share, is {low} against {high}"));
        }
        let static_load = fields.mass("static_load_limit", wire.static_load_limit.as_ref(), &STATIC_LOAD);
        let found = found?;
        let (tongue, field) = match &found {
            Found::Balance(balance) => (tongue_from_balance(balance).map(|split| split.tongue), "balance"),
            Found::Lever(lever) => (tongue_by_lever(lever), "lever"),
        };
        let tongue = tongue.map_err(|error| fields.reject_calc(field, &error)).ok()?;
        if let (Found::Lever(_), Some(trailer)) = (&found, trailer)
            && tongue >= trailer
        {
            let why = format!("comes to {:.1} kg, which is not below the trailer's {} kg", tongue.kg(), trailer.kg());
            fields.reject("lever", why);
        }
        Some(Self { found, trailer, to_axle, moves, target, regime, prints: (least, most), static_load, tongue })
    }
}

fn method(
    wire: &pb::WeighTongueRequest,
    trailer: Option<Mass>,
    to_axle: Option<Length>,
    fields: &mut Fields,
) -> Option<Found> {
    match &wire.method {
        None => {
            fields.reject("balance", "or lever is required: give the centre of mass, or a weighing on a lever");
            None
        }
        Some(Method::Balance(balance)) => {
            fields.required("trailer_mass", wire.trailer_mass.as_ref());
            fields.required("coupler_to_axle_mm", wire.coupler_to_axle_mm);
            let centre = fields.under("balance", |fields| {
                fields.needed("coupler_to_centre_mm", balance.coupler_to_centre_mm, &COUPLER_TO_CENTRE)
            });
            let coupler_to_centre = Length::from_mm(centre?);
            Some(Found::Balance(Balance { mass: trailer?, coupler_to_axle: to_axle?, coupler_to_centre }))
        }
        Some(Method::Lever(lever)) => fields.under("lever", |fields| {
            let a = fields.needed("support_to_coupler_mm", lever.support_to_coupler_mm, &LEVER);
            let b = fields.needed("coupler_to_scale_mm", lever.coupler_to_scale_mm, &LEVER);
            let reading = fields.needed("reading_kg", lever.reading_kg, &READING);
            Some(Found::Lever(LeverWeighing {
                support_to_coupler: Length::from_mm(a?),
                coupler_to_scale: Length::from_mm(b?),
                reading: Mass::from_kg(reading?),
            }))
        }),
    }
}

fn moved(wire: &pb::CargoMove, to_axle: Option<Length>, fields: &mut Fields) -> Option<Move> {
    let label = fields.text("label", &wire.label, LABEL_MAX);
    let mass = fields.needed("mass_kg", wire.mass_kg, &TRAILER_MASS);
    let from = fields.needed("from_mm", wire.from_mm, &PLACE);
    let to = fields.needed("to_mm", wire.to_mm, &PLACE);
    let forward = Length::from_mm(from? - to?);
    let gain = tongue_gain(Mass::from_kg(mass?), forward, to_axle?);
    let gain = gain.map_err(|error| fields.reject_calc("mass_kg", &error)).ok()?;
    Some(Move { label, gain })
}

const fn regime(wire: pb::TongueRegime) -> Option<Regime> {
    match wire {
        pb::TongueRegime::Unspecified => None,
        pb::TongueRegime::BallNorthAmerica => Some(Regime::BallNorthAmerica),
        pb::TongueRegime::FifthWheel => Some(Regime::FifthWheel),
        pb::TongueRegime::CentreAxleEurope => Some(Regime::CentreAxleEurope),
    }
}

/// Writes what presses on the ball, what moves it, and how it stands to its window.
#[must_use]
pub fn tongue_to_wire(asked: &WeighTongue, revision: i64) -> pb::WeighTongueResponse {
    let share = |load: Mass| asked.trailer.map(|trailer| load / trailer);
    let after = asked.tongue + asked.moves.iter().map(|it| it.gain).sum::<Mass>();
    let has_moves = !asked.moves.is_empty();
    let centre = asked.target.zip(asked.to_axle).and_then(|(target, axle)| centre_for_share(axle, target).ok());
    let aimed = asked.target.zip(asked.trailer).map(|(target, trailer)| trailer * target);
    // M · d / A is what the tongue gains when the whole load moves forward by d.
    let forward =
        aimed.zip(asked.trailer).zip(asked.to_axle).map(|((aimed, trailer), axle)| axle * ((aimed - after) / trailer));
    let limits: Vec<Named> =
        asked.static_load.map(|load| Named { by: "static load S", bound: Bound::Load(load) }).into_iter().collect();
    let asks = asked.regime.is_some() || asked.prints != (None, None) || asked.static_load.is_some();
    let input = asked.trailer.filter(|_| asks).map(|trailer| WindowInput {
        regime: asked.regime,
        trailer,
        trailer_prints: asked.prints,
        vehicle_prints: (None, None),
        at_least: &[],
        at_most: &limits,
    });
    let mut basis = match &asked.found {
        Found::Balance(balance) => tongue::basis(balance),
        Found::Lever(lever) => tongue::lever_basis(lever),
    };
    basis.extend(input.iter().flat_map(tongue_window::basis));
    pb::WeighTongueResponse {
        tongue_kg: Some(asked.tongue.kg()),
        tongue_share: share(asked.tongue),
        axle_kg: asked.trailer.map(|trailer| (trailer - asked.tongue).kg()),
        tongue_after_kg: has_moves.then(|| after.kg()),
        tongue_after_share: share(after).filter(|_| has_moves),
        moves: asked
            .moves
            .iter()
            .map(|it| pb::MoveEffect { label: it.label.clone(), tongue_kg: Some(it.gain.kg()) })
            .collect(),
        centre_for_target_mm: centre.map(Length::mm),
        tongue_for_target_kg: aimed.map(Mass::kg),
        forward_for_target_mm: forward.map(Length::mm),
        window: input.and_then(|input| window_to_wire(&input, share(after))),
        basis: basis_to_wire(&basis),
        cautions: cautions(asked, after),
        revision,
    }
}

/// Writes a window and how a share stands to it.
pub(super) fn window_to_wire(input: &WindowInput<'_>, share: Option<f64>) -> Option<pb::TongueWindow> {
    let window = tongue_window(input).ok()?;
    let (least, most) = (window.least, window.most);
    let standing = match share.map(|share| window.standing(share)) {
        _ if window.is_empty() => pb::WindowStanding::Empty,
        None => pb::WindowStanding::Unspecified,
        Some(tongue_window::Standing::Inside) => pb::WindowStanding::Inside,
        Some(tongue_window::Standing::Below) => pb::WindowStanding::Below,
        Some(tongue_window::Standing::Above) => pb::WindowStanding::Above,
        Some(tongue_window::Standing::Empty) => pb::WindowStanding::Empty,
    };
    Some(pb::TongueWindow {
        least_share: least.map(|end| end.share),
        least_by: least.map(|end| end.by.to_owned()).unwrap_or_default(),
        most_share: most.map(|end| end.share),
        most_by: most.map(|end| end.by.to_owned()).unwrap_or_default(),
        least_kg: least.map(|end| (input.trailer * end.share).kg()),
        most_kg: most.map(|end| (input.trailer * end.share).kg()),
        standing: standing.into(),
    })
}

fn cautions(asked: &WeighTongue, after: Mass) -> Vec<pb::Caution> {
    let mut all = vec![caution(
        "weigh-as-it-travels",
        "weigh level, at towing height, loaded as it will travel, jack clear, tanks full and again empty",
    )];
    let mut add = |holds: bool, id: &str, text: &str| {
        if holds {
            all.push(caution(id, text));
        }
    };
    add(
        after < Mass::ZERO,
        "tail-lifts",
        "the trailer lifts the vehicle's tail: it must not travel so, move the load forward",
    );
    add(
        asked.trailer.is_none(),
        "trailer-mass-unknown",
        "the trailer's mass is not known: neither its share nor its axle load is",
    );
    add(
        asked.regime.is_none() && asked.prints == (None, None),
        "window-unknown",
        "nobody says how the trailer hangs on: no trade window was used; the trailer maker's number goes first",
    );
    add(
        asked.regime == Some(Regime::FifthWheel),
        "fifth-wheel-share",
        "texts disagree whether fifth wheels are rated at 15 or 20 %: the vehicle's own handbook decides",
    );
    add(
        asked.regime == Some(Regime::CentreAxleEurope) && asked.static_load.is_none(),
        "static-load-unknown",
        "the lowest static load S printed on vehicle, bracket and coupler is the limit: read it",
    );
    all
}

#[cfg(test)]
mod tests;
