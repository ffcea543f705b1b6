//! A vehicle seen from the side, front to the left: wheels, underside, and the lines whose angles are told.

use std::fmt::Write as _;

use super::{escaped, labels::Taken};

/// What one panel of the drawing shows. Lengths are millimetres: rearward of the front axle, and above ground.
#[derive(Debug, Clone, PartialEq)]
pub struct SideView<'a> {
    /// The line above the panel: which state it is.
    pub title: String,
    /// Front axle to rear axle.
    pub wheelbase: f64,
    /// Loaded radius of the front and of the rear wheels.
    pub radii: [f64; 2],
    /// The points of the underside.
    pub points: Vec<SidePoint<'a>>,
    /// The angles.
    pub angles: Vec<SideAngle>,
}

/// A point of the underside.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SidePoint<'a> {
    /// What hangs there.
    pub label: &'a str,
    /// Where: rearward, and above ground.
    pub at: [f64; 2],
    /// Whether a straight edge leads to the next point.
    pub joined: bool,
}

/// Which angle it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Which {
    /// From the front tyre forward and up.
    Approach,
    /// From the rear tyre rearward and up.
    Departure,
    /// Between both tyres, over a point.
    Ramp,
}

/// An angle and where its line touches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SideAngle {
    /// Which.
    pub which: Which,
    /// Degrees.
    pub deg: f64,
    /// How far off it may be, degrees, where the tape's error is known.
    pub off_deg: Option<f64>,
    /// Where it touches.
    pub at: [f64; 2],
}

/// Width of a panel's picture.
const WIDTH: f64 = 860.0;
/// Blank around it.
const MARGIN: f64 = 24.0;
/// From line to line of the words.
const LINE: f64 = 17.0;
/// Room above the picture for its heading, and for names that find none beside their points.
const HEAD: f64 = 3.0 * LINE;
/// Size of the names of points.
const NAME: f64 = 10.0;
/// How far a line goes past the point it touches, as a share of its length.
const PAST: f64 = 0.12;

/// Draws the states, one below the other, as SVG.
///
/// Black on white; nothing is told by colour alone: the approach line is solid, the departure line dashed, the ramp lines
/// dotted, and each is named. All panels have one scale. Angles are rounded down to a tenth: no tape tells more.
#[must_use]
pub fn svg(title: &str, views: &[SideView<'_>], notes: &[String]) -> String {
    let frame = Frame::of(views);
    let panel = frame.height + HEAD + 1.4 * LINE + LINE * views.iter().map(words).max().unwrap_or(0) as f64;
    let width = WIDTH + 2.0 * MARGIN;
    let height = 58.0 + panel * views.len() as f64 + LINE * (notes.len() + 1) as f64;
    let title = escaped(title);
    let mut out = String::with_capacity(1024 + 2048 * views.len());
    // Writing to a string cannot fail.
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.0} {height:.0}\" width=\"{width:.0}\" \
         height=\"{height:.0}\" font-family=\"sans-serif\" role=\"img\">\n<title>{title}</title>\n\
         <rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n\
         <text x=\"{MARGIN}\" y=\"34\" font-size=\"18\" font-weight=\"bold\">{title}</text>\n"
    );
    for (index, view) in views.iter().enumerate() {
        draw_panel(&mut out, view, &frame, 50.0 + panel * index as f64);
    }
    let below = 50.0 + panel * views.len() as f64;
    for (line, note) in notes.iter().enumerate() {
        let y = below + LINE * (line + 1) as f64;
        let _ = writeln!(out, "<text x=\"{MARGIN}\" y=\"{y:.1}\" font-size=\"11.5\">{}</text>", escaped(note));
    }
    out.push_str("</svg>\n");
    out
}

/// How many lines of words a panel has below its picture.
fn words(view: &SideView<'_>) -> usize {
    view.angles.len()
}

fn draw_panel(out: &mut String, view: &SideView<'_>, frame: &Frame, top: f64) {
    let heading = escaped(&view.title);
    let base = top + HEAD;
    let put = |at: [f64; 2]| frame.put(at, base);
    let _ = writeln!(
        out,
        "<text x=\"{MARGIN}\" y=\"{:.1}\" font-size=\"13\" font-weight=\"bold\">{heading}</text>",
        top + LINE
    );
    let ([left, ground], [right, _]) = (put([frame.left, 0.0]), put([frame.right, 0.0]));
    let _ = writeln!(
        out,
        "<line x1=\"{left:.1}\" y1=\"{ground:.1}\" x2=\"{right:.1}\" y2=\"{ground:.1}\" stroke=\"#000\" stroke-width=\"1.6\"/>"
    );
    for (station, radius) in [0.0, view.wheelbase].into_iter().zip(view.radii) {
        let [x, y] = put([station, radius]);
        let r = radius * frame.scale;
        let _ = writeln!(
            out,
            "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{r:.1}\" fill=\"none\" stroke=\"#000\" stroke-width=\"1.4\"/>\
             <circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"2\" fill=\"#000\"/>"
        );
    }
    for pair in view.points.windows(2) {
        if let [one, next] = pair
            && one.joined
        {
            line(out, [put(one.at), put(next.at)], "stroke=\"#000\" stroke-width=\"2\"");
        }
    }
    draw_points(out, view, frame, [MARGIN, top + 1.2 * LINE, MARGIN + WIDTH, ground - 2.0], &put);
    for (index, angle) in view.angles.iter().enumerate() {
        draw_angle(out, view, angle, &put);
        let y = base + frame.height + LINE * (index + 1) as f64;
        let _ = writeln!(out, "<text x=\"{MARGIN}\" y=\"{y:.1}\" font-size=\"11.5\">{}</text>", told(angle));
    }
}

