//! `baybook thread`: what the standards say of a thread.

use baybook_proto::v1 as pb;
use clap::Args;

use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Fact, Page},
    people::Kind,
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook thread M12 --class 8.8
  baybook thread '7/16-14 UNC' --class 'SAE 5' --units us";

const FLAGS: Flags = Flags(&[("thread", "THREAD"), ("property_class", "--class")]);

/// Look up the sizes, areas and loads of a thread
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct ThreadArgs {
    /// The designation: M12, M12x1.25, "1/2-13 UNC"
    #[arg(value_name = "THREAD")]
    thread: String,

    /// The class or grade, for loads: 8.8, "SAE 5", A2-70
    #[arg(long, value_name = "CLASS")]
    class: Option<String>,
}

pub async fn run(args: ThreadArgs, context: &mut Context) -> Outcome {
    let message = pb::LookUpThreadRequest { thread: args.thread, property_class: args.class.unwrap_or_default() };
    let request = context.call(message);
    let reply = context.calculator().await?.look_up_thread(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::LookUpThreadResponse, page: &mut Page) {
    page.line(Cell::marked(reply.thread.clone(), Mark::Strong), &reply.series);
    page.facts(
        "geometry",
        &[""],
        vec![
            Fact::one("nominal diameter", Kind::Size, reply.diameter_mm),
            Fact::one("pitch", Kind::Size, reply.pitch_mm),
            Fact::one("threads per inch", Kind::Count, reply.threads_per_inch_count),
            Fact::one("pitch diameter", Kind::Size, reply.pitch_diameter_mm),
            Fact::one("minor diameter, rounded root", Kind::Size, reply.minor_diameter_mm),
            Fact::one("minor diameter of the nut", Kind::Size, reply.internal_minor_diameter_mm),
            Fact::one("tensile stress area", Kind::Area, reply.stress_area_mm2),
            Fact::one("area at the minor diameter", Kind::Area, reply.minor_area_mm2),
            Fact::one("lead angle", Kind::Angle, reply.lead_angle_deg),
            Fact::one("usual bearing face, outside", Kind::Size, reply.bearing_diameter_mm),
            Fact::one("clearance hole, fine", Kind::Size, reply.hole_fine_mm),
            Fact::one("clearance hole, medium", Kind::Size, reply.hole_medium_mm),
            Fact::one("clearance hole, coarse", Kind::Size, reply.hole_coarse_mm),
            Fact::one("height of a regular nut", Kind::Size, reply.nut_height_mm),
        ],
    );
    page.facts(
        "strength",
        &[""],
        vec![
            Fact::one("tensile strength, least", Kind::Stress, reply.tensile_min_mpa),
            Fact::one("yield strength, least", Kind::Stress, reply.yield_min_mpa),
            Fact::one("proof stress", Kind::Stress, reply.proof_stress_mpa),
            Fact::one("proof load", Kind::Force, reply.proof_load_n),
            Fact::one("yield load", Kind::Force, reply.yield_load_n),
            Fact::one("ultimate load", Kind::Force, reply.ultimate_load_n),
        ],
    );
    page.footing(&reply.cautions, &reply.basis, None);
}
