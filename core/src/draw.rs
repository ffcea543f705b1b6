//! Drawings as SVG text, from plain data. Nothing here calculates what it shows.

mod labels;
pub mod side_view;
pub mod tightening;

/// Writes text so that it may stand between the tags of an SVG.
fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            letter if letter.is_control() => safe.push(' '),
            letter => safe.push(letter),
        }
    }
    safe
}
