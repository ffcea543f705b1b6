//! What many rules do alike: hold a value against its limit, tell a breach, note what only just keeps it.

use std::fmt;

use super::{
    case::Case,
    figures::{Known, Unknown},
    finding::{Against, Findings},
    words::{Degrees, Load, Over, Rating},
};
use crate::{
    calc::{
        clearance::Governed,
        ratings::{Link, weakest},
    },
    units::{Angle, Mass},
};

/// How a breach of a rating reads: the load, by how much it is over, the rating.
pub type Words = fn(&mut fmt::Formatter<'_>, Load, Over, Rating) -> fmt::Result;

/// A load and the rating it has to keep.
#[derive(Debug, Clone, Copy)]
pub struct Rated {
    /// The rating's field, which is also what a finding is about.
    pub field: &'static str,
    /// What the rating is needed for: `the front axle's load`.
    pub by: &'static str,
    /// The rating.
    pub limit: Option<Mass>,
    /// The load.
    pub load: Known<Mass>,
}

impl Rated {
    /// Holds the load against the rating.
    pub fn check(self, findings: &mut Findings, words: Words) {
        let Self { field, by, limit, load } = self;
        let Some(limit) = limit else { return findings.no_limit(Unknown::missing(field), by) };
        match load {
            Err(unknown) => findings.unknown(unknown, by),
            Ok(load) => within(findings, field, load, limit, words),
        }
    }
}

/// Holds a load that is known against a rating that is known.
fn within(findings: &mut Findings, field: &'static str, load: Mass, limit: Mass, words: Words) {
    let against = Against::new(load.kg(), limit.kg(), "kg");
    if load <= limit {
        return findings.keeps(field, against);
    }
    let told = told(against, words);
    findings.breach(field, against, format_args!("{told}"));
}

fn told(against: Against, words: Words) -> impl fmt::Display {
    let Against { value, limit, .. } = against;
    fmt::from_fn(move |f| words(f, Load(value), Over(value, limit), Rating(limit)))
}

/// Holds a load against the weakest of some parts; `what` is the load.
pub fn check_weakest(findings: &mut Findings, load: Known<Mass>, parts: &[Link], what: &str) {
    let load = match load {
        Ok(load) => load,
        Err(unknown) => return findings.unknown(unknown, "the weakest link"),
    };
    let weakest = weakest(parts);
    let Some((limit, link)) = weakest.limit.zip(weakest.governing) else { return };
    let against = Against::new(load.kg(), limit.kg(), "kg");
    if load <= limit {
        return findings.keeps(link.path, against);
    }
    let (over, rating) = (Over(load.kg(), limit.kg()), Rating(limit.kg()));
    findings.breach(
        link.path,
        against,
        format_args!("{what} {} is {over} over the weakest link: {}, {rating}", Load(load.kg()), link.label),
    );
}

/// Holds load and rating of an axle against what its tyres carry; `axle` is `front` or `rear`.
pub fn check_tyres(
    findings: &mut Findings,
    field: &'static str,
    axle: &'static str,
    capacity: Mass,
    [load, rating]: [Option<Mass>; 2],
) {
    for (need, word) in [(load, "load"), (rating, "rating")] {
        let Some(need) = need else { continue };
        let against = Against::new(need.kg(), capacity.kg(), "kg");
        if need <= capacity {
            if word == "load" {
                findings.keeps(field, against);
            }
            continue;
        }
        let (need, over, carried) = (Load(need.kg()), Over(need.kg(), capacity.kg()), Rating(capacity.kg()));
        return findings.breach(
            field,
            against,
            format_args!("{axle} axle {word} {need} is {over} over the {carried} its tyres carry together"),
        );
    }
}

/// Holds an angle against the least that is asked for; `what` is the angle, and `the` the same with its article.
pub fn check_angle(
    case: &Case<'_>,
    findings: &mut Findings,
    field: &'static str,
    limit: Option<Angle>,
    governed: &Known<Governed>,
    [what, the]: [&'static str; 2],
) {
    let Some(limit) = limit else { return };
    match governed {
        Err(unknown) => findings.unknown(*unknown, the),
        Ok(governed) => {
            let against = Against::new(governed.angle.deg(), limit.deg(), "deg");
            if governed.angle >= limit {
                return findings.keeps(field, against);
            }
            findings.breach(
                field,
                against,
                format_args!(
                    "{what} {} is under the {} asked for; {} governs",
                    Degrees(governed.angle.deg()),
                    Degrees(limit.deg()),
                    case.point_label(governed.index),
                ),
            );
        }
    }
}
