//! Which lane a call takes: which are answered once, which stream, which are long work.

use crate::callers::Caller;
use crate::commons::Account;

/// Which lane a call takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Lane {
    /// A call that is answered once: counted, and held to a deadline.
    Unary,
    /// A stream: its handler counts it and watches its pace.
    Stream,
    /// Health, which must answer whatever else is going on.
    Health,
}

/// Which places a stream of ours takes one of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Places {
    Streams,
    Watchers,
}

/// The streams of our contract.
const STREAMS: [(&str, Places); 4] = [
    ("/baybook.v1.SpecBookService/ExportEntries", Places::Streams),
    ("/baybook.v1.SpecBookService/ImportEntries", Places::Streams),
    ("/baybook.v1.SpecBookService/WatchBook", Places::Watchers),
    ("/baybook.v1.UpfitsService/CheckUpfits", Places::Streams),
];

/// The calls that are long work, done at a desk.
const LONG: [&str; 4] = [
    "/baybook.v1.CalculatorService/FitReceivers",
    "/baybook.v1.CalculatorService/RollOver",
    "/baybook.v1.SpecBookService/FindEntries",
    "/baybook.v1.UpfitsService/ExplainUpfit",
];

fn places(path: &str) -> Option<Places> {
    STREAMS.iter().find(|(stream, _)| *stream == path).map(|(_, places)| *places)
}

pub(super) fn lane(path: &str) -> Lane {
    if places(path).is_some() || path.starts_with("/grpc.reflection.v1.") {
        Lane::Stream
    } else if path.starts_with("/grpc.health.v1.") {
        Lane::Health
    } else {
        Lane::Unary
    }
}

/// Whether a call is long work, done at a desk.
pub(super) fn is_long(path: &str) -> bool {
    LONG.contains(&path)
}

/// The places of streams that a call of that path takes one of.
pub(super) fn stays<'a>(path: &str, caller: &'a Caller) -> Option<&'a Account> {
    Some(match places(path)? {
        Places::Streams => &caller.streams,
        Places::Watchers => &caller.watchers,
    })
}

#[cfg(test)]
mod tests {
    use prost_reflect::DescriptorPool;

    use super::*;

    #[test]
    fn the_streams_of_the_contract_take_the_lane_of_streams_and_no_other_call_does() {
        let pool = DescriptorPool::decode(baybook_proto::DESCRIPTOR_SET).unwrap();
        let mut paths = Vec::new();
        for service in pool.services() {
            for method in service.methods() {
                let path = format!("/{}/{}", service.full_name(), method.name());
                let streams = method.is_client_streaming() || method.is_server_streaming();
                assert_eq!(lane(&path), if streams { Lane::Stream } else { Lane::Unary }, "{path}");
                paths.push(path);
            }
        }
        // Whatever is on a list is a call of the contract.
        for listed in STREAMS.iter().map(|(path, _)| path).chain(&LONG) {
            assert!(paths.iter().any(|path| path == listed), "{listed}");
        }
        assert!(LONG.iter().all(|path| lane(path) == Lane::Unary));
    }

    #[test]
    fn health_has_a_lane_of_its_own() {
        assert_eq!(lane("/grpc.health.v1.Health/Check"), Lane::Health);
        assert_eq!(lane("/grpc.health.v1.Health/Watch"), Lane::Health);
        assert_eq!(lane("/grpc.reflection.v1.ServerReflection/ServerReflectionInfo"), Lane::Stream);
    }
}
