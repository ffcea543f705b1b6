//! Who may do what: every cell of the table through the service itself, tokens from their first to their last second,
//! TLS with changed certificates, and what is written of all that.

use std::fs;
use std::path::Path;
use std::time::Duration;

use baybook_proto::v1 as pb;
use baybook_proto::v1::spec_book_service_client::SpecBookServiceClient;
use baybook_proto::v1::steward_service_client::StewardServiceClient;
use baybook_server::access::{AccessMode, Role, table};
use baybook_server::{Config, EngineKind, Limits, bind, incoming, serve};
use bytes::{Buf as _, Bytes};
use prost_reflect::DescriptorPool;
use rcgen::{BasicConstraints, CertificateParams, CertifiedIssuer, IsCa, KeyPair};
use tonic::codec::{Codec, DecodeBuf, Decoder, EncodeBuf, Encoder};
use tonic::transport::{Certificate, Channel, ClientTlsConfig, Endpoint, Identity};
use tonic::{Code, Request, Status};

use super::rig::{Rig, vehicle, wrong};

fn guarded() -> Config {
    let limits = Limits { denials_every: Duration::from_millis(20), ..Limits::default() };
    Config { access: AccessMode::Tokens, limits, ..Config::in_memory().unwrap() }
}

/// Puts a token on a call.
fn with<T>(message: T, token: &str) -> Request<T> {
    let mut request = Request::new(message);
    request.metadata_mut().insert("authorization", format!("Bearer {token}").parse().unwrap());
    request
}

/// A book on disk whose first admin was made while nobody served it, and the admin's token.
async fn house(directory: &Path) -> String {
    let config = Config {
        engine: EngineKind::Sled,
        data_dir: directory.to_owned(),
        access: AccessMode::Open,
        ..Config::in_memory().unwrap()
    };
    let rig = Rig::with(config).await;
    let token = issue(&rig, pb::Role::Admin, "Ines Varga", "", None).await;
    rig.embedded.close().await.unwrap();
    token
}

async fn issue(rig: &Rig, role: pb::Role, holder: &str, bay: &str, by: Option<&str>) -> String {
    let request = pb::IssueTokenRequest {
        role: role.into(),
        holder: holder.to_owned(),
        bay: bay.to_owned(),
        life_s: Some(3_600.0),
    };
    let request = match by {
        Some(by) => with(request, by),
        None => Request::new(request),
    };
    rig.steward().issue_token(request).await.unwrap().into_inner().text
}

/// Reopens a house with tokens required.
async fn opened(directory: &Path) -> Rig {
    Rig::with(Config {
        engine: EngineKind::Sled,
        data_dir: directory.to_owned(),
        backup_dir: directory.join("backups"),
        ..guarded()
    })
    .await
}

/// Sends and reads bytes as they are.
#[derive(Clone, Default)]
struct Raw;

impl Codec for Raw {
    type Encode = Bytes;
    type Decode = Bytes;
    type Encoder = Self;
    type Decoder = Self;
    fn encoder(&mut self) -> Self {
        Self
    }
    fn decoder(&mut self) -> Self {
        Self
    }
}

impl Encoder for Raw {
    type Item = Bytes;
    type Error = Status;
    fn encode(&mut self, item: Bytes, into: &mut EncodeBuf<'_>) -> Result<(), Status> {
        bytes::BufMut::put(into, item);
        Ok(())
    }
}

impl Decoder for Raw {
    type Item = Bytes;
    type Error = Status;
    fn decode(&mut self, from: &mut DecodeBuf<'_>) -> Result<Option<Bytes>, Status> {
        Ok(Some(from.copy_to_bytes(from.remaining())))
    }
}

/// Calls any method with an empty message, and returns how it ended.
async fn call(channel: Channel, path: &str, token: Option<&str>) -> Code {
    let mut client = tonic::client::Grpc::new(channel);
    client.ready().await.unwrap();
    let stream = tokio_stream::once(Bytes::new());
    let request = match token {
        Some(token) => with(stream, token),
        None => Request::new(stream),
    };
    let answered = client.streaming(request, path.parse().unwrap(), Raw).await;
    match answered {
        Ok(reply) => match reply.into_inner().message().await {
            Ok(_) => Code::Ok,
            Err(status) => status.code(),
        },
        Err(status) => status.code(),
    }
}

