//! Asking again, where that is safe.
//!
//! * A call that was refused before anybody looked at it (too many calls, a service that stops) had no effect: any call
//!   that is answered once is asked again.
//! * A call that was lost on the way may have had its effect: only what reads, and a change with a request id, is asked
//!   again, for there the service itself sees to it that there is one effect.
//! * Streams are not asked again.
//!
//! Waits grow and are spread at random, so that callers who were turned away together do not come back together. A budget
//! bounds how much of all calling is asking again, and no call takes longer than its deadline.

use std::{
    future::Future,
    pin::Pin,
    sync::Arc,
    task::{Context, Poll},
    time::{Duration, Instant},
};

use baybook_proto::v1::ErrorReason;
use http_body_util::{BodyExt as _, Full};
use tonic::{
    Code, Status,
    body::Body,
    codegen::{Bytes, http},
    transport::{Channel, Error},
};
use tonic_types::StatusExt as _;
use tower::Service;

/// How often one call is asked at most.
const ATTEMPTS: u32 = 4;
/// The longest wait before the second attempt; it doubles with each further one.
const FIRST: Duration = Duration::from_millis(100);
/// The longest wait before any attempt, what the service asks for aside.
const LONGEST: Duration = Duration::from_secs(2);
/// How many second attempts may be made at once, and what a call that went well adds.
const BUDGET: (f64, f64) = (10.0, 0.1);

/// Stands in the extensions of a change that has a request id.
#[derive(Debug, Clone, Copy)]
pub struct HasRequestId;

/// Calls that read, by service; every call of the services that are not listed reads.
const READS: [(&str, &[&str]); 2] = [
    ("SpecBookService", &["GetEntry", "BatchGetEntries", "ListEntries", "FindEntries", "EntryHistory"]),
    ("StewardService", &["ServerInfo", "ListTokens", "ListAudit", "VerifyBook"]),
];

/// Services of which every call reads.
const READERS: [&str; 2] = ["CalculatorService", "UpfitsService"];

/// Calls that are streams in one direction or both.
const STREAMS: [&str; 4] = ["CheckUpfits", "ImportEntries", "ExportEntries", "WatchBook"];

/// What may be done about a call that failed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// It reads.
    Read,
    /// It changes something.
    Change,
    /// It is not asked again.
    Stream,
}

fn kind(path: &str) -> Kind {
    let Some((service, method)) = path.trim_start_matches("/baybook.v1.").split_once('/') else { return Kind::Stream };
    if STREAMS.contains(&method) {
        return Kind::Stream;
    }
    let reads =
        READERS.contains(&service) || READS.iter().any(|(of, methods)| *of == service && methods.contains(&method));
    if reads { Kind::Read } else { Kind::Change }
}

/// What a failed attempt means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Fate {
    /// It was refused before it had any effect; the service may have said when to come back.
    Refused(Duration),
    /// It was lost on the way.
    Lost,
    /// It is answered.
    Answered,
}

fn fate(status: &Status) -> Fate {
    let details = status.get_error_details();
    let is = |reason: ErrorReason| {
        let name = reason.as_str_name().trim_start_matches("ERROR_REASON_");
        details.error_info().is_some_and(|info| info.reason == name)
    };
    if is(ErrorReason::Overloaded) {
        let delay = details.retry_info().and_then(|info| info.retry_delay).unwrap_or_default();
        Fate::Refused(delay)
    } else if is(ErrorReason::Stopping) {
        // Whoever stops takes no more calls: the next attempt finds the service that comes after it, or none.
        Fate::Refused(Duration::ZERO)
    } else if status.code() == Code::Unavailable {
        Fate::Lost
    } else {
        Fate::Answered
    }
}

/// A channel that asks again.
#[derive(Clone)]
pub struct Retrying {
    channel: Channel,
    rules: Option<Rules>,
}

#[derive(Clone)]
struct Rules {
    deadline: Duration,
    budget: Arc<std::sync::Mutex<f64>>,
}

