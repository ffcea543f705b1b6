//! Why a part may or may not stand in for another.

use super::Verdict;
use crate::basis::{Basis, Seen, Source};

/// How much a reason weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// To be known; changes nothing.
    Note,
    /// The part is better.
    Better,
    /// Something is not known.
    Unknown,
    /// The part is refused.
    Refuse,
}

impl Weight {
    /// Returns the verdict that it asks for.
    #[must_use]
    pub const fn verdict(self) -> Verdict {
        match self {
            Self::Note => Verdict::Same,
            Self::Better => Verdict::BetterKeepTorque,
            Self::Unknown => Verdict::Unknown,
            Self::Refuse => Verdict::WorseRefuse,
        }
    }
}

/// A reason and its figures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reason {
    /// What it is.
    pub kind: ReasonKind,
    /// The offered figure, where there is one.
    pub offered: Option<f64>,
    /// The specified or needed figure.
    pub wanted: Option<f64>,
    /// The unit of both.
    pub unit: &'static str,
}

impl Reason {
    /// Returns a reason without figures.
    #[must_use]
    pub const fn bare(kind: ReasonKind) -> Self {
        Self { kind, offered: None, wanted: None, unit: "" }
    }

    /// Returns a reason with both figures.
    #[must_use]
    pub const fn with(kind: ReasonKind, offered: f64, wanted: f64, unit: &'static str) -> Self {
        Self { kind, offered: Some(offered), wanted: Some(wanted), unit }
    }

    /// Returns what it rests on.
    #[must_use]
    pub fn basis(&self) -> Basis {
        let figures = [("offered", self.offered), ("wanted", self.wanted)];
        let inputs: Vec<_> = figures.into_iter().filter_map(|(name, value)| Some((name, value?))).collect();
        Basis::new(self.kind.id(), self.kind.words(), self.kind.source(), &inputs)
    }
}

const TRADE: Source = Source::new("exchange of fasteners", "", Seen::CommonPractice);
const GEOMETRY: Source = Source::new("geometry of the parts", "", Seen::Derived);
const MANUALS: Source = super::CLASS_SOURCE;
const ISO_NUTS: Source = Source::new("ISO 898-2, matching of nuts, in a reprint of its tables", "", Seen::Opened);
const HOT_DIP: Source = crate::tables::iso_10684::SOURCE;
const WASHER_HARDNESS: Source = Source::new("ISO 7089 and ISO 7090, hardness of washers", "", Seen::FromMemory);
const INSPECTION: Source = Source::new("US Army TB 43-0218, sections III to V", "", Seen::Opened);
const DAMAGE: Source = Source::new("US Army TM 9-6115-604-34, tables 1-2 and 1-3", "", Seen::Opened);
const LOCKS: Source = crate::calc::torque::prevailing::REUSE_SOURCE;
const STRETCH: Source = Source::new("a repair handbook, single-use hardware", "", Seen::Opened);
const STRUCTURAL: Source = Source::new("Iowa DOT IM 453.06, bolting", "", Seen::Opened);
const EMBRITTLEMENT: Source = Source::new("NASA RP-1228, materials cautions", "", Seen::Opened);
const GALVANIC: Source = Source::new("MIL-STD-1250A, 5.6 and 5.7", "", Seen::Opened);
const SERIES: Source = Source::new("a galvanic series and fastener area rule", "", Seen::Opened);
const GALLING: Source = Source::new("two short articles on galling", "", Seen::Opened);
const STACKS: Source = Source::new("a truck workshop page, fastener replacement", "", Seen::Opened);

