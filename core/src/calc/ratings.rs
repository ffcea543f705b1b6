//! The weakest link for trailer mass and for tongue load.
//!
//! Every link between vehicle and trailer has its own limit; the train's limit is the least of them. A link whose limit
//! nobody knows blocks: it is never taken for infinite. The class of a hitch raises nothing and is no link.

mod bed_links;
#[cfg(test)]
mod handbook;
mod links;

pub use links::{LINKS_MAX, Links, RatingInput, tongue_links, trailer_links};

use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    range::Range,
    units::Mass,
};

/// Allowed tongue share of the trailer's mass.
pub const TONGUE_SHARE: Range = Range::new("tongue_share", "", 0.001, 0.9);

const LEAST: Source = Source::new("a chain of links carries what its weakest link carries", "", Seen::Derived);

/// One link of the chain from vehicle to trailer, and what it allows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Link {
    /// Which link, as the path of its field: `receiver.carrying.trailer`.
    pub path: &'static str,
    /// What people call it: `receiver, carrying`.
    pub label: &'static str,
    /// What it allows.
    pub limit: LinkLimit,
}

/// What one link allows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LinkLimit {
    /// At most this.
    Known(Mass),
    /// It has a limit, and nobody knows it: blocks.
    Unknown,
    /// It puts no limit on this quantity.
    NotLimiting,
}

/// The weakest of some links, and the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weakest {
    /// The least known limit.
    pub limit: Option<Mass>,
    /// The link that sets it; of several with the same limit, the one listed first.
    pub governing: Option<Link>,
    /// The link that would set it if the first were stronger; its limit may be the same.
    pub runner_up: Option<Link>,
    /// How many links share the least limit; one when there is no tie, zero when no limit is known.
    pub tied_count: usize,
    /// How many links are unknown; more than none means that nothing may pass.
    pub unknown_count: usize,
}

impl Weakest {
    /// Returns whether that load may pass: `Some(false)` when a known link is exceeded, whatever else is unknown;
    /// `None` when none is exceeded but a link is unknown, or no link limits at all.
    #[must_use]
    pub fn allows(&self, load: Mass) -> Option<bool> {
        match self.limit {
            Some(limit) if load.exceeds(limit) => Some(false),
            Some(_) if self.unknown_count == 0 => Some(true),
            _ => None,
        }
    }

    /// Returns the limit when nothing is unknown, so that it may be promised to somebody.
    #[must_use]
    pub fn firm(&self) -> Option<Mass> {
        self.limit.filter(|_| self.unknown_count == 0)
    }
}

/// Returns the weakest of the links and the runner-up.
///
/// Limits, tie count and unknown count do not depend on the order of the links; which of several tied links is named
/// first does.
#[must_use]
pub fn weakest(links: &[Link]) -> Weakest {
    let mut found = Weakest { limit: None, governing: None, runner_up: None, tied_count: 0, unknown_count: 0 };
    let mut second = f64::INFINITY;
    let mut first = f64::INFINITY;
    for link in links {
        match link.limit {
            LinkLimit::NotLimiting => {}
            // A NaN would compare as neither stronger nor weaker: it is no limit that anybody knows.
            LinkLimit::Known(limit) if !limit.kg().is_nan() => {
                let limit = limit.kg();
                if found.governing.is_none() || limit < first {
                    second = first;
                    found.runner_up = found.governing;
                    first = limit;
                    found.governing = Some(*link);
                    found.tied_count = 1;
                } else {
                    if limit == first {
                        found.tied_count += 1;
                    }
                    if found.runner_up.is_none() || limit < second {
                        second = limit;
                        found.runner_up = Some(*link);
                    }
                }
            }
            LinkLimit::Known(_) | LinkLimit::Unknown => found.unknown_count += 1,
        }
    }
    found.limit = found.governing.map(|_| Mass::from_kg(first));
    found
}

/// The trailer limit once the tongue share is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtShare {
    /// The tongue share it holds for.
    pub share: f64,
    /// What the tongue limit alone allows: tongue limit over share.
    pub by_tongue: Option<Mass>,
    /// The lesser of that and the trailer limit.
    pub limit: Option<Mass>,
    /// Whether the tongue limit is the one that governs.
    pub tongue_governs: bool,
}

/// Returns the real trailer limit at a tongue share: both limits, intersected.
///
/// ```text
/// limit = min(trailer limit, tongue limit / share)
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for [`TONGUE_SHARE`].
///
/// # Source
///
/// Derived: the tongue load is the share of the trailer's mass.
pub fn at_share(trailer: &Weakest, tongue: &Weakest, share: f64) -> Result<AtShare, CalcError> {
    let share = TONGUE_SHARE.check(share)?;
    let by_tongue = tongue.limit.map(|limit| limit / share);
    let (limit, tongue_governs) = match (trailer.limit, by_tongue) {
        (Some(own), Some(by_tongue)) => (Some(own.min(by_tongue)), by_tongue < own),
        (own, by_tongue) => (own.or(by_tongue), own.is_none() && by_tongue.is_some()),
    };
    Ok(AtShare { share, by_tongue, limit, tongue_governs })
}

/// Returns the steps behind [`weakest`] of these links.
#[must_use]
pub fn basis(trailer: &[Link], tongue: &[Link]) -> Vec<Basis> {
    let step = |formula, links: &[Link]| {
        let inputs: Vec<_> = links
            .iter()
            .filter_map(|link| match link.limit {
                LinkLimit::Known(mass) => Some((link.path, mass.kg())),
                LinkLimit::Unknown | LinkLimit::NotLimiting => None,
            })
            .collect();
        Basis::new(formula, "limit = min over the links; an unknown link blocks", LEAST, &inputs)
    };
    vec![step("weakest-link-trailer", trailer), step("weakest-link-tongue", tongue)]
}
