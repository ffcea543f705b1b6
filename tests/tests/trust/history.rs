//! What callers asked and were answered, in the order of the clock, and what a book of entries may answer.
//!
//! A history is checked key by key; a key is a pair of entries, so that batches of two and readings of two belong to one key.

use std::sync::{
    Mutex,
    atomic::{AtomicBool, Ordering},
};

use todc_utils::{Action, History, Specification, WGLChecker};

/// The write an entry comes from, and the revision that put it there.
pub type Seen = (u64, i64);

/// What a write expects of an entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Want {
    Any,
    Absent,
    At(i64),
}

impl Want {
    fn holds(self, now: Option<Seen>) -> bool {
        match self {
            Self::Any => true,
            Self::Absent => now.is_none(),
            Self::At(revision) => now.is_some_and(|(_, at)| at == revision),
        }
    }
}

/// What a write was answered: the revision and the number that came back, or a refusal because something is not as expected.
pub type Done = Option<(i64, u64)>;

/// One call and its answer. `side` is 0 or 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Call {
    Get {
        side: usize,
        found: Option<Seen>,
    },
    /// Both at once; nothing when either is missing.
    GetBoth {
        found: Option<[Seen; 2]>,
    },
    Put {
        side: usize,
        number: u64,
        want: Want,
        done: Done,
    },
    PutBoth {
        number: u64,
        want: [Want; 2],
        done: Done,
    },
    Remove {
        side: usize,
        want: Want,
        done: Option<i64>,
    },
}

/// A pair of entries, as it should behave.
pub struct Pair;

#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct PairState {
    sides: [Option<Seen>; 2],
    newest: i64,
}

impl PairState {
    /// What a write leaves, if it may be answered so: a revision that is newer than all before it, and what was sent.
    fn put(&self, sides: &[usize], number: u64, revision: i64, echoed: u64) -> Option<Self> {
        let mut next = self.clone();
        next.newest = revision;
        sides.iter().for_each(|side| next.sides[*side] = Some((number, revision)));
        (revision > self.newest && echoed == number).then_some(next)
    }

    fn next(&self, call: &Call) -> Option<Self> {
        let same = |holds: bool| holds.then(|| self.clone());
        match call {
            Call::Get { side, found } => same(self.sides[*side] == *found),
            Call::GetBoth { found: None } => same(self.sides.iter().any(Option::is_none)),
            Call::GetBoth { found: Some(found) } => same(self.sides == found.map(Some)),
            Call::Put { side, want, done: None, .. } => same(!want.holds(self.sides[*side])),
            Call::Put { side, number, want, done: Some((revision, echoed)) } => {
                if want.holds(self.sides[*side]) {
                    self.put(&[*side], *number, *revision, *echoed)
                } else {
                    None
                }
            }
            Call::PutBoth { want, done: None, .. } => same((0..2).any(|side| !want[side].holds(self.sides[side]))),
            Call::PutBoth { number, want, done: Some((revision, echoed)) } => {
                let holds = (0..2).all(|side| want[side].holds(self.sides[side]));
                if holds { self.put(&[0, 1], *number, *revision, *echoed) } else { None }
            }
            Call::Remove { side, want, done: None } => {
                same(self.sides[*side].is_none() || !want.holds(self.sides[*side]))
            }
            Call::Remove { side, want, done: Some(revision) } => {
                let mut next = self.clone();
                next.newest = *revision;
                next.sides[*side] = None;
                let holds = self.sides[*side].is_some() && want.holds(self.sides[*side]);
                (holds && *revision > self.newest).then_some(next)
            }
        }
    }
}

impl Specification for Pair {
    type State = PairState;
    type Operation = Call;

    fn init() -> PairState {
        PairState::default()
    }

    fn apply(call: &Call, state: &PairState) -> (bool, PairState) {
        match state.next(call) {
            Some(next) => (true, next),
            None => (false, state.clone()),
        }
    }
}

/// How removals and what they race with came out, so that a test is seen to have made them meet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Races {
    /// Entries removed as they had been seen, and removals that came too late for that.
    pub removed: u64,
    pub removed_too_late: u64,
    /// Entries put where there was none, and puts that came too late for that, or for what they had seen.
    pub put_anew: u64,
    pub put_too_late: u64,
    /// Readings that found nothing.
    pub found_nothing: u64,
}

impl Races {
    fn note(&mut self, call: &Call) {
        match call {
            Call::Remove { want: Want::At(_), done: Some(_), .. } => self.removed += 1,
            Call::Remove { want: Want::At(_), done: None, .. } => self.removed_too_late += 1,
            Call::Put { want: Want::Absent, done: Some(_), .. } => self.put_anew += 1,
            Call::Put { done: None, .. } => self.put_too_late += 1,
            Call::Get { found: None, .. } | Call::GetBoth { found: None } => self.found_nothing += 1,
            _ => {}
        }
    }

