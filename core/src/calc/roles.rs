//! Which duties come up for a piece of work, from facts about it. General words only: the law of the place governs.

use crate::{
    model::upfit::SaleState,
    tables::roles::{Duty, Role, of},
};

/// What is known of the work. What nobody knows is asked, never assumed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct WorkFacts {
    /// Where the vehicle stands in its life.
    pub sale: Option<SaleState>,
    /// Whether it came as an incomplete vehicle that this work completes.
    pub completes_incomplete: Option<bool>,
    /// Whether a hitch is fitted.
    pub fits_hitch: Option<bool>,
    /// Whether the work goes beyond readily attachable parts, or makes a certified rating untrue.
    pub beyond_readily_attachable: Option<bool>,
    /// Whether the plate lamp is hidden or moved.
    pub plate_lamp_moved: Option<bool>,
    /// Whether type approval is the law where the vehicle runs.
    pub type_approval: Option<bool>,
    /// Whether the work is on a trailer of 10,000 lb gross or more that has a rear guard.
    pub heavy_trailer_with_guard: Option<bool>,
}

/// The duties that come up, and the facts that would have to be known for the others.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Duties {
    /// Those that come up.
    pub duties: Vec<&'static Duty>,
    /// The fields that nobody has answered and that could bring up another.
    pub ask: Vec<&'static str>,
}

/// Returns the duties that the facts bring up.
#[must_use]
pub fn duties(facts: &WorkFacts) -> Duties {
    let mut found = Duties { duties: Vec::new(), ask: Vec::new() };
    let mut take = |role: Role| found.duties.extend(of(role));
    let mut ask = Vec::new();
    let mut known = |fact: Option<bool>, field: &'static str| {
        if fact.is_none() {
            ask.push(field);
        }
        fact == Some(true)
    };
    if known(facts.completes_incomplete, "completes_incomplete") {
        take(Role::FinalStageMaker);
    }
    match facts.sale {
        Some(SaleState::BeforeFirstSale) => {
            let hitch = known(facts.fits_hitch, "fits_hitch");
            let beyond = known(facts.beyond_readily_attachable, "beyond_readily_attachable");
            if beyond {
                take(Role::Alterer);
            }
            if hitch {
                take(Role::HitchInstallerBeforeSale);
            }
            if facts.beyond_readily_attachable == Some(false) && facts.fits_hitch == Some(false) {
                take(Role::ReadilyAttachableInstaller);
            }
            if known(facts.plate_lamp_moved, "plate_lamp_moved") {
                take(Role::PlateLampMover);
            }
        }
        Some(SaleState::InUse) => take(Role::BusinessOnUsedVehicle),
        None => {
            known(None, "sale");
        }
    }
    if known(facts.type_approval, "type_approval") {
        take(Role::TypeApprovalInstaller);
    }
    if known(facts.heavy_trailer_with_guard, "heavy_trailer_with_guard") {
        take(Role::RearGuardKeeper);
    }
    found.ask = ask;
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::roles::DUTIES;

    const NEW: WorkFacts = WorkFacts {
        sale: Some(SaleState::BeforeFirstSale),
        completes_incomplete: Some(false),
        fits_hitch: Some(true),
        beyond_readily_attachable: Some(false),
        plate_lamp_moved: Some(false),
        type_approval: Some(false),
        heavy_trailer_with_guard: Some(false),
    };

    fn roles(facts: WorkFacts) -> Vec<Role> {
        duties(&facts).duties.iter().map(|duty| duty.role).collect()
    }

    #[test]
    fn a_hitch_on_a_new_vehicle_makes_an_alterer() {
        // NHTSA interpretation letter nht87-1.19, opened.
        assert_eq!(roles(NEW), [Role::HitchInstallerBeforeSale]);
        assert_eq!(roles(WorkFacts { fits_hitch: Some(false), ..NEW }), [Role::ReadilyAttachableInstaller]);
        let beyond = WorkFacts { beyond_readily_attachable: Some(true), plate_lamp_moved: Some(true), ..NEW };
        assert_eq!(roles(beyond), [Role::Alterer, Role::HitchInstallerBeforeSale, Role::PlateLampMover]);
        assert_eq!(roles(WorkFacts { sale: Some(SaleState::InUse), ..NEW }), [Role::BusinessOnUsedVehicle]);
        let chassis = WorkFacts { completes_incomplete: Some(true), ..NEW };
        assert_eq!(roles(chassis), [Role::FinalStageMaker, Role::HitchInstallerBeforeSale]);
    }

    #[test]
    fn what_nobody_knows_is_asked() {
        let nothing = duties(&WorkFacts::default());
        assert!(nothing.duties.is_empty());
        assert_eq!(nothing.ask, ["completes_incomplete", "sale", "type_approval", "heavy_trailer_with_guard"]);
        assert!(duties(&NEW).ask.is_empty());
        assert_eq!(duties(&WorkFacts { plate_lamp_moved: None, ..NEW }).ask, ["plate_lamp_moved"]);
    }

    #[test]
    fn every_role_has_one_duty_with_a_source() {
        for duty in &DUTIES {
            assert_eq!(of(duty.role), Some(duty));
            assert!(!duty.source.title.is_empty() && !duty.duty.is_empty() && !duty.trigger.is_empty());
        }
    }
}
