//! Our own past output: what moves here was changed by us and by no book.

use super::{
    caution::Caution::{self, *},
    tests::input,
    *,
};
use crate::{
    calc::adapter::Adapter,
    model::fastener::{IsoClass, SaeGrade},
    tables::friction,
    units::{Angle, Length},
};

/// Fastener, wrench, least preload, greatest preload, worst share of yield, scatter.
fn figures(advice: &TorqueAdvice) -> [String; 6] {
    [
        format!("{:.2} N·m", advice.fastener.nominal.n_m()),
        format!("{:.2} N·m", advice.wrench.nominal.n_m()),
        format!("{:.2} kN", advice.extremes.min.force.kn()),
        format!("{:.2} kN", advice.extremes.max.force.kn()),
        format!("{:.3}", advice.worst_yield_share.unwrap()),
        format!("{:.3}", advice.scatter_share),
    ]
}

fn named(name: &str) -> Condition {
    Condition::named(friction::named(name).unwrap())
}

#[test]
fn a_dry_zinc_joint_that_was_oiled() {
    let mut asked = input(Thread::read("1/2-13").unwrap(), BoltClass::Sae(SaeGrade::G5));
    asked.face = Face::Tabled;
    asked.mate = Some(Mate::Nut { class: Some(NutClass::Sae5), kind: Some(NutKind::Regular) });
    asked.target =
        Target::Specified { torque: Torque::from_lb_ft(75.0), condition: named("zinc-dry"), includes_prevailing: None };
    asked.actual = named("zinc-oiled");
    asked.window = Some(Window::Share(0.10));
    let advice = adjust_torque(&asked).unwrap();
    assert_eq!(figures(&advice), ["76.26 N·m", "76.26 N·m", "20.79 kN", "66.06 kN", "1.208", "0.456"]);
    let cautions: Vec<Caution> = advice.cautions.iter().collect();
    #[rustfmt::skip]
    assert_eq!(cautions, [
        MakerOverrides, PreloadIsABand, Converted, FaceFromTables, OverProof, OverYield, AccuracyUnknown, BreaksEarlier,
        WidePreload,
    ]);
}

#[test]
fn a_galvanised_joint_with_a_crowfoot() {
    let mut asked = input(Thread::read("M10").unwrap(), BoltClass::Iso(IsoClass::C8_8));
    asked.face = Face::Tabled;
    asked.mate = Some(Mate::Nut { class: Some(NutClass::Iso8), kind: Some(NutKind::Regular) });
    asked.hot_dip_galvanised = Some(true);
    asked.target = Target::ShareOfProof(0.75);
    asked.actual = named("galvanised-greased");
    asked.adapter =
        Some(Adapter { lever: Length::from_mm(400.0), extension: Length::from_mm(50.0), angle: Angle::from_deg(0.0) });
    asked.wrench = Some(WrenchScale {
        min: Some(Torque::from_n_m(10.0)),
        max: Some(Torque::from_n_m(100.0)),
        accuracy_share: Some(0.04),
    });
    asked.window = Some(Window::Share(0.10));
    let advice = adjust_torque(&asked).unwrap();
    assert_eq!(figures(&advice), ["41.19 N·m", "36.62 N·m", "16.97 kN", "40.34 kN", "1.169", "0.304"]);
    let cautions: Vec<Caution> = advice.cautions.iter().collect();
    #[rustfmt::skip]
    assert_eq!(cautions, [
        MakerOverrides, PreloadIsABand, FaceFromTables, OverProof, OverYield, HotDipGalvanised, GripAtLoadPoint,
        BreaksEarlier, WidePreload,
    ]);
}
