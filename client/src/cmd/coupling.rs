//! `baybook coupling`: the coupling values a train needs, and the trailer that plates leave room for.

use baybook_core::units::Force;
use baybook_proto::v1 as pb;
use clap::{Args, ValueEnum};

use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Column, Page, Value},
    people::Kind,
    read,
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook coupling --kind free-drawbar --vehicle '3200 kg' --trailer '2000 kg' \\
    --static-load '100 kg' --d-plate '12.1 kN' --s-plate '120 kg'
  baybook coupling --kind fifth-wheel --vehicle '7500 kg' --trailer '6000 kg' --imposed '1500 kg' \\
    --d-plate '24 kN' --u-plate '2000 kg'
  baybook coupling --kind centre-axle --vehicle '3200 kg' --trailer '3600 kg' --axle-sum '3000 kg' \\
    --suspension other --bed-length '6000 mm' --drawbar-length '5000 mm' --v-plate '10.4 kN'";

const FLAGS: Flags = Flags(&[
    ("kind", "--kind"),
    ("vehicle", "--vehicle"),
    ("trailer", "--trailer"),
    ("static_load", "--static-load"),
    ("imposed", "--imposed"),
    ("axle_sum", "--axle-sum"),
    ("bed_length_mm", "--bed-length"),
    ("drawbar_length_mm", "--drawbar-length"),
    ("d_plate_kn", "--d-plate"),
    ("dc_plate_kn", "--dc-plate"),
    ("v_plate_kn", "--v-plate"),
    ("s_plate", "--s-plate"),
    ("u_plate", "--u-plate"),
]);

/// Work out D, Dc, V, S and U, and the trailer that certified values leave room for
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct CouplingArgs {
    /// How the trailer hangs on
    #[arg(long, value_name = "KIND")]
    kind: CouplingKind,

    /// T: the towing vehicle's greatest mass, the vertical load on it included
    #[arg(long, value_name = "MASS", value_parser = read::mass)]
    vehicle: pb::Mass,

    /// R: the trailer's greatest mass
    #[arg(long, value_name = "MASS", value_parser = read::mass)]
    trailer: Option<pb::Mass>,

    /// S: the static vertical load on the ball or drawbar
    #[arg(long, value_name = "MASS", value_parser = read::mass)]
    static_load: Option<pb::Mass>,

    /// U: the load on the fifth wheel
    #[arg(long, value_name = "MASS", value_parser = read::mass)]
    imposed: Option<pb::Mass>,

    /// C: the sum of the loaded trailer's axle loads; without it, trailer less static load
    #[arg(long, value_name = "MASS", value_parser = read::mass)]
    axle_sum: Option<pb::Mass>,

    /// For V: how the vehicle's drive axle is sprung
    #[arg(long, value_name = "SPRINGS")]
    suspension: Option<Suspension>,

    /// For V: length of the trailer's load bed
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    bed_length: Option<f64>,

    /// For V: theoretical length of the drawbar
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm)]
    drawbar_length: Option<f64>,

    /// Least D on the plates
    #[arg(long, value_name = "FORCE", value_parser = kilonewtons)]
    d_plate: Option<f64>,

    /// Least Dc on the plates
    #[arg(long, value_name = "FORCE", value_parser = kilonewtons)]
    dc_plate: Option<f64>,

    /// Least V on the plates
    #[arg(long, value_name = "FORCE", value_parser = kilonewtons)]
    v_plate: Option<f64>,

    /// Least S on the plates
    #[arg(long, value_name = "MASS", value_parser = read::mass)]
    s_plate: Option<pb::Mass>,

    /// Least U on the plates
    #[arg(long, value_name = "MASS", value_parser = read::mass)]
    u_plate: Option<pb::Mass>,
}

/// How a trailer hangs on.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum CouplingKind {
    /// Free drawbar, or the ball coupling of a light trailer
    FreeDrawbar,
    /// Rigid drawbar on a centre-axle trailer
    CentreAxle,
    /// Fifth wheel
    FifthWheel,
}

/// How a drive axle is sprung.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Suspension {
    /// Air, or as well damped
    Air,
    /// Any other
    Other,
}

/// Reads a force with its unit, in kilonewtons.
fn kilonewtons(text: &str) -> Result<f64, read::ReadError> {
    read::force(text).map(|force| Force::from_n(force.value_n.unwrap_or_default()).kn())
}

pub async fn run(args: CouplingArgs, context: &mut Context) -> Outcome {
    let request = context.call(pb::CouplingValuesRequest {
        kind: match args.kind {
            CouplingKind::FreeDrawbar => pb::CouplingKind::FreeDrawbar,
            CouplingKind::CentreAxle => pb::CouplingKind::CentreAxle,
            CouplingKind::FifthWheel => pb::CouplingKind::FifthWheel,
        }
        .into(),
        vehicle: Some(args.vehicle),
        trailer: args.trailer,
        static_load: args.static_load,
        imposed: args.imposed,
        axle_sum: args.axle_sum,
        suspension: match args.suspension {
            None => pb::DriveSuspension::Unspecified,
            Some(Suspension::Air) => pb::DriveSuspension::Air,
            Some(Suspension::Other) => pb::DriveSuspension::Other,
        }
        .into(),
        bed_length_mm: args.bed_length,
        drawbar_length_mm: args.drawbar_length,
        d_plate_kn: args.d_plate,
        dc_plate_kn: args.dc_plate,
        v_plate_kn: args.v_plate,
        s_plate: args.s_plate,
        u_plate: args.u_plate,
    });
    let reply = context.calculator().await?.coupling_values(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::CouplingValuesResponse, page: &mut Page) {
    let (lead, rest) = match reply.holds {
        Some(true) => (Cell::marked("HOLDS", Mark::Good), "every value that applies is certified high enough"),
        Some(false) => (Cell::marked("SHORT", Mark::Bad), "a value is certified too low"),
        None => (Cell::marked("UNKNOWN", Mark::Mind), "a plate or an input is not known"),
    };
    page.line(lead, rest);
    let rows = reply.values.iter().map(|value| {
        let word = match value.standing() {
            pb::CertifiedStanding::Holds => Cell::marked("HOLDS", Mark::Good),
            pb::CertifiedStanding::Short => Cell::marked("SHORT", Mark::Bad),
            pb::CertifiedStanding::Unknown | pb::CertifiedStanding::Unspecified => Cell::marked("UNKNOWN", Mark::Mind),
        };
        let mass = matches!(value.value.as_str(), "S" | "U");
        let say = |kind, number: Option<f64>| {
            number.map_or_else(|| "unknown".to_owned(), |number| page.units().say(kind, number))
        };
        let (needed, certified) = if mass {
            (say(Kind::Load, value.needed_kg), say(Kind::Allowed, value.certified_kg))
        } else {
            (say(Kind::Coupling, value.needed_kn), say(Kind::Coupling, value.certified_kn))
        };
        let room = match (value.room_kg, value.not_limiting) {
            (_, true) | (None, false) => Value::None,
            (room, false) => room.into(),
        };
        let note = if value.not_limiting { "limits no trailer here" } else { "" };
        vec![value.value.as_str().into(), word.into(), needed.into(), certified.into(), room, note.into()]
    });
    let rows = rows.collect();
    page.table(
        &[
            Column::Words("value"),
            Column::Words(""),
            Column::Words("needed"),
            Column::Words("on the plates"),
            Column::Numbers("leaves room for", Kind::Allowed),
            Column::Words(""),
        ],
        rows,
    );
    page.footing(&reply.cautions, &reply.basis, Some(reply.revision));
}
