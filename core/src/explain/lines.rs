//! How a figure comes about, line by line, with its numbers.

use crate::{
    basis::{Seen, Source},
    calc::{
        axles::{Station, split},
        sag::AxleSpring,
    },
    model::upfit::{PlannedJoint, TongueLoad, Upfit},
    rules::{Figures, Finding, Parts},
    units::{G, Length, Mass},
};

/// One line of a derivation.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What it is: `cargo on the rear axle`.
    pub what: String,
    /// The formula with its numbers: `400 kg x 3300 mm / 3640 mm`.
    pub formula: String,
    /// What comes out, in `unit`.
    pub value: f64,
    /// The unit, as a suffix of the wire; empty for a plain number.
    pub unit: &'static str,
    /// Where the formula or the number comes from.
    pub source: Source,
}

const MOMENTS: Source = Source::new("statics: moments about the axles", "", Seen::Derived);
const SPRINGS: Source = Source::new("springs in series; rigid body", "", Seen::Derived);
const TANGENT: Source = Source::new("line from a point tangent to the loaded tyre", "", Seen::Derived);
const LEAST: Source = Source::new("a chain of links carries what its weakest link carries", "", Seen::Derived);
pub(super) const AS_GIVEN: Source = Source::new("as the plan and its entries give it", "", Seen::Derived);
const RATIO: Source = Source::new("tongue load over trailer mass", "", Seen::Derived);

pub(super) fn line(
    what: impl Into<String>,
    formula: impl Into<String>,
    value: f64,
    unit: &'static str,
    source: Source,
) -> Line {
    Line { what: what.into(), formula: formula.into(), value, unit, source }
}

/// Which figures a finding rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Family {
    Rear,
    Front,
    Train,
    TrailerLinks,
    TongueLinks,
    Tongue,
    Shape,
    Joint,
    Wiring,
    Other,
}

fn family(finding: &Finding) -> Family {
    let id = finding.rule.id;
    let by_subject = id == "near-limit" || id.starts_with("margin-");
    let subject = finding.subject.as_ref();
    match id {
        "gawr-rear" | "rear-axle-without-bars" | "tyre-load-rear" => Family::Rear,
        "gawr-front" | "tyre-load-front" | "front-axle-light" => Family::Front,
        "wheel-rating" | "car-tyre-on-truck" if subject.contains("front") => Family::Front,
        "wheel-rating" | "car-tyre-on-truck" => Family::Rear,
        "gvwr" | "gcwr" | "payload-gone" | "trailer-axle" | "trailer-tyres" => Family::Train,
        "weakest-link-trailer" => Family::TrailerLinks,
        "weakest-link-tongue" => Family::TongueLinks,
        "tongue-share-low" | "tongue-share-high" | "s-value" | "jack-overloaded" => Family::Tongue,
        "nut-over-proof" | "hot-dip-nut" => Family::Joint,
        _ if subject.starts_with("circuits[") => Family::Wiring,
        _ if id.starts_with("joint-") => Family::Joint,
        _ if id.contains("angle") || id.contains("departure") || id.contains("height") || id == "trailer-level" => {
            Family::Shape
        }
        _ if by_subject && subject.contains("rear") => Family::Rear,
        _ if by_subject && subject.contains("front") => Family::Front,
        _ if by_subject && subject.starts_with("vehicle.g") => Family::Train,
        _ if by_subject && subject.starts_with("limits") => Family::Shape,
        _ => Family::Other,
    }
}