/// Draws the points, each with its name where there is room for it: off the wheels, off other points and names.
fn draw_points(
    out: &mut String,
    view: &SideView<'_>,
    frame: &Frame,
    sheet: [f64; 4],
    put: &dyn Fn([f64; 2]) -> [f64; 2],
) {
    const DOT: f64 = 2.6;
    let mut taken = Taken::on(sheet, NAME);
    for (station, radius) in [0.0, view.wheelbase].into_iter().zip(view.radii) {
        let ([x, y], r) = (put([station, radius]), radius * frame.scale);
        taken.take([x - r, y - r, x + r, y + r]);
    }
    for point in &view.points {
        let [x, y] = put(point.at);
        taken.take([x - DOT, y - DOT, x + DOT, y + DOT]);
    }
    for point in &view.points {
        let [x, y] = put(point.at);
        let spot = taken.words([x, y], point.label.chars().count());
        let label = escaped(point.label);
        if spot.led {
            line(out, [[x, y], [spot.x, spot.y + 2.0]], "stroke=\"#999\" stroke-width=\"0.7\"");
        }
        let _ = writeln!(
            out,
            "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{DOT}\" fill=\"#000\"><title>{label}</title></circle>\
             <text x=\"{:.1}\" y=\"{:.1}\" font-size=\"{NAME}\" fill=\"#333\" text-anchor=\"middle\">{label}</text>",
            spot.x, spot.y
        );
    }
}

/// Says an angle in words, with its line.
fn told(angle: &SideAngle) -> String {
    let (name, line) = match angle.which {
        Which::Approach => ("approach", "solid line"),
        Which::Departure => ("departure", "dashed line"),
        Which::Ramp => ("ramp", "dotted lines"),
    };
    let off = angle.off_deg.map(|off| format!(" ± {:.1}°", (off * 10.0).ceil() / 10.0)).unwrap_or_default();
    let down = (angle.deg * 10.0 + 1e-9).floor() / 10.0;
    let [station, height] = angle.at;
    let side = if station < 0.0 { "ahead of" } else { "behind" };
    let away = station.abs();
    format!("{name} {down:.1}°{off} ({line}), at {away:.0} mm {side} the front axle, {height:.0} mm above ground")
}

fn draw_angle(out: &mut String, view: &SideView<'_>, angle: &SideAngle, put: &dyn Fn([f64; 2]) -> [f64; 2]) {
    let [front, rear] = view.radii;
    let ahead = touch([0.0, front], angle.at, -1.0);
    let behind = touch([view.wheelbase, rear], angle.at, 1.0);
    let (strokes, style): (Vec<[[f64; 2]; 2]>, _) = match angle.which {
        Which::Approach => (vec![[ahead, past(ahead, angle.at)]], ""),
        Which::Departure => (vec![[behind, past(behind, angle.at)]], " stroke-dasharray=\"8 4\""),
        Which::Ramp => {
            let (front, rear) = (touch([0.0, front], angle.at, 1.0), touch([view.wheelbase, rear], angle.at, -1.0));
            (vec![[front, past(front, angle.at)], [rear, past(rear, angle.at)]], " stroke-dasharray=\"2 3\"")
        }
    };
    for stroke in strokes {
        line(out, stroke.map(put), &format!("stroke=\"#000\" stroke-width=\"1\"{style}"));
    }
}

fn line(out: &mut String, [[x1, y1], [x2, y2]]: [[f64; 2]; 2], style: &str) {
    let _ = writeln!(out, "<line x1=\"{x1:.1}\" y1=\"{y1:.1}\" x2=\"{x2:.1}\" y2=\"{y2:.1}\" {style}/>");
}

/// Returns where a line through a point touches a wheel from below; `side` is 1 where the point lies rearward of it.
fn touch([x, r]: [f64; 2], [px, pz]: [f64; 2], side: f64) -> [f64; 2] {
    // From the hub to the point: its distance and its direction; the radius to the touching place stands square on the line.
    let (u, up) = ((px - x) * side, pz - r);
    let reach = u.hypot(up);
    if reach <= r {
        return [x, 0.0];
    }
    let direction = up.atan2(u) - (r / reach).acos();
    [x + side * r * direction.cos(), r + r * direction.sin()]
}

/// Returns the end of a line that goes a little past the point it touches.
fn past(from: [f64; 2], to: [f64; 2]) -> [f64; 2] {
    [to[0] + (to[0] - from[0]) * PAST, to[1] + (to[1] - from[1]) * PAST]
}

