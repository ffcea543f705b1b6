//! What single change would silence a finding: tried on a copy of the plan, by asking the rules again.

use std::sync::Arc;

use crate::{
    model::{
        bed::BedCoupling,
        coupling::{Ball, BallMount, Coupler},
        fastener::Bolt,
        receiver::Receiver,
        upfit::{TongueLoad, Upfit},
    },
    rules::{
        Finding, Report, Rolls, Severity, Verdict, check, check_rolled,
        examples::{Difference, between, last_kept},
    },
    units::{Length, Mass, Torque},
};

/// What the book holds that could be fitted instead.
#[derive(Debug, Clone, Default)]
pub struct Stock {
    /// Receivers.
    pub receivers: Vec<Arc<Receiver>>,
    /// Ball mounts.
    pub ball_mounts: Vec<Arc<BallMount>>,
    /// Balls.
    pub balls: Vec<Arc<Ball>>,
    /// Couplers.
    pub couplers: Vec<Arc<Coupler>>,
    /// Couplings in the bed.
    pub bed_couplings: Vec<Arc<BedCoupling>>,
    /// Bolts.
    pub bolts: Vec<Arc<Bolt>>,
}

/// One change that silences a finding.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// What to change, fit to be read aloud: `cargo: 400 kg to at most 307.1 kg`.
    pub text: String,
    /// The fields that differ; nothing for a part of the book, which the text names.
    pub differences: Vec<Difference>,
    /// The verdict of the whole plan afterwards.
    pub verdict: Verdict,
}

/// How many parts of one kind are named.
const PARTS_SHOWN: usize = 3;

/// Returns the changes that silence a finding, the most thorough first: those that leave the best verdict.
pub(super) fn clearing(
    plan: &Upfit,
    report: &Report,
    finding: &Finding,
    stock: &Stock,
    rolls: Option<&Rolls>,
) -> Vec<Change> {
    let asked = Asked { plan, report, finding, rolls };
    let mut found = Vec::new();
    asked.loads(&mut found);
    asked.torque(&mut found);
    asked.parts(stock, &mut found);
    super::wiring::changes(&asked, &mut found);
    found.sort_by_key(|change| change.verdict);
    found
}

/// A finding of a plan, to be silenced.
pub(super) struct Asked<'a> {
    pub(super) plan: &'a Upfit,
    report: &'a Report,
    pub(super) finding: &'a Finding,
    /// What is known of rolling it; nothing: every change is judged in full.
    rolls: Option<&'a Rolls>,
}

