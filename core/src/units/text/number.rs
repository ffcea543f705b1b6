//! One number at the start of a text: decimals, thousands, fractions, and why a comma is no decimal point.

/// The longest text that is looked at; whatever is longer was not written by a person.
pub(crate) const LONGEST: usize = 64;

/// Brings the many ways to type a space, a dash, a quote or a fraction to one.
///
/// Fails on text that is empty or longer than [`LONGEST`].
pub(crate) fn tidy(text: &str) -> Result<String, String> {
    if text.chars().nth(LONGEST).is_some() {
        return Err(format!("it is longer than {LONGEST} characters"));
    }
    let mut tidied = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            // Zero-width marks and byte-order marks come along when text is copied from a page or a sheet.
            '\u{200b}' | '\u{200c}' | '\u{200d}' | '\u{2060}' | '\u{feff}' => {}
            c if c.is_whitespace() => tidied.push(' '),
            '\u{2010}'..='\u{2015}' | '\u{2212}' | '\u{fe63}' | '\u{ff0d}' => tidied.push('-'),
            '″' | '“' | '”' | '„' | '‟' | '＂' => tidied.push('"'),
            '′' | '‘' | '’' | '‛' | '´' | '`' => tidied.push('\''),
            '\u{2044}' | '\u{2215}' => tidied.push('/'),
            '×' | '✕' | '✖' => tidied.push('x'),
            '⋅' | '•' | '∙' | '*' => tidied.push('·'),
            'º' | '˚' => tidied.push('°'),
            c => match vulgar(c) {
                // The space parts it from a whole number before it: `5½` is `5 1/2`, not `51/2`.
                Some(fraction) => {
                    tidied.push(' ');
                    tidied.push_str(fraction);
                    tidied.push(' ');
                }
                None => tidied.push(c),
            },
        }
    }
    let tidied = tidied.trim();
    if tidied.is_empty() { Err("it is empty".to_owned()) } else { Ok(tidied.to_owned()) }
}

/// Returns the fraction that a single character stands for.
const fn vulgar(c: char) -> Option<&'static str> {
    Some(match c {
        '½' => "1/2",
        '¼' => "1/4",
        '¾' => "3/4",
        '⅛' => "1/8",
        '⅜' => "3/8",
        '⅝' => "5/8",
        '⅞' => "7/8",
        '⅓' => "1/3",
        '⅔' => "2/3",
        _ => return None,
    })
}

/// Reads the number that tidied text starts with, without its sign, and returns what follows it.
///
/// Reads `12`, `12.5`, `.5`, `7,500`, `1.5e3`, `5/8`, `21 5/8` and `19-3/4`.
pub(crate) fn leading(text: &str) -> Result<(f64, &str), String> {
    let end = text.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ',')).unwrap_or(text.len());
    let (run, rest) = text.split_at(end);
    if run.is_empty() {
        return Err("it does not start with a number".to_owned());
    }
    let digits = without_thousands(run)?;
    let (digits, rest, exponent) = with_exponent(digits, rest);
    let value = finite(&digits)?;
    if exponent || run.contains('.') {
        return follows(value, rest);
    }
    if let Some(after) = rest.strip_prefix('/') {
        let (denominator, after) = whole(after)?;
        return follows(divide(value, denominator)?, after);
    }
    let after = rest.trim_start();
    let after = after.strip_prefix('-').unwrap_or(after).trim_start();
    if let Some((numerator, denominator, after)) = fraction(after)? {
        if denominator <= numerator {
            return Err(format!("{numerator}/{denominator} after a whole number is not less than one"));
        }
        return follows(value + divide(numerator, denominator)?, after);
    }
    follows(value, rest)
}

/// Two numbers in a row have no one meaning: thousands with a space, a lost unit, a lost fraction bar.
fn follows(value: f64, rest: &str) -> Result<(f64, &str), String> {
    let next = rest.trim_start();
    if next.starts_with(|c: char| c.is_ascii_digit()) {
        return Err("two numbers follow each other; write 7500 or 7,500, and a unit after each number".to_owned());
    }
    if next.starts_with(['.', ',', '/']) {
        return Err("the number goes on in a way that cannot be read".to_owned());
    }
    Ok((value, next))
}

/// Returns the digits without thousands commas; any other comma is refused with what to write instead.
fn without_thousands(run: &str) -> Result<String, String> {
    let (whole, decimals) = match run.split_once('.') {
        Some((whole, decimals)) => (whole, Some(decimals)),
        None => (run, None),
    };
    if decimals.is_some_and(|decimals| decimals.contains(',')) {
        return Err(comma(run));
    }
    if decimals.is_some_and(|decimals| decimals.contains('.')) {
        return Err("it has more than one point".to_owned());
    }
    if whole.is_empty() && decimals.is_none_or(str::is_empty) {
        return Err("it has no digit".to_owned());
    }
    if whole.contains(',') {
        let mut groups = whole.split(',');
        let first = groups.next().unwrap_or_default();
        let head = (1..=3).contains(&first.len()) && !first.starts_with('0');
        if !(head && groups.all(|group| group.len() == 3)) {
            return Err(comma(run));
        }
    }
    Ok(run.chars().filter(|&c| c != ',').collect())
}

