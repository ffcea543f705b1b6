//! Sockets, wrenches, terrains.

use baybook_core::{
    model::{
        day::Day,
        terrain::{GroundPoint, Terrain},
        wiring::Socket,
        wrench::Wrench,
    },
    units::Length,
};
use baybook_proto::v1 as pb;

use super::{Fields, FromWire, fields::LABEL_MAX, ranges};

impl Fields {
    /// Reads a connector system; unspecified is not known.
    pub fn socket(&mut self, name: &'static str, number: i32) -> Option<Socket> {
        self.choice(name, number, |wire| match wire {
            pb::Socket::Unspecified => None,
            pb::Socket::FourFlat => Some(Socket::FourFlat),
            pb::Socket::SevenWayLight => Some(Socket::SevenWayLight),
            pb::Socket::SevenWayHeavy => Some(Socket::SevenWayHeavy),
            pb::Socket::Iso1724 => Some(Socket::Iso1724),
            pb::Socket::Iso11446 => Some(Socket::Iso11446),
        })
    }

    /// Reads a day, `YYYY-MM-DD`; empty is absent.
    pub fn day(&mut self, name: &'static str, text: &str) -> Option<Day> {
        if text.is_empty() {
            return None;
        }
        let day = Day::read(text);
        if day.is_none() {
            self.reject(name, "must be a day of the calendar as YYYY-MM-DD, such as 2027-03-31");
        }
        day
    }

    /// Reads a day that must be there.
    pub fn needed_day(&mut self, name: &'static str, text: &str) -> Option<Day> {
        if text.is_empty() {
            self.reject(name, "is required: the day of the calendar as YYYY-MM-DD, such as 2027-03-31");
        }
        self.day(name, text)
    }
}

impl FromWire for Wrench {
    type Wire = pb::Wrench;

    fn from_wire(wire: &pb::Wrench, fields: &mut Fields) -> Option<Self> {
        let label = fields.text("label", &wire.label, LABEL_MAX);
        let scale_min = fields.torque("scale_min", wire.scale_min.as_ref(), &ranges::TORQUE);
        let scale_max = fields.torque("scale_max", wire.scale_max.as_ref(), &ranges::TORQUE);
        if let (Some(least), Some(most)) = (scale_min, scale_max)
            && least >= most
        {
            let why = format!("must be below scale_max, is {} N·m against {} N·m", least.n_m(), most.n_m());
            fields.reject("scale_min", why);
        }
        Some(Self {
            name: String::new(),
            label,
            scale_min,
            scale_max,
            accuracy_share: fields.number("accuracy_share", wire.accuracy_share, &ranges::ACCURACY),
            lever: fields.number("lever_mm", wire.lever_mm, &ranges::LEVER).map(Length::from_mm),
            calibration_due: fields.day("calibration_due", &wire.calibration_due),
        })
    }
}

impl FromWire for GroundPoint {
    type Wire = pb::GroundPoint;

    fn from_wire(wire: &pb::GroundPoint, fields: &mut Fields) -> Option<Self> {
        let run = fields.needed("run_mm", wire.run_mm, &ranges::RUN);
        let rise = fields.needed("rise_mm", wire.rise_mm, &ranges::RISE);
        Some(Self { run: Length::from_mm(run?), rise: Length::from_mm(rise?) })
    }
}

impl FromWire for Terrain {
    type Wire = pb::Terrain;

    fn from_wire(wire: &pb::Terrain, fields: &mut Fields) -> Option<Self> {
        let label = fields.text("label", &wire.label, LABEL_MAX);
        if wire.points.len() < 2 {
            fields.reject("points", format!("must have at least 2 points, has {}", wire.points.len()));
        }
        let points: Vec<GroundPoint> = fields.list("points", &wire.points, ranges::GROUND_POINTS_MAX);
        let stuck = points.windows(2).position(|pair| matches!(pair, [a, b] if b.run <= a.run));
        if let Some(index) = stuck
            && points.len() == wire.points.len()
        {
            fields.at("points", index + 1, |fields| {
                fields.reject("run_mm", "must be greater than that of the point before it");
            });
        }
        Some(Self { name: String::new(), label, points })
    }
}
