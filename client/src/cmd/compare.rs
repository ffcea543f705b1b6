//! `baybook compare`: whether the fasteners at hand may stand in for the specified ones.

use baybook_proto::v1 as pb;
use clap::{Args, ValueEnum};

use crate::{
    args::YesNo,
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    page::Page,
    people::Kind,
    read::{self, ReadError},
    table::{Cell, Mark},
};

const EXAMPLES: &str = "\
Examples:
  baybook compare --book deploy/demo/book --specified-bolt bolts/m12-88-40 \\
    --specified-nut nuts/m12-8 --specified-locks no --torque '79 N·m' \\
    --bolt bolts/m12-109-40 --nut nuts/m12-8 --electroplated no --grip '20 mm'
  baybook compare --book deploy/demo/book --specified-bolt bolts/m10-88-35 --thread '3/8-16 UNC' \\
    --class 'SAE 8'";

const FLAGS: Flags = Flags(&[
    ("specified", "--specified-bolt or --specified-thread"),
    ("specified.bolt", "--specified-bolt or --specified-thread"),
    ("specified.bolt.thread", "--specified-thread"),
    ("specified.bolt.property_class", "--specified-class"),
    ("specified.nut", "--specified-nut"),
    ("specified.washer", "--specified-washer"),
    ("offered", "--bolt or --thread"),
    ("offered.bolt", "--bolt or --thread"),
    ("offered.bolt.thread", "--thread"),
    ("offered.bolt.property_class", "--class"),
    ("offered.nut", "--nut"),
    ("offered.washer", "--washer"),
    ("grip", "--grip"),
    ("around", "--around"),
    ("electroplated", "--electroplated"),
    ("specified_locks", "--specified-locks"),
    ("specified_torque", "--torque"),
    ("used", "--found"),
    ("used_nut.lock", "--nut-lock"),
    ("used_nut.prevailing", "--nut-prevailing"),
]);

/// Compare a bolt, nut and washer at hand with the specified ones
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct CompareArgs {
    /// The specified bolt, by its entry: bolts/m12-88-40
    #[arg(long, value_name = "NAME", required_unless_present = "specified_thread",
          conflicts_with_all = ["specified_thread", "specified_class"], help_heading = "What the maker specifies")]
    specified_bolt: Option<String>,

    /// The specified bolt's thread instead: M12, "1/2-13 UNC"
    #[arg(long, value_name = "THREAD", help_heading = "What the maker specifies")]
    specified_thread: Option<String>,

    /// The specified bolt's class or grade: 8.8, "SAE 5"
    #[arg(long, value_name = "CLASS", requires = "specified_thread", help_heading = "What the maker specifies")]
    specified_class: Option<String>,

    /// The specified nut, by its entry: nuts/m12-8
    #[arg(long, value_name = "NAME", help_heading = "What the maker specifies")]
    specified_nut: Option<String>,

    /// Whether the specified nut locks
    #[arg(long, value_name = "ANSWER", requires = "specified_nut", help_heading = "What the maker specifies")]
    specified_locks: Option<YesNo>,

    /// The specified washer, by its entry: washers/m12-300
    #[arg(long, value_name = "NAME", help_heading = "What the maker specifies")]
    specified_washer: Option<String>,

    /// The specified torque, to be told whether it stays: "79 N·m"
    #[arg(long, value_name = "TORQUE", value_parser = read::torque, help_heading = "What the maker specifies")]
    torque: Option<pb::Torque>,

    /// The bolt at hand, by its entry: bolts/m12-109-40
    #[arg(long, value_name = "NAME", required_unless_present = "thread", conflicts_with_all = ["thread", "class"],
          help_heading = "What is at hand")]
    bolt: Option<String>,

    /// The thread of the bolt at hand instead: M12, "3/8-16 UNC"
    #[arg(long, value_name = "THREAD", help_heading = "What is at hand")]
    thread: Option<String>,

    /// Its class or grade; leave it out when the head carries no readable mark
    #[arg(long, value_name = "CLASS", requires = "thread", help_heading = "What is at hand")]
    class: Option<String>,

    /// The nut at hand, by its entry: nuts/m12-8
    #[arg(long, value_name = "NAME", help_heading = "What is at hand")]
    nut: Option<String>,

    /// The washer at hand, by its entry: washers/m12-300
    #[arg(long, value_name = "NAME", help_heading = "What is at hand")]
    washer: Option<String>,

    /// Whether the bolt at hand is electroplated
    #[arg(long, value_name = "ANSWER", help_heading = "What is at hand")]
    electroplated: Option<YesNo>,

    /// What an inspection of a used bolt found: pitted=no; once for each thing that was looked at
    #[arg(long, value_name = "WHAT=ANSWER", value_parser = finding, help_heading = "What is at hand",
          long_help = "What an inspection of a used bolt found: pitted=no; once for each thing that was looked at:\n\
                       threads-damaged, rust-stays, pitted, stretched, locks, over-proof, into-yield, structural.\n\
                       Without any, the bolt is taken for new; what nobody looked at is never a good finding")]
    found: Vec<(Looked, bool)>,

    /// What locks a nut that was on before; without it the nut is taken for new
    #[arg(long, value_name = "LOCK", requires = "nut", help_heading = "What is at hand")]
    nut_lock: Option<Lock>,

    /// Prevailing torque of a nut that was on before, measured while it runs down: "2 N·m", "15 lb-in"
    #[arg(long, value_name = "TORQUE", value_parser = read::torque, requires = "nut", help_heading = "What is at hand")]
    nut_prevailing: Option<pb::Torque>,

    /// Thickness of the clamped parts without washers: "20 mm"
    #[arg(long, value_name = "LENGTH", value_parser = read::length_mm, help_heading = "The place")]
    grip: Option<f64>,

    /// What the parts around are made of
    #[arg(long, value_name = "METAL", help_heading = "The place")]
    around: Option<Metal>,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Metal {
    /// Carbon steel
    Steel,
    /// Aluminium
    Aluminium,
    /// Stainless steel
    Stainless,
}

