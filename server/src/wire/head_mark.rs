//! Marks on heads and nuts: questions from the wire, answers to it.

use baybook_core::{
    basis::Basis,
    calc::{
        head_marks::{
            self, HeadMark, HeadReading, INCH_NUT_SOURCE, ISO_SOURCE, LINES_SOURCE, MarkNote, NUT_SOURCE, NutMark,
            NutReading, STAINLESS_SOURCE, mark_of, nut_mark_of, read_head, read_nut,
        },
        thread_lookup,
    },
    model::{
        fastener::{BoltClass, ClassSystem, IsoClass, NutClass},
        thread::{Thread, ThreadSystem},
    },
    range::Range,
    tables::{bolt_strength, nut_proof},
    units::Stress,
};
use baybook_proto::v1::{self as pb, look_up_head_mark_request::Asked};

use super::{
    Fields, FromWire,
    basis::{basis_to_wire, caution},
    fastener::MARK_MAX,
};

/// The most lines of one head.
const LINES_MAX: i32 = 24;
/// How far two marks may be apart.
const APART: Range = Range::new("apart_deg", "deg", 1.0, 180.0);

/// A mark that was read, or a class whose mark is wanted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LookUpHeadMark {
    /// What it means.
    pub meaning: Meaning,
    /// The thread, when the strength in a size is asked for.
    pub thread: Option<Thread>,
}

/// What a mark means, with what is known of its reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Meaning {
    /// A bolt's mark.
    Bolt(HeadReading),
    /// A nut's mark.
    Nut(NutReading),
}

impl FromWire for LookUpHeadMark {
    type Wire = pb::LookUpHeadMarkRequest;

    fn from_wire(wire: &pb::LookUpHeadMarkRequest, fields: &mut Fields) -> Option<Self> {
        let system = fields.needed_choice("threads", wire.threads, |threads| match threads {
            pb::MarkedThreads::Unspecified => None,
            pb::MarkedThreads::Metric => Some(ThreadSystem::Metric),
            pb::MarkedThreads::Inch => Some(ThreadSystem::Unified),
        });
        let part = fields.needed_choice("part", wire.part, |part| match part {
            pb::MarkedPart::Unspecified => None,
            known => Some(known),
        });
        let thread = if wire.thread.trim().is_empty() { None } else { fields.thread("thread", &wire.thread) };
        if let (Some(system), Some(thread)) = (system, thread)
            && system != thread.system
        {
            fields.reject("thread", format!("{thread} is of the other system of threads"));
        }
        let Some(asked) = &wire.asked else {
            fields.reject(
                "mark_text",
                "is required, or one of underlined_text, line_count, clustered_line_count, apart_deg, unmarked and \
                 property_class",
            );
            return None;
        };
        let meaning = match part? {
            pb::MarkedPart::Nut => nut(asked, system?, fields).map(Meaning::Nut),
            _ => bolt(asked, system?, fields).map(Meaning::Bolt),
        };
        Some(Self { meaning: meaning?, thread })
    }
}

fn lines(fields: &mut Fields, name: &'static str, count: i32) -> Option<u32> {
    fields.count(name, Some(count), 1, LINES_MAX).and_then(|count| u32::try_from(count).ok())
}

fn unmarked(fields: &mut Fields, yes: bool) -> Option<()> {
    if !yes {
        fields.reject("unmarked", "is false, which says nothing: give the mark");
    }
    yes.then_some(())
}

fn bolt(asked: &Asked, system: ThreadSystem, fields: &mut Fields) -> Option<HeadReading> {
    let (name, mark) = match asked {
        Asked::MarkText(text) => ("mark_text", HeadMark::Text(text)),
        Asked::UnderlinedText(text) => ("underlined_text", HeadMark::Underlined(text)),
        Asked::LineCount(count) => ("line_count", HeadMark::Lines(lines(fields, "line_count", *count)?)),
        Asked::ClusteredLineCount(count) => {
            ("clustered_line_count", HeadMark::ClusteredLines(lines(fields, "clustered_line_count", *count)?))
        }
        Asked::Unmarked(yes) => unmarked(fields, *yes).map(|()| ("unmarked", HeadMark::Nothing))?,
        Asked::ApartDeg(_) => {
            fields.reject("apart_deg", "is about nuts: a head bears lines or letters and figures");
            return None;
        }
        Asked::PropertyClass(text) => return class_of_bolt(text, system, fields),
    };
    if let HeadMark::Text(text) | HeadMark::Underlined(text) = mark
        && !fields.fits(name, text, MARK_MAX)
    {
        return None;
    }
    read_head(mark, system).map_err(|error| fields.reject_calc(name, &error)).ok()
}

