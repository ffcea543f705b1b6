//! Nobody tightens two bolts within five seconds: readings that follow each other faster were not taken at the bolts.

use super::run::finding::Against;
use super::{Case, Findings, Rule, Severity};
use crate::basis::{Seen, Source};
use crate::model::{day::Moment, work::WorkRecord};

/// The least time from one bolt to the next, s. Common practice, no source.
const LEAST_S: f64 = 5.0;

/// The rule.
pub static RULE: Rule = Rule {
    id: "tightened-too-fast",
    title: "no two readings of one person lie less than 5 s apart",
    severity: Severity::Review,
    source: Source::new("five seconds from bolt to bolt", "", Seen::CommonPractice),
    needs: &["work.readings[].taken_at", "work.readings[].person"],
    remedy: "Ask who tightened the joints and how, and read them again.",
    check,
};

fn check(case: &Case<'_>, findings: &mut Findings) {
    let Some(work) = case.plan.work.as_deref() else { return };
    for (place, reading) in work.readings.iter().enumerate() {
        for (known, field) in [(reading.at.is_some(), "taken_at"), (reading.person.is_some(), "person")] {
            // A reading without a time is told where its wrench is judged, unless it has no wrench either.
            if !known && (field == "person" || reading.wrench.is_none()) {
                findings.unknown_as_review(
                    format!("work.readings[{place}].{field}"),
                    format_args!("a reading of joint {} does not say {field}", reading.joint),
                );
            }
        }
    }
    // Each person once, at their first reading.
    for (place, reading) in work.readings.iter().enumerate() {
        let Some(person) = reading.person.as_deref() else { continue };
        let is_first = !work.readings.iter().take(place).any(|before| before.person.as_deref() == Some(person));
        if !is_first {
            continue;
        }
        let Some((least, many)) = fastest(work, person) else { continue };
        if least < LEAST_S {
            findings.breach(
                format!("work.readings[{place}].taken_at"),
                Against::new(least, LEAST_S, "s"),
                format_args!("{person} read {many} bolts, two of them within {least:.0} s; 5 s a bolt is the least"),
            );
        }
    }
}

/// Returns the least time between two readings of a person and how many there are.
fn fastest(work: &WorkRecord, person: &str) -> Option<(f64, usize)> {
    let own = work.readings.iter().filter(|reading| reading.person.as_deref() == Some(person));
    let times: Vec<Moment> = own.filter_map(|reading| reading.at).collect();
    let start = *times.first()?;
    let mut seconds: Vec<i64> = times.iter().map(|at| start.until(*at)).collect();
    seconds.sort_unstable();
    let gaps = seconds.iter().zip(seconds.iter().skip(1)).map(|(one, next)| next - one);
    // Seconds are few enough for a float to hold each.
    gaps.min().map(|least| (least as f64, times.len()))
}

#[cfg(test)]
mod tests {
    use crate::model::day::Moment;
    use crate::rules::Verdict;
    use crate::rules::run::fixture::*;

    fn second_at(text: &'static str) -> impl Fn(&mut crate::model::upfit::Upfit) {
        move |p| work(p).readings[1].at = Moment::read(text)
    }

    #[test]
    fn five_seconds_are_the_least() {
        let found = finding("tightened-too-fast", second_at("2026-11-26T14:05:14Z")).unwrap();
        assert_eq!((found.value, found.limit), (Some(4.0), Some(5.0)));
        assert_eq!(found.message, "A. Muster read 2 bolts, two of them within 4 s; 5 s a bolt is the least");
        assert!(finding("tightened-too-fast", second_at("2026-11-26T14:05:15Z")).is_none());
        // Before the first one counts too, in whatever order they are listed.
        assert!(finding("tightened-too-fast", second_at("2026-11-26T14:05:06Z")).is_some());
    }

    #[test]
    fn two_people_may_work_side_by_side() {
        let side_by_side = |p: &mut crate::model::upfit::Upfit| {
            second_at("2026-11-26T14:05:10Z")(p);
            work(p).readings[1].person = Some("B. Muster".into());
        };
        assert!(finding("tightened-too-fast", side_by_side).is_none());
    }

    #[test]
    fn who_and_when_are_asked() {
        assert_eq!(verdict(|p| work(p).readings[0].person = None), Verdict::Review);
        assert_eq!(verdict(|p| work(p).readings[0].at = None), Verdict::Review);
    }
}
