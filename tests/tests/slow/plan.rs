//! A whole plan judged a second time: masses, heights, angles and limits by other routes, and from them what the rules
//! must say and what the verdict must be.
//!
//! Nothing here asks the code under test. Axle loads are the reactions that balance forces and moments about a point off
//! the vehicle; limits of a chain of links are found by halving, asking every link at each mass; springs in series are a
//! system of equations; the laden body is turned until both hubs stand where their axles let them; an angle is raised
//! until the tangent of the tyre touches the point. Joints, rolling, circuits and the ranking of receivers have models of
//! their own beside this one.
//!
//! A figure may differ by [`NEAR`] of itself: sums of a dozen doubles and sixty halvings leave far less. A rule whose value
//! lies that near its limit may speak or not; all others must agree, and with them the verdict.

mod bed;
mod judge;
mod train;

use baybook_core::rules::{Figures, Severity, Verdict, check};
use rand::SeedableRng as _;
use rand_chacha::ChaCha8Rng;

use self::{judge::Judged, train::Train};
use crate::{cases, first_seed};

/// By which share of itself a figure may differ.
const NEAR: f64 = 1e-7;

fn near(one: f64, other: f64) -> bool {
    (one - other).abs() <= NEAR * one.abs().max(other.abs()).max(1.0)
}

/// Pairs every figure of the plan with ours; a figure that only one of them has is a difference.
fn figures(fast: &Figures, slow: &Judged) -> Vec<(&'static str, Option<f64>, Option<f64>)> {
    let axles = fast.axles.ok();
    let deg = |governed: baybook_core::rules::Known<baybook_core::calc::clearance::Governed>| {
        governed.ok().map(|governed| governed.angle.deg())
    };
    let sag = fast.sag.ok();
    let known: Vec<(&'static str, Option<f64>, f64)> = vec![
        ("front before", axles.map(|a| a.front_before.kg()), slow.before[0]),
        ("rear before", axles.map(|a| a.rear_before.kg()), slow.before[1]),
        ("front", axles.map(|a| a.front.kg()), slow.hitched[0]),
        ("rear", axles.map(|a| a.rear.kg()), slow.hitched[1]),
        ("gross", fast.gross.ok().map(|m| m.kg()), slow.gross),
        ("combination", fast.combination.ok().map(|m| m.kg()), slow.combination),
        ("payload used", fast.payload_used.ok().map(|m| m.kg()), slow.payload_used),
        ("payload allowed", fast.payload_allowed.ok().map(|m| m.kg()), slow.payload_allowed),
        ("tongue", fast.tongue.ok().map(|m| m.kg()), slow.tongue),
        ("tongue share", fast.tongue_share.ok(), slow.share),
        ("trailer axles", fast.trailer_axles.ok().map(|m| m.kg()), slow.trailer_axles),
        ("upfit", fast.upfit_mass.ok().map(|m| m.kg()), slow.upfit),
        ("added", fast.added_mass.ok().map(|m| m.kg()), slow.added),
        ("label", fast.added_mass_limit.ok().map(|m| m.kg()), slow.label),
        ("trailer limit", fast.trailer_limit.limit.map(|m| m.kg()), slow.trailer_limit),
        ("tongue limit", fast.tongue_limit.limit.map(|m| m.kg()), slow.tongue_limit),
        ("trailer limit at share", fast.trailer_limit_at_share.ok().map(|m| m.kg()), slow.limit_at_share),
        ("front tyres", fast.tyres_front.ok().map(|m| m.kg()), slow.tyres[0]),
        ("rear tyres", fast.tyres_rear.ok().map(|m| m.kg()), slow.tyres[1]),
        ("trailer tyres", fast.tyres_trailer.ok().map(|m| m.kg()), slow.tyres[2]),
        ("approach", deg(fast.unladen.approach), slow.unladen[0]),
        ("departure", deg(fast.unladen.departure), slow.unladen[1]),
        ("ramp", deg(fast.unladen.ramp), slow.unladen[2]),
        ("approach laden", deg(fast.laden.approach), slow.laden[0]),
        ("departure laden", deg(fast.laden.departure), slow.laden[1]),
        ("ramp laden", deg(fast.laden.ramp), slow.laden[2]),
        ("sinks in front", sag.map(|sag| sag.front.mm()), slow.sinks[0]),
        ("sinks behind", sag.map(|sag| sag.rear.mm()), slow.sinks[1]),
        ("sinks at the ball", sag.map(|sag| sag.at_ball.mm()), slow.sinks[2]),
    ];
    let mut all: Vec<_> = known.into_iter().map(|(what, fast, slow)| (what, fast, Some(slow))).collect();
    all.push(("lowest gear", fast.hitch_lowest.ok().map(|l| l.mm()), slow.lowest));
    let cab = fast.turning.cab_gap.and_then(Result::ok).map(|found| found.gap.mm());
    let rail = fast.rail_gap.and_then(Result::ok).map(|found| found.gap.mm());
    all.push(("behind the cab", cab, slow.rooms.map(|[cab, _]| cab)));
    all.push(("above the rails", rail, slow.rooms.map(|[_, rail]| rail)));
    all.push(("ball", fast.ball_height.ok().map(|l| l.mm()), slow.ball));
    all.push(("drop to level", fast.drop_to_level.ok().map(|l| l.mm()), slow.level_drop));
    if let Some(d) = slow.d_needed {
        all.push(("D", fast.d_required.and_then(Result::ok).map(|force| force.kn()), Some(d)));
    }
    all
}

