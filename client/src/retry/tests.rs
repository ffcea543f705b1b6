use std::{
    collections::{BTreeSet, VecDeque},
    sync::{
        Mutex,
        atomic::{AtomicUsize, Ordering},
    },
};

use baybook_proto::v1 as pb;
use pb::{
    steward_service_client::StewardServiceClient,
    steward_service_server::{StewardService, StewardServiceServer},
};
use prost_reflect::DescriptorPool;
use tonic::{Request, Response, transport::Server};
use tonic_types::ErrorDetails;

use super::*;

/// A service that answers what it was told to, in turn, and then well.
#[derive(Default)]
struct Script {
    answers: Mutex<VecDeque<Status>>,
    calls: AtomicUsize,
}

#[derive(Clone)]
struct Scripted(Arc<Script>);

impl Scripted {
    fn next(&self) -> Result<(), Status> {
        self.0.calls.fetch_add(1, Ordering::Relaxed);
        self.0.answers.lock().unwrap().pop_front().map_or(Ok(()), Err)
    }
}

macro_rules! scripted {
    ($($name:ident: $asked:ident => $told:ident),* $(,)?) => {
        #[tonic::async_trait]
        impl StewardService for Scripted {
            $(async fn $name(&self, _: Request<pb::$asked>) -> Result<Response<pb::$told>, Status> {
                self.next().map(|()| Response::new(pb::$told::default()))
            })*
        }
    };
}

scripted! {
    server_info: ServerInfoRequest => ServerInfoResponse,
    issue_token: IssueTokenRequest => IssueTokenResponse,
    list_tokens: ListTokensRequest => ListTokensResponse,
    revoke_token: RevokeTokenRequest => RevokeTokenResponse,
    list_audit: ListAuditRequest => ListAuditResponse,
    backup: BackupRequest => BackupResponse,
    verify_book: VerifyBookRequest => VerifyBookResponse,
}

struct Fake {
    script: Arc<Script>,
    steward: StewardServiceClient<Retrying>,
}

impl Fake {
    async fn start(deadline: Duration) -> Self {
        let script = Arc::new(Script::default());
        let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
        let address = format!("http://{}", listener.local_addr().unwrap());
        let incoming = tonic::transport::server::TcpIncoming::from(listener);
        let service = StewardServiceServer::new(Scripted(Arc::clone(&script)));
        tokio::spawn(Server::builder().add_service(service).serve_with_incoming(incoming));
        let channel = Channel::from_shared(address).unwrap().connect().await.unwrap();
        Self { script, steward: StewardServiceClient::new(Retrying::elsewhere(channel, deadline)) }
    }

    fn answers(&self, status: &Status, times: usize) {
        *self.script.answers.lock().unwrap() = vec![status.clone(); times].into();
        self.script.calls.store(0, Ordering::Relaxed);
    }

    async fn info(&mut self) -> Result<Response<pb::ServerInfoResponse>, Status> {
        self.steward.server_info(pb::ServerInfoRequest {}).await
    }

    async fn issue(&mut self, request_id: bool) -> Result<Response<pb::IssueTokenResponse>, Status> {
        let mut request = Request::new(pb::IssueTokenRequest::default());
        if request_id {
            request.extensions_mut().insert(HasRequestId);
        }
        self.steward.issue_token(request).await
    }

    fn calls(&self) -> usize {
        self.script.calls.load(Ordering::Relaxed)
    }
}

fn reason(code: Code, reason: &str, retry: Option<Duration>) -> Status {
    let mut details = ErrorDetails::with_error_info(reason, "baybook.v1", std::collections::HashMap::new());
    if retry.is_some() {
        details.set_retry_info(retry);
    }
    Status::with_error_details(code, "no", details)
}

fn lost() -> Status {
    Status::unavailable("the connection broke")
}

