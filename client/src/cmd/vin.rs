//! `baybook vin`: what a vehicle identification number comes to.

use baybook_proto::v1 as pb;
use clap::{Args, ValueEnum};

use crate::{
    args::YesNo,
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::{Column, Page},
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook vin 7ZZVL3AA7TA004107 --market north-america --light yes
  baybook vin 7ZZVL3AA7TAOO41O7 --market north-america
  baybook vin 7ZZVL3AA7TA004117 --market europe --format json";

const FLAGS: Flags = Flags(&[("vin", "VIN"), ("market", "--market"), ("latest_model_year", "--latest-model-year")]);

/// Check a vehicle identification number: structure, check digit, model years
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct VinArgs {
    /// The number as it stands on the vehicle
    #[arg(value_name = "VIN")]
    vin: String,

    /// Whose rules the vehicle was built to; only North America has a check digit
    #[arg(long, value_name = "MARKET")]
    market: Option<Market>,

    /// Whether it is a car, or a multipurpose vehicle or truck of up to 4,536 kg gross
    #[arg(long, value_name = "ANSWER")]
    light: Option<YesNo>,

    /// Whether the serial follows no rule: before 1981, home-built, numbered by a state
    #[arg(long, value_name = "ANSWER")]
    free_serial: Option<YesNo>,

    /// The latest model year on sale; later candidates are left out
    #[arg(long, value_name = "YEAR")]
    latest_model_year: Option<i32>,
}

/// Whose rules a vehicle was built to.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Market {
    /// United States or Canada
    NorthAmerica,
    /// UN/EU type approval
    Europe,
    /// Anywhere else
    Other,
}

pub async fn run(args: VinArgs, context: &mut Context) -> Outcome {
    let market = match args.market {
        None => pb::Market::Unspecified,
        Some(Market::NorthAmerica) => pb::Market::NorthAmerica,
        Some(Market::Europe) => pb::Market::Europe,
        Some(Market::Other) => pb::Market::Other,
    };
    let request = context.call(pb::CheckVinRequest {
        vin: args.vin,
        market: market.into(),
        light: args.light.map(bool::from),
        free_serial: args.free_serial.map(bool::from),
        latest_model_year: args.latest_model_year,
    });
    let reply = context.calculator().await?.check_vin(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::CheckVinResponse, page: &mut Page) {
    let fits = if reply.check_fits == Some(true) { "it would fit" } else { "it would not fit" };
    let (lead, rest) = match reply.standing() {
        pb::VinStanding::Plausible => (Cell::marked("PLAUSIBLE", Mark::Good), "the check digit fits".to_owned()),
        pb::VinStanding::Misfit => (
            Cell::marked("DOES NOT FIT", Mark::Bad),
            format!("position 9 is {}, the sum asks for {}", reply.check_found, reply.check_wanted),
        ),
        pb::VinStanding::NotChecked => {
            (Cell::marked("NOT CHECKED", Mark::Mind), format!("this market has no check digit; {fits}"))
        }
        pb::VinStanding::MarketUnknown => (
            Cell::marked("MARKET UNKNOWN", Mark::Mind),
            format!("position 9 is {}, a check digit would be {}", reply.check_found, reply.check_wanted),
        ),
        pb::VinStanding::FreeSerial => {
            (Cell::marked("FREE SERIAL", Mark::Mind), "no rule to check it by; somebody vouches for it".to_owned())
        }
        pb::VinStanding::Unreadable | pb::VinStanding::Unspecified => {
            (Cell::marked("UNREADABLE", Mark::Bad), "it is not 17 legal characters".to_owned())
        }
    };
    page.line(lead, &rest);
    if !reply.unreadable.is_empty() {
        page.notes("why", [("", reply.unreadable.clone())]);
    }
    let mut parts: Vec<(&str, String)> = Vec::new();
    let mut part = |name, text: &str| {
        if !text.is_empty() {
            parts.push((name, text.to_owned()));
        }
    };
    part("number", &reply.vin);
    part("maker", &reply.maker);
    part("attributes, 4 to 8", &reply.attributes);
    if let Some(sum) = reply.weighted_sum_count {
        part("weighted sum", &sum.to_string());
    }
    part("year code, 10", &reply.year_code);
    let years: Vec<String> = reply.candidate_year.iter().map(ToString::to_string).collect();
    match (years.is_empty(), reply.year_decided) {
        (true, _) => {}
        (false, true) => part("model year", &format!("{}, by position 7", years.join(" or "))),
        (false, false) => part("model year", &format!("{}; position 7 does not tell: ask", years.join(" or "))),
    }
    part("plant, 11", &reply.plant);
    part("serial, 12 to 17", &reply.serial);
    let rows = parts.into_iter().map(|(name, text)| vec![name.into(), text.into()]).collect();
    page.table(&[Column::Words("part"), Column::Words("as written")], rows);
    page.notes("look at", reply.notes().map(|note| ("", remark(note).to_owned())));
    page.notes(
        "perhaps meant, never rewritten",
        reply.offers.iter().map(|offer| {
            let at: Vec<String> = offer.changed_position.iter().map(ToString::to_string).collect();
            let fits = if offer.check_fits { "its check digit fits" } else { "its check digit does not fit either" };
            (offer.vin.as_str(), format!("other at {}; {fits}", at.join(", ")))
        }),
    );
    page.footing(&reply.cautions, &reply.basis, Some(reply.revision));
}

fn remark(note: pb::VinNote) -> &'static str {
    match note {
        pb::VinNote::FewVehicles => "position 3 is 9: a maker of few vehicles, identified by positions 12 to 14 too",
        pb::VinNote::SerialNotDigits => "one of the last characters is no digit, though this kind has digits there",
        pb::VinNote::NoYearCode => "position 10 is no year code",
        pb::VinNote::BothYears => "the year code stands for two years, and nothing tells them apart",
        pb::VinNote::Unspecified => "something else",
    }
}