/// Every method that the contract has.
fn methods() -> Vec<String> {
    let pool = DescriptorPool::decode(baybook_proto::DESCRIPTOR_SET).unwrap();
    let mut all = Vec::new();
    for service in pool.services().filter(|service| service.full_name().starts_with("baybook.v1.")) {
        all.extend(service.methods().map(|method| format!("/{}/{}", service.full_name(), method.name())));
    }
    all
}

#[tokio::test(flavor = "multi_thread")]
async fn every_cell_of_the_table_holds() {
    let directory = tempfile::tempdir().unwrap();
    let admin = house(directory.path()).await;
    let rig = opened(directory.path()).await;
    let roles = [
        (Role::Bay, pb::Role::Bay),
        (Role::Foreman, pb::Role::Foreman),
        (Role::Dispatch, pb::Role::Dispatch),
        (Role::Auditor, pb::Role::Auditor),
        (Role::Admin, pb::Role::Admin),
    ];
    assert_eq!(roles.map(|(role, _)| role), Role::ALL);
    let mut cells = 0;
    for (role, wire) in roles {
        let token = issue(&rig, wire, "somebody", "", Some(&admin)).await;
        for method in methods() {
            let code = call(rig.embedded.channel(), &method, Some(&token)).await;
            let denied = code == Code::PermissionDenied;
            assert_ne!(code, Code::Unauthenticated, "{method}");
            assert_eq!(denied, !table::allows(role, &method), "{method} by {}: {code:?}", role.word());
            cells += 1;
        }
    }
    assert_eq!(cells, methods().len() * Role::ALL.len());
    for method in methods() {
        assert!(table::roles(&method).next().is_some(), "{method} has no row in calls.txt");
    }
}

#[tokio::test]
async fn nobody_gets_in_without_a_token_that_stands() {
    let directory = tempfile::tempdir().unwrap();
    let admin = house(directory.path()).await;
    let rig = opened(directory.path()).await;
    let get = || pb::GetEntryRequest { name: "vehicles/van-1".to_owned(), min_revision: 0 };
    let missing = wrong(rig.book().get_entry(get()).await);
    assert_eq!((missing.code, missing.reason.as_str()), (Code::Unauthenticated, "UNIDENTIFIED"));
    assert!(missing.message.contains("baybook token issue"), "{}", missing.message);
    let mut last = admin.clone();
    last.replace_range(last.len() - 1.., if last.ends_with('0') { "1" } else { "0" });
    for bad in ["", "x", &admin[1..], &last, &admin.to_uppercase()] {
        assert_eq!(wrong(rig.book().get_entry(with(get(), bad)).await).code, Code::Unauthenticated);
    }
    // The one who may hears that the entry is not there; the one who may not hears nothing of entries.
    assert_eq!(wrong(rig.book().get_entry(with(get(), &admin)).await).code, Code::NotFound);
    let bay = issue(&rig, pb::Role::Bay, "Mira Solano", "bay-2", Some(&admin)).await;
    let remove =
        pb::RemoveEntryRequest { name: "vehicles/van-1".to_owned(), etag: "*".to_owned(), ..Default::default() };
    let denied = wrong(rig.book().remove_entry(with(remove, &bay)).await);
    assert_eq!((denied.code, denied.reason.as_str()), (Code::PermissionDenied, "DENIED"));
    assert_eq!((denied.meta("role"), denied.meta("roles")), ("bay", "foreman, admin"));
    // Revoked, it no longer counts; the list still tells of it.
    let id = bay["baybook-".len()..][..8].to_owned();
    let revoke = || pb::RevokeTokenRequest { id: id.clone() };
    rig.steward().revoke_token(with(revoke(), &admin)).await.unwrap();
    rig.steward().revoke_token(with(revoke(), &admin)).await.unwrap();
    let revoked = wrong(rig.book().get_entry(with(get(), &bay)).await);
    assert_eq!((revoked.code, revoked.meta("why")), (Code::Unauthenticated, "the token was revoked"));
    let listed = rig.steward().list_tokens(with(pb::ListTokensRequest {}, &admin)).await.unwrap().into_inner().tokens;
    assert_eq!(listed.len(), 2);
    assert!(listed[1].revoke_time.is_some() && listed[1].bay == "bay-2" && listed[1].holder == "Mira Solano");
    let unknown = pb::RevokeTokenRequest { id: "00000000".to_owned() };
    assert_eq!(wrong(rig.steward().revoke_token(with(unknown, &admin)).await).fields(), ["id"]);
    // Health asks for nothing.
    let mut health = tonic_health::pb::health_client::HealthClient::new(rig.embedded.channel());
    health.check(tonic_health::pb::HealthCheckRequest::default()).await.unwrap();
}

