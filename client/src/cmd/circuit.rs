//! `baybook circuit`: drop, wire, fuse and pins of a trailer circuit.

use baybook_proto::v1 as pb;
use clap::Args;

use crate::{
    args::{
        YesNo,
        circuit::{self, CircuitFlags, SocketName},
    },
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Column, Fact, Page, Value},
    people::Kind,
    read::{self, electric},
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook circuit --book deploy/demo/book --circuit circuits/brake-12a --temperature '85 C' \\
    --socket seven-way-light --plug iso-11446
  baybook circuit --wire '12 AWG' --length '7.5 m' --resistance '3.2 ohm' --loads 4 \\
    --supply '12 V' --temperature '20 C' --return wire --safety yes --fuse '20 A'";

/// Size a trailer circuit: voltage drop, wire, fuse, pins and routing
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES, arg_required_else_help = true)]
pub struct CircuitArgs {
    #[command(flatten)]
    circuit: CircuitFlags,

    /// How much of its rating the fuse may carry at all times, 50 % to 80 %; 75 % when it is left out
    #[arg(long, value_name = "SHARE", value_parser = read::share)]
    fill: Option<f64>,

    /// A load along the run, nearest first: "marker=45 ohm@6 m"; may be repeated
    #[arg(long = "tap", value_name = "WHAT=RESISTANCE@LENGTH", value_parser = electric::tap)]
    taps: Vec<pb::CircuitTap>,

    /// The socket on the vehicle; its pins are listed
    #[arg(long, value_name = "SYSTEM")]
    socket: Option<SocketName>,

    /// The plug on the trailer; told is what has to go between
    #[arg(long, value_name = "SYSTEM")]
    plug: Option<SocketName>,

    /// Whether the vehicle's own lamps have stop and turn in one
    #[arg(long, value_name = "ANSWER", requires = "plug")]
    vehicle_combined: Option<YesNo>,

    /// An answer to the routing checklist: "grommets=yes"; may be repeated, and what is left out is told
    #[arg(long, value_name = "QUESTION=ANSWER", value_parser = electric::routing)]
    routing: Vec<pb::RoutingAnswer>,
}

pub async fn run(args: CircuitArgs, context: &mut Context) -> Outcome {
    let (circuit, conductor_c) = args.circuit.circuit();
    let socket = |name: Option<SocketName>| name.map_or(pb::Socket::Unspecified, pb::Socket::from).into();
    let request = context.call(pb::SizeCircuitRequest {
        circuit,
        conductor_c,
        fill_share: args.fill,
        taps: args.taps,
        socket: socket(args.socket),
        plug: socket(args.plug),
        vehicle_combined: args.vehicle_combined.map(bool::from),
        routing: args.routing,
    });
    let reply = context.calculator().await?.size_circuit(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, Flags(circuit::FLAGS)))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::SizeCircuitResponse, page: &mut Page) {
    draw_drop(reply, page);
    draw_wires(reply, page);
    if let Some(fuse) = &reply.fuse {
        draw_fuse(fuse, page);
    }
    draw_taps(reply, page);
    draw_pins(reply, page);
    draw_findings(reply, page);
    page.footing(&reply.cautions, &reply.basis, Some(reply.revision));
}

/// Says in a word whether a limit is kept.
fn word(within: Option<bool>) -> Cell {
    match within {
        Some(true) => Cell::marked("WITHIN", Mark::Good),
        Some(false) => Cell::marked("OVER", Mark::Bad),
        None => Cell::marked("UNKNOWN", Mark::Mind),
    }
}

