//! Basic dimensions of ISO metric threads, from the profile of ISO 68-1.

use crate::basis::{Seen, Source};

/// Where the dimensions are published.
pub const SOURCE: Source = Source::new("ISO 68-1 and ISO 724, basic profile and dimensions", "", Seen::FromMemory);

/// Where the nominal stress area is defined.
pub const STRESS_AREA: Source = Source::new("ISO 898-1, clause 9.1.6.1, nominal stress area", "2013", Seen::FromMemory);

/// Height of the sharp triangle over the pitch, √3/2.
pub const HEIGHT: f64 = 0.866_025_403_784_438_6;
/// `(d − d2)/P`: three quarters of [`HEIGHT`]. Printed as 0.649 519.
pub const PITCH_DIAMETER: f64 = HEIGHT * 3.0 / 4.0;
/// `(d − D1)/P`: five quarters of [`HEIGHT`]. Printed as 1.082 532.
pub const INTERNAL_MINOR: f64 = HEIGHT * 5.0 / 4.0;
/// `(d − d3)/P` of the rounded root: seventeen twelfths of [`HEIGHT`]. Printed as 1.226 869.
pub const ROUNDED_ROOT: f64 = HEIGHT * 17.0 / 12.0;