impl Asked<'_> {
    /// Whether a report no longer holds the finding and holds nothing heavier that the first one did not.
    fn is_cleared(&self, after: &Report) -> bool {
        let own = |report: &Report| {
            let same = report
                .findings
                .iter()
                .filter(|f| f.rule.id == self.finding.rule.id && f.subject == self.finding.subject);
            same.map(|f| f.severity).max()
        };
        let gone = own(after) < Some(self.finding.severity);
        gone && after.findings.iter().all(|new| {
            new.severity < Severity::Review
                || self
                    .report
                    .findings
                    .iter()
                    .any(|old| old.rule.id == new.rule.id && old.subject == new.subject && new.severity <= old.severity)
        })
    }

    /// Makes a change; returns the plan and its report when it clears the finding.
    ///
    /// Rolling over the terrains takes longer than all other rules together. Without them a plan has the same findings but
    /// for theirs, so a change that clears nothing then is not rolled at all. Only where the terrains already say that
    /// something is unknown might another rule say it in their stead.
    fn cleared(&self, change: &dyn Fn(&mut Upfit)) -> Option<(Upfit, Report)> {
        let mut plan = self.plan.clone();
        change(&mut plan);
        let unknown = |finding: &Finding| finding.unknown && finding.rule.id == "terrain-touch";
        if self.rolls.is_some() && !plan.terrains.is_empty() && !self.report.findings.iter().any(unknown) {
            let terrains = std::mem::take(&mut plan.terrains);
            if !self.is_cleared(&check(&plan)) {
                return None;
            }
            plan.terrains = terrains;
        }
        let report = check_rolled(&plan, self.rolls);
        self.is_cleared(&report).then_some((plan, report))
    }

    /// Keeps a change when it clears the finding, and says whether it does.
    pub(super) fn keep(&self, text: String, change: &dyn Fn(&mut Upfit), found: &mut Vec<Change>) -> bool {
        let Some((after, report)) = self.cleared(change) else { return false };
        found.push(Change { text, differences: between(self.plan, &after), verdict: report.verdict });
        true
    }

    /// Turns a number from what it is towards an end that may clear the finding, and keeps the least turn that does.
    pub(super) fn turn(
        &self,
        from: f64,
        to: f64,
        what: &str,
        unit: &str,
        set: &dyn Fn(&mut Upfit, f64),
        found: &mut Vec<Change>,
    ) {
        let holds = |value: f64| self.cleared(&|plan| set(plan, value)).is_some();
        // The way may be clear only in a window between the two ends, such as a torque neither slack nor over proof.
        const STEPS: u32 = 40;
        let mut before = from;
        for step in 1..=STEPS {
            let value = from + (to - from) * f64::from(step) / f64::from(STEPS);
            if holds(value) {
                let exact = last_kept(before, value, holds);
                // Three decimals are what is shown; rounded towards the clear side, so that it still clears.
                let shown = if to < from { (exact * 1000.0).floor() } else { (exact * 1000.0).ceil() } / 1000.0;
                let at = |value: f64| self.cleared(&|plan| set(plan, value)).map(|found| (value, found));
                let Some((last, (after, report))) = at(shown).or_else(|| at(exact)) else { return };
                let word = if to < from { "at most" } else { "at least" };
                found.push(Change {
                    text: format!("{what}: {} {unit} to {word} {} {unit}", round(from), round(last)),
                    differences: between(self.plan, &after),
                    verdict: report.verdict,
                });
                return;
            }
            before = value;
        }
    }

    fn loads(&self, found: &mut Vec<Change>) {
        for (index, item) in self.plan.items.iter().enumerate() {
            let Some(mass) = item.mass.filter(|mass| Mass::ZERO < *mass) else { continue };
            let set = |plan: &mut Upfit, value: f64| {
                if let Some(item) = plan.items.get_mut(index) {
                    item.mass = Some(Mass::from_kg(value));
                }
            };
            self.turn(mass.kg(), 0.0, &format!("less {}", item.label), "kg", &set, found);
        }
        if let Ok(tongue) = self.report.figures.tongue {
            let set = |plan: &mut Upfit, value: f64| plan.tongue = Some(TongueLoad::Load(Mass::from_kg(value)));
            self.turn(tongue.kg(), 0.0, "lower tongue load", "kg", &set, found);
            let most = self.report.figures.trailer_mass.map_or(tongue, |trailer| trailer * 0.25);
            if tongue < most {
                self.turn(tongue.kg(), most.kg(), "higher tongue load", "kg", &set, found);
            }
        }
        if let Some(trailer) = self.plan.trailer_mass {
            // The tongue load stays the share of the trailer that it is.
            let share = self.report.figures.tongue_share.ok();
            let set = |plan: &mut Upfit, value: f64| {
                plan.trailer_mass = Some(Mass::from_kg(value));
                if let Some(share) = share {
                    plan.tongue = Some(TongueLoad::Share(share));
                }
            };
            self.turn(trailer.kg(), 0.0, "lighter trailer, loaded alike", "kg", &set, found);
        }
        if let Some(drop) = self.plan.ball_mount.as_deref().and_then(|mount| mount.drop) {
            let set = |plan: &mut Upfit, value: f64| {
                if let Some(mount) = &mut plan.ball_mount {
                    Arc::make_mut(mount).drop = Some(Length::from_mm(value));
                }
            };
            self.turn(drop.mm(), drop.mm() - 250.0, "ball mount with less drop", "mm", &set, found);
            self.turn(drop.mm(), drop.mm() + 250.0, "ball mount with more drop", "mm", &set, found);
        }
    }

    fn torque(&self, found: &mut Vec<Change>) {
        for (index, joint) in self.plan.joints.iter().enumerate() {
            // A torque matters to its own joint alone.
            if !self.finding.subject.starts_with(&format!("joints[{index}]")) {
                continue;
            }
            let Some(torque) = joint.planned_torque else { continue };
            let set = |plan: &mut Upfit, value: f64| {
                if let Some(joint) = plan.joints.get_mut(index) {
                    joint.planned_torque = Some(Torque::from_n_m(value));
                }
            };
            let what = format!("torque of joint {}", joint.id);
            self.turn(torque.n_m(), 0.0, &what, "N·m", &set, found);
            self.turn(torque.n_m(), torque.n_m() * 3.0, &what, "N·m", &set, found);
        }
    }

    /// Tries every part of the book in the place of the planned one.
    fn part<T>(
        &self,
        stock: &[Arc<T>],
        kind: &str,
        label: impl Fn(&T) -> (&str, &str),
        put: impl Fn(&mut Upfit, &Arc<T>),
        found: &mut Vec<Change>,
    ) {
        let mut shown: Vec<Change> = Vec::new();
        for part in stock {
            if let Some((_, report)) = self.cleared(&|plan| put(plan, part)) {
                let (name, words) = label(part);
                let text = format!("{kind} {name} ({words})");
                shown.push(Change { text, differences: Vec::new(), verdict: report.verdict });
            }
        }
        shown.sort_by_key(|change| change.verdict);
        shown.truncate(PARTS_SHOWN);
        found.append(&mut shown);
    }

    fn parts(&self, stock: &Stock, found: &mut Vec<Change>) {
        let put = |plan: &mut Upfit, part: &Arc<Receiver>| plan.receiver = Some(Arc::clone(part));
        let fitting: Vec<_> =
            stock.receivers.iter().filter(|one| one.fit_for(&self.plan.vehicle.name).is_some()).cloned().collect();
        self.part(&fitting, "another receiver:", |one| (&one.name, &one.label), put, found);
        let put = |plan: &mut Upfit, part: &Arc<BallMount>| plan.ball_mount = Some(Arc::clone(part));
        self.part(&stock.ball_mounts, "another ball mount:", |one| (&one.name, &one.label), put, found);
        let put = |plan: &mut Upfit, part: &Arc<Ball>| plan.ball = Some(Arc::clone(part));
        self.part(&stock.balls, "another ball:", |one| (&one.name, &one.label), put, found);
        let put = |plan: &mut Upfit, part: &Arc<BedCoupling>| plan.bed_coupling = Some(Arc::clone(part));
        let fitting = stock.bed_couplings.iter().filter(|one| one.fit_for(&self.plan.vehicle.name).is_some());
        let fitting: Vec<_> = fitting.filter(|_| self.plan.hangs_in_bed()).cloned().collect();
        self.part(&fitting, "another coupling in the bed:", |one| (&one.name, &one.label), put, found);
        let put = |plan: &mut Upfit, part: &Arc<Coupler>| plan.coupler = Some(Arc::clone(part));
        self.part(&stock.couplers, "another coupler:", |one| (&one.name, &one.label), put, found);
        for index in 0..self.plan.joints.len() {
            if self.finding.subject.starts_with(&format!("joints[{index}]")) {
                let put = |plan: &mut Upfit, part: &Arc<Bolt>| {
                    if let Some(joint) = plan.joints.get_mut(index) {
                        joint.bolt = Some(Arc::clone(part));
                    }
                };
                self.part(&stock.bolts, "another bolt:", |one| (&one.name, &one.label), put, found);
            }
        }
    }
}

pub(super) fn round(value: f64) -> String {
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