fn draw_drop(reply: &pb::SizeCircuitResponse, page: &mut Page) {
    let Some(limit) = reply.drop_limit_share else { return };
    let drops = [("at the current given", &reply.given), ("load as a resistance, loop solved", &reply.solved)];
    let rows = drops.into_iter().filter_map(|(label, drop)| {
        let drop = drop.as_ref()?;
        let lamp = drop.lamp_share.map_or(Value::None, |share| Some(share).into());
        Some(vec![
            label.into(),
            drop.current_a.into(),
            drop.lost_v.into(),
            drop.lost_share.into(),
            drop.at_load_v.into(),
            lamp,
            word(drop.within).into(),
        ])
    });
    let columns = [
        Column::Words("voltage drop"),
        Column::Numbers("current", Kind::Current),
        Column::Numbers("lost", Kind::Voltage),
        Column::Numbers("lost", Kind::Share),
        Column::Numbers("at load", Kind::Voltage),
        Column::Numbers("of lamp's own", Kind::Share),
        Column::Words(""),
    ];
    page.table(&columns, rows.collect());
    page.facts(
        "limits",
        &[""],
        vec![
            Fact::one("of the supply may be lost", Kind::Share, Some(limit)),
            Fact::one("longest run within it, one way", Kind::Length, reply.length_limit_mm),
            Fact::one("largest current within it", Kind::Current, reply.load_limit_a),
            Fact::one("copper needed, return through a wire", Kind::Conductor, reply.conductor_needed_mm2),
            Fact::one("resistance out and back", Kind::Resistance, reply.loop_ohm),
            Fact::one("joints of the body take", Kind::Voltage, reply.joints_v),
        ],
    );
}

fn draw_wires(reply: &pb::SizeCircuitResponse, page: &mut Page) {
    let mut rows: Vec<Vec<Value>> = Vec::new();
    let mut add = |what: &str, option: &pb::WireOption| {
        rows.push(vec![
            what.into(),
            option.label.as_str().into(),
            option.lost_v.into(),
            option.lost_share.into(),
            word(option.within).into(),
            option.fuse_limit_a.into(),
            option.fuse_a.map_or(Value::None, |fuse| Some(fuse).into()),
        ]);
    };
    if let Some(wire) = &reply.wire {
        add("as planned", wire);
    }
    if let Some(wire) = &reply.wire_up {
        add("one size up", wire);
    }
    for wire in &reply.smallest {
        add("thinnest that does", wire);
    }
    let none_does = !rows.is_empty() && reply.smallest.is_empty();
    page.table(
        &[
            Column::Words("wire"),
            Column::Words(""),
            Column::Numbers("lost", Kind::Voltage),
            Column::Numbers("lost", Kind::Share),
            Column::Words("drop"),
            Column::Numbers("may be fused at", Kind::Current),
            Column::Numbers("fuse", Kind::Current),
        ],
        rows,
    );
    if none_does {
        let rest = "no size keeps the drop and takes the fuse: shorten the run or split the load";
        page.line(Cell::marked("wire: NONE", Mark::Bad), rest);
    }
}

fn draw_fuse(fuse: &pb::FuseAdvice, page: &mut Page) {
    let amps = |value: f64| page.units().say(Kind::Current, value);
    let needed = fuse.needed_a.map(amps).unwrap_or_default();
    let (lead, rest) = match (fuse.fuse_a, fuse.step_a, fuse.wire_limit_a) {
        (Some(fits), _, _) => {
            let colour = if fuse.colour.is_empty() { String::new() } else { format!(", {}", fuse.colour) };
            (Cell::marked(format!("fuse: {}{colour}", amps(fits)), Mark::Good), format!("the load asks for {needed}"))
        }
        (None, Some(step), Some(most)) => {
            let next = match fuse.thicker.as_str() {
                "" => "no wire in the table takes it".to_owned(),
                thicker => format!("the thinnest that takes it is {thicker}"),
            };
            let rest = format!("the load asks for {}, the wire takes {}; {next}", amps(step), amps(most));
            (Cell::marked("fuse: WIRE TOO THIN", Mark::Bad), rest)
        }
        (None, None, _) => {
            let rest = format!("the load asks for {needed}, more than the largest blade fuse: split the load");
            (Cell::marked("fuse: NONE", Mark::Bad), rest)
        }
        (None, Some(step), None) => {
            let rest = format!("the load asks for {}; what the wire may be fused at is not known", amps(step));
            (Cell::marked("fuse: UNKNOWN", Mark::Mind), rest)
        }
    };
    page.line(lead, &rest);
    let mut faults: Vec<&str> = Vec::new();
    let mut add = |holds: bool, text: &'static str| {
        if holds {
            faults.push(text);
        }
    };
    add(fuse.holds_load == Some(false), "it is too small for the load");
    add(fuse.protects_wire == Some(false), "it is too large for the wire");
    add(fuse.made == Some(false), "no such step is made");
    add(fuse.place() == pb::FusePlace::TooFar, "it sits more than 450 mm from the source");
    add(fuse.place() == pb::FusePlace::Far, "it sits more than 180 mm from the source");
    if !faults.is_empty() {
        page.line(Cell::marked("fuse as planned: CHANGE", Mark::Bad), &faults.join("; "));
    } else if fuse.holds_load == Some(true) && fuse.protects_wire == Some(true) {
        page.line(Cell::marked("fuse as planned: GOOD", Mark::Good), "it holds the load and protects the wire");
    } else if fuse.holds_load.is_some() {
        let rest = "whether it protects the wire is not known";
        page.line(Cell::marked("fuse as planned: UNKNOWN", Mark::Mind), rest);
    }
}

