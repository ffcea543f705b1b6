//! Published samples and laws.

use proptest::prelude::*;

use super::*;
use crate::calc::printed::says;

/// Number, weighted sum, check character, whether it fits.
#[rustfmt::skip]
const SAMPLES: &[(&str, &str, u32, char, bool)] = &[
    ("49 CFR 565, table, published sample, opened",      "1G4AH59H45G118341", 411, '4', true),
    ("motorcycle club page, published sample, opened",  "JH2RC3605MM101581", 280, '5', true),
    ("49 CFR 565, sample on public pages, opened",       "1M8GDM9AXKP042788", 351, 'X', true),
    ("derived, all ones",                               "11111111111111111",  89, '1', true),
    ("derived, one digit wrong",                        "1G4AH59H45G118331", 408, '1', false),
    ("derived, 8 and 3 swapped",                        "1G4AH59H45G113841", 406, 'X', false),
    ("derived, 1 and 8 swapped",                        "1G4AH59H45G181341", 418, '0', false),
    ("derived, J for A passes although wrong",          "1G4JH59H45G118341", 411, '4', true),
];

#[test]
fn samples_check_as_published() {
    for (source, number, sum, wanted, fits) in SAMPLES {
        let check = Vin::read(number).unwrap().check();
        says(source, sum, &check.sum);
        says(source, wanted, &check.wanted);
        assert_eq!(check.fits(), *fits, "{source}");
    }
}

/// The groups that weigh the same, as published.
const SAME: [&str; 9] = ["1AJ", "2BKS", "3CLT", "4DMU", "5ENV", "6FW", "7GPX", "8HY", "9RZ"];

#[test]
fn characters_weigh_what_is_published() {
    for (index, group) in SAME.iter().enumerate() {
        for byte in group.bytes() {
            let source = format!("49 CFR 565, table of values, opened, {}", char::from(byte));
            says(&source, &u32::try_from(index + 1).unwrap(), &value(byte));
        }
    }
    assert_eq!(value(b'0'), 0);
    for (weight, printed) in WEIGHTS.iter().zip([8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2]) {
        says("49 CFR 565, table of weight factors, opened", &printed, weight);
    }
}

#[test]
fn illegal_characters_and_lengths_are_refused_and_never_mended() {
    for bad in ["1G4AH59H45G11834I", "1G4AH59H45G1183O1", "1G4AH59Q45G118341", "1G4AH59H45G11834", "1G4AH59H45G1183411"]
    {
        assert_eq!(Vin::read(bad).unwrap_err().field(), "vin", "{bad}");
    }
    let error = Vin::read("1G4AH59H45G1183O1").unwrap_err().to_string();
    assert!(error.contains("position 16") && error.contains("write 0"), "{error}");
    assert!(Vin::read("1G4AH59H45G11834é").is_err());
    assert!(Vin::read("").is_err());
    assert_eq!(Vin::read(" 1g4ah59h45g118341 ").unwrap().as_str(), "1G4AH59H45G118341");
}

/// Code, earlier and later year. 49 CFR 565.15 table VII for the cycle of 1980 and for 2010, 2026, 2027, 2030, 2031;
/// the others derived from the order.
#[rustfmt::skip]
const YEARS: &[(char, i32, i32)] = &[
    ('A', 1980, 2010), ('B', 1981, 2011), ('C', 1982, 2012), ('D', 1983, 2013), ('E', 1984, 2014), ('F', 1985, 2015),
    ('G', 1986, 2016), ('H', 1987, 2017), ('J', 1988, 2018), ('K', 1989, 2019), ('L', 1990, 2020), ('M', 1991, 2021),
    ('N', 1992, 2022), ('P', 1993, 2023), ('R', 1994, 2024), ('S', 1995, 2025), ('T', 1996, 2026), ('V', 1997, 2027),
    ('W', 1998, 2028), ('X', 1999, 2029), ('Y', 2000, 2030), ('1', 2001, 2031), ('2', 2002, 2032), ('3', 2003, 2033),
    ('4', 2004, 2034), ('5', 2005, 2035), ('6', 2006, 2036), ('7', 2007, 2037), ('8', 2008, 2038), ('9', 2009, 2039),
];

fn with(position: usize, character: char) -> Vin {
    let mut text: Vec<char> = "1G4AH59H45G118341".chars().collect();
    text[position - 1] = character;
    Vin::read(&text.into_iter().collect::<String>()).unwrap()
}

#[test]
fn year_codes_stand_for_what_is_printed() {
    for (code, early, late) in YEARS {
        let years = with(10, *code).model_years(None).unwrap();
        let source = |year: &i32| {
            let seen = matches!(year, ..2010 | 2010 | 2026 | 2027 | 2030 | 2031);
            format!(
                "49 CFR 565.15, table VII, {}, {code}",
                if seen { "opened" } else { "order opened, figure derived" }
            )
        };
        says(&source(early), early, &years.early);
        says(&source(late), late, &years.late);
        assert_eq!((years.code, years.decided), (*code, None));
    }
    for none in ['U', 'Z', '0'] {
        assert_eq!(with(10, none).model_years(Some(true)), None, "{none} is no year code");
    }
}

#[test]
fn position_seven_decides_for_light_vehicles_alone() {
    assert_eq!(with(7, '9').model_years(Some(true)).unwrap().decided, Some(2005));
    assert_eq!(with(7, 'B').model_years(Some(true)).unwrap().decided, Some(2035));
    assert_eq!(with(7, 'B').model_years(Some(false)).unwrap().decided, None);
}

proptest! {
    #[test]
    fn reading_never_panics(text in "\\PC{0,24}") {
        let _ = Vin::read(&text);
    }

    /// Eleven is prime and no weight but position 9's is a multiple of it, so one wrong value is always caught.
    #[test]
    fn one_wrong_digit_is_always_caught(digits in "[0-9]{17}", position in 1_usize..=17, step in 1_u8..10) {
        prop_assume!(position != 9);
        let fixed = |text: &str| {
            let wanted = Vin::read(text).unwrap().check().wanted;
            format!("{}{wanted}{}", &text[..8], &text[9..])
        };
        let right = fixed(&digits);
        prop_assert!(Vin::read(&right).unwrap().check().fits());
        let mut wrong = right.into_bytes();
        wrong[position - 1] = b'0' + (wrong[position - 1] - b'0' + step) % 10;
        prop_assert!(!Vin::read(std::str::from_utf8(&wrong).unwrap()).unwrap().check().fits());
    }
}
