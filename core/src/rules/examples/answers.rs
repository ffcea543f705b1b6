//! Examples of rules over papers, answers and words.

use super::{Example, answer, number};
use crate::{
    model::{
        day::Day,
        upfit::{Answers, SaleState, Upfit},
    },
    rules::run::fixture::*,
};

fn vin(plan: &mut Upfit, text: &str) {
    plan.vin = Some(text.to_owned());
    plan.model_year = None;
}

fn added(plan: &mut Upfit, before: f64) {
    plan.sale = Some(SaleState::BeforeFirstSale);
    plan.mass_added_before = Some(kg(before));
}

fn altered(plan: &mut Upfit, label: bool) {
    plan.sale = Some(SaleState::BeforeFirstSale);
    plan.answers.beyond_readily_attachable = Some(true);
    plan.answers.alterer_label_planned = Some(label);
}

pub(super) const EXAMPLES: &[Example] = &[
    answer(
        "jurisdiction-missing",
        "a state or country is named",
        |p| p.jurisdiction = None,
        |p| {
            p.jurisdiction = Some("US-TX".to_owned());
        },
    ),
    answer(
        "policy-looser",
        "every limit of the policy is at least as tight as the one that holds anyway",
        |p| {
            let limits = crate::model::upfit::Limits { tongue_share_min: Some(0.08), ..Default::default() };
            p.policy = Some(std::sync::Arc::new(crate::model::policy::Policy { limits, ..Default::default() }));
        },
        |p| {
            let limits = crate::model::upfit::Limits { tongue_share_min: Some(0.10), ..Default::default() };
            p.policy = Some(std::sync::Arc::new(crate::model::policy::Policy { limits, ..Default::default() }));
        },
    ),
    answer(
        "vin-length",
        "17 characters, digits and capitals without I, O and Q",
        |p| vin(p, "7ZZVL3AA7TA00410"),
        |p| vin(p, "7ZZVL3AA7TA004107"),
    ),
    answer(
        "vin-check-digit",
        "character 9 = sum of weighted values mod 11, X for 10",
        |p| vin(p, "7ZZVL3AA7TA004117"),
        |p| vin(p, "7ZZVL3AA7TA004107"),
    ),
    answer(
        "vin-model-year",
        "year on the order = year of character 10",
        |p| p.model_year = Some(2025),
        |p| {
            p.model_year = Some(2026);
        },
    ),
    answer(
        "fit-list",
        "the receiver's fit list names the vehicle",
        |p| "vehicles/van-b".clone_into(&mut fit(p).vehicle),
        |p| {
            "vehicles/van-a".clone_into(&mut fit(p).vehicle);
        },
    ),
    number("unit-slip", "no mass is 2.1 to 2.3 times, or 1/2.3 to 1/2.1 of, its peer", 4500.0, 4000.0, |p, value| {
        p.trailer_mass = Some(kg(value));
        trailer(p).gvwr = Some(kg(2000.0));
    }),
    number("station-slip", "front end <= station <= ball", 5200.0, 4000.0, |p, value| {
        p.items[0].station = Some(mm(value))
    }),
    answer(
        "gvwr-raised",
        "the order does not raise the gross rating",
        |p| p.answers.raises_gvwr = Some(true),
        |p| {
            p.answers.raises_gvwr = Some(false);
        },
    ),
    answer(
        "mass-history-unknown",
        "before first sale: mass added by others is known",
        |p| {
            added(p, 0.0);
            p.mass_added_before = None;
        },
        |p| added(p, 0.0),
    ),
    number(
        "added-mass-label",
        "before first sale: added mass <= min(1.5 % of gross rating, 100 lb), or a label is planned",
        60.0,
        0.0,
        added,
    ),
    answer(
        "alterer-label",
        "before first sale: work beyond readily attachable parts has the alterer's label",
        |p| altered(p, false),
        |p| altered(p, true),
    ),
    answer(
        "approval-mark",
        "where type approval applies: an approval number",
        |p| {
            europe(p);
            receiver(p).approval_mark = None;
        },
        europe,
    ),
    answer(
        "mounting-points",
        "the maker's points are used",
        |p| p.answers.maker_points_used = Some(false),
        |p| {
            p.answers.maker_points_used = Some(true);
        },
    ),
    answer(
        "near-fuel",
        "no drilling, heat or routing near fuel or traction battery",
        |p| p.answers.near_fuel = Some(true),
        |p| {
            p.answers.near_fuel = Some(false);
        },
    ),
    answer(
        "guard-removed",
        "guards, shields and tow eyes stay",
        |p| p.answers.guard_removed = Some(true),
        |p| {
            p.answers.guard_removed = Some(false);
        },
    ),
    answer(
        "lamp-hidden",
        "lamps, plate, sensors and cameras stay visible",
        |p| p.answers.lamp_hidden = Some(true),
        |p| {
            p.answers.lamp_hidden = Some(false);
        },
    ),
    answer(
        "plate-lamp-untested",
        "a plate lamp that is moved is tested",
        |p| {
            p.answers.plate_lamp_moved = Some(true);
            p.answers.plate_lamp_tested = Some(false);
        },
        |p| {
            p.answers.plate_lamp_moved = Some(true);
            p.answers.plate_lamp_tested = Some(true);
        },
    ),
    answer(
        "spec-stale",
        "day the entry's source was seen >= day the labels were read",
        |p| {
            vehicle(p).seen_on = Day::read("2026-02-01");
            p.label_seen_on = Day::read("2026-03-01");
        },
        |p| {
            vehicle(p).seen_on = Day::read("2026-03-01");
            p.label_seen_on = Day::read("2026-03-01");
        },
    ),
    answer(
        "rust-at-mounts",
        "no structural rust at the mounts",
        |p| p.answers.rust_at_mounts = Some(true),
        |p| {
            p.answers.rust_at_mounts = Some(false);
        },
    ),
    answer(
        "recall-open",
        "no recall on towing, brakes, tyres or frame is open",
        |p| p.answers.recall_open = Some(true),
        |p| {
            p.answers.recall_open = Some(false);
        },
    ),
    answer(
        "captive-nut-loose",
        "no captive nut is loose",
        |p| p.answers.captive_nut_loose = Some(true),
        |p| {
            p.answers.captive_nut_loose = Some(false);
        },
    ),
    answer(
        "inspection-open",
        "every question about the vehicle is answered",
        |p| p.answers = Answers { recall_open: None, ..p.answers },
        |p| p.answers = Answers { recall_open: Some(false), ..p.answers },
    ),
    answer(
        "chain-anchor",
        "chains hang on frame or receiver",
        |p| p.answers.chains_on_ball_mount = Some(true),
        |p| p.answers.chains_on_ball_mount = Some(false),
    ),
    answer(
        "socket-mismatch",
        "socket and plug combine stop and turn alike, or a converter is planned",
        |p| {
            trailer(p).plug = Some(crate::model::wiring::Socket::Iso11446);
            p.converter = Some(false);
        },
        |p| {
            trailer(p).plug = Some(crate::model::wiring::Socket::Iso11446);
            p.converter = Some(true);
        },
    ),
];
