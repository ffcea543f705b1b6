//! `baybook torque`: what to set the wrench to.

use baybook_proto::v1::{self as pb, adjust_torque_request::Aim};
use clap::{ArgGroup, Args, ValueEnum};

use crate::{
    args::{
        YesNo,
        joint::{self, JointArgs, WrenchArgs},
    },
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Column, Fact, Page},
    people::Kind,
    read,
    table::{Cell, Mark},
};

use super::tighten::{Steps, grid, spot};

const EXAMPLES: &str = "\
Examples:
  baybook torque --book deploy/demo/book --bolt bolts/m12-88-40 --nut nuts/m12-8 \\
    --condition finishes/oiled --specified '79 N·m' --specified-condition finishes/zinc-dry \\
    --method torque --window '10 %' --wrench wrenches/click-200 --bolt-count 6 --pattern circle \\
    --passes 30-70-100
  baybook torque --thread '1/2-13 UNC' --class 'SAE 8' --condition K=0.12/0.15/0.18 \\
    --proof-share '75 %' --window '5 %' --units us";

const USAGE: &str = "\
baybook torque [OPTIONS] <--bolt|--thread> --condition <FINISH> --window <SHARE>
           <--specified|--proof-share|--yield-share|--preload>";

/// Work out what to set the wrench to, for the condition the joint is really in
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES, group = ArgGroup::new("aim").required(true), override_usage = USAGE)]
pub struct TorqueArgs {
    #[command(flatten)]
    joint: JointArgs,

