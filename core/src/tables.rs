//! Printed data
