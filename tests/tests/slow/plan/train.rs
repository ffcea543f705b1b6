//! A random train in bare numbers, and the plan that says the same to the code under test.

use baybook_core::{
    model::{
        LinkRating,
        profile::{Profile, ProfileJoin, ProfilePoint},
        tyre::Tyres,
        upfit::{Limits, LoadItem, SaleState, TongueLoad, Upfit},
        vehicle::{Axle, SpringBarRule},
    },
    rules::run::fixture,
    units::{Angle, Force, Length, Mass, Rate},
};
use rand::Rng;

use super::bed::InBed;

/// Load indices and what they carry, kg: ISO 4000-1 as reprinted on public pages, opened.
pub const INDICES: [(i32, f64); 8] =
    [(97, 730.0), (100, 800.0), (104, 900.0), (107, 975.0), (111, 1090.0), (113, 1150.0), (115, 1215.0), (121, 1450.0)];

/// One axle of the vehicle.
#[derive(Debug, Clone, Copy)]
pub struct End {
    pub kerb: f64,
    pub gawr: f64,
    pub suspension: f64,
    pub tyre: f64,
    pub tyres: i32,
    pub radius: f64,
    pub index: usize,
    pub dual_index: usize,
    pub wheel: f64,
}

/// A random train; masses in kg, lengths in mm, rates in N/mm, forces in kN, angles in degrees.
#[derive(Debug, Clone)]
pub struct Train {
    pub european: bool,
    pub bars: bool,
    pub bars_above: Option<f64>,
    /// Which share of what hitching takes off the front axle the bars give back.
    pub restoration: f64,
    pub new_vehicle: bool,
    pub wheelbase: f64,
    pub ends: [End; 2],
    pub gvwr: f64,
    pub gcwr: f64,
    /// Vehicle, receiver: without bars, with bars.
    pub vehicle_trailer: [f64; 2],
    pub vehicle_tongue: [f64; 2],
    pub receiver_trailer: [f64; 2],
    pub receiver_tongue: [f64; 2],
    /// Ball mount, ball, coupler.
    pub part_trailer: [f64; 3],
    pub mount_tongue: f64,
    /// Receiver, ball, coupler.
    pub d: [f64; 3],
    pub s: [f64; 3],
    pub receiver: [f64; 2],
    pub pin: f64,
    pub tube_top: f64,
    pub receiver_point: [f64; 2],
    pub mount_mass: f64,
    pub mount_length: f64,
    pub drop: f64,
    pub depth: f64,
    pub ball_mass: f64,
    pub ball_height: f64,
    /// Mass, station, whether it stays.
    pub items: Vec<(f64, f64, bool)>,
    pub before: f64,
    pub removed: f64,
    pub trailer: f64,
    /// A share of the trailer's mass, and whether it is told as one.
    pub share: (f64, bool),
    pub trailer_gvwr: f64,
    pub trailer_gawr: f64,
    pub trailer_axles: i32,
    pub trailer_index: usize,
    pub trailer_wheel: f64,
    pub coupler_level: f64,
    pub jack: f64,
    /// Front end, then points between the axles.
    pub lip: [f64; 2],
    pub belly: Vec<[f64; 2]>,
    /// Approach, departure, departure laden, ramp laden.
    pub angles: [f64; 4],
    pub hitch_height: f64,
    /// What hangs in its bed, when the trailer hangs there.
    pub bed: Option<InBed>,
}

