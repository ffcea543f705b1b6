//! A vehicle identification number: the question from the wire, the answer to it.

use baybook_core::{
    calc::vin::{
        self,
        reading::{self, Note, Offer, Reading, Standing, TEXT_MAX, VinContext, read_in},
    },
    model::vehicle::Market,
};
use baybook_proto::v1 as pb;

use super::{
    Fields, FromWire,
    basis::{basis_to_wire, caution},
    vehicle::market,
};

/// A question what a number comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckVin {
    /// The number as written.
    pub text: String,
    /// What is known beside it.
    pub context: VinContext,
    /// The latest model year on sale, when it is known.
    pub latest: Option<i32>,
}

impl FromWire for CheckVin {
    type Wire = pb::CheckVinRequest;

    fn from_wire(wire: &pb::CheckVinRequest, fields: &mut Fields) -> Option<Self> {
        let text = fields.optional_text("vin", &wire.vin, TEXT_MAX);
        if wire.vin.trim().is_empty() {
            fields.reject("vin", "is required: write the number as it stands on the vehicle");
        }
        let market = fields.choice("market", wire.market, market);
        let latest = fields.count("latest_model_year", wire.latest_model_year, 1980, 2039);
        let context = VinContext { market, light: wire.light, free_serial: wire.free_serial == Some(true) };
        Some(Self { text: text?, context, latest })
    }
}

/// Writes what a number comes to.
#[must_use]
pub fn vin_to_wire(asked: &CheckVin, revision: i64) -> pb::CheckVinResponse {
    let read = read_in(&asked.text, asked.context);
    let elsewhere = matches!(asked.context.market, Some(Market::Europe | Market::Other)) || asked.context.free_serial;
    let number = read.vin.filter(|_| !asked.context.free_serial);
    let slice = |from: usize, to: usize| {
        number.as_ref().and_then(|vin| vin.as_str().get(from..to)).unwrap_or_default().to_owned()
    };
    let unless_elsewhere = |text: String| if elsewhere { String::new() } else { text };
    let candidates = read.years.map(|years| years.candidates(asked.latest.unwrap_or(i32::MAX))).unwrap_or_default();
    let decided = read.years.is_some_and(|years| years.decided.is_some());
    let mut notes: Vec<i32> = read.notes.iter().map(|note| note_to_wire(*note).into()).collect();
    if candidates.len() > 1 {
        notes.push(pb::VinNote::BothYears.into());
    }
    let mut basis = number.as_ref().map(vin::basis).unwrap_or_default();
    basis.extend(reading::basis(asked.context));
    pb::CheckVinResponse {
        vin: read.vin.map(|vin| vin.as_str().to_owned()).unwrap_or_default(),
        standing: standing_to_wire(read.standing).into(),
        check_fits: read.check.map(|check| check.fits()),
        check_wanted: read.check.map(|check| check.wanted.to_string()).unwrap_or_default(),
        check_found: read.check.map(|check| check.found.to_string()).unwrap_or_default(),
        weighted_sum_count: read.check.and_then(|check| i32::try_from(check.sum).ok()),
        maker: number.as_ref().map(vin::Vin::whole_maker).unwrap_or_default(),
        attributes: slice(3, 8),
        year_code: unless_elsewhere(slice(9, 10)),
        candidate_year: candidates,
        year_decided: decided,
        plant: unless_elsewhere(slice(10, 11)),
        serial: slice(11, 17),
        notes,
        offers: read.offers.iter().map(offer).collect(),
        unreadable: read.error.as_ref().map(ToString::to_string).unwrap_or_default(),
        basis: basis_to_wire(&basis),
        cautions: cautions(asked, &read),
        revision,
    }
}

const fn standing_to_wire(standing: Standing) -> pb::VinStanding {
    match standing {
        Standing::Plausible => pb::VinStanding::Plausible,
        Standing::Misfit => pb::VinStanding::Misfit,
        Standing::NotChecked { .. } => pb::VinStanding::NotChecked,
        Standing::MarketUnknown => pb::VinStanding::MarketUnknown,
        Standing::FreeSerial => pb::VinStanding::FreeSerial,
        Standing::Unreadable => pb::VinStanding::Unreadable,
    }
}

const fn note_to_wire(note: Note) -> pb::VinNote {
    match note {
        Note::FewVehicles => pb::VinNote::FewVehicles,
        Note::SerialNotDigits => pb::VinNote::SerialNotDigits,
        Note::NoYearCode => pb::VinNote::NoYearCode,
    }
}

fn offer(offer: &Offer) -> pb::VinOffer {
    pb::VinOffer {
        vin: offer.vin.as_str().to_owned(),
        changed_position: offer.positions.iter().filter_map(|&position| i32::try_from(position).ok()).collect(),
        check_fits: offer.fits,
    }
}

fn cautions(asked: &CheckVin, read: &Reading) -> Vec<pb::Caution> {
    let mut all = vec![caution(
        "number-is-not-proof",
        "a check digit that fits is plausible, not right: A, J and 1 weigh the same; compare plate, order and papers",
    )];
    let mut add = |holds: bool, id: &str, text: &str| {
        if holds {
            all.push(caution(id, text));
        }
    };
    add(!read.offers.is_empty(), "read-again", "what may be meant is an offer: read the number on the vehicle again");
    add(
        asked.context.market.is_none(),
        "market-unknown",
        "nobody says whose rules the vehicle was built to: only North America fills position 9 with a check digit",
    );
    add(
        matches!(read.standing, Standing::NotChecked { .. }),
        "no-year-derived",
        "this market need not code year or plant: none is derived",
    );
    add(
        matches!(read.standing, Standing::FreeSerial),
        "somebody-vouches",
        "nothing can be checked of such a serial: record who compared it with vehicle and papers",
    );
    add(
        read.years.is_some(),
        "model-year",
        "the model year is neither the build date nor the first registration, and a trailer's number holds no rating",
    );
    all
}

#[cfg(test)]
mod tests;
