//! Findings, and the sheet a rule writes them on.

use std::{borrow::Cow, fmt};

use super::figures::Unknown;
use crate::{
    basis::{Seen, Source},
    model::upfit::Upfit,
    rules::{Rule, Severity},
};

/// How near its limit a value is called near: half a hundredth of the limit. Common practice, no source.
pub const NEAR_SHARE: f64 = 0.005;

/// What one rule says about one field of a plan.
#[derive(Debug, Clone)]
pub struct Finding {
    /// The rule that speaks.
    pub rule: &'static Rule,
    /// How much it weighs here.
    pub severity: Severity,
    /// The field it is about, as a path of the plan on the wire: `joints[2].planned_torque`.
    pub subject: Cow<'static, str>,
    /// What is wrong, with value, limit and unit, fit to be read aloud. Loads are shown rounded up, ratings down.
    pub message: String,
    /// The value, unrounded, in `unit`.
    pub value: Option<f64>,
    /// The limit, unrounded, in `unit`.
    pub limit: Option<f64>,
    /// The unit suffix of the wire: `kg`, `mm`, `deg`, `kn`, `n_m`, `share`; empty when there is no number.
    pub unit: &'static str,
    /// Whether it is about an input that is missing rather than one that is wrong.
    pub unknown: bool,
    /// What to do next.
    pub remedy: &'static str,
    /// The source from memory that the limit or a figure behind the value rests on; such a finding never blocks.
    pub recalled: Option<Source>,
}

impl PartialEq for Finding {
    fn eq(&self, other: &Self) -> bool {
        self.rule.id == other.rule.id
            && self.severity == other.severity
            && self.subject == other.subject
            && self.message == other.message
            && self.value == other.value
            && self.limit == other.limit
            && self.unit == other.unit
            && self.unknown == other.unknown
            && self.remedy == other.remedy
    }
}

impl Finding {
    /// Returns by which share of its limit the value misses it; zero when there are no two numbers to compare.
    #[must_use]
    pub fn overshoot(&self) -> f64 {
        match (self.value, self.limit) {
            (Some(value), Some(limit)) if limit != 0.0 => ((value - limit) / limit).abs(),
            (Some(_), Some(_)) => f64::INFINITY,
            _ => 0.0,
        }
    }

    /// Returns whether it says the same of the same field, whatever the words.
    fn is_same_but_for_words(&self, other: &Self) -> bool {
        self.severity == other.severity
            && self.subject == other.subject
            && self.value == other.value
            && self.limit == other.limit
            && self.unknown == other.unknown
    }

    /// Takes over the words of the one among these that says the same.
    pub fn take_words(&mut self, from: Vec<Self>) -> bool {
        let same = from.into_iter().find(|other| self.is_same_but_for_words(other));
        same.map(|other| self.message = other.message).is_some()
    }

    /// Returns whether a rule over the chain of links made it.
    #[must_use]
    pub fn is_weakest_link(&self) -> bool {
        self.rule.id.starts_with("weakest-link-")
    }
}

/// A value and the limit it is held against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Against {
    /// The value.
    pub value: f64,
    /// The limit.
    pub limit: f64,
    /// The unit of both, as a suffix of the wire.
    pub unit: &'static str,
}

impl Against {
    /// Pairs a value with its limit.
    #[must_use]
    pub const fn new(value: f64, limit: f64, unit: &'static str) -> Self {
        Self { value, limit, unit }
    }

    /// Returns whether the value keeps its limit but by no more than that share of it.
    #[must_use]
    pub fn is_within(&self, share: f64) -> bool {
        (self.value - self.limit).abs() <= share * self.limit.abs()
    }
}

/// A value that keeps its limit only just.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Near {
    /// The field.
    pub subject: &'static str,
    /// The two numbers.
    pub against: Against,
}

/// The sheet the rules write on, one after the other.
#[derive(Debug, Default)]
pub struct Findings {
    rule: Option<&'static Rule>,
    list: Vec<Finding>,
    near: Vec<Near>,
    /// How near its limit a value is noted, where a policy asks for more than [`NEAR_SHARE`].
    noted: Option<f64>,
    /// Whether messages are left empty.
    brief: bool,
    /// What the next finding rests on besides its rule's own source.
    resting: Option<Source>,
}

impl Findings {
    /// Starts a sheet on which every message is left empty: writing them out takes as long as finding them.
    #[must_use]
    pub fn briefly() -> Self {
        Self { brief: true, list: Vec::with_capacity(8), ..Self::default() }
    }

    /// Notes values that lie as near their limit as the plan's policy asks for, when that is more than the usual share.
    #[must_use]
    pub fn noting_for(self, plan: &Upfit) -> Self {
        let Some(policy) = plan.policy.as_deref() else { return self };
        let share = policy.near_share.into_iter().chain(policy.rating_margin).fold(0.0, f64::max);
        Self { noted: (NEAR_SHARE < share).then_some(share), ..self }
    }

    /// Returns the values that keep their limit only just, as noted so far.
    pub fn kept(&self) -> impl Iterator<Item = Near> + use<> {
        self.near.clone().into_iter()
    }

    /// Hands the sheet to the next rule.
    pub fn begin(&mut self, rule: &'static Rule) {
        self.rule = Some(rule);
    }

