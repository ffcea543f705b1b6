//! The rule book: one rule a file, one visible list, and the report they make.
//!
//! A finding is never an error: a plan full of faults is read, judged and answered like any other.
//! What is unknown is never fine: a rule that misses an input says so, and the plan is not clear.
//!
//! To add a rule, write `rules/my_rule.rs` with its tests, declare the file, and put it where it belongs in [`RULES`];
//! the list's order is the report's order.

use crate::basis::Source;

mod added_mass_label;
mod alterer_label;
mod approach_angle;
mod approval_mark;
mod ball_height;
mod ball_height_of_policy;
mod ball_shank;
mod ball_size;
mod bolt_class_lower;
mod bolt_not_as_kit;
mod bolt_overloaded;
mod bolt_sheared;
mod bolt_size;
mod bolt_too_long;
mod bolt_too_short;
mod brake_circuit_missing;
mod brake_controller_missing;
mod brakes_required;
mod breakaway_missing;
mod brittle_bolt;
mod cab_clearance;
mod captive_nut_loose;
mod car_tyre_on_truck;
mod chain_anchor;
mod chain_strength;
mod chain_working_load;
mod charge_circuit_missing;
mod clearance_limit_unset;
mod coated_interface;
mod d_value;
mod departure_angle_laden;
mod departure_angle_unladen;
mod departure_worse_than_before;
mod drop_over_policy;
mod earths_joined;
mod edge_distance_short;
mod engagement_short;
pub mod examples;
mod extension_unrated;
mod fifth_wheel_on_ball;
mod fit_list;
mod follow_up_overdue;
mod front_axle_light;
mod fuse_far;
mod fuse_over_wire;
mod fuse_under_load;
mod gawr_front;
mod gawr_rear;
mod gcwr;
mod guard_removed;
mod gvwr;
mod gvwr_raised;
mod hitch_class_over_vehicle;
mod hitch_height_laden;
mod hole_bearing;
mod hot_dip_nut;
mod inspection_open;
mod jack_knife_contact;
mod jack_overloaded;
mod joint_into_yield;
mod joint_not_planned;
mod joint_over_proof;
mod joint_separates;
mod joint_slips;
mod joint_torque_for_condition;
mod joint_under_preload;
mod jurisdiction_missing;
mod laden_state_unknown;
mod lamp_hidden;
mod lamp_voltage;
mod locking_nut_reused;
mod margin_of_policy;
mod mass_history_unknown;
mod method_not_scalable;
mod mounting_points;
mod near_fuel;
mod near_limit;
mod nut_class_low;
mod nut_over_proof;
mod off_road_class_lost;
mod payload_gone;
mod pin_behind_axle;
mod pin_conductor_thin;
mod pin_size;
mod plate_lamp_untested;
mod policy_looser;
mod pressure_under_head;
mod pressure_under_nut;
mod pressure_when_measured;
mod rail_clearance;
mod ramp_angle_laden;
mod rating_missing;
mod rear_axle_without_bars;
mod recall_open;
mod recheck_due;
mod restoration_over_one;
mod reused_bolt_inspection;
pub mod run;
mod rust_at_mounts;
mod s_value;
mod shank_size;
mod single_use_bolt_reused;
mod socket_mismatch;
mod spec_stale;
mod spring_bars_forbidden;
mod spring_bars_needed;
mod stainless_dry;
mod station_slip;
mod tail_swing;
mod tear_out;
mod temporary_spare;
mod terrain_touch;
mod thread_clash;
mod tightened_too_fast;
mod tongue_counted_twice;
mod tongue_share_high;
mod tongue_share_low;
mod torque_reading_missing;
mod torque_reading_off;
mod trailer_axle;
mod trailer_level;
mod trailer_over_own_rating;
mod trailer_tyres;
mod two_couplings;
mod tyre_diameter_changed;
mod tyre_load_front;
mod tyre_load_rear;
mod tyre_marks_disagree;
mod tyre_mix;
mod u_value;
mod unit_slip;
mod v_value;
mod vin_check_digit;
mod vin_length;
mod vin_model_year;
mod vin_twice;
mod voltage_drop;
mod washer_covers_face;
mod washer_fit;
mod washer_on_fillet;
mod washer_soft;
mod weakest_link_tongue;
mod weakest_link_trailer;
mod wheel_rating;
mod wire_routing;
mod wiring_not_planned;
mod wrench_calibration;
mod wrench_deviation;
mod wrench_out_of_calibration;
mod wrench_range;

