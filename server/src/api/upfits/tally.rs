//! What a batch comes to: counts by verdict and by rule, and a digest of every answer.

use baybook_core::rules::{Finding, RULES, Report, Severity, Verdict};
use baybook_proto::v1 as pb;
use sha2::{Digest as _, Sha256};

use crate::api::page::hex;

/// The count of one rule: plans it blocked, sent to a person, warned of.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
struct Count {
    block: i64,
    review: i64,
    note: i64,
}

/// What some of the plans of a batch come to.
#[derive(Debug, Clone)]
pub(super) struct Part {
    clear: i64,
    review: i64,
    blocked: i64,
    unreadable: i64,
    rules: Vec<Count>,
    lines: String,
}

impl Part {
    pub(super) fn new() -> Self {
        let rules = vec![Count::default(); RULES.len()];
        Self { clear: 0, review: 0, blocked: 0, unreadable: 0, rules, lines: String::new() }
    }

    /// Takes in the report on a plan.
    pub(super) fn report(&mut self, seq: i64, report: &Report) {
        match report.verdict {
            Verdict::Clear => self.clear += 1,
            Verdict::Review => self.review += 1,
            Verdict::Blocked => self.blocked += 1,
        }
        self.lines.extend([&*seq.to_string(), " ", report.verdict.word(), " "]);
        let mut gap = "";
        for finding in &report.findings {
            self.lines.push_str(gap);
            self.lines.push_str(finding.rule.id);
            gap = ",";
        }
        self.lines.push('\n');
        // The findings of one rule stand together and in the order of the rule book, so one walk finds them all.
        let mut at = 0;
        for own in report.findings.chunk_by(|a, b| std::ptr::eq(a.rule, b.rule)) {
            let Some(heaviest) = own.iter().map(|finding| finding.severity).max() else { continue };
            at = place(own, at);
            let Some(count) = self.rules.get_mut(at) else { continue };
            match heaviest {
                Severity::Block => count.block += 1,
                Severity::Review => count.review += 1,
                Severity::Warn | Severity::Info => count.note += 1,
            }
        }
    }

    /// Takes in a plan that could not be read.
    pub(super) fn unreadable(&mut self, seq: i64) {
        self.unreadable += 1;
        self.lines.extend([&*seq.to_string(), " UNREADABLE \n"]);
    }
}

/// Where the rule of some findings stands in the rule book, looking from `from` on first.
fn place(findings: &[Finding], from: usize) -> usize {
    let is = |at: &usize| findings.first().is_some_and(|finding| std::ptr::eq(RULES[*at], finding.rule));
    (from..RULES.len()).find(is).or_else(|| (0..from.min(RULES.len())).find(is)).unwrap_or(RULES.len())
}

/// What the plans of a batch come to so far, in order.
pub(super) struct Tally {
    all: Part,
    digest: Sha256,
}

impl Tally {
    pub(super) fn new() -> Self {
        Self { all: Part::new(), digest: Sha256::new() }
    }

    /// Takes in the next plans.
    pub(super) fn add(&mut self, part: &Part) {
        self.all.clear += part.clear;
        self.all.review += part.review;
        self.all.blocked += part.blocked;
        self.all.unreadable += part.unreadable;
        for (all, more) in self.all.rules.iter_mut().zip(&part.rules) {
            all.block += more.block;
            all.review += more.review;
            all.note += more.note;
        }
        self.digest.update(&part.lines);
    }

    /// Returns the summary of the batch.
    pub(super) fn finish(self) -> pb::CheckSummary {
        let Part { clear, review, blocked, unreadable, rules, .. } = self.all;
        let spoke = RULES.iter().zip(rules).filter(|(_, count)| *count != Count::default());
        pb::CheckSummary {
            plan_count: clear + review + blocked + unreadable,
            clear_count: clear,
            review_count: review,
            blocked_count: blocked,
            unreadable_count: unreadable,
            rules: spoke
                .map(|(rule, count)| pb::RuleCount {
                    rule: rule.id.to_owned(),
                    block_count: count.block,
                    review_count: count.review,
                    note_count: count.note,
                })
                .collect(),
            digest: hex(&self.digest.finalize()),
            // What a batch knows of its vehicles is told by whoever compared them.
            twins: Vec::new(),
            twin_count: 0,
            vins_forgotten_count: 0,
        }
    }
}
