//! The rule book: one rule a file, one visible list, and the report they make.
