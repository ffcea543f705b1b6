//! Vehicles, axles, tyres and the underside.

use baybook_core::{
    model::{
        profile::{Profile, ProfileJoin, ProfilePoint},
        tyre::{TyreKind, Tyres},
        vehicle::{Axle, Market, SpringBarRule, Vehicle, VehicleKind},
    },
    units::{Length, Mass, Rate},
};
use baybook_proto::v1 as pb;

use super::{
    Fields, FromWire,
    fields::{LABEL_MAX, LIST_MAX},
    ranges,
};

impl Fields {
    /// Reads the least and the greatest allowed tongue share.
    pub fn tongue_window(&mut self, least: Option<f64>, most: Option<f64>) -> (Option<f64>, Option<f64>) {
        let least = self.share("tongue_min_share", least);
        let most = self.share("tongue_max_share", most);
        if let (Some(low), Some(high)) = (least, most)
            && low > high
        {
            self.reject("tongue_min_share", format!("must not be above tongue_max_share, is {low} against {high}"));
        }
        (least, most)
    }

    /// Reads the tyres of one axle, or of all axles of a trailer.
    pub fn tyres(&mut self, wire: Option<&pb::Tyres>, counts: (i32, i32)) -> Option<Tyres> {
        let wire = wire?;
        self.under("tyres", |fields| {
            let rate = fields.number("rate_n_per_mm", wire.rate_n_per_mm, &ranges::TYRE_RATE);
            Some(Tyres {
                designation: fields.text("designation", &wire.designation, LABEL_MAX).into(),
                kind: fields.choice("kind", wire.kind, tyre_kind),
                count: fields.count("tyre_count", wire.tyre_count, counts.0, counts.1),
                load_index: fields.count("load_index_code", wire.load_index_code, 1, 279),
                load_index_dual: fields.count("load_index_dual_code", wire.load_index_dual_code, 1, 279),
                loaded_radius: fields
                    .number("loaded_radius_mm", wire.loaded_radius_mm, &ranges::LOADED_RADIUS)
                    .map(Length::from_mm),
                rate: rate.map(Rate::from_n_per_mm),
                wheel_rating: fields.mass("wheel_rating", wire.wheel_rating.as_ref(), &ranges::MASS),
                temporary_spare: wire.temporary_spare,
                same_across_axle: wire.same_across_axle,
            })
        })
    }

    /// Reads what the maker says of spring bars; the mass belongs to one of the answers only.
    fn spring_bar_rule(&mut self, wire: &pb::Vehicle) -> Option<SpringBarRule> {
        let above = "spring_bars_required_above";
        let mass = self.mass(above, wire.spring_bars_required_above.as_ref(), &ranges::MASS);
        let rule = self.choice("spring_bars", wire.spring_bars, Some)?;
        if rule == pb::SpringBarRule::RequiredAbove {
            if wire.spring_bars_required_above.is_none() {
                self.reject(above, "is required with SPRING_BAR_RULE_REQUIRED_ABOVE");
            }
            return mass.map(SpringBarRule::RequiredAbove);
        }
        if wire.spring_bars_required_above.is_some() {
            self.reject(above, "contradicts spring_bars: it goes with SPRING_BAR_RULE_REQUIRED_ABOVE only");
        }
        match rule {
            pb::SpringBarRule::Unspecified | pb::SpringBarRule::RequiredAbove => None,
            pb::SpringBarRule::Allowed => Some(SpringBarRule::Allowed),
            pb::SpringBarRule::Forbidden => Some(SpringBarRule::Forbidden),
        }
    }
}

pub(super) fn market(wire: pb::Market) -> Option<Market> {
    match wire {
        pb::Market::Unspecified => None,
        pb::Market::NorthAmerica => Some(Market::NorthAmerica),
        pb::Market::Europe => Some(Market::Europe),
        pb::Market::Other => Some(Market::Other),
    }
}

fn vehicle_kind(wire: pb::VehicleKind) -> Option<VehicleKind> {
    match wire {
        pb::VehicleKind::Unspecified => None,
        pb::VehicleKind::PassengerCar => Some(VehicleKind::PassengerCar),
        pb::VehicleKind::Multipurpose => Some(VehicleKind::Multipurpose),
        pb::VehicleKind::Truck => Some(VehicleKind::Truck),
        pb::VehicleKind::Bus => Some(VehicleKind::Bus),
    }
}

fn tyre_kind(wire: pb::TyreKind) -> Option<TyreKind> {
    match wire {
        pb::TyreKind::Unspecified => None,
        pb::TyreKind::PassengerCar => Some(TyreKind::PassengerCar),
        pb::TyreKind::LightTruck => Some(TyreKind::LightTruck),
        pb::TyreKind::Trailer => Some(TyreKind::Trailer),
    }
}

