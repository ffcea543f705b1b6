//! Coupling values
