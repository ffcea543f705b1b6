//! The slow judgement: every figure by another route, and what follows from the figures.

use baybook_core::rules::Severity;

use super::{
    NEAR,
    bed::InBed,
    train::{End, INDICES, Train},
};

/// Standard gravity, m/s².
const G: f64 = 9.806_65;
/// What the coupling formulas of UN Regulation 55 print for it (from memory).
const G_COUPLING: f64 = 9.81;
/// How far the ball may sink or rise, mm: the range printed for `sag_mm`; past it there is no height.
const SINKS_MOST: f64 = 500.0;
/// How often an interval is halved: past that nothing lies between its ends.
const HALVINGS: u32 = 90;

/// What one rule must say.
#[derive(Debug)]
pub struct Said {
    pub rule: &'static str,
    /// How much it weighs; nothing when it is silent.
    pub weight: Option<Severity>,
    /// Whether a value lies too near its limit to tell.
    pub open: bool,
    /// Whether it must say that something is unknown.
    pub unknown: bool,
}

/// A plan judged.
#[derive(Debug, Default)]
pub struct Judged {
    pub before: [f64; 2],
    pub hitched: [f64; 2],
    pub gross: f64,
    pub combination: f64,
    pub payload_used: f64,
    pub payload_allowed: f64,
    pub tongue: f64,
    pub share: f64,
    pub trailer_axles: f64,
    pub upfit: f64,
    pub added: f64,
    pub label: f64,
    pub trailer_limit: f64,
    pub tongue_limit: f64,
    pub limit_at_share: f64,
    /// Front, rear, trailer.
    pub tyres: [f64; 3],
    /// Approach, departure, ramp.
    pub unladen: [f64; 3],
    pub laden: [f64; 3],
    /// Front, rear, ball.
    pub sinks: [f64; 3],
    /// Nothing when nothing hangs under the vehicle.
    pub lowest: Option<f64>,
    /// Behind the cab and above the rails, when the trailer hangs in the bed.
    pub rooms: Option<[f64; 2]>,
    /// Nothing when the ball sinks further than anybody vouches for.
    pub ball: Option<f64>,
    pub level_drop: Option<f64>,
    pub d_needed: Option<f64>,
    pub said: Vec<Said>,
}

/// Returns the greatest number that holds, up to a hundred tonnes; what holds holds for less too.
fn greatest(holds: impl Fn(f64) -> bool) -> f64 {
    let (mut good, mut bad) = (0.0, 1e5);
    for _ in 0..HALVINGS {
        let middle = (good + bad) / 2.0;
        if holds(middle) { good = middle } else { bad = middle }
    }
    good
}

/// Reactions of two supports that balance weights, by forces and by moments about a point off the vehicle.
fn reactions(wheelbase: f64, weights: &[(f64, f64)]) -> [f64; 2] {
    const ABOUT: f64 = -7321.5;
    let force: f64 = weights.iter().map(|(mass, _)| mass).sum();
    let moment: f64 = weights.iter().map(|(mass, station)| mass * (station - ABOUT)).sum();
    // | 1            1                | front |   | force  |
    // | 0 − about    wheelbase − about| rear  | = | moment |
    let (a, b) = (-ABOUT, wheelbase - ABOUT);
    let determinant = b - a;
    [(force * b - moment) / determinant, (moment - force * a) / determinant]
}

/// Where body and hub of an axle go under a load: two springs, two equations. Returns both, mm.
fn springs(end: &End, load_kg: f64) -> [f64; 2] {
    let (k, t, force) = (end.suspension, end.tyre * f64::from(end.tyres), load_kg * G);
    //  k body −     k hub  = force
    // −k body + (k + t) hub = 0
    let determinant = k * (k + t) - k * k;
    [force * (k + t) / determinant, force * k / determinant]
}

/// The height of the tyre's tangent at that angle, so far from the hub.
fn tangent_height(reach: f64, radius: f64, angle: f64) -> f64 {
    reach * angle.tan() + radius - radius / angle.cos()
}

