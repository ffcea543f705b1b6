//! What a batch of plans must be checked for, requirement by requirement, and which rules do it.
//!
//! The list is that of the trade, in our own words; its numbers are no names and appear nowhere else. A test holds it
//! against the rules there are: every requirement has at least one, and none names a rule that is gone.

/// One requirement.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Requirement {
    /// Its place in the list, from 1.
    pub number: u8,
    /// What must come up when it happens.
    pub what: &'static str,
    /// The rules that tell it.
    pub rules: &'static [&'static str],
}

const fn tells(number: u8, what: &'static str, rules: &'static [&'static str]) -> Requirement {
    Requirement { number, what, rules }
}

/// Every requirement.
#[rustfmt::skip]
pub const REQUIREMENTS: [Requirement; 76] = [
    tells(1, "a vehicle number that is not seventeen allowed characters", &["vin-length"]),
    tells(2, "a check digit that does not fit, where the market has one", &["vin-check-digit"]),
    tells(3, "another model year on the order than in the vehicle number", &["vin-model-year"]),
    tells(4, "one vehicle number with two plans in a batch", &["vin-twice"]),
    tells(5, "a vehicle that the kit is not made for", &["fit-list"]),
    tells(6, "specifications older than the vehicle or its label", &["spec-stale"]),
    tells(7, "pounds read as kilograms", &["unit-slip"]),
    tells(8, "a load ahead of the front end or behind the ball", &["station-slip"]),
    tells(9, "a vehicle over its gross rating", &["gvwr"]),
    tells(10, "a front axle over its rating", &["gawr-front"]),
    tells(11, "a rear axle over its rating", &["gawr-rear", "rear-axle-without-bars"]),
    tells(12, "a train over its combination rating", &["gcwr"]),
    tells(13, "a tongue load that is counted twice", &["tongue-counted-twice"]),
    tells(14, "an order to raise the gross rating", &["gvwr-raised"]),
    tells(15, "no payload left", &["payload-gone"]),
    tells(16, "a front axle that hitching makes too light", &["front-axle-light", "pin-behind-axle"]),
    tells(17, "tyres that carry less than load or rating of their axle", &["tyre-load-front", "tyre-load-rear", "trailer-tyres"]),
    tells(18, "car tyres on a truck or trailer, counted in full", &["car-tyre-on-truck"]),
    tells(19, "different tyres on one axle, or marks that disagree", &["tyre-mix", "tyre-marks-disagree", "temporary-spare"]),
    tells(20, "a wheel that carries less than its share", &["wheel-rating"]),
    tells(21, "tyres of another diameter than the vehicle had", &["tyre-diameter-changed"]),
    tells(22, "a link without a stamp", &["rating-missing", "extension-unrated"]),
    tells(23, "a trailer over the weakest link", &["weakest-link-trailer", "trailer-over-own-rating", "trailer-axle"]),
    tells(24, "a tongue load over the weakest link", &["weakest-link-tongue", "jack-overloaded"]),
    tells(25, "a tongue too light for its trailer", &["tongue-share-low"]),
    tells(26, "a tongue too heavy for its trailer", &["tongue-share-high"]),
    tells(27, "a ball that is not the coupler's", &["ball-size", "pin-size", "fifth-wheel-on-ball", "two-couplings"]),
    tells(28, "a ball's shank that is not the mount's hole", &["ball-shank"]),
    tells(29, "a mount's shank that is not the receiver's tube", &["shank-size"]),
    tells(30, "an extension or adapter without a rating", &["extension-unrated"]),
    tells(31, "a receiver of a higher class than the vehicle's", &["hitch-class-over-vehicle"]),
    tells(32, "no spring bars where the maker asks for them", &["spring-bars-needed"]),
    tells(33, "spring bars where a maker forbids them", &["spring-bars-forbidden"]),
    tells(34, "bars that lift the front above its height unhitched, or hide an axle that is over", &["restoration-over-one", "rear-axle-without-bars"]),
    tells(35, "a coupling short of the D that the train needs", &["d-value"]),
    tells(36, "a coupling short of the vertical load", &["s-value", "u-value"]),
    tells(37, "a heavy centre-axle trailer on a coupling short of V, or without one", &["v-value"]),
    tells(38, "a bracket without an approval number where one is the law", &["approval-mark"]),
    tells(39, "other mounting points than the maker's", &["mounting-points"]),
    tells(40, "chains weaker than the trailer is heavy", &["chain-strength"]),
    tells(41, "a chain's working load taken for its strength", &["chain-working-load"]),
    tells(42, "chains hung on the ball mount or the bumper's skin", &["chain-anchor"]),
    tells(43, "no brakes on a trailer that must have them", &["brakes-required"]),
    tells(44, "brakes without a breakaway", &["breakaway-missing"]),
    tells(45, "electric brakes without a controller or a wire", &["brake-controller-missing", "brake-circuit-missing", "wiring-not-planned"]),
    tells(46, "too small an approach angle", &["approach-angle"]),
    tells(47, "too small a departure angle laden, or too much of it lost", &["departure-angle-laden", "departure-angle-unladen", "departure-worse-than-before"]),
    tells(48, "too small a ramp angle", &["ramp-angle-laden"]),
    tells(49, "an off-road class that is lost", &["off-road-class-lost"]),
    tells(50, "a part that touches the ground it must get over, or nearly", &["terrain-touch"]),
    tells(51, "a ball at another height than the law or the trailer asks for", &["ball-height", "trailer-level", "ball-height-of-policy"]),
    tells(52, "heights known unladen alone", &["laden-state-unknown"]),
    tells(53, "tyres off their pressure when heights were taken", &["pressure-when-measured"]),
    tells(54, "added mass that needs a label before the first sale", &["added-mass-label"]),
    tells(55, "mass of other shops that nobody summed", &["mass-history-unknown"]),
    tells(56, "work beyond attachable parts without the alterer's label", &["alterer-label"]),
    tells(57, "drilling, heat or routing near fuel or a traction battery", &["near-fuel", "wire-routing"]),
    tells(58, "a guard, shield or tow eye that is taken off", &["guard-removed"]),
    tells(59, "a lamp, plate, sensor or camera that is hidden", &["lamp-hidden"]),
    tells(60, "a plate lamp that was moved and neither wired nor tried", &["plate-lamp-untested"]),
    tells(61, "a wire that loses too much, or a bulb that gets too little", &["voltage-drop", "lamp-voltage"]),
    tells(62, "a fuse above what its wire takes", &["fuse-over-wire"]),
    tells(63, "a fuse at its limit all the time", &["fuse-under-load"]),
    tells(64, "a plug and a socket that signal differently, without a converter", &["socket-mismatch"]),
    tells(65, "the earths of a thirteen-pin plug joined", &["earths-joined"]),
    tells(66, "a wire through sheet metal without a grommet", &["wire-routing"]),
    tells(67, "a bolt without a torque reading at release", &["torque-reading-missing", "torque-reading-off"]),
    tells(68, "a wrench past its calibration at the reading", &["wrench-out-of-calibration"]),
    tells(69, "bolts of another class, size or length than the kit's", &["bolt-not-as-kit", "bolt-size", "bolt-class-lower"]),
    tells(70, "bolts tightened faster than anybody can", &["tightened-too-fast"]),
    tells(71, "a re-check that is due", &["recheck-due"]),
    tells(72, "a follow-up past its day", &["follow-up-overdue"]),
    tells(73, "no state or country", &["jurisdiction-missing"]),
    tells(74, "an open recall that touches the work", &["recall-open"]),
    tells(75, "structural rust at the mounts", &["rust-at-mounts"]),
    tells(76, "a value that only just keeps its limit", &["near-limit"]),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::find;

    #[test]
    fn every_requirement_has_a_rule_and_every_rule_named_is_there() {
        for (place, Requirement { number, what, rules }) in (1_u8..).zip(REQUIREMENTS) {
            assert_eq!(number, place, "{what}");
            assert!(!what.is_empty() && !what.ends_with('.'), "{number}");
            assert!(!rules.is_empty(), "{number}: {what} is told by no rule");
            for rule in rules {
                assert!(find(rule).is_some(), "{number}: there is no rule {rule}");
            }
        }
    }
}
