//! Fitted gear does not cost a vehicle the off-road class it is registered in.
//!
//! Before is the bare vehicle, or the one with the receiver that comes off; after is with receiver and ball mount.

use super::{Case, Findings, Rule, Severity, Unknown};
use crate::basis::{Seen, Source};
use crate::calc::off_road::Criterion;

/// The rule.
pub static RULE: Rule = Rule {
    id: "off-road-class-lost",
    title: "the vehicle keeps its off-road class",
    severity: Severity::Review,
    source: Source::new("Directive 87/403/EEC, off-road class G, as quoted in a legal glossary", "1987", Seen::Opened),
    needs: &["off_road_class", "vehicle.profile", "receiver.fits", "ball_mount"],
    remedy: "Choose gear that sits higher or comes out without tools, or have the registration changed first.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(figures) = &case.figures.off_road else { return };
    let figures = match figures {
        Ok(figures) => figures,
        Err(unknown) => return findings.unknown(*unknown, "the off-road class"),
    };
    match figures.lost {
        Some(false) => {}
        Some(true) => {
            let what = figures.criterion.map_or("a measure", words);
            findings.add(
                "off_road_class",
                format_args!(
                    "the off-road class is lost: {what} does not hold any more; {} of at least {} measures hold",
                    figures.held, figures.needed
                ),
            );
        }
        None => {
            let why = "does not say enough: points under both axles, between them and at both ends decide it";
            findings.unknown(Unknown::because("vehicle.profile", why), "the off-road class");
        }
    }
}

const fn words(criterion: Criterion) -> &'static str {
    match criterion {
        Criterion::Approach => "the approach angle",
        Criterion::Departure => "the departure angle",
        Criterion::Ramp => "the ramp angle",
        Criterion::FrontAxle => "the clearance under the front axle",
        Criterion::RearAxle => "the clearance under the rear axle",
        Criterion::Between => "the clearance between the axles",
        Criterion::BothAxles => "the clearance under both axles",
    }
}

#[cfg(test)]
mod tests {
    use crate::model::profile::{Profile, ProfileJoin, ProfilePoint};
    use crate::model::upfit::{OffRoadClass, Upfit};
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    fn point(station: f64, height: f64) -> ProfilePoint {
        ProfilePoint { label: "frame".into(), station: mm(station), height: mm(height) }
    }

    /// A high vehicle that holds five of six: its ramp angle is too small. Its ball mount decides the departure angle.
    fn high(p: &mut Upfit) {
        vehicle(p).profile = Some(Profile {
            points: vec![
                point(-700.0, 420.0),
                point(0.0, 200.0),
                point(1820.0, 220.0),
                point(3640.0, 200.0),
                point(4500.0, 560.0),
            ],
            join: ProfileJoin::SeparatePoints,
        });
        p.off_road_class = Some(OffRoadClass::EuropeanG);
        for low in &mut fit(p).points {
            low.height = mm(520.0);
        }
        fit(p).tube_top_height = Some(mm(700.0));
    }

    #[test]
    fn a_low_receiver_costs_the_class() {
        assert!(finding("off-road-class-lost", high).is_none());
        let lost = |p: &mut Upfit| {
            high(p);
            fit(p).points[0].height = mm(300.0);
        };
        assert_eq!(
            message("off-road-class-lost", lost),
            "the off-road class is lost: the departure angle does not hold any more; 4 of at least 5 measures hold"
        );
    }

    /// Derived: `z = u · tan 20° + r · (1 − 1 / cos 20°)` is the height at which a point holds 20° exactly.
    #[test]
    fn exactly_the_limit_keeps_it() {
        let (u, angle) = (1280.0_f64, 20.0_f64.to_radians());
        let exact = u * angle.tan() + 345.0 * (1.0 - 1.0 / angle.cos());
        let at = |height: f64| {
            move |p: &mut Upfit| {
                high(p);
                fit(p).points[0].height = mm(height);
            }
        };
        assert!(finding("off-road-class-lost", at(exact)).is_none());
        assert!(finding("off-road-class-lost", at(exact - 1e-3)).is_some());
    }

    #[test]
    fn what_nobody_measured_is_asked_for() {
        let found = finding("off-road-class-lost", |p| p.off_road_class = Some(OffRoadClass::EuropeanG));
        assert!(found.is_none_or(|found| !found.unknown), "the low van never was of the class");
        let asked = finding("off-road-class-lost", |p| {
            high(p);
            let profile = vehicle(p).profile.as_mut().unwrap();
            profile.points.retain(|point| point.station != mm(0.0));
        });
        assert!(asked.unwrap().unknown);
        // A profile that nobody measured was asked for by the angles already; it is not asked for twice.
        let shapeless = |p: &mut Upfit| {
            p.off_road_class = Some(OffRoadClass::UsLightTruck);
            vehicle(p).profile = None;
        };
        assert!(report(shapeless).figures.off_road.unwrap().is_err());
        assert_ne!(verdict(shapeless), Verdict::Clear);
        assert!(finding("off-road-class-lost", |_| ()).is_none());
    }
}