#[tokio::test]
async fn what_reads_is_asked_again_and_what_changes_only_with_a_request_id() {
    let mut fake = Fake::start(Duration::from_secs(20)).await;
    fake.answers(&lost(), 2);
    fake.info().await.unwrap();
    assert_eq!(fake.calls(), 3);
    fake.answers(&lost(), 2);
    assert_eq!(fake.issue(false).await.unwrap_err().code(), Code::Unavailable);
    assert_eq!(fake.calls(), 1, "it may have had its effect");
    fake.answers(&lost(), 2);
    fake.issue(true).await.unwrap();
    assert_eq!(fake.calls(), 3);
}

#[tokio::test]
async fn whoever_was_turned_away_waits_as_told_and_comes_back() {
    let mut fake = Fake::start(Duration::from_secs(20)).await;
    fake.answers(&reason(Code::ResourceExhausted, "OVERLOADED", Some(Duration::from_millis(150))), 2);
    let begun = Instant::now();
    fake.issue(false).await.unwrap();
    assert_eq!(fake.calls(), 3, "it was refused before it had any effect");
    assert!(Duration::from_millis(300) <= begun.elapsed(), "{:?}", begun.elapsed());
    fake.answers(&reason(Code::Unavailable, "STOPPING", None), 1);
    fake.issue(false).await.unwrap();
    assert_eq!(fake.calls(), 2);
}

#[tokio::test]
async fn what_is_answered_is_not_asked_again() {
    let mut fake = Fake::start(Duration::from_secs(20)).await;
    let full = reason(Code::ResourceExhausted, "DISK_FULL", None);
    for status in
        [full, Status::internal("x"), Status::aborted("x"), Status::deadline_exceeded("x"), Status::unknown("x")]
    {
        fake.answers(&status, 1);
        assert_eq!(fake.info().await.unwrap_err().code(), status.code());
        assert_eq!(fake.calls(), 1);
    }
}

#[tokio::test]
async fn attempts_a_deadline_and_a_budget_bound_it() {
    let mut fake = Fake::start(Duration::from_secs(20)).await;
    fake.answers(&lost(), 100);
    fake.info().await.unwrap_err();
    assert_eq!(fake.calls(), ATTEMPTS as usize);
    // Three of ten went with that; two calls take six more, and one is left.
    for asked in [4, 4, 2, 1, 1] {
        fake.answers(&lost(), 100);
        fake.info().await.unwrap_err();
        assert_eq!(fake.calls(), asked);
    }
    let mut fake = Fake::start(Duration::from_millis(200)).await;
    fake.answers(&reason(Code::ResourceExhausted, "OVERLOADED", Some(Duration::from_secs(5))), 100);
    let begun = Instant::now();
    assert_eq!(fake.info().await.unwrap_err().code(), Code::ResourceExhausted);
    assert_eq!(fake.calls(), 1);
    assert!(begun.elapsed() < Duration::from_secs(5), "nobody waits beyond the deadline");
}

#[test]
fn waits_are_spread_and_bounded() {
    for attempt in 1..40 {
        let bound = FIRST.saturating_mul(1 << (attempt - 1).min(16)).min(LONGEST);
        let waits: BTreeSet<_> = (0..50).map(|_| pause(attempt)).collect();
        assert!(40 < waits.len() && waits.iter().all(|wait| *wait <= bound), "{attempt}: {waits:?}");
    }
}

#[test]
fn every_call_of_the_contract_is_judged() {
    let pool = DescriptorPool::decode(baybook_proto::DESCRIPTOR_SET).unwrap();
    let changes =
        ["Put", "BatchPut", "Remove", "Import", "Issue", "Revoke", "Open", "Record", "AddFollow", "Release", "Backup"];
    for service in pool.services().filter(|service| service.full_name().starts_with("baybook.v1.")) {
        for method in service.methods() {
            let path = format!("/{}/{}", service.full_name(), method.name());
            let streams = method.is_client_streaming() || method.is_server_streaming();
            let changes = changes.iter().any(|verb| method.name().starts_with(verb));
            let expected = if streams {
                Kind::Stream
            } else if changes {
                Kind::Change
            } else {
                Kind::Read
            };
            assert_eq!(kind(&path), expected, "{path}");
        }
    }
}
