//! Keeps count of what came back, and holds the service's own count against it.

use std::{collections::BTreeMap, fmt::Write as _, time::Instant};

use baybook_proto::v1 as pb;
use sha2::{Digest as _, Sha256};

use crate::fail::{Exit, Failure, Stop};

/// What came back so far.
pub struct Tally {
    answered: i64,
    unread: i64,
    digest: Sha256,
    line: String,
    revision: i64,
    summary: Option<pb::CheckSummary>,
    /// Plans by the policy they were held against: its name or label, and its revision.
    policies: BTreeMap<(String, i64), u64>,
    started: Instant,
}

impl Default for Tally {
    fn default() -> Self {
        Self {
            answered: 0,
            unread: 0,
            digest: Sha256::new(),
            line: String::new(),
            revision: 0,
            summary: None,
            policies: BTreeMap::new(),
            started: Instant::now(),
        }
    }
}

impl Tally {
    /// Counts an answer of the service.
    pub fn answer(&mut self, result: &pb::CheckedPlan) {
        self.answered += 1;
        self.line.clear();
        self.line.extend([&*result.seq.to_string(), " "]);
        match &result.outcome {
            Some(pb::checked_plan::Outcome::Report(report)) => {
                if let Some(policy) = &report.policy {
                    let name = if policy.name.is_empty() { &policy.label } else { &policy.name };
                    *self.policies.entry((name.clone(), policy.revision)).or_default() += 1;
                }
                self.line.push_str(match report.verdict() {
                    pb::Verdict::Clear => "CLEAR ",
                    pb::Verdict::Review => "REVIEW ",
                    pb::Verdict::Blocked => "BLOCKED ",
                    pb::Verdict::Unspecified => "? ",
                });
                for (at, finding) in report.findings.iter().enumerate() {
                    if 0 < at {
                        self.line.push(',');
                    }
                    self.line.push_str(&finding.rule);
                }
            }
            Some(pb::checked_plan::Outcome::Error(_)) | None => self.line.push_str("UNREADABLE "),
        }
        self.line.push('\n');
        self.digest.update(self.line.as_bytes());
    }

    /// Counts a row that was never sent.
    pub const fn unread(&mut self) {
        self.unread += 1;
    }

    /// Takes what each message says of the whole.
    pub fn end(&mut self, revision: i64, summary: Option<pb::CheckSummary>) {
        self.revision = revision;
        if summary.is_some() {
            self.summary = summary;
        }
    }

    /// Returns the book's revision that all answers read.
    pub const fn revision(&self) -> i64 {
        self.revision
    }

    /// Returns how many rows have come by.
    pub const fn seen(&self) -> i64 {
        self.answered + self.unread
    }

    /// Says at which revision, and how long it took.
    pub fn told(&self) -> String {
        format!("at book revision {} in {:.1} s", self.revision, self.started.elapsed().as_secs_f64())
    }

    /// Says which policies the plans were held against, one a line.
    pub fn policies(&self) -> Vec<String> {
        let told = self.policies.iter().map(|((name, revision), plans)| {
            let plans = if *plans == 1 { "1 plan".to_owned() } else { format!("{plans} plans") };
            format!("policy {name}, revision {revision}: {plans}")
        });
        told.collect()
    }

    /// Compares both counts, and returns the totals with the rows that were never sent.
    pub fn finish(&mut self) -> Result<pb::CheckSummary, Stop> {
        let lost = |why: String| {
            Failure::new(Exit::Fault, "the answers are not complete")
                .at("reply of the service", why)
                .next("try again; do not rely on what was printed")
        };
        let Some(mut summary) = self.summary.take() else {
            return Err(lost("it ended without its totals".to_owned()).into());
        };
        let digest = hexadecimal(&self.digest.clone().finalize());
        if summary.plan_count != self.answered || summary.digest != digest {
            let why = format!("it counts {} answers, {} arrived whole", summary.plan_count, self.answered);
            return Err(lost(why).into());
        }
        summary.plan_count += self.unread;
        summary.unreadable_count += self.unread;
        Ok(summary)
    }
}

fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().fold(String::with_capacity(bytes.len() * 2), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}
