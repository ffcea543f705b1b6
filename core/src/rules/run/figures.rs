//! Every figure of a plan, computed once before the rules look.

use std::borrow::Cow;

use super::{
    ground::{ClassFigures, Rolls, TerrainFigures},
    joints,
    shape::Shape,
    train::{self, Links, Train},
    turning::TurningFigures,
    tyres,
};
use crate::{
    calc::{
        axles::AxleLoads,
        bed::RailGap,
        clearance::Governed,
        ratings::{Weakest, at_share},
        torque::PreloadRange,
    },
    error::CalcError,
    model::upfit::Upfit,
    units::{Angle, Force, Length, Mass, Torque},
};

/// Why a figure has no value: the field that is to blame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unknown {
    /// The field's path on the wire; `[]` stands for the place of the index.
    pub field: &'static str,
    /// Which element of a repeated field.
    pub index: Option<usize>,
    /// What is the matter with it: `is not known`.
    pub why: &'static str,
}

/// The commonest matter with a field.
pub const NOT_KNOWN: &str = "is not known";

impl Unknown {
    /// Blames a field that is absent.
    #[must_use]
    pub const fn missing(field: &'static str) -> Self {
        Self { field, index: None, why: NOT_KNOWN }
    }

    /// Blames one element of a repeated field; the path carries `[]` where the index goes.
    #[must_use]
    pub const fn missing_at(field: &'static str, index: usize) -> Self {
        Self { field, index: Some(index), why: NOT_KNOWN }
    }

    /// Blames a field for something else than being absent.
    #[must_use]
    pub const fn because(field: &'static str, why: &'static str) -> Self {
        Self { field, index: None, why }
    }

    /// Carries over why a calculator gave no answer.
    #[must_use]
    pub const fn from_calc(field: &'static str, error: &CalcError) -> Self {
        let why = match error {
            CalcError::OutOfRange { .. } => "is outside the range the formula is good for",
            CalcError::Conflict { why, .. } => why,
            CalcError::NoSuchRow { .. } => "is not in the table",
            CalcError::Missing { .. } => NOT_KNOWN,
            CalcError::Unreadable { .. } => "cannot be read",
        };
        Self { field, index: None, why }
    }

    /// Returns the path with its index in place.
    #[must_use]
    pub fn path(&self) -> Cow<'static, str> {
        match self.index {
            None => Cow::Borrowed(self.field),
            Some(index) => Cow::Owned(self.field.replacen("[]", &format!("[{index}]"), 1)),
        }
    }
}

/// A figure, or the field it lacks.
pub type Known<T> = Result<T, Unknown>;

/// Angles of one state of the vehicle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClearanceFigures {
    /// Approach angle.
    pub approach: Known<Governed>,
    /// Departure angle, with receiver and ball mount in.
    pub departure: Known<Governed>,
    /// Ramp angle.
    pub ramp: Known<Governed>,
}

/// How far the springs and tyres give under load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SagFigures {
    /// At the front axle, downward.
    pub front: Length,
    /// At the rear axle, downward.
    pub rear: Length,
    /// At the ball, downward.
    pub at_ball: Length,
    /// Nose up.
    pub pitch: Angle,
}

/// What becomes of one joint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JointFigures {
    /// The torque that gives the specified preload in the condition really present.
    pub torque_for_condition: Known<Torque>,
    /// What preload the planned torque gives in the condition really present: least, likely, greatest.
    pub preload: Known<PreloadRange>,
    /// The greatest share of yield, tension and torsion together, that the planned torque may reach.
    pub worst_yield_share: Known<f64>,
}

