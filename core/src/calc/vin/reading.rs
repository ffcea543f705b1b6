//! What a number that somebody wrote down comes to, in the market the vehicle was built for.
//!
//! Nothing is ever mended on the quiet: what the writer may have meant is offered, re-checked, for somebody to confirm.

use super::{ModelYears, Vin, VinCheck};
use crate::{
    basis::{Basis, Seen, Source},
    error::CalcError,
    model::vehicle::Market,
};

/// Where it is published that other markets leave position 9 free.
pub const FREE_SOURCE: Source =
    Source::new("ISO 3779, as explained on a European page on vehicle identification numbers", "", Seen::Opened);
/// Where the structure is published.
pub const STRUCTURE_SOURCE: Source = Source::new("49 CFR 565.15, structure of the number", "", Seen::Opened);
/// Where the look-alikes come from.
pub const LOOK_ALIKE_SOURCE: Source =
    Source::new("characters that are taken for one another", "", Seen::CommonPractice);

/// The longest text that is read as a number at all.
pub const TEXT_MAX: usize = 64;

/// Characters that are taken for one another.
const LOOK_ALIKES: [(char, char); 9] =
    [('S', '5'), ('Z', '2'), ('B', '8'), ('G', '6'), ('D', '0'), ('U', 'V'), ('A', '4'), ('T', '7'), ('L', '1')];

/// What is known of the vehicle beside its number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct VinContext {
    /// Whose rules it was built to.
    pub market: Option<Market>,
    /// Whether it is a passenger car, or a multipurpose vehicle or truck of up to 4,536 kg gross.
    pub light: Option<bool>,
    /// Whether it is older than the rule of 17 characters, home-built, state-numbered or made by somebody who never
    /// applied for an identifier: then anything may stand there.
    pub free_serial: bool,
}

/// How a number stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Its check digit fits, as its market asks for: plausible, not proven.
    Plausible,
    /// Its check digit does not fit, though its market asks for it: read it again.
    Misfit,
    /// Its market has no check digit; whether position 9 fits is information and no more.
    NotChecked {
        /// Whether it would fit.
        fits: bool,
    },
    /// The market is not known, and the check digit does not fit.
    MarketUnknown,
    /// A serial of a kind that has no rules. Somebody has to vouch for it.
    FreeSerial,
    /// Not a number that any vehicle of the rule may bear.
    Unreadable,
}

/// What somebody may have meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    /// The number.
    pub vin: Vin,
    /// Which positions differ from what was written, counted from 1.
    pub positions: Vec<usize>,
    /// Whether its check digit fits. `Z` for `9` fits either way: a fit proves nothing.
    pub fits: bool,
}

/// Something about the structure that is worth a look; never an error on its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Note {
    /// Position 3 is `9`: a maker of few vehicles, whose identifier goes on in positions 12 to 14.
    FewVehicles,
    /// One of the last characters of the serial is no digit, though this kind of vehicle has digits there.
    SerialNotDigits,
    /// Position 10 is no year code.
    NoYearCode,
}

/// What a number comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The number, when it has 17 legal characters.
    pub vin: Option<Vin>,
    /// How it stands.
    pub standing: Standing,
    /// What the check digit says, when there is one to say anything.
    pub check: Option<VinCheck>,
    /// The model years it may stand for; only where the market fills position 10, and both when nothing decides.
    pub years: Option<ModelYears>,
    /// The structure's notes, by the rules of North America.
    pub notes: Vec<Note>,
    /// What somebody may have meant. Empty for a number that is fine as it is.
    pub offers: Vec<Offer>,
    /// Why it cannot be read, when it cannot.
    pub error: Option<CalcError>,
}