/// Raises the tangent of the tyre until it touches the point; degrees.
fn angle_to(reach: f64, height: f64, radius: f64) -> f64 {
    let steep = std::f64::consts::FRAC_PI_2 - 1e-9;
    let (mut low, mut high) = (-steep, steep);
    for _ in 0..HALVINGS {
        let middle = (low + high) / 2.0;
        if tangent_height(reach, radius, middle) <= height { low = middle } else { high = middle }
    }
    low.to_degrees()
}

/// A stance: hubs, radii, and where the points are.
struct Stance {
    wheelbase: f64,
    radii: [f64; 2],
    body: Vec<[f64; 2]>,
}

impl Stance {
    fn angles(&self) -> [f64; 3] {
        let [front, rear] = self.radii;
        let least = |angles: &mut dyn Iterator<Item = f64>| angles.fold(f64::INFINITY, f64::min);
        let ahead = self.body.iter().filter(|point| point[0] < 0.0);
        let behind = self.body.iter().filter(|point| self.wheelbase < point[0]);
        let between = self.body.iter().filter(|point| 0.0 < point[0] && point[0] < self.wheelbase);
        [
            least(&mut ahead.map(|&[s, z]| angle_to(-s, z, front))),
            least(&mut behind.map(|&[s, z]| angle_to(s - self.wheelbase, z, rear))),
            least(&mut between.map(|&[s, z]| angle_to(s, z, front) + angle_to(self.wheelbase - s, z, rear))),
        ]
    }
}

/// Turns the body about its front hub until the rear hub stands as high as its axle lets it.
fn turned(t: &Train, body: [f64; 2], hubs: [f64; 2], points: &[[f64; 2]]) -> Stance {
    let [rf, rr] = [t.ends[0].radius, t.ends[1].radius];
    let rear = |angle: f64| {
        let (sin, cos) = angle.sin_cos();
        [t.wheelbase * cos - (rr - rf) * sin, rf - body[0] + t.wheelbase * sin + (rr - rf) * cos]
    };
    let (mut low, mut high) = (-0.7_f64, 0.7_f64);
    for _ in 0..HALVINGS {
        let middle = (low + high) / 2.0;
        if rear(middle)[1] < rr - body[1] { low = middle } else { high = middle }
    }
    let (sin, cos) = low.sin_cos();
    let place = |&[s, z]: &[f64; 2]| [s * cos - (z - rf) * sin, rf - body[0] + s * sin + (z - rf) * cos];
    Stance { wheelbase: rear(low)[0], radii: [rf - hubs[0], rr - hubs[1]], body: points.iter().map(place).collect() }
}

impl Judged {
    /// Judges a train.
    pub fn of(t: &Train) -> Self {
        let mut j = Self::default();
        let ball_station = t.bed.as_ref().map_or(t.pin + t.mount_length, |bed| bed.station);
        let tongue = t.trailer * t.share.0;
        let mut weights = vec![(t.ends[0].kerb, 0.0), (t.ends[1].kerb, t.wheelbase)];
        match &t.bed {
            None => {
                weights.push((t.receiver[0], t.receiver[1]));
                weights.push((t.mount_mass + t.ball_mass, ball_station));
            }
            Some(bed) => weights.push((bed.mass, bed.mass_station)),
        }
        weights.extend(t.items.iter().map(|&(mass, station, _)| (mass, station)));
        j.before = reactions(t.wheelbase, &weights);
        weights.push((tongue, ball_station));
        j.hitched = reactions(t.wheelbase, &weights);
        j.gross = j.hitched[0] + j.hitched[1];
        j.trailer_axles = reactions(1.0, &[(t.trailer, 0.0), (-tongue, 0.0)])[0];
        j.combination = j.gross + j.trailer_axles;
        j.payload_used = j.gross - t.ends[0].kerb - t.ends[1].kerb;
        j.payload_allowed = t.gvwr - t.ends[0].kerb - t.ends[1].kerb;
        (j.tongue, j.share) = (tongue, tongue / t.trailer);
        let fitted = t.bed.as_ref().map_or(t.receiver[0], |bed| bed.mass);
        j.upfit = fitted + t.items.iter().filter(|item| item.2).map(|item| item.0).sum::<f64>();
        j.added = j.upfit + t.before - t.removed;
        // 49 CFR 571.110, opened: 1.5 % of the gross rating or 100 lb, whichever is less.
        j.label = greatest(|mass| mass <= t.gvwr * 0.015 && mass <= 100.0 * 0.453_592_37);
        j.tyres = std::array::from_fn(|at| match t.ends.get(at) {
            Some(end) if end.tyres == 4 => INDICES[end.dual_index].1 * 4.0,
            Some(end) => INDICES[end.index].1 * 2.0,
            None => INDICES[t.trailer_index].1 * 2.0 * f64::from(t.trailer_axles),
        });
        j.limits(t, ball_station);
        j.shape(t, ball_station);
        if t.european {
            j.d_needed = match &t.bed {
                None => Some(pull(t.gvwr, t.trailer_gvwr)),
                // A pin that is to bear all of the rated trailer is no semi-trailer's, and the formula is not for it.
                Some(_) => (j.tongue < t.trailer_gvwr).then(|| pull_in_bed(t.gvwr, t.trailer_gvwr, j.tongue)),
            };
        }
        j.judge(t);
        j.twice(t, ball_station);
        j
    }