    pub fn add(&mut self, more: Self) {
        self.removed += more.removed;
        self.removed_too_late += more.removed_too_late;
        self.put_anew += more.put_anew;
        self.put_too_late += more.put_too_late;
        self.found_nothing += more.found_nothing;
    }

    /// The rarest of them.
    pub fn least(&self) -> u64 {
        let all = [self.removed, self.removed_too_late, self.put_anew, self.put_too_late, self.found_nothing];
        all.into_iter().min().unwrap_or(0)
    }
}

type Event = (usize, Action<Call>);

/// Writes down, key by key, what happens when.
pub struct Recorder(Vec<Mutex<Vec<Event>>>, AtomicBool);

impl Recorder {
    pub fn new(keys: usize) -> Self {
        Self((0..keys).map(|_| Mutex::default()).collect(), AtomicBool::new(false))
    }

    fn push(&self, key: usize, event: Event) {
        self.0[key].lock().expect("no writer fails").push(event);
    }

    /// A caller is about to ask. What it will be answered is not known and not looked at.
    pub fn called(&self, caller: usize, key: usize) {
        self.push(key, (caller, Action::Call(Call::GetBoth { found: None })));
    }

    /// It was answered.
    pub fn answered(&self, caller: usize, key: usize, call: Call) {
        self.push(key, (caller, Action::Response(call)));
    }

    /// A call was answered by something that is no answer.
    pub fn spoil(&self) {
        self.1.store(true, Ordering::Relaxed);
    }

    pub fn calls(&self) -> usize {
        self.0.iter().map(|events| events.lock().expect("no writer fails").len() / 2).sum()
    }

    /// How removals and what they race with came out.
    pub fn races(&self) -> Races {
        let mut races = Races::default();
        for events in &self.0 {
            for (_, event) in events.lock().expect("no writer fails").iter() {
                if let Action::Response(call) = event {
                    races.note(call);
                }
            }
        }
        races
    }

    /// Returns the first key whose history no order explains; nothing when the history is spoilt.
    pub fn unexplained(self) -> Option<(usize, Vec<Event>)> {
        if self.1.into_inner() {
            return None;
        }
        let keys = self.0.into_iter().map(|events| events.into_inner().expect("no writer fails")).enumerate();
        keys.filter(|(_, events)| !events.is_empty())
            .find(|(_, events)| !WGLChecker::<Pair>::is_linearizable(History::from_actions(events.clone())))
    }
}

mod tests {
    use super::*;

    fn explained(events: &[(usize, Option<Call>)]) -> bool {
        let recorder = Recorder::new(1);
        for (caller, call) in events {
            match call {
                None => recorder.called(*caller, 0),
                Some(call) => recorder.answered(*caller, 0, call.clone()),
            }
        }
        recorder.unexplained().is_none()
    }

    fn put(number: u64, revision: i64) -> Call {
        Call::Put { side: 0, number, want: Want::Any, done: Some((revision, number)) }
    }

    fn get(found: Option<Seen>) -> Call {
        Call::Get { side: 0, found }
    }

    #[test]
    fn calls_at_the_same_time_may_come_in_either_order() {
        for found in [None, Some((7, 1))] {
            let events = [(0, None), (1, None), (1, Some(get(found))), (0, Some(put(7, 1)))];
            assert!(explained(&events), "{found:?}");
        }
    }

    #[test]
    fn what_was_acknowledged_is_seen_by_who_asks_later() {
        let events = |found| [(0, None), (0, Some(put(7, 1))), (1, None), (1, Some(get(found)))];
        assert!(explained(&events(Some((7, 1)))));
        assert!(!explained(&events(None)));
        assert!(!explained(&events(Some((8, 1)))));
    }

    #[test]
    fn what_one_has_seen_no_other_unsees() {
        let put = [(0, None), (1, None), (1, Some(get(Some((7, 1))))), (2, None)];
        let end = |found| [(2, Some(get(found))), (0, Some(self::put(7, 1)))];
        assert!(explained(&[&put[..], &end(Some((7, 1)))].concat()));
        assert!(!explained(&[&put[..], &end(None)].concat()));
    }

    #[test]
    fn revisions_rise_and_expectations_hold() {
        assert!(!explained(&[(0, None), (0, Some(put(7, 2))), (0, None), (0, Some(put(8, 2)))]));
        let absent = Call::Put { side: 0, number: 8, want: Want::Absent, done: Some((3, 8)) };
        assert!(!explained(&[(0, None), (0, Some(put(7, 2))), (0, None), (0, Some(absent))]));
        let refused = Call::Put { side: 0, number: 8, want: Want::At(2), done: None };
        assert!(!explained(&[(0, None), (0, Some(put(7, 2))), (0, None), (0, Some(refused))]));
        let both = Call::PutBoth { number: 7, want: [Want::Absent; 2], done: Some((1, 7)) };
        let torn = Call::GetBoth { found: Some([(7, 1), (7, 2)]) };
        assert!(!explained(&[(0, None), (0, Some(both)), (0, None), (0, Some(torn))]));
    }
}
