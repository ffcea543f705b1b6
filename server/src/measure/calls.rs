//! How long calls took, by method and by how they ended.

use std::sync::{Arc, OnceLock};
use std::time::Duration;

use ahash::AHashMap;
use parking_lot::RwLock;

use super::{Timed, Timing};

/// The codes of gRPC by number, as its documents name them.
const CODES: [&str; 17] = [
    "OK",
    "CANCELLED",
    "UNKNOWN",
    "INVALID_ARGUMENT",
    "DEADLINE_EXCEEDED",
    "NOT_FOUND",
    "ALREADY_EXISTS",
    "PERMISSION_DENIED",
    "RESOURCE_EXHAUSTED",
    "FAILED_PRECONDITION",
    "ABORTED",
    "OUT_OF_RANGE",
    "UNIMPLEMENTED",
    "INTERNAL",
    "UNAVAILABLE",
    "DATA_LOSS",
    "UNAUTHENTICATED",
];

/// The number of CANCELLED: how a call ends whose caller goes away.
pub(crate) const CANCELLED: usize = 1;
/// The number of UNKNOWN: how a call ends whose code is none.
const UNKNOWN: usize = 2;
/// The number of RESOURCE_EXHAUSTED: how a call ends that is turned away.
pub(crate) const EXHAUSTED: usize = 8;
/// The number of UNIMPLEMENTED: how a call ends whose method is none.
const UNIMPLEMENTED: usize = 12;

/// Methods that are told apart; beyond it they are counted together. The contract has fewer.
const METHODS: usize = 256;

/// How long the calls of one method took, by how they ended.
#[derive(Debug, Default)]
pub(crate) struct Method {
    codes: [OnceLock<Box<Timing>>; CODES.len()],
}

impl Method {
    fn note(&self, code: usize, took: Duration) {
        self.codes[code].get_or_init(Box::default).note(took);
    }
}

/// How long calls took.
#[derive(Debug, Default)]
pub(crate) struct Calls {
    methods: RwLock<AHashMap<Box<str>, Arc<Method>>>,
    /// Calls of what is no method, and calls refused before that was known.
    none: Method,
}

/// One row: service, method, code, what it came to.
pub(crate) type Row = (String, String, &'static str, Timed);

impl Calls {
    /// Reads a code as a header carries it.
    pub(crate) fn code(header: Option<&[u8]>) -> usize {
        let number = |text| std::str::from_utf8(text).ok()?.parse().ok().filter(|code| *code < CODES.len());
        header.map_or(0, |text| number(text).unwrap_or(UNKNOWN))
    }

    /// Returns the name of a code.
    pub(crate) fn name(code: usize) -> &'static str {
        CODES.get(code).copied().unwrap_or(CODES[UNKNOWN])
    }

    /// Notes one call. `answered` says that a handler of the method at that path ended it: only then is the path known
    /// to be one of ours, so that nobody fills the memory with names that are none.
    pub(crate) fn note(&self, path: &str, answered: bool, code: usize, took: Duration) {
        let code = code.min(CODES.len() - 1);
        if let Some(method) = self.methods.read().get(path) {
            return method.note(code, took);
        }
        if !answered || code == UNIMPLEMENTED {
            return self.none.note(code, took);
        }
        let mut methods = self.methods.write();
        if methods.len() >= METHODS {
            return self.none.note(code, took);
        }
        methods.entry(path.into()).or_default().note(code, took);
    }

    /// Returns a row for every method and code that was seen, in order.
    pub(crate) fn rows(&self) -> Vec<Row> {
        let row = |path: &str, method: &Method| {
            let (service, name) = path.trim_start_matches('/').split_once('/').unwrap_or(("none", "none"));
            let (service, name) = (service.to_owned(), name.to_owned());
            let timed = method.codes.iter().zip(CODES).filter_map(|(timing, code)| Some((timing.get()?.read(), code)));
            timed.map(|(timed, code)| (service.clone(), name.clone(), code, timed)).collect::<Vec<_>>()
        };
        let mut rows: Vec<Row> =
            self.methods.read().iter().flat_map(|(path, method)| row(path, method.as_ref())).collect();
        rows.extend(row("", &self.none));
        rows.sort_by(|one, other| (&one.0, &one.1, one.2).cmp(&(&other.0, &other.1, other.2)));
        rows
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_answered_methods_get_a_row_of_their_own() {
        let (calls, took) = (Calls::default(), Duration::from_micros(20));
        calls.note("/baybook.v1.SpecBookService/GetEntry", true, 0, took);
        calls.note("/baybook.v1.SpecBookService/GetEntry", false, 16, took);
        for number in 0..1_000 {
            calls.note(&format!("/made.up/{number}"), false, 16, took);
            calls.note(&format!("/made.up/{number}"), true, 12, took);
        }
        let rows: Vec<_> =
            calls.rows().into_iter().map(|(_, method, code, timed)| (method, code, timed.count)).collect();
        let row = |method: &str, code, count| (method.to_owned(), code, count);
        assert_eq!(
            rows,
            [
                row("GetEntry", "OK", 1),
                row("GetEntry", "UNAUTHENTICATED", 1),
                row("none", "UNAUTHENTICATED", 1_000),
                row("none", "UNIMPLEMENTED", 1_000)
            ]
        );
        for number in 0..1_000 {
            calls.note(&format!("/made.up/{number}"), true, 0, took);
        }
        assert_eq!(calls.methods.read().len(), METHODS);
    }

    #[test]
    fn codes_are_read_as_they_are_sent() {
        assert_eq!(Calls::code(None), 0);
        assert_eq!(Calls::code(Some(b"14")), 14);
        for bad in ["", "x", "17", "-1"] {
            assert_eq!(Calls::code(Some(bad.as_bytes())), UNKNOWN);
        }
    }
}
