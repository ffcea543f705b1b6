//! Fasteners at hand beside the specified ones: questions from the wire, answers to it.

use baybook_core::{
    calc::{
        compare_fasteners::{
            Around, CompareInput, Comparison, Fasteners, LENGTH, Reason, Verdict, Weight,
            reuse::{Inspection, UsedNut, may_be_used_again},
        },
        torque::prevailing::Lock,
    },
    model::fastener::{Bolt, Nut, Washer},
    units::Torque,
};
use baybook_proto::v1 as pb;

use super::{
    Fields, Lookup, WireError,
    basis::{basis_to_wire, caution},
    ranges,
};

/// A question whether the fasteners at hand may be fitted.
#[derive(Debug, Clone, PartialEq)]
pub struct CompareFasteners {
    /// What the calculator needs.
    pub input: CompareInput,
    /// The torque that the maker specifies.
    pub torque: Option<Torque>,
}

impl CompareFasteners {
    /// Reads the question.
    ///
    /// # Errors
    ///
    /// [`WireError`] with every violation.
    pub fn read(wire: &pb::CompareFastenersRequest, lookup: &impl Lookup) -> Result<Self, WireError> {
        let mut fields = Fields::default();
        let asked = Self::from_request(wire, lookup, &mut fields);
        fields.finish(asked)
    }

    fn from_request(wire: &pb::CompareFastenersRequest, lookup: &impl Lookup, fields: &mut Fields) -> Option<Self> {
        let specified = set("specified", wire.specified.as_ref(), lookup, fields);
        let offered = set("offered", wire.offered.as_ref(), lookup, fields);
        let grip = fields.length("grip", wire.grip.as_ref(), &LENGTH);
        let around = fields.choice("around", wire.around, |around| match around {
            pb::PartMaterial::Unspecified => None,
            pb::PartMaterial::Steel => Some(Around::Steel),
            pb::PartMaterial::Aluminium => Some(Around::Aluminium),
            pb::PartMaterial::Stainless => Some(Around::Stainless),
        });
        let used_nut = wire.used_nut.as_ref().map(|wire| {
            fields.under("used_nut", |fields| UsedNut {
                lock: fields.nut_lock("lock", wire.lock),
                prevailing: fields.torque("prevailing", wire.prevailing.as_ref(), &ranges::PREVAILING),
            })
        });
        let torque = fields.torque("specified_torque", wire.specified_torque.as_ref(), &ranges::TORQUE);
        let specified = specified?;
        // Where no nut is specified there is nothing that could lock.
        let specified_locks = wire.specified_locks.or_else(|| specified.nut.is_none().then_some(false));
        let input = CompareInput {
            specified,
            offered: offered?,
            grip,
            around,
            electroplated: wire.electroplated,
            specified_locks,
            used: wire.used.as_ref().map(inspection),
            used_nut,
        };
        Some(Self { input, torque })
    }
}

fn set(
    name: &'static str,
    wire: Option<&pb::FastenerSet>,
    lookup: &impl Lookup,
    fields: &mut Fields,
) -> Option<Fasteners> {
    let wire = fields.required(name, wire)?;
    fields.under(name, |fields| {
        let bolt = fields.needed_entry::<Bolt>("bolt", wire.bolt.as_ref(), lookup);
        let nut = fields.entry::<Nut>("nut", wire.nut.as_ref(), lookup);
        let washer = fields.entry::<Washer>("washer", wire.washer.as_ref(), lookup);
        Some(Fasteners { bolt: Bolt::clone(&*bolt?), nut: nut.as_deref().cloned(), washer: washer.as_deref().cloned() })
    })
}

impl Fields {
    /// Reads what locks a nut; unspecified is not known.
    pub fn nut_lock(&mut self, name: &'static str, number: i32) -> Option<Lock> {
        self.choice(name, number, |lock| match lock {
            pb::NutLock::Unspecified => None,
            pb::NutLock::AllMetal => Some(Lock::AllMetal),
            pb::NutLock::Insert => Some(Lock::Insert),
        })
    }
}

