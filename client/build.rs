//! Lets the linker pack what the loader must mend at each start: most of forty thousand addresses, up to a tenth of the time of
//! a call. The benchmarks' own programs are linked alike.
//!
//! Only for the machine that builds, and only where its C library can read what was packed: glibc 2.36 and later. An older
//! linker says that it does not know the option, and goes on.

use std::env;
use std::process::Command;

/// The first glibc that reads packed relocations.
const READS_PACKED: (u32, u32) = (2, 36);

fn main() {
    // Two packages share this file, so it is named by neither; what it finds out hangs on what is found.
    println!("cargo:rerun-if-env-changed=PATH");
    let is = |variable: &str, value: &str| env::var(variable).is_ok_and(|is| is == value);
    let is_glibc = is("CARGO_CFG_TARGET_OS", "linux") && is("CARGO_CFG_TARGET_ENV", "gnu");
    if is_glibc && env::var("HOST") == env::var("TARGET") && glibc().is_some_and(|version| READS_PACKED <= version) {
        println!("cargo:rustc-link-arg-bins=-Wl,-z,pack-relative-relocs");
    }
}

/// Returns the version of this machine's C library, when it is glibc and tells.
fn glibc() -> Option<(u32, u32)> {
    let told = Command::new("getconf").arg("GNU_LIBC_VERSION").output().ok()?.stdout;
    let (major, minor) = std::str::from_utf8(&told).ok()?.trim().strip_prefix("glibc ")?.split_once('.')?;
    Some((major.parse().ok()?, minor.parse().ok()?))
}
