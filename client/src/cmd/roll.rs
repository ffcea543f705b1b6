//! `baybook roll`: whether anything drags on a ramp, a kerb, a hump or a ditch.

use baybook_proto::v1 as pb;
use clap::{Args, ValueEnum};
use pb::{FittedGear, RollVerdict, RollWay};

use crate::{
    args::plan::PlanArgs,
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Column, Page, Value},
    people::Kind,
    read,
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook roll --book deploy/demo/book --terrain terrains/north-depot-ramp --margin '25 mm' \\
    --vehicle vehicles/van-l35 --receiver receivers/van-tuck --replaced-receiver receivers/van-low \\
    --ball-mount ballmounts/two-in-drop-4 --ball balls/two-in-6000 \\
    --trailer trailers/flatbed-2t --trailer-mass '1500 kg' --tongue '160 kg' \\
    --item 'crew=170 kg@1400 mm' --item 'cargo=400 kg@3300 mm'
  baybook roll --wheelbase '3640 mm' --loaded-radius '345 mm' --join separate \\
    --point 'front lip=260 mm@-820 mm' --point 'belly=200 mm@1820 mm' \\
    --ground '0 mm,0 mm; 1000 mm,100 mm; 1500 mm,100 mm; 2500 mm,0 mm' --units si";

/// Which flag fills which field of the request, beside the plan's.
const FLAGS: &[(&str, &str)] = &[
    ("plan", "--plan or the plan's flags, or --wheelbase"),
    ("plan.vehicle", "--vehicle"),
    ("plan.receiver", "--receiver"),
    ("plan.replaced_receiver", "--replaced-receiver"),
    ("plan.ball_mount", "--ball-mount"),
    ("plan.ball", "--ball"),
    ("plan.coupler", "--coupler"),
    ("plan.trailer", "--trailer"),
    ("plan.trailer_mass", "--trailer-mass"),
    ("plan.tongue_load", "--tongue"),
    ("plan.tongue_share", "--tongue"),
    ("plan.items", "--item or --added"),
    ("profile.wheelbase_mm", "--wheelbase"),
    ("profile.front_loaded_radius_mm", "--loaded-radius"),
    ("profile.rear_loaded_radius_mm", "--loaded-radius or --rear-loaded-radius"),
    ("profile.profile", "--point"),
    ("profile.profile.points", "--point"),
    ("profile.profile.join", "--join"),
    ("terrain", "--terrain or --ground"),
    ("margin_mm", "--margin"),
    ("tape_uncertainty_mm", "--tape-uncertainty"),
];

/// Roll a vehicle over a terrain: does anything drag, what, where and at what pitch
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES, mut_arg("plan", |arg| arg.required_unless_present("wheelbase")))]
pub struct RollArgs {
    /// The terrain, by its entry: terrains/north-depot-ramp
    #[arg(long, value_name = "NAME", required_unless_present = "ground", conflicts_with = "ground")]
    terrain: Option<String>,

    /// The terrain itself, corner by corner, distance and height: "0 mm,0 mm; 3000 mm,450 mm"
    #[arg(long, value_name = "RUN,RISE; ...", value_parser = read::ground)]
    ground: Option<pb::Terrain>,

    /// How far everything must stay off the ground: "25 mm"
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    margin: Option<f64>,

    /// How well the vehicle was measured; each gap then comes with its uncertainty: "3 mm"
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    tape_uncertainty: Option<f64>,

    /// Show the curves that the hubs follow over the ground
    #[arg(long)]
    hubs: bool,

    #[command(flatten)]
    bare: BareArgs,

    #[command(flatten)]
    plan: PlanArgs,
}

/// An underside by itself.
#[derive(Debug, Args)]
#[command(next_help_heading = "An underside by itself, in place of a plan")]
struct BareArgs {
    /// Front axle to rear axle
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm, conflicts_with_all = ["plan", "PlanFlags"])]
    wheelbase: Option<f64>,

    /// Static loaded radius of the wheels, or of the front ones
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm, requires = "wheelbase")]
    loaded_radius: Option<f64>,

    /// Static loaded radius of the rear wheels, when it is another one
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm, requires = "wheelbase")]
    rear_loaded_radius: Option<f64>,

    /// A point of the underside, its height, and how far behind the front axle: "belly=200 mm@1820 mm"; repeat it from
    /// front to rear
    #[arg(long = "point", value_name = "WHAT=HEIGHT@STATION", value_parser = read::point, requires = "wheelbase")]
    points: Vec<pb::ProfilePoint>,

    /// What is between neighbouring points
    #[arg(long, value_name = "JOIN", requires = "wheelbase")]
    join: Option<Join>,
}