impl Rules {
    fn take(&self) -> bool {
        let mut left = self.budget.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        let enough = 1.0 <= *left;
        if enough {
            *left -= 1.0;
        }
        enough
    }

    fn give(&self) {
        let mut left = self.budget.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        *left = (*left + BUDGET.1).min(BUDGET.0);
    }
}

impl Retrying {
    /// Asks a service elsewhere again where that is safe.
    pub fn elsewhere(channel: Channel, deadline: Duration) -> Self {
        Self { channel, rules: Some(Rules { deadline, budget: Arc::new(std::sync::Mutex::new(BUDGET.0)) }) }
    }

    /// Asks a service in this process once: what it does not answer now it will not answer later.
    pub const fn here(channel: Channel) -> Self {
        Self { channel, rules: None }
    }
}

type Answer = Pin<Box<dyn Future<Output = Result<http::Response<Body>, Error>> + Send>>;

impl Service<http::Request<Body>> for Retrying {
    type Response = http::Response<Body>;
    type Error = Error;
    type Future = Answer;

    fn poll_ready(&mut self, cx: &mut Context<'_>) -> Poll<Result<(), Error>> {
        self.channel.poll_ready(cx)
    }

    fn call(&mut self, request: http::Request<Body>) -> Answer {
        // The one that is ready is the one that is called.
        let spare = self.channel.clone();
        let mut channel = std::mem::replace(&mut self.channel, spare);
        let kind = kind(request.uri().path());
        match self.rules.clone().filter(|_| kind != Kind::Stream) {
            None => Box::pin(channel.call(request)),
            Some(rules) => Box::pin(ask(channel, request, kind, rules)),
        }
    }
}

async fn ask(
    mut channel: Channel,
    request: http::Request<Body>,
    kind: Kind,
    rules: Rules,
) -> Result<http::Response<Body>, Error> {
    let begun = Instant::now();
    let (head, body) = request.into_parts();
    let again = kind == Kind::Read || head.extensions.get::<HasRequestId>().is_some();
    // A call that is answered once has one message, and it is in memory already.
    let message = match body.collect().await {
        Ok(message) => message.to_bytes(),
        Err(_) => Bytes::new(),
    };
    let mut attempt = 0;
    loop {
        attempt += 1;
        let mut request = http::Request::new(Body::new(Full::new(message.clone())));
        *request.method_mut() = head.method.clone();
        *request.uri_mut() = head.uri.clone();
        *request.version_mut() = head.version;
        *request.headers_mut() = head.headers.clone();
        *request.extensions_mut() = head.extensions.clone();
        if 1 < attempt {
            let left = rules.deadline.saturating_sub(begun.elapsed()).as_millis().max(1);
            if let Ok(left) = http::HeaderValue::try_from(format!("{left}m")) {
                request.headers_mut().insert("grpc-timeout", left);
            }
        }
        let result = channel.call(request).await;
        let fate = match &result {
            Ok(reply) => Status::from_header_map(reply.headers()).map_or(Fate::Answered, |status| fate(&status)),
            Err(_) => Fate::Lost,
        };
        let wait = match fate {
            Fate::Refused(wait) => wait + pause(attempt),
            Fate::Lost if again => pause(attempt),
            Fate::Lost | Fate::Answered => {
                rules.give();
                return result;
            }
        };
        if ATTEMPTS <= attempt || rules.deadline < begun.elapsed() + wait || !rules.take() {
            return result;
        }
        tokio::time::sleep(wait).await;
        // A channel that has lost its connection opens another.
        std::future::poll_fn(|cx| channel.poll_ready(cx)).await?;
    }
}

/// How long to wait before the attempt after this one: anything up to a bound that doubles.
fn pause(attempt: u32) -> Duration {
    let most = FIRST.saturating_mul(1 << attempt.saturating_sub(1).min(16)).min(LONGEST);
    most.mul_f64(fastrand::f64())
}

#[cfg(test)]
mod tests;