/// Derives the figure behind a finding; the last line is the figure against its limit, where it has one.
pub(super) fn derive(plan: &Upfit, figures: &Figures, finding: &Finding) -> Vec<Line> {
    let mut lines = Vec::new();
    match family(finding) {
        Family::Rear => axle(plan, figures, true, &mut lines),
        Family::Front => axle(plan, figures, false, &mut lines),
        Family::Train => {
            axle(plan, figures, false, &mut lines);
            axle(plan, figures, true, &mut lines);
            train(figures, &mut lines);
        }
        Family::TrailerLinks => links(plan, true, &mut lines),
        Family::TongueLinks => {
            tongue(plan, figures, &mut lines);
            links(plan, false, &mut lines);
        }
        Family::Tongue => tongue(plan, figures, &mut lines),
        Family::Shape => shape(plan, figures, finding, &mut lines),
        Family::Joint => {
            if let Some(joint) = joint_of(plan, finding) {
                self::joint(joint, &mut lines);
            }
        }
        Family::Wiring => super::wiring::derive(plan, finding, &mut lines),
        Family::Other => {}
    }
    super::others::derive(plan, figures, finding, &mut lines);
    if let (Some(value), Some(limit)) = (finding.value, finding.limit) {
        lines.push(line("limit", format!("of {}", finding.subject), limit, finding.unit, finding.rule.source));
        let apart = format!("{} against {}", short(value), short(limit));
        lines.push(line("value against limit", apart, value - limit, finding.unit, finding.rule.source));
    }
    lines
}

