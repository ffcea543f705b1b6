//! Sockets, wrenches, terrains.

use baybook_core::{
    model::{
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
    pub fn day(&mut self, name: &'static str, text: &str) -> Option<String> {
        if text.is_empty() {
            return None;
        }
        if is_day(text) {
            return Some(text.to_owned());
        }
        self.reject(name, "must be a day of the calendar as YYYY-MM-DD, such as 2027-03-31");
        None
    }
}

/// Returns whether the text is a day of the Gregorian calendar, `YYYY-MM-DD`.
fn is_day(text: &str) -> bool {
    let digits =
        |part: &str| part.bytes().all(|byte| byte.is_ascii_digit()).then(|| part.parse::<u32>().ok()).flatten();
    let mut parts = text.split('-');
    let (Some(year), Some(month), Some(day), None) = (parts.next(), parts.next(), parts.next(), parts.next()) else {
        return false;
    };
    if (year.len(), month.len(), day.len()) != (4, 2, 2) {
        return false;
    }
    let (Some(year), Some(month), Some(day)) = (digits(year), digits(month), digits(day)) else { return false };
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let days = match month {
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        4 | 6 | 9 | 11 => 30,
        2 if leap => 29,
        2 => 28,
        _ => return false,
    };
    (1..=days).contains(&day)
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_those_of_the_calendar() {
        for good in ["2026-01-31", "2024-02-29", "2000-02-29", "2026-12-31"] {
            assert!(is_day(good), "{good}");
        }
        for bad in [
            "2026-02-29",
            "1900-02-29",
            "2026-13-01",
            "2026-00-10",
            "2026-04-31",
            "26-04-01",
            "2026-4-1",
            "2026-04-00",
            "2026/04/01",
            "2026-04-01-",
            "+026-04-01",
            "2026-04-0١",
        ] {
            assert!(!is_day(bad), "{bad}");
        }
    }
}