#[tokio::test]
async fn a_token_needs_a_role_a_holder_and_a_bounded_life() {
    let rig = Rig::memory().await;
    let all = wrong(rig.steward().issue_token(pb::IssueTokenRequest::default()).await);
    assert_eq!(all.fields(), ["role", "holder", "life_s"]);
    for life_s in [0.0, 59.9, -1.0, 401.0 * 86_400.0, f64::INFINITY, f64::NAN] {
        let request =
            pb::IssueTokenRequest { role: 1, holder: "a".to_owned(), life_s: Some(life_s), ..Default::default() };
        let error = wrong(rig.steward().issue_token(request).await);
        assert!(error.message.contains("60 to 34560000 s"), "{}", error.message);
    }
}

#[tokio::test]
async fn who_and_where_stand_in_the_book_and_in_the_audit() {
    let directory = tempfile::tempdir().unwrap();
    let admin = house(directory.path()).await;
    let rig = opened(directory.path()).await;
    let foreman = issue(&rig, pb::Role::Foreman, "Teo Brandt", "bay-1", Some(&admin)).await;
    let dispatch = issue(&rig, pb::Role::Dispatch, "dispatch desk", "", Some(&admin)).await;
    let put =
        pb::PutEntryRequest { entry: Some(vehicle("van-1", "Van 1")), author: "Kim".to_owned(), ..Default::default() };
    let put = rig.book().put_entry(with(put, &foreman)).await.unwrap().into_inner().entry.unwrap();
    let id = &foreman["baybook-".len()..][..8];
    assert_eq!(put.author, format!("Kim by Teo Brandt (foreman, bay-1, token {id})"));
    let mut export =
        rig.book().export_entries(with(pb::ExportEntriesRequest::default(), &dispatch)).await.unwrap().into_inner();
    let mut names = Vec::new();
    while let Some(message) = export.message().await.unwrap() {
        names.extend(message.entries.into_iter().map(|entry| entry.name));
    }
    assert_eq!(names, ["vehicles/van-1"], "the service's own records are no entries");
    wrong(rig.book().export_entries(with(pb::ExportEntriesRequest::default(), &foreman)).await);
    tokio::time::sleep(Duration::from_millis(300)).await;
    let request = pb::ListAuditRequest { after_revision: 0, page_size: 100 };
    let audit = rig.steward().list_audit(with(request, &admin)).await.unwrap().into_inner();
    assert_eq!(audit.next_after_revision, audit.revision);
    let kinds: Vec<_> = audit.records.iter().map(pb::AuditRecord::kind).collect();
    use pb::AuditKind as K;
    assert_eq!(kinds, [K::Token, K::Token, K::Token, K::Change, K::Export, K::Denial]);
    assert_eq!(audit.records[3].put_names, ["vehicles/van-1"]);
    assert!(audit.records[4].author.starts_with("dispatch desk (dispatch, token "));
    let denial = &audit.records[5].denials[0];
    assert!(denial.who.starts_with("Teo Brandt (foreman") && denial.call.ends_with("ExportEntries"), "{denial:?}");
    // Nothing that is asked of entries shows the service's own records.
    let own = pb::GetEntryRequest { name: format!(".tokens/{id}"), min_revision: 0 };
    assert_eq!(wrong(rig.book().get_entry(with(own, &admin)).await).fields(), ["name"]);
    let list = rig.book().list_entries(with(pb::ListEntriesRequest::default(), &admin)).await.unwrap().into_inner();
    assert_eq!(list.entries.len(), 1);
    let find = pb::FindEntriesRequest { words: "token".to_owned(), ..Default::default() };
    assert_eq!(rig.book().find_entries(with(find, &admin)).await.unwrap().into_inner().found_count, 0);
    // No secret is anywhere on the disk, nor in what is told.
    rig.embedded.close().await.unwrap();
    for token in [&admin, &foreman, &dispatch] {
        let secret = &token["baybook-00000000-".len()..];
        assert!(!format!("{audit:?}").contains(secret));
        for file in files(directory.path()) {
            let bytes = fs::read(&file).unwrap();
            let found = bytes.windows(secret.len()).any(|window| window == secret.as_bytes());
            assert!(!found, "{}", file.display());
        }
    }
}

fn files(folder: &Path) -> Vec<std::path::PathBuf> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
        let path = entry.path();
        if path.is_dir() { all.extend(files(&path)) } else { all.push(path) }
    }
    all
}

