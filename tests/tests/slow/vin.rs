//! Vehicle identification numbers by the printed tables themselves, letter by letter, and by trying every change.

use baybook_core::calc::vin::Vin;
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::{cases, first_seed};

/// Which characters share a value, 0 to 9: 49 CFR 565, table of values (opened in a reprint), turned round.
const ALIKE: [&str; 10] = ["0", "1AJ", "2BKS", "3CLT", "4DMU", "5ENV", "6FW", "7GPX", "8HY", "9RZ"];
/// The weights as printed, position by position.
const WEIGHTS: &str = "8 7 6 5 4 3 2 10 0 9 8 7 6 5 4 3 2";
const LEGAL: &str = "0123456789ABCDEFGHJKLMNPRSTUVWXYZ";

/// A character that is not in the table is worth what no character is, and no number with it comes out right.
fn worth(character: char) -> usize {
    ALIKE.iter().position(|row| row.contains(character)).unwrap_or(12_345)
}

/// The character that belongs into position 9, by taking elevens away.
fn wanted(number: &str) -> char {
    let weights = WEIGHTS.split(' ').map(|weight| weight.parse::<usize>().unwrap_or(0));
    let mut sum: usize = number.chars().zip(weights).map(|(character, weight)| worth(character) * weight).sum();
    while 11 <= sum {
        sum -= 11;
    }
    "0123456789X".chars().nth(sum).unwrap_or('?')
}

fn random_number(random: &mut ChaCha8Rng) -> String {
    (0..17).filter_map(|_| LEGAL.chars().nth(random.random_range(0..LEGAL.len()))).collect()
}

fn with(number: &str, at: usize, character: char) -> String {
    number.chars().enumerate().map(|(index, old)| if index == at { character } else { old }).collect()
}

#[test]
fn the_check_digit_is_the_tables() {
    for seed in first_seed()..first_seed() + cases(2000) {
        let number = random_number(&mut ChaCha8Rng::seed_from_u64(seed));
        let found = Vin::read(&number).expect("every character is legal").check();
        assert_eq!(found.wanted, wanted(&number), "seed {seed}: {number}");
        // One of the eleven check characters fits, and no other.
        let fitting = "0123456789X"
            .chars()
            .filter(|check| Vin::read(&with(&number, 8, *check)).is_ok_and(|vin| vin.check().fits()));
        assert_eq!(fitting.collect::<String>(), wanted(&number).to_string(), "seed {seed}: {number}");
    }
}

/// Eleven is a prime: whatever single character is mistaken is caught, unless both are worth the same.
#[test]
fn one_mistaken_character_is_caught_unless_it_is_worth_the_same() {
    for seed in first_seed()..first_seed() + cases(20) {
        let number = random_number(&mut ChaCha8Rng::seed_from_u64(seed));
        let number = with(&number, 8, wanted(&number));
        for (at, old) in number.char_indices().filter(|(at, _)| *at != 8) {
            for new in LEGAL.chars() {
                let fits = Vin::read(&with(&number, at, new)).is_ok_and(|vin| vin.check().fits());
                assert_eq!(fits, worth(old) == worth(new), "seed {seed}: {number}, {old} as {new} in {}", at + 1);
            }
        }
    }
}

/// 49 CFR 565.15, table VII (as quoted in a public repository, opened): from A for 1980, letters without I, O, Q, U and Z,
/// then digits without nought, thirty years round.
#[test]
fn the_year_is_counted_off_the_alphabet() {
    let codes: Vec<char> = ('A'..='Z').filter(|letter| !"IOQUZ".contains(*letter)).chain('1'..='9').collect();
    assert_eq!(codes.len(), 30);
    for code in LEGAL.chars() {
        for seventh in LEGAL.chars() {
            let number = with(&with("1M8GDM9AXKP042788", 9, code), 6, seventh);
            let years = Vin::read(&number).expect("every character is legal").model_years(Some(true));
            let place = codes.iter().position(|other| *other == code).and_then(|place| i32::try_from(place).ok());
            let early = place.map(|place| 1980 + place);
            assert_eq!(years.map(|years| years.early), early, "{number}");
            let decided = early.map(|early| if seventh.is_ascii_digit() { early } else { early + 30 });
            assert_eq!(years.and_then(|years| years.decided), decided, "{number}");
        }
    }
}
