//! A stream of plans of any length: several messages are worked on at once, answers go out in order, and what is held in
//! memory does not grow with the stream.
//!
//! A caller on the wire may not read its answers: its messages are worked on in pieces, each with an answer of few bytes, so
//! that little has been made when nobody takes it. A caller in this process has its messages worked on whole.

use std::cell::RefCell;
use std::collections::VecDeque;
use std::sync::Arc;
use std::sync::atomic::AtomicUsize;

use baybook_core::model::policy::Policy;
use baybook_core::model::upfit::{Twin, Upfit};
use baybook_core::rules::{self, Report};
use baybook_proto::v1 as pb;
use prost::Message as _;
use tokio::task::JoinHandle;

use super::look::{Look, Memory};
use super::tally::{Part, Tally};
use super::twins::{Mark, Marker, Twins};
use crate::api::{Answering, Asking, at_least};
use crate::book::catalog::View;
use crate::embed::Message;
use crate::error::ApiError;
use crate::limits::Limits;
use crate::service::State;
use crate::wire::report::{report_to_wire, view_from_wire};
use crate::wire::{Fields, plan_in};

/// Plans judged together, rule by rule.
const TOGETHER: usize = 16;

/// Plans checked before others on the same thread get their turn.
const TURN: usize = 64;

/// Plans in one piece at most, and bytes that the answer to one takes until some have been answered.
const PIECE: usize = 256;
const PLAN_BYTES: usize = 1 << 10;

/// What a message takes around its results, and a result around its report.
const FRAME_BYTES: usize = 64;

/// What every task of one stream shares.
struct Run {
    book: View,
    view: pb::ReportView,
    policy: Option<Arc<Policy>>,
    limits: Limits,
    searches: AtomicUsize,
    /// Bytes of the answer to one piece, after which the rest of it is another piece; nothing for messages that are worked on
    /// whole.
    piece_bytes: Option<usize>,
}

/// What one task has to do.
enum Work {
    /// A message, which may still be to be made.
    Whole(Message<pb::CheckUpfitsRequest>),
    /// Some plans of a message.
    Piece(Piece),
}

/// Some plans of a message.
struct Piece {
    plans: Vec<pb::NumberedPlan>,
    /// The place of the first of them in its message.
    first: usize,
    numbers: Numbers,
}

/// The first and the last number of the plans of a message, told with its first piece.
type Numbers = Result<Option<(i64, i64)>, ApiError>;

/// The answers to one piece, unless it breaks the rules of the stream.
struct Done {
    messages: Vec<Vec<pb::CheckedPlan>>,
    /// The plans, in case that one of them must be judged again beside an earlier one.
    plans: Vec<pb::NumberedPlan>,
    first: usize,
    /// Plans that are another piece, because the answer has become long.
    rest: Vec<pb::NumberedPlan>,
    /// What of each plan is compared with others.
    marks: Vec<Option<Mark>>,
    numbers: Numbers,
    bytes: usize,
    part: Part,
    memory: Memory,
}

/// A task that ends with its stream.
struct Task(JoinHandle<Done>);

impl Drop for Task {
    fn drop(&mut self) {
        self.0.abort();
    }
}

pub(super) async fn check_all(
    state: Arc<State>,
    mut asking: Asking<pb::CheckUpfitsRequest>,
    answering: Answering<pb::CheckUpfitsResponse>,
) -> Result<(), ApiError> {
    let mut first = asking.next().await?;
    let mut more = first.is_some();
    let settings = first.as_mut().and_then(|message| message.settings.take()).unwrap_or_default();
    let mut next = first.map(Message::Ready);
    let run = Arc::new(run(&state, &settings, answering.is_held())?);
    let revision = run.book.revision().to_wire();
    let mut tally = Tally::new();
    let mut vehicles = Twins::new(state.limits.stream_vins);
    let mut memories: Vec<Memory> = Vec::new();
    let mut tasks: VecDeque<Task> = VecDeque::new();
    let mut pieces: VecDeque<Work> = VecDeque::new();
    let (mut last, mut plan_bytes) = (None, PLAN_BYTES);
    loop {
        if let Some(message) = next.take() {
            run.cut(message, plan_bytes, &mut pieces);
        }
        while tasks.len() < state.limits.stream_messages
            && let Some(work) = pieces.pop_front()
        {
            let memory = memories.pop().unwrap_or_default();
            tasks.push_back(Task(tokio::spawn(check_some(Arc::clone(&run), work, memory))));
        }
        let full = tasks.len() >= state.limits.stream_messages;
        let done = match tasks.front_mut() {
            // Neither a message nor an answer is lost when the other one comes first.
            Some(task) if more && !full => tokio::select! {
                done = &mut task.0 => Some(done),
                message = asking.next_to_make() => {
                    next = message?;
                    more = next.is_some();
                    None
                }
            },
            Some(task) => Some((&mut task.0).await),
            None if more => {
                next = asking.next_to_make().await?;
                more = next.is_some();
                None
            }
            None => break,
        };
        if let Some(done) = done {
            tasks.pop_front();
            let mut done =
                done.map_err(|error| ApiError::Fault { why: format!("a plan could not be checked: {error}") })?;
            if let Some((first, newest)) = std::mem::replace(&mut done.numbers, Ok(None))? {
                follows(first, last, 0)?;
                last = Some(newest);
            }
            let rest = std::mem::take(&mut done.rest);
            if !rest.is_empty() {
                let piece = Piece { first: done.first + done.plans.len(), plans: rest, numbers: Ok(None) };
                let (run, memory) = (Arc::clone(&run), memories.pop().unwrap_or_default());
                tasks.push_front(Task(tokio::spawn(check_some(run, Work::Piece(piece), memory))));
            }
            plan_bytes = done.bytes / done.plans.len().max(1);
            // Only here, where answers stand in order, is it known which plans came before; twins are rare, so all of them
            // are judged again.
            let twins = vehicles.find(&done.plans, &done.marks);
            if !twins.is_empty() {
                done = check_plans(&run, (done.plans, done.first), (&twins, None), done.memory).await;
            }
            tally.add(&done.part);
            memories.push(done.memory);
            for results in done.messages {
                answering.send(pb::CheckUpfitsResponse { results, revision, summary: None }).await?;
            }
        }
    }
    let mut summary = tally.finish();
    vehicles.finish(&mut summary);
    let summary = Some(summary);
    answering.send(pb::CheckUpfitsResponse { results: Vec::new(), revision, summary }).await
}