pub use run::{
    case::{Case, point_label},
    figures::{ClearanceFigures, Figures, JointFigures, Known, Unknown},
    finding::{Finding, Findings},
    ground::Rolls,
    judge::{check, check_briefly, check_rolled},
    parts::Parts,
    report::{Report, Verdict},
    wiring::{Wiring, check_wiring},
};

/// How much a finding weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Worth knowing; changes nothing.
    Info,
    /// Worth a second look; the plan may go on.
    Warn,
    /// A person must decide before the plan goes on.
    Review,
    /// The plan must not go on as it is.
    Block,
}

impl Severity {
    /// Returns the word printed in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Info => "INFO",
            Self::Warn => "WARN",
            Self::Review => "REVIEW",
            Self::Block => "BLOCK",
        }
    }
}

/// A check over one upfit plan.
#[derive(Debug)]
pub struct Rule {
    /// Its name for good: the file's stem with hyphens, in plain trade words.
    pub id: &'static str,
    /// The requirement, as a sentence without a full stop.
    pub title: &'static str,
    /// How much a breach weighs. Single findings may weigh less or more where the rule's docs say so.
    pub severity: Severity,
    /// Where the requirement comes from. A limit recalled from memory never blocks: it calls for a person.
    pub source: Source,
    /// The plan's fields it reads, as paths of the wire.
    pub needs: &'static [&'static str],
    /// What to do next when it speaks.
    pub remedy: &'static str,
    /// The check itself.
    pub check: fn(&Case<'_>, &mut Findings),
}