    /// Finds the heaviest trailer and tongue load that every link holds.
    fn limits(&mut self, t: &Train, ball_station: f64) {
        let row = usize::from(t.bars);
        let vehicle = self.before[0] + self.before[1];
        let on_ball = self.tongue;
        let own_tyres = self.tyres[2].min(t.trailer_wheel * 2.0 * f64::from(t.trailer_axles));
        let trailer = |mass: f64| {
            mass <= t.vehicle_trailer[row]
                && (t.bars || t.bars_above.is_none_or(|above| mass <= above))
                && vehicle + mass <= t.gcwr
                && mass <= t.receiver_trailer[row]
                && t.part_trailer.iter().all(|limit| mass <= *limit)
                && t.d.iter().all(|d| pull(t.gvwr, mass) <= *d)
                && mass <= t.trailer_gvwr
                && mass - on_ball <= t.trailer_gawr.min(own_tyres)
        };
        let arm = ball_station / t.wheelbase;
        let tongue = |load: f64| {
            load <= t.vehicle_tongue[row]
                && self.before[1] + load * arm <= t.ends[1].gawr
                && vehicle + load <= t.gvwr
                && load <= t.receiver_tongue[row]
                && load <= t.mount_tongue
                && t.s.iter().all(|s| load <= *s)
                && load <= t.jack
        };
        let [front_before, rear_before] = self.before;
        (self.trailer_limit, self.tongue_limit) = match &t.bed {
            None => (greatest(trailer), greatest(tongue)),
            Some(bed) => (
                greatest(|mass| {
                    bed.trailer.iter().all(|limit| mass <= *limit)
                        && vehicle + mass <= t.gcwr
                        && bed.d.iter().all(|d| mass <= 1e-6 || pull_in_bed(t.gvwr, mass, on_ball) <= *d)
                        && mass <= t.trailer_gvwr
                        && mass - on_ball <= t.trailer_gawr.min(own_tyres)
                }),
                greatest(|load| {
                    bed.pin.iter().all(|limit| load <= *limit)
                        && load <= bed.u
                        && rear_before + load * arm <= t.ends[1].gawr
                        && (1.0 <= arm || front_before + load * (1.0 - arm) <= t.ends[0].gawr)
                        && vehicle + load <= t.gvwr
                        && load <= t.jack
                }),
            ),
        };
        let (most, share) = (self.trailer_limit, self.share);
        self.limit_at_share = greatest(|mass| mass <= most && mass * share <= self.tongue_limit);
    }

