//! The off-road class of a vehicle, and whether fitted gear costs it.

use crate::{
    basis::{Basis, Seen, Source},
    calc::{
        clearance::{Governed, Underside, clearances},
        sag::Pose,
    },
    error::CalcError,
    range::Range,
    units::{Angle, Length},
};

/// Where the European class is published.
pub const CLASS_G_SOURCE: Source =
    Source::new("Directive 87/403/EEC, off-road class G, as quoted in a legal glossary", "1987", Seen::Opened);
/// Where the North American one is published.
pub const LIGHT_TRUCK_SOURCE: Source = Source::new("49 CFR 523.5, light truck by geometry", "", Seen::FromMemory);

/// Allowed angle.
pub const ANGLE: Range = Range::new("angle_deg", "deg", 0.0, 90.0);
/// Allowed clearance.
pub const CLEARANCE: Range = Range::new("clearance_mm", "mm", 0.0, 2000.0);

/// The measures a class looks at. What nobody measured is `None`, never fulfilled.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Measures {
    /// Approach angle.
    pub approach: Option<Angle>,
    /// Departure angle, with the gear in that is fitted for good.
    pub departure: Option<Angle>,
    /// Ramp angle.
    pub ramp: Option<Angle>,
    /// Clearance under the front axle.
    pub front_axle: Option<Length>,
    /// Clearance under the rear axle.
    pub rear_axle: Option<Length>,
    /// Clearance between the axles.
    pub between: Option<Length>,
}

/// Which class.
pub use crate::model::upfit::OffRoadClass as Class;

/// One measure of a class.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Criterion {
    /// Approach angle.
    Approach,
    /// Departure angle.
    Departure,
    /// Ramp angle.
    Ramp,
    /// Clearance under the front axle.
    FrontAxle,
    /// Clearance under the rear axle.
    RearAxle,
    /// Clearance between the axles.
    Between,
    /// Clearance under both axles.
    BothAxles,
}

/// A measure against its least value, degrees or millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Item {
    /// Which.
    pub criterion: Criterion,
    /// What was measured.
    pub value: Option<f64>,
    /// What the class asks for.
    pub least: f64,
}

impl Item {
    /// Returns whether it is fulfilled; `None` when nobody measured it.
    #[must_use]
    pub fn holds(&self) -> Option<bool> {
        // An angle that is its limit exactly comes out a few parts in 10¹⁶ off in degrees.
        self.value.map(|value| value >= self.least - 1e-9)
    }
}

/// What a class test comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct ClassTest {
    /// The measures.
    pub items: Vec<Item>,
    /// How many have to hold.
    pub needed: usize,
}

impl ClassTest {
    /// Returns how many hold.
    #[must_use]
    pub fn held(&self) -> usize {
        self.items.iter().filter(|item| item.holds() == Some(true)).count()
    }

    /// Returns whether the geometry is of the class: `None` while what nobody measured could decide it.
    #[must_use]
    pub fn passes(&self) -> Option<bool> {
        let unknown = self.items.iter().filter(|item| item.holds().is_none()).count();
        if self.held() >= self.needed {
            Some(true)
        } else if self.held() + unknown < self.needed {
            Some(false)
        } else {
            None
        }
    }
}

