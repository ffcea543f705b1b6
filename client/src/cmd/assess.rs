//! `baybook assess`: what a torque did to a bolt.

use baybook_proto::v1 as pb;
use clap::Args;

use crate::{
    args::{
        YesNo,
        joint::{self, JointArgs, WrenchArgs},
    },
    cmd::torque::{forces, shares},
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Fact, Page},
    people::Kind,
    read,
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook assess --book deploy/demo/book --bolt bolts/m12-88-40 --nut nuts/m12-8 \\
    --condition finishes/moly-paste --applied '79 N·m' \\
    --reusable yes
  baybook assess --thread M12 --class 8.8 --condition K=0.10/0.12/0.14 --applied '75 lb-ft' \\
    --reusable yes";

/// Tell what a torque that was applied did to the bolt
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct AssessArgs {
    #[command(flatten)]
    joint: JointArgs,

    /// The torque that was applied at the fastener, or with an adapter what the wrench showed: "100 N·m", "75 lb-ft"
    #[arg(long, value_name = "TORQUE", value_parser = read::torque)]
    applied: pb::Torque,

    /// Whether the joint may be taken apart again; it moves the usual target from 90 to 75 % of proof
    #[arg(long, value_name = "ANSWER")]
    reusable: YesNo,

    #[command(flatten)]
    wrench: WrenchArgs,
}

pub async fn run(args: AssessArgs, context: &mut Context) -> Outcome {
    let request = context.call(pb::AssessTorqueRequest {
        bolt: Some(args.joint.bolt()),
        nut: args.joint.nut(),
        washer: args.joint.washer(),
        washer_turns: args.joint.washer_turns.map(bool::from),
        condition: Some(args.joint.condition),
        applied_torque: Some(args.applied),
        reusable: Some(args.reusable.into()),
        wrench: args.wrench.wrench(),
        adapter: args.wrench.adapter(),
        tapped_hole: args.joint.tapped_hole.map(bool::from),
    });
    let reply = context.calculator().await?.assess_torque(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, Flags(joint::FLAGS)))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn state(state: pb::PreloadState) -> (Mark, &'static str, &'static str) {
    match state {
        pb::PreloadState::Ok => (Mark::Good, "OK", "within the usual target"),
        pb::PreloadState::High => (Mark::Mind, "HIGH", "over the usual target, within proof"),
        pb::PreloadState::ProofExceeded => (Mark::Bad, "OVER PROOF", "permanent set is possible; replace the bolt"),
        pb::PreloadState::Yielded => (Mark::Bad, "YIELDED", "discard bolt and nut"),
        pb::PreloadState::FractureRisk => (Mark::Bad, "MAY BREAK", "the bolt may break; discard it"),
        pb::PreloadState::Unspecified => (Mark::Bad, "UNKNOWN", "the service did not say"),
    }
}

fn draw(reply: &pb::AssessTorqueResponse, page: &mut Page) {
    let (mark, word, meaning) = state(reply.state());
    page.line(Cell::marked(word, mark), &format!("{meaning}; over the whole friction band"));
    let (_, word, meaning) = state(reply.state_least());
    page.line(Cell::default(), &format!("at the highest credible friction: {word}, {meaning}"));
    page.facts(
        "what results",
        &["least", "likely", "greatest"],
        vec![
            Fact::many("preload", Kind::Force, forces(reply.preload.as_ref())),
            Fact::many("of the proof load", Kind::Share, shares(reply.proof.as_ref())),
            Fact::many("of yield, torsion counted", Kind::Share, shares(reply.r#yield.as_ref())),
            Fact::many("of the ultimate load", Kind::Share, shares(reply.ultimate.as_ref())),
        ],
    );
    page.notes("discard", reply.discard.iter().map(|part| ("", part.clone())));
    page.footing(&reply.cautions, &reply.basis, Some(reply.revision));
}
