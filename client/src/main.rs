//! The program `baybook`.

/// A check of a long sheet makes and drops millions of small strings; this allocator takes a quarter less time for it
/// than the system's.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> std::process::ExitCode {
    baybook::main()
}
