//! Threads