/// What locks a nut.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Lock {
    /// Its own deformed metal
    AllMetal,
    /// A non-metallic insert
    Insert,
}

/// What an inspection looks at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Looked {
    ThreadsDamaged,
    RustStays,
    Pitted,
    Stretched,
    Locks,
    OverProof,
    IntoYield,
    Structural,
}

fn finding(read: &str) -> Result<(Looked, bool), ReadError> {
    let names = || {
        let all = Looked::value_variants().iter().filter_map(ValueEnum::to_possible_value);
        all.map(|value| value.get_name().to_owned()).collect::<Vec<_>>().join(", ")
    };
    let bad = |why: String| ReadError { why, next: "write it like pitted=no".to_owned() };
    let Some((what, answer)) = read.split_once('=') else {
        return Err(bad("it has no '=' between what was looked at and the answer".to_owned()));
    };
    let what =
        Looked::from_str(what.trim(), true).map_err(|_| bad(format!("what is looked at is one of {}", names())))?;
    match answer.trim() {
        "yes" => Ok((what, true)),
        "no" => Ok((what, false)),
        _ => Err(bad("the answer is yes or no".to_owned())),
    }
}

fn bolt(name: Option<String>, thread: Option<String>, class: Option<String>) -> pb::BoltRef {
    let bolt = match name {
        Some(name) => pb::bolt_ref::Bolt::Name(name),
        None => pb::bolt_ref::Bolt::Spec(Box::new(pb::Bolt {
            thread: thread.unwrap_or_default(),
            property_class: class.unwrap_or_default(),
            ..pb::Bolt::default()
        })),
    };
    pb::BoltRef { bolt: Some(bolt) }
}

fn set(bolt: pb::BoltRef, nut: Option<String>, washer: Option<String>) -> pb::FastenerSet {
    pb::FastenerSet {
        bolt: Some(bolt),
        nut: nut.map(|name| pb::NutRef { nut: Some(pb::nut_ref::Nut::Name(name)) }),
        washer: washer.map(|name| pb::WasherRef { washer: Some(pb::washer_ref::Washer::Name(name)) }),
    }
}

impl CompareArgs {
    fn used(&self) -> Option<pb::FastenerInspection> {
        if self.found.is_empty() {
            return None;
        }
        let mut used = pb::FastenerInspection::default();
        for (what, answer) in &self.found {
            let field = match what {
                Looked::ThreadsDamaged => &mut used.threads_damaged,
                Looked::RustStays => &mut used.rust_stays,
                Looked::Pitted => &mut used.pitted,
                Looked::Stretched => &mut used.stretched,
                Looked::Locks => &mut used.locks,
                Looked::OverProof => &mut used.over_proof,
                Looked::IntoYield => &mut used.into_yield,
                Looked::Structural => &mut used.structural,
            };
            *field = Some(*answer);
        }
        Some(used)
    }

