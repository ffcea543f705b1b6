//! Who has which duty when gear is fitted to a vehicle. Facts of the texts that were read, in general words: the law of
//! the place governs, and this is no legal advice.

use crate::basis::{Seen, Source};

/// Where most duties were read; each names its own text.
pub const SOURCE: Source = Source::new("49 CFR 567 and 568, with NHTSA interpretation letters", "", Seen::Opened);

/// Who somebody is in the life of a vehicle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Supplies a chassis that somebody else completes.
    IncompleteVehicleMaker,
    /// Completes it.
    FinalStageMaker,
    /// Changes a certified vehicle before its first sale.
    Alterer,
    /// Fits readily attachable parts before the first sale.
    ReadilyAttachableInstaller,
    /// Fits a hitch to a new vehicle before its first sale.
    HitchInstallerBeforeSale,
    /// Works on a vehicle in use.
    BusinessOnUsedVehicle,
    /// Fits something that moves the plate lamp before delivery.
    PlateLampMover,
    /// Fits a coupling under type approval.
    TypeApprovalInstaller,
    /// Works on a heavy trailer that carries a rear guard.
    RearGuardKeeper,
}

/// A duty and what brings it about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Duty {
    /// Whose.
    pub role: Role,
    /// What brings it about.
    pub trigger: &'static str,
    /// What is to be done.
    pub duty: &'static str,
    /// Where it was read.
    pub source: Source,
}

const fn duty(
    role: Role,
    trigger: &'static str,
    duty: &'static str,
    title: &'static str,
    edition: &'static str,
    seen: Seen,
) -> Duty {
    Duty { role, trigger, duty, source: Source::new(title, edition, seen) }
}

/// The duties, in the order of a vehicle's life.
pub const DUTIES: [Duty; 9] = [
    duty(
        Role::IncompleteVehicleMaker,
        "supplies a chassis to be completed by somebody else",
        "hands over the document with name, date, identification, gross ratings and what must stay unchanged",
        "49 CFR 568.4",
        "2006",
        Seen::Opened,
    ),
    duty(
        Role::FinalStageMaker,
        "completes an incomplete vehicle",
        "certifies the completed vehicle",
        "NHTSA interpretation letter nht72-4.42, with 49 CFR 568.6 from memory",
        "1972",
        Seen::Opened,
    ),
    duty(
        Role::Alterer,
        "before the first sale, changes more than readily attachable parts, or makes a certified rating untrue",
        "finds out that the vehicle still conforms, answers for it, and adds an own label beside the first one",
        "49 CFR 567.7, as quoted",
        "2010",
        Seen::Opened,
    ),
    duty(
        Role::ReadilyAttachableInstaller,
        "before the first sale, fits no more than readily attachable parts",
        "leaves the certification label; difficulty, special tools or skill, and cost decide what is readily attachable",
        "49 CFR 567.7 and NHTSA interpretation letter 2857yy",
        "2005",
        Seen::Opened,
    ),
    duty(
        Role::HitchInstallerBeforeSale,
        "fits a hitch to a new vehicle before its first sale",
        "is taken for an alterer and certifies; does not touch tank, fuel lines and shields",
        "NHTSA interpretation letter nht87-1.19",
        "1987",
        Seen::Opened,
    ),
    duty(
        Role::BusinessOnUsedVehicle,
        "works on a vehicle in use",
        "does not knowingly make inoperative anything that is there to meet a safety standard",
        "NHTSA interpretation letter nht87-1.19, on what is now 49 USC 30122",
        "1987",
        Seen::Opened,
    ),
    duty(
        Role::PlateLampMover,
        "fits something before delivery that hides or moves the plate lamp",
        "puts lamp and bracket where they meet the lighting standard again",
        "NHTSA interpretation letter nht73-2.18",
        "1973",
        Seen::Opened,
    ),
    duty(
        Role::TypeApprovalInstaller,
        "fits a coupling where type approval is the law",
        "fits an approved part and has it entered in the registration where that is asked for",
        "UN Regulation 55 and national registration law",
        "",
        Seen::FromMemory,
    ),
    duty(
        Role::RearGuardKeeper,
        "works on a trailer of 10,000 lb gross or more that has a rear guard",
        "never takes the guard off to fit a coupling",
        "63 FR 26759 and 64 FR 47703",
        "1999",
        Seen::Opened,
    ),
];

/// Returns the duty of a role; every role has one.
#[must_use]
pub fn of(role: Role) -> Option<&'static Duty> {
    DUTIES.iter().find(|duty| duty.role == role)
}
