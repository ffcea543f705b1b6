//! A service to call, the demonstration book, and errors taken apart.

use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use baybook_proto::v1 as pb;
use baybook_proto::v1::calculator_service_client::CalculatorServiceClient;
use baybook_proto::v1::spec_book_service_client::SpecBookServiceClient;
use baybook_proto::v1::steward_service_client::StewardServiceClient;
use baybook_proto::v1::upfits_service_client::UpfitsServiceClient;
use baybook_server::book::{Bounds, LocalBook};
use baybook_server::{Config, Embedded, EngineKind, Limits, Service};
use tonic::transport::Channel;
use tonic::{Code, Status};
use tonic_types::{ErrorDetails, StatusExt as _};

/// A service in this process. A book on disk goes with it.
pub struct Rig {
    pub embedded: Embedded,
    _directory: Option<tempfile::TempDir>,
}

impl Rig {
    /// An empty book in memory.
    pub async fn memory() -> Self {
        Self::with(Config::in_memory().unwrap()).await
    }

    /// An empty book on disk.
    pub async fn disk() -> Self {
        let directory = tempfile::tempdir().unwrap();
        let data_dir = directory.path().to_owned();
        let config = Config { engine: EngineKind::Sled, data_dir, ..Config::in_memory().unwrap() };
        Self { _directory: Some(directory), ..Self::with(config).await }
    }

    /// The demonstration book in memory.
    pub async fn demo() -> Self {
        Self::with(Config { book_folder: demo_folder(), ..Config::in_memory().unwrap() }).await
    }

    /// An empty book in memory with limits of its own.
    pub async fn limited(limits: Limits) -> Self {
        Self::with(Config { limits, ..Config::in_memory().unwrap() }).await
    }

    /// An empty book on disk with bounds of its own.
    pub async fn bounded(bounds: Bounds) -> Self {
        let directory = tempfile::tempdir().unwrap();
        let book = LocalBook::open(directory.path(), bounds).unwrap();
        let config = Config::in_memory().unwrap();
        let embedded = Embedded::start(Service::over(Arc::new(book), &config), &config.limits);
        Self { embedded, _directory: Some(directory) }
    }

    /// Whatever the settings say.
    pub async fn with(config: Config) -> Self {
        let limits = config.limits.clone();
        let service = Service::open(config).await.unwrap();
        Self { embedded: Embedded::start(service, &limits), _directory: None }
    }

    /// Both kinds of book, empty.
    pub async fn both() -> [Self; 2] {
        [Self::memory().await, Self::disk().await]
    }

    pub fn book(&self) -> SpecBookServiceClient<Channel> {
        SpecBookServiceClient::new(self.embedded.channel()).max_decoding_message_size(16 << 20)
    }

    pub fn calculator(&self) -> CalculatorServiceClient<Channel> {
        CalculatorServiceClient::new(self.embedded.channel())
    }

    pub fn upfits(&self) -> UpfitsServiceClient<Channel> {
        UpfitsServiceClient::new(self.embedded.channel())
    }

    pub fn steward(&self) -> StewardServiceClient<Channel> {
        StewardServiceClient::new(self.embedded.channel())
    }

    /// Puts entries, whatever is there.
    pub async fn put(&self, entries: Vec<pb::Entry>) -> i64 {
        let entries = entries.into_iter().map(|entry| pb::Entry { etag: "*".to_owned(), ..entry }).collect();
        let request = pb::BatchPutEntriesRequest { entries, author: "sam".to_owned(), ..Default::default() };
        self.book().batch_put_entries(request).await.unwrap().into_inner().revision
    }
}

/// Where the demonstration book lies.
pub fn demo_folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../deploy/demo/book")
}

/// An error taken apart.
#[derive(Debug)]
pub struct Wrong {
    pub code: Code,
    pub reason: String,
    pub metadata: HashMap<String, String>,
    pub details: ErrorDetails,
    pub message: String,
}

impl Wrong {
    pub fn meta(&self, key: &str) -> &str {
        self.metadata.get(key).map_or("", String::as_str)
    }

    /// Every field at fault.
    pub fn fields(&self) -> Vec<&str> {
        let violations = self.details.bad_request().map_or(&[][..], |it| &it.field_violations[..]);
        violations.iter().map(|violation| violation.field.as_str()).collect()
    }
}

/// Takes an error apart, and holds it to what every error owes its caller.
pub fn wrong<T: std::fmt::Debug>(result: Result<T, Status>) -> Wrong {
    let status = result.unwrap_err();
    let details = status.get_error_details();
    let info = details.error_info().unwrap_or_else(|| panic!("no ErrorInfo: {status:?}")).clone();
    assert_eq!(info.domain, "baybook.v1");
    assert!(pb::ErrorReason::from_str_name(&format!("ERROR_REASON_{}", info.reason)).is_some(), "{}", info.reason);
    assert!(!status.message().is_empty());
    assert!(details.request_info().is_some_and(|it| !it.request_id.is_empty()));
    Wrong {
        code: status.code(),
        reason: info.reason,
        metadata: info.metadata,
        message: status.message().to_owned(),
        details,
    }
}

/// A vehicle of our own invention.
pub fn vehicle(id: &str, label: &str) -> pb::Entry {
    let vehicle = pb::Vehicle { label: label.to_owned(), wheelbase_mm: Some(3_600.0), ..Default::default() };
    entry(&format!("vehicles/{id}"), pb::entry::Spec::Vehicle(vehicle))
}

/// A bolt.
pub fn bolt(id: &str) -> pb::Entry {
    let bolt = pb::Bolt { label: id.to_owned(), thread: "M12".to_owned(), ..Default::default() };
    entry(&format!("bolts/{id}"), pb::entry::Spec::Bolt(bolt))
}

/// A receiver for one vehicle, held by one kind of bolt.
pub fn receiver(id: &str, vehicle: &str, bolt: &str) -> pb::Entry {
    let fit = pb::ReceiverFit { vehicle: vehicle.to_owned(), ..Default::default() };
    let joint =
        pb::Joint { id: "frame-side".to_owned(), bolt_count: Some(4), bolt: bolt.to_owned(), ..Default::default() };
    let receiver = pb::Receiver { label: id.to_owned(), fits: vec![fit], joints: vec![joint], ..Default::default() };
    entry(&format!("receivers/{id}"), pb::entry::Spec::Receiver(receiver))
}

fn entry(name: &str, spec: pb::entry::Spec) -> pb::Entry {
    pb::Entry { name: name.to_owned(), spec: Some(spec), ..Default::default() }
}

/// A plan that names a vehicle and nothing else.
pub fn plan(vehicle: &str) -> pb::UpfitPlan {
    let name = Some(pb::vehicle_ref::Vehicle::Name(vehicle.to_owned()));
    pb::UpfitPlan { unit: "U-1".to_owned(), vehicle: Some(pb::VehicleRef { vehicle: name }), ..Default::default() }
}
