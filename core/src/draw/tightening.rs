//! The order of tightening as a numbered drawing: every bolt where it lies, its turn inside, its number below.

use std::fmt::Write as _;

use super::escaped;

/// What the drawing shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TighteningSheet<'a> {
    /// The line on top.
    pub title: &'a str,
    /// Where each bolt lies, by number: to the right and upward, in any one unit.
    pub spots: &'a [[f64; 2]],
    /// The bolts' numbers from 1, in the order in which they are tightened.
    pub order: &'a [usize],
    /// Lines below: the passes, what to mind.
    pub notes: &'a [String],
}

/// How far apart the nearest bolts are drawn, where there is room.
const PITCH: f64 = 46.0;
/// How wide and high the bolts may spread.
const SPREAD: f64 = 1200.0;
/// How wide they spread at least, where there are two or more.
const LEAST_SPREAD: f64 = 220.0;
/// Blank around the bolts.
const MARGIN: f64 = 40.0;
/// Width of the sheet at least, so that the notes fit.
const WIDTH: f64 = 560.0;
/// From line to line of the notes.
const LINE: f64 = 19.0;

/// What the numbers mean.
const KEY: [&str; 2] =
    ["In the circle: the turn within each pass; below it: the number of the bolt.", "Double ring: begin here."];

/// Draws the order as SVG.
///
/// Black on white, and nothing is told by colour alone: the first bolt has a second ring. A thin line joins the bolts in
/// their turn.
#[must_use]
pub fn svg(sheet: &TighteningSheet<'_>) -> String {
    let place = Place::of(sheet.spots);
    let [width, bolts_bottom] = [place.size[0].max(WIDTH), 58.0 + place.size[1]];
    let height = bolts_bottom + 16.0 + LINE * (sheet.notes.len() + KEY.len()) as f64;
    let off = [(width - place.size[0]) / 2.0, 58.0];
    let at = |bolt: usize| {
        let [x, y] = sheet.spots.get(bolt).map_or([0.0; 2], |spot| place.put(*spot));
        [x + off[0], y + off[1]]
    };
    let mut out = String::with_capacity(512 + 260 * sheet.spots.len());
    let title = escaped(sheet.title);
    // Writing to a string cannot fail.
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.0} {height:.0}\" width=\"{width:.0}\" \
         height=\"{height:.0}\" font-family=\"sans-serif\" role=\"img\">\n<title>{title}</title>\n\
         <rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n\
         <text x=\"24\" y=\"34\" font-size=\"18\" font-weight=\"bold\">{title}</text>\n"
    );
    let points: Vec<String> = sheet
        .order
        .iter()
        .filter_map(|bolt| bolt.checked_sub(1))
        .map(|bolt| {
            let [x, y] = at(bolt);
            format!("{x:.1},{y:.1}")
        })
        .collect();
    let _ =
        writeln!(out, "<polyline points=\"{}\" fill=\"none\" stroke=\"#bbb\" stroke-width=\"0.8\"/>", points.join(" "));
    for (turn, bolt) in (1..).zip(sheet.order) {
        if let Some(index) = bolt.checked_sub(1) {
            draw_bolt(&mut out, at(index), place.radius, turn, *bolt);
        }
    }
    for (line, text) in KEY.into_iter().chain(sheet.notes.iter().map(String::as_str)).enumerate() {
        let y = bolts_bottom + 16.0 + LINE * line as f64;
        let _ = writeln!(out, "<text x=\"24\" y=\"{y:.1}\" font-size=\"11.5\">{}</text>", escaped(text));
    }
    out.push_str("</svg>\n");
    out
}

fn draw_bolt(out: &mut String, [x, y]: [f64; 2], radius: f64, turn: usize, bolt: usize) {
    if turn == 1 {
        let outer = radius * 1.2;
        let _ = writeln!(out, "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{outer:.1}\" fill=\"#fff\" stroke=\"#000\"/>");
    }
    let (size, small) = (radius * 1.1, radius * 0.65);
    let (middle, below) = (y + size * 0.36, y + radius * 1.2 + small);
    // Lines of the order pass behind the words: a blank keeps them apart.
    let wide = small * if bolt < 10 { 3.3 } else { 3.9 };
    let _ = writeln!(
        out,
        "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{radius:.1}\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"1.4\"/>\
         <text x=\"{x:.1}\" y=\"{middle:.1}\" font-size=\"{size:.1}\" font-weight=\"bold\" \
         text-anchor=\"middle\">{turn}</text>\
         <rect x=\"{:.1}\" y=\"{:.1}\" width=\"{wide:.1}\" height=\"{small:.1}\" fill=\"#fff\"/>\
         <text x=\"{x:.1}\" y=\"{below:.1}\" font-size=\"{small:.1}\" fill=\"#333\" text-anchor=\"middle\">bolt {bolt}</text>",
        x - wide / 2.0,
        below - small * 0.85
    );
}

/// How positions become places on the sheet.
struct Place {
    low: [f64; 2],
    high: [f64; 2],
    scale: f64,
    radius: f64,
    size: [f64; 2],
}