/// What is between neighbouring points.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Join {
    /// One straight edge, which counts too
    Straight,
    /// Nothing that is known
    Separate,
}

impl BareArgs {
    fn profile(self) -> Option<pb::RolledProfile> {
        self.wheelbase?;
        let join = match self.join {
            None => pb::ProfileJoin::Unspecified,
            Some(Join::Straight) => pb::ProfileJoin::StraightEdges,
            Some(Join::Separate) => pb::ProfileJoin::SeparatePoints,
        };
        Some(pb::RolledProfile {
            profile: Some(pb::Profile { points: self.points, join: join.into() }),
            wheelbase_mm: self.wheelbase,
            front_loaded_radius_mm: self.loaded_radius,
            rear_loaded_radius_mm: self.rear_loaded_radius.or(self.loaded_radius),
        })
    }
}

pub async fn run(args: RollArgs, context: &mut Context) -> Outcome {
    use pb::{roll_over_request::Rolling, terrain_ref};
    let rolling = match args.bare.profile() {
        Some(profile) => Rolling::Profile(profile),
        None => Rolling::Plan(Box::new(args.plan.plan()?)),
    };
    let named = args.terrain.map(terrain_ref::Terrain::Name);
    let terrain = named.or(args.ground.map(terrain_ref::Terrain::Spec));
    let request = context.call(pb::RollOverRequest {
        rolling: Some(rolling),
        terrain: Some(pb::TerrainRef { terrain }),
        margin_mm: args.margin,
        tape_uncertainty_mm: args.tape_uncertainty,
    });
    let reply = context.calculator().await?.roll_over(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, Flags(FLAGS)))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, args.hubs, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::RollOverResponse, hubs: bool, page: &mut Page) {
    for laden in [false, true] {
        answer(reply, laden, page);
    }
    let measured = reply.states.iter().any(|state| state.least.as_ref().is_some_and(|at| at.uncertainty_mm.is_some()));
    let mut columns = vec![
        Column::Words("gear"),
        Column::Words("load"),
        Column::Words("way"),
        Column::Words(""),
        Column::Numbers("gap", Kind::Gap),
    ];
    if measured {
        columns.push(Column::Numbers("±", Kind::Gap));
    }
    columns.push(Column::Words("nearest"));
    let rows = reply.states.iter().map(|state| {
        let least = state.least.as_ref();
        let mut row = head(state);
        row.push(verdict(state.verdict()).into());
        row.push(least.and_then(|at| at.gap_mm).into());
        if measured {
            row.push(least.and_then(|at| at.uncertainty_mm).into());
        }
        row.push(least.map_or("", |at| at.part.as_str()).into());
        row
    });
    page.table(&columns, rows.collect());
    page.title("where it comes nearest, along the ground");
    let rows = reply.states.iter().map(|state| {
        let least = state.least.as_ref();
        let mut row = head(state);
        row.push(least.and_then(|at| at.run_mm).into());
        row.push(least.and_then(|at| at.rear_hub_run_mm).into());
        row.push(least.and_then(|at| at.pitch_deg).into());
        row.push(state.first_touch.as_ref().map_or(Value::None, |at| at.rear_hub_run_mm.into()));
        row
    });
    page.table(
        &[
            Column::Words("gear"),
            Column::Words("load"),
            Column::Words("way"),
            Column::Numbers("part at", Kind::Length),
            Column::Numbers("rear hub at", Kind::Length),
            Column::Numbers("pitch", Kind::Angle),
            Column::Numbers("touches from", Kind::Length),
        ],
        rows.collect(),
    );
    if !reply.swaps.is_empty() {
        swaps(reply, page);
    }
    if hubs {
        curve("front hub", &reply.front_hub, page);
        curve("rear hub", &reply.rear_hub, page);
    }
    page.footing(&reply.cautions, &reply.basis, Some(reply.revision).filter(|revision| 0 < *revision));
}