    /// Finds heights and angles, as measured and laden.
    fn shape(&mut self, t: &Train, ball_station: f64) {
        let mut points = vec![t.lip];
        points.extend(&t.belly);
        match &t.bed {
            None => points.extend([t.receiver_point, [ball_station, t.tube_top - t.drop - t.depth]]),
            Some(bed) => points.push(bed.bumper),
        }
        let measured =
            Stance { wheelbase: t.wheelbase, radii: [t.ends[0].radius, t.ends[1].radius], body: points.clone() };
        self.unladen = measured.angles();
        let moved: [[f64; 2]; 2] = std::array::from_fn(|at| springs(&t.ends[at], self.hitched[at] - t.ends[at].kerb));
        let (body, hubs) = ([moved[0][0], moved[1][0]], [moved[0][1], moved[1][1]]);
        let laden = turned(t, body, hubs, &points);
        self.laden = laden.angles();
        // The line through what both axles sink, at the ball.
        let far = ball_station / t.wheelbase;
        self.sinks = [body[0], body[1], body[0] * (1.0 - far) + body[1] * far];
        if let Some(bed) = &t.bed {
            let marks = [[bed.station, bed.face], [bed.cab, bed.rails], [bed.rails_end, bed.rails]];
            if let [face, cab, end] = turned(t, body, hubs, &marks).body[..] {
                self.ball = Some(face[1]);
                self.rooms = Some([bed.behind_cab(), bed.above_rails(face, [cab, end], t.coupler_level)]);
            }
            return;
        }
        self.lowest = Some(laden.body.iter().rev().take(2).map(|point| point[1]).fold(f64::INFINITY, f64::min));
        self.ball = (self.sinks[2].abs() <= SINKS_MOST).then(|| t.tube_top - self.sinks[2] - t.drop + t.ball_height);
        self.level_drop = self.ball.map(|ball| t.drop + (ball - t.coupler_level));
    }

    /// Notes what a rule must say of these values, each against its limit.
    fn rule(&mut self, rule: &'static str, weight: Severity, checks: &[(f64, f64)]) {
        let open = checks.iter().any(|(value, limit)| (value - limit).abs() <= NEAR * limit.abs().max(1.0));
        let broken = checks.iter().any(|(value, limit)| limit < value);
        self.said.push(Said { rule, weight: broken.then_some(weight), open, unknown: false });
    }

    /// The same for a rule about the height of the ball, which may not be known; a person then decides. What is unknown is
    /// asked for once: the first rule that needs it says so, and the next is silent.
    fn of_ball(&mut self, rule: &'static str, weight: Severity, checks: impl FnOnce(f64) -> Vec<(f64, f64)>) {
        match self.ball {
            Some(ball) => self.rule(rule, weight, &checks(ball)),
            None => {
                let unknown = !self.said.iter().any(|said| said.unknown);
                self.said.push(Said { rule, weight: unknown.then_some(Severity::Review), open: false, unknown });
            }
        }
    }

    /// The same for values that must not fall short of their limits.
    fn least(&mut self, rule: &'static str, weight: Severity, value: f64, limit: f64) {
        self.rule(rule, weight, &[(-value, -limit)]);
    }