impl Train {
    /// Draws a train.
    pub fn random(dice: &mut impl Rng) -> Self {
        let wheelbase = dice.random_range(2800.0..4300.0);
        let pin = wheelbase + dice.random_range(750.0..1300.0);
        let mut end = |dual: bool| {
            let kerb = dice.random_range(800.0..1500.0);
            End {
                kerb,
                gawr: dice.random_range(1100.0..2600.0),
                suspension: dice.random_range(80.0..260.0),
                tyre: dice.random_range(180.0..400.0),
                tyres: if dual && dice.random_bool(0.3) { 4 } else { 2 },
                radius: dice.random_range(300.0..380.0),
                index: dice.random_range(0..INDICES.len()),
                dual_index: dice.random_range(0..INDICES.len()),
                wheel: dice.random_range(700.0..1500.0),
            }
        };
        let ends = [end(false), end(true)];
        let mut pair = |low: f64, high: f64| [dice.random_range(low..high), dice.random_range(low..high)];
        let (vehicle_trailer, vehicle_tongue) = (pair(900.0, 4000.0), pair(80.0, 450.0));
        let (receiver_trailer, receiver_tongue) = (pair(900.0, 4000.0), pair(80.0, 450.0));
        let lip = [-dice.random_range(600.0..1000.0), dice.random_range(150.0..320.0)];
        let mount_length = dice.random_range(180.0..350.0);
        let belly = (0..dice.random_range(1..5))
            .map(|_| [wheelbase * dice.random_range(0.25..0.75), dice.random_range(130.0..260.0)])
            .collect();
        let items = (0..dice.random_range(0..6))
            .map(|_| {
                let station = dice.random_range(lip[0]..pin);
                (dice.random_range(0.0..450.0), station, dice.random_bool(0.3))
            })
            .collect();
        let ease = dice.random_range(0..4);
        let three = |dice: &mut dyn FnMut() -> f64| [dice(), dice(), dice()];
        let mut train = Self {
            european: dice.random_bool(0.4),
            bars: dice.random_bool(0.25),
            bars_above: dice.random_bool(0.3).then(|| dice.random_range(800.0..3000.0)),
            restoration: dice.random_range(0.0..1.3),
            new_vehicle: dice.random_bool(0.5),
            wheelbase,
            ends,
            gvwr: dice.random_range(2400.0..4800.0),
            gcwr: dice.random_range(3500.0..8500.0),
            vehicle_trailer,
            vehicle_tongue,
            receiver_trailer,
            receiver_tongue,
            part_trailer: three(&mut || dice.random_range(900.0..4000.0)),
            mount_tongue: dice.random_range(80.0..450.0),
            d: three(&mut || dice.random_range(6.0..24.0)),
            s: three(&mut || dice.random_range(60.0..400.0)),
            receiver: [dice.random_range(15.0..60.0), pin - dice.random_range(0.0..150.0)],
            pin,
            tube_top: dice.random_range(420.0..650.0),
            receiver_point: [pin + dice.random_range(0.0..250.0), dice.random_range(180.0..330.0)],
            mount_mass: dice.random_range(4.0..12.0),
            mount_length,
            drop: dice.random_range(-80.0..150.0),
            depth: dice.random_range(30.0..80.0),
            ball_mass: dice.random_range(1.0..3.0),
            ball_height: dice.random_range(50.0..90.0),
            items,
            before: dice.random_range(0.0..40.0),
            removed: dice.random_range(0.0..20.0),
            trailer: dice.random_range(350.0..4200.0),
            share: (dice.random_range(0.02..0.25), dice.random_bool(0.5)),
            trailer_gvwr: dice.random_range(750.0..3400.0),
            trailer_gawr: dice.random_range(700.0..3600.0),
            trailer_axles: dice.random_range(1..3),
            trailer_index: dice.random_range(0..INDICES.len()),
            trailer_wheel: dice.random_range(500.0..1200.0),
            coupler_level: dice.random_range(380.0..560.0),
            jack: dice.random_range(150.0..700.0),
            lip,
            belly,
            angles: [
                dice.random_range(5.0..30.0),
                dice.random_range(3.0..20.0),
                dice.random_range(1.0..18.0),
                dice.random_range(3.0..22.0),
            ],
            hitch_height: dice.random_range(60.0..260.0),
            bed: None,
        };
        // Drawn last, so that a seed without a bed is the train it always was.
        if dice.random_bool(0.25) {
            train.bed = Some(InBed::random(dice, wheelbase));
            train.bars = false;
        }
        if 0 < ease {
            train.rate_generously();
        }
        if ease == 3 {
            train.ask_for_little();
        }
        train
    }

    /// Gives every part more than it needs, so that what is left to say is about heights and windows.
    fn rate_generously(&mut self) {
        for end in &mut self.ends {
            (end.gawr, end.index, end.dual_index, end.wheel) = (2800.0, 7, 7, 1480.0);
        }
        (self.gvwr, self.gcwr, self.new_vehicle, self.bars_above) = (5500.0, 15_000.0, false, None);
        (self.trailer_gvwr, self.trailer_gawr, self.trailer_index, self.trailer_wheel) = (2400.0, 2600.0, 7, 1480.0);
        self.trailer = self.trailer.min(2350.0);
        (self.vehicle_trailer, self.receiver_trailer, self.part_trailer) = ([6000.0; 2], [6000.0; 2], [6000.0; 3]);
        (self.vehicle_tongue, self.receiver_tongue, self.mount_tongue) = ([900.0; 2], [900.0; 2], 900.0);
        (self.d, self.s, self.jack, self.restoration) = ([30.0; 3], [900.0; 3], 900.0, 0.5);
        if let Some(bed) = &mut self.bed {
            bed.rate_generously();
        }
    }

    /// Loads it by the book and sets limits that any train keeps.
    fn ask_for_little(&mut self) {
        self.share.0 = if self.bed.is_some() { 0.18 } else { 0.11 };
        (self.angles, self.hitch_height) = ([1.0, 0.5, 0.1, 1.0], 20.0);
        self.items.iter_mut().for_each(|item| item.0 *= 0.2);
    }

