//! Whoever tries tokens waits, each address for itself.

use std::net::SocketAddr;
use std::time::{Duration, Instant};

use baybook_proto::v1 as pb;
use baybook_proto::v1::steward_service_client::StewardServiceClient;
use baybook_server::access::AccessMode;
use baybook_server::{Config, EngineKind, Service, bind};
use hyper_util::rt::TokioIo;
use tokio::net::TcpSocket;
use tonic::transport::{Channel, Endpoint, Uri};
use tonic::{Code, Request};

/// Connects from an address of this machine's own network.
async fn from(ours: &str, to: SocketAddr) -> StewardServiceClient<Channel> {
    let ours = SocketAddr::new(ours.parse().unwrap(), 0);
    let connector = tower::service_fn(move |_: Uri| async move {
        let socket = TcpSocket::new_v4()?;
        socket.bind(ours)?;
        socket.connect(to).await.map(TokioIo::new)
    });
    let channel = Endpoint::from_static("http://here").connect_with_connector(connector).await.unwrap();
    StewardServiceClient::new(channel)
}

fn with(token: &str) -> Request<pb::ServerInfoRequest> {
    let mut request = Request::new(pb::ServerInfoRequest {});
    request.metadata_mut().insert("authorization", format!("Bearer {token}").parse().unwrap());
    request
}

#[tokio::test]
async fn each_wrong_token_costs_its_own_address_twice_the_time_and_nobody_else() {
    let directory = tempfile::tempdir().unwrap();
    let mut config = Config {
        engine: EngineKind::Sled,
        data_dir: directory.path().join("book"),
        listen: "127.0.0.1:0".parse().unwrap(),
        ..Config::in_memory().unwrap()
    };
    let rig = crate::rig::Rig::with(config.clone()).await;
    let issue = pb::IssueTokenRequest {
        role: pb::Role::Admin.into(),
        holder: "Ines Varga".to_owned(),
        life_s: Some(3_600.0),
        ..Default::default()
    };
    let good = rig.steward().issue_token(issue).await.unwrap().into_inner().text;
    rig.embedded.close().await.unwrap();
    config.access = AccessMode::Tokens;
    let listener = bind(&config).await.unwrap();
    let address = listener.local_addr().unwrap();
    let service = Service::open(config.clone()).await.unwrap();
    let incoming = service.incoming(listener, &config).unwrap();
    let serving = tokio::spawn(async move { service.serve_with_incoming(incoming, std::future::pending()).await });

    let mut wrong = good.clone();
    wrong.replace_range(wrong.len() - 1.., if good.ends_with('0') { "1" } else { "0" });
    let took = async |client: &mut StewardServiceClient<Channel>, token: &str| {
        let begun = Instant::now();
        let code = client.server_info(with(token)).await.err().map(|status| status.code());
        (code, begun.elapsed())
    };
    let (mut guesser, mut other) = (from("127.0.0.2", address).await, from("127.0.0.3", address).await);
    for least in [100, 200, 400] {
        let (code, waited) = took(&mut guesser, &wrong).await;
        assert_eq!(code, Some(Code::Unauthenticated));
        assert!(Duration::from_millis(least) <= waited, "{waited:?}, at least {least} ms");
    }
    // Another connection does not help; another address begins anew.
    let mut again = from("127.0.0.2", address).await;
    let (_, waited) = took(&mut again, &wrong).await;
    assert!(Duration::from_millis(800) <= waited, "{waited:?}");
    let (code, waited) = took(&mut other, &wrong).await;
    assert_eq!(code, Some(Code::Unauthenticated));
    assert!(waited < Duration::from_millis(800), "{waited:?}: an address pays for another");
    // The guesser's neighbour behind the same address, who knows a token, does not wait.
    let (code, waited) = took(&mut guesser, &good).await;
    assert_eq!(code, None);
    assert!(waited < Duration::from_millis(800), "{waited:?}");
    serving.abort();
}
