//! What tests and benchmarks of the whole share; nothing else depends on this crate.

use std::env;
use std::process::Command;

/// Returns cargo, as somebody starts it who is not started by cargo.
///
/// Cargo tells what it starts of the package in hand. A build script that looks at that would run again, and all that
/// depends on it would be built again, here and by whoever starts cargo next.
#[must_use]
pub fn cargo() -> Command {
    let mut cargo = Command::new(env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    let told = ["CARGO_PKG_", "CARGO_MANIFEST_", "CARGO_CRATE_", "CARGO_BIN_", "CARGO_PRIMARY_"];
    for (variable, _) in env::vars_os() {
        if variable.to_str().is_some_and(|variable| told.iter().any(|told| variable.starts_with(told))) {
            cargo.env_remove(variable);
        }
    }
    cargo
}
