//! The model year on the order is the one that position 10 codes.
//!
//! Only matters when the order names a year and the vehicle was built for North America. Position 7 tells the cycle
//! only for cars and for multipurpose vehicles and trucks up to 4,536 kg; where it does not, either year of the two
//! cycles will do.

use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::calc::vin::Vin;
use crate::model::vehicle::{Market, VehicleKind};
use crate::units::Mass;

/// The rule.
pub static RULE: Rule = Rule {
    id: "vin-model-year",
    title: "the model year on the order is the one in the number",
    severity: Severity::Review,
    source: Source::new(
        "49 CFR 565.15, table VII and the position 7 rule, as quoted in a public repository",
        "",
        Seen::Opened,
    ),
    needs: &["vin", "model_year", "vehicle.kind", "vehicle.gvwr"],
    remedy: "Compare order and vehicle; a wrong year brings wrong ratings.",
    check,
};

/// Above this gross rating position 7 says nothing about the cycle: 10,000 lb.
const LIGHT: Mass = Mass::from_lb(10_000.0);

fn check(case: &Case<'_>, findings: &mut Findings) {
    let plan = case.plan;
    let Some(ordered) = plan.model_year.filter(|_| plan.vehicle.market == Some(Market::NorthAmerica)) else { return };
    let Some(Ok(vin)) = plan.vin.as_deref().map(Vin::read) else { return };
    let light = match (plan.vehicle.kind, plan.vehicle.gvwr) {
        (Some(VehicleKind::PassengerCar), _) => Some(true),
        (Some(VehicleKind::Multipurpose | VehicleKind::Truck), Some(gvwr)) => Some(gvwr <= LIGHT),
        (Some(VehicleKind::Bus), _) => Some(false),
        (None, _) | (_, None) => None,
    };
    match vin.model_years(light) {
        None => findings
            .add("vin", format_args!("position 10 is {}, which codes no model year", vin.at(10).unwrap_or_default())),
        Some(years) => {
            let fits = years.decided.map_or(ordered == years.early || ordered == years.late, |year| year == ordered);
            if fits {
                return;
            }
            match years.decided {
                Some(year) => {
                    findings.add("model_year", format_args!("the order says {ordered}, the number says {year}"))
                }
                None => findings.add(
                    "model_year",
                    format_args!("the order says {ordered}, the number says {} or {}", years.early, years.late),
                ),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;
    use crate::units::Mass;

    #[test]
    fn another_year_is_reviewed() {
        // T in position 10 is 1996 or 2026; the letter in position 7 says 2026.
        assert_eq!(
            message("vin-model-year", |p| p.model_year = Some(2025)),
            "the order says 2025, the number says 2026"
        );
        assert!(finding("vin-model-year", |p| p.model_year = Some(1996)).is_some());
        assert!(finding("vin-model-year", |p| p.model_year = Some(2026)).is_none());
    }

    #[test]
    fn where_position_seven_says_nothing_both_years_will_do() {
        let heavy = |year: i32| {
            finding("vin-model-year", |p| {
                p.model_year = Some(year);
                vehicle(p).gvwr = Some(Mass::from_lb(10_001.0));
            })
        };
        assert!(heavy(1996).is_none() && heavy(2026).is_none());
        assert_eq!(heavy(2025).unwrap().message, "the order says 2025, the number says 1996 or 2026");
    }

    #[test]
    fn without_a_year_on_the_order_there_is_nothing_to_compare() {
        assert!(finding("vin-model-year", |p| p.model_year = None).is_none());
        assert_ne!(verdict(|p| p.vin = None), Verdict::Clear);
    }
}
