//! A trailer that hangs in the bed: its numbers, the plan that says them, and what follows by other routes. The nose is
//! turned in small steps and then in smaller ones about the best; the rails are walked along; limits are found by halving.

use baybook_core::{
    model::{
        LinkRating,
        bed::{Bed, KingPin},
        plan_view::{Nose, NosePoint},
        profile::ProfilePoint,
        upfit::Upfit,
    },
    rules::run::fixture,
    units::{Force, Length, Mass},
};
use rand::Rng;

/// What a train has in its bed; masses in kg, lengths in mm, forces in kN.
#[derive(Debug, Clone)]
pub struct InBed {
    /// Vehicle, coupling, mounting, king pin.
    pub trailer: [f64; 4],
    /// Vehicle, coupling, mounting.
    pub pin: [f64; 3],
    /// Coupling, king pin.
    pub d: [f64; 2],
    pub u: f64,
    pub mass: f64,
    pub mass_station: f64,
    pub station: f64,
    /// Where it slides to in a turn.
    pub slides: Option<f64>,
    pub face: f64,
    pub cab: f64,
    pub rails: f64,
    pub rails_end: f64,
    /// The nose's corner ahead of the pin and aside, and a further point, which may be behind the pin.
    pub corner: [f64; 2],
    pub point: [f64; 2],
    pub underside: f64,
    pub to_axle: f64,
    pub bumper: [f64; 2],
    /// What a shop asks for: behind the cab, above the rails.
    pub margins: [Option<f64>; 2],
}

impl InBed {
    /// Draws one for a vehicle of that wheelbase.
    pub fn random(dice: &mut impl Rng, wheelbase: f64) -> Self {
        let station = wheelbase + dice.random_range(-400.0..120.0);
        let rails = dice.random_range(1050.0..1450.0);
        let cab = station - dice.random_range(900.0..2000.0);
        let mut pair = |low: f64, high: f64| [dice.random_range(low..high), dice.random_range(low..high)];
        let [[vehicle, coupling], [mounting, king_pin]] = [pair(900.0, 5000.0), pair(900.0, 5000.0)];
        let [[on_vehicle, on_coupling], d] = [pair(100.0, 900.0), pair(6.0, 30.0)];
        Self {
            trailer: [vehicle, coupling, mounting, king_pin],
            pin: [on_vehicle, on_coupling, dice.random_range(100.0..900.0)],
            d,
            u: dice.random_range(100.0..900.0),
            mass: dice.random_range(20.0..140.0),
            mass_station: station + dice.random_range(-150.0..150.0),
            station,
            slides: dice.random_bool(0.3).then(|| station + dice.random_range(0.0..400.0)),
            face: dice.random_range(1000.0..1400.0),
            cab,
            rails,
            rails_end: station + dice.random_range(300.0..1300.0),
            corner: [dice.random_range(300.0..1300.0), dice.random_range(500.0..1250.0)],
            point: [dice.random_range(-600.0..1400.0), dice.random_range(0.0..1200.0)],
            underside: dice.random_range(100.0..600.0),
            to_axle: dice.random_range(3000.0..9000.0),
            bumper: [wheelbase + dice.random_range(700.0..1400.0), dice.random_range(300.0..700.0)],
            margins: [
                dice.random_bool(0.4).then(|| dice.random_range(0.0..400.0)),
                dice.random_bool(0.4).then(|| dice.random_range(0.0..400.0)),
            ],
        }
    }

    /// Gives every part more than it needs, and the nose room.
    pub fn rate_generously(&mut self) {
        (self.trailer, self.pin, self.d, self.u) = ([6000.0; 4], [900.0; 3], [60.0; 2], 900.0);
        self.cab = self.station - 2400.0;
        self.underside += 300.0;
    }

