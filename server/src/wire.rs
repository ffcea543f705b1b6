//! Wire to domain and back: every message becomes a value that is valid by construction, or a list of everything that
//! is wrong with it.
//!
//! A reader goes on after a bad field, so one reply names them all. Paths are put together only for a field that is
//! rejected. Nothing here knows a status code: [`WireError`] says what is wrong, `error` says what that means.

pub mod added_mass;
pub mod axles;
pub mod basis;
mod bed_coupling;
pub mod brake_law;
pub mod captive;
pub mod choose_wrench;
pub mod circuit;
pub mod clearances;
pub mod compare_fasteners;
pub mod coupling;
pub mod coupling_values;
pub mod explain;
pub mod fastener;
pub mod fastening;
pub mod fields;
pub mod fit_receivers;
pub mod head_mark;
mod height;
pub mod joint;
pub mod joints;
pub mod load;
pub mod lookup;
pub mod names;
mod off_road;
pub mod plan;
mod plan_view;
pub mod policy;
pub mod preload_scatter;
pub mod quantity;
pub mod ranges;
pub mod receiver;
pub mod refs;
pub mod report;
pub mod roll_over;
pub mod shop;
pub mod size_circuit;
pub mod spec;
mod standing;
pub mod thread;
pub mod tightening;
pub mod torque;
pub mod torque_answer;
pub mod towing;
pub mod trailer;
pub mod turn_angle;
pub mod turning;
mod unit_figures;
pub mod vehicle;
pub mod vin;
pub mod weigh_tongue;
mod work;

#[cfg(test)]
pub(crate) mod fixture;
#[cfg(test)]
mod laws;

pub use fields::{Fields, NotFound, Violation, WireError};
pub use lookup::Lookup;
pub use plan::{plan_in, read_plan};
pub use spec::{Reference, Spec};

/// A domain value that can be read from a message.
pub trait FromWire: Sized {
    /// The message it is read from.
    type Wire;

    /// Reads it, and notes in `fields` everything that is wrong. `None` only after at least one violation.
    fn from_wire(wire: &Self::Wire, fields: &mut Fields) -> Option<Self>;
}

/// Reads a whole message.
///
/// # Errors
///
/// [`WireError`] with every violation.
pub fn read<T: FromWire>(wire: &T::Wire) -> Result<T, WireError> {
    let mut fields = Fields::default();
    let value = T::from_wire(wire, &mut fields);
    fields.finish(value)
}