    fn judge(&mut self, t: &Train) {
        use Severity::{Block, Review, Warn};
        let worst: [f64; 2] = std::array::from_fn(|at| self.before[at].max(self.hitched[at]));
        let (tongue, mass) = (self.tongue, t.trailer);
        self.rule("gvwr", Block, &[(self.gross, t.gvwr)]);
        self.rule("gawr-front", Block, &[(worst[0], t.ends[0].gawr)]);
        let rear = if t.bars { "rear-axle-without-bars" } else { "gawr-rear" };
        self.rule(rear, Block, &[(worst[1], t.ends[1].gawr)]);
        if t.bars {
            // The front axle between what it bears unhitched and hitched, as the bars are set.
            let with = self.before[0] * t.restoration + self.hitched[0] * (1.0 - t.restoration);
            let front = t.ends[0].gawr;
            // An axle that is over without bars is told by its own rule.
            let over = if self.hitched[0] <= front { with } else { f64::NEG_INFINITY };
            self.rule("restoration-over-one", Block, &[(t.restoration, 1.0), (over, front)]);
        }
        self.rule("gcwr", Block, &[(self.combination, t.gcwr)]);
        self.rule("payload-gone", Block, &[(self.upfit, self.payload_allowed)]);
        for (at, rule) in ["tyre-load-front", "tyre-load-rear"].into_iter().enumerate() {
            let capacity = self.tyres[at];
            self.rule(rule, Block, &[(worst[at], capacity), (t.ends[at].gawr, capacity)]);
        }
        let each: Vec<_> = (0..2).map(|at| (worst[at] / f64::from(t.ends[at].tyres), t.ends[at].wheel)).collect();
        self.rule("wheel-rating", Block, &each);
        let row = usize::from(t.bars);
        let [mount, ball, coupler] = t.part_trailer;
        let (trailer_links, tongue_links) = match &t.bed {
            None => (
                vec![t.vehicle_trailer[row], t.receiver_trailer[row], mount, ball, coupler],
                [t.vehicle_tongue[row], t.receiver_tongue[row], t.mount_tongue],
            ),
            Some(bed) => (bed.trailer.to_vec(), bed.pin),
        };
        let on_trailer: Vec<_> = trailer_links.into_iter().map(|limit| (mass, limit)).collect();
        self.rule("weakest-link-trailer", Block, &on_trailer);
        self.rule("weakest-link-tongue", Block, &tongue_links.map(|limit| (tongue, limit)));
        self.rule("trailer-over-own-rating", Block, &[(mass, t.trailer_gvwr)]);
        self.rule("trailer-axle", Block, &[(self.trailer_axles, t.trailer_gawr)]);
        self.rule("trailer-tyres", Block, &[(self.trailer_axles, self.tyres[2])]);
        self.rule("jack-overloaded", Review, &[(tongue, t.jack)]);
        // Vehicle and trailer handbooks: 10 to 15 % in North America; Directive 97/27/EC: at least 4 %.
        // On a pin in the bed: 15 to 25 %.
        match &t.bed {
            Some(bed) => {
                self.least("tongue-share-low", Review, self.share, 0.15);
                self.rule("tongue-share-high", Review, &[(self.share, 0.25)]);
                self.in_bed(t, bed);
            }
            None => self.on_ball(t),
        }
        self.least("approach-angle", Review, self.unladen[0], t.angles[0]);
        self.least("departure-angle-unladen", Review, self.unladen[1], t.angles[1]);
        self.least("departure-angle-laden", Review, self.laden[1], t.angles[2]);
        self.least("ramp-angle-laden", Review, self.laden[2], t.angles[3]);
        if let Some(lowest) = self.lowest {
            self.least("hitch-height-laden", Review, lowest, t.hitch_height);
        }
        if !t.european && t.new_vehicle {
            self.rule("added-mass-label", Block, &[(self.added, self.label)]);
        }
        let usual = if t.trailer_axles == 1 { 25.0 } else { 15.0 };
        self.of_ball("trailer-level", Warn, |top| vec![((top - t.coupler_level).abs(), usual)]);
        self.front();
        self.pounds(t);
    }

    /// What hangs in the bed: D, U, and the room for its nose.
    fn in_bed(&mut self, t: &Train, bed: &InBed) {
        use Severity::{Block, Review, Warn};
        if t.european {
            match self.d_needed {
                Some(d) => self.rule("d-value", Review, &bed.d.map(|limit| (d, limit))),
                None => self.said.push(Said { rule: "d-value", weight: Some(Review), open: false, unknown: true }),
            }
            self.rule("u-value", Block, &[(self.tongue, bed.u)]);
        }
        self.rule("pin-behind-axle", Warn, &[(bed.station, t.wheelbase)]);
        let Some(rooms) = self.rooms else { return };
        for (((rule, room), usual), own) in
            [("cab-clearance", rooms[0]), ("rail-clearance", rooms[1])].into_iter().zip([100.0, 150.0]).zip(bed.margins)
        {
            let margin = own.map_or(usual, |own| own.max(usual));
            if room < 0.0 {
                self.rule(rule, Block, &[(-room, 0.0)]);
            } else {
                self.least(rule, Review, room, margin);
            }
        }
    }