/// Tests the geometry of a vehicle for a class.
///
/// ```text
/// Europe         five of: approach ≥ 25°, departure ≥ 20°, ramp ≥ 20°, front axle ≥ 180, rear ≥ 180, between ≥ 200 mm
/// North America  four of: approach ≥ 28°, ramp ≥ 14°, departure ≥ 20°, between ≥ 200, both axles ≥ 180 mm
/// ```
///
/// # Errors
///
/// [`CalcError::OutOfRange`] for [`ANGLE`] or [`CLEARANCE`].
///
/// # Source
///
/// Directive 87/403/EEC as quoted; 49 CFR 523.5 from memory.
pub fn class_test(class: Class, measures: &Measures) -> Result<ClassTest, CalcError> {
    let deg = |angle: Option<Angle>| angle.map(|angle| ANGLE.check(angle.deg())).transpose();
    let mm = |length: Option<Length>| length.map(|length| CLEARANCE.check(length.mm())).transpose();
    let (approach, departure, ramp) = (deg(measures.approach)?, deg(measures.departure)?, deg(measures.ramp)?);
    let (front, rear, between) = (mm(measures.front_axle)?, mm(measures.rear_axle)?, mm(measures.between)?);
    let item = |criterion, value, least| Item { criterion, value, least };
    Ok(match class {
        Class::EuropeanG => ClassTest {
            items: vec![
                item(Criterion::Approach, approach, 25.0),
                item(Criterion::Departure, departure, 20.0),
                item(Criterion::Ramp, ramp, 20.0),
                item(Criterion::FrontAxle, front, 180.0),
                item(Criterion::RearAxle, rear, 180.0),
                item(Criterion::Between, between, 200.0),
            ],
            needed: 5,
        },
        Class::UsLightTruck => {
            // One axle that is known to be too low decides, whatever the other is.
            let both = match (front, rear) {
                (Some(front), Some(rear)) => Some(front.min(rear)),
                (Some(one), None) | (None, Some(one)) if one < 180.0 => Some(one),
                _ => None,
            };
            ClassTest {
                items: vec![
                    item(Criterion::Approach, approach, 28.0),
                    item(Criterion::Ramp, ramp, 14.0),
                    item(Criterion::Departure, departure, 20.0),
                    item(Criterion::Between, between, 200.0),
                    item(Criterion::BothAxles, both, 180.0),
                ],
                needed: 4,
            }
        }
    })
}

/// Takes the measures off an underside.
///
/// Parts within half a tyre's radius of a hub are its axle's; what lies between is the clearance between the axles. What
/// has no point there was not measured and stays unknown.
///
/// # Errors
///
/// As [`clearances`]; an angle alone that cannot be told is unknown.
pub fn measures(underside: &Underside<'_>, pose: &Pose) -> Result<Measures, CalcError> {
    let found = clearances(underside, pose)?;
    let wheels = pose.wheels();
    let (length, front, rear) = (wheels.wheelbase.mm(), wheels.front_radius.mm() / 2.0, wheels.rear_radius.mm() / 2.0);
    let lowest = |low: f64, high: f64| {
        let within = underside.placed(pose).filter(|(_, point)| (low..=high).contains(&point.station.mm()));
        within.map(|(_, point)| point.height).reduce(Length::min)
    };
    // Nothing asks for more than a right angle, and a point far up between the axles may exceed it.
    let angle =
        |found: Result<Governed, CalcError>| found.ok().map(|it| Angle::from_deg(it.angle.deg().min(ANGLE.max)));
    Ok(Measures {
        approach: angle(found.approach),
        departure: angle(found.departure),
        ramp: angle(found.ramp),
        front_axle: lowest(-front, front),
        rear_axle: lowest(length - rear, length + rear),
        between: lowest(front, length - rear),
    })
}

/// Returns whether gear costs a vehicle its class: `None` when either state is undecided.
///
/// # Errors
///
/// As [`class_test`].
pub fn lost(class: Class, before: &Measures, after: &Measures) -> Result<Option<bool>, CalcError> {
    let (before, after) = (class_test(class, before)?.passes(), class_test(class, after)?.passes());
    Ok(match (before, after) {
        (Some(false), _) => Some(false),
        (Some(true), Some(after)) => Some(!after),
        _ => None,
    })
}

/// Returns the step behind [`class_test`].
#[must_use]
pub fn basis(class: Class) -> Vec<Basis> {
    vec![match class {
        Class::EuropeanG => Basis::new("off-road-class-g", "five of six measures", CLASS_G_SOURCE, &[]),
        Class::UsLightTruck => Basis::new("light-truck-geometry", "four of five measures", LIGHT_TRUCK_SOURCE, &[]),
    }]
}

#[cfg(test)]
mod handbook {
    use proptest::prelude::*;

    use super::*;

