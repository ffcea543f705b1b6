//! The admin port: what is measured, whether the service lives, whether it takes calls. Plain HTTP for this machine only;
//! it changes nothing and shows no entry.

use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

use bytes::Bytes;
use http::header::{ALLOW, CACHE_CONTROL, CONTENT_TYPE};
use http::{HeaderValue, Method, Request, Response, StatusCode};
use http_body_util::Full;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::net::TcpListener;
use tokio::sync::Semaphore;

use crate::book::Standing;
use crate::measure;
use crate::service::{Phase, State};

/// How long a caller may take to send its request, and to read the answer.
const PATIENCE: Duration = Duration::from_secs(5);

const TEXT: &str = "text/plain; charset=utf-8";

/// Answers until the service has ended.
pub(crate) async fn serve(state: Arc<State>, listener: TcpListener) {
    let places = Arc::new(Semaphore::new(state.limits.admin_connections));
    let mut phase = state.phase.subscribe();
    loop {
        let accepted = tokio::select! {
            accepted = listener.accept() => accepted,
            // A sender that is gone means the same as one that has spoken.
            _ = phase.wait_for(|phase| *phase == Phase::Ended) => return,
        };
        let stream = match accepted {
            Ok((stream, _)) => stream,
            Err(error) => {
                tracing::warn!(%error, "the admin port cannot take a connection");
                tokio::time::sleep(Duration::from_millis(50)).await;
                continue;
            }
        };
        // Over the limit it is closed without an answer: there is nobody of ours who opens so many.
        let Ok(place) = Arc::clone(&places).try_acquire_owned() else { continue };
        let state = Arc::clone(&state);
        tokio::spawn(async move {
            let service = service_fn(move |request| {
                let answer = answer(&state, &request);
                async move { Ok::<_, Infallible>(answer) }
            });
            let served = http1::Builder::new()
                .timer(TokioTimer::new())
                .header_read_timeout(PATIENCE)
                .keep_alive(false)
                .max_buf_size(16 << 10)
                .serve_connection(TokioIo::new(stream), service);
            match tokio::time::timeout(PATIENCE * 2, served).await {
                Ok(Ok(())) => {}
                Ok(Err(error)) => tracing::debug!(%error, "a caller of the admin port went wrong"),
                Err(_) => tracing::debug!("a caller of the admin port was too slow"),
            }
            drop(place);
        });
    }
}

fn answer(state: &Arc<State>, request: &Request<Incoming>) -> Response<Full<Bytes>> {
    if ![Method::GET, Method::HEAD].contains(request.method()) {
        let mut response = reply(StatusCode::METHOD_NOT_ALLOWED, TEXT, "only GET is answered here\n".to_owned());
        response.headers_mut().insert(ALLOW, HeaderValue::from_static("GET, HEAD"));
        return response;
    }
    match request.uri().path() {
        "/metrics" => match measure::write(state) {
            Ok(text) => reply(StatusCode::OK, measure::MEDIA_TYPE, text),
            Err(error) => reply(StatusCode::INTERNAL_SERVER_ERROR, TEXT, format!("{error}\n")),
        },
        "/live" => reply(StatusCode::OK, TEXT, "alive\n".to_owned()),
        "/ready" => {
            let (status, text) = ready(state);
            reply(status, TEXT, text)
        }
        _ => reply(StatusCode::NOT_FOUND, TEXT, "here are /metrics, /live and /ready\n".to_owned()),
    }
}

/// Takes calls or not. A book that takes no writes still answers reads, so that the service stays ready and says so.
fn ready(state: &State) -> (StatusCode, String) {
    if *state.phase.borrow() > Phase::Serving || !state.serving() {
        return (StatusCode::SERVICE_UNAVAILABLE, "not ready: takes no calls\n".to_owned());
    }
    let revision = state.catalog.revision().to_wire();
    match state.book().standing() {
        Standing::Writable => (StatusCode::OK, format!("ready at book revision {revision}\n")),
        Standing::ReadOnly { why } => {
            (StatusCode::OK, format!("ready for reads only at book revision {revision}: {why}\n"))
        }
        Standing::Closed => (StatusCode::SERVICE_UNAVAILABLE, "not ready: the book is closed\n".to_owned()),
    }
}

fn reply(status: StatusCode, media_type: &'static str, text: String) -> Response<Full<Bytes>> {
    let mut response = Response::new(Full::new(Bytes::from(text)));
    *response.status_mut() = status;
    response.headers_mut().insert(CONTENT_TYPE, HeaderValue::from_static(media_type));
    response.headers_mut().insert(CACHE_CONTROL, HeaderValue::from_static("no-store"));
    response
}