impl Run {
    /// Cuts a message into pieces, for plans that are each answered with so many bytes.
    fn cut(&self, message: Message<pb::CheckUpfitsRequest>, plan_bytes: usize, pieces: &mut VecDeque<Work>) {
        let Some(piece_bytes) = self.piece_bytes else {
            pieces.push_back(Work::Whole(message));
            return;
        };
        let message = message.made();
        let mut numbers = numbers(&message, &self.limits);
        if numbers.is_err() {
            pieces.push_back(Work::Piece(Piece { plans: Vec::new(), first: 0, numbers }));
            return;
        }
        let size = (piece_bytes / plan_bytes.max(1)).clamp(1, PIECE).next_multiple_of(TOGETHER);
        let (mut plans, mut first) = (message.plans.into_iter(), 0);
        while first == 0 || plans.len() > 0 {
            let plans: Vec<_> = plans.by_ref().take(size).collect();
            let numbers = std::mem::replace(&mut numbers, Ok(None));
            let length = plans.len();
            pieces.push_back(Work::Piece(Piece { plans, first, numbers }));
            first += length.max(1);
        }
    }
}

fn run(state: &Arc<State>, settings: &pb::CheckSettings, in_pieces: bool) -> Result<Run, ApiError> {
    let book = state.catalog.view();
    at_least(settings.min_revision, book.revision())?;
    let mut fields = Fields::default();
    let (view, policy) = fields.under("settings", |fields| {
        let view = view_from_wire("view", settings.view, fields);
        (view, fields.entry::<Policy>("policy", settings.policy.as_ref(), &book))
    });
    let view = fields.finish(view)?;
    let searches = AtomicUsize::new(state.limits.stream_nearest);
    let piece_bytes = in_pieces.then_some(state.limits.stream_answer_bytes);
    Ok(Run { book, view, policy, limits: state.limits.clone(), searches, piece_bytes })
}

/// Holds a message to the rules of the stream, and returns the first and the last number of its plans. What breaks them
/// ends the stream, for no later answer could be told apart.
fn numbers(message: &pb::CheckUpfitsRequest, limits: &Limits) -> Result<Option<(i64, i64)>, ApiError> {
    if message.settings.is_some() {
        return Err(ApiError::field("settings", "must come on the first message only"));
    }
    if message.plans.len() > limits.message_plans {
        let (max, is) = (limits.message_plans as u64, message.plans.len() as u64);
        return Err(ApiError::OverLimit { limit: "message_plans", max, is, unit: "plans in one message" });
    }
    let mut last = None;
    for (index, plan) in message.plans.iter().enumerate() {
        follows(plan.seq, last, index)?;
        last = Some(plan.seq);
    }
    Ok(message.plans.first().map(|plan| plan.seq).zip(last))
}

/// Holds the number of a plan against the one before it.
fn follows(seq: i64, last: Option<i64>, index: usize) -> Result<(), ApiError> {
    match last {
        Some(before) if seq <= before => {
            let text = format!("must be greater than the number before it, {before}, is {seq}");
            Err(ApiError::field(format!("plans[{index}].seq"), text))
        }
        _ => Ok(()),
    }
}