    /// Criterion and least value as printed, degrees or millimetres.
    #[rustfmt::skip]
    const G: &[(Criterion, f64)] = &[
        (Criterion::Approach, 25.0), (Criterion::Departure, 20.0), (Criterion::Ramp, 20.0),
        (Criterion::FrontAxle, 180.0), (Criterion::RearAxle, 180.0), (Criterion::Between, 200.0),
    ];
    #[rustfmt::skip]
    const TRUCK: &[(Criterion, f64)] = &[
        (Criterion::Approach, 28.0), (Criterion::Ramp, 14.0), (Criterion::Departure, 20.0),
        (Criterion::Between, 200.0), (Criterion::BothAxles, 180.0),
    ];

    fn limits() -> Measures {
        Measures {
            approach: Some(Angle::from_deg(25.0)),
            departure: Some(Angle::from_deg(20.0)),
            ramp: Some(Angle::from_deg(20.0)),
            front_axle: Some(Length::from_mm(180.0)),
            rear_axle: Some(Length::from_mm(180.0)),
            between: Some(Length::from_mm(200.0)),
        }
    }

    #[test]
    fn limits_are_the_printed_ones() {
        for (class, rows, source, needed) in [
            (Class::EuropeanG, G, "87/403/EEC as quoted in a glossary, opened", 5),
            (Class::UsLightTruck, TRUCK, "49 CFR 523.5, from memory", 4),
        ] {
            let test = class_test(class, &Measures::default()).unwrap();
            let got: Vec<_> = test.items.iter().map(|item| (item.criterion, item.least)).collect();
            assert_eq!((got.as_slice(), test.needed), (rows, needed), "{source}");
            assert_eq!(test.passes(), None, "unknown is never fulfilled");
        }
    }

    #[test]
    fn a_vehicle_on_every_limit_passes_and_a_receiver_may_cost_it_the_class() {
        let before = Measures { ramp: Some(Angle::from_deg(18.0)), ..limits() };
        assert_eq!(class_test(Class::EuropeanG, &before).unwrap().passes(), Some(true));
        let after = Measures { departure: Some(Angle::from_deg(11.5749)), ..before };
        assert_eq!(lost(Class::EuropeanG, &before, &after), Ok(Some(true)));
        assert_eq!(lost(Class::EuropeanG, &after, &after), Ok(Some(false)));
        assert_eq!(lost(Class::EuropeanG, &before, &Measures { departure: None, ..before }), Ok(None));
        let bad = Measures { approach: Some(Angle::from_deg(-1.0)), ..limits() };
        assert_eq!(class_test(Class::EuropeanG, &bad).unwrap_err().field(), "angle_deg");
    }

    fn maybe(most: f64) -> impl Strategy<Value = Option<f64>> {
        prop::option::of(0.0..most)
    }

    proptest! {
        /// Every way the unknowns could turn out, tried one by one, comes to the same verdict.
        #[test]
        fn undecided_means_that_it_could_go_either_way(
            a in maybe(40.0), d in maybe(40.0), r in maybe(40.0), f in maybe(300.0), q in maybe(300.0), b in maybe(300.0),
            truck in any::<bool>(),
        ) {
            let class = if truck { Class::UsLightTruck } else { Class::EuropeanG };
            let of = |v: [Option<f64>; 6]| Measures {
                approach: v[0].map(Angle::from_deg), departure: v[1].map(Angle::from_deg), ramp: v[2].map(Angle::from_deg),
                front_axle: v[3].map(Length::from_mm), rear_axle: v[4].map(Length::from_mm), between: v[5].map(Length::from_mm),
            };
            let given = [a, d, r, f, q, b];
            let (mut yes, mut no) = (false, false);
            for mask in 0..64_u32 {
                let mut filled = given;
                for (index, slot) in filled.iter_mut().enumerate() {
                    let good = mask >> index & 1 == 1;
                    *slot = Some(slot.unwrap_or(match (good, index < 3) { (false, _) => 0.0, (true, true) => 60.0, (true, false) => 500.0 }));
                }
                match class_test(class, &of(filled)).unwrap().passes() {
                    Some(true) => yes = true,
                    Some(false) => no = true,
                    None => prop_assert!(false, "all is known"),
                }
            }
            let expected = match (yes, no) { (true, false) => Some(true), (false, true) => Some(false), _ => None };
            prop_assert_eq!(class_test(class, &of(given)).unwrap().passes(), expected);
        }
    }
}
