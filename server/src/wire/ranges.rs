//! What a number on the wire may be, where no calculator's own range is at hand.
//!
//! These are bounds of sense: they catch a slipped decimal point and a wrong unit. A calculator that is published for
//! less says so itself.

use baybook_core::range::Range;
pub use baybook_core::{
    calc::{
        adapter::{ACCURACY, ADAPTER_ANGLE, EXTENSION, LEVER},
        axles::tongue::COUPLER_TO_AXLE,
        clearance::TAPE,
        condition::{FRICTION, NUT_FACTOR, RING_HOLE, RING_OUTER},
        coupling::VALUE as COUPLING_VALUE,
        drop::{BALL_HEIGHT, DROP},
        roll_over::{RISE, RUN},
        sag::{SUSPENSION_RATE, TYRE_RATE},
        spring_bars::RESTORATION,
        swing::{ASIDE, BEHIND_BALL, FACE_TO_BALL, HALF_WIDTH, OVERHANG, SWING, TURN},
        torque::{PRELOAD, PROOF_SHARE, TORQUE, WINDOW, YIELD_SHARE, prevailing::PREVAILING},
        wiring::{
            CELSIUS,
            drop::LOAD as LOAD_RESISTANCE,
            fuse::{DISTANCE as FUSE_DISTANCE, FILL},
        },
    },
    model::vehicle::{HEIGHT, MASS, STATION, WHEELBASE},
};

/// Nominal sizes: tubes, shanks, balls, washers, bolt lengths.
pub const SIZE: Range = Range::new("value_mm", "mm", 0.5, 2000.0);
/// Ratings of chains.
pub const FORCE: Range = Range::new("value_n", "N", 1.0, 5_000_000.0);
/// Mass of a single part.
pub const PART_MASS: Range = Range::new("mass_kg", "kg", 0.0, 2000.0);
/// Mass of what rides in the vehicle; parts taken out count below zero nowhere: they have their own field.
pub const ITEM_MASS: Range = Range::new("value_kg", "kg", 0.0, 60_000.0);
/// Thickness of a washer, height of a nut.
pub const THICKNESS: Range = Range::new("thickness_mm", "mm", 0.1, 200.0);
/// Vickers hardness.
pub const HARDNESS: Range = Range::new("hardness_hv", "HV", 50.0, 1000.0);
/// Lengths of ball mounts and extensions.
pub const REACH: Range = Range::new("length_mm", "mm", 0.0, 2000.0);
/// Static loaded radius of a tyre.
pub const LOADED_RADIUS: Range = Range::new("loaded_radius_mm", "mm", 100.0, 1000.0);
/// Current of a trailer circuit.
pub const CURRENT: Range = Range::new("load_a", "A", 0.0, 500.0);
/// Supply voltage.
pub const SUPPLY: Range = Range::new("supply_v", "V", 1.0, 60.0);
/// One-way length of a circuit.
pub const WIRE_LENGTH: Range = Range::new("length_mm", "mm", 1.0, 50_000.0);
/// Cross-section of a conductor.
pub const CONDUCTOR: Range = Range::new("conductor_mm2", "mm²", 0.05, 240.0);
/// Nominal size of a metric cable; only the sizes of its table are taken.
pub const CABLE: Range = Range::new("cable_mm2", "mm²", 0.05, 240.0);
/// Voltage that a bulb is made for.
pub const LAMP: Range = Range::new("lamp_v", "V", 1.0, 60.0);
/// Angles of approach, departure and ramp.
pub const ANGLE: Range = Range::new("angle_deg", "deg", 0.0, 90.0);
/// How far the ball may sit off level.
pub const TOLERANCE: Range = Range::new("level_tolerance_mm", "mm", 0.0, 1000.0);
/// The share of a rating that stays unused.
pub const MARGIN: Range = Range::new("rating_margin_share", "", 0.0, 0.9);
/// How near its limit a value is called near: never nearer than what is usual.
pub const NEAR: Range = Range::new("near_limit_share", "", 0.005, 0.5);
/// How far a vehicle must stay off the ground it rolls over.
pub const GROUND_MARGIN: Range = Range::new("margin_mm", "mm", 0.0, 1000.0);
/// The most corners of a ground line.
pub const GROUND_POINTS_MAX: usize = 500;
/// Width of a vehicle's or a trailer's body; half of it is what a sum takes.
pub const BODY_WIDTH: Range = Range::new("width_mm", "mm", 2.0 * HALF_WIDTH.min, 2.0 * HALF_WIDTH.max);
/// Articulation between vehicle and trailer.
pub const ARTICULATION: Range = Range::new("articulation_deg", "deg", 0.0, 135.0);
/// How well a turning radius is known.
pub const TURN_UNCERTAINTY: Range = Range::new("turn_radius_uncertainty_mm", "mm", 0.0, 2000.0);
