//! What has to be said beside a torque.

macro_rules! cautions {
    ($( $(#[$doc:meta])* $name:ident = $id:literal, $words:literal; )+) => {
        /// Something that has to be said beside a torque or a preload.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        #[repr(u8)]
        pub enum Caution {
            $( $(#[$doc])* $name, )+
        }

        impl Caution {
            /// Every caution, in the order in which they are read out.
            pub const ALL: &[Self] = &[$( Self::$name, )+];

            /// Returns its stable name.
            #[must_use]
            pub const fn id(self) -> &'static str {
                match self { $( Self::$name => $id, )+ }
            }

            /// Returns the sentence for the person with the wrench.
            #[must_use]
            pub const fn words(self) -> &'static str {
                match self { $( Self::$name => $words, )+ }
            }
        }
    };
}

cautions! {
    /// The maker's torque overrides.
    MakerOverrides = "maker-overrides",
        "a torque printed by the maker of the vehicle or of the part overrides any calculated one";
    /// Torque is a band of preload.
    PreloadIsABand = "preload-is-a-band",
        "one torque gives a range of preload: judge the joint by its least and its greatest, not by the nominal";
    /// The finish is unknown.
    UnknownFinish = "unknown-finish",
        "finish and lubricant are not known: the widest published band was used; clean and lubricate to a known condition";
    /// The condition of the printed torque is unknown.
    SpecifiedConditionUnknown = "specified-condition-unknown",
        "nobody says for which condition the torque was printed: it is handed on unchanged, ask its maker";
    /// The joint differs from the condition the torque was printed for.
    Converted = "converted",
        "the printed torque was converted to another condition at constant preload: have the conversion approved";
    /// The bearing face came from tables.
    FaceFromTables = "face-from-tables",
        "bearing face and hole were taken from the tables for a hexagon on a medium hole: measure a flange or another hole";
    /// The bearing face is unknown.
    FaceUnknown = "face-unknown",
        "the bearing face is not known, so torsion is not taken in: the share of yield is understated";
    /// It is not known whether the washer turns.
    WasherMayTurn = "washer-may-turn",
        "nobody says whether the washer turns with the nut: the band covers both; hold it or watch it";
    /// The preload may exceed proof.
    OverProof = "over-proof",
        "at low friction this torque takes the bolt over its proof load";
    /// The nominal preload exceeds proof.
    NominalOverProof = "nominal-over-proof",
        "already at likely friction this torque takes the bolt over its proof load: do not use it";
    /// The bolt may yield.
    OverYield = "over-yield",
        "at low friction this torque makes the bolt yield under tension and torsion together";
    /// The preload may exceed what the nut holds.
    OverNutProof = "over-nut-proof",
        "at low friction this torque takes the nut over its proof load: its threads may strip";
    /// The nut is weaker than the bolt.
    NutWeaker = "nut-weaker",
        "the nut's class is lower than the bolt needs, or has no common measure with it: its threads may strip before the bolt carries its load";
    /// No proof load is published for the nut.
    NutLoadUnknown = "nut-load-unknown",
        "no proof load is published for this nut in this size and coat: nothing here says that its threads hold";
    /// A longer bolt of this grade is weaker.
    LongBoltWeaker = "long-bolt-weaker",
        "a bolt of this grade longer than 6 in is weaker: these figures hold up to 6 in";
    /// The nut is unknown.
    NutUnknown = "nut-unknown",
        "class or kind of the nut is not known: nothing here says that its threads hold";
    /// The nut is thin.
    ThinNut = "thin-nut",
        "a thin nut never develops the bolt: its threads strip first";
    /// The nut is captive.
    CaptiveNut = "captive-nut",
        "a captive nut's weld or cage may limit the torque below what the bolt bears";
    /// The threads are in the part.
    TappedHole = "tapped-hole",
        "the threads are in the part: check the engagement and the strength of its material";
    /// Hot-dip galvanised M8 or M10.
    HotDipGalvanised = "hot-dip-galvanised",
        "hot-dip galvanised M8 and M10 have nuts tapped oversize with reduced proof loads: those limit the preload";
    /// Whether it is hot-dip galvanised is unknown, and it would matter.
    GalvanisingUnknown = "galvanising-unknown",
        "nobody says whether this M8 or M10 is hot-dip galvanised; if it is, its nut holds less";
    /// Stainless steel galls.
    StainlessGalls = "stainless-galls",
        "stainless on stainless seizes: use anti-seize, run down slowly, and set the torque for that lubricant";
    /// No proof stress is published.
    NoProofStress = "no-proof-stress",
        "no proof stress is published for this class: stay at or below 0.65 of yield";
    /// No window was given.
    WindowUnknown = "window-unknown",
        "no window was given: the least and greatest preload are for the exact torque only";
    /// The wrench's deviation is unknown.
    AccuracyUnknown = "accuracy-unknown",
        "the wrench's deviation is not known and not taken in";
    /// The setting is under the scale.
    BelowScale = "below-scale",
        "the setting lies below the scale of this wrench: take a smaller one";
    /// The setting is in the lowest fifth of the scale.
    LowOnScale = "low-on-scale",
        "the setting lies in the lowest fifth of this wrench's scale: take a smaller one";
    /// The setting is over the scale.
    AboveScale = "above-scale",
        "the setting lies above the scale of this wrench: take a larger one";
    /// Grip the wrench at its load point.
    GripAtLoadPoint = "grip-at-load-point",
        "with an adapter the setting holds only for a hand at the marked load point of the grip";
    /// The prevailing torque was added.
    PrevailingAdded = "prevailing-added",
        "the prevailing torque is part of the setting: measure it on this nut while it runs down, before it seats";
    /// The bolt breaks earlier under torsion.
    BreaksEarlier = "breaks-earlier",
        "while it is turned a bolt breaks 10 to 25 % below its tensile load";
    /// Least and greatest preload are far apart.
    WidePreload = "wide-preload",
        "the greatest preload is more than twice the least: find out the friction, or control by something better than torque";
}

/// A set of cautions, in a fixed order, without a heap.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Cautions(u64);

impl Cautions {
    /// Returns a set of these.
    #[must_use]
    pub fn of(cautions: &[Caution]) -> Self {
        let mut set = Self::default();
        for &caution in cautions {
            set.add(caution);
        }
        set
    }

    /// Adds one.
    pub const fn add(&mut self, caution: Caution) {
        self.0 |= 1 << caution as u8;
    }

    /// Adds one when the condition holds.
    pub const fn add_if(&mut self, holds: bool, caution: Caution) {
        if holds {
            self.add(caution);
        }
    }

    /// Returns whether it is in the set.
    #[must_use]
    pub const fn has(&self, caution: Caution) -> bool {
        self.0 & (1 << caution as u8) != 0
    }

    /// Returns them in the order in which they are read out.
    pub fn iter(&self) -> impl Iterator<Item = Caution> + use<> {
        let set = *self;
        Caution::ALL.iter().copied().filter(move |&caution| set.has(caution))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_caution_fits_the_set_and_has_its_own_name() {
        assert!(Caution::ALL.len() <= 64);
        let mut ids: Vec<_> = Caution::ALL.iter().map(|caution| caution.id()).collect();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), Caution::ALL.len());
        for caution in Caution::ALL {
            assert!(!caution.words().ends_with('.'), "{}", caution.id());
            assert_eq!(Cautions::of(&[*caution]).iter().collect::<Vec<_>>(), [*caution]);
        }
    }
}