/// Says in one line whether anything drags, empty or laden: the worst of what will really drive.
fn answer(reply: &pb::RollOverResponse, laden: bool, page: &mut Page) {
    let most = reply.states.iter().map(|state| rank(state.gear())).max();
    let driven = reply.states.iter().filter(|state| state.laden == laden && Some(rank(state.gear())) == most);
    let gap = |state: &&pb::RolledState| state.least.as_ref().and_then(|at| at.gap_mm).unwrap_or(f64::NEG_INFINITY);
    let load = if laden { "laden" } else { "empty" };
    let Some(worst) = driven.min_by(|one, other| gap(one).total_cmp(&gap(other))) else {
        // A profile by itself has no load, so nothing is missing there.
        if laden && most != Some(rank(FittedGear::Bare)) {
            let lead = Cell::marked(format!("{load}: UNKNOWN"), Mark::Mind);
            page.line(lead, "the laden state could not be worked out; see below");
        }
        return;
    };
    let Some(at) = worst.least.as_ref() else { return };
    let size = page.units().say(Kind::Gap, at.gap_mm.unwrap_or_default().abs());
    let way = way(worst.way());
    let (word, mark, rest) = match worst.verdict() {
        RollVerdict::Touches => ("DRAGS", Mark::Bad, format!("the ground is {size} too high for {}, {way}", at.part)),
        RollVerdict::UnderMargin => ("NEAR", Mark::Mind, format!("{} comes within {size}, {way}", at.part)),
        RollVerdict::Clears => ("CLEARS", Mark::Good, format!("{} comes within {size}, {way}", at.part)),
        RollVerdict::Unspecified => ("UNKNOWN", Mark::Mind, String::new()),
    };
    page.line(Cell::marked(format!("{}, {load}: {word}", reply.terrain).trim_start_matches(", "), mark), &rest);
}

/// How much is fitted: the most is what will really drive.
const fn rank(gear: FittedGear) -> u8 {
    match gear {
        FittedGear::Unspecified => 0,
        FittedGear::Bare => 1,
        FittedGear::Replaced => 2,
        FittedGear::ReplacedAndBallMount => 3,
        FittedGear::Receiver => 4,
        FittedGear::ReceiverAndBallMount => 5,
    }
}

fn head(state: &pb::RolledState) -> Vec<Value> {
    let gear = match state.gear() {
        FittedGear::Unspecified | FittedGear::Bare => "bare",
        FittedGear::Replaced => "old",
        FittedGear::ReplacedAndBallMount => "old, mount in",
        FittedGear::Receiver => "new",
        FittedGear::ReceiverAndBallMount => "new, mount in",
    };
    vec![gear.into(), if state.laden { "laden" } else { "empty" }.into(), way(state.way()).into()]
}

const fn way(way: RollWay) -> &'static str {
    match way {
        RollWay::Unspecified => "",
        RollWay::There => "there",
        RollWay::Back => "back",
    }
}

fn verdict(verdict: RollVerdict) -> Cell {
    match verdict {
        RollVerdict::Unspecified => Cell::marked("UNKNOWN", Mark::Mind),
        RollVerdict::Clears => Cell::marked("CLEARS", Mark::Good),
        RollVerdict::UnderMargin => Cell::marked("NEAR", Mark::Mind),
        RollVerdict::Touches => Cell::marked("DRAGS", Mark::Bad),
    }
}

fn swaps(reply: &pb::RollOverResponse, page: &mut Page) {
    let rows = reply.swaps.iter().map(|swap| {
        let newly = if swap.newly_touches { Cell::marked("NEWLY DRAGS", Mark::Bad) } else { "".into() };
        vec![
            if swap.laden { "laden" } else { "empty" }.into(),
            way(swap.way()).into(),
            if swap.ball_mount { "in" } else { "out" }.into(),
            swap.before_gap_mm.into(),
            swap.after_gap_mm.into(),
            swap.lost_mm.into(),
            newly.into(),
        ]
    });
    page.title("the old gear against the new");
    page.table(
        &[
            Column::Words("load"),
            Column::Words("way"),
            Column::Words("mount"),
            Column::Numbers("gap before", Kind::Gap),
            Column::Numbers("after", Kind::Gap),
            Column::Numbers("lost", Kind::Gap),
            Column::Words(""),
        ],
        rows.collect(),
    );
}

fn curve(title: &str, pieces: &[pb::HubPiece], page: &mut Page) {
    let number = |value: Option<f64>| value.map_or(Value::None, |value| Some(value).into());
    let rows = pieces.iter().map(|piece| {
        vec![
            if piece.about_run_mm.is_some() { "arc" } else { "line" }.into(),
            number(piece.from_run_mm),
            number(piece.from_rise_mm),
            number(piece.to_run_mm),
            number(piece.to_rise_mm),
        ]
    });
    page.title(&format!("curve of the {title}, wheels as measured"));
    page.table(
        &[
            Column::Words(""),
            Column::Numbers("from", Kind::Length),
            Column::Numbers("height", Kind::Length),
            Column::Numbers("to", Kind::Length),
            Column::Numbers("height", Kind::Length),
        ],
        rows.collect(),
    );
}