/// Judges one seeded plan twice; returns how many rules lay too near a limit to tell.
fn both(seed: u64) -> usize {
    judged_alike(seed, &Train::random(&mut ChaCha8Rng::seed_from_u64(seed)))
}

fn judged_alike(seed: u64, train: &Train) -> usize {
    let fast = check(&train.plan());
    let slow = Judged::of(train);
    for (what, fast, slow) in figures(&fast.figures, &slow) {
        let agreed = match (fast, slow) {
            (Some(fast), Some(slow)) => near(fast, slow),
            (fast, slow) => fast.is_none() && slow.is_none(),
        };
        assert!(agreed, "seed {seed}: {what} is {fast:?}, {slow:?} by the slow model");
    }
    // What only comes near a limit is no breach, and is told by a rule of its own.
    let told: Vec<_> = fast.findings.iter().filter(|finding| finding.rule.id != "near-limit").collect();
    for finding in &told {
        let known = slow.said.iter().find(|said| said.rule == finding.rule.id);
        assert!(
            known.is_some_and(|said| said.unknown == finding.unknown),
            "seed {seed}: {}: {}",
            finding.rule.id,
            finding.message
        );
    }
    let mut open = 0;
    for said in &slow.said {
        let weight = told.iter().filter(|finding| finding.rule.id == said.rule).map(|finding| finding.severity).max();
        if said.open {
            open += 1;
        } else {
            assert_eq!(weight, said.weight, "seed {seed}: {}", said.rule);
        }
    }
    if open == 0 {
        let due = match slow.said.iter().filter_map(|said| said.weight).max() {
            Some(Severity::Block) => Verdict::Blocked,
            Some(Severity::Review) => Verdict::Review,
            _ => Verdict::Clear,
        };
        assert_eq!(fast.verdict, due, "seed {seed}");
    }
    open
}

/// Seeds that once told the two apart: tails that sink past what the ball's height is given for, and in Europe two rules
/// that both need it.
const ONCE_APART: [u64; 2] = [230_007, 285_468];

#[test]
fn plans_that_once_told_the_routes_apart_are_judged_alike() {
    for seed in ONCE_APART {
        let mut train = Train::random(&mut ChaCha8Rng::seed_from_u64(seed));
        train.bed = None;
        judged_alike(seed, &train);
    }
}

#[test]
fn a_plan_is_judged_alike_by_another_route() {
    let (count, mut open) = (cases(2_000), 0);
    let mut verdicts = [0_u64; 3];
    for seed in first_seed()..first_seed() + count {
        open += both(seed);
        if seed % 10 == 0 {
            let train = Train::random(&mut ChaCha8Rng::seed_from_u64(seed));
            verdicts[check(&train.plan()).verdict as usize] += 1;
        }
    }
    // Comparing must mean something: all three verdicts come up, and almost nothing lies on a limit.
    assert!(count < 2_000 || verdicts.iter().all(|seen| 0 < *seen), "{verdicts:?}");
    assert!(open as u64 <= 1 + count / 10_000, "{open} rules lay on their limits");
    println!("{count} plans, 0 differences, {open} rules too near a limit to tell");
}
