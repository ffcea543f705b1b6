//! Choosing a torque wrench: the question from the wire, the ranking to the wire.

use std::sync::Arc;

use baybook_core::{
    calc::{
        adapter,
        wrench_choice::{self, Crowfoot, Fitness, Job, Objection, Weighed, choose},
    },
    error::CalcError,
    model::wrench::Wrench,
    units::{Angle, Length, Torque},
};
use baybook_proto::v1 as pb;

use super::{
    Fields, Lookup, WireError,
    basis::{basis_to_wire, caution},
    fields::LIST_MAX,
    ranges,
    tightening::steps,
};

/// A question which wrench to take.
#[derive(Debug, Clone, PartialEq)]
pub struct ChooseWrench {
    /// What it is wanted for.
    pub job: Job,
    /// The wrenches to choose from; nothing for all of the book.
    pub wrenches: Option<Vec<Arc<Wrench>>>,
}

impl ChooseWrench {
    /// Reads the question.
    ///
    /// # Errors
    ///
    /// [`WireError`] with every violation.
    pub fn read(wire: &pb::ChooseWrenchRequest, lookup: &impl Lookup) -> Result<Self, WireError> {
        let mut fields = Fields::default();
        let asked = Self::from_request(wire, lookup, &mut fields);
        fields.finish(asked)
    }

    fn from_request(wire: &pb::ChooseWrenchRequest, lookup: &impl Lookup, fields: &mut Fields) -> Option<Self> {
        fields.required("torque", wire.torque.as_ref());
        let torque = fields.torque("torque", wire.torque.as_ref(), &ranges::TORQUE);
        let day = fields.needed_day("day", &wire.day);
        let passes = fields.choice("steps", wire.steps, steps);
        let adapter = wire.adapter.as_ref().map(|adapter| fields.under("adapter", |fields| crowfoot(adapter, fields)));
        let accuracy_max = fields.number("accuracy_max_share", wire.accuracy_max_share, &ranges::ACCURACY);
        let wrenches = fields.each("wrenches", &wire.wrenches, LIST_MAX, |wrench, fields| {
            // The element itself is the reference: its own fields are `name` and `spec`.
            fields.entry_here::<Wrench>(wrench, lookup)
        });
        let wrenches = (!wire.wrenches.is_empty()).then_some(wrenches);
        let crowfoot = match adapter {
            Some(crowfoot) => Some(crowfoot?),
            None => None,
        };
        Some(Self { job: Job { torque: torque?, passes, crowfoot, day: day?, accuracy_max }, wrenches })
    }

    /// Ranks wrenches.
    ///
    /// # Errors
    ///
    /// [`CalcError`] for what no wrench can be weighed by.
    pub fn answer(&self, wrenches: &[Arc<Wrench>], revision: i64) -> Result<pb::ChooseWrenchResponse, CalcError> {
        let ranked = choose(&self.job, wrenches.iter().map(Arc::as_ref))?;
        let count = |fitness| whole(ranked.iter().filter(|one| one.fitness == fitness).count());
        let weighed = (1..).zip(ranked.iter().take(LIST_MAX));
        Ok(pb::ChooseWrenchResponse {
            wrenches: weighed.filter_map(|(rank, one)| Some(to_wire(one, wrenches.get(one.index)?, rank))).collect(),
            fit_count: count(Fitness::Fit),
            unknown_count: count(Fitness::Unknown),
            unfit_count: count(Fitness::Unfit),
            permitted_share: Some(adapter::permissible_deviation(self.job.torque)),
            basis: basis_to_wire(&wrench_choice::basis(&self.job)),
            cautions: self.cautions(),
            revision,
        })
    }

    fn cautions(&self) -> Vec<pb::Caution> {
        let mut all = vec![
            caution("read-the-certificate", "the book is no certificate: read range and due date on the wrench itself"),
            caution(
                "no-impact-wrench",
                "an impact wrench is no control: it runs the nut down, a torque wrench tightens it",
            ),
        ];
        if self.job.crowfoot.is_some() {
            all.push(caution(
                "grip-at-load-point",
                "with an adapter the setting holds only for a hand at the marked load point of the grip",
            ));
        }
        all
    }
}

fn crowfoot(wire: &pb::Adapter, fields: &mut Fields) -> Option<Crowfoot> {
    let lever = fields.number("lever_mm", wire.lever_mm, &ranges::LEVER).map(Length::from_mm);
    let extension = fields.needed("offset_mm", wire.offset_mm, &ranges::EXTENSION);
    let angle = fields.needed("angle_deg", wire.angle_deg, &ranges::ADAPTER_ANGLE);
    Some(Crowfoot { lever, extension: Length::from_mm(extension?), angle: Angle::from_deg(angle?) })
}

fn whole(count: usize) -> i32 {
    i32::try_from(count).unwrap_or(i32::MAX)
}

fn to_wire(one: &Weighed, wrench: &Wrench, rank_position: i32) -> pb::WeighedWrench {
    pb::WeighedWrench {
        name: wrench.name.clone(),
        label: wrench.label.clone(),
        suits: match one.fitness {
            Fitness::Fit => pb::Suits::Yes,
            Fitness::Unknown => pb::Suits::Unknown,
            Fitness::Unfit => pb::Suits::No,
        }
        .into(),
        rank_position,
        setting_n_m: one.setting.map(Torque::n_m),
        first_setting_n_m: one.first_setting.map(Torque::n_m),
        scale_share: one.scale_share,
        deviation_n_m: one.deviation.map(Torque::n_m),
        reasons: one.objections.iter().map(|objection| reason(objection, one.setting)).collect(),
    }
}

