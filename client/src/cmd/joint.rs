//! `baybook joint`: whether a bolted joint holds, item by item.

use baybook_proto::v1 as pb;
use clap::Args;

use crate::{
    args::bolted::{self, BoltedArgs},
    cmd::torque::{forces, shares},
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Column, Fact, Page},
    people::{Kind, Units},
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook joint --book deploy/demo/book --bolt bolts/m12-88-40 --nut nuts/m12-8 \\
    --head-washer washers/m12-300 --washer-limit '900 MPa' \\
    --plate 'bracket: 8 mm, hole=13.5 mm, material=s355, rm=470 MPa, e=205 GPa, end=25 mm' \\
    --plate 'rail: 5 mm, hole=13.5 mm, material=s355, rm=470 MPa, e=205 GPa, end=40 mm' \\
    --torque '79 N·m' --condition finishes/zinc-dry --window '10 %' \\
    --tension '4 kN' --shear '1 kN' --stiffness frustum --threaded '15 mm' \\
    --bolt-modulus '205 GPa' --friction 0.15 --interfaces 1 --alternating yes \\
    --roughness 10-to-40 --mainly-across yes --coated no --shear-plane thread \\
    --combined-rule ec3 --thread-shear '60 %' --strip-factors widening-and-bending \\
    --leave-out net-section,prying,fatigue
  baybook joint --thread M12 --class 10.9 --head hex --preload '55 kN' --way torque-by-estimate \\
    --test-rating '5,000 lb' --bolt-at '0 mm, -430 mm, 0 mm' --bolt-at '160 mm, -430 mm, 10 mm' \\
    --bolt-at '0 mm, 430 mm, 0 mm' --bolt-at '160 mm, 430 mm, 10 mm' --axis crosswise \\
    --side rear-right-top --ball-at '520 mm, 0 mm, -180 mm' --taken '100 %' --friction 0.15 \\
    --interfaces 1 --alternating yes --format json";

const USAGE: &str = "\
baybook joint [OPTIONS] <--bolt|--thread> <--torque|--preload>
           <--tension --shear|--test-rating|--trailer-mass|--force>
       baybook joint --request <FILE>";

/// Tell whether a bolted joint holds, item by item, the governing one first
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES, override_usage = USAGE)]
pub struct JointArgs {
    #[command(flatten)]
    bolted: BoltedArgs,
}

pub async fn run(args: JointArgs, context: &mut Context) -> Outcome {
    let request = args.bolted.request()?;
    let plates: Vec<String> = request.plates.iter().map(|plate| plate.label.clone()).collect();
    let request = context.call(request);
    let reply = context.calculator().await?.assess_joint(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, Flags(bolted::FLAGS)))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, &plates, page))?;
    Ok(Exit::Ok)
}

fn state(state: pb::JointState) -> (Mark, &'static str, &'static str) {
    match state {
        pb::JointState::Holds => (Mark::Good, "HOLDS", "every item was judged and holds"),
        pb::JointState::Undecided => (Mark::Mind, "UNDECIDED", "what was judged holds, but something is unknown"),
        pb::JointState::Fails => (Mark::Bad, "FAILS", "at least one item does not hold"),
        pb::JointState::Unspecified => (Mark::Bad, "UNKNOWN", "the service did not say"),
    }
}

/// Says a figure of an item in the units that were asked for.
fn said(units: Units, unit: &str, value: Option<f64>) -> String {
    let kind = match unit {
        "n" => Kind::Force,
        "mpa" => Kind::Stress,
        "mm" => Kind::Size,
        _ => Kind::Factor,
    };
    value.map_or_else(String::new, |value| units.say(kind, value))
}

/// Says what an item is about: itself, the part, the bolt, the case.
fn about(item: &pb::JointItem, plates: &[String]) -> String {
    let mut text = item.label.clone();
    if let Some(at) = item.plate_position {
        let label = usize::try_from(at - 1).ok().and_then(|at| plates.get(at)).filter(|label| !label.is_empty());
        match label {
            Some(label) => text.push_str(&format!(", {label}")),
            None => text.push_str(&format!(", part {at}")),
        }
    }
    if let Some(bolt) = item.bolt_position {
        text.push_str(&format!(", bolt {bolt}"));
    }
    if !item.load_case.is_empty() {
        text.push_str(&format!(", {}", item.load_case));
    }
    text
}

