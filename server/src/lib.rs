//! The baybook service: the only place that speaks gRPC and opens files.

pub mod book;
pub mod wire;
