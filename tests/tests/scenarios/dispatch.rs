//! Dispatch: a sheet of plans, checked as one batch.

use std::collections::BTreeMap;

use baybook_proto::v1::{self as pb, checked_plan::Outcome};

use crate::{bay::plan, driver::Driver};

/// Sixty plans over the demo's vehicles and trailers, from light to far too heavy.
pub fn sixty_plans() -> Vec<pb::UpfitPlan> {
    let vehicles = ["van-l35", "van-m30", "pickup-half", "pickup-hd", "suv-mid"];
    let trailers = ["flatbed-2t", "light-utility", "no-label"];
    let masses = [400.0, 1500.0, 2600.0, 5500.0];
    let mut plans = Vec::new();
    for vehicle in vehicles {
        for trailer in trailers {
            for mass in masses {
                let mut plan = plan();
                plan.unit = format!("U-{:03}", plans.len() + 1);
                plan.vehicle = Some(pb::VehicleRef {
                    vehicle: Some(pb::vehicle_ref::Vehicle::Name(format!("vehicles/{vehicle}"))),
                });
                plan.trailer = Some(pb::TrailerRef {
                    trailer: Some(pb::trailer_ref::Trailer::Name(format!("trailers/{trailer}"))),
                });
                plan.trailer_mass = Some(pb::Mass { value_kg: Some(mass), printed: String::new() });
                plan.tongue = Some(pb::upfit_plan::Tongue::TongueShare(0.11));
                plans.push(plan);
            }
        }
    }
    assert_eq!(plans.len(), 60);
    plans
}

pub fn sixty_plans_are_checked(driver: &mut dyn Driver) {
    let plans = sixty_plans();
    let checked = driver.check(plans.clone()).expect("a batch with bad plans is a good call");
    let numbers: Vec<i64> = checked.results.iter().map(|result| result.seq).collect();
    assert_eq!(numbers, (1..=60).collect::<Vec<i64>>(), "every plan is answered once, in order");
    assert!(0 < checked.revision);

    let rules = driver.rules().expect("the rule book can be read").rules;
    let order: BTreeMap<&str, usize> = rules.iter().enumerate().map(|(at, rule)| (rule.id.as_str(), at)).collect();
    let mut verdicts: BTreeMap<pb::Verdict, i64> = BTreeMap::new();
    for (result, plan) in checked.results.iter().zip(&plans) {
        let Some(Outcome::Report(report)) = &result.outcome else { panic!("{result:?}") };
        assert_eq!(report.unit, plan.unit);
        *verdicts.entry(report.verdict()).or_default() += 1;
        let ranks: Vec<usize> = report.findings.iter().map(|finding| order[finding.rule.as_str()]).collect();
        assert!(ranks.is_sorted(), "{}: findings are in the order of the rule book", report.unit);
        let worst = report.findings.iter().map(pb::Finding::severity).max().unwrap_or(pb::Severity::Unspecified);
        let due = match worst {
            pb::Severity::Block => pb::Verdict::Blocked,
            pb::Severity::Review => pb::Verdict::Review,
            _ => pb::Verdict::Clear,
        };
        assert_eq!(report.verdict(), due, "{}: {:?}", report.unit, report.findings);
        for finding in &report.findings {
            assert!(!finding.message.is_empty() && !finding.source.is_empty() && !finding.remedy.is_empty());
        }
        // 5,500 kg is over every rating of every one of these vehicles but the heaviest.
        let heavy = plan.trailer_mass.as_ref().and_then(|mass| mass.value_kg) == Some(5500.0);
        assert!(!heavy || report.verdict() == pb::Verdict::Blocked, "{}: {:?}", report.unit, report.findings);
    }
    let count = |verdict| verdicts.get(&verdict).copied().unwrap_or(0);
    let summary = &checked.summary;
    assert_eq!((summary.plan_count, summary.unreadable_count), (60, 0));
    assert_eq!(summary.clear_count, count(pb::Verdict::Clear));
    assert_eq!(summary.review_count, count(pb::Verdict::Review));
    assert_eq!(summary.blocked_count, count(pb::Verdict::Blocked));
    assert_eq!(summary.digest.len(), 64);
    assert!(15 <= summary.blocked_count && summary.blocked_count < 60, "{summary:?}");
    for rule in &summary.rules {
        let of_rule = |severity: pb::Severity| {
            let reports = checked.results.iter().filter(|result| match &result.outcome {
                Some(Outcome::Report(report)) => {
                    report.findings.iter().any(|finding| finding.rule == rule.rule && finding.severity() == severity)
                }
                _ => false,
            });
            reports.count() as i64
        };
        assert_eq!(rule.block_count, of_rule(pb::Severity::Block), "{}", rule.rule);
    }
}

pub fn an_unreadable_plan_is_its_own_error(driver: &mut dyn Driver) {
    let mut plans = sixty_plans();
    plans.truncate(6);
    plans[1].vehicle =
        Some(pb::VehicleRef { vehicle: Some(pb::vehicle_ref::Vehicle::Name("vehicles/van-l3".to_owned())) });
    plans[4].trailer_mass = Some(pb::Mass { value_kg: Some(-40.0), printed: String::new() });
    plans[4].vehicle = None;
    let checked = driver.check(plans).expect("a batch with bad plans is a good call");
    assert_eq!(checked.results.len(), 6);
    assert_eq!((checked.summary.plan_count, checked.summary.unreadable_count), (6, 2));
    for result in &checked.results {
        match (&result.outcome, result.seq) {
            (Some(Outcome::Error(error)), 2) => {
                assert_eq!(error.reason(), pb::ErrorReason::EntryNotFound);
                assert!(error.nearest_names.contains(&"vehicles/van-l35".to_owned()), "{error:?}");
            }
            (Some(Outcome::Error(error)), 5) => {
                assert_eq!(error.reason(), pb::ErrorReason::BadFields);
                let fields: Vec<&str> = error.violations.iter().map(|violation| violation.field.as_str()).collect();
                assert!(fields.iter().any(|field| field.ends_with("vehicle")), "{fields:?}");
                assert!(fields.iter().any(|field| field.contains("trailer_mass")), "{fields:?}");
            }
            (Some(Outcome::Report(_)), 1 | 3 | 4 | 6) => {}
            other => panic!("{other:?}"),
        }
    }
}