/// Says why in a sentence.
fn reason(objection: &Objection, setting: Option<Torque>) -> pb::WrenchReason {
    let n_m = |torque: &Torque| format!("{:.1} N·m", torque.n_m());
    let set =
        setting.as_ref().map_or_else(|| "the setting".to_owned(), |setting| format!("a setting of {}", n_m(setting)));
    let text = match objection {
        Objection::BelowScale { least } => format!("{set} lies under its scale, which begins at {}", n_m(least)),
        Objection::LowOnScale { least } => {
            format!("{set} lies in the lowest fifth of its scale, which is good from {}", n_m(least))
        }
        Objection::AboveScale { most } => format!("{set} lies over its scale, which ends at {}", n_m(most)),
        Objection::FirstStepLow { setting, least } => {
            format!("the first step of {} lies under what its scale is good for, {}", n_m(setting), n_m(least))
        }
        Objection::CalibrationPast { due } => format!("its calibration held until {due}"),
        Objection::TooInaccurate { share, most } => {
            format!("it may be off by {:.1} %, {:.1} % are allowed", share * 100.0, most * 100.0)
        }
        Objection::NoLeverLeft => "turned back, the adapter leaves less than a tenth of its lever".to_owned(),
        Objection::ScaleStartUnknown => "nobody says where its scale begins".to_owned(),
        Objection::ScaleEndUnknown => "nobody says where its scale ends".to_owned(),
        Objection::CalibrationUnknown => "nobody says until when its calibration holds".to_owned(),
        Objection::AccuracyUnknown => "nobody says how far it may be off".to_owned(),
        Objection::LeverUnknown => "nobody says how long its lever is, which the adapter needs".to_owned(),
    };
    pb::WrenchReason { text, field: objection.field().to_owned(), unknown: objection.is_unknown() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wire::{
        Spec,
        fixture::{self, Book, n_m, paths},
    };

    fn wrenches() -> Vec<Arc<Wrench>> {
        let all = fixture::entries().iter().filter_map(|entry| match Book::demo().find(&entry.name)? {
            Spec::Wrench(wrench) => Some(wrench),
            _ => None,
        });
        all.collect()
    }

    fn asked() -> pb::ChooseWrenchRequest {
        pb::ChooseWrenchRequest { torque: n_m(66.0), day: "2026-11-26".to_owned(), ..Default::default() }
    }

    #[test]
    fn the_wrenches_of_a_shop_are_ranked_with_why_not() {
        let told = ChooseWrench::read(&asked(), Book::demo()).unwrap().answer(&wrenches(), 1).unwrap();
        let names: Vec<_> = told.wrenches.iter().map(|one| one.name.as_str()).collect();
        // Both clicks are good to 4 %, and 66 N·m lies on the lowest fifth of the larger one.
        assert_eq!(names, ["wrenches/click-200", "wrenches/dial-80", "wrenches/click-340"]);
        assert_eq!([told.fit_count, told.unknown_count, told.unfit_count], [2, 0, 1]);
        let [why] = told.wrenches[2].reasons.as_slice() else { panic!("{:?}", told.wrenches[2]) };
        assert_eq!(
            why.text,
            "a setting of 66.0 N·m lies in the lowest fifth of its scale, which is good from 68.0 N·m"
        );
        assert!(told.wrenches[0].reasons.is_empty() && told.permitted_share == Some(0.04));
        let later = pb::ChooseWrenchRequest { day: "2026-12-02".to_owned(), ..asked() };
        let told = ChooseWrench::read(&later, Book::demo()).unwrap().answer(&wrenches(), 1).unwrap();
        let dial = told.wrenches.iter().find(|one| one.name == "wrenches/dial-80").unwrap();
        assert_eq!(dial.reasons[0].text, "its calibration held until 2026-12-01");
    }

    #[test]
    fn only_those_named_are_weighed() {
        let named = |name: &str| pb::WrenchRef { wrench: Some(pb::wrench_ref::Wrench::Name(name.to_owned())) };
        let own = pb::WrenchRef {
            wrench: Some(pb::wrench_ref::Wrench::Spec(Box::new(pb::Wrench {
                label: "own".to_owned(),
                ..Default::default()
            }))),
        };
        let two = pb::ChooseWrenchRequest { wrenches: vec![named("wrenches/click-200"), own], ..asked() };
        let asked = ChooseWrench::read(&two, Book::demo()).unwrap();
        let told = asked.answer(asked.wrenches.as_deref().unwrap(), 1).unwrap();
        assert_eq!([told.fit_count, told.unknown_count, told.unfit_count], [1, 1, 0]);
        assert!(told.wrenches[1].reasons.iter().all(|reason| reason.unknown));
        let lost = pb::ChooseWrenchRequest { wrenches: vec![named("wrenches/clack"), pb::WrenchRef::default()], ..two };
        let error = ChooseWrench::read(&lost, Book::demo()).unwrap_err();
        assert_eq!(paths(&error), ["wrenches[1]"]);
        assert_eq!(error.not_found[0].field, "wrenches[0].name");
    }

    #[test]
    fn everything_that_is_missing_is_told() {
        let read = |wire: &pb::ChooseWrenchRequest| ChooseWrench::read(wire, Book::demo()).unwrap_err();
        assert_eq!(paths(&read(&pb::ChooseWrenchRequest::default())), ["torque", "day"]);
        let bad = pb::ChooseWrenchRequest {
            day: "tomorrow".to_owned(),
            adapter: Some(pb::Adapter { lever_mm: Some(5.0), offset_mm: None, angle_deg: Some(0.0) }),
            accuracy_max_share: Some(4.0),
            ..asked()
        };
        assert_eq!(paths(&read(&bad)), ["day", "adapter.lever_mm", "adapter.offset_mm", "accuracy_max_share"]);
    }
}
