//! A row of the demo's sheet with every cell in a type of its own, as whoever uses the csv crate would declare it.

use serde::Deserialize;

/// One row. Only its being read counts.
#[derive(Debug, Deserialize)]
#[expect(dead_code, reason = "what is measured is the reading")]
pub struct TypedRow {
    #[serde(rename = "unit")]
    unit: String,
    #[serde(rename = "vin")]
    vin: Option<String>,
    #[serde(rename = "vehicle")]
    vehicle: Option<String>,
    #[serde(rename = "receiver")]
    receiver: Option<String>,
    #[serde(rename = "replaced_receiver")]
    replaced_receiver: Option<String>,
    #[serde(rename = "ball_mount")]
    ball_mount: Option<String>,
    #[serde(rename = "ball")]
    ball: Option<String>,
    #[serde(rename = "trailer")]
    trailer: Option<String>,
    #[serde(rename = "trailer_mass")]
    trailer_mass: Option<String>,
    #[serde(rename = "tongue_load")]
    tongue_load: Option<String>,
    #[serde(rename = "item.crew.mass (kg)")]
    item_crew_mass_kg: Option<f64>,
    #[serde(rename = "item.crew.station (mm)")]
    item_crew_station_mm: Option<f64>,
    #[serde(rename = "item.cargo.mass (kg)")]
    item_cargo_mass_kg: Option<f64>,
    #[serde(rename = "item.cargo.station (mm)")]
    item_cargo_station_mm: Option<f64>,
    #[serde(rename = "item.racking.mass (kg)")]
    item_racking_mass_kg: Option<f64>,
    #[serde(rename = "item.racking.station (mm)")]
    item_racking_station_mm: Option<f64>,
    #[serde(rename = "item.racking.permanent")]
    item_racking_permanent: Option<String>,
    #[serde(rename = "mass_added_before (kg)")]
    mass_added_before_kg: Option<f64>,
    #[serde(rename = "mass_removed (kg)")]
    mass_removed_kg: Option<f64>,
    #[serde(rename = "sale_state")]
    sale_state: Option<String>,
    #[serde(rename = "jurisdiction")]
    jurisdiction: Option<String>,
    #[serde(rename = "chain_rule")]
    chain_rule: Option<String>,
    #[serde(rename = "spring_bars")]
    spring_bars: Option<String>,
    #[serde(rename = "brake_controller")]
    brake_controller: Option<String>,
    #[serde(rename = "socket")]
    socket: Option<String>,
    #[serde(rename = "converter")]
    converter: Option<String>,
    #[serde(rename = "extension_length")]
    extension_length: Option<String>,
    #[serde(rename = "own.rear_gawr")]
    own_rear_gawr: Option<String>,
    #[serde(rename = "own.gvwr")]
    own_gvwr: Option<String>,
    #[serde(rename = "joint.frame.condition")]
    joint_frame_condition: Option<String>,
    #[serde(rename = "joint.frame.torque")]
    joint_frame_torque: Option<String>,
    #[serde(rename = "joint.frame.bolt")]
    joint_frame_bolt: Option<String>,
    #[serde(rename = "joint.frame.nut")]
    joint_frame_nut: Option<String>,
    #[serde(rename = "joint.frame.washer")]
    joint_frame_washer: Option<String>,
    #[serde(rename = "limit.approach (deg)")]
    limit_approach_deg: Option<f64>,
    #[serde(rename = "limit.departure (deg)")]
    limit_departure_deg: Option<f64>,
    #[serde(rename = "limit.departure_laden (deg)")]
    limit_departure_laden_deg: Option<f64>,
    #[serde(rename = "limit.ramp (deg)")]
    limit_ramp_deg: Option<f64>,
    #[serde(rename = "limit.hitch_height (mm)")]
    limit_hitch_height_mm: Option<f64>,
    #[serde(rename = "limit.tongue_share_min (%)")]
    limit_tongue_share_min: Option<f64>,
    #[serde(rename = "limit.tongue_share_max (%)")]
    limit_tongue_share_max: Option<f64>,
    #[serde(rename = "limit.level_tolerance (mm)")]
    limit_level_tolerance_mm: Option<f64>,
    #[serde(rename = "answer.maker_points_used")]
    answer_maker_points_used: Option<String>,
    #[serde(rename = "answer.near_fuel")]
    answer_near_fuel: Option<String>,
    #[serde(rename = "answer.guard_removed")]
    answer_guard_removed: Option<String>,
    #[serde(rename = "answer.lamp_hidden")]
    answer_lamp_hidden: Option<String>,
    #[serde(rename = "answer.rust_at_mounts")]
    answer_rust_at_mounts: Option<String>,
    #[serde(rename = "answer.recall_open")]
    answer_recall_open: Option<String>,
    #[serde(rename = "answer.captive_nut_loose")]
    answer_captive_nut_loose: Option<String>,
    #[serde(rename = "answer.wired_elsewhere")]
    answer_wired_elsewhere: Option<String>,
    #[serde(rename = "answer.chains_on_ball_mount")]
    answer_chains_on_ball_mount: Option<String>,
    #[serde(rename = "answer.raises_gvwr")]
    answer_raises_gvwr: Option<String>,
    #[serde(rename = "answer.mass_label_planned")]
    answer_mass_label_planned: Option<String>,
    #[serde(rename = "answer.alterer_label_planned")]
    answer_alterer_label_planned: Option<String>,
    #[serde(rename = "answer.beyond_readily_attachable")]
    answer_beyond_readily_attachable: Option<String>,
    #[serde(rename = "note.reason")]
    note_reason: Option<String>,
}