/// Reads a number in the market it was made for.
///
/// # Source
///
/// 49 CFR 565 for North America; ISO 3779 as explained elsewhere, where position 9 is free and year and plant are
/// optional.
#[must_use]
pub fn read_in(text: &str, context: VinContext) -> Reading {
    let american = context.market == Some(Market::NorthAmerica);
    let elsewhere = matches!(context.market, Some(Market::Europe | Market::Other));
    let vin = match Vin::read(text) {
        Ok(vin) => vin,
        Err(error) => {
            let standing = if context.free_serial { Standing::FreeSerial } else { Standing::Unreadable };
            let offers = if elsewhere { offers_of(text, false) } else { offers_of(text, true) };
            return Reading {
                vin: None,
                standing,
                check: None,
                years: None,
                notes: Vec::new(),
                offers,
                error: Some(error),
            };
        }
    };
    let check = vin.check();
    let standing = match (context.free_serial, context.market) {
        (true, _) => Standing::FreeSerial,
        (false, Some(Market::Europe | Market::Other)) => Standing::NotChecked { fits: check.fits() },
        (false, _) if check.fits() => Standing::Plausible,
        (false, Some(Market::NorthAmerica)) => Standing::Misfit,
        (false, None) => Standing::MarketUnknown,
    };
    let years =
        if elsewhere || context.free_serial { None } else { vin.model_years(context.light.filter(|_| american)) };
    let notes = if american { notes(&vin, context.light) } else { Vec::new() };
    let offers =
        if matches!(standing, Standing::Misfit | Standing::MarketUnknown) { look_alikes(&vin) } else { Vec::new() };
    Reading { vin: Some(vin), standing, check: Some(check), years, notes, offers, error: None }
}

fn notes(vin: &Vin, light: Option<bool>) -> Vec<Note> {
    let mut notes = Vec::new();
    if vin.at(3) == Some('9') {
        notes.push(Note::FewVehicles);
    }
    // The last five are digits for light vehicles, the last four for all others; where nobody knows, four are sure.
    let first = if light == Some(true) { 13 } else { 14 };
    if (first..=super::LENGTH).any(|position| vin.at(position).is_none_or(|c| !c.is_ascii_digit())) {
        notes.push(Note::SerialNotDigits);
    }
    if vin.model_years(None).is_none() {
        notes.push(Note::NoYearCode);
    }
    notes
}

/// Returns what a text with letters that no number holds may have meant: `I` a one, `O` and `Q` a nought.
///
/// `checked` asks for the fit of the check digit to be put first.
fn offers_of(text: &str, checked: bool) -> Vec<Offer> {
    let trimmed = text.trim();
    if trimmed.len() > TEXT_MAX {
        return Vec::new();
    }
    let mut positions = Vec::new();
    let mended: String = trimmed
        .chars()
        .enumerate()
        .map(|(index, character)| match character.to_ascii_uppercase() {
            'I' => {
                positions.push(index + 1);
                '1'
            }
            'O' | 'Q' => {
                positions.push(index + 1);
                '0'
            }
            other => other,
        })
        .collect();
    if positions.is_empty() {
        return Vec::new();
    }
    let Ok(vin) = Vin::read(&mended) else {
        return Vec::new();
    };
    let mut offers = vec![Offer { vin, positions: positions.clone(), fits: vin.check().fits() }];
    if checked && !offers[0].fits {
        // An O may stand for a D as well, and an I for an L; then the digit may tell.
        for &position in &positions {
            let other = if vin.at(position) == Some('1') { 'L' } else { 'D' };
            if let Some(vin) = with(&vin, position, other).filter(|vin| vin.check().fits()) {
                offers.push(Offer { vin, positions: positions.clone(), fits: true });
            }
        }
    }
    offers
}

/// Returns the numbers that differ from this one by one look-alike and whose check digit fits.
#[must_use]
pub fn look_alikes(vin: &Vin) -> Vec<Offer> {
    let mut offers = Vec::new();
    for position in 1..=super::LENGTH {
        let Some(here) = vin.at(position) else { continue };
        for (one, other) in LOOK_ALIKES {
            let instead = match here {
                c if c == one => other,
                c if c == other => one,
                _ => continue,
            };
            if let Some(vin) = with(vin, position, instead).filter(|vin| vin.check().fits()) {
                offers.push(Offer { vin, positions: vec![position], fits: true });
            }
        }
    }
    offers
}