/// Every rule, in the order of the report.
pub static RULES: &[&Rule] = &[
    &jurisdiction_missing::RULE,
    &policy_looser::RULE,
    &vin_length::RULE,
    &vin_check_digit::RULE,
    &vin_model_year::RULE,
    &vin_twice::RULE,
    &fit_list::RULE,
    &fifth_wheel_on_ball::RULE,
    &two_couplings::RULE,
    &spec_stale::RULE,
    &unit_slip::RULE,
    &station_slip::RULE,
    &gvwr::RULE,
    &gawr_front::RULE,
    &gawr_rear::RULE,
    &rear_axle_without_bars::RULE,
    &restoration_over_one::RULE,
    &gcwr::RULE,
    &tongue_counted_twice::RULE,
    &payload_gone::RULE,
    &gvwr_raised::RULE,
    &front_axle_light::RULE,
    &tyre_load_front::RULE,
    &tyre_load_rear::RULE,
    &car_tyre_on_truck::RULE,
    &tyre_marks_disagree::RULE,
    &tyre_mix::RULE,
    &tyre_diameter_changed::RULE,
    &wheel_rating::RULE,
    &temporary_spare::RULE,
    &extension_unrated::RULE,
    &rating_missing::RULE,
    &weakest_link_trailer::RULE,
    &weakest_link_tongue::RULE,
    &trailer_over_own_rating::RULE,
    &trailer_axle::RULE,
    &trailer_tyres::RULE,
    &jack_overloaded::RULE,
    &tongue_share_low::RULE,
    &tongue_share_high::RULE,
    &pin_size::RULE,
    &pin_behind_axle::RULE,
    &ball_size::RULE,
    &ball_shank::RULE,
    &shank_size::RULE,
    &hitch_class_over_vehicle::RULE,
    &spring_bars_needed::RULE,
    &spring_bars_forbidden::RULE,
    &d_value::RULE,
    &s_value::RULE,
    &u_value::RULE,
    &v_value::RULE,
    &approval_mark::RULE,
    &chain_strength::RULE,
    &chain_working_load::RULE,
    &chain_anchor::RULE,
    &brakes_required::RULE,
    &breakaway_missing::RULE,
    &brake_controller_missing::RULE,
    &socket_mismatch::RULE,
    &wiring_not_planned::RULE,
    &brake_circuit_missing::RULE,
    &charge_circuit_missing::RULE,
    &earths_joined::RULE,
    &voltage_drop::RULE,
    &lamp_voltage::RULE,
    &fuse_over_wire::RULE,
    &fuse_under_load::RULE,
    &fuse_far::RULE,
    &pin_conductor_thin::RULE,
    &wire_routing::RULE,
    &laden_state_unknown::RULE,
    &clearance_limit_unset::RULE,
    &approach_angle::RULE,
    &departure_angle_unladen::RULE,
    &departure_angle_laden::RULE,
    &ramp_angle_laden::RULE,
    &hitch_height_laden::RULE,
    &departure_worse_than_before::RULE,
    &terrain_touch::RULE,
    &off_road_class_lost::RULE,
    &tail_swing::RULE,
    &jack_knife_contact::RULE,
    &cab_clearance::RULE,
    &rail_clearance::RULE,
    &pressure_when_measured::RULE,
    &ball_height::RULE,
    &ball_height_of_policy::RULE,
    &drop_over_policy::RULE,
    &trailer_level::RULE,
    &mass_history_unknown::RULE,
    &added_mass_label::RULE,
    &alterer_label::RULE,
    &mounting_points::RULE,
    &near_fuel::RULE,
    &guard_removed::RULE,
    &lamp_hidden::RULE,
    &plate_lamp_untested::RULE,
    &rust_at_mounts::RULE,
    &recall_open::RULE,
    &captive_nut_loose::RULE,
    &inspection_open::RULE,
    &joint_not_planned::RULE,
    &method_not_scalable::RULE,
    &joint_torque_for_condition::RULE,
    &joint_under_preload::RULE,
    &joint_over_proof::RULE,
    &joint_into_yield::RULE,
    &bolt_size::RULE,
    &bolt_class_lower::RULE,
    &nut_class_low::RULE,
    &thread_clash::RULE,
    &washer_soft::RULE,
    &washer_fit::RULE,
    &single_use_bolt_reused::RULE,
    &reused_bolt_inspection::RULE,
    &locking_nut_reused::RULE,
    &nut_over_proof::RULE,
    &hot_dip_nut::RULE,
    &brittle_bolt::RULE,
    &stainless_dry::RULE,
    &washer_covers_face::RULE,
    &washer_on_fillet::RULE,
    &wrench_range::RULE,
    &wrench_calibration::RULE,
    &wrench_deviation::RULE,
    &bolt_too_short::RULE,
    &bolt_too_long::RULE,
    &engagement_short::RULE,
    &pressure_under_head::RULE,
    &pressure_under_nut::RULE,
    &joint_separates::RULE,
    &joint_slips::RULE,
    &bolt_overloaded::RULE,
    &edge_distance_short::RULE,
    &hole_bearing::RULE,
    &tear_out::RULE,
    &bolt_sheared::RULE,
    &coated_interface::RULE,
    &torque_reading_missing::RULE,
    &torque_reading_off::RULE,
    &wrench_out_of_calibration::RULE,
    &bolt_not_as_kit::RULE,
    &tightened_too_fast::RULE,
    &recheck_due::RULE,
    &follow_up_overdue::RULE,
    &margin_of_policy::RULE,
    &near_limit::RULE,
];

/// Returns the rule of that id.
#[must_use]
pub fn find(id: &str) -> Option<&'static Rule> {
    RULES.iter().copied().find(|rule| rule.id == id)
}

