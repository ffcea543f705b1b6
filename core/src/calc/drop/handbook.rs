//! Printed figures.
