//! A trailer circuit: the question from the wire, the answer to it.

use std::sync::Arc;

use baybook_core::{
    basis::{Basis, Seen},
    calc::wiring::{
        Ladder, Sizing, Tap,
        drop::{BULB_SHARE, BULB_SOURCE, Drop, DropLimit, Return},
        fuse::{FuseChoice, FuseInput, FusePlace, check_fuse, place, takes, wire_max},
        ladder, pins,
        size::{self, FILL_CAUTIOUS, Size, SizedCircuit, size},
    },
    model::wiring::{Circuit, Socket, Wire},
    rules::{Wiring, check_wiring},
    tables::{
        connectors::{self, Conductor, EARTHS_SOURCE, Pin},
        fuses,
    },
    units::{Amps, Area, Length, Ohms, Volts},
};
use baybook_proto::v1 as pb;

use super::{
    Fields, Lookup, WireError,
    basis::{basis_to_wire, caution},
    circuit::function_to_wire,
    fields::LABEL_MAX,
    ranges, report,
};

/// The most loads along a run.
const TAPS_MAX: usize = 100;

/// A question about a trailer's wiring.
#[derive(Debug, Clone, PartialEq)]
pub struct SizeCircuit {
    /// The circuit and its sizes.
    circuit: Option<Sizes>,
    socket: Option<Socket>,
    plug: Option<Socket>,
    vehicle_combined: Option<bool>,
    routing: Vec<(&'static str, bool)>,
    fill_given: bool,
}

/// A circuit with everything that was worked out of it.
#[derive(Debug, Clone, PartialEq)]
struct Sizes {
    circuit: Arc<Circuit>,
    sizing: Sizing,
    limit: DropLimit,
    fill: f64,
    sized: SizedCircuit,
    labels: Vec<String>,
    ladder: Option<Ladder>,
}

impl SizeCircuit {
    /// Reads the question. A circuit must say all that its drop hangs on.
    ///
    /// # Errors
    ///
    /// [`WireError`] with every violation.
    pub fn read(wire: &pb::SizeCircuitRequest, lookup: &impl Lookup) -> Result<Self, WireError> {
        let mut fields = Fields::default();
        let circuit = fields.entry::<Circuit>("circuit", wire.circuit.as_ref(), lookup);
        let celsius = fields.number("conductor_c", wire.conductor_c, &ranges::CELSIUS);
        let fill = fields.number("fill_share", wire.fill_share, &ranges::FILL);
        let taps = fields.each("taps", &wire.taps, TAPS_MAX, tap);
        let socket = fields.socket("socket", wire.socket);
        let plug = fields.socket("plug", wire.plug);
        let routing = fields.routing("routing", &wire.routing);
        if wire.circuit.is_none() && socket.is_none() && plug.is_none() && routing.is_empty() && fields.is_clean() {
            let next = "is required where neither socket, plug nor routing is given: name a circuit or give its spec";
            fields.reject("circuit", next);
        }
        if wire.circuit.is_none() {
            for (field, given) in [
                ("conductor_c", wire.conductor_c.is_some()),
                ("fill_share", wire.fill_share.is_some()),
                ("taps", !wire.taps.is_empty()),
            ] {
                if given {
                    fields.reject(field, "says something of a circuit, but no circuit is given: give one");
                }
            }
        }
        if wire.vehicle_combined.is_some() && plug.is_none() && wire.plug == 0 {
            fields.reject("vehicle_combined", "is compared with the trailer's plug, which is not given: give plug");
        }
        let sizes = match circuit {
            Some(circuit) if fields.is_clean() => {
                let circuit = match celsius {
                    Some(_) => Arc::new(Circuit { celsius, ..Circuit::clone(&circuit) }),
                    None => circuit,
                };
                sizes(circuit, fill.unwrap_or(FILL_CAUTIOUS), taps, &mut fields)
            }
            _ => None,
        };
        let vehicle_combined = wire.vehicle_combined;
        let asked = Self { circuit: sizes, socket, plug, vehicle_combined, routing, fill_given: fill.is_some() };
        let asked = fields.is_clean().then_some(asked);
        fields.finish(asked)
    }
}

fn tap(wire: &pb::CircuitTap, fields: &mut Fields) -> Option<(String, Tap)> {
    let label = fields.text("label", &wire.label, LABEL_MAX);
    let at = fields.needed("at_mm", wire.at_mm, &ranges::WIRE_LENGTH);
    let load = fields.needed("load_ohm", wire.load_ohm, &ranges::LOAD_RESISTANCE);
    Some((label, Tap { at: Length::from_mm(at?), load: Ohms::from_ohm(load?) }))
}

/// Works everything out, so that whatever cannot be is told with its path.
fn sizes(circuit: Arc<Circuit>, fill: f64, taps: Vec<(String, Tap)>, fields: &mut Fields) -> Option<Sizes> {
    let sizing = match Sizing::of(&circuit) {
        Ok(sizing) => sizing,
        Err(missing) => {
            fields.under("circuit", |fields| {
                for field in missing {
                    fields.reject(field, wanted(field));
                }
            });
            return None;
        }
    };
    let limit = size::limit(&circuit);
    let sized = match size(&sizing, limit, fill) {
        Ok(sized) => sized,
        Err(error) => {
            fields.under("circuit", |fields| fields.reject_calc(error.field(), &error));
            return None;
        }
    };
    let (labels, taps): (Vec<String>, Vec<Tap>) = taps.into_iter().unzip();
    let ladder = if taps.is_empty() { None } else { Some(along(&sizing, &taps, fields)?) };
    Some(Sizes { circuit, sizing, limit, fill, sized, labels, ladder })
}

/// Solves the loads along the run.
fn along(sizing: &Sizing, taps: &[Tap], fields: &mut Fields) -> Option<Ladder> {
    if matches!(sizing.run.back, Return::Body { .. }) {
        fields.reject("taps", "are solved with a return through a wire; this circuit returns through the body");
        return None;
    }
    if let Some(index) = taps.iter().position(|tap| sizing.run.length < tap.at) {
        let why = format!("must be at most the run's length, {} mm", sizing.run.length.mm());
        fields.at("taps", index, |fields| fields.reject("at_mm", why));
        return None;
    }
    let solved = ladder(sizing.supply, sizing.run.wire, sizing.run.celsius, taps);
    solved.map_err(|error| fields.reject_calc("taps", &error)).ok()
}

/// Says what a field is for, and how it may be given.
fn wanted(field: &'static str) -> &'static str {
    match field {
        "awg_code" => "is needed, or cable_mm2 or conductor_mm2: the drop hangs on the conductor",
        "length_mm" => "is needed: the drop grows with the length, one way",
        "conductor_c" => "is needed, here or beside the circuit: a warm wire drops more",
        "supply_v" => "is needed: the limit is a share of the supply",
        "return_path" => "is needed: a wire back drops as much again, a body drops at its joints",
        "joint_count" => "is needed with a return through the body: each joint drops 0.1 V",
        "load_a" => "is needed, or load_ohm: what the circuit must carry",
        _ => "is needed",
    }
}

/// Writes drop, wire, fuse and pins.
#[must_use]
pub fn circuit_to_wire(asked: &SizeCircuit, revision: i64) -> pb::SizeCircuitResponse {
    let mut reply = pb::SizeCircuitResponse { revision, ..pb::SizeCircuitResponse::default() };
    let mut steps: Vec<Basis> = Vec::new();
    if let Some(sizes) = &asked.circuit {
        write_sizes(sizes, asked.fill_given, &mut reply, &mut steps);
    }
    connect(asked, &mut reply, &mut steps);
    let circuits: Vec<Arc<Circuit>> = asked.circuit.iter().map(|sizes| Arc::clone(&sizes.circuit)).collect();
    let found = check_wiring(&Wiring::lone(&circuits, &asked.routing, asked.socket));
    // Where nobody answers a question of routing, the call is about the circuit alone.
    let told = found.iter().filter(|finding| !asked.routing.is_empty() || finding.subject != "routing");
    reply.findings = told.map(report::full).collect();
    reply.basis = basis_to_wire(&steps);
    reply
}

fn write_sizes(sizes: &Sizes, fill_given: bool, reply: &mut pb::SizeCircuitResponse, steps: &mut Vec<Basis>) {
    let Sizes { circuit, sizing, limit, fill, sized, labels, ladder } = sizes;
    reply.loop_ohm = Some(sized.resistance.ohm());
    reply.joints_v = matches!(sizing.run.back, Return::Body { .. }).then(|| sized.joints.v());
    reply.given = sized.given.map(|drop| drop_to_wire(&drop, *limit, circuit));
    reply.solved = sized.solved.map(|drop| drop_to_wire(&drop, *limit, circuit));
    reply.drop_limit_share = Some(limit.share());
    reply.length_limit_mm = sized.length_limit.map(Length::mm);
    reply.load_limit_a = sized.current_limit.map(Amps::a);
    reply.conductor_needed_mm2 = sized.area_needed.map(Area::mm2);
    reply.wire = Some(option(&sized.wire));
    reply.wire_up = sized.wire_up.as_ref().map(option);
    reply.smallest = sized.smallest().map(option).collect();
    reply.sizes = sized.sizes.iter().map(option).collect();
    reply.fuse = Some(fuse(sizes));
    if let Some(ladder) = ladder {
        reply.taps = taps(sizing.supply, labels, ladder);
    }
    steps.extend(size::basis(sizing, *limit, *fill));
    if circuit.lamp.is_some() {
        let inputs = [("lamp_share", BULB_SHARE)];
        steps.push(Basis::new("lamp-voltage", "at the bulb ≥ 85 % of what it is made for", BULB_SOURCE, &inputs));
    }
    let all = &mut reply.cautions;
    let mut add = |holds: bool, id: &str, text: &str| {
        if holds {
            all.push(caution(id, text));
        }
    };
    add(
        true,
        "meter-under-load",
        "measure the voltage at the load with everything on: joints and terminals are not in this sum",
    );
    add(
        circuit.safety_relevant.is_none(),
        "safety-unknown",
        "nobody says whether lamps or brakes depend on it: the tighter limit, 3 %, is held",
    );
    add(
        matches!(sizing.run.wire, Wire::Awg(_)),
        "solid-nominal",
        "a gauge is reckoned as solid copper: stranded cable is a few per cent higher, reduced sizes up to 8 %",
    );
    add(
        matches!(sizing.run.wire, Wire::Geometric(_)),
        "insulation-unknown",
        "a copper area names neither cable nor insulation: what it may be fused at is not known",
    );
    add(
        takes(sizing.run.wire).is_ok() && wire_max(sizing.run.wire).is_err(),
        "fuse-row-of-thinner",
        "the table of fuses has no row for this size: the figure is that of the next thinner size, which it takes at least",
    );
    add(!fill_given, "fill-cautious", "the fuse is filled to 75 % at most, the cautious end of common practice");
    add(
        true,
        "shop-fuse-table",
        "what a wire may be fused at is common practice: the cable maker's own figure goes first",
    );
    add(true, "fuse-never-grows", "a fuse that blows is a fault to be found: the wire grows, never the fuse");
}

fn drop_to_wire(drop: &Drop, limit: DropLimit, circuit: &Circuit) -> pb::VoltageDrop {
    pb::VoltageDrop {
        current_a: Some(drop.current.a()),
        lost_v: Some(drop.lost.v()),
        at_load_v: Some(drop.at_load.v()),
        lost_share: Some(drop.share),
        within: Some(drop.within(limit)),
        lamp_share: circuit.lamp.map(|lamp| drop.at_load.v() / lamp.v()),
    }
}

fn option(size: &Size) -> pb::WireOption {
    pb::WireOption {
        label: size.wire.to_string(),
        conductor_mm2: size.wire.area().ok().map(Area::mm2),
        lost_share: Some(size.drop.share),
        lost_v: Some(size.drop.lost.v()),
        within: Some(size.within),
        fuse_limit_a: size.most.map(|most| most.cautious.a()),
        fuse_a: size.fuse.map(Amps::a),
    }
}

fn fuse(sizes: &Sizes) -> pb::FuseAdvice {
    let Sizes { circuit, sizing, fill, sized, .. } = sizes;
    let wire = sizing.run.wire;
    let needed = Amps::from_a(sized.carried.a() / fill);
    let most = takes(wire).ok();
    let step = fuses::at_least(needed);
    let (fits, thicker) = match &sized.fuse {
        Ok(FuseChoice::Fits(fuse)) => (Some(fuse.rating.a()), String::new()),
        Ok(FuseChoice::WireTooThin { thicker, .. }) => (None, thicker.map(|wire| wire.to_string()).unwrap_or_default()),
        Ok(FuseChoice::BeyondSteps { .. }) | Err(_) => (None, String::new()),
    };
    let input = FuseInput { load: sized.carried, fill: *fill, wire };
    let there = circuit.fuse;
    let check = there.and_then(|fuse| check_fuse(&input, fuse).ok());
    pb::FuseAdvice {
        needed_a: Some(needed.a()),
        step_a: step.map(|step| step.rating.a()),
        colour: step.and_then(|step| step.colour).unwrap_or_default().to_owned(),
        fuse_a: fits,
        wire_limit_a: most.map(|most| most.cautious.a()),
        wire_usual_limit_a: most.map(|most| most.usual_most.a()),
        thicker,
        holds_load: there.map(|fuse| needed.a() <= fuse.a() * (1.0 + 1e-12)),
        protects_wire: check.map(|check| check.protects_wire),
        made: there.map(|fuse| fuses::STEPS.iter().any(|step| step.rating == fuse)),
        place: circuit
            .fuse_distance
            .and_then(|distance| place(distance).ok())
            .map_or(pb::FusePlace::Unspecified, |place| match place {
                FusePlace::Good => pb::FusePlace::Good,
                FusePlace::Far => pb::FusePlace::Far,
                FusePlace::TooFar => pb::FusePlace::TooFar,
            })
            .into(),
    }
}

fn taps(supply: Volts, labels: &[String], ladder: &Ladder) -> Vec<pb::TapVoltage> {
    let each = labels.iter().zip(ladder.volts.iter().zip(&ladder.amps));
    each.map(|(label, (volts, amps))| pb::TapVoltage {
        label: label.clone(),
        at_load_v: Some(volts.v()),
        current_a: Some(amps.a()),
        lost_share: Some((supply.v() - volts.v()) / supply.v()),
    })
    .collect()
}

/// Writes pins and what goes between.
fn connect(asked: &SizeCircuit, reply: &mut pb::SizeCircuitResponse, steps: &mut Vec<Basis>) {
    let (socket, plug, vehicle_combined) = (asked.socket, asked.plug, asked.vehicle_combined);
    let other = plug.filter(|plug| Some(*plug) != socket);
    for connector in [socket, other].into_iter().flatten() {
        reply.pins.extend(connectors::pins(connector).iter().map(|pin| pin_to_wire(connector, pin)));
    }
    if socket.is_none() && plug.is_none() {
        return;
    }
    reply.cautions.push(caution("colours-lie", "colours lie: meter every pin before anything is connected to it"));
    if [socket, plug].contains(&Some(Socket::Iso11446)) {
        let text = "the earths 3, 11 and 13 of a thirteen-pin plug are not joined on the trailer";
        reply.cautions.push(caution("earths-apart", text));
        steps.push(Basis::new("earths-apart", "earths 3, 11 and 13 stay apart", EARTHS_SOURCE, &[]));
    }
    let joined = socket.zip(plug).map(|(socket, plug)| pins::connect(socket, plug));
    let by_lamps = vehicle_combined.zip(plug).map(|(combined, plug)| pins::converter_needed(combined, plug));
    let Some(needed) = by_lamps.or(joined.as_ref().map(|joined| joined.between == pins::Between::Converter)) else {
        return;
    };
    let part = match joined.as_ref().map(|joined| joined.between) {
        _ if needed => pb::ConnectionPart::Converter,
        Some(pins::Between::Nothing) => pb::ConnectionPart::Nothing,
        Some(pins::Between::Adapter | pins::Between::Converter) => pb::ConnectionPart::Adapter,
        None => pb::ConnectionPart::Unspecified,
    };
    reply.connection = Some(pb::Connection {
        between: part.into(),
        converter_needed: Some(needed),
        lost: joined.iter().flat_map(|joined| &joined.lost).map(|&lost| function_to_wire(lost).into()).collect(),
        brakes_lost: joined.as_ref().map(pins::Connection::loses_brakes),
    });
    steps.extend(pins::basis());
    if needed {
        let text = "a converter has its own fused feed: a lamp module of the vehicle carries a bulb or two a side";
        reply.cautions.push(caution("converter-feed", text));
    }
}

fn pin_to_wire(connector: Socket, pin: &Pin) -> pb::ConnectorPin {
    pb::ConnectorPin {
        connector: socket_to_wire(connector).into(),
        pin: pin.name.to_owned(),
        function: function_to_wire(pin.function).into(),
        colour: pin.colour.unwrap_or_default().to_owned(),
        conductor: match pin.conductor {
            Some(Conductor::Awg(gauge)) => format!("{gauge} AWG"),
            Some(Conductor::Mm2(area)) => format!("{area} mm²"),
            None => String::new(),
        },
        source: pin.source.title.to_owned(),
        status: match pin.source.seen {
            Seen::Opened => pb::SourceStatus::Opened,
            Seen::FromMemory => pb::SourceStatus::FromMemory,
            Seen::CommonPractice => pb::SourceStatus::CommonPractice,
            Seen::Derived => pb::SourceStatus::Derived,
        }
        .into(),
    }
}

const fn socket_to_wire(socket: Socket) -> pb::Socket {
    match socket {
        Socket::FourFlat => pb::Socket::FourFlat,
        Socket::SevenWayLight => pb::Socket::SevenWayLight,
        Socket::SevenWayHeavy => pb::Socket::SevenWayHeavy,
        Socket::Iso1724 => pb::Socket::Iso1724,
        Socket::Iso11446 => pb::Socket::Iso11446,
    }
}
