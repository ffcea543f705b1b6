//! What is around every call: a request id, a place among the running calls, a deadline, a span, and an answer even when
//! a handler fails. Handlers know nothing of it but the id.
//!
//! One service instead of a stack of layers, because most calls take microseconds: it adds a few counters and one header
//! to them, and no lock.

mod answer;
mod arrival;
mod away;
mod coming;
mod deadline;
mod ending;
mod lanes;

use std::convert::Infallible;
use std::ops::ControlFlow;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::task::{Context, Poll};
use std::time::{Duration, Instant};

use baybook_proto::v1::calculator_service_server::{self, CalculatorServiceServer};
use baybook_proto::v1::spec_book_service_server::{self, SpecBookServiceServer};
use baybook_proto::v1::steward_service_server::{self, StewardServiceServer};
use baybook_proto::v1::upfits_service_server::{self, UpfitsServiceServer};
use bytes::Bytes;
use http::{HeaderMap, HeaderName, HeaderValue, Request, Response};
use tonic::body::Body;
use tonic::codegen::BoxFuture;
use tonic::service::Routes;
use tonic::transport::server::TcpConnectInfo;
use tonic_health::ServingStatus;
use tonic_health::server::HealthReporter;
use tower::Service as _;

use self::answer::Making;
pub(crate) use self::away::Away;
pub(crate) use self::coming::{Coming, OnTheWay};
use self::deadline::grpc_timeout;
use self::lanes::{Lane, is_long, lane, stays};
use crate::access::{Principal, Refusal};
use crate::api;
use crate::book::Moment;
use crate::callers::Caller;
use crate::error::ApiError;
use crate::held;
use crate::service::{Phase, State};
pub use answer::Answer;
pub(crate) use arrival::Arrival;

/// The header that carries the id of a call, both ways.
pub const REQUEST_ID: HeaderName = HeaderName::from_static("baybook-request-id");

/// The id of calls that somebody in this process makes. A caller on the wire cannot take it: it holds a space.
const HERE: HeaderValue = HeaderValue::from_static("in process");

/// How much earlier than the caller the service gives up, so that its own answer still arrives.
const HEAD_START: Duration = Duration::from_millis(10);

/// What one may ask for the health of; the empty name is the whole.
const SERVICES: [&str; 5] = [
    "",
    calculator_service_server::SERVICE_NAME,
    spec_book_service_server::SERVICE_NAME,
    steward_service_server::SERVICE_NAME,
    upfits_service_server::SERVICE_NAME,
];

/// What a handler knows of its call.
#[derive(Debug, Clone)]
pub struct Call {
    id: HeaderValue,
    /// When its caller stops waiting, as far as the caller said so.
    pub(crate) caller_deadline: Option<(Instant, Duration)>,
    /// Who makes it.
    pub(crate) principal: Principal,
    /// By which connection.
    pub(crate) caller: Arc<Caller>,
}

impl Call {
    /// Returns the id that finds the call in the log.
    #[must_use]
    pub fn id(&self) -> &str {
        self.id.to_str().unwrap_or_default()
    }

    /// Returns a call of somebody in this process, who waits as long as it takes.
    pub(crate) const fn here(caller: Arc<Caller>) -> Self {
        Self { id: HERE, caller_deadline: None, principal: Principal::Local, caller }
    }

    /// Returns whether somebody in this process makes it, without a wire between.
    pub(crate) fn is_here(&self) -> bool {
        self.id == HERE
    }

    /// Returns the call that a request belongs to; one of somebody in this process when it did not come through the gate.
    pub(crate) fn of<T>(request: &tonic::Request<T>, state: &State) -> Self {
        let none = || Self::here(state.doors.somebody());
        request.extensions().get::<Self>().cloned().unwrap_or_else(none)
    }
}

/// Everything that answers a call. Cloning copies a pointer.
#[derive(Clone)]
pub struct Gate {
    rooms: Arc<Rooms>,
}

struct Rooms {
    state: Arc<State>,
    spec_book: SpecBookServiceServer<api::SpecBook>,
    calculator: CalculatorServiceServer<api::Calculator>,
    upfits: UpfitsServiceServer<api::Upfits>,
    steward: StewardServiceServer<api::Steward>,
    /// Health and reflection, and the answer to what does not exist.
    standard: Routes,
    health: HealthReporter,
    /// Counts calls; with the time of the start it makes their ids.
    counter: AtomicU64,
    epoch: u32,
}

