//! Bolts, nuts and washers.

mod class;

pub use class::ClassSystem;

use super::thread::Thread;
use crate::units::{Length, Torque};

/// The standard a bolt's class or grade belongs to, and the class itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum BoltClass {
    /// ISO 898-1 property class.
    Iso(IsoClass),
    /// SAE J429 grade.
    Sae(SaeGrade),
    /// ISO 3506-1 stainless class.
    Stainless(StainlessClass),
}

/// ISO 898-1 property classes of bolts.
#[expect(missing_docs, reason = "each variant is the class it spells")]
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum IsoClass {
    C4_6,
    C4_8,
    C5_6,
    C5_8,
    C6_8,
    C8_8,
    C9_8,
    C10_9,
    C12_9,
}

/// SAE J429 grades of bolts.
#[expect(missing_docs, reason = "each variant is the grade it spells")]
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SaeGrade {
    G1,
    G2,
    G4,
    G5,
    G5_2,
    G8,
    G8_2,
}

/// ISO 3506-1 strength classes of austenitic stainless bolts.
#[expect(missing_docs, reason = "each variant is the class it spells")]
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum StainlessClass {
    C50,
    C70,
    C80,
}

/// The standard a nut's class or grade belongs to, and the class itself.
#[expect(missing_docs, reason = "each variant is the class it spells")]
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum NutClass {
    Iso04,
    Iso05,
    Iso4,
    Iso5,
    Iso6,
    Iso8,
    Iso9,
    Iso10,
    Iso12,
    Sae2,
    Sae5,
    Sae8,
    Stainless50,
    Stainless70,
    Stainless80,
}

/// The shape of a bolt's head; it decides what slides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HeadKind {
    /// Hexagon.
    Hex,
    /// Hexagon with a flange.
    HexFlange,
    /// Socket head cap.
    Socket,
    /// Carriage or plough head that does not turn.
    Carriage,
    /// A stud, without a head.
    Stud,
}

/// A bolt, screw or stud.
#[derive(Debug, Clone, PartialEq)]
pub struct Bolt {
    /// The entry name, `bolts/…`, or empty when given inline.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// Its thread.
    pub thread: Thread,
    /// Its class or grade; absent when the head carries no readable mark.
    pub class: Option<BoltClass>,
    /// Its length under the head.
    pub length: Option<Length>,
    /// Outer diameter of its bearing face.
    pub bearing_diameter: Option<Length>,
    /// The hole it passes through.
    pub hole_diameter: Option<Length>,
    /// Its head.
    pub head: Option<HeadKind>,
    /// Whether its maker says it may be used once only.
    pub single_use: Option<bool>,
    /// Whether it is hot-dip galvanised.
    pub hot_dip_galvanised: Option<bool>,
}

/// What kind of nut it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NutKind {
    /// Full height.
    Regular,
    /// Thin (jam): never develops the bolt.
    Thin,
    /// Flanged.
    Flange,
    /// Welded or caged in the frame.
    Captive,
    /// A threaded insert.
    Insert,
}

/// A nut.
#[derive(Debug, Clone, PartialEq)]
pub struct Nut {
    /// The entry name, `nuts/…`, or empty when given inline.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// Its thread.
    pub thread: Thread,
    /// Its class or grade.
    pub class: Option<NutClass>,
    /// What kind it is.
    pub kind: Option<NutKind>,
    /// Its height.
    pub height: Option<Length>,
    /// Outer diameter of its bearing face.
    pub bearing_diameter: Option<Length>,
    /// Prevailing torque measured while it runs down, if it locks.
    pub prevailing_torque: Option<Torque>,
}

/// A washer.
#[derive(Debug, Clone, PartialEq)]
pub struct Washer {
    /// The entry name, `washers/…`, or empty when given inline.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// Inner diameter.
    pub inner_diameter: Option<Length>,
    /// Outer diameter.
    pub outer_diameter: Option<Length>,
    /// Thickness.
    pub thickness: Option<Length>,
    /// Hardness, Vickers.
    pub hardness_hv: Option<f64>,
}
