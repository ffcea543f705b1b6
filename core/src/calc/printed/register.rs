//! The register of printed figures: one line for every figure that a test held against its source.

use std::io::Write as _;

use crate::basis::Seen;

/// Names the file that figures are entered in. Set by the page for the run it makes; without it nothing is written.
pub const FILE: &str = "BAYBOOK_FIGURES";

/// How near a figure must come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tolerance {
    /// Half of the last printed digit.
    HalfDigit,
    /// So much, which the test derives.
    Wider(f64),
    /// The very same.
    Exact,
}

impl Tolerance {
    const fn word(self) -> &'static str {
        match self {
            Self::HalfDigit => "half",
            Self::Wider(_) => "wider",
            Self::Exact => "exact",
        }
    }
}

/// How a figure's source is told.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cited {
    /// The document.
    pub document: String,
    /// The place in it; may be empty.
    pub place: String,
    /// Whether anybody opened it.
    pub seen: Seen,
    /// Whether the figure was worked from the source and no book prints it.
    pub worked: bool,
}

/// Words that say how a source was seen, without which the rest is the document and the place in it.
const SIGHTS: &[&str] = &[
    "opened as a translation memory",
    "opened second-hand",
    "rule opened",
    "formula opened",
    "formula from memory",
    "from memory of",
    "from memory",
    "opened",
    "figures derived",
    "figure derived",
    "sum derived",
    "derived from",
    "derived:",
    "derived",
    "common practice, no source",
    "(",
    ")",
];

impl Cited {
    /// Reads a source as a test tells it.
    ///
    /// # Errors
    ///
    /// The text, when it does not say how the source was seen.
    pub fn read(text: &str) -> Result<Self, String> {
        let lower = text.to_lowercase();
        let worked = lower.contains("derived");
        // The weakest word counts: a formula from memory stays from memory whatever else was opened.
        let seen = if lower.contains("from memory") {
            Seen::FromMemory
        } else if lower.contains("common practice") {
            Seen::CommonPractice
        } else if lower.contains("opened") {
            Seen::Opened
        } else if worked {
            Seen::Derived
        } else {
            return Err(format!("\"{text}\" does not say whether the source was opened or is from memory"));
        };
        let mut bare = text.replace(['\t', '\n'], " ");
        for words in SIGHTS {
            while let Some(at) = bare.to_lowercase().find(words) {
                bare.replace_range(at..at + words.len(), " ");
            }
        }
        let clean = |part: &str| {
            let words: Vec<_> = part.split_whitespace().collect();
            let mut joined = words.join(" ").replace(" ,", ",").replace(" ;", ";");
            while joined.contains(",,") {
                joined = joined.replace(",,", ",");
            }
            joined.trim_matches([' ', ',', ';', ':', '.']).to_owned()
        };
        let bare = clean(&bare);
        // A title with commas in it ends at a semicolon.
        let parted = bare.split_once(';').or_else(|| bare.split_once(','));
        let (document, place) = parted.unwrap_or((&bare, ""));
        let nobodys = match seen {
            Seen::CommonPractice => lower.starts_with("common practice"),
            Seen::Derived => lower.starts_with("derived") && !lower.starts_with("derived from"),
            Seen::Opened | Seen::FromMemory => false,
        };
        if nobodys {
            let document = if worked { "arithmetic, geometry and statics" } else { "common practice" };
            return Ok(Self { document: document.to_owned(), place: bare, seen, worked });
        }
        Ok(Self { document: clean(document), place: clean(place), seen, worked })
    }
}

/// One figure of the register.
#[derive(Debug, Clone)]
pub struct Figure {
    /// Where it is from.
    pub cited: Cited,
    /// As it is printed.
    pub printed: String,
    /// `half`, `wider` or `exact`.
    pub tolerance: String,
    /// The test that held it.
    pub test: String,
}

/// Enters a figure that was just held.
pub fn enter(source: &str, printed: &str, tolerance: Tolerance) {
    if let Err(error) = Cited::read(source) {
        panic!("{error}");
    }
    #[expect(clippy::disallowed_methods, reason = "a test's own run is told where to enter its figures")]
    let Some(path) = std::env::var_os(FILE) else { return };
    let thread = std::thread::current();
    let test = thread.name().unwrap_or("main");
    let printed = printed.strip_prefix("Some(").and_then(|some| some.strip_suffix(')')).unwrap_or(printed);
    let line = format!("{source}\t{printed}\t{}\t{test}\n", tolerance.word()).replace('\u{0}', "");
    #[expect(clippy::disallowed_types, reason = "a test's own run enters its figures in a file")]
    let mut file = std::fs::OpenOptions::new().append(true).create(true).open(path).unwrap();
    file.write_all(line.as_bytes()).unwrap();
}

/// Reads a register.
pub fn read(text: &str) -> Vec<Figure> {
    // One figure held twice, or by two tests, is one figure; so are two cells that nothing tells apart.
    let mut lines: Vec<_> = text.lines().collect();
    let key = |line: &str| line.splitn(3, '\t').take(2).map(str::to_owned).collect::<Vec<_>>();
    lines.sort_by_key(|line| (key(line), line.to_string()));
    lines.dedup_by_key(|line| key(line));
    let figures = lines.into_iter().map(|line| {
        let [source, printed, tolerance, test] = line.split('\t').collect::<Vec<_>>()[..] else { panic!("{line}") };
        Figure {
            cited: Cited::read(source).unwrap(),
            printed: printed.to_owned(),
            tolerance: tolerance.to_owned(),
            test: test.to_owned(),
        }
    });
    figures.filter(|figure| !figure.test.starts_with("calc::printed")).collect()
}

#[test]
fn sources_are_read_as_tests_tell_them() {
    let read = |text| Cited::read(text).unwrap();
    let cited = |document: &str, place: &str, seen, worked| Cited {
        document: document.to_owned(),
        place: place.to_owned(),
        seen,
        worked,
    };
    assert_eq!(
        read("from memory of VDI 2230-1:2003, table A1"),
        cited("VDI 2230-1:2003", "table A1", Seen::FromMemory, false)
    );
    assert_eq!(read("ISO 898-1:2013, table 3, opened"), cited("ISO 898-1:2013", "table 3", Seen::Opened, false));
    assert_eq!(
        read("NHTSA letter nht76-1.47, rule opened; figures derived"),
        cited("NHTSA letter nht76-1.47", "", Seen::Opened, true)
    );
    assert_eq!(
        read("common practice, no source, 5 bolts"),
        cited("common practice", "5 bolts", Seen::CommonPractice, false)
    );
    assert!(Cited::read("some book").is_err());
}
