//! Which vehicles stand twice in one stream.
//!
//! A stream has no end that anybody could wait for, so each plan is compared with those before it and told at once; the
//! earlier one was answered already and is named in the later answer and in the summary. What is kept of a plan is two
//! numbers, and no more than `stream_vins` of those: past that the earliest vehicle is forgotten, and the summary says how
//! many were, so that nobody takes a window for the whole.

use std::collections::VecDeque;

use ahash::HashMap;
use baybook_core::model::upfit::Twin;
use baybook_proto::v1 as pb;

use super::print::Printer;

/// Pairs that a summary lists; all are counted.
const LISTED: usize = 100;

/// What of a plan is compared with others.
#[derive(Debug, Clone, Copy)]
pub(super) struct Mark {
    vin: u64,
    plan: u64,
}

/// Takes the marks of plans.
pub(super) struct Marker {
    printer: Printer,
}

impl Marker {
    pub(super) fn new() -> Self {
        Self { printer: Printer::new() }
    }

    /// Takes the mark of a plan; nothing for one without a vehicle identification number.
    pub(super) fn mark(&mut self, plan: &pb::UpfitPlan) -> Option<Mark> {
        let vin = plan.vin.trim();
        if vin.is_empty() {
            return None;
        }
        let vin = if vin.bytes().any(|byte| byte.is_ascii_lowercase()) {
            self.printer.of_text(&vin.to_ascii_uppercase())
        } else {
            self.printer.of_text(vin)
        };
        Some(Mark { vin, plan: self.printer.of(plan) })
    }
}

/// The vehicles of a stream so far.
pub(super) struct Twins {
    most: usize,
    seen: HashMap<u64, Seen>,
    order: VecDeque<u64>,
    listed: Vec<pb::VinTwin>,
    count: i64,
    forgotten: i64,
}

/// What is kept of a plan.
#[derive(Clone, Copy)]
struct Seen {
    seq: i64,
    plan: u64,
}

impl Twins {
    /// Starts without a plan; keeps so many vehicles.
    pub(super) fn new(most: usize) -> Self {
        Self {
            most: most.max(1),
            seen: HashMap::default(),
            order: VecDeque::new(),
            listed: Vec::new(),
            count: 0,
            forgotten: 0,
        }
    }

    /// Compares the plans of the next message with all before them; nothing when none has a twin.
    pub(super) fn find(&mut self, plans: &[pb::NumberedPlan], marks: &[Option<Mark>]) -> Vec<Option<Twin>> {
        let mut found = Vec::new();
        for (index, (numbered, mark)) in plans.iter().zip(marks).enumerate() {
            let twin = mark.and_then(|mark| self.one(numbered.seq, mark));
            if twin.is_some() {
                found.resize(plans.len(), None);
                if let Some(place) = found.get_mut(index) {
                    *place = twin;
                }
            }
        }
        found
    }

    fn one(&mut self, seq: i64, Mark { vin, plan }: Mark) -> Option<Twin> {
        if let Some(first) = self.seen.get(&vin) {
            let twin = Twin { seq: first.seq, same: first.plan == plan };
            self.count += 1;
            if self.listed.len() < LISTED {
                self.listed.push(pb::VinTwin { first_seq: twin.seq, seq, alike: twin.same });
            }
            return Some(twin);
        }
        if self.seen.len() >= self.most
            && let Some(oldest) = self.order.pop_front()
        {
            self.seen.remove(&oldest);
            self.forgotten += 1;
        }
        self.seen.insert(vin, Seen { seq, plan });
        self.order.push_back(vin);
        None
    }

    /// Tells the summary what was found.
    pub(super) fn finish(self, summary: &mut pb::CheckSummary) {
        summary.twins = self.listed;
        summary.twin_count = self.count;
        summary.vins_forgotten_count = self.forgotten;
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn plan(unit: &str, vin: &str, model_year: Option<i32>) -> pb::UpfitPlan {
        pb::UpfitPlan { unit: unit.into(), vin: vin.into(), model_year, ..Default::default() }
    }

    fn find(twins: &mut Twins, plans: &[pb::NumberedPlan]) -> Vec<Option<Twin>> {
        let mut marker = Marker::new();
        let marks: Vec<_> = plans.iter().map(|numbered| marker.mark(numbered.plan.as_deref()?)).collect();
        twins.find(plans, &marks)
    }

    fn numbered(seq: i64, plan: pb::UpfitPlan) -> pb::NumberedPlan {
        pb::NumberedPlan { seq, plan: Some(Box::new(plan)) }
    }

    #[test]
    fn the_later_plan_is_told_of_the_earlier_one() {
        let mut twins = Twins::new(10);
        assert!(find(&mut twins, &[numbered(1, plan("a", "V1", None)), numbered(2, plan("b", "V2", None))]).is_empty());
        let found = find(
            &mut twins,
            &[
                numbered(3, plan("c", " v1 ", Some(2026))),
                numbered(4, plan("long unit number", "V2", None)),
                numbered(5, plan("", "", None)),
                numbered(6, plan("", "V2", None)),
            ],
        );
        let told = [
            Some(Twin { seq: 1, same: false }),
            Some(Twin { seq: 2, same: true }),
            None,
            Some(Twin { seq: 2, same: true }),
        ];
        assert_eq!(found, told);
        let mut summary = pb::CheckSummary::default();
        twins.finish(&mut summary);
        assert_eq!((summary.twin_count, summary.vins_forgotten_count, summary.twins.len()), (3, 0, 3));
        assert_eq!(summary.twins[0], pb::VinTwin { first_seq: 1, seq: 3, alike: false });
    }

    proptest! {
        /// Against looking through all of the window, one by one.
        #[test]
        fn a_window_forgets_the_earliest_and_says_so(vins in prop::collection::vec(0..12_u32, 0..60), most in 1_usize..8) {
            let mut twins = Twins::new(most);
            let mut window: Vec<(u32, i64)> = Vec::new();
            let (mut count, mut forgotten) = (0, 0);
            for (seq, vin) in (1_i64..).zip(vins) {
                let found = find(&mut twins, &[numbered(seq, plan("u", &format!("V{vin}"), None))]);
                match window.iter().find(|(other, _)| *other == vin) {
                    Some((_, first)) => {
                        count += 1;
                        prop_assert_eq!(found, vec![Some(Twin { seq: *first, same: true })]);
                    }
                    None => {
                        prop_assert!(found.is_empty());
                        if window.len() == most {
                            window.remove(0);
                            forgotten += 1;
                        }
                        window.push((vin, seq));
                    }
                }
            }
            prop_assert!(twins.seen.len() <= most && twins.order.len() <= most);
            let mut summary = pb::CheckSummary::default();
            twins.finish(&mut summary);
            prop_assert_eq!((summary.twin_count, summary.vins_forgotten_count), (count, forgotten));
        }
    }
}