/// A number with as many decimals as anybody measures.
pub(super) fn short(value: f64) -> String {
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// What rides where: label, mass, station.
fn loads(plan: &Upfit, figures: &Figures) -> Vec<(String, Station)> {
    let mut all = Vec::new();
    let fit = plan.receiver.as_deref().and_then(|receiver| receiver.fit_for(&plan.vehicle.name));
    let receiver = plan.receiver.as_deref().and_then(|receiver| receiver.mass);
    if let Some((mass, station)) = receiver.zip(fit.and_then(|fit| fit.mass_station)) {
        all.push(("receiver".to_owned(), Station { mass, station }));
    }
    if let Some(coupling) = plan.bed_coupling.as_deref() {
        let fit = coupling.fit_for(&plan.vehicle.name).map(|(_, fit)| fit);
        if let Some((mass, station)) = coupling.mass.zip(fit.and_then(|fit| fit.mass_station)) {
            all.push(("coupling in the bed".to_owned(), Station { mass, station }));
        }
    }
    let on_ball = plan.ball_mount.as_deref().filter(|_| !plan.hangs_in_bed());
    let mount = on_ball.and_then(|mount| mount.mass);
    let ball = plan.ball.as_deref().and_then(|ball| ball.mass);
    if let (Some((mount, ball)), Ok(station)) = (mount.zip(ball), figures.ball_station) {
        all.push(("ball mount and ball".to_owned(), Station { mass: mount + ball, station }));
    }
    for item in &plan.items {
        if let Some((mass, station)) = item.mass.zip(item.station) {
            all.push((item.label.clone(), Station { mass, station }));
        }
    }
    if let (Ok(mass), Ok(station)) = (figures.tongue, figures.ball_station) {
        all.push(("tongue load".to_owned(), Station { mass, station }));
    }
    all
}

fn axle(plan: &Upfit, figures: &Figures, rear: bool, lines: &mut Vec<Line>) {
    let wheelbase = plan.vehicle.wheelbase;
    let (word, kerb) = if rear { ("rear", plan.vehicle.rear.kerb) } else { ("front", plan.vehicle.front.kerb) };
    let Some(kerb) = kerb else { return };
    lines.push(line(format!("kerb load, {word}"), "as weighed", kerb.kg(), "kg", AS_GIVEN));
    let mut sum = short(kerb.kg());
    for (label, load) in loads(plan, figures) {
        let part = split(load, wheelbase);
        let (value, arm) = if rear {
            (part.rear, format!("{} mm / {} mm", short(load.station.mm()), short(wheelbase.mm())))
        } else {
            (part.front, format!("(1 - {} mm / {} mm)", short(load.station.mm()), short(wheelbase.mm())))
        };
        let formula = format!("m s / L = {} kg x {arm}", short(load.mass.kg()));
        lines.push(line(format!("{label}, {word}"), formula, value.kg(), "kg", MOMENTS));
        let sign = if value < Mass::ZERO { "-" } else { "+" };
        sum = format!("{sum} {sign} {}", short(value.kg().abs()));
    }
    if let Ok(axles) = figures.axles {
        let total = if rear { axles.rear } else { axles.front };
        lines.push(line(format!("{word} axle, hitched"), sum, total.kg(), "kg", MOMENTS));
    }
}

fn train(figures: &Figures, lines: &mut Vec<Line>) {
    if let (Ok(axles), Ok(gross)) = (figures.axles, figures.gross) {
        let sum = format!("{} + {}", short(axles.front.kg()), short(axles.rear.kg()));
        lines.push(line("vehicle, hitched", sum, gross.kg(), "kg", MOMENTS));
    }
    if let (Ok(gross), Ok(axles), Ok(train)) = (figures.gross, figures.trailer_axles, figures.combination) {
        let sum = format!("{} + {}, the tongue load once", short(gross.kg()), short(axles.kg()));
        lines.push(line("vehicle and trailer", sum, train.kg(), "kg", MOMENTS));
    }
}

fn tongue(plan: &Upfit, figures: &Figures, lines: &mut Vec<Line>) {
    let (Ok(trailer), Ok(tongue), Ok(share)) = (figures.trailer_mass, figures.tongue, figures.tongue_share) else {
        return;
    };
    if let Some(TongueLoad::Share(share)) = plan.tongue {
        let formula = format!("{} kg x {}", short(trailer.kg()), short(share));
        lines.push(line("tongue load", formula, tongue.kg(), "kg", RATIO));
    } else {
        lines.push(line("tongue load", "as weighed", tongue.kg(), "kg", AS_GIVEN));
    }
    let formula = format!("T / M = {} kg / {} kg", short(tongue.kg()), short(trailer.kg()));
    lines.push(line("tongue share", formula, share, "share", RATIO));
}

fn links(plan: &Upfit, trailer: bool, lines: &mut Vec<Line>) {
    let parts = Parts::of(plan);
    let list = if trailer { parts.trailer_parts() } else { parts.tongue_parts() };
    let mut known = Vec::new();
    for link in list {
        if let crate::calc::ratings::LinkLimit::Known(limit) = link.limit {
            lines.push(line(link.label, format!("rating at {}", link.path), limit.kg(), "kg", AS_GIVEN));
            known.push(limit.kg());
        }
    }
    if let Some(least) = known.iter().copied().reduce(f64::min) {
        let all: Vec<_> = known.iter().map(|value| short(*value)).collect();
        lines.push(line("weakest link", format!("least of {}", all.join(", ")), least, "kg", LEAST));
    }
}

fn shape(plan: &Upfit, figures: &Figures, finding: &Finding, lines: &mut Vec<Line>) {
    let laden =
        !matches!(finding.rule.id, "approach-angle" | "departure-angle-unladen" | "departure-worse-than-before");
    let vehicle = &plan.vehicle;
    if let (true, Ok(axles), Ok(sag)) = (laden, figures.axles, figures.sag) {
        let ends = [("front", &vehicle.front, axles.front, sag.front), ("rear", &vehicle.rear, axles.rear, sag.rear)];
        for (word, axle, load, sinks) in ends {
            let rate = AxleSpring::of(axle).and_then(|spring| Ok((spring.tyres(), spring.axle_rate()?)));
            let (Some(kerb), Ok((tyres, rate)), Some(springs)) = (axle.kerb, rate, axle.suspension_rate) else {
                continue;
            };
            let series = format!("1 / (1/{} + 1/{})", short(springs.n_per_mm()), short(tyres.n_per_mm()));
            lines.push(line(format!("{word} axle rate"), series, rate.n_per_mm(), "n_per_mm", SPRINGS));
            let change = load - kerb;
            let formula = format!("dm g / k = {} kg x {G} / {}", short(change.kg()), short(rate.n_per_mm()));
            lines.push(line(format!("{word} axle sinks"), formula, sinks.mm(), "mm", SPRINGS));
        }
        if let Ok(ball) = figures.ball_station {
            let formula = format!(
                "{} + ({} - {}) x {} / {}",
                short(sag.front.mm()),
                short(sag.rear.mm()),
                short(sag.front.mm()),
                short(ball.mm()),
                short(vehicle.wheelbase.mm())
            );
            lines.push(line("sinks at the ball", formula, sag.at_ball.mm(), "mm", SPRINGS));
        }
    }
    let state = if laden { &figures.laden } else { &figures.unladen };
    let id = finding.rule.id;
    let governed = match id {
        "approach-angle" => Some((&state.approach, "approach angle", false)),
        _ if id.starts_with("departure") => Some((&state.departure, "departure angle", true)),
        _ => None,
    };
    if let Some((Ok(governed), what, rear)) = governed {
        let at = governed.at;
        let hub = if rear { vehicle.wheelbase } else { Length::ZERO };
        let reach = (at.station - hub).abs();
        let formula = format!(
            "2 atan(z / (u + sqrt(u^2 - z (2 r - z)))), u {} mm, z {} mm",
            short(reach.mm()),
            short(at.height.mm())
        );
        lines.push(line(what, formula, governed.angle.deg(), "deg", TANGENT));
    }
    if plan.hangs_in_bed() {
        if let (Ok(face), "trailer-level") = (figures.ball_height, id) {
            let how = "the face of the coupling by the rigid body's pose";
            lines.push(line("face of the coupling, laden", how, face.mm(), "mm", SPRINGS));
        }
    } else if let (Ok(top), "ball-height" | "ball-height-of-policy" | "trailer-level") = (figures.ball_height, id) {
        lines.push(line("ball's top, laden", "tube top - sinks - drop + ball height", top.mm(), "mm", SPRINGS));
    }
    if let (Ok(drop), "trailer-level") = (figures.drop_to_level, id) {
        lines.push(line(
            "drop that would stand level",
            "tube top - sinks + ball height - coupler",
            drop.mm(),
            "mm",
            SPRINGS,
        ));
    }
    if let (Ok(low), "hitch-height-laden") = (figures.hitch_lowest, id) {
        lines.push(line(
            "lowest point of the gear, laden",
            "each point by the rigid body's pose, the least",
            low.mm(),
            "mm",
            SPRINGS,
        ));
    }
}

fn joint_of<'a>(plan: &'a Upfit, finding: &Finding) -> Option<&'a PlannedJoint> {
    let index = finding.subject.strip_prefix("joints[")?.split(']').next()?.parse::<usize>().ok()?;
    plan.joints.get(index)
}