    /// What hangs on a ball behind the bumper.
    fn on_ball(&mut self, t: &Train) {
        use Severity::{Block, Review};
        let (tongue, mass) = (self.tongue, t.trailer);
        self.least("tongue-share-low", Review, self.share, if t.european { 0.04 } else { 0.10 });
        if !t.european {
            self.rule("tongue-share-high", Review, &[(self.share, 0.15)]);
        }
        if let (Some(above), false) = (t.bars_above, t.bars) {
            self.rule("spring-bars-needed", Block, &[(mass, above)]);
        }
        if t.european {
            let d = self.d_needed.unwrap_or_default();
            // A regulation from memory never blocks.
            self.rule("d-value", Review, &t.d.map(|limit| (d, limit)));
            self.rule("s-value", Block, &t.s.map(|limit| (tongue, limit)));
            self.of_ball("ball-height", Review, |top| {
                let centre = top - 50.8 / 2.0;
                vec![(centre, 420.0), (-centre, -350.0)]
            });
        } else {
            self.rule("chain-strength", Block, &[(t.trailer_gvwr * G, 25_000.0)]);
        }
    }

    /// The front axle: a share of the vehicle that the handbook asks for, and a loss by hitching.
    fn front(&mut self) {
        let share = self.hitched[0] / (self.hitched[0] + self.hitched[1]);
        let loss = 1.0 - self.hitched[0] / self.before[0];
        let (light, lost) = (share < 0.35, 0.10 < loss);
        let open = (share - 0.35).abs() <= NEAR || (loss - 0.10).abs() <= NEAR;
        let weight = if light { Some(Severity::Review) } else { lost.then_some(Severity::Warn) };
        self.said.push(Said { rule: "front-axle-light", weight, open, unknown: false });
    }

    /// Cargo that is the tongue load over again: within 60 mm of where it rests, and within a kilogram of it.
    fn twice(&mut self, t: &Train, ball_station: f64) {
        let off = |&(mass, station, _): &(f64, f64, bool)| {
            ((station - ball_station).abs() / 60.0).max((mass - self.tongue).abs())
        };
        let offs: Vec<f64> = t.items.iter().map(off).collect();
        let weight = offs.iter().any(|off| *off <= 1.0).then_some(Severity::Block);
        let open = offs.iter().any(|off| (off - 1.0).abs() <= NEAR);
        self.said.push(Said { rule: "tongue-counted-twice", weight, open, unknown: false });
    }

    /// Pounds read as kilograms: a number 2.1 to 2.3 times its peer.
    fn pounds(&mut self, t: &Train) {
        let [front, rear] = t.ends;
        let pairs = [
            (t.gvwr, front.gawr + rear.gawr, true),
            (front.kerb, front.gawr, false),
            (rear.kerb, rear.gawr, false),
            (t.trailer_gvwr, t.trailer_gawr, true),
            (t.trailer, t.trailer_gvwr, false),
        ];
        let slips = |ratio: f64| (2.1..=2.3).contains(&ratio);
        let hangs = |ratio: f64| (ratio - 2.1).abs() <= NEAR || (ratio - 2.3).abs() <= NEAR;
        let any = |test: &dyn Fn(f64) -> bool| {
            pairs.iter().any(|&(value, peer, both)| test(value / peer) || (both && test(peer / value)))
        };
        let weight = any(&slips).then_some(Severity::Review);
        self.said.push(Said { rule: "unit-slip", weight, open: any(&hangs), unknown: false });
    }
}

/// The same in a bed (encyclopaedia article on the D-value, opened): 0.6 g over 1 / T + 1 / R - U / (T R).
fn pull_in_bed(vehicle_kg: f64, trailer_kg: f64, pin_kg: f64) -> f64 {
    let [t, r, u] = [vehicle_kg, trailer_kg, pin_kg].map(|kg| kg / 1000.0);
    0.6 * G_COUPLING / (1.0 / t + 1.0 / r - u / (t * r))
}

/// The force between two masses that one gravity pulls apart, kN: what each must give the other.
fn pull(one_kg: f64, other_kg: f64) -> f64 {
    // One common acceleration: force / one + force / other = g.
    if other_kg <= 0.0 { 0.0 } else { G_COUPLING / (1.0 / one_kg + 1.0 / other_kg) / 1000.0 }
}
