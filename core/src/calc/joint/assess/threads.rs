//! Engaged threads, and whether the bolt is long enough.

use super::{Known, Sheaf};
use crate::calc::joint::{ItemKind, Said, grip, strip};

/// Stripping of both threads, and the engagement at which the bolt breaks first.
pub(super) fn engaged(known: &Known<'_>, sheaf: &mut Sheaf) {
    let kinds = [ItemKind::BoltThread, ItemKind::NutThread, ItemKind::Engagement];
    let input = match known.input.strip {
        Said::NotThere => return,
        Said::Nothing => {
            for kind in kinds {
                sheaf.nobody_said(kind, "engagement_mm");
            }
            return;
        }
        Said::Given(input) => input,
    };
    let source = match input.method {
        strip::StripMethod::Plain => strip::AREA_SOURCE,
        strip::StripMethod::Factored => strip::FACTOR_SOURCE,
    };
    let [bolt, nut, engagement] = kinds;
    let held = strip::strip(&input);
    let force = known.greatest_bolt_force();
    let pair = |of: fn(&strip::Strip) -> f64| {
        let force = force.clone()?;
        held.as_ref().map(|held| [force.n(), of(held)]).map_err(Clone::clone)
    };
    sheaf.whole(bolt, "N", source, pair(|held| held.bolt.n()));
    sheaf.whole(nut, "N", source, pair(|held| held.nut.n()));
    let areas = strip::shear_areas(input.pitch, &input.limits);
    let needed = strip::needed_engagement(&known.input.thread, &areas, input.bolt, input.nut)
        .map(|needed| [needed.mm(), input.engagement.mm()]);
    sheaf.whole(engagement, "mm", strip::AREA_SOURCE, needed);
}

/// The bolt's length.
pub(super) fn long_enough(known: &Known<'_>, sheaf: &mut Sheaf) {
    let kind = ItemKind::Length;
    match known.input.stack {
        Said::NotThere => {}
        Said::Nothing => sheaf.nobody_said(kind, "stack"),
        Said::Given((stack, length)) => {
            let pair = stack.least_length().and_then(|least| Ok([least.mm(), grip::LENGTH.check(length.mm())?]));
            sheaf.whole(kind, "mm", grip::LENGTH_SOURCE, pair);
        }
    }
}