#[cfg(test)]
mod laws;

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::basis::Seen;

    /// The list of files, as this file declares them.
    const THIS_FILE: &str = include_str!("rules.rs");

    #[test]
    fn ids_are_unique_file_stems() {
        let ids: BTreeSet<_> = RULES.iter().map(|rule| rule.id).collect();
        assert_eq!(ids.len(), RULES.len());
        let declared: BTreeSet<_> = THIS_FILE
            .lines()
            .filter_map(|line| line.strip_prefix("mod ")?.strip_suffix(';'))
            .filter(|stem| *stem != "laws")
            .map(|stem| stem.replace('_', "-"))
            .collect();
        let ids: BTreeSet<_> = ids.into_iter().map(str::to_owned).collect();
        assert_eq!(ids, declared, "every file is in the list, every rule is named after its file");
    }

    #[test]
    fn every_rule_says_what_where_from_and_what_next() {
        for rule in RULES {
            let Rule { id, title, source, remedy, needs, severity, .. } = rule;
            assert!(!title.is_empty() && !title.ends_with('.'), "{id}: {title}");
            assert!(!source.title.is_empty(), "{id}");
            assert!(remedy.ends_with('.') && remedy.len() > 10, "{id}: {remedy}");
            assert!(!needs.is_empty() || *id == "near-limit", "{id}");
            let plain = |id: &str| id.chars().all(|c| c.is_ascii_lowercase() || c == '-');
            assert!(plain(id) && !id.starts_with('-') && !id.ends_with('-'), "{id}");
            assert!(needs.iter().all(|path| !path.is_empty() && !path.contains(' ')), "{id}");
            assert!(*severity > Severity::Info, "{id}");
            assert!(find(id).is_some_and(|found| std::ptr::eq(found, *rule)), "{id}");
        }
        assert_eq!(RULES.last().map(|rule| rule.id), Some("near-limit"), "it reads what the others noted");
        assert!(find("no-such-rule").is_none());
    }

    #[test]
    fn every_file_tests_its_rule() {
        for rule in RULES {
            let text = source_of(rule.id);
            assert!(text.contains("mod tests") && text.contains("#[test]"), "{}", rule.id);
            assert!(text.contains(&format!("\"{}\"", rule.id)), "{}", rule.id);
        }
    }

    /// Reads a rule's own file.
    fn source_of(id: &str) -> String {
        let path = format!("{}/src/rules/{}.rs", env!("CARGO_MANIFEST_DIR"), id.replace('-', "_"));
        #[expect(clippy::disallowed_methods, reason = "a test reads the crate's own source")]
        std::fs::read_to_string(path).unwrap()
    }

    #[test]
    fn a_limit_from_memory_never_blocks_on_its_own_word() {
        for rule in RULES.iter().filter(|rule| rule.source.seen == Seen::FromMemory) {
            let mut findings = Findings::default();
            findings.begin(rule);
            findings.add("vin", format_args!("something"));
            findings.no_limit(Unknown::missing("vehicle.gvwr"), "something");
            findings.add_as(Severity::Block, "vin", format_args!("something"));
            for finding in findings.into_list() {
                assert_eq!(finding.severity, Severity::Review, "{}", rule.id);
                assert!(finding.unknown || finding.message.contains("from memory of"), "{}", finding.message);
            }
        }
    }

    #[test]
    fn the_weakest_link_that_must_move_most_governs() {
        use crate::rules::run::fixture::*;
        let report = report(|p| {
            receiver(p).carrying.trailer = Some(kg(1900.0));
            vehicle(p).tongue = Some(kg(105.0));
        });
        assert_eq!(report.verdict, Verdict::Blocked);
        assert_eq!(report.governing().map(|f| f.rule.id), Some("weakest-link-tongue"));
        let one = super::run::fixture::report(|p| receiver(p).carrying.trailer = Some(kg(1900.0)));
        assert_eq!(one.governing().map(|f| f.rule.id), Some("weakest-link-trailer"));
        assert!(super::run::fixture::report(|_| ()).governing().is_none());
    }
}