fn draw(reply: &pb::AssessJointResponse, plates: &[String], page: &mut Page) {
    let (mark, word, meaning) = state(reply.state());
    page.line(Cell::marked(word, mark), meaning);
    if let Some(item) = reply.items.first() {
        let used = item.use_share.map_or_else(String::new, |share| page.units().say(Kind::Share, share));
        page.line(Cell::marked("governs", Mark::Strong), &format!("{}: {used} used", about(item, plates)));
    }
    let units = page.units();
    let rows = reply.items.iter().map(|item| {
        let over = item.use_share.is_none_or(|share| 1.0 + 1e-9 < share);
        let word = if over { Cell::marked("FAILS", Mark::Bad) } else { Cell::marked("holds", Mark::Good) };
        vec![
            about(item, plates).into(),
            word.into(),
            said(units, &item.unit, item.demand_in_unit).into(),
            said(units, &item.unit, item.allowed_in_unit).into(),
            item.use_share.into(),
        ]
    });
    page.table(
        &[
            Column::Words("item"),
            Column::Words(""),
            Column::Words("asked"),
            Column::Words("allowed"),
            Column::Numbers("used", Kind::Share),
        ],
        rows.collect(),
    );
    page.notes("not judged: find this out, it never counts as holding", unjudged(&reply.unknown));
    page.facts(
        "preload",
        &["least", "likely", "greatest"],
        vec![
            Fact::many("as tightened", Kind::Force, forces(reply.preload.as_ref())),
            Fact::many("of the proof load", Kind::Share, shares(reply.proof.as_ref())),
        ],
    );
    more(reply, page);
    cases(reply, page);
    page.footing(&reply.cautions, &reply.basis, Some(reply.revision));
}

/// Says what was not judged, all that hangs on one field together.
fn unjudged(unknown: &[pb::JointUnknown]) -> Vec<(&'static str, String)> {
    let mut reasons: Vec<(String, Vec<&str>)> = Vec::new();
    for it in unknown {
        let reason = format!("{} {}", flag(&it.field), it.why);
        match reasons.iter_mut().find(|(known, _)| *known == reason) {
            Some((_, labels)) => labels.push(&it.label),
            None => reasons.push((reason, vec![&it.label])),
        }
    }
    let said = |(reason, mut labels): (String, Vec<&str>)| {
        labels.dedup();
        ("", format!("{reason}, needed for: {}", labels.join("; ")))
    };
    reasons.into_iter().map(said).collect()
}

/// Names the flag that fills a field, beside the field itself.
fn flag(field: &str) -> String {
    let starts =
        |path: &str| field.strip_prefix(path).is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']));
    let found = bolted::FLAGS.iter().filter(|(path, _)| starts(path)).max_by_key(|(path, _)| path.len());
    match found {
        Some((path, flag)) if *path == field => (*flag).to_owned(),
        Some((_, flag)) => format!("{flag} ({field})"),
        None => field.to_owned(),
    }
}

fn more(reply: &pb::AssessJointResponse, page: &mut Page) {
    let separates = reply.separates.map(|separates| if separates { "yes" } else { "no" });
    if let Some(separates) = separates {
        page.line(Cell::marked("parts separate under load", Mark::Strong), separates);
    }
    page.facts(
        "more",
        &[""],
        vec![
            Fact::one("share of the load that the bolt takes", Kind::Share, reply.bolt_share),
            Fact::one("preload that settling takes", Kind::Force, reply.embedding_n),
            Fact::one("bolt stands out of the nut by", Kind::Size, reply.protrusion_mm),
            Fact::one("the same in threads", Kind::Factor, reply.protrusion_count),
            Fact::one("shortest bolt, two threads out", Kind::Size, reply.length_min_mm),
            Fact::one("engaged thread that was judged", Kind::Size, reply.engagement_mm),
        ],
    );
    let rows = reply.rates.iter().map(|rates| {
        let method = match rates.method() {
            pb::StiffnessMethod::Frustum => "frusta of 30 degrees",
            pb::StiffnessMethod::Cone => "cone of VDI 2230",
            pb::StiffnessMethod::Unspecified => "",
        };
        let thousand = |rate: Option<f64>| rate.map(|rate| rate / 1000.0);
        vec![
            method.into(),
            thousand(rates.bolt_n_per_mm).into(),
            thousand(rates.parts_n_per_mm).into(),
            rates.bolt_share.into(),
        ]
    });
    page.table(
        &[
            Column::Words("stiffness by"),
            Column::Numbers("bolt kN/mm", Kind::Factor),
            Column::Numbers("parts kN/mm", Kind::Factor),
            Column::Numbers("bolt's share", Kind::Share),
        ],
        rows.collect(),
    );
}

fn cases(reply: &pb::AssessJointResponse, page: &mut Page) {
    let rows = reply.cases.iter().flat_map(|case| {
        case.bolts.iter().enumerate().map(|(at, bolt)| {
            let label = if at == 0 { case.label.as_str() } else { "" };
            vec![label.into(), (at + 1).to_string().into(), bolt.tension_n.into(), bolt.shear_n.into()]
        })
    });
    page.table(
        &[
            Column::Words("load case"),
            Column::Words("bolt"),
            Column::Numbers("along", Kind::Force),
            Column::Numbers("across", Kind::Force),
        ],
        rows.collect(),
    );
}