fn draw_findings(reply: &pb::SizeCircuitResponse, page: &mut Page) {
    page.notes(
        "findings",
        reply.findings.iter().map(|finding| {
            let weight = words(finding.severity().as_str_name(), "SEVERITY_").to_uppercase();
            (finding.rule.as_str(), format!("{weight}  {}. {}", finding.message, finding.remedy))
        }),
    );
}

fn draw_taps(reply: &pb::SizeCircuitResponse, page: &mut Page) {
    let rows = reply
        .taps
        .iter()
        .map(|tap| vec![tap.label.as_str().into(), tap.at_load_v.into(), tap.current_a.into(), tap.lost_share.into()]);
    page.table(
        &[
            Column::Words("load along the run"),
            Column::Numbers("gets", Kind::Voltage),
            Column::Numbers("draws", Kind::Current),
            Column::Numbers("lost", Kind::Share),
        ],
        rows.collect(),
    );
}

/// Returns a value's name in words: `ELECTRIC_BRAKE` of its enum is `electric brake`.
fn words(name: &str, prefix: &str) -> String {
    name.trim_start_matches(prefix).to_lowercase().replace('_', " ")
}

fn draw_pins(reply: &pb::SizeCircuitResponse, page: &mut Page) {
    let mut connectors: Vec<pb::Socket> = Vec::new();
    for pin in &reply.pins {
        if !connectors.contains(&pin.connector()) {
            connectors.push(pin.connector());
        }
    }
    for connector in connectors {
        page.title(&words(connector.as_str_name(), "SOCKET_"));
        let pins = reply.pins.iter().filter(|pin| pin.connector() == connector);
        let rows = pins.map(|pin| {
            vec![
                pin.pin.as_str().into(),
                words(pin.function().as_str_name(), "PIN_FUNCTION_").into(),
                pin.colour.as_str().into(),
                pin.conductor.as_str().into(),
            ]
        });
        let columns = ["pin", "function", "colour", "at least"].map(Column::Words);
        page.table(&columns, rows.collect());
    }
    let mut read: Vec<(&str, String)> = Vec::new();
    for pin in &reply.pins {
        let seen = match pin.status() {
            pb::SourceStatus::Opened => "",
            pb::SourceStatus::FromMemory => " (from memory; confirm before relying on it)",
            _ => " (common practice, no source)",
        };
        let source = ("", format!("{}{seen}", pin.source));
        if !read.contains(&source) {
            read.push(source);
        }
    }
    page.notes("pins as read in", read);
    let Some(connection) = &reply.connection else { return };
    let (lead, rest) = match connection.between() {
        pb::ConnectionPart::Converter => (
            Cell::marked("socket and plug: CONVERTER", Mark::Bad),
            "stop and turn share a lamp on one side alone; never a splice",
        ),
        pb::ConnectionPart::Adapter => (Cell::marked("socket and plug: ADAPTER", Mark::Mind), "pin to pin"),
        pb::ConnectionPart::Nothing => (Cell::marked("socket and plug: SAME", Mark::Good), "nothing goes between"),
        pb::ConnectionPart::Unspecified => (Cell::marked("lamps and plug: NO CONVERTER", Mark::Good), ""),
    };
    page.line(lead, rest);
    if !connection.lost.is_empty() {
        let lost: Vec<String> = connection.lost().map(|lost| words(lost.as_str_name(), "PIN_FUNCTION_")).collect();
        page.line(Cell::marked("the socket does not give", Mark::Mind), &lost.join(", "));
    }
    if connection.brakes_lost == Some(true) {
        page.line(Cell::marked("electric trailer brakes stay without a circuit", Mark::Bad), "");
    }
}
