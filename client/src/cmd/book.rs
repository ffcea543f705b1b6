//! `baybook book`: the shared specifications.

use baybook_proto::v1::{self as pb, entry::Spec};
use clap::{Args, Subcommand, ValueEnum};

use crate::{
    context::Context,
    fail::Outcome,
    page::{Column, Page},
};

mod export;
mod find;
mod get;
mod history;
mod import;
mod list;
mod put;
mod remove;
mod verify;

const EXAMPLES: &str = "\
Examples:
  baybook book find zinc dry --book deploy/demo/book
  baybook book get vehicles/van-l35 --book deploy/demo/book";

/// Read and change the book of specifications
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct BookArgs {
    #[command(subcommand)]
    command: BookCommand,
}

#[derive(Debug, Subcommand)]
enum BookCommand {
    Get(get::GetArgs),
    List(list::ListArgs),
    Find(find::FindArgs),
    Put(put::PutArgs),
    Remove(remove::RemoveArgs),
    History(history::HistoryArgs),
    Import(import::ImportArgs),
    Export(export::ExportArgs),
    Verify(verify::VerifyArgs),
}

pub async fn run(args: BookArgs, context: &mut Context) -> Outcome {
    match args.command {
        BookCommand::Get(args) => get::run(args, context).await,
        BookCommand::List(args) => list::run(args, context).await,
        BookCommand::Find(args) => find::run(args, context).await,
        BookCommand::Put(args) => put::run(args, context).await,
        BookCommand::Remove(args) => remove::run(args, context).await,
        BookCommand::History(args) => history::run(args, context).await,
        BookCommand::Import(args) => import::run(args, context).await,
        BookCommand::Export(args) => export::run(args, context).await,
        BookCommand::Verify(args) => verify::run(args, context).await,
    }
}

/// The kinds of entry, by the folder of their names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
#[value(rename_all = "lower")]
pub enum Kind {
    Vehicles,
    Receivers,
    Bolts,
    Nuts,
    Washers,
    Finishes,
    BallMounts,
    Balls,
    Couplers,
    Trailers,
    Circuits,
    Wrenches,
    Terrains,
    Policies,
    BrakeLaws,
    BedCouplings,
}

impl From<Kind> for pb::EntryKind {
    fn from(kind: Kind) -> Self {
        match kind {
            Kind::Vehicles => Self::Vehicle,
            Kind::Receivers => Self::Receiver,
            Kind::Bolts => Self::Bolt,
            Kind::Nuts => Self::Nut,
            Kind::Washers => Self::Washer,
            Kind::Finishes => Self::Finish,
            Kind::BallMounts => Self::BallMount,
            Kind::Balls => Self::Ball,
            Kind::Couplers => Self::Coupler,
            Kind::Trailers => Self::Trailer,
            Kind::Circuits => Self::Circuit,
            Kind::Wrenches => Self::Wrench,
            Kind::Terrains => Self::Terrain,
            Kind::Policies => Self::Policy,
            Kind::BrakeLaws => Self::BrakeLaw,
            Kind::BedCouplings => Self::BedCoupling,
        }
    }
}

/// Returns the number of a kind on the wire; none is any.
pub fn kind_number(kind: Option<Kind>) -> i32 {
    kind.map_or(pb::EntryKind::Unspecified, pb::EntryKind::from).into()
}

/// Who makes a change, and the id that makes a retry harmless.
#[derive(Debug, Args)]
#[command(next_help_heading = "The change")]
struct ChangeArgs {
    /// Who makes the change
    #[arg(long, value_name = "WHO", env = "BAYBOOK_AUTHOR", default_value = "", hide_default_value = true)]
    author: String,

    /// An id of your own; a retry with the same id has no second effect
    #[arg(long, value_name = "ID", default_value = "", hide_default_value = true)]
    request_id: String,
}

/// Returns what people call an entry.
pub fn label(entry: &pb::Entry) -> &str {
    match &entry.spec {
        Some(Spec::Vehicle(spec)) => &spec.label,
        Some(Spec::Receiver(spec)) => &spec.label,
        Some(Spec::Bolt(spec)) => &spec.label,
        Some(Spec::Nut(spec)) => &spec.label,
        Some(Spec::Washer(spec)) => &spec.label,
        Some(Spec::Finish(spec)) => &spec.label,
        Some(Spec::BallMount(spec)) => &spec.label,
        Some(Spec::Ball(spec)) => &spec.label,
        Some(Spec::Coupler(spec)) => &spec.label,
        Some(Spec::Trailer(spec)) => &spec.label,
        Some(Spec::Circuit(spec)) => &spec.label,
        Some(Spec::Wrench(spec)) => &spec.label,
        Some(Spec::Terrain(spec)) => &spec.label,
        Some(Spec::Policy(spec)) => &spec.label,
        Some(Spec::BrakeLaw(spec)) => &spec.label,
        Some(Spec::BedCoupling(spec)) => &spec.label,
        None => "",
    }
}

fn draw_entries(entries: &[pb::Entry], page: &mut Page) {
    let rows =
        entries.iter().map(|entry| vec![entry.name.as_str().into(), label(entry).into(), entry.etag.as_str().into()]);
    page.table(&[Column::Words("name"), Column::Words("label"), Column::Words("etag")], rows.collect());
}