/// How millimetres become places on the sheet, for all panels alike.
struct Frame {
    left: f64,
    right: f64,
    top: f64,
    scale: f64,
    height: f64,
}

impl Frame {
    fn of(views: &[SideView<'_>]) -> Self {
        let (mut left, mut right, mut top) = (f64::INFINITY, f64::NEG_INFINITY, 0.0_f64);
        let mut low = 0.0_f64;
        for view in views {
            let [front, rear] = view.radii;
            let wheels = [[-front, 2.0 * front], [view.wheelbase + rear, 2.0 * rear]];
            let lines = view.angles.iter().map(|angle| past([0.0, 0.0], angle.at));
            for [x, z] in wheels.into_iter().chain(view.points.iter().map(|point| point.at)).chain(lines) {
                (left, right, top, low) = (left.min(x), right.max(x), top.max(z), low.min(z));
            }
        }
        if right <= left {
            (left, right, top) = (0.0, 1000.0, 500.0);
        }
        let blank = (right - left) * 0.04;
        (left, right) = (left - blank, right + blank);
        let scale = WIDTH / (right - left);
        Self { left, right, top: top * 1.08, scale, height: (top * 1.08 - low) * scale + LINE }
    }

    /// Returns the place of a point; upward is towards the top of the sheet.
    fn put(&self, [x, z]: [f64; 2], base: f64) -> [f64; 2] {
        [MARGIN + (x - self.left) * self.scale, base + (self.top - z) * self.scale]
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::{calc::clearance::tangent, units::Length};

    fn view<'a>(points: &[(&'a str, f64, f64)], angles: Vec<SideAngle>) -> SideView<'a> {
        let points = points.iter().map(|&(label, s, z)| SidePoint { label, at: [s, z], joined: true }).collect();
        SideView { title: "with <gear>, laden".into(), wheelbase: 3640.0, radii: [345.0, 345.0], points, angles }
    }

    #[test]
    fn words_are_escaped_and_angles_are_told_with_their_error() {
        let angle = SideAngle { which: Which::Departure, deg: 11.5749, off_deg: Some(0.14), at: [4920.0, 255.0] };
        let drawn =
            svg("van & trailer", &[view(&[("receiver <low>", 4920.0, 255.0)], vec![angle])], &["a note".into()]);
        assert!(drawn.contains("van &amp; trailer") && drawn.contains("receiver &lt;low&gt;"), "{drawn}");
        assert!(drawn.contains("departure 11.5° ± 0.2° (dashed line), at 4920 mm behind the front axle"), "{drawn}");
        assert!(drawn.contains("stroke-dasharray=\"8 4\"") && drawn.contains(">a note<"));
        assert!(drawn.ends_with("</svg>\n") && !drawn.contains("NaN") && !drawn.contains("inf"));
    }

    #[test]
    fn nothing_at_all_is_a_drawing_too() {
        let drawn = svg("", &[], &[]);
        assert!(drawn.starts_with("<svg") && !drawn.contains("NaN") && !drawn.contains("inf"), "{drawn}");
    }

    proptest! {
        /// The line drawn is a tangent: its touching place lies on the tyre, its slope is the angle that is told.
        #[test]
        fn a_drawn_line_touches_the_tyre_at_the_angle(u in 460.0..2000.0_f64, z in 20.0..600.0_f64, r in 250.0..420.0_f64) {
            let [x, y] = touch([0.0, r], [u, z], 1.0);
            prop_assert!((x.hypot(y - r) - r).abs() < 1e-9);
            let slope = (z - y).atan2(u - x).to_degrees();
            let angle = tangent(Length::from_mm(u), Length::from_mm(z), Length::from_mm(r)).unwrap().deg();
            prop_assert!((slope - angle).abs() < 1e-9, "{} {}", slope, angle);
            // The other side is its mirror.
            let [other, same] = touch([0.0, r], [-u, z], -1.0);
            prop_assert!((other + x).abs() < 1e-9 && (same - y).abs() < 1e-9);
        }

        /// Everything lies on the sheet.
        #[test]
        fn everything_lies_on_the_sheet(s in -1500.0..6500.0_f64, z in 50.0..900.0_f64) {
            let drawn = svg("a", &[view(&[("point", s, z), ("other", 1820.0, 200.0)], Vec::new())], &[]);
            let size = drawn.split_once("viewBox=\"0 0 ").unwrap().1.split('"').next().unwrap();
            let (width, height) = size.split_once(' ').unwrap();
            let (width, height): (f64, f64) = (width.parse().unwrap(), height.parse().unwrap());
            for part in drawn.split("<circle ").skip(1) {
                let number = |name: &str| -> f64 {
                    part.split_once(&format!("{name}=\"")).unwrap().1.split('"').next().unwrap().parse().unwrap()
                };
                let (x, y) = (number("cx"), number("cy"));
                prop_assert!(0.0 <= x && x <= width && 0.0 <= y && y <= height, "{x} {y} of {size}");
            }
        }
    }
}