    /// Hangs the plan's trailer in the bed.
    pub fn put(&self, plan: &mut Upfit) {
        let (kg, mm) = (|value: f64| Some(Mass::from_kg(value)), |value: f64| Some(Length::from_mm(value)));
        let kn = |value: f64| Some(Force::from_kn(value));
        let (mass, tongue, level) = (plan.trailer_mass, plan.tongue, fixture::trailer(plan).coupler_height_level);
        fixture::in_bed(plan);
        (plan.trailer_mass, plan.tongue) = (mass, tongue);
        let vehicle = fixture::vehicle(plan);
        vehicle.bed = Some(Bed {
            towing: LinkRating { trailer: kg(self.trailer[0]), tongue: kg(self.pin[0]) },
            pin_share_min: None,
            pin_share_max: None,
            cab_back_station: mm(self.cab),
            cab_half_width: mm(900.0),
            rail_height: mm(self.rails),
            rail_end_station: mm(self.rails_end),
        });
        if let Some(profile) = &mut vehicle.profile {
            let [station, height] = self.bumper.map(Length::from_mm);
            profile.points.push(ProfilePoint { label: "bumper".to_owned(), station, height });
        }
        let coupling = fixture::bed_coupling(plan);
        coupling.mass = kg(self.mass);
        coupling.rating = LinkRating { trailer: kg(self.trailer[1]), tongue: kg(self.pin[1]) };
        coupling.mounting = LinkRating { trailer: kg(self.trailer[2]), tongue: kg(self.pin[2]) };
        (coupling.d_value, coupling.u_value) = (kn(self.d[0]), kg(self.u));
        coupling.approval_mark = Some("E99-000000".to_owned());
        for fit in &mut coupling.fits {
            (fit.mass_station, fit.pin_station) = (mm(self.mass_station), mm(self.station));
            (fit.turning_pin_station, fit.face_height) = (self.slides.and_then(mm), mm(self.face));
        }
        let trailer = fixture::trailer(plan);
        trailer.coupler_height_level = level;
        trailer.coupler_to_axle = mm(self.to_axle);
        trailer.underside_above_coupling = mm(self.underside);
        trailer.king_pin = trailer.king_pin.map(|pin| KingPin {
            rating: LinkRating { trailer: kg(self.trailer[3]), tongue: None },
            d_value: kn(self.d[1]),
            ..pin
        });
        let point = NosePoint {
            label: "box".to_owned(),
            behind: Length::from_mm(-self.point[0]),
            aside: Length::from_mm(self.point[1]),
        };
        trailer.nose = Some(Nose { behind: mm(-self.corner[0]), half_width: mm(self.corner[1]), points: vec![point] });
        [plan.limits.cab_gap_min, plan.limits.rail_gap_min] = self.margins.map(|own| own.and_then(mm));
    }

    /// The least room behind the cab: every point is turned by steps, then by ever smaller ones about the best of them.
    pub fn behind_cab(&self) -> f64 {
        let room = self.slides.unwrap_or(self.station) - self.cab;
        let [ahead, aside] = self.corner;
        let [point_ahead, point_aside] = self.point;
        let points = [[ahead, aside], [ahead, -aside], [point_ahead, point_aside], [point_ahead, -point_aside]];
        let forward = |[x, y]: [f64; 2], turn: f64| x * turn.cos() + y * turn.sin();
        let right = std::f64::consts::FRAC_PI_2;
        let furthest = |point: [f64; 2]| {
            let (mut middle, mut wide) = (right / 2.0, right / 2.0);
            for _ in 0..40 {
                let steps = (-8..=8).map(|step| (middle + wide * f64::from(step) / 8.0).clamp(0.0, right));
                middle = steps.max_by(|a, b| forward(point, *a).total_cmp(&forward(point, *b))).unwrap_or(middle);
                wide *= 0.4;
            }
            forward(point, middle)
        };
        room - points.into_iter().map(furthest).fold(f64::NEG_INFINITY, f64::max)
    }

    /// The least room above the rails, laden: face, and the rails' ends, where the pose put them.
    pub fn above_rails(&self, face: [f64; 2], rails: [[f64; 2]; 2], level: f64) -> f64 {
        let [front, end] = rails;
        // The trailer turns about its axle until its plate lies on the face: its underside is a line through two points.
        let attitude = |far: f64| face[1] + (level - face[1]) * far / self.to_axle;
        let (from, to) = (front[0].max(face[0] - self.corner[0]), end[0]);
        let gap = |step: u32| {
            let s = from + (to - from) * f64::from(step) / 200.0;
            let rail = (front[1] * (end[0] - s) + end[1] * (s - front[0])) / (end[0] - front[0]);
            attitude(s - face[0]) + self.underside - rail
        };
        (0..=200).map(gap).fold(f64::INFINITY, f64::min)
    }
}