/// Every figure of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Figures {
    /// The trailer's mass as loaded.
    pub trailer_mass: Known<Mass>,
    /// The tongue load, from a weighing or from a share.
    pub tongue: Known<Mass>,
    /// The tongue load as a share of the trailer's mass.
    pub tongue_share: Known<f64>,
    /// What rides on the trailer's axles.
    pub trailer_axles: Known<Mass>,
    /// Where the ball sits, or the pin in the bed, rearward of the front axle.
    pub ball_station: Known<Length>,
    /// Axle loads before and after hitching, without any help from spring bars.
    pub axles: Known<AxleLoads>,
    /// The vehicle's mass with everything in it and the tongue load on it.
    pub gross: Known<Mass>,
    /// The train's mass; the tongue load counts once.
    pub combination: Known<Mass>,
    /// Occupants, cargo, upfit and tongue load together.
    pub payload_used: Known<Mass>,
    /// Gross rating less kerb mass.
    pub payload_allowed: Known<Mass>,
    /// What the shop adds for good: the receiver and every permanent item.
    pub upfit_mass: Known<Mass>,
    /// The weakest link for the trailer's mass, what the train and the trailer itself allow included.
    pub trailer_limit: Weakest,
    /// The weakest link for the tongue load, what axle and gross rating leave included.
    pub tongue_limit: Weakest,
    /// The heaviest trailer that both limits allow at the tongue share of this plan.
    pub trailer_limit_at_share: Known<Mass>,
    /// What the front tyres carry together, divided by 1.10 where that applies.
    pub tyres_front: Known<Mass>,
    /// What the rear tyres carry together.
    pub tyres_rear: Known<Mass>,
    /// What the trailer's tyres carry together.
    pub tyres_trailer: Known<Mass>,
    /// Mass added to the vehicle since certification, by everybody.
    pub added_mass: Known<Mass>,
    /// Above this much added mass a label is due.
    pub added_mass_limit: Known<Mass>,
    /// Angles unladen.
    pub unladen: ClearanceFigures,
    /// Angles laden and hitched.
    pub laden: ClearanceFigures,
    /// Unladen departure angle with the receiver that comes off; absent when it is no swap.
    pub departure_before: Option<Known<Governed>>,
    /// How far it sinks, laden and hitched.
    pub sag: Known<SagFigures>,
    /// The lowest point of receiver and ball mount above ground, laden and hitched.
    pub hitch_lowest: Known<Length>,
    /// The ball's top, or the face of the coupling in the bed, above ground, laden and hitched.
    pub ball_height: Known<Length>,
    /// The ball mount drop that would put the ball at the trailer's level height.
    pub drop_to_level: Known<Length>,
    /// The room between the rails of the bed and the nose; absent when the trailer hangs on a ball.
    pub rail_gap: Option<Known<RailGap>>,
    /// The D-value the train needs; absent where that regime does not apply.
    pub d_required: Option<Known<Force>>,
    /// The joints, in the plan's order.
    pub joints: Vec<JointFigures>,
    /// The terrains, in the plan's order.
    pub terrains: Vec<TerrainFigures>,
    /// Whether the off-road class is kept; absent when the plan names none.
    pub off_road: Option<Known<ClassFigures>>,
    /// The train seen from above, as far as the plan sets limits for it.
    pub turning: TurningFigures,
}

impl Figures {
    /// Computes every figure of a plan.
    #[must_use]
    pub fn of(plan: &Upfit) -> Self {
        Self::with(plan, None)
    }

    /// Computes every figure of a plan, and rolls it over its terrains only as it was not rolled before.
    #[must_use]
    pub fn with(plan: &Upfit, rolls: Option<&Rolls>) -> Self {
        let train = Train::of(plan);
        let (shape, links, joints) = (Shape::of(plan, &train, rolls), train.links(plan), joints::of(plan));
        Self::of_parts(plan, &train, shape, links, joints)
    }

    /// Computes every figure of each plan, one kind of figure after the other: the code for one kind stays at hand then.
    #[must_use]
    pub fn of_each(plans: &[&Upfit]) -> Vec<Box<Self>> {
        let trains: Vec<_> = plans.iter().map(|plan| Train::of(plan)).collect();
        let shapes: Vec<_> = plans.iter().zip(&trains).map(|(plan, train)| Shape::of(plan, train, None)).collect();
        let links: Vec<_> = plans.iter().zip(&trains).map(|(plan, train)| train.links(plan)).collect();
        let joints: Vec<_> = plans.iter().map(|plan| joints::of(plan)).collect();
        let parts = plans.iter().zip(&trains).zip(shapes).zip(links).zip(joints);
        let all = parts.map(|((((plan, train), shape), links), joints)| {
            Box::new(Self::of_parts(plan, train, shape, links, joints))
        });
        all.collect()
    }

    fn of_parts(plan: &Upfit, train: &Train, shape: Shape, links: Links, joints: Vec<JointFigures>) -> Self {
        let share = train.share;
        let at_share = |share| {
            let both = at_share(&links.trailer, &links.tongue, share);
            let both = both.map_err(|error| Unknown::from_calc("tongue_load", &error))?;
            // While a link is unknown no number may be promised to anybody.
            let firm = links.trailer.unknown_count + links.tongue.unknown_count == 0;
            both.limit.filter(|_| firm).ok_or(Unknown::because("receiver", "is part of a chain with an unknown link"))
        };
        Self {
            trailer_mass: train.trailer,
            tongue: train.tongue,
            tongue_share: share,
            trailer_axles: train.trailer_axles(),
            ball_station: train.ball_station,
            axles: train.axles,
            gross: train.gross(),
            combination: train.combination(),
            payload_used: train.payload_used(),
            payload_allowed: train.payload_allowed(plan),
            upfit_mass: train.upfit,
            trailer_limit: links.trailer,
            tongue_limit: links.tongue,
            trailer_limit_at_share: share.and_then(at_share),
            tyres_front: tyres::front(plan),
            tyres_rear: tyres::rear(plan),
            tyres_trailer: tyres::trailer(plan),
            added_mass: train.added_mass(plan),
            added_mass_limit: train::added_mass_limit(plan),
            unladen: shape.unladen,
            laden: shape.laden,
            departure_before: shape.before,
            sag: shape.sag,
            hitch_lowest: shape.hitch_lowest,
            ball_height: shape.ball_height,
            drop_to_level: shape.drop_to_level,
            rail_gap: shape.rail_gap,
            d_required: train::d_required(plan, train.tongue),
            joints,
            terrains: shape.terrains,
            off_road: shape.off_road,
            turning: TurningFigures::of(plan, train),
        }
    }
}
