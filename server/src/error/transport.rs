//! What the transport refuses by itself, as an error of ours.

use std::time::Duration;

use tonic::{Code, Status};

use super::ApiError;

impl ApiError {
    /// Reads what the transport refused before a handler saw it, or while it read a stream.
    #[cold]
    #[must_use]
    pub fn from_transport(status: &Status, method: &str) -> Self {
        let text = status.message();
        let numbers = || text.split(|c: char| !c.is_ascii_digit()).filter_map(|it| it.parse::<u64>().ok());
        match status.code() {
            Code::OutOfRange if text.contains("length too large") => {
                let limit = if text.contains("encoded message") && !text.contains("decoded") {
                    "send_bytes"
                } else {
                    "receive_bytes"
                };
                let is = numbers().next().unwrap_or(0);
                Self::OverLimit { limit, max: numbers().nth(1).unwrap_or(0), is, unit: "bytes in one message" }
            }
            Code::Unimplemented if text.is_empty() => Self::NoSuchMethod { method: method.to_owned() },
            Code::Internal if text.contains("decode") || text.contains("Missing request message") => {
                let what = format!("is not a readable request of {method}: {text}; compare it with the .proto files");
                Self::field("request", what)
            }
            Code::Unimplemented => Self::field("grpc-encoding", format!("{text}; send it without compression")),
            Code::Cancelled | Code::DeadlineExceeded => {
                Self::Deadline { limit: Duration::ZERO, doing: "the caller waited" }
            }
            _ => Self::Fault { why: format!("{:?}: {text}", status.code()) },
        }
    }
}
