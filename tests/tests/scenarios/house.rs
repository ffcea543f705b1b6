//! A service of our own, on a free port.

use std::{
    fs,
    net::SocketAddr,
    path::{Path, PathBuf},
};

use baybook_proto::v1 as pb;
use baybook_server::{Config, EngineKind, bind, incoming, serve};
use tempfile::TempDir;
use tokio::{runtime::Runtime, sync::oneshot};

/// A running service; it stops when dropped.
pub struct House {
    address: SocketAddr,
    runtime: Runtime,
    stop: Option<oneshot::Sender<()>>,
    ended: Option<oneshot::Receiver<()>>,
    _data: TempDir,
}

impl House {
    /// Starts on the demo's book, in memory.
    pub fn demo() -> Self {
        Self::start(Config { book_folder: demo_book(), ..Config::in_memory().expect("the defaults are sound") })
    }

    /// Starts on an empty book on disk.
    pub fn disk() -> Self {
        Self::start(Config::layered(None, |_| None).expect("the defaults are sound"))
    }

    fn start(mut config: Config) -> Self {
        let data = tempfile::tempdir().expect("a temporary folder");
        config.listen = SocketAddr::from(([127, 0, 0, 1], 0));
        if config.engine == EngineKind::Sled {
            config.data_dir = data.path().join("book");
        }
        let runtime = Runtime::new().expect("a runtime starts");
        let (stop, stopped) = oneshot::channel::<()>();
        let (end, ended) = oneshot::channel();
        let address = runtime.block_on(async {
            let listener = bind(&config).await.expect("a port is free");
            let address = listener.local_addr().expect("it has an address");
            let connections = incoming(listener, &config).expect("it is a loopback address");
            tokio::spawn(async move {
                let served = serve(config, connections, async { drop(stopped.await) }).await;
                served.expect("the service ends in good order");
                let _ = end.send(());
            });
            address
        });
        Self { address, runtime, stop: Some(stop), ended: Some(ended), _data: data }
    }

    pub fn address(&self) -> SocketAddr {
        self.address
    }

    pub fn runtime(&self) -> &Runtime {
        &self.runtime
    }
}

impl Drop for House {
    fn drop(&mut self) {
        drop(self.stop.take());
        let ended = self.ended.take().map(|ended| self.runtime.block_on(ended));
        if !std::thread::panicking() {
            assert!(matches!(ended, Some(Ok(()))), "the service did not end in good order");
        }
    }
}

/// Returns the top of the repository.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("the workspace holds this crate").to_owned()
}

pub fn demo_book() -> PathBuf {
    root().join("deploy/demo/book")
}

/// Reads every entry of the demo's book.
pub fn demo_entries() -> Vec<pb::Entry> {
    let mut files: Vec<PathBuf> =
        fs::read_dir(demo_book()).expect("the demo has a book").flatten().map(|file| file.path()).collect();
    files.sort();
    let entries: Vec<pb::Entry> = files
        .iter()
        .filter(|file| file.extension().is_some_and(|end| end == "json"))
        .flat_map(|file| {
            let text = fs::read_to_string(file).expect("the demo's files are readable");
            let entries: Vec<pb::Entry> =
                serde_json::from_str(&text).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
            entries
        })
        .collect();
    assert!(60 < entries.len(), "only {} entries in the demo", entries.len());
    entries
}