fn class_of_bolt(text: &str, system: ThreadSystem, fields: &mut Fields) -> Option<HeadReading> {
    fields.required("property_class", Some(text).filter(|text| !text.trim().is_empty()));
    let class = fields.bolt_class("property_class", text)?;
    let source = match class.system() {
        ClassSystem::Iso => ISO_SOURCE,
        ClassSystem::Sae => LINES_SOURCE,
        ClassSystem::Stainless => STAINLESS_SOURCE,
    };
    belongs(class.system(), system, fields)?;
    Some(HeadReading { class, steel: None, note: None, comma_read: false, source })
}

fn belongs(class: ClassSystem, system: ThreadSystem, fields: &mut Fields) -> Option<()> {
    let inch = system == ThreadSystem::Unified;
    if (class == ClassSystem::Sae) != inch {
        fields.reject("property_class", "belongs to the other system of threads");
        return None;
    }
    Some(())
}

fn nut(asked: &Asked, system: ThreadSystem, fields: &mut Fields) -> Option<NutReading> {
    let (name, mark) = match asked {
        Asked::MarkText(text) if fields.fits("mark_text", text, MARK_MAX) => ("mark_text", NutMark::Text(text)),
        Asked::MarkText(_) => return None,
        Asked::ApartDeg(degrees) => {
            let degrees = fields.number("apart_deg", Some(*degrees), &APART)?;
            // Marks are 60 or 120 degrees apart; what lies between is refused by its rounded figure.
            ("apart_deg", NutMark::Apart(degrees.round() as u32))
        }
        Asked::Unmarked(yes) => unmarked(fields, *yes).map(|()| ("unmarked", NutMark::Nothing))?,
        Asked::UnderlinedText(_) | Asked::LineCount(_) | Asked::ClusteredLineCount(_) => {
            fields.reject("part", "is a nut, but underlined classes and radial lines are on heads");
            return None;
        }
        Asked::PropertyClass(text) => {
            fields.required("property_class", Some(text).filter(|text| !text.trim().is_empty()));
            let class = fields.nut_class("property_class", text)?;
            belongs(class.system(), system, fields)?;
            let source = if class.system() == ClassSystem::Sae { INCH_NUT_SOURCE } else { NUT_SOURCE };
            let note = class.is_thin().then_some(MarkNote::ThinNut);
            return Some(NutReading { class, note, source });
        }
    };
    read_nut(mark, system).map_err(|error| fields.reject_calc(name, &error)).ok()
}

/// Writes what a mark means.
///
/// # Errors
///
/// What the strength tables refuse: a class that is not made in the size.
pub fn head_mark_to_wire(
    asked: &LookUpHeadMark,
    revision: i64,
) -> Result<pb::LookUpHeadMarkResponse, baybook_core::error::CalcError> {
    match asked.meaning {
        Meaning::Bolt(read) => bolt_to_wire(&read, asked.thread, revision),
        Meaning::Nut(read) => nut_to_wire(&read, asked.thread, revision),
    }
}

fn bolt_to_wire(
    read: &HeadReading,
    thread: Option<Thread>,
    revision: i64,
) -> Result<pb::LookUpHeadMarkResponse, baybook_core::error::CalcError> {
    let mut basis = vec![read.basis()];
    let strength = match thread {
        Some(thread) => {
            let sheet = thread_lookup::sheet(&thread, Some(read.class))?;
            basis.extend(thread_lookup::basis(&sheet));
            Some((bolt_strength(read.class, &thread)?, thread))
        }
        None => None,
    };
    let nominal = match read.class {
        BoltClass::Iso(class) => nominal(class),
        _ => None,
    };
    // A head of reduced loadability holds less than its class: no figure of the full class is told.
    let full = read.full_strength();
    let strength = strength.filter(|_| full);
    let mark = mark_of(read.class).words();
    Ok(pb::LookUpHeadMarkResponse {
        property_class: class_words(read),
        mark: if full { mark } else { format!("0{mark}") },
        full_strength: Some(full),
        assumed: Some(read.note == Some(MarkNote::Assumed)),
        nominal_tensile_mpa: nominal.map(|(tensile, _)| tensile),
        nominal_yield_mpa: nominal.map(|(_, yields)| yields),
        tensile_min_mpa: strength.map(|(row, _)| row.tensile_min.mpa()),
        yield_min_mpa: strength.map(|(row, _)| row.yield_min.mpa()),
        proof_stress_mpa: strength.and_then(|(row, _)| row.proof).map(Stress::mpa),
        proof_load_n: strength.and_then(|(row, thread)| Some((row.proof? * thread.stress_area()).n())),
        basis: basis_to_wire(&basis),
        cautions: cautions(read.note, read.comma_read, matches!(mark_of(read.class), head_marks::Expected::NotSeen)),
        revision,
    })
}