/// Reads what an inspection found.
pub const fn inspection(wire: &pb::FastenerInspection) -> Inspection {
    Inspection {
        threads_damaged: wire.threads_damaged,
        rust_stays: wire.rust_stays,
        pitted: wire.pitted,
        stretched: wire.stretched,
        locks: wire.locks,
        over_proof: wire.over_proof,
        into_yield: wire.into_yield,
        structural: wire.structural,
    }
}

/// Writes whether the fasteners at hand may be fitted, and why.
#[must_use]
pub fn comparison_to_wire(asked: &CompareFasteners, found: &Comparison, revision: i64) -> pb::CompareFastenersResponse {
    let input = &asked.input;
    let fits = found.verdict.may_be_fitted();
    let mut cautions = vec![caution(
        "maker-overrides",
        "what the maker of the vehicle or of the part says about exchange and torque overrides this",
    )];
    if input.used.is_none() {
        cautions
            .push(caution("taken-for-new", "the bolt at hand was taken for a new one: a used one must be inspected"));
    }
    if found.verdict == Verdict::BetterKeepTorque {
        cautions.push(caution(
            "keep-the-torque",
            "keep the torque of the original bolt: the stronger one is no licence to tighten more",
        ));
    }
    if input.around.is_none() {
        cautions
            .push(caution("material-not-said", "nobody says what the parts around are made of: metals not compared"));
    }
    pb::CompareFastenersResponse {
        verdict: verdict(found.verdict).into(),
        reasons: found.reasons.iter().map(reason).collect(),
        keep_n_m: asked.torque.filter(|_| fits).map(Torque::n_m),
        may_be_used_again: input.used.as_ref().and_then(|used| may_be_used_again(used, &input.offered.bolt).may),
        basis: basis_to_wire(&found.basis()),
        cautions,
        revision,
    }
}

const fn verdict(verdict: Verdict) -> pb::FastenerVerdict {
    match verdict {
        Verdict::Same => pb::FastenerVerdict::Same,
        Verdict::BetterKeepTorque => pb::FastenerVerdict::BetterKeepTorque,
        Verdict::Unknown => pb::FastenerVerdict::Unknown,
        Verdict::WorseRefuse => pb::FastenerVerdict::WorseRefuse,
    }
}

fn reason(reason: &Reason) -> pb::FastenerReason {
    pb::FastenerReason {
        id: reason.kind.id().to_owned(),
        weight: match reason.kind.weight() {
            Weight::Note => pb::ReasonWeight::Note,
            Weight::Better => pb::ReasonWeight::Better,
            Weight::Unknown => pb::ReasonWeight::Unknown,
            Weight::Refuse => pb::ReasonWeight::Refuse,
        }
        .into(),
        text: reason.kind.words().to_owned(),
        offered_in_unit: reason.offered,
        wanted_in_unit: reason.wanted,
        unit: reason.unit.to_owned(),
        source: reason.kind.source().to_string(),
    }
}

#[cfg(test)]
mod tests {
    use baybook_core::calc::compare_fasteners::compare;
    use baybook_proto::v1::{bolt_ref, nut_ref, washer_ref};

    use super::*;
    use crate::wire::fixture::{Book, n_m, paths};

    fn set_of(bolt: &str, nut: &str, washer: &str) -> Option<pb::FastenerSet> {
        let nut = (!nut.is_empty()).then(|| pb::NutRef { nut: Some(nut_ref::Nut::Name(nut.to_owned())) });
        let washer =
            (!washer.is_empty()).then(|| pb::WasherRef { washer: Some(washer_ref::Washer::Name(washer.to_owned())) });
        let bolt = Some(pb::BoltRef { bolt: Some(bolt_ref::Bolt::Name(bolt.to_owned())) });
        Some(pb::FastenerSet { bolt, nut, washer })
    }

