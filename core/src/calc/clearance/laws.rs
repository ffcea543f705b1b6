//! Laws
