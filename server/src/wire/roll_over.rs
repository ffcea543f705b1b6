//! Rolling over a terrain: the question from the wire, the answer to it.

use std::sync::Arc;

use baybook_core::{
    basis::Basis,
    calc::{
        clearance::{Underside, Wheels},
        roll_over::{self, Contact, HubPiece, Place, RollInput, Touching, hub_curve, reversed, roll_over},
        sag::Pose,
    },
    error::CalcError,
    model::{profile::Profile, terrain::Terrain, upfit::Upfit},
    units::{Angle, Length},
};
use baybook_proto::v1::{self as pb, FittedGear, RollVerdict, RollWay, roll_over_request::Rolling};

use super::{
    Fields, FromWire, Lookup, WireError,
    basis::{basis_to_wire, caution},
    plan::plan_in,
    ranges,
    standing::{Standing, bare, lacks_to_wire, standings, wheels},
};

/// A question whether anything drags.
#[derive(Debug, Clone, PartialEq)]
pub struct RollOver {
    /// The plan; absent when an underside was given by itself.
    pub plan: Option<Upfit>,
    /// The underside.
    pub profile: Profile,
    /// The wheels as measured.
    pub wheels: Wheels,
    /// The ground.
    pub terrain: Arc<Terrain>,
    /// How far everything must stay off it.
    pub margin: Option<Length>,
    /// How well the vehicle was measured.
    pub tape: Option<Length>,
}

/// An underside on two wheels.
struct Bare {
    profile: Profile,
    wheels: Wheels,
}

impl FromWire for Bare {
    type Wire = pb::RolledProfile;

    fn from_wire(wire: &pb::RolledProfile, fields: &mut Fields) -> Option<Self> {
        let profile = fields.required("profile", wire.profile.as_ref());
        let profile = fields.message("profile", profile);
        let wheelbase = fields.needed("wheelbase_mm", wire.wheelbase_mm, &ranges::WHEELBASE);
        let mut radius = |name, value| fields.needed(name, value, &ranges::LOADED_RADIUS);
        let front = radius("front_loaded_radius_mm", wire.front_loaded_radius_mm);
        let rear = radius("rear_loaded_radius_mm", wire.rear_loaded_radius_mm);
        let mm = Length::from_mm;
        let wheels = Wheels { wheelbase: mm(wheelbase?), front_radius: mm(front?), rear_radius: mm(rear?) };
        Some(Self { profile: profile?, wheels })
    }
}

impl RollOver {
    /// Reads the question: a vehicle with its profile and its loaded radii, and the ground.
    ///
    /// # Errors
    ///
    /// [`WireError`] with every violation.
    pub fn read(wire: &pb::RollOverRequest, lookup: &impl Lookup) -> Result<Self, WireError> {
        let mut fields = Fields::default();
        let what = match &wire.rolling {
            None => {
                fields.reject("plan", "is required, or profile: say what rolls over the ground");
                None
            }
            Some(Rolling::Profile(given)) => {
                fields.message::<Bare>("profile", Some(given)).map(|bare| (None, bare.profile, bare.wheels))
            }
            Some(Rolling::Plan(plan)) => {
                let plan = fields.under("plan", |fields| plan_in(plan, lookup, fields));
                let mut lacks = Vec::new();
                let wheels = plan.as_ref().and_then(|plan| wheels(plan, &mut lacks));
                fields.lacking("plan", &lacks);
                let profile = plan.as_ref().and_then(|plan| plan.vehicle.profile.clone());
                plan.zip(wheels).zip(profile).map(|((plan, wheels), profile)| (Some(plan), profile, wheels))
            }
        };
        let terrain = fields.needed_entry::<Terrain>("terrain", wire.terrain.as_ref(), lookup);
        let margin = fields.number("margin_mm", wire.margin_mm, &ranges::GROUND_MARGIN).map(Length::from_mm);
        let tape = fields.number("tape_uncertainty_mm", wire.tape_uncertainty_mm, &ranges::TAPE).map(Length::from_mm);
        let asked = what.zip(terrain).map(|((plan, profile, wheels), terrain)| Self {
            plan,
            profile,
            wheels,
            terrain,
            margin,
            tape,
        });
        fields.finish(asked)
    }
}

/// The ground, met from one end.
struct Way<'a> {
    way: RollWay,
    terrain: &'a Terrain,
}

