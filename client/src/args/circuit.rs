//! A trailer circuit by flags.

use baybook_proto::v1 as pb;
use clap::{Args, ValueEnum};

use super::{YesNo, words};
use crate::read::{self, electric, electric::Conductor};

/// Which flag fills which field of a question about wiring.
pub const FLAGS: &[(&str, &str)] = &[
    ("circuit", "--circuit or --wire and what goes with it"),
    ("circuit.name", "--circuit"),
    ("circuit.awg_code", "--wire"),
    ("circuit.cable_mm2", "--wire"),
    ("circuit.conductor_mm2", "--wire"),
    ("circuit.length_mm", "--length"),
    ("circuit.load_a", "--load"),
    ("circuit.load_ohm", "--resistance"),
    ("circuit.load_count", "--loads"),
    ("circuit.supply_v", "--supply"),
    ("circuit.conductor_c", "--temperature"),
    ("circuit.return_path", "--return"),
    ("circuit.joint_count", "--joints"),
    ("circuit.fuse_a", "--fuse"),
    ("circuit.fuse_distance_mm", "--fuse-distance"),
    ("circuit.lamp_v", "--lamp"),
    ("circuit.spec.awg_code", "--wire"),
    ("circuit.spec.cable_mm2", "--wire"),
    ("circuit.spec.conductor_mm2", "--wire"),
    ("circuit.spec.length_mm", "--length"),
    ("circuit.spec.load_a", "--load"),
    ("circuit.spec.load_ohm", "--resistance"),
    ("circuit.spec.load_count", "--loads"),
    ("circuit.spec.supply_v", "--supply"),
    ("circuit.spec.conductor_c", "--temperature"),
    ("circuit.spec.joint_count", "--joints"),
    ("circuit.spec.fuse_a", "--fuse"),
    ("circuit.spec.fuse_distance_mm", "--fuse-distance"),
    ("circuit.spec.lamp_v", "--lamp"),
    ("conductor_c", "--temperature"),
    ("fill_share", "--fill"),
    ("taps", "--tap"),
    ("socket", "--socket"),
    ("plug", "--plug"),
    ("vehicle_combined", "--vehicle-combined"),
    ("routing", "--routing"),
];

/// The circuit: an entry, or flags.
#[derive(Debug, Args)]
#[command(next_help_heading = "The circuit")]
pub struct CircuitFlags {
    /// The circuit, by its entry: circuits/brake-12a
    #[arg(long, value_name = "NAME", conflicts_with = "Inline")]
    circuit: Option<String>,

    /// The conductor's temperature, here in the place of the entry's: "60 C", "140 F"
    #[arg(long, value_name = "TEMPERATURE", value_parser = electric::celsius)]
    temperature: Option<f64>,

    #[command(flatten)]
    inline: Inline,
}

#[derive(Debug, Args)]
#[command(next_help_heading = "The circuit")]
#[group(id = "Inline", multiple = true)]
struct Inline {
    /// The conductor: "12 AWG", "2.5 mm2 cable", "3.3 mm2 copper"
    #[arg(long, value_name = "WIRE", value_parser = electric::conductor)]
    wire: Option<Conductor>,

    /// How long the run is, one way: "7.5 m"
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    length: Option<f64>,

    /// The current it must carry: "12 A"
    #[arg(long, value_name = "CURRENT", value_parser = electric::amps)]
    load: Option<f64>,

    /// The load as a resistance, solved with the wire: "3.2 ohm"
    #[arg(long, value_name = "RESISTANCE", value_parser = electric::ohms)]
    resistance: Option<f64>,

    /// How many equal loads of that resistance lie side by side
    #[arg(long, value_name = "COUNT", requires = "resistance")]
    loads: Option<i32>,

    /// The supply voltage: "13.5 V"
    #[arg(long, value_name = "VOLTAGE", value_parser = electric::volts)]
    supply: Option<f64>,

    /// How the current comes back
    #[arg(long = "return", value_name = "WAY")]
    back: Option<Way>,

    /// How many joints a return through the body has
    #[arg(long, value_name = "COUNT")]
    joints: Option<i32>,

    /// The fuse that is there or planned: "20 A"
    #[arg(long, value_name = "CURRENT", value_parser = electric::amps)]
    fuse: Option<f64>,

    /// How far the fuse sits from the source: "150 mm"
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    fuse_distance: Option<f64>,

    /// Whether lamps or brakes depend on it
    #[arg(long, value_name = "ANSWER")]
    safety: Option<YesNo>,

    /// The voltage that the bulbs on it are made for: "12.8 V"
    #[arg(long, value_name = "VOLTAGE", value_parser = electric::volts)]
    lamp: Option<f64>,
}

/// How a circuit's current comes back.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Way {
    /// Through a wire like the one out
    Wire,
    /// Through the body and its joints
    Body,
}

impl Inline {
    const fn is_given(&self) -> bool {
        self.wire.is_some()
            || self.length.is_some()
            || self.load.is_some()
            || self.resistance.is_some()
            || self.supply.is_some()
            || self.back.is_some()
            || self.joints.is_some()
            || self.fuse.is_some()
            || self.fuse_distance.is_some()
            || self.safety.is_some()
            || self.lamp.is_some()
    }
}

impl CircuitFlags {
    /// Returns the circuit, when there is one, and the temperature that replaces its own.
    pub fn circuit(self) -> (Option<pb::CircuitRef>, Option<f64>) {
        use pb::circuit_ref::Circuit;
        if let Some(name) = self.circuit {
            return (Some(pb::CircuitRef { circuit: Some(Circuit::Name(name)) }), self.temperature);
        }
        let inline = self.inline;
        if !inline.is_given() {
            return (None, self.temperature);
        }
        let mut spec = pb::Circuit {
            label: "given with the call".to_owned(),
            safety_relevant: inline.safety.map(bool::from),
            load_a: inline.load,
            load_ohm: inline.resistance,
            load_count: inline.loads,
            supply_v: inline.supply,
            length_mm: inline.length,
            conductor_c: self.temperature,
            joint_count: inline.joints,
            fuse_a: inline.fuse,
            fuse_distance_mm: inline.fuse_distance,
            lamp_v: inline.lamp,
            return_path: match inline.back {
                None => pb::CircuitReturn::Unspecified,
                Some(Way::Wire) => pb::CircuitReturn::Wire,
                Some(Way::Body) => pb::CircuitReturn::Body,
            }
            .into(),
            ..pb::Circuit::default()
        };
        match inline.wire {
            None => {}
            Some(Conductor::Gauge(gauge)) => spec.awg_code = Some(gauge),
            Some(Conductor::Cable(area)) => spec.cable_mm2 = Some(area),
            Some(Conductor::Copper(area)) => spec.conductor_mm2 = Some(area),
        }
        (Some(pb::CircuitRef { circuit: Some(Circuit::Spec(spec)) }), None)
    }
}

words! {
    /// A connector system.
    pub SocketName for pb::Socket {
        /// Four flat pins, lamps only
        FourFlat,
        /// The light-vehicle seven-way, SAE J2863
        SevenWayLight,
        /// The heavy seven-way, SAE J560
        SevenWayHeavy,
        /// Seven pins, 12 V, type N
        #[value(name = "iso-1724")]
        Iso1724,
        /// Thirteen pins
        #[value(name = "iso-11446")]
        Iso11446,
    }
}