/// Returns tensile and yield strength by the two numbers of a class: the first a hundredth of the one, the second ten
/// times the ratio.
fn nominal(class: IsoClass) -> Option<(f64, f64)> {
    let (tensile, ratio) = class.mark().split_once('.')?;
    let (tensile, ratio): (f64, f64) = (tensile.parse().ok()?, ratio.parse().ok()?);
    Some((tensile * 100.0, tensile * ratio * 10.0))
}

fn class_words(read: &HeadReading) -> String {
    match read.steel {
        Some(head_marks::Steel::A2) => format!("A2-{}", read.class.mark()),
        Some(head_marks::Steel::A4) => format!("A4-{}", read.class.mark()),
        None => read.class.to_string(),
    }
}

fn nut_to_wire(
    read: &NutReading,
    thread: Option<Thread>,
    revision: i64,
) -> Result<pb::LookUpHeadMarkResponse, baybook_core::error::CalcError> {
    let class: NutClass = read.class;
    let mut basis = vec![Basis::new("nut-mark", "class by the mark on the nut", read.source, &[])];
    let proof = thread.map(|thread| nut_proof(class, &thread)).transpose()?;
    if let Some(proof) = proof {
        let inputs = [("proof_stress_mpa", proof.stress.mpa())];
        basis.push(Basis::new("nut-proof", "load = stress · As", proof.source, &inputs));
    }
    Ok(pb::LookUpHeadMarkResponse {
        property_class: class.to_string(),
        mark: nut_mark_of(class),
        full_strength: Some(!class.is_thin()),
        assumed: Some(read.note == Some(MarkNote::Assumed)),
        proof_stress_mpa: proof.map(|proof| proof.stress.mpa()),
        proof_load_n: proof.map(|proof| proof.load.n()),
        basis: basis_to_wire(&basis),
        cautions: cautions(read.note, false, false),
        revision,
        ..Default::default()
    })
}