impl Gate {
    pub(crate) fn new(state: Arc<State>) -> Result<Self, tonic_reflection::server::Error> {
        let (receive, send) = (state.limits.receive_bytes, state.limits.send_bytes);
        macro_rules! server {
            ($server:ident, $handler:ident) => {
                $server::new(api::$handler::new(Arc::clone(&state)))
                    .max_decoding_message_size(receive)
                    .max_encoding_message_size(send)
            };
        }
        let health = HealthReporter::new();
        let reporter = tonic_health::server::HealthService::from_health_reporter(health.clone());
        let health_server = tonic_health::pb::health_server::HealthServer::new(reporter)
            .max_decoding_message_size(receive)
            .max_encoding_message_size(send);
        let reflection = tonic_reflection::server::Builder::configure()
            .register_encoded_file_descriptor_set(baybook_proto::DESCRIPTOR_SET)
            .register_encoded_file_descriptor_set(tonic_health::pb::FILE_DESCRIPTOR_SET)
            .build_v1()?
            .max_decoding_message_size(receive)
            .max_encoding_message_size(send);
        let epoch = u32::try_from(state.started.micros() / 1_000_000 % (1 << 32)).unwrap_or(0);
        let rooms = Rooms {
            spec_book: server!(SpecBookServiceServer, SpecBook),
            calculator: server!(CalculatorServiceServer, Calculator),
            upfits: server!(UpfitsServiceServer, Upfits),
            steward: server!(StewardServiceServer, Steward),
            standard: Routes::new(health_server).add_service(reflection).prepare(),
            health,
            counter: AtomicU64::new(0),
            epoch,
            state,
        };
        Ok(Self { rooms: Arc::new(rooms) })
    }

    /// Tells whoever asks for health how every service is, and the whole.
    pub(crate) async fn tell_health(&self, status: ServingStatus) {
        for service in SERVICES {
            self.rooms.health.set_service_status(service, status).await;
        }
    }

    /// Ends the streams of those who watch the health: they have been told, and would hold the end of the service up.
    pub(crate) async fn end_watches(&self) {
        let mut health = self.rooms.health.clone();
        for service in SERVICES {
            health.clear_service_status(service).await;
        }
    }
}

impl Rooms {
    fn call(&self, request: Request<Body>) -> BoxFuture<Response<Body>, Infallible> {
        let service = request.uri().path().strip_prefix("/baybook.v1.").and_then(|path| path.split_once('/'));
        match service.map(|(service, _)| service) {
            Some("SpecBookService") => self.spec_book.clone().call(request),
            Some("CalculatorService") => self.calculator.clone().call(request),
            Some("UpfitsService") => self.upfits.clone().call(request),
            Some("StewardService") => self.steward.clone().call(request),
            _ => Box::pin(self.standard.clone().call(request)),
        }
    }

    /// Takes the caller's id if it is fit to be logged and sent back, or makes one.
    fn id(&self, headers: &HeaderMap) -> HeaderValue {
        if let Some(id) = headers.get(REQUEST_ID)
            && id.len() <= self.state.limits.request_id_chars
            && !id.is_empty()
            && id.as_bytes().iter().all(u8::is_ascii_graphic)
        {
            return id.clone();
        }
        let mut text = [b'-'; 17];
        hex(self.epoch, &mut text[..8]);
        hex(self.counter.fetch_add(1, Ordering::Relaxed) as u32, &mut text[9..]);
        HeaderValue::from_maybe_shared(Bytes::copy_from_slice(&text))
            .unwrap_or_else(|_| HeaderValue::from_static("none"))
    }
}

fn hex(mut number: u32, text: &mut [u8]) {
    for digit in text.iter_mut().rev() {
        *digit = b"0123456789abcdef"[(number & 15) as usize];
        number >>= 4;
    }
}

impl tower::Service<Request<Body>> for Gate {
    type Response = Response<Body>;
    type Error = Infallible;
    type Future = Answer;

    fn poll_ready(&mut self, _: &mut Context<'_>) -> Poll<Result<(), Infallible>> {
        Poll::Ready(Ok(()))
    }

    fn call(&mut self, mut request: Request<Body>) -> Answer {
        let caller = request.extensions_mut().remove::<Arc<Caller>>();
        let caller = caller.unwrap_or_else(|| self.rooms.state.doors.somebody());
        match self.admit(&request, &caller) {
            ControlFlow::Continue(coming) => self.answer(request, caller, coming),
            ControlFlow::Break(away) => Answer::Made(Some(away)),
        }
    }
}

/// Whether so many are running that a caller with so many open is turned away. Who has only a few is let in however long others
/// wait for their turn: a flood crowds out itself.
fn crowded(state: &State, running: usize, own: usize) -> bool {
    let limits = &state.limits;
    limits.calls <= running || (limits.calls_floor <= own && state.pressure.allowed() <= running)
}

impl Gate {
    /// Looks at the headers of a call, and gives it a place on its way, or turns it away at as little cost as can be: nothing
    /// of its request is read.
    pub(crate) fn admit<B>(
        &self,
        request: &Request<B>,
        caller: &Arc<Caller>,
    ) -> ControlFlow<Response<Body>, Option<Coming>> {
        let state = &self.rooms.state;
        let path = request.uri().path();
        let lane = lane(path);
        if lane == Lane::Health || *state.phase.borrow() > Phase::Serving {
            return ControlFlow::Continue(None);
        }
        let shed = &state.measures.shed;
        let running = state.calls.load(Ordering::Relaxed) + state.on_the_way.all();
        let is_long = is_long(path);
        let (counter, known) = if !caller.calls.fits(1) {
            (&shed.calls, false)
        } else if stays(path, caller).is_some_and(|places| !places.fits(1)) {
            (&shed.streams, true)
        } else if lane == Lane::Stream {
            return ControlFlow::Continue(None);
        } else if crowded(state, running, caller.calls.taken())
            || (is_long && state.desks.overrun(state.on_the_way.long()))
        {
            (&shed.waiting, is_long)
        } else {
            return ControlFlow::Continue(Some(Coming::new(state, is_long)));
        };
        counter.fetch_add(1, Ordering::Relaxed);
        ControlFlow::Break(self.rooms.turn_away(request, (caller, known), running))
    }

