//! A driver at the depot: will it drag on the ramp, empty and laden, and does the new receiver mend it?

use baybook_proto::v1 as pb;

use crate::{bay::plan, driver::Driver};

/// The swap at hand: a low receiver comes off, one tucked up goes on; crew and cargo ride along.
fn swap() -> pb::UpfitPlan {
    let old = pb::receiver_ref::Receiver::Name("receivers/van-low".to_owned());
    let mut plan = plan();
    plan.replaced_receiver = Some(pb::ReceiverRef { receiver: Some(old) });
    plan.items.push(pb::LoadItem {
        label: "cargo".to_owned(),
        mass: Some(pb::Mass { value_kg: Some(400.0), printed: String::new() }),
        station_mm: Some(3300.0),
        permanent: false,
    });
    plan
}

pub fn a_driver_asks_whether_it_drags_on_the_depot_ramp(driver: &mut impl Driver) {
    let rolled = driver.roll_over(swap(), "terrains/north-depot-ramp").expect("the plan is complete");
    let one = |gear: pb::FittedGear, laden: bool, way: pb::RollWay| {
        let fits = |state: &&pb::RolledState| state.gear() == gear && state.laden == laden && state.way() == way;
        rolled.states.iter().find(fits).expect("every state is rolled both ways")
    };
    // Worked sweep of an invented van, derived: 15 % up, the belly over the crest, 65.3987 mm at 4.2539 degrees.
    let bare = one(pb::FittedGear::Bare, false, pb::RollWay::There).least.as_ref().expect("it comes near somewhere");
    assert!((bare.gap_mm.expect("a gap") - 65.3987).abs() < 0.01, "{bare:?}");
    assert!((bare.pitch_deg.expect("a pitch") - 4.2539).abs() < 0.5e-4, "{bare:?}");
    assert_eq!((bare.part.as_str(), bare.ground_corner_position), ("belly", Some(2)));
    // The old receiver drags laden, with its ball mount in; the new one does not, but is too near for 25 mm.
    for way in [pb::RollWay::There, pb::RollWay::Back] {
        let old = one(pb::FittedGear::ReplacedAndBallMount, true, way);
        assert_eq!(old.verdict(), pb::RollVerdict::Touches, "{old:?}");
        assert!(old.first_touch.is_some());
        let new = one(pb::FittedGear::ReceiverAndBallMount, true, way);
        assert_eq!(new.verdict(), pb::RollVerdict::UnderMargin, "{new:?}");
        // What is laden sinks: it never comes less near than empty.
        let empty = one(pb::FittedGear::ReceiverAndBallMount, false, way);
        let gap = |state: &pb::RolledState| state.least.as_ref().and_then(|least| least.gap_mm);
        assert!(gap(new) < gap(empty));
    }
    let laden = rolled.swaps.iter().filter(|swap| swap.laden && swap.ball_mount);
    assert!(laden.clone().count() == 2 && laden.clone().all(|swap| !swap.newly_touches), "{:?}", rolled.swaps);
    let refused = driver.roll_over(swap(), "terrains/north-depot-ram").expect_err("no such terrain");
    refused.expect(4, &["terrains/north-depot-ramp"]);
}
