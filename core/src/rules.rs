//! The rule book: one rule a file, one visible list, and the report they make.
//!
//! A finding is never an error: a plan full of faults is read, judged and answered like any other.
//! What is unknown is never fine: a rule that misses an input says so, and the plan is not clear.
//!
//! To add a rule, write `rules/my_rule.rs` with its tests, declare the file, and put it where it belongs in [`RULES`];
//! the list's order is the report's order.

use crate::{basis::Source, model::upfit::Upfit};

mod added_mass_label;
mod alterer_label;
mod approach_angle;
mod approval_mark;
mod ball_height;
mod ball_shank;
mod ball_size;
mod bolt_class_lower;
mod bolt_size;
mod brake_controller_missing;
mod brakes_required;
mod breakaway_missing;
mod captive_nut_loose;
mod car_tyre_on_truck;
mod chain_anchor;
mod chain_strength;
mod chain_working_load;
mod clearance_limit_unset;
mod d_value;
mod departure_angle_laden;
mod departure_angle_unladen;
mod departure_worse_than_before;
mod extension_unrated;
mod fit_list;
mod front_axle_light;
mod gawr_front;
mod gawr_rear;
mod gcwr;
mod guard_removed;
mod gvwr;
mod gvwr_raised;
mod hitch_class_over_vehicle;
mod hitch_height_laden;
mod inspection_open;
mod jack_overloaded;
mod joint_into_yield;
mod joint_not_planned;
mod joint_over_proof;
mod joint_torque_for_condition;
mod joint_under_preload;
mod jurisdiction_missing;
mod laden_state_unknown;
mod lamp_hidden;
mod mass_history_unknown;
mod method_not_scalable;
mod mounting_points;
mod near_fuel;
mod near_limit;
mod nut_class_low;
mod payload_gone;
mod ramp_angle_laden;
mod rating_missing;
mod rear_axle_without_bars;
mod recall_open;
pub mod run;
mod rust_at_mounts;
mod s_value;
mod shank_size;
mod single_use_bolt_reused;
mod socket_mismatch;
mod spring_bars_forbidden;
mod spring_bars_needed;
mod station_slip;
mod temporary_spare;
mod thread_clash;
mod tongue_share_high;
mod tongue_share_low;
mod trailer_axle;
mod trailer_level;
mod trailer_over_own_rating;
mod trailer_tyres;
mod tyre_load_front;
mod tyre_load_rear;
mod tyre_mix;
mod unit_slip;
mod v_value;
mod vin_check_digit;
mod vin_length;
mod vin_model_year;
mod washer_fit;
mod washer_soft;
mod weakest_link_tongue;
mod weakest_link_trailer;
mod wheel_rating;

pub use run::{
    case::Case,
    figures::{ClearanceFigures, Figures, JointFigures, Known, Unknown},
    finding::{Finding, Findings},
    parts::Parts,
    report::{Report, Verdict},
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
    &vin_length::RULE,
    &vin_check_digit::RULE,
    &vin_model_year::RULE,
    &fit_list::RULE,
    &unit_slip::RULE,
    &station_slip::RULE,
    &gvwr::RULE,
    &gawr_front::RULE,
    &gawr_rear::RULE,
    &rear_axle_without_bars::RULE,
    &gcwr::RULE,
    &payload_gone::RULE,
    &gvwr_raised::RULE,
    &front_axle_light::RULE,
    &tyre_load_front::RULE,
    &tyre_load_rear::RULE,
    &car_tyre_on_truck::RULE,
    &tyre_mix::RULE,
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
    &ball_size::RULE,
    &ball_shank::RULE,
    &shank_size::RULE,
    &hitch_class_over_vehicle::RULE,
    &spring_bars_needed::RULE,
    &spring_bars_forbidden::RULE,
    &d_value::RULE,
    &s_value::RULE,
    &v_value::RULE,
    &approval_mark::RULE,
    &chain_strength::RULE,
    &chain_working_load::RULE,
    &chain_anchor::RULE,
    &brakes_required::RULE,
    &breakaway_missing::RULE,
    &brake_controller_missing::RULE,
    &socket_mismatch::RULE,
    &laden_state_unknown::RULE,
    &clearance_limit_unset::RULE,
    &approach_angle::RULE,
    &departure_angle_unladen::RULE,
    &departure_angle_laden::RULE,
    &ramp_angle_laden::RULE,
    &hitch_height_laden::RULE,
    &departure_worse_than_before::RULE,
    &ball_height::RULE,
    &trailer_level::RULE,
    &added_mass_label::RULE,
    &mass_history_unknown::RULE,
    &alterer_label::RULE,
    &mounting_points::RULE,
    &near_fuel::RULE,
    &guard_removed::RULE,
    &lamp_hidden::RULE,
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
    &near_limit::RULE,
];

/// Returns the rule of that id.
#[must_use]
pub fn find(id: &str) -> Option<&'static Rule> {
    RULES.iter().copied().find(|rule| rule.id == id)
}

/// Judges a plan: computes every figure once, asks every rule in the list's order, and sums up.
///
/// The same plan always gives the same report.
#[must_use]
pub fn check(plan: &Upfit) -> Report {
    let figures = Figures::of(plan);
    let links = Parts::of(plan);
    let case = Case { plan, figures: &figures, links: &links };
    let mut findings = Findings::default();
    for rule in RULES {
        findings.begin(rule);
        (rule.check)(&case, &mut findings);
    }
    let findings = findings.into_list();
    Report::new(findings, figures)
}