impl Place {
    fn of(spots: &[[f64; 2]]) -> Self {
        let ends = |axis: usize| {
            let along = spots.iter().filter_map(|spot| spot.get(axis).copied());
            (along.clone().fold(f64::INFINITY, f64::min), along.fold(f64::NEG_INFINITY, f64::max))
        };
        let ((left, right), (bottom, top)) = (ends(0), ends(1));
        let extent = (right - left).max(top - bottom);
        let nearest = nearest(spots);
        let scale = if extent > 0.0 && nearest.is_finite() && nearest > 0.0 {
            (PITCH / nearest).max(LEAST_SPREAD / extent).min(SPREAD / extent)
        } else {
            1.0
        };
        let pitch = if nearest.is_finite() { nearest * scale } else { PITCH };
        let radius = (pitch * 0.3).clamp(2.5, 16.0);
        let span = |from: f64, to: f64| if from <= to { (to - from) * scale + 2.0 * MARGIN } else { 2.0 * MARGIN };
        Self { low: [left, bottom], high: [right, top], scale, radius, size: [span(left, right), span(bottom, top)] }
    }

    /// Returns the place of a position; upward is towards the top of the sheet.
    fn put(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let ([left, _], [_, top]) = (self.low, self.high);
        [MARGIN + (x - left) * self.scale, MARGIN + (top - y) * self.scale]
    }
}

/// Returns how far the two nearest bolts are apart; infinite for fewer than two.
fn nearest(spots: &[[f64; 2]]) -> f64 {
    let mut least = f64::INFINITY;
    for (at, [x, y]) in spots.iter().enumerate() {
        for [u, v] in spots.iter().skip(at + 1) {
            least = least.min((x - u).hypot(y - v));
        }
    }
    least
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::calc::passes::{
        PassPlan, Pattern,
        plan::{Layout, PlanInput, TighteningPlan, plan},
    };

    fn planned(pattern: Pattern) -> TighteningPlan {
        let layout = Layout::Pattern(pattern);
        plan(&PlanInput { layout, steps: PassPlan::Single, torque: None, check_rounds: None }).unwrap()
    }

    fn draw(plan: &TighteningPlan) -> String {
        let notes = ["pass 1: 100 % <all>".to_owned()];
        svg(&TighteningSheet { title: "bolts & nuts", spots: &plan.spots, order: &plan.order, notes: &notes })
    }

    /// Reads an attribute of every circle that is a bolt.
    fn circles(svg: &str) -> Vec<[f64; 3]> {
        let number = |line: &str, name: &str| -> f64 {
            let (_, after) = line.split_once(&format!(" {name}=\"")).unwrap();
            after.split('"').next().unwrap().parse().unwrap()
        };
        let lines = svg.lines().filter(|line| line.starts_with("<circle") && line.contains("</text>"));
        lines.map(|line| [number(line, "cx"), number(line, "cy"), number(line, "r")]).collect()
    }

    #[test]
    fn words_are_escaped_and_every_bolt_is_told() {
        let svg = draw(&planned(Pattern::Circle { bolts: 8 }));
        assert!(svg.contains("bolts &amp; nuts") && svg.contains("&lt;all&gt;"), "{svg}");
        for bolt in 1..=8 {
            assert_eq!(svg.matches(&format!(">bolt {bolt}<")).count(), 1, "{svg}");
            assert_eq!(svg.matches(&format!(">{bolt}<")).count(), 1, "{svg}");
        }
        // One second ring, at the bolt to begin with.
        assert_eq!(svg.matches("<circle").count(), 9);
    }

    #[test]
    fn a_single_bolt_and_none_at_all_are_drawn() {
        assert_eq!(circles(&draw(&planned(Pattern::Row { bolts: 1 }))).len(), 1);
        let nothing = svg(&TighteningSheet { title: "", spots: &[], order: &[], notes: &[] });
        assert!(nothing.ends_with("</svg>\n") && !nothing.contains("NaN") && !nothing.contains("inf"), "{nothing}");
    }

    proptest! {
        #[test]
        fn bolts_stay_apart_and_on_the_sheet(bolts in 1_usize..=64, rows in 1_usize..=8, columns in 1_usize..=8) {
            for pattern in [Pattern::Circle { bolts }, Pattern::Row { bolts }, Pattern::Grid { rows, columns }] {
                let plan = planned(pattern);
                let svg = draw(&plan);
                let size = svg.split_once("viewBox=\"0 0 ").unwrap().1.split('"').next().unwrap().to_owned();
                let (width, height) = size.split_once(' ').unwrap();
                let (width, height): (f64, f64) = (width.parse().unwrap(), height.parse().unwrap());
                let circles = circles(&svg);
                prop_assert_eq!(circles.len(), plan.order.len());
                for (at, [x, y, r]) in circles.iter().enumerate() {
                    prop_assert!(0.0 < x - r && x + r < width && 0.0 < y - r && y + r < height, "{:?}", pattern);
                    for [u, v, s] in &circles[at + 1..] {
                        prop_assert!(r + s < (x - u).hypot(y - v), "{:?}", pattern);
                    }
                }
            }
        }
    }
}
