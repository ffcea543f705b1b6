//! The program `baybook`, built as the benchmarks are.

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> std::process::ExitCode {
    baybook::main()
}