/// Says that a comma is no decimal point, and writes the number the way that can be read.
fn comma(run: &str) -> String {
    let mut better: Vec<char> = run.chars().filter(|&c| c != '.').collect();
    let last = better.iter().rposition(|&c| c == ',');
    for (i, c) in better.iter_mut().enumerate() {
        if Some(i) == last {
            *c = '.';
        }
    }
    let better: String = better.into_iter().filter(|&c| c != ',').collect();
    format!("a comma only parts groups of three digits; write a point for decimals: {better}")
}

/// Takes `e3` or `e-3` from the rest, if it is there.
fn with_exponent(digits: String, rest: &str) -> (String, &str, bool) {
    let Some(tail) = rest.strip_prefix(['e', 'E']) else { return (digits, rest, false) };
    let unsigned = tail.strip_prefix(['-', '+']).unwrap_or(tail);
    let end = unsigned.find(|c: char| !c.is_ascii_digit()).unwrap_or(unsigned.len());
    if end == 0 {
        return (digits, rest, false);
    }
    let (exponent, after) = tail.split_at(tail.len() - unsigned.len() + end);
    (format!("{digits}e{exponent}"), after, true)
}

/// Reads digits as a number that is finite.
fn finite(digits: &str) -> Result<f64, String> {
    match digits.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        Ok(_) => Err("it is too large for a number".to_owned()),
        Err(_) => Err("its number cannot be read".to_owned()),
    }
}

/// Reads plain digits, such as a denominator.
fn whole(text: &str) -> Result<(f64, &str), String> {
    let end = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    let (digits, rest) = text.split_at(end);
    if digits.is_empty() {
        return Err("a fraction needs digits on both sides of its bar".to_owned());
    }
    Ok((finite(digits)?, rest))
}

/// Reads `5/8` if the text starts with it.
fn fraction(text: &str) -> Result<Option<(f64, f64, &str)>, String> {
    let end = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    let (digits, rest) = text.split_at(end);
    match rest.strip_prefix('/') {
        Some(after) if !digits.is_empty() => {
            let (denominator, after) = whole(after)?;
            Ok(Some((finite(digits)?, denominator, after)))
        }
        _ => Ok(None),
    }
}

/// Divides, and refuses a fraction of nothing.
fn divide(numerator: f64, denominator: f64) -> Result<f64, String> {
    if denominator == 0.0 {
        return Err("a fraction cannot have 0 below its bar".to_owned());
    }
    Ok(numerator / denominator)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_every_form_of_a_number() {
        for (text, value, rest) in [
            ("12", 12.0, ""),
            ("12.5 mm", 12.5, "mm"),
            (".5in", 0.5, "in"),
            ("5.", 5.0, ""),
            ("7,500 lb", 7500.0, "lb"),
            ("1,234,567.25", 1_234_567.25, ""),
            ("1.5e3 N", 1500.0, "N"),
            ("1e-3", 0.001, ""),
            ("5/8\"", 0.625, "\""),
            ("21 5/8 in", 21.625, "in"),
            ("19-3/4\"", 19.75, "\""),
            ("19 - 3/4\"", 19.75, "\""),
            ("9/8", 1.125, ""),
        ] {
            assert_eq!(leading(text), Ok((value, rest)), "{text}");
        }
    }

    #[test]
    fn says_what_to_write_instead_of_a_decimal_comma() {
        for (text, better) in [
            ("2,5 t", "2.5"),
            ("101,7 N", "101.7"),
            ("1.234,5", "1234.5"),
            ("0,500", "0.500"),
            ("12,34,567", "1234.567"),
        ] {
            let why = leading(text).unwrap_err();
            assert!(why.ends_with(&format!("write a point for decimals: {better}")), "{text}: {why}");
        }
    }

    #[test]
    fn refuses_what_has_two_meanings_or_none() {
        for text in ["", ".", ",", "1.2.3", "7 500", "1/0", "1/", "1/2/3", "21 9/8", "1e999", "x", "-5", "1..", "5 .5"]
        {
            assert!(leading(text).is_err(), "{text:?} was read as {:?}", leading(text));
        }
    }

    #[test]
    fn tidies_what_keyboards_and_pages_produce() {
        for (text, tidied) in [
            ("\u{feff} 7\u{a0}ft\u{2009}", "7 ft"),
            ("\u{2212}3 mm", "-3 mm"),
            ("5½ in", "5 1/2  in"),
            ("6″", "6\""),
            ("1⁄2", "1/2"),
            ("M14×1.5", "M14x1.5"),
        ] {
            assert_eq!(tidy(text).as_deref(), Ok(tidied));
        }
        assert!(tidy(" \u{a0}").is_err());
        assert!(tidy(&"1".repeat(LONGEST)).is_ok());
        assert!(tidy(&"1".repeat(LONGEST + 1)).is_err());
    }
}