    fn asked(bolt: &str, nut: &str, washer: &str) -> pb::CompareFastenersRequest {
        pb::CompareFastenersRequest {
            specified: set_of("bolts/m12-88-40", "nuts/m12-8", "washers/m12-300"),
            offered: set_of(bolt, nut, washer),
            grip: Some(pb::Length { value_mm: Some(20.0), ..Default::default() }),
            around: pb::PartMaterial::Steel.into(),
            electroplated: Some(false),
            specified_locks: Some(false),
            specified_torque: n_m(79.0),
            ..Default::default()
        }
    }

    fn answer(wire: &pb::CompareFastenersRequest) -> pb::CompareFastenersResponse {
        let asked = CompareFasteners::read(wire, Book::demo()).unwrap();
        comparison_to_wire(&asked, &compare(&asked.input).unwrap(), 1)
    }

    /// US Army TM 5-3895-367-14&P, appendix H (opened): a higher class keeps the original torque, a lower one is never
    /// fitted.
    #[test]
    fn a_higher_class_keeps_the_torque_and_a_lower_one_is_refused() {
        let same = answer(&asked("bolts/m12-88-40", "nuts/m12-8", "washers/m12-300"));
        assert_eq!((same.verdict(), same.keep_n_m), (pb::FastenerVerdict::Same, Some(79.0)), "{:?}", same.reasons);
        let better = answer(&asked("bolts/m12-109-40", "nuts/m12-8", "washers/m12-300"));
        assert_eq!((better.verdict(), better.keep_n_m), (pb::FastenerVerdict::BetterKeepTorque, Some(79.0)));
        let swapped = pb::CompareFastenersRequest {
            specified: set_of("bolts/m12-109-40", "nuts/m12-10", "washers/m12-300"),
            ..asked("bolts/m12-88-40", "nuts/m12-10", "washers/m12-300")
        };
        let worse = answer(&swapped);
        assert_eq!((worse.verdict(), worse.keep_n_m), (pb::FastenerVerdict::WorseRefuse, None));
        assert_eq!(worse.reasons[0].id, "lower-class");
        assert_eq!((worse.reasons[0].offered_in_unit, worse.reasons[0].wanted_in_unit), (Some(580.0), Some(830.0)));
        let thin = answer(&asked("bolts/m12-88-40", "nuts/m12-thin", "washers/m12-300"));
        assert!(thin.reasons.iter().any(|reason| reason.id == "thin-nut"), "{:?}", thin.reasons);
    }

    /// US Army TB 43-0218, sections III to V (opened).
    #[test]
    fn a_used_bolt_needs_its_inspection() {
        let good = pb::FastenerInspection {
            threads_damaged: Some(false),
            rust_stays: Some(false),
            pitted: Some(false),
            stretched: Some(false),
            locks: Some(false),
            over_proof: Some(false),
            into_yield: Some(false),
            structural: Some(false),
        };
        let used = |used| {
            let wire = asked("bolts/m12-88-40", "nuts/m12-8", "washers/m12-300");
            let told = answer(&pb::CompareFastenersRequest { used: Some(used), ..wire });
            (told.verdict(), told.may_be_used_again)
        };
        assert_eq!(used(good), (pb::FastenerVerdict::Same, Some(true)));
        let pitted = pb::FastenerInspection { pitted: Some(true), ..good };
        assert_eq!(used(pitted), (pb::FastenerVerdict::WorseRefuse, Some(false)));
        let open = pb::FastenerInspection { pitted: None, ..good };
        assert_eq!(used(open), (pb::FastenerVerdict::Unknown, None));
    }

    #[test]
    fn an_empty_question_lacks_both_sets() {
        let error = CompareFasteners::read(&pb::CompareFastenersRequest::default(), Book::demo()).unwrap_err();
        assert_eq!(paths(&error), ["specified", "offered"]);
        let half = pb::CompareFastenersRequest {
            specified: Some(pb::FastenerSet::default()),
            grip: Some(pb::Length { value_mm: Some(-1.0), ..Default::default() }),
            ..Default::default()
        };
        let error = CompareFasteners::read(&half, Book::demo()).unwrap_err();
        assert_eq!(paths(&error), ["specified.bolt", "offered", "grip.value_mm"]);
    }
}