    /// Aim for what the maker specifies: "100 N·m", "75 lb-ft"
    #[arg(long, value_name = "TORQUE", group = "aim", value_parser = read::torque,
          requires_all = ["specified_condition", "method"], help_heading = "The aim")]
    specified: Option<pb::Torque>,

    /// The condition that the maker specified it for: finishes/zinc-dry
    #[arg(long, value_name = "FINISH", value_parser = read::finish, requires = "specified", help_heading = "The aim")]
    specified_condition: Option<pb::FinishRef>,

    /// How the maker tells to tighten; only a plain torque can be worked out anew
    #[arg(long, value_name = "METHOD", requires = "specified", help_heading = "The aim")]
    method: Option<Method>,

    /// Aim for a preload as a share of the proof load: "75 %"
    #[arg(long, value_name = "SHARE", group = "aim", value_parser = read::share, help_heading = "The aim")]
    proof_share: Option<f64>,

    /// Aim for a preload as a share of yield, torsion counted: "90 %"
    #[arg(long, value_name = "SHARE", group = "aim", value_parser = read::share, help_heading = "The aim")]
    yield_share: Option<f64>,

    /// Aim for a preload: "40 kN", "9,000 lbf"
    #[arg(long, value_name = "FORCE", group = "aim", value_parser = read::force, help_heading = "The aim")]
    preload: Option<pb::Force>,

    /// The window around the torque, to either side: "10 %"
    #[arg(long, value_name = "SHARE", value_parser = read::share, help_heading = "The aim")]
    window: f64,

    /// Whether the specified torque contains the nut's prevailing torque; needed when the nut locks
    #[arg(long, value_name = "ANSWER", requires = "specified", help_heading = "The aim")]
    prevailing_included: Option<YesNo>,

    #[command(flatten)]
    wrench: WrenchArgs,

    /// In how many steps to tighten, with a check round after three; without it no steps are listed
    #[arg(long, value_name = "STEPS", help_heading = "The order")]
    passes: Option<Steps>,

    /// Rounds at the full torque after the last step, in which nothing may move
    #[arg(long, value_name = "COUNT", requires = "passes", help_heading = "The order")]
    check_rounds: Option<i32>,

    /// How many bolts the joint has; then the order is told
    #[arg(long, value_name = "COUNT", requires = "pattern", help_heading = "The order")]
    bolt_count: Option<i32>,

    /// How the bolts lie
    #[arg(long, value_name = "PATTERN", requires = "bolt_count", help_heading = "The order")]
    pattern: Option<Pattern>,

    /// Or bolts in rows and columns, numbered along the rows: 2x3
    #[arg(long, value_name = "ROWSxCOLUMNS", conflicts_with_all = ["bolt_count", "at"], value_parser = grid,
          help_heading = "The order")]
    grid: Option<pb::BoltGrid>,

    /// Or where a bolt lies, to the right and upward: "160 mm,60 mm"; once for each bolt
    #[arg(long, value_name = "X,Y", conflicts_with = "bolt_count", value_parser = spot,
          help_heading = "The order")]
    at: Vec<pb::BoltSpot>,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Method {
    /// To a torque
    Torque,
    /// To a torque and then through an angle
    TorqueAndAngle,
    /// Into yield
    TorqueToYield,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Pattern {
    /// On a circle, numbered around it
    Circle,
    /// In a row, numbered along it
    Row,
}

impl TorqueArgs {
    fn request(self) -> pb::AdjustTorqueRequest {
        let aim = (self.specified.map(Aim::SpecifiedTorque))
            .or(self.proof_share.map(Aim::ProofShare))
            .or(self.yield_share.map(Aim::YieldShare))
            .or(self.preload.map(Aim::Preload));
        pb::AdjustTorqueRequest {
            bolt: Some(self.joint.bolt()),
            nut: self.joint.nut(),
            washer: self.joint.washer(),
            washer_turns: self.joint.washer_turns.map(bool::from),
            condition: Some(self.joint.condition),
            aim,
            specified_condition: self.specified_condition,
            method: match self.method {
                None => pb::TighteningMethod::Unspecified,
                Some(Method::Torque) => pb::TighteningMethod::Torque,
                Some(Method::TorqueAndAngle) => pb::TighteningMethod::TorqueAndAngle,
                Some(Method::TorqueToYield) => pb::TighteningMethod::TorqueToYield,
            }
            .into(),
            window_share: Some(self.window),
            wrench: self.wrench.wrench(),
            adapter: self.wrench.adapter(),
            tapped_hole: self.joint.tapped_hole.map(bool::from),
            prevailing_included: self.prevailing_included.map(bool::from),
            passes: match self.passes {
                None => pb::PassPlan::Unspecified,
                Some(Steps::Single) => pb::PassPlan::Single,
                Some(Steps::ThirtySeventyHundred) => pb::PassPlan::ThirtySeventyHundred,
                Some(Steps::SeventyHundred) => pb::PassPlan::SeventyHundred,
                Some(Steps::FiftyEightyHundred) => pb::PassPlan::FiftyEightyHundred,
            }
            .into(),
            check_round_count: self.check_rounds,
            grid: self.grid,
            spots: (!self.at.is_empty()).then_some(pb::BoltSpots { spots: self.at }),
            bolt_count: self.bolt_count,
            pattern: match self.pattern {
                None => pb::BoltPattern::Unspecified,
                Some(Pattern::Circle) => pb::BoltPattern::Circle,
                Some(Pattern::Row) => pb::BoltPattern::Row,
            }
            .into(),
        }
    }
}

pub async fn run(args: TorqueArgs, context: &mut Context) -> Outcome {
    let request = context.call(args.request());
    let reply = context.calculator().await?.adjust_torque(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, Flags(joint::FLAGS)))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn window(window: Option<&pb::TorqueWindow>) -> [Option<f64>; 3] {
    window.map_or([None; 3], |window| [window.low_n_m, window.target_n_m, window.high_n_m])
}

/// Returns a force band from its least to its greatest.
pub fn forces(band: Option<&pb::ForceBand>) -> [Option<f64>; 3] {
    band.map_or([None; 3], |band| [band.min_n, band.nominal_n, band.max_n])
}

/// Returns a band of shares from its least to its greatest.
pub fn shares(band: Option<&pb::ShareBand>) -> [Option<f64>; 3] {
    band.map_or([None; 3], |band| [band.min_share, band.nominal_share, band.max_share])
}

fn draw(reply: &pb::AdjustTorqueResponse, page: &mut Page) {
    if let Some(target) = reply.setting.as_ref().and_then(|setting| setting.target_n_m) {
        let setting = page.units().say(Kind::Torque, target);
        let change = reply.change_share.map(|share| page.units().say(Kind::Share, share));
        let change = change.map_or_else(String::new, |change| format!(", {change} of the specified torque"));
        page.line(Cell::marked("set the wrench to", Mark::Strong), &format!("{setting}{change}"));
    }
    page.facts(
        "torque",
        &["low", "target", "high"],
        vec![
            Fact::many("on the wrench", Kind::Torque, window(reply.setting.as_ref())),
            Fact::many("at the fastener", Kind::Torque, window(reply.torque.as_ref())),
        ],
    );
    let factor = reply.nut_factor.as_ref();
    page.facts(
        "what results",
        &["least", "likely", "greatest"],
        vec![
            Fact::many("preload, at the target", Kind::Force, forces(reply.preload.as_ref())),
            Fact::many("preload, within the window", Kind::Force, forces(reply.preload_in_window.as_ref())),
            Fact::many("of the proof load", Kind::Share, shares(reply.proof.as_ref())),
            Fact::many("of yield, torsion counted", Kind::Share, shares(reply.r#yield.as_ref())),
            Fact::many(
                "nut factor K",
                Kind::Factor,
                factor.map_or([None; 3], |band| [band.low_share, band.nominal_share, band.high_share]),
            ),
        ],
    );
    let split = reply.split.as_ref();
    page.facts(
        "where the torque goes",
        &["share"],
        vec![
            Fact::one("stretching the bolt", Kind::Share, split.and_then(|split| split.pitch_share)),
            Fact::one("friction in the threads", Kind::Share, split.and_then(|split| split.thread_share)),
            Fact::one("friction under the face", Kind::Share, split.and_then(|split| split.face_share)),
        ],
    );
    passes(reply, page);
    let units = page.units();
    let thumb = reply.rules_of_thumb.iter().map(|rule| {
        let ends = [rule.torque_low_n_m, rule.torque_high_n_m].map(|end| end.map(|end| units.say(Kind::Torque, end)));
        let torque = match ends {
            [Some(low), Some(high)] if low != high => format!(": {low} to {high}"),
            [Some(one), _] | [None, Some(one)] => format!(": {one}"),
            [None, None] => String::new(),
        };
        ("", format!("{}{torque} ({})", rule.text, rule.source))
    });
    page.notes("rules of thumb, beside the answer and never instead of it", thumb);
    page.footing(&reply.cautions, &reply.basis, Some(reply.revision));
}

fn passes(reply: &pb::AdjustTorqueResponse, page: &mut Page) {
    let rows = reply.passes.iter().map(|pass| {
        let what = if pass.check_only { "check: nothing turns any more" } else { "tighten" };
        vec![pass.pass.to_string().into(), what.into(), pass.torque_n_m.into(), pass.setting_n_m.into()]
    });
    page.table(
        &[
            Column::Words("pass"),
            Column::Words(""),
            Column::Numbers("fastener", Kind::Torque),
            Column::Numbers("wrench", Kind::Torque),
        ],
        rows.collect(),
    );
    if !reply.order_position.is_empty() {
        let order: Vec<String> = reply.order_position.iter().map(ToString::to_string).collect();
        page.line(Cell::marked("order in each pass", Mark::Strong), &order.join(", "));
    }
}