impl Way<'_> {
    /// Returns a place as the ground counts it, whichever way it was met.
    fn run(&self, run: Length) -> f64 {
        // Adding nothing keeps a mirrored origin from being printed as minus nothing.
        if self.way == RollWay::Back { -run.mm() + 0.0 } else { run.mm() }
    }

    fn corner(&self, index: usize) -> Option<i32> {
        let last = self.terrain.points.len().saturating_sub(1);
        let index = if self.way == RollWay::Back { last.saturating_sub(index) } else { index };
        i32::try_from(index + 1).ok()
    }
}

/// Rolls every state over the ground, both ways, and writes what comes of it.
///
/// # Errors
///
/// [`WireError`] when no state can be rolled at all, with the reason of the first.
pub fn roll_over_to_wire(asked: &RollOver, revision: i64) -> Result<pb::RollOverResponse, WireError> {
    let mut cautions = vec![caution(
        "rigid-and-static",
        "rigid, at rest, seen from the side: springs travel, brakes dip and side slopes lean; keep a margin (25 to 50 mm \
         is common practice, no source)",
    )];
    if asked.margin.is_none() {
        cautions.push(caution("no-margin", "no margin was given: what clears here may touch when the springs travel"));
    }
    let unladen = Pose::as_measured(asked.wheels);
    let found = asked.plan.as_ref().map(|plan| standings(plan, asked.wheels));
    let alone = [bare(unladen)];
    let states: &[Standing<'_>] = found.as_ref().map_or(&alone, |found| &found.all);
    let back = reversed(&asked.terrain);
    let ways = [Way { way: RollWay::There, terrain: &asked.terrain }, Way { way: RollWay::Back, terrain: &back }];
    let mut rolled = Vec::with_capacity(2 * states.len());
    let mut refused = None;
    for standing in states {
        for way in &ways {
            match state(asked, standing, way) {
                Ok(state) => rolled.push(state),
                Err(error) => {
                    let what = format!("{}: {} {error}", standing.label(), error.field());
                    let said = caution("state-missing", &what);
                    if !cautions.contains(&said) {
                        cautions.push(said);
                    }
                    refused.get_or_insert(error);
                }
            }
        }
    }
    if let (true, Some(error)) = (rolled.is_empty(), refused) {
        return Err(WireError::of("terrain", format!("cannot be rolled over: {} {error}", error.field())));
    }
    cautions.extend(found.iter().flat_map(|found| lacks_to_wire(&found.lacks)));
    let curve = |radius| hub_curve(&asked.terrain, radius).map(|pieces| pieces.iter().map(piece).collect());
    let refused = |error: CalcError| WireError::of("terrain", error.to_string());
    Ok(pb::RollOverResponse {
        terrain: if asked.terrain.label.is_empty() { &asked.terrain.name } else { &asked.terrain.label }.clone(),
        swaps: swaps(&rolled),
        states: rolled,
        front_hub: curve(asked.wheels.front_radius).map_err(refused)?,
        rear_hub: curve(asked.wheels.rear_radius).map_err(refused)?,
        basis: basis_to_wire(&steps(asked, states)),
        cautions,
        revision,
    })
}

/// Returns what the answer rests on: the steps of the first state of each pose.
fn steps(asked: &RollOver, states: &[Standing<'_>]) -> Vec<Basis> {
    let underside = Underside::of(&asked.profile);
    let mut steps: Vec<Basis> = Vec::new();
    for standing in states {
        let input = RollInput { underside: &underside, pose: &standing.pose, terrain: &asked.terrain };
        for step in roll_over::basis(&input) {
            if !steps.contains(&step) {
                steps.push(step);
            }
        }
    }
    steps
}

fn state(asked: &RollOver, standing: &Standing<'_>, way: &Way<'_>) -> Result<pb::RolledState, CalcError> {
    let underside = standing.underside(&asked.profile);
    let input = RollInput { underside: &underside, pose: &standing.pose, terrain: way.terrain };
    let rolled = roll_over(&input)?;
    let least = contact(asked, &input, &rolled.least, way)?;
    let points = rolled.by_point.iter().enumerate().map(|(index, contact)| pb::PointGap {
        label: underside.label(index).unwrap_or_default().to_owned(),
        gap_mm: Some(contact.gap.mm()),
        run_mm: Some(way.run(contact.at.run)),
        rear_hub_run_mm: Some(way.run(contact.stance.rear_hub.run)),
        pitch_deg: Some(contact.stance.pitch.deg()),
    });
    let unsure = Length::from_mm(least.uncertainty_mm.unwrap_or_default());
    let margin = asked.margin.unwrap_or(Length::ZERO);
    let gap = rolled.least.gap;
    let verdict = if rolled.first_touch.is_some() {
        RollVerdict::Touches
    } else if gap < margin || gap <= unsure {
        RollVerdict::UnderMargin
    } else {
        RollVerdict::Clears
    };
    Ok(pb::RolledState {
        label: standing.label(),
        gear: standing.gear.into(),
        laden: standing.laden,
        way: way.way.into(),
        verdict: verdict.into(),
        points: points.collect(),
        first_touch: rolled.first_touch.as_ref().map(|first| contact(asked, &input, first, way)).transpose()?,
        least: Some(least),
    })
}

fn contact(
    asked: &RollOver,
    input: &RollInput<'_>,
    found: &Contact,
    way: &Way<'_>,
) -> Result<pb::GroundContact, CalcError> {
    let label = |index: usize| input.underside.label(index).unwrap_or_default();
    let (part, on_edge) = match found.touching {
        Touching::Point(index) => (label(index).to_owned(), false),
        Touching::Edge(index) => (format!("{} to {}", label(index), label(index + 1)), true),
    };
    let unsure = asked.tape.map(|tape| roll_over::uncertainty(input, found, tape)).transpose()?;
    Ok(pb::GroundContact {
        gap_mm: Some(found.gap.mm()),
        uncertainty_mm: unsure.map(Length::mm),
        part,
        on_edge,
        run_mm: Some(way.run(found.at.run)),
        rise_mm: Some(found.at.rise.mm()),
        ground_corner_position: found.ground_corner.and_then(|corner| way.corner(corner)),
        rear_hub_run_mm: Some(way.run(found.stance.rear_hub.run)),
        rear_hub_rise_mm: Some(found.stance.rear_hub.rise.mm()),
        front_hub_run_mm: Some(way.run(found.stance.front_hub.run)),
        front_hub_rise_mm: Some(found.stance.front_hub.rise.mm()),
        pitch_deg: Some(Angle::deg(found.stance.pitch)),
    })
}

/// Holds the old gear against the new, state by state.
fn swaps(rolled: &[pb::RolledState]) -> Vec<pb::RolledSwap> {
    let pairs = [
        (FittedGear::Replaced, FittedGear::Receiver, false),
        (FittedGear::ReplacedAndBallMount, FittedGear::ReceiverAndBallMount, true),
    ];
    let mut all = Vec::new();
    for (old, new, ball_mount) in pairs {
        for before in rolled.iter().filter(|state| state.gear() == old) {
            let same = |state: &&pb::RolledState| {
                state.gear() == new && state.laden == before.laden && state.way == before.way
            };
            let Some(after) = rolled.iter().find(same) else { continue };
            let gap = |state: &pb::RolledState| state.least.as_ref().and_then(|least| least.gap_mm);
            let (before_gap_mm, after_gap_mm) = (gap(before), gap(after));
            all.push(pb::RolledSwap {
                laden: before.laden,
                way: before.way,
                ball_mount,
                before_gap_mm,
                after_gap_mm,
                lost_mm: before_gap_mm.zip(after_gap_mm).map(|(before, after)| before - after),
                newly_touches: before.first_touch.is_none() && after.first_touch.is_some(),
            });
        }
    }
    all
}

fn piece(piece: &HubPiece) -> pb::HubPiece {
    let run = |place: Option<Place>| place.map(|place| place.run.mm());
    let rise = |place: Option<Place>| place.map(|place| place.rise.mm());
    pb::HubPiece {
        from_run_mm: run(piece.from),
        from_rise_mm: rise(piece.from.or(piece.to.filter(|_| piece.about.is_none()))),
        to_run_mm: run(piece.to),
        to_rise_mm: rise(piece.to.or(piece.from.filter(|_| piece.about.is_none()))),
        about_run_mm: run(piece.about),
        about_rise_mm: rise(piece.about),
    }
}