fn profile_join(wire: pb::ProfileJoin) -> Option<ProfileJoin> {
    match wire {
        pb::ProfileJoin::Unspecified => None,
        pb::ProfileJoin::StraightEdges => Some(ProfileJoin::StraightEdges),
        pb::ProfileJoin::SeparatePoints => Some(ProfileJoin::SeparatePoints),
    }
}

impl FromWire for ProfilePoint {
    type Wire = pb::ProfilePoint;

    fn from_wire(wire: &pb::ProfilePoint, fields: &mut Fields) -> Option<Self> {
        let label = fields.text("label", &wire.label, LABEL_MAX);
        let station = fields.needed("station_mm", wire.station_mm, &ranges::STATION);
        let height = fields.needed("height_mm", wire.height_mm, &ranges::HEIGHT);
        Some(Self { label, station: Length::from_mm(station?), height: Length::from_mm(height?) })
    }
}

impl FromWire for Profile {
    type Wire = pb::Profile;

    fn from_wire(wire: &pb::Profile, fields: &mut Fields) -> Option<Self> {
        if wire.points.is_empty() {
            fields.reject("points", "must have at least one point: leave the profile out when nobody measured it");
        }
        let points: Vec<ProfilePoint> = fields.list("points", &wire.points, LIST_MAX);
        let falls = points.windows(2).position(|pair| matches!(pair, [a, b] if b.station < a.station));
        if let Some(index) = falls
            && points.len() == wire.points.len()
        {
            fields.at("points", index + 1, |fields| {
                fields.reject("station_mm", "must not be ahead of the point before it: list points from front to rear");
            });
        }
        let join = fields.needed_choice("join", wire.join, profile_join);
        Some(Self { points, join: join? })
    }
}

impl FromWire for Axle {
    type Wire = pb::Axle;

    fn from_wire(wire: &pb::Axle, fields: &mut Fields) -> Option<Self> {
        let rate = fields.number("suspension_rate_n_per_mm", wire.suspension_rate_n_per_mm, &ranges::SUSPENSION_RATE);
        Some(Self {
            kerb: fields.number("kerb_kg", wire.kerb_kg, &ranges::MASS).map(Mass::from_kg),
            gawr: fields.mass("gawr", wire.gawr.as_ref(), &ranges::MASS),
            suspension_rate: rate.map(Rate::from_n_per_mm),
            self_levelling: wire.self_levelling,
            tyres: fields.tyres(wire.tyres.as_ref(), (2, 4)),
        })
    }
}

impl FromWire for Vehicle {
    type Wire = pb::Vehicle;

    fn from_wire(wire: &pb::Vehicle, fields: &mut Fields) -> Option<Self> {
        let label = fields.text("label", &wire.label, LABEL_MAX);
        let market = fields.choice("market", wire.market, market);
        let kind = fields.choice("kind", wire.kind, vehicle_kind);
        let wheelbase = fields.needed("wheelbase_mm", wire.wheelbase_mm, &ranges::WHEELBASE);
        let front = fields.message("front", wire.front.as_ref()).unwrap_or_default();
        let rear = fields.message("rear", wire.rear.as_ref()).unwrap_or_default();
        let mut mass = |name, wire: &Option<pb::Mass>| fields.mass(name, wire.as_ref(), &ranges::MASS);
        let gvwr = mass("gvwr", &wire.gvwr);
        let gcwr = mass("gcwr", &wire.gcwr);
        let tow_braked = mass("tow_braked", &wire.tow_braked);
        let tow_unbraked = mass("tow_unbraked", &wire.tow_unbraked);
        let tow_spring_bars = mass("tow_spring_bars", &wire.tow_spring_bars);
        let tongue = mass("tongue", &wire.tongue);
        let tongue_spring_bars = mass("tongue_spring_bars", &wire.tongue_spring_bars);
        let spring_bars = fields.spring_bar_rule(wire);
        let hitch_class = fields.count("hitch_class_code", wire.hitch_class_code, 1, 5);
        let front_share_min = fields.share("front_share_min_share", wire.front_share_min_share);
        let (tongue_share_min, tongue_share_max) = fields.tongue_window(wire.tongue_min_share, wire.tongue_max_share);
        let profile = fields.message("profile", wire.profile.as_ref());
        let tail = fields.message("tail", wire.tail.as_ref());
        let bed = fields.message("bed", wire.bed.as_ref());
        Some(Self {
            name: String::new(),
            seen_on: None,
            label,
            market,
            kind,
            wheelbase: Length::from_mm(wheelbase?),
            front,
            rear,
            gvwr,
            gcwr,
            tow_braked,
            tow_unbraked,
            tow_spring_bars,
            tongue,
            tongue_spring_bars,
            spring_bars,
            hitch_class,
            front_share_min,
            tongue_share_min,
            tongue_share_max,
            profile,
            tail,
            bed,
        })
    }
}