    /// Returns the plan that says so.
    pub fn plan(&self) -> Upfit {
        let mut p = fixture::plan();
        if self.european {
            fixture::europe(&mut p);
        }
        let (kg, mm) = (|value: f64| Some(Mass::from_kg(value)), |value: f64| Some(Length::from_mm(value)));
        let kn = |value: f64| Some(Force::from_kn(value));
        let point = |label: &str, [s, z]: [f64; 2]| ProfilePoint {
            label: label.to_owned(),
            station: Length::from_mm(s),
            height: Length::from_mm(z),
        };
        p.vin = Some("ZZZBK3A05T1000123".to_owned());
        p.spring_bars = Some(self.bars);
        p.restoration = self.bars.then_some(self.restoration);
        p.sale = Some(if self.new_vehicle { SaleState::BeforeFirstSale } else { SaleState::InUse });
        let vehicle = fixture::vehicle(&mut p);
        vehicle.wheelbase = Length::from_mm(self.wheelbase);
        for (axle, end) in [(&mut vehicle.front, self.ends[0]), (&mut vehicle.rear, self.ends[1])] {
            *axle = Axle {
                kerb: kg(end.kerb),
                gawr: kg(end.gawr),
                suspension_rate: Some(Rate::from_n_per_mm(end.suspension)),
                self_levelling: Some(false),
                tyres: axle.tyres.take().map(|tyres| Tyres {
                    designation: String::new().into(),
                    count: Some(end.tyres),
                    load_index: Some(INDICES[end.index].0),
                    load_index_dual: Some(INDICES[end.dual_index].0),
                    loaded_radius: mm(end.radius),
                    rate: Some(Rate::from_n_per_mm(end.tyre)),
                    wheel_rating: kg(end.wheel),
                    ..tyres
                }),
            };
        }
        vehicle.gvwr = kg(self.gvwr);
        vehicle.gcwr = kg(self.gcwr);
        vehicle.tow_braked = kg(self.vehicle_trailer[0]);
        vehicle.tow_spring_bars = kg(self.vehicle_trailer[1]);
        vehicle.tongue = kg(self.vehicle_tongue[0]);
        vehicle.tongue_spring_bars = kg(self.vehicle_tongue[1]);
        vehicle.spring_bars = Some(match self.bars_above {
            Some(above) => SpringBarRule::RequiredAbove(Mass::from_kg(above)),
            None => SpringBarRule::Allowed,
        });
        let mut points = vec![point("front lip", self.lip)];
        points.extend(self.belly.iter().map(|&at| point("belly", at)));
        vehicle.profile = Some(Profile { points, join: ProfileJoin::SeparatePoints });
        let receiver = fixture::receiver(&mut p);
        let row =
            |at: usize| LinkRating { trailer: kg(self.receiver_trailer[at]), tongue: kg(self.receiver_tongue[at]) };
        receiver.mass = kg(self.receiver[0]);
        (receiver.carrying, receiver.spring_bars) = (row(0), Some(row(1)));
        (receiver.d_value, receiver.s_value) = (kn(self.d[0]), kg(self.s[0]));
        if let Some(fit) = receiver.fits.first_mut() {
            fit.mass_station = mm(self.receiver[1]);
            fit.pin_station = mm(self.pin);
            fit.tube_top_height = mm(self.tube_top);
            fit.points = vec![point("receiver", self.receiver_point)];
        }
        let mount = fixture::mount(&mut p);
        mount.mass = kg(self.mount_mass);
        mount.rating = LinkRating { trailer: kg(self.part_trailer[0]), tongue: kg(self.mount_tongue) };
        (mount.length, mount.drop, mount.depth_below_platform) = (mm(self.mount_length), mm(self.drop), mm(self.depth));
        let ball = fixture::ball(&mut p);
        (ball.mass, ball.height) = (kg(self.ball_mass), mm(self.ball_height));
        ball.rating.trailer = kg(self.part_trailer[1]);
        (ball.d_value, ball.s_value) = (kn(self.d[1]), kg(self.s[1]));
        let coupler = fixture::coupler(&mut p);
        coupler.rating.trailer = kg(self.part_trailer[2]);
        (coupler.d_value, coupler.s_value) = (kn(self.d[2]), kg(self.s[2]));
        let trailer = fixture::trailer(&mut p);
        (trailer.gvwr, trailer.gawr, trailer.jack_rating) =
            (kg(self.trailer_gvwr), kg(self.trailer_gawr), kg(self.jack));
        trailer.axle_count = Some(self.trailer_axles);
        trailer.coupler_height_level = mm(self.coupler_level);
        trailer.tyres = trailer.tyres.take().map(|tyres| Tyres {
            designation: String::new().into(),
            count: Some(2 * self.trailer_axles),
            load_index: Some(INDICES[self.trailer_index].0),
            wheel_rating: kg(self.trailer_wheel),
            ..tyres
        });
        p.items = self
            .items
            .iter()
            .map(|&(mass, station, permanent)| LoadItem {
                label: "load".to_owned(),
                mass: kg(mass),
                station: mm(station),
                permanent,
            })
            .collect();
        (p.mass_added_before, p.mass_removed) = (kg(self.before), kg(self.removed));
        p.trailer_mass = kg(self.trailer);
        p.tongue = Some(match self.share {
            (share, true) => TongueLoad::Share(share),
            (share, false) => TongueLoad::Load(Mass::from_kg(self.trailer * share)),
        });
        let deg = |at: usize| Some(Angle::from_deg(self.angles[at]));
        p.limits = Limits {
            approach_min: deg(0),
            departure_min: deg(1),
            departure_laden_min: deg(2),
            ramp_min: deg(3),
            hitch_height_min: mm(self.hitch_height),
            ..Limits::default()
        };
        if let Some(bed) = &self.bed {
            bed.put(&mut p);
        }
        p
    }
}
