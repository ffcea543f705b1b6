//! `baybook scatter`: how the preload of a torque spreads, and the chances at both ends.

use baybook_proto::v1 as pb;
use clap::Args;

use super::torque::forces;
use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Column, Fact, Page},
    people::Kind,
    read,
};

const EXAMPLES: &str = "\
Examples:
  baybook scatter --book deploy/demo/book --bolt bolts/m12-88-40 --condition finishes/oiled \\
    --torque '60 N·m' --window '10 %' --wrench wrenches/click-200 --deviations 3 \\
    --relaxation '5 %' --needed '25 kN'
  baybook scatter --book deploy/demo/book --bolt bolts/half-13-g5 --condition K=0.15/0.18/0.21 \\
    --torque '65 lb-ft' --window '5 %' --accuracy '4 %' --deviations 2 --relaxation '5 %'";

const USAGE: &str = "\
baybook scatter [OPTIONS] --bolt <NAME> --condition <FINISH> --torque <TORQUE>
           --window <SHARE> --deviations <NUMBER> --relaxation <SHARE>
           <--wrench|--accuracy>";

const FLAGS: Flags = Flags(&[
    ("bolt", "--bolt"),
    ("condition", "--condition"),
    ("torque", "--torque"),
    ("window_share", "--window"),
    ("wrench", "--wrench"),
    ("accuracy_share", "--accuracy"),
    ("deviations_count", "--deviations"),
    ("needed", "--needed"),
    ("bolt_count", "--bolt-count"),
    ("relaxation_share", "--relaxation"),
    ("creep", "--creep"),
    ("thermal_gain", "--thermal-gain"),
    ("thermal_loss", "--thermal-loss"),
]);

/// Tell how the preload of a torque scatters, and the chances of too little and too much
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES, override_usage = USAGE)]
pub struct ScatterArgs {
    /// The bolt, by its entry: bolts/m12-88-40
    #[arg(long, value_name = "NAME")]
    bolt: String,

    /// The condition the joint is in: finishes/oiled, or nut factors, K=0.12/0.15/0.18
    #[arg(long, value_name = "FINISH", value_parser = read::finish)]
    condition: pb::FinishRef,

    /// The torque that makes preload, prevailing torque taken off: "60 N·m"
    #[arg(long, value_name = "TORQUE", value_parser = read::torque)]
    torque: pb::Torque,

    /// The window around the torque, to either side: "10 %"
    #[arg(long, value_name = "SHARE", value_parser = read::share)]
    window: f64,

    /// The wrench, whose accuracy is taken: wrenches/click-200
    #[arg(long, value_name = "NAME", required_unless_present = "accuracy")]
    wrench: Option<String>,

    /// The wrench's accuracy, when no entry gives it: "4 %"
    #[arg(long, value_name = "SHARE", value_parser = read::share)]
    accuracy: Option<f64>,

    /// How many standard deviations these shares stand for: 3 for hardly ever, 2 for one in twenty
    #[arg(long, value_name = "NUMBER")]
    deviations: f64,

    /// The share of the least preload that relaxes: "5 %" is usual in all-metal joints
    #[arg(long, value_name = "SHARE", value_parser = read::share)]
    relaxation: f64,

    /// The clamp that is needed, losses included: "25 kN"
    #[arg(long, value_name = "FORCE", value_parser = read::force)]
    needed: Option<pb::Force>,

    /// How many bolts share the load, where separation is not critical
    #[arg(long, value_name = "COUNT")]
    bolt_count: Option<i32>,

    /// What creep takes off the least preload: "0.4 kN"
    #[arg(long, value_name = "FORCE", value_parser = read::force)]
    creep: Option<pb::Force>,

    /// What heat adds to the greatest, at the worst temperature: "1.2 kN"
    #[arg(long, value_name = "FORCE", value_parser = read::force)]
    thermal_gain: Option<pb::Force>,

    /// What heat takes off the least, at the worst temperature: "0.9 kN"
    #[arg(long, value_name = "FORCE", value_parser = read::force)]
    thermal_loss: Option<pb::Force>,
}

pub async fn run(args: ScatterArgs, context: &mut Context) -> Outcome {
    let request = context.call(pb::PreloadScatterRequest {
        bolt: Some(pb::BoltRef { bolt: Some(pb::bolt_ref::Bolt::Name(args.bolt)) }),
        condition: Some(args.condition),
        torque: Some(args.torque),
        window_share: Some(args.window),
        wrench: args.wrench.map(|name| pb::WrenchRef { wrench: Some(pb::wrench_ref::Wrench::Name(name)) }),
        accuracy_share: args.accuracy,
        deviations_count: Some(args.deviations),
        needed: args.needed,
        bolt_count: args.bolt_count,
        relaxation_share: Some(args.relaxation),
        creep: args.creep,
        thermal_gain: args.thermal_gain,
        thermal_loss: args.thermal_loss,
    });
    let reply = context.calculator().await?.preload_scatter(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::PreloadScatterResponse, page: &mut Page) {
    page.facts(
        "preload",
        &["least", "likely", "greatest"],
        vec![
            Fact::many("within the deviations", Kind::Force, forces(reply.band.as_ref())),
            Fact::many("everything at its worst", Kind::Force, forces(reply.worst.as_ref())),
            Fact::many("limits as for space hardware", Kind::Force, forces(reply.limits.as_ref())),
        ],
    );
    page.facts(
        "scatter and chances",
        &[""],
        vec![
            Fact::one("scatter, plus or minus", Kind::Share, reply.rss_share),
            Fact::one("tightening factor", Kind::Factor, reply.tightening_factor_share),
            Fact::one("chance of too little clamp", Kind::Share, reply.under_needed_share),
            Fact::one("chance of going over proof", Kind::Share, reply.over_proof_share),
            Fact::one("proof load", Kind::Force, reply.proof_load_n),
            Fact::one("least of the limits, relaxed", Kind::Force, reply.limit_relaxed_n),
        ],
    );
    let rows = reply.methods.iter().map(|row| {
        vec![
            row.id.as_str().into(),
            row.good_share.into(),
            row.bad_share.into(),
            row.factor_low_share.into(),
            row.factor_high_share.into(),
        ]
    });
    page.table(
        &[
            Column::Words("methods, as printed"),
            Column::Numbers("good end", Kind::Share),
            Column::Numbers("bad end", Kind::Share),
            Column::Numbers("factor from", Kind::Factor),
            Column::Numbers("to", Kind::Factor),
        ],
        rows.collect(),
    );
    page.footing(&reply.cautions, &reply.basis, Some(reply.revision));
}