    fn request(self) -> pb::CompareFastenersRequest {
        let used = self.used();
        pb::CompareFastenersRequest {
            specified: Some(set(
                bolt(self.specified_bolt, self.specified_thread, self.specified_class),
                self.specified_nut,
                self.specified_washer,
            )),
            offered: Some(set(bolt(self.bolt, self.thread, self.class), self.nut, self.washer)),
            grip: self.grip.map(|mm| pb::Length { value_mm: Some(mm), printed: String::new() }),
            around: match self.around {
                None => pb::PartMaterial::Unspecified,
                Some(Metal::Steel) => pb::PartMaterial::Steel,
                Some(Metal::Aluminium) => pb::PartMaterial::Aluminium,
                Some(Metal::Stainless) => pb::PartMaterial::Stainless,
            }
            .into(),
            electroplated: self.electroplated.map(bool::from),
            specified_locks: self.specified_locks.map(bool::from),
            used,
            specified_torque: self.torque,
            used_nut: (self.nut_lock.is_some() || self.nut_prevailing.is_some()).then(|| pb::UsedNut {
                lock: match self.nut_lock {
                    None => pb::NutLock::Unspecified,
                    Some(Lock::AllMetal) => pb::NutLock::AllMetal,
                    Some(Lock::Insert) => pb::NutLock::Insert,
                }
                .into(),
                prevailing: self.nut_prevailing,
            }),
        }
    }
}

pub async fn run(args: CompareArgs, context: &mut Context) -> Outcome {
    let request = context.call(args.request());
    let reply = context.calculator().await?.compare_fasteners(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    context.out.show(&reply, |page| draw(&reply, page))?;
    Ok(Exit::Ok)
}

fn draw(reply: &pb::CompareFastenersResponse, page: &mut Page) {
    let (verdict, mark) = match reply.verdict() {
        pb::FastenerVerdict::Same => ("SAME", Mark::Good),
        pb::FastenerVerdict::BetterKeepTorque => ("BETTER, KEEP THE ORIGINAL TORQUE", Mark::Good),
        pb::FastenerVerdict::Unknown => ("UNKNOWN, REFUSE UNTIL SOMEBODY KNOWS", Mark::Mind),
        pb::FastenerVerdict::WorseRefuse => ("WORSE, REFUSE", Mark::Bad),
        pb::FastenerVerdict::Unspecified => ("NO VERDICT", Mark::Bad),
    };
    let keep = reply.keep_n_m.map_or_else(String::new, |torque| page.units().say(Kind::Torque, torque));
    page.line(Cell::marked(verdict, mark), &keep);
    let lines = |weight: pb::ReasonWeight| {
        let of = reply.reasons.iter().filter(move |reason| reason.weight() == weight);
        of.map(reason).collect::<Vec<_>>()
    };
    page.notes("refused because", lines(pb::ReasonWeight::Refuse));
    page.notes("not known", lines(pb::ReasonWeight::Unknown));
    page.notes("better", lines(pb::ReasonWeight::Better));
    page.notes("to be known", lines(pb::ReasonWeight::Note));
    if let Some(may) = reply.may_be_used_again {
        let (word, mark) = if may { ("MAY BE USED AGAIN", Mark::Good) } else { ("DISCARD", Mark::Bad) };
        page.line(Cell::marked(word, mark), "by what the inspection found");
    }
    page.footing(&reply.cautions, &reply.basis, Some(reply.revision));
}

fn reason(reason: &pb::FastenerReason) -> (&str, String) {
    let figures = match (reason.offered_in_unit, reason.wanted_in_unit) {
        (Some(offered), Some(wanted)) if reason.unit == "class" => {
            format!(" ({}; needed {})", tidy(offered), tidy(wanted))
        }
        (Some(offered), Some(wanted)) => {
            format!(
                " (at hand {} {unit}; specified or needed {} {unit})",
                tidy(offered),
                tidy(wanted),
                unit = reason.unit
            )
        }
        _ => String::new(),
    };
    (reason.id.as_str(), format!("{}{figures}", reason.text))
}

/// Prints at most two decimals, and none that say nothing.
fn tidy(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_finding_is_something_that_was_looked_at_and_its_answer() {
        assert_eq!(finding("rust-stays=no"), Ok((Looked::RustStays, false)));
        assert_eq!(finding(" pitted = yes"), Ok((Looked::Pitted, true)));
        assert!(finding("shiny=yes").unwrap_err().why.contains("threads-damaged"));
        assert!(finding("pitted=perhaps").is_err() && finding("pitted").is_err());
        assert_eq!((tidy(13.494), tidy(580.0), tidy(-0.2)), ("13.49".to_owned(), "580".to_owned(), "-0.2".to_owned()));
    }
}
