//! The command line of baybook.

fn main() {}