const SHORT_FORM: Source = Source::new("T = K F d", "", Seen::Derived);

fn joint(joint: &PlannedJoint, lines: &mut Vec<Line>) {
    let factor = |finish: Option<&crate::model::finish::Finish>| finish.and_then(|finish| finish.nut_factor);
    let (meant, real) = (factor(joint.specified_finish.as_deref()), factor(joint.finish.as_deref()));
    if let (Some(torque), Some(meant), Some(real)) = (joint.specified_torque, meant, real) {
        lines.push(line("torque as specified", "on the drawing", torque.n_m(), "n_m", AS_GIVEN));
        let formula =
            format!("T K2 / K1 = {} N m x {} / {}", short(torque.n_m()), short(real.nominal), short(meant.nominal));
        let value = torque.n_m() * real.nominal / meant.nominal;
        lines.push(line("torque for the real condition", formula, value, "n_m", SHORT_FORM));
    }
    if let (Some(torque), Some(real), Some(bolt)) = (joint.planned_torque, real, joint.bolt.as_deref()) {
        let d = bolt.thread.diameter.mm();
        let formula = format!("T / (K d) = {} N m / ({} x {} mm)", short(torque.n_m()), short(real.nominal), short(d));
        let preload = torque.n_m() * 1000.0 / (real.nominal * d);
        lines.push(line("likely preload", formula, preload, "n", SHORT_FORM));
    }
}