fn cautions(note: Option<MarkNote>, comma: bool, not_seen: bool) -> Vec<pb::Caution> {
    let mut all = Vec::new();
    match note {
        Some(MarkNote::Assumed) => all.push(caution(
            "class-assumed",
            "no mark: the lowest class is assumed; better, replace the part by one that bears a mark",
        )),
        Some(MarkNote::ReducedLoad) => all.push(caution(
            "reduced-loadability",
            "the 0 in front means reduced loadability: head or shank break before the class's load; never use its full \
             strength, ask the maker",
        )),
        Some(MarkNote::LowCarbon) => all.push(caution(
            "low-carbon-martensite",
            "the line under the class means low-carbon martensitic steel by older editions: not for heat, and not where \
             the newer class is asked for",
        )),
        Some(MarkNote::ThinNut) => all.push(caution(
            "thin-nut",
            "a thin nut never develops the bolt: its threads strip first; it locks another nut, it does not clamp",
        )),
        Some(MarkNote::CommaRead) | None => {}
    }
    if comma {
        all.push(caution("comma-read", "a comma was read as a point"));
    }
    if not_seen {
        all.push(caution("mark-not-seen", "the pattern that this grade bears was not seen: ask its maker"));
    }
    all.push(caution(
        "makers-mark",
        "a class mark without a maker's mark beside it is suspect: the standards ask for both",
    ));
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wire::{WireError, fixture::paths, read};

    fn asked(part: pb::MarkedPart, threads: pb::MarkedThreads, asked: Asked) -> pb::LookUpHeadMarkRequest {
        let (threads, part) = (threads.into(), part.into());
        pb::LookUpHeadMarkRequest { threads, part, asked: Some(asked), thread: String::new() }
    }

    fn answer(wire: &pb::LookUpHeadMarkRequest) -> Result<pb::LookUpHeadMarkResponse, WireError> {
        read::<LookUpHeadMark>(wire).map(|asked| head_mark_to_wire(&asked, 1).unwrap())
    }

    fn metric(mark: &str) -> pb::LookUpHeadMarkRequest {
        asked(pb::MarkedPart::Bolt, pb::MarkedThreads::Metric, Asked::MarkText(mark.to_owned()))
    }

    fn inch(part: pb::MarkedPart, mark: Asked) -> pb::LookUpHeadMarkRequest {
        asked(part, pb::MarkedThreads::Inch, mark)
    }

    /// ISO 898-1:2013, table 3 nominal rows (opened): strength by the two numbers of the class.
    #[test]
    fn a_class_names_its_strength() {
        for (mark, tensile, yields) in [
            ("4.6", 400.0, 240.0),
            ("5.8", 500.0, 400.0),
            ("8.8", 800.0, 640.0),
            ("10.9", 1000.0, 900.0),
            ("12.9", 1200.0, 1080.0),
        ] {
            let told = answer(&metric(mark)).unwrap();
            assert_eq!((told.nominal_tensile_mpa, told.nominal_yield_mpa), (Some(tensile), Some(yields)), "{mark}");
            assert_eq!((told.property_class.as_str(), told.mark.as_str()), (mark, mark));
        }
    }

    /// ISO 898-1:2013, table 3 (opened): 8.8 splits at 16 mm.
    #[test]
    fn a_size_tells_the_least_strength() {
        for (thread, least) in [("M12", [800.0, 640.0, 580.0]), ("M20", [830.0, 660.0, 600.0])] {
            let told = answer(&pb::LookUpHeadMarkRequest { thread: thread.to_owned(), ..metric("8.8") }).unwrap();
            assert_eq!([told.tensile_min_mpa, told.yield_min_mpa, told.proof_stress_mpa], least.map(Some), "{thread}");
        }
        let reduced = answer(&pb::LookUpHeadMarkRequest { thread: "M12".to_owned(), ..metric("08.8") }).unwrap();
        assert_eq!((reduced.full_strength, reduced.tensile_min_mpa), (Some(false), None));
        assert_eq!(reduced.mark, "08.8");
    }

    #[test]
    fn unknown_marks_are_refused_and_no_mark_is_the_lowest() {
        for bad in ["8.7", "11.9", "", "B7"] {
            assert_eq!(paths(&answer(&metric(bad)).unwrap_err()), ["mark_text"], "{bad}");
        }
        let told = answer(&inch(pb::MarkedPart::Bolt, Asked::Unmarked(true))).unwrap();
        assert_eq!((told.property_class.as_str(), told.assumed), ("SAE 1", Some(true)));
        assert_eq!(answer(&inch(pb::MarkedPart::Bolt, Asked::LineCount(6))).unwrap().property_class, "SAE 8");
        assert_eq!(answer(&inch(pb::MarkedPart::Nut, Asked::ApartDeg(120.0))).unwrap().property_class, "SAE 5");
        for (mark, path) in [
            (Asked::LineCount(4), "line_count"),
            (Asked::ClusteredLineCount(3), "clustered_line_count"),
            (Asked::Unmarked(false), "unmarked"),
            (Asked::ApartDeg(60.0), "apart_deg"),
            (Asked::PropertyClass("8.8".to_owned()), "property_class"),
        ] {
            assert_eq!(paths(&answer(&inch(pb::MarkedPart::Bolt, mark)).unwrap_err()), [path]);
        }
        let empty = answer(&pb::LookUpHeadMarkRequest::default()).unwrap_err();
        assert_eq!(paths(&empty), ["threads", "part", "mark_text"]);
    }

    #[test]
    fn a_class_gives_its_mark_back() {
        let mark =
            |text: &str| answer(&inch(pb::MarkedPart::Bolt, Asked::PropertyClass(text.to_owned()))).unwrap().mark;
        assert_eq!(mark("SAE 5"), "3 radial lines, evenly spread");
        assert_eq!(mark("SAE 2"), "no mark");
        assert!(mark("SAE 8.2").contains("not seen"));
    }
}
