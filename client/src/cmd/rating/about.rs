//! What else a train is asked: class, chains, brakes, and whether the parts fit.

use baybook_proto::v1 as pb;

use crate::{
    page::{Column, Fact, Page, Value},
    people::Kind,
    table::{Cell, Mark},
};

/// Shows what the answer says besides its links.
pub fn draw(reply: &pb::RateTowingResponse, page: &mut Page) {
    if let Some(chains) = &reply.chains {
        draw_chains(chains, page);
    }
    if let Some(brakes) = &reply.brakes {
        draw_brakes(brakes, page);
    }
    draw_fits(&reply.part_fits, page);
    if let Some(class) = &reply.coupling_class {
        page.facts(
            "what its class asks of coupler and ball, SAE J684; no allowable load",
            &[""],
            vec![
                Fact::one("smallest ball of the class", Kind::Size, class.ball_min_mm),
                Fact::one("breaking strength, lengthwise", Kind::Force, class.longitudinal_n),
                Fact::one("breaking strength, crosswise", Kind::Force, class.transverse_n),
                Fact::one("breaking strength, upward", Kind::Force, class.vertical_tension_n),
                Fact::one("breaking strength, downward", Kind::Force, class.vertical_compression_n),
                Fact::one("breaking strength of each chain", Kind::Force, class.chain_each_n),
            ],
        );
    }
}

fn draw_chains(chains: &pb::ChainAnswer, page: &mut Page) {
    let lead = match chains.standing() {
        pb::CertifiedStanding::Holds => Cell::marked("chains: HOLD", Mark::Good),
        pb::CertifiedStanding::Short => Cell::marked("chains: SHORT", Mark::Bad),
        pb::CertifiedStanding::Unknown => Cell::marked("chains: UNKNOWN", Mark::Mind),
        pb::CertifiedStanding::Unspecified => {
            return page.line("chains: NOT ASKED".into(), "a breakaway cable applies the trailer's brakes");
        }
    };
    let which = match chains.rule() {
        pb::ChainRule::Combined => "all together",
        pb::ChainRule::Each | pb::ChainRule::Unspecified => "each of them",
    };
    let say = |value: Option<f64>| value.map_or_else(|| "unknown".to_owned(), |n| page.units().say(Kind::Force, n));
    let rest = format!("{which} must hold {}, known to hold {}", say(chains.needed_n), say(chains.held_n));
    page.line(lead, &rest);
}

fn draw_brakes(brakes: &pb::BrakeAnswer, page: &mut Page) {
    let lead = match (brakes.need(), brakes.braked) {
        (pb::BrakeNeed::May, _) => Cell::marked("brakes: NOT ASKED", Mark::Good),
        (_, Some(true)) => Cell::marked("brakes: FITTED", Mark::Good),
        (pb::BrakeNeed::Must, Some(false)) => Cell::marked("brakes: MISSING", Mark::Bad),
        (pb::BrakeNeed::Disputed, Some(false)) => Cell::marked("brakes: TEXTS DISAGREE", Mark::Mind),
        (pb::BrakeNeed::Unspecified | pb::BrakeNeed::Must | pb::BrakeNeed::Disputed, _) => {
            Cell::marked("brakes: UNKNOWN", Mark::Mind)
        }
    };
    let Some(threshold) = brakes.unbraked_to_kg else {
        return page.line(lead, "no threshold is known here: put one into the book as brakelaws/ and the place");
    };
    let whose = if brakes.from_book { ", the shop's own row" } else { "" };
    let threshold = page.units().say(Kind::Allowed, threshold);
    page.line(lead, &format!("asked for above {threshold}, seen {}{whose}", brakes.seen_on));
    page.notes("where that threshold was read", [("", brakes.source.clone())]);
}

fn draw_fits(fits: &[pb::PartFit], page: &mut Page) {
    let rows = fits.iter().map(|fit| {
        let stands = match fit.holds {
            Some(true) => Cell::marked("FITS", Mark::Good),
            Some(false) => Cell::marked("DOES NOT FIT", Mark::Bad),
            None => Cell::marked("UNKNOWN", Mark::Mind),
        };
        let size = |value: Option<f64>| value.map_or(Value::None, |value| Some(value).into());
        vec![fit.label.as_str().into(), stands.into(), size(fit.inner_mm), size(fit.outer_mm)]
    });
    page.table(
        &[
            Column::Words("parts"),
            Column::Words(""),
            Column::Numbers("goes in", Kind::Size),
            Column::Numbers("made for", Kind::Size),
        ],
        rows.collect(),
    );
}