macro_rules! reasons {
    ($( $(#[$doc:meta])* $name:ident = $weight:ident, $id:literal, $source:expr, $words:literal; )+) => {
        /// Why a part may or may not stand in for another.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum ReasonKind {
            $( $(#[$doc])* $name, )+
        }

        impl ReasonKind {
            /// Every reason.
            pub const ALL: &[Self] = &[$( Self::$name, )+];

            /// Returns its stable name.
            #[must_use]
            pub const fn id(self) -> &'static str {
                match self { $( Self::$name => $id, )+ }
            }

            /// Returns the sentence for the person at the bench.
            #[must_use]
            pub const fn words(self) -> &'static str {
                match self { $( Self::$name => $words, )+ }
            }

            /// Returns how much it weighs.
            #[must_use]
            pub const fn weight(self) -> Weight {
                match self { $( Self::$name => Weight::$weight, )+ }
            }

            /// Returns where it comes from.
            #[must_use]
            pub const fn source(self) -> Source {
                match self { $( Self::$name => $source, )+ }
            }
        }
    };
}

reasons! {
    /// Inch in metric or the reverse, so close that they start.
    ThreadsLookAlike = Refuse, "threads-look-alike", TRADE,
        "an inch and a metric thread this close start in each other and then jam or strip";
    /// Another diameter or system.
    OtherThread = Refuse, "other-thread", GEOMETRY, "the thread is not the specified one";
    /// The same diameter, another pitch.
    OtherPitch = Refuse, "other-pitch", GEOMETRY, "the pitch is not the specified one: fine and coarse do not run together";
    /// The bolt's nut or the nut's bolt is of another thread.
    NutDoesNotMate = Refuse, "nut-does-not-mate", GEOMETRY, "nut and bolt are of different threads";
    /// A lower class.
    LowerClass = Refuse, "lower-class", MANUALS,
        "a lower class or grade is never fitted: at the same torque it is overloaded";
    /// A class of another family.
    OtherFamily = Refuse, "other-family", TRADE,
        "the classes belong to different families of standards and have no common measure";
    /// A higher class.
    HigherClass = Better, "higher-class", MANUALS,
        "a higher class keeps the original torque, unless the joint is assessed anew";
    /// More load than the sheet may bear, should somebody raise the torque.
    SheetMayYield = Note, "sheet-may-yield", TRADE,
        "the torque of the higher class could overload the frame sheet under the head";
    /// Hard steel and hydrogen.
    Embrittlement = Note, "embrittlement", EMBRITTLEMENT,
        "hard bolts can crack from hydrogen after plating: 12.9, and 10.9 or above when electroplated";
    /// Nobody says whether it is electroplated.
    PlatingUnknown = Note, "plating-unknown", EMBRITTLEMENT,
        "say whether this hard bolt is electroplated: hydrogen can crack it";
    /// The bolt bears no readable class.
    ClassUnknown = Unknown, "class-unknown", TRADE, "the class of the bolt is not known: an unmarked bolt counts as the lowest";
    /// The specified class is unknown.
    SpecifiedUnknown = Unknown, "specified-unknown", TRADE, "the specified class is not known: ask the maker";
    /// The head bears on less.
    SmallerFace = Refuse, "smaller-face", GEOMETRY, "the bearing face is smaller than the specified one: pressure under it rises";
    /// A head of another kind.
    OtherHead = Refuse, "other-head", TRADE, "the head is of another kind: another face slides, and the torque no longer holds";
    /// Too short.
    TooShort = Refuse, "too-short", GEOMETRY, "the bolt does not come through its nut by two threads";
    /// Too long.
    TooLong = Refuse, "too-long", STACKS, "the bolt stands out by more than 16 mm";
    /// Length or grip unknown.
    LengthUnknown = Unknown, "length-unknown", GEOMETRY, "length, grip or nut height is not known: protrusion cannot be told";
    /// No nut where one is specified.
    NutMissing = Refuse, "nut-missing", GEOMETRY, "a nut is specified and none is offered";
    /// A thin nut.
    ThinNut = Refuse, "thin-nut", ISO_NUTS, "a thin nut never develops the bolt: its threads strip first";
    /// A nut too weak for the specified bolt.
    WeakerNut = Refuse, "weaker-nut", ISO_NUTS, "the nut's class is below what the specified bolt needs";
    /// A nut that cannot use the stronger bolt.
    NutLimits = Note, "nut-limits", ISO_NUTS,
        "the nut is good for the original torque; the higher class of the bolt is of no use with it";
    /// A nut of higher class.
    StrongerNut = Better, "stronger-nut", ISO_NUTS, "a stronger nut may stand in for a weaker one";
    /// A nut that bears no class.
    NutClassUnknown = Unknown, "nut-class-unknown", TRADE, "the class or kind of the nut is not known";
    /// Reduced by galvanising.
    GalvanisedNut = Refuse, "galvanised-nut", HOT_DIP,
        "hot-dip galvanised nuts of M8 and M10 are tapped oversize and hold less than the specified nut";
    /// Nobody says whether it is galvanised.
    GalvanisingUnknown = Unknown, "galvanising-unknown", HOT_DIP,
        "say whether bolt and nut are hot-dip galvanised: at M8 and M10 that takes strength";
    /// The nut does not lock.
    LockLost = Refuse, "lock-lost", TRADE, "the specified nut locks and the offered one does not";
    /// Nobody says whether it locks.
    LockUnknown = Unknown, "lock-unknown", TRADE, "say whether the specified nut locks";
    /// It locks where none is specified.
    LockGained = Note, "lock-gained", TRADE,
        "the offered nut locks: its prevailing torque must be measured and added to the setting";
    /// No washer where one is specified.
    WasherMissing = Refuse, "washer-missing", GEOMETRY, "a washer is specified and none is offered";
    /// A washer more.
    WasherAdded = Note, "washer-added", GEOMETRY, "a washer is added: it takes from the protrusion";
    /// It does not go over the bolt.
    WasherDoesNotFit = Refuse, "washer-does-not-fit", GEOMETRY, "the washer does not go over the bolt";
    /// It may ride up the fillet.
    WasherOnFillet = Refuse, "washer-on-fillet", TRADE,
        "the washer has so little room that it may sit on the fillet under the head";
    /// It bears on less.
    SmallerWasher = Refuse, "smaller-washer", GEOMETRY, "the washer bears on less than the specified one";
    /// It bears on more.
    LargerWasher = Better, "larger-washer", GEOMETRY, "the washer bears on more than the specified one";
    /// It is too soft.
    SoftWasher = Refuse, "soft-washer", WASHER_HARDNESS,
        "the washer is too soft: 200 HV for 8.8 and grade 5, 300 HV for 10.9 and grade 8 and above";
    /// Its hardness is unknown.
    HardnessUnknown = Unknown, "hardness-unknown", WASHER_HARDNESS, "the hardness of the washer is not known";
    /// Its measures are unknown.
    WasherUnknown = Unknown, "washer-unknown", GEOMETRY, "the measures of the washer are not known";
    /// Damaged threads.
    ThreadsDamaged = Refuse, "threads-damaged", INSPECTION, "threads are deformed or damaged: discard";
    /// Pits.
    Pitted = Refuse, "pitted", INSPECTION, "the surface is pitted: discard";
    /// Rust that stays.
    RustStays = Refuse, "rust-stays", INSPECTION, "rust cannot be wiped off: discard";
    /// A drawn shank.
    Stretched = Refuse, "stretched", INSPECTION, "the shank is drawn out: discard";
    /// Locking parts.
    LockingUsed = Refuse, "locking-used", INSPECTION, "locking bolts and nuts are discarded when removed";
    /// Signs of overtightening.
    Overtightened = Refuse, "overtightened", DAMAGE, "it was tightened beyond proof or shows it: discard";
    /// Single use.
    SingleUse = Refuse, "single-use", STRETCH, "bolts tightened into yield, and those their maker calls single-use, are used once";
    /// A structural bolt.
    StructuralUsed = Refuse, "structural-used", STRUCTURAL, "tensioned structural bolts are not used again";
    /// Something was not looked at.
    NotInspected = Unknown, "not-inspected", INSPECTION, "a used bolt must be inspected for threads, rust, pits, stretch and history";
    /// Fine to use again.
    GoodUsed = Note, "good-used", INSPECTION, "a plain bolt with good threads, never above proof: may be used again";
    /// A used locking nut that has lost its lock.
    NutLocksNoMore = Refuse, "nut-locks-no-more", LOCKS,
        "the used nut prevails with less than the least for its size: replace it";
    /// A used locking nut of which too little is known.
    NutLockUnmeasured = Unknown, "nut-lock-unmeasured", LOCKS,
        "say what locks the used nut, and measure its prevailing torque while it runs down";
    /// A used locking nut of a size that no table prints.
    NutLeastUnprinted = Unknown, "nut-least-unprinted", LOCKS,
        "no least prevailing torque is printed for a used nut of this thread: fit a new one";
    /// A used locking nut that still locks.
    NutStillLocks = Note, "nut-still-locks", LOCKS,
        "the used nut still prevails with the least for its size; TB 43-0218 discards every locking nut all the same";
    /// Stainless on stainless.
    Galling = Note, "galling", GALLING,
        "stainless on stainless galls: anti-seize, slow run-down, and a torque for the lower friction";
    /// Stainless in aluminium.
    StainlessInAluminium = Note, "stainless-in-aluminium", GALVANIC,
        "stainless bolts in aluminium are acceptable when isolated with non-absorbing washers or coating";
    /// Carbon steel in stainless.
    SteelInStainless = Refuse, "steel-in-stainless", SERIES,
        "carbon-steel bolts in stainless parts are a small anode on a large cathode";
    /// Steel in aluminium.
    SteelInAluminium = Note, "steel-in-aluminium", GALVANIC,
        "steel in aluminium: coat and isolate, and keep copper paste away from it";
    /// The maker overrides.
    MakerOverrides = Note, "maker-overrides", TRADE, "what the maker of the vehicle or of the part says about exchange overrides this";
}
