//! The program, built with these benchmarks.

use std::path::Path;

pub fn program() -> &'static Path {
    Path::new(env!("CARGO_BIN_EXE_bench-baybook"))
}