    /// Answers a call that has been admitted.
    pub(crate) fn answer(&self, mut request: Request<Body>, caller: Arc<Caller>, coming: Option<Coming>) -> Answer {
        let rooms = Arc::clone(&self.rooms);
        let started = Instant::now();
        let lane = lane(request.uri().path());
        let asked = grpc_timeout(request.headers());
        let caller_deadline = asked.and_then(|asked| {
            let ours = asked.saturating_sub(HEAD_START.min(asked / 4));
            Some((started.checked_add(ours)?, asked))
        });
        let id = rooms.id(request.headers());
        let arrival = Arrival::new(Arc::clone(&rooms.state), Arc::clone(&caller), id.clone(), lane);
        let mut call = Call { id, caller_deadline, principal: Principal::Local, caller };
        let mut answer = Box::new(Making {
            inner: None,
            sleep: None,
            uri: request.uri().clone(),
            span: tracing::debug_span!("call", id = call.id(), path = request.uri().path()),
            arrival: Arc::clone(&arrival),
            routed: false,
            taken_up: false,
            coming,
            noted: false,
            lane,
            limit: match lane {
                Lane::Unary => {
                    Some(asked.unwrap_or(rooms.state.limits.deadline_default).min(rooms.state.limits.deadline_max))
                }
                Lane::Stream | Lane::Health => None,
            },
            started,
            refused: None,
            call: call.clone(),
            rooms,
        });
        if lane != Lane::Health {
            let state = &answer.rooms.state;
            if *state.phase.borrow() > Phase::Serving {
                answer.refused = Some(ApiError::Stopping { drain: state.limits.drain });
                return Answer::Making(answer);
            }
            let peer = request.extensions().get::<TcpConnectInfo>().and_then(TcpConnectInfo::remote_addr);
            let peer = peer.map(|peer| peer.ip());
            match state.access.admit(request.uri().path(), request.headers(), peer, Moment::now()) {
                Ok(principal) => call.principal = principal,
                Err(Refusal { error, wait }) if wait.is_zero() => {
                    answer.refused = Some(error);
                    return Answer::Making(answer);
                }
                Err(Refusal { error, wait }) => {
                    let status = error.status(call.id());
                    answer.inner = Some(Box::pin(async move {
                        tokio::time::sleep(wait).await;
                        Ok(status.into_http())
                    }));
                    return Answer::Making(answer);
                }
            }
        }
        answer.call.principal = call.principal.clone();
        let (caller, limits) = (Arc::clone(&call.caller), &answer.rooms.state.limits);
        let bounds = held::Bounds { longest: limits.receive_bytes, unpacked: limits.unpacked_bytes };
        request.extensions_mut().insert(call);
        let incoming = |body| held::Incoming::new(body, answer.uri.path(), caller, bounds, arrival);
        let request = request.map(|body| Body::new(incoming(body)));
        answer.inner = Some(answer.rooms.call(request));
        answer.routed = true;
        Answer::Making(answer)
    }
}

/// Returns what a panic said, for the log.
pub(crate) fn panic_text(panic: &(dyn std::any::Any + Send)) -> String {
    let text = panic.downcast_ref::<&str>().map(|text| (*text).to_owned());
    let text = text.or_else(|| panic.downcast_ref::<String>().cloned());
    format!("a handler panicked: {}", text.unwrap_or_else(|| "without words".to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_caller_s_patience_is_read_as_the_protocol_writes_it() {
        let read = |text: &'static str| {
            let mut headers = HeaderMap::new();
            headers.insert("grpc-timeout", HeaderValue::from_static(text));
            grpc_timeout(&headers)
        };
        assert_eq!(read("250m"), Some(Duration::from_millis(250)));
        assert_eq!(read("2H"), Some(Duration::from_secs(7_200)));
        assert_eq!(read("99999999n"), Some(Duration::from_nanos(99_999_999)));
        for bad in ["", "m", "1", "-1m", "123456789m", "1.5S", "1s"] {
            assert_eq!(read(bad), None, "{bad}");
        }
        assert_eq!(grpc_timeout(&HeaderMap::new()), None);
    }

    #[test]
    fn numbers_are_written_in_hexadecimal() {
        let mut text = [0; 8];
        hex(0x00ab_12ef, &mut text);
        assert_eq!(&text, b"00ab12ef");
    }
}
