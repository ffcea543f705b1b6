use baybook_proto::v1 as pb;

use super::{CheckVin, vin_to_wire};
use crate::wire::{fixture::paths, read};

fn ask(vin: &str, change: impl FnOnce(&mut pb::CheckVinRequest)) -> pb::CheckVinResponse {
    let mut wire = pb::CheckVinRequest {
        vin: vin.to_owned(),
        market: pb::Market::NorthAmerica.into(),
        ..pb::CheckVinRequest::default()
    };
    change(&mut wire);
    vin_to_wire(&read::<CheckVin>(&wire).unwrap(), 7)
}

/// 49 CFR 565, published samples, opened.
#[test]
fn the_published_samples_fit() {
    for (vin, sum, digit) in
        [("1G4AH59H45G118341", 411, "4"), ("JH2RC3605MM101581", 280, "5"), ("1M8GDM9AXKP042788", 351, "X")]
    {
        let reply = ask(vin, |_| ());
        assert_eq!(reply.standing(), pb::VinStanding::Plausible, "{vin}");
        assert_eq!((reply.weighted_sum_count, reply.check_wanted.as_str()), (Some(sum), digit), "{vin}");
        assert_eq!((reply.vin.as_str(), reply.revision), (vin, 7));
    }
}

#[test]
fn structure_comes_in_parts_and_both_years_are_answered() {
    let reply = ask("1G4AH59H4TG118341", |_| ());
    assert_eq!(
        (
            reply.maker.as_str(),
            reply.attributes.as_str(),
            reply.year_code.as_str(),
            reply.plant.as_str(),
            reply.serial.as_str()
        ),
        ("1G4", "AH59H", "T", "G", "118341")
    );
    assert_eq!((reply.candidate_year.as_slice(), reply.year_decided), ([1996, 2026].as_slice(), false));
    assert!(reply.notes.contains(&pb::VinNote::BothYears.into()));
    let light = ask("1G4AH59H4TG118341", |wire| wire.light = Some(true));
    assert_eq!((light.candidate_year.as_slice(), light.year_decided), ([1996].as_slice(), true));
    let latest = ask("1G4AH59H45G118341", |wire| wire.latest_model_year = Some(2027));
    assert_eq!(latest.candidate_year, [2005]);
}

#[test]
fn elsewhere_nothing_is_derived_and_a_misfit_is_information() {
    let reply = ask("1G4AH59H45G118331", |wire| wire.market = pb::Market::Europe.into());
    assert_eq!((reply.standing(), reply.check_fits), (pb::VinStanding::NotChecked, Some(false)));
    assert!(reply.candidate_year.is_empty() && reply.year_code.is_empty() && reply.plant.is_empty());
    assert!(reply.offers.is_empty());
}

#[test]
fn look_alikes_are_offered_and_the_text_is_never_rewritten() {
    let reply = ask("IG4AH59H45GII834I", |_| ());
    assert_eq!((reply.standing(), reply.vin.as_str()), (pb::VinStanding::Unreadable, ""));
    assert!(reply.unreadable.contains("if it is a one, write 1"), "{}", reply.unreadable);
    assert_eq!(reply.offers[0].vin, "1G4AH59H45G118341");
    assert_eq!(
        (reply.offers[0].changed_position.as_slice(), reply.offers[0].check_fits),
        ([1, 12, 13, 17].as_slice(), true)
    );
    let misfit = ask("1G4AHS9H45G118341", |_| ());
    assert_eq!((misfit.standing(), misfit.vin.as_str()), (pb::VinStanding::Misfit, "1G4AHS9H45G118341"));
    assert!(misfit.offers.iter().any(|offer| offer.vin == "1G4AH59H45G118341"));
}

#[test]
fn a_free_serial_is_somebodys_word() {
    let reply = ask("KX-4471", |wire| wire.free_serial = Some(true));
    assert_eq!(reply.standing(), pb::VinStanding::FreeSerial);
    assert!(reply.maker.is_empty() && reply.cautions.iter().any(|it| it.id == "somebody-vouches"));
}

#[test]
fn everything_unreadable_is_named_at_once() {
    let wire =
        pb::CheckVinRequest { vin: " ".to_owned(), market: 9, latest_model_year: Some(26), ..Default::default() };
    assert_eq!(paths(&read::<CheckVin>(&wire).unwrap_err()), ["vin", "market", "latest_model_year"]);
    let wire = pb::CheckVinRequest { vin: "1".repeat(65), ..Default::default() };
    assert_eq!(paths(&read::<CheckVin>(&wire).unwrap_err()), ["vin"]);
}