async fn check_some(run: Arc<Run>, work: Work, memory: Memory) -> Done {
    // What is spawned last waits for the thread that spawned it, and no other may take it, while others may have nothing to
    // do. Whoever has yielded once waits where all may take it.
    tokio::task::yield_now().await;
    let Piece { plans, first, numbers } = match work {
        Work::Piece(piece) => piece,
        Work::Whole(message) => {
            let message = message.made();
            let numbers = numbers(&message, &run.limits);
            Piece { plans: if numbers.is_ok() { message.plans } else { Vec::new() }, first: 0, numbers }
        }
    };
    let mut marker = Marker::new();
    let mut marks: Vec<_> = plans.iter().map(|numbered| marker.mark(numbered.plan.as_deref()?)).collect();
    let done = check_plans(&run, (plans, first), (&[], run.piece_bytes), memory).await;
    marks.truncate(done.plans.len());
    Done { numbers, marks, ..done }
}

/// Checks plans, the first of which has that place in its message, until the answers take so many bytes; `twins` holds what
/// the plans before them say of each, or nothing at all.
async fn check_plans(
    run: &Run,
    (mut plans, first): (Vec<pb::NumberedPlan>, usize),
    (twins, most): (&[Option<Twin>], Option<usize>),
    mut memory: Memory,
) -> Done {
    let mut part = Part::new();
    let mut messages = Vec::new();
    let mut fields = Fields::default();
    let (mut results, mut bytes, mut all) = (Vec::with_capacity(plans.len()), 0, 0);
    let mut checked = plans.len();
    for (turn, some) in plans.chunks(TOGETHER).enumerate() {
        let begin = turn * TOGETHER;
        if most.is_some_and(|most| most <= all) {
            checked = begin;
            break;
        }
        if turn > 0 && begin.is_multiple_of(TURN) {
            tokio::task::yield_now().await;
        }
        let read = some.iter().enumerate().map(|(index, plan)| {
            let index = begin + index;
            let twin = twins.get(index).copied().flatten();
            read_one(run, plan, (first + index, twin), &mut memory, &mut fields)
        });
        let read: Vec<_> = read.collect();
        // One for each plan that could be read, in their order.
        let reports = run.judge(&read);
        let mut reports = reports.iter();
        for (numbered, read) in some.iter().zip(&read) {
            let answer = read.as_ref().map(|plan| (plan, reports.next()));
            let (checked, size) = write_one(run, numbered.seq, answer, &mut part);
            if bytes + size > run.limits.send_bytes && !results.is_empty() {
                messages.push(std::mem::take(&mut results));
                bytes = 0;
            }
            bytes += size;
            all += size;
            results.push(checked);
        }
    }
    if !results.is_empty() {
        messages.push(results);
    }
    let rest = plans.split_off(checked);
    Done { messages, plans, first, rest, marks: Vec::new(), numbers: Ok(None), bytes: all, part, memory }
}

impl Run {
    /// Judges the plans that could be read.
    fn judge(&self, plans: &[Result<Upfit, ApiError>]) -> Vec<Report> {
        let plans = plans.iter().flatten();
        match self.view {
            pb::ReportView::Summary => rules::check_briefly(&plans.collect::<Vec<_>>()),
            _ => plans.map(rules::check).collect(),
        }
    }
}

/// Makes of one plan on the wire what rules can judge.
fn read_one(
    run: &Run,
    numbered: &pb::NumberedPlan,
    (index, twin): (usize, Option<Twin>),
    memory: &mut Memory,
    fields: &mut Fields,
) -> Result<Upfit, ApiError> {
    let (names, searches) = (run.limits.stream_names, &run.searches);
    let look = Look { view: &run.book, memory: RefCell::new(memory), names, searches };
    let plan = fields.at("plans", index, |fields| match &numbered.plan {
        Some(plan) => plan_in(plan, &look, fields),
        None => fields.required("plan", None),
    });
    match plan {
        Some(mut plan) if fields.is_clean() => {
            if plan.policy.is_none() {
                plan.hold_against(run.policy.clone());
            }
            plan.twin = twin;
            Ok(plan)
        }
        _ => Err(ApiError::from(fields.error())),
    }
}

/// Writes the answer to one plan, and says how many bytes it takes at most.
fn write_one(
    run: &Run,
    seq: i64,
    answer: Result<(&Upfit, Option<&Report>), &ApiError>,
    part: &mut Part,
) -> (pb::CheckedPlan, usize) {
    let item = match answer {
        Ok((plan, Some(report))) => {
            let wire = report_to_wire(report, plan, run.view);
            let size = wire.encoded_len() + FRAME_BYTES;
            if size + FRAME_BYTES <= run.limits.send_bytes {
                part.report(seq, report);
                let outcome = Some(pb::checked_plan::Outcome::Report(wire));
                return (pb::CheckedPlan { seq, outcome }, size);
            }
            let (max, is) = (run.limits.send_bytes as u64, size as u64);
            ApiError::OverLimit { limit: "send_bytes", max, is, unit: "bytes in the report" }.item("")
        }
        Ok((_, None)) => ApiError::Fault { why: "a plan was not judged".to_owned() }.item(""),
        Err(error) => error.item(""),
    };
    part.unreadable(seq);
    let size = item.encoded_len() + FRAME_BYTES;
    (pb::CheckedPlan { seq, outcome: Some(pb::checked_plan::Outcome::Error(item)) }, size)
}