fn with(vin: &Vin, position: usize, character: char) -> Option<Vin> {
    let text: String =
        vin.as_str().chars().enumerate().map(|(at, c)| if at + 1 == position { character } else { c }).collect();
    Vin::read(&text).ok()
}

/// Returns the steps behind [`read_in`] beside those of the number itself.
#[must_use]
pub fn basis(context: VinContext) -> Vec<Basis> {
    match context.market {
        Some(Market::Europe | Market::Other) => {
            vec![Basis::new("vin-position-9-free", "no check digit, year optional", FREE_SOURCE, &[])]
        }
        Some(Market::NorthAmerica) | None => vec![
            Basis::new("vin-structure", "maker, attributes, check digit, year, plant, serial", STRUCTURE_SOURCE, &[]),
            Basis::new("vin-look-alikes", "one character changed, re-checked, never rewritten", LOOK_ALIKE_SOURCE, &[]),
        ],
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const GOOD: &str = "1G4AH59H45G118341";

    fn american(text: &str) -> Reading {
        read_in(text, VinContext { market: Some(Market::NorthAmerica), light: Some(true), free_serial: false })
    }

    fn european(text: &str) -> Reading {
        read_in(text, VinContext { market: Some(Market::Europe), ..VinContext::default() })
    }

    /// 49 CFR 565 sample, opened, and its misprints.
    #[test]
    fn a_market_with_a_check_digit_asks_for_it() {
        assert_eq!(american(GOOD).standing, Standing::Plausible);
        assert!(american(GOOD).offers.is_empty());
        let wrong = american("1G4AH59H45G118331");
        assert_eq!((wrong.standing, wrong.check.unwrap().wanted), (Standing::Misfit, '1'));
        let unknown = read_in("1G4AH59H45G118331", VinContext::default());
        assert_eq!(unknown.standing, Standing::MarketUnknown);
    }

    #[test]
    fn elsewhere_a_misfit_is_information_and_no_year_is_derived() {
        let reading = european("1G4AH59H45G118331");
        assert_eq!((reading.standing, reading.years), (Standing::NotChecked { fits: false }, None));
        assert!(reading.offers.is_empty() && reading.notes.is_empty() && reading.error.is_none());
        assert_eq!(european(GOOD).standing, Standing::NotChecked { fits: true });
    }

    #[test]
    fn letters_that_no_number_holds_are_offered_and_never_rewritten() {
        let reading = american("IG4AH59H45GII834I");
        assert_eq!((reading.standing, reading.vin), (Standing::Unreadable, None));
        let [offer] = reading.offers.as_slice() else { panic!("{reading:?}") };
        assert_eq!((offer.vin.as_str(), offer.fits), (GOOD, true));
        assert_eq!(offer.positions, [1, 12, 13, 17]);
        assert_eq!(american("O").offers, []);
        // What was meant may be something else again: then the fit tells, and still somebody confirms.
        assert!(american("1G4AH59H45G1I8331").offers.iter().all(|offer| offer.vin.as_str() != GOOD));
    }

    /// S for 5 is caught by the check digit, Z for 9 is not: they weigh 2 against 5, and 9 against 9.
    #[test]
    fn a_look_alike_is_offered_where_the_digit_catches_it() {
        let wrong = american("1G4AHS9H45G118341");
        assert_eq!(wrong.standing, Standing::Misfit);
        assert!(wrong.offers.iter().any(|offer| offer.vin.as_str() == GOOD && offer.positions == [6]), "{wrong:?}");
        assert_eq!(american("1G4AH5ZH45G118341").standing, Standing::Plausible);
    }

    #[test]
    fn structure_is_noted() {
        let few = american("1G9AH59H45G118341");
        assert!(few.notes.contains(&Note::FewVehicles));
        assert_eq!(few.vin.unwrap().whole_maker(), "1G9118");
        assert_eq!(Vin::read(GOOD).unwrap().whole_maker(), "1G4");
        let heavy = VinContext { market: Some(Market::NorthAmerica), light: Some(false), free_serial: false };
        // 49 CFR 565.15, opened: the last five are digits for light vehicles, the last four for all others.
        assert!(american("1G4AH59H45GA18341").notes.is_empty());
        assert!(american("1G4AH59H45G1A8341").notes.contains(&Note::SerialNotDigits));
        assert!(read_in("1G4AH59H45G1A8341", heavy).notes.is_empty());
        assert!(read_in("1G4AH59H45G11A341", heavy).notes.contains(&Note::SerialNotDigits));
        assert!(american("1G4AH59H4UG118341").notes.contains(&Note::NoYearCode));
    }

    #[test]
    fn old_and_home_made_serials_are_somebodys_word() {
        let old = VinContext { free_serial: true, ..VinContext::default() };
        for text in ["KX-4471", "TRAILER 9", GOOD] {
            assert_eq!(read_in(text, old).standing, Standing::FreeSerial, "{text}");
        }
        assert_eq!(read_in(GOOD, old).years, None);
    }

    /// 49 CFR 565.15, table VII and the position 7 rule, opened second-hand: T is 1996 or 2026.
    #[test]
    fn years_are_both_unless_position_seven_decides() {
        let years = |text: &str, light: Option<bool>| {
            let context = VinContext { market: Some(Market::NorthAmerica), light, free_serial: false };
            read_in(text, context).years.unwrap().candidates(2027)
        };
        assert_eq!(years("1G4AH59H4TG118341", None), [1996, 2026]);
        assert_eq!(years("1G4AH59H4TG118341", Some(false)), [1996, 2026]);
        assert_eq!(years("1G4AH59H4TG118341", Some(true)), [1996]);
        assert_eq!(years("1G4AH5AH4TG118341", Some(true)), [2026]);
        // A year that is still to come is no candidate.
        assert_eq!(years("1G4AH59H45G118341", None), [2005]);
        assert_eq!(years("1G4AH5AH45G118341", Some(true)), [] as [i32; 0]);
    }

    proptest! {
        #[test]
        fn reading_never_panics_and_an_offer_is_never_the_text_itself(text in "[A-Z0-9IOQ \\-é]{0,24}", american in any::<bool>()) {
            let market = Some(if american { Market::NorthAmerica } else { Market::Europe });
            let reading = read_in(&text, VinContext { market, light: None, free_serial: false });
            for offer in &reading.offers {
                prop_assert!(offer.vin.as_str() != text.trim().to_ascii_uppercase());
                prop_assert_eq!(offer.fits, offer.vin.check().fits());
            }
        }

        /// One look-alike put wrong is always among the offers when the digit catches it.
        #[test]
        fn a_single_look_alike_is_found_again(digits in "[0-9]{17}", position in 1_usize..=17, pair in 0_usize..9) {
            prop_assume!(position != 9);
            let wanted = Vin::read(&digits).unwrap().check().wanted;
            let (letter, digit) = LOOK_ALIKES[pair];
            prop_assume!(digit.is_ascii_digit());
            let mut right: Vec<char> = digits.chars().collect();
            right[position - 1] = digit;
            right[8] = wanted;
            let right: String = right.into_iter().collect();
            let fixed = with(&Vin::read(&right).unwrap(), 9, Vin::read(&right).unwrap().check().wanted).unwrap();
            let wrong = with(&fixed, position, letter).unwrap();
            prop_assume!(!wrong.check().fits());
            prop_assert!(look_alikes(&wrong).iter().any(|offer| offer.vin == fixed));
        }
    }
}