    /// Gives up the findings, in the order they were made.
    #[must_use]
    pub fn into_list(self) -> Vec<Finding> {
        self.list
    }

    /// Takes the values that keep their limit only just, as noted so far.
    #[must_use]
    pub fn take_near(&mut self) -> Vec<Near> {
        std::mem::take(&mut self.near)
    }

    /// Says what the next finding rests on besides its rule's own source: a figure that nobody looked up must not stop a
    /// job on its own word either.
    pub fn resting_on(&mut self, figure: Option<Source>) -> &mut Self {
        self.resting = figure;
        self
    }

    /// Reports a breach without numbers, at the rule's own severity.
    pub fn add(&mut self, subject: impl Into<Cow<'static, str>>, message: fmt::Arguments<'_>) {
        self.push(None, subject.into(), message, None, false);
    }

    /// Reports something lighter or heavier than the rule's own severity.
    pub fn add_as(&mut self, severity: Severity, subject: impl Into<Cow<'static, str>>, message: fmt::Arguments<'_>) {
        self.push(Some(severity), subject.into(), message, None, false);
    }

    /// Reports a breach with its two numbers, at the rule's own severity.
    pub fn breach(&mut self, subject: impl Into<Cow<'static, str>>, against: Against, message: fmt::Arguments<'_>) {
        self.push(None, subject.into(), message, Some(against), false);
    }

    /// Reports a breach with its two numbers at another severity.
    pub fn breach_as(
        &mut self,
        severity: Severity,
        subject: impl Into<Cow<'static, str>>,
        against: Against,
        message: fmt::Arguments<'_>,
    ) {
        self.push(Some(severity), subject.into(), message, Some(against), false);
    }

    /// Notes a value that keeps its limit, in case it does so only just.
    pub fn keeps(&mut self, subject: &'static str, against: Against) {
        if against.is_within(self.noted.unwrap_or(NEAR_SHARE)) {
            self.near.push(Near { subject, against });
        }
    }

    /// Reports a missing input: never less than a review. The second word on the same field is dropped unless it
    /// weighs more, so that one missing number does not fill the page.
    pub fn unknown(&mut self, unknown: Unknown, by: &'static str) {
        self.say_unknown(Severity::Review, unknown, by);
    }

    /// Reports a missing limit: it weighs as much as breaking it, and never less than a review.
    pub fn no_limit(&mut self, unknown: Unknown, by: &'static str) {
        let own = self.rule.map_or(Severity::Review, |rule| rule.severity);
        self.say_unknown(own.max(Severity::Review), unknown, by);
    }

    /// Reports something nobody has answered or planned yet, in words of its own: at least a review.
    pub fn open_question(&mut self, subject: impl Into<Cow<'static, str>>, message: fmt::Arguments<'_>) {
        let own = self.rule.map_or(Severity::Review, |rule| rule.severity);
        self.push(Some(own.max(Severity::Review)), subject.into(), message, None, true);
    }

    /// Reports something nobody has answered yet under a rule that blocks what is answered wrong: a review, no more.
    pub fn unknown_as_review(&mut self, subject: impl Into<Cow<'static, str>>, message: fmt::Arguments<'_>) {
        self.push(Some(Severity::Review), subject.into(), message, None, true);
    }

    fn say_unknown(&mut self, severity: Severity, unknown: Unknown, by: &'static str) {
        let severity = match self.rule {
            Some(rule) if rule.source.seen == Seen::FromMemory => severity.min(Severity::Review),
            _ => severity,
        };
        let subject = unknown.path();
        if self.list.iter().any(|old| old.unknown && old.severity >= severity && old.subject == subject) {
            return;
        }
        let named = subject.clone();
        self.push(Some(severity), subject, format_args!("{named} {}; it is needed for {by}", unknown.why), None, true);
    }

    fn push(
        &mut self,
        severity: Option<Severity>,
        subject: Cow<'static, str>,
        message: fmt::Arguments<'_>,
        against: Option<Against>,
        unknown: bool,
    ) {
        let Some(rule) = self.rule else { return };
        let wanted = severity.unwrap_or(rule.severity);
        let figure = self.resting.take();
        let recalled = [Some(rule.source), figure].into_iter().flatten().find(|source| source.seen == Seen::FromMemory);
        let recalled = recalled.filter(|_| !unknown);
        let from_memory = recalled.is_some();
        // A limit nobody looked up must not stop a job on its own word: a person confirms it first.
        let severity = if from_memory { wanted.min(Severity::Review) } else { wanted };
        let message = if self.brief {
            String::new()
        } else if from_memory && wanted >= Severity::Review {
            let title = recalled.map_or("", |source| source.title);
            let what = if rule.source.seen == Seen::FromMemory { "limit" } else { "figure" };
            format!("{message} ({what} from memory of {title}, confirm)")
        } else {
            message.to_string()
        };
        self.list.push(Finding {
            rule,
            severity,
            subject,
            message,
            value: against.map(|a| a.value),
            limit: against.map(|a| a.limit),
            unit: against.map_or("", |a| a.unit),
            unknown,
            remedy: rule.remedy,
            recalled,
        });
    }
}