/// Somebody who signs certificates.
fn signer() -> CertifiedIssuer<'static, KeyPair> {
    let mut params = CertificateParams::new(Vec::new()).unwrap();
    params.is_ca = IsCa::Ca(BasicConstraints::Unconstrained);
    CertifiedIssuer::self_signed(params, KeyPair::generate().unwrap()).unwrap()
}

fn certificate(signer: &CertifiedIssuer<'static, KeyPair>) -> (String, String) {
    let key = KeyPair::generate().unwrap();
    let params = CertificateParams::new(vec!["localhost".to_owned()]).unwrap();
    (params.signed_by(&key, signer).unwrap().pem(), key.serialize_pem())
}

#[tokio::test(flavor = "multi_thread")]
async fn tls_takes_up_new_certificates_and_asks_callers_for_theirs() {
    let (folder, directory) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let admin = house(directory.path()).await;
    let (first, second, others) = (signer(), signer(), signer());
    let lay = |(chain, key): (String, String)| {
        fs::write(folder.path().join("certificate.pem"), chain).unwrap();
        fs::write(folder.path().join("key.pem"), key).unwrap();
    };
    lay(certificate(&first));
    let limits = Limits { certificate_every: Duration::from_millis(20), ..Limits::default() };
    let config = Config {
        listen: "127.0.0.1:0".parse().unwrap(),
        engine: EngineKind::Sled,
        data_dir: directory.path().to_owned(),
        tls: folder.path().to_owned(),
        limits,
        ..guarded()
    };
    let listener = bind(&config).await.unwrap();
    let port = listener.local_addr().unwrap().port();
    let connections = incoming(listener, &config).unwrap();
    let (stop, stopped) = tokio::sync::oneshot::channel::<()>();
    let served = tokio::spawn(serve(config, connections, async { drop(stopped.await) }));
    let reach = |trust: String, identity: Option<(String, String)>| {
        let mut tls = ClientTlsConfig::new().ca_certificate(Certificate::from_pem(trust)).domain_name("localhost");
        if let Some((chain, key)) = identity {
            tls = tls.identity(Identity::from_pem(chain, key));
        }
        let endpoint = Endpoint::from_shared(format!("https://127.0.0.1:{port}")).unwrap().tls_config(tls).unwrap();
        let admin = admin.clone();
        async move {
            let channel = endpoint.connect().await.map_err(|error| error.to_string())?;
            let info = with(pb::ServerInfoRequest {}, &admin);
            StewardServiceClient::new(channel).server_info(info).await.map_err(|status| status.to_string())
        }
    };
    reach(first.pem(), None).await.unwrap();
    reach(second.pem(), None).await.unwrap_err();
    // Plain text is not spoken behind TLS.
    let plain = Endpoint::from_shared(format!("http://127.0.0.1:{port}")).unwrap().connect_lazy();
    SpecBookServiceClient::new(plain).list_entries(pb::ListEntriesRequest::default()).await.unwrap_err();
    // A broken file changes nothing; a good one is taken up.
    fs::write(folder.path().join("key.pem"), "nonsense").unwrap();
    tokio::time::sleep(Duration::from_millis(150)).await;
    reach(first.pem(), None).await.unwrap();
    lay(certificate(&second));
    tokio::time::sleep(Duration::from_millis(300)).await;
    reach(second.pem(), None).await.unwrap();
    reach(first.pem(), None).await.unwrap_err();
    // From now on callers show a certificate.
    fs::write(folder.path().join("clients.pem"), others.pem()).unwrap();
    tokio::time::sleep(Duration::from_millis(300)).await;
    reach(second.pem(), None).await.unwrap_err();
    reach(second.pem(), Some(certificate(&first))).await.unwrap_err();
    reach(second.pem(), Some(certificate(&others))).await.unwrap();
    stop.send(()).unwrap();
    served.await.unwrap().unwrap();
}

#[tokio::test]
async fn unusable_certificate_files_are_named() {
    let folder = tempfile::tempdir().unwrap();
    let config = Config { tls: folder.path().to_owned(), listen: "127.0.0.1:0".parse().unwrap(), ..guarded() };
    let listen = || async { bind(&config).await.unwrap() };
    let told = |listener| match incoming(listener, &config) {
        Ok(_) => panic!("it is taken"),
        Err(error) => error.to_string(),
    };
    assert!(told(listen().await).contains("certificate.pem: "));
    fs::write(folder.path().join("certificate.pem"), "").unwrap();
    fs::write(folder.path().join("key.pem"), "").unwrap();
    assert!(told(listen().await).contains("certificate.pem: holds no certificate"));
}
