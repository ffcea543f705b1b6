//! The units of each quantity, how they are written, and how many digits of them people want.

mod circuit;
mod load;
mod size;
