//! `baybook mark`: from the mark on a head or a nut to its class, and back.

use baybook_proto::v1::{self as pb, look_up_head_mark_request::Asked};
use clap::{ArgGroup, Args, ValueEnum};

use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Fact, Page},
    people::Kind,
    read,
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook mark 8.8 --threads metric --on bolt --thread M12
  baybook mark --lines 6 --threads inch --on bolt";

const FLAGS: Flags = Flags(&[
    ("threads", "--threads"),
    ("part", "--on"),
    ("mark_text", "MARK"),
    ("underlined_text", "--underlined"),
    ("line_count", "--lines"),
    ("clustered_line_count", "--clustered-lines"),
    ("apart_deg", "--apart"),
    ("unmarked", "--unmarked"),
    ("property_class", "--class"),
    ("thread", "--thread"),
]);

const USAGE: &str = "\
baybook mark [OPTIONS] --threads <SYSTEM> --on <PART>
           <MARK|--underlined|--lines|--clustered-lines|--apart|--unmarked|--class>";

/// Look up what the mark on a head or a nut means, or which mark a class bears
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES, group = ArgGroup::new("asked").required(true), override_usage = USAGE)]
pub struct MarkArgs {
    /// The letters and figures of the mark: 8.8, A2-70, on a nut 8 or 04
    #[arg(value_name = "MARK", group = "asked")]
    mark: Option<String>,

    /// Letters and figures with a line under them
    #[arg(long, value_name = "MARK", group = "asked")]
    underlined: Option<String>,

    /// Radial lines on a head, evenly spread: how many
    #[arg(long, value_name = "COUNT", group = "asked")]
    lines: Option<i32>,

    /// Radial lines in a cluster or in pairs: how many
    #[arg(long, value_name = "COUNT", group = "asked")]
    clustered_lines: Option<i32>,

    /// Two marks on the face of a nut, so far apart: "120 deg"
    #[arg(long, value_name = "ANGLE", group = "asked", value_parser = read::angle_deg)]
    apart: Option<f64>,

    /// It bears no mark but, at most, its maker's
    #[arg(long, group = "asked")]
    unmarked: bool,

    /// A class or grade, to learn its mark: 10.9, "SAE 5"
    #[arg(long, value_name = "CLASS", group = "asked")]
    class: Option<String>,

    /// Which threads the part has
    #[arg(long, value_name = "SYSTEM")]
    threads: Threads,

    /// What bears the mark
    #[arg(long, value_name = "PART")]
    on: Part,

    /// The thread, for the strength in this size: M12, "1/2-13 UNC"
    #[arg(long, value_name = "THREAD")]
    thread: Option<String>,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Threads {
    /// Metric
    Metric,
    /// Inch
    Inch,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Part {
    /// The head of a bolt or screw, the end of a stud
    Bolt,
    /// A nut
    Nut,
}

impl MarkArgs {
    fn request(self) -> pb::LookUpHeadMarkRequest {
        let asked = (self.mark.map(Asked::MarkText))
            .or(self.underlined.map(Asked::UnderlinedText))
            .or(self.lines.map(Asked::LineCount))
            .or(self.clustered_lines.map(Asked::ClusteredLineCount))
            .or(self.apart.map(Asked::ApartDeg))
            .or(self.class.map(Asked::PropertyClass))
            .or(self.unmarked.then_some(Asked::Unmarked(true)));
        pb::LookUpHeadMarkRequest {
            threads: match self.threads {
                Threads::Metric => pb::MarkedThreads::Metric,
                Threads::Inch => pb::MarkedThreads::Inch,
            }
            .into(),
            part: match self.on {
                Part::Bolt => pb::MarkedPart::Bolt,
                Part::Nut => pb::MarkedPart::Nut,
            }
            .into(),
            asked,
            thread: self.thread.unwrap_or_default(),
        }
    }
}

pub async fn run(args: MarkArgs, context: &mut Context) -> Outcome {
    let request = context.call(args.request());
    let reply = context.calculator().await?.look_up_head_mark(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::LookUpHeadMarkResponse, page: &mut Page) {
    let (word, mark) = match (reply.full_strength, reply.assumed) {
        (Some(false), _) => ("never at its full strength", Mark::Bad),
        (_, Some(true)) => ("assumed, because there is no mark", Mark::Mind),
        _ => ("", Mark::Strong),
    };
    let rest = format!("bears: {}", reply.mark);
    page.line(Cell::marked(reply.property_class.clone(), Mark::Strong), &rest);
    if !word.is_empty() {
        page.line(Cell::marked(word, mark), "");
    }
    page.facts(
        "strength",
        &[""],
        vec![
            Fact::one("tensile strength, by the name", Kind::Stress, reply.nominal_tensile_mpa),
            Fact::one("yield strength, by the name", Kind::Stress, reply.nominal_yield_mpa),
            Fact::one("tensile strength, least in this size", Kind::Stress, reply.tensile_min_mpa),
            Fact::one("yield strength, least in this size", Kind::Stress, reply.yield_min_mpa),
            Fact::one("proof stress", Kind::Stress, reply.proof_stress_mpa),
            Fact::one("proof load", Kind::Force, reply.proof_load_n),
        ],
    );
    page.footing(&reply.cautions, &reply.basis, None);
}
