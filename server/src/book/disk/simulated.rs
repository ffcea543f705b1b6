//! A disk that keeps only what it was told to keep, and sometimes refuses.
//!
//! What was written and not synced is kept, dropped, reordered or torn at sectors of 512 bytes when the power goes; a name
//! that was given and whose directory was not synced may be there or not; a sync that fails loses what it was to keep,
//! while reads go on showing it. Everything follows from the seed.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use parking_lot::Mutex;
use rand::rngs::StdRng;
use rand::{Rng as _, SeedableRng as _};

use super::{Disk, DiskFile};

const SECTOR: usize = 512;

/// How a call fails.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::book) enum Refusal {
    Broken,
    Full,
}

#[derive(Clone, Debug)]
enum Pending {
    Write(usize, Vec<u8>),
    Size(usize),
}

#[derive(Clone, Debug, Default)]
struct Node {
    durable: Vec<u8>,
    shown: Vec<u8>,
    pending: Vec<Pending>,
}

#[derive(Clone, Debug)]
enum Naming {
    Give(PathBuf, usize),
    Take(PathBuf),
}

#[derive(Debug)]
struct Inner {
    nodes: Vec<Node>,
    durable: BTreeMap<PathBuf, usize>,
    shown: BTreeMap<PathBuf, usize>,
    namings: Vec<Naming>,
    calls: u64,
    refuses: Option<(u64, Refusal)>,
    /// Says that it synced, and did not.
    lies: bool,
    rng: StdRng,
}

/// The disk.
#[derive(Clone, Debug)]
pub(in crate::book) struct SimulatedDisk(Arc<Mutex<Inner>>);

#[derive(Debug)]
struct SimulatedFile {
    disk: SimulatedDisk,
    node: usize,
}

fn overlay(bytes: &mut Vec<u8>, offset: usize, new: &[u8]) {
    if bytes.len() < offset + new.len() {
        bytes.resize(offset + new.len(), 0);
    }
    bytes[offset..offset + new.len()].copy_from_slice(new);
}

impl Inner {
    fn call(&mut self) -> io::Result<()> {
        self.calls += 1;
        match self.refuses {
            Some((at, Refusal::Broken)) if at == self.calls => Err(io::Error::from_raw_os_error(5)),
            Some((at, Refusal::Full)) if at == self.calls => Err(io::Error::from_raw_os_error(28)),
            _ => Ok(()),
        }
    }

    fn node(&self, path: &Path) -> io::Result<usize> {
        self.shown.get(path).copied().ok_or_else(|| io::ErrorKind::NotFound.into())
    }
}

impl SimulatedDisk {
    pub(in crate::book) fn new(seed: u64) -> Self {
        Self(Arc::new(Mutex::new(Inner {
            nodes: Vec::new(),
            durable: BTreeMap::new(),
            shown: BTreeMap::new(),
            namings: Vec::new(),
            calls: 0,
            refuses: None,
            lies: false,
            rng: StdRng::seed_from_u64(seed),
        })))
    }

    pub(in crate::book) fn lie(&self) {
        self.0.lock().lies = true;
    }

    /// Refuses the n-th call from now, once.
    pub(in crate::book) fn refuse(&self, after: u64, how: Refusal) {
        let mut inner = self.0.lock();
        inner.refuses = Some((inner.calls + after, how));
    }

    /// Whether the call that was to be refused has come.
    pub(in crate::book) fn has_refused(&self) -> bool {
        let inner = self.0.lock();
        inner.refuses.is_some_and(|(at, _)| at <= inner.calls)
    }

    pub(in crate::book) fn refuse_nothing(&self) {
        self.0.lock().refuses = None;
    }

    /// Takes the power away: nothing is left but what the disk kept.
    pub(in crate::book) fn lose_power(&self) {
        let mut inner = self.0.lock();
        let inner = &mut *inner;
        for node in &mut inner.nodes {
            // Some disks keep everything, some nothing, most something.
            let keeps = [0.0, 0.3, 0.5, 0.9, 1.0][inner.rng.random_range(0..5)];
            for pending in std::mem::take(&mut node.pending) {
                match pending {
                    Pending::Size(size) if inner.rng.random_bool(keeps) => node.durable.resize(size, 0),
                    Pending::Size(_) => {}
                    Pending::Write(offset, bytes) => {
                        let mut at = 0;
                        while at < bytes.len() {
                            let room = SECTOR - (offset + at) % SECTOR;
                            let end = (at + room).min(bytes.len());
                            if inner.rng.random_bool(keeps) {
                                overlay(&mut node.durable, offset + at, &bytes[at..end]);
                            }
                            at = end;
                        }
                    }
                }
            }
            node.shown = node.durable.clone();
        }
        for naming in std::mem::take(&mut inner.namings) {
            if inner.rng.random_bool(0.5) {
                match naming {
                    Naming::Give(path, node) => drop(inner.durable.insert(path, node)),
                    Naming::Take(path) => drop(inner.durable.remove(&path)),
                }
            }
        }
        inner.shown = inner.durable.clone();
    }
}

impl Disk for SimulatedDisk {
    fn create_dir(&self, _: &Path) -> io::Result<()> {
        self.0.lock().call()
    }

    fn list(&self, path: &Path) -> io::Result<Vec<String>> {
        let mut inner = self.0.lock();
        inner.call()?;
        let within = inner.shown.keys().filter(|file| file.parent() == Some(path));
        Ok(within.filter_map(|file| Some(file.file_name()?.to_str()?.to_owned())).collect())
    }

    fn open(&self, path: &Path) -> io::Result<Arc<dyn DiskFile>> {
        let mut inner = self.0.lock();
        inner.call()?;
        let node = inner.node(path)?;
        Ok(Arc::new(SimulatedFile { disk: self.clone(), node }))
    }

    fn create(&self, path: &Path) -> io::Result<Arc<dyn DiskFile>> {
        let mut inner = self.0.lock();
        inner.call()?;
        let node = match inner.node(path) {
            Ok(node) => {
                inner.nodes[node].shown.clear();
                inner.nodes[node].pending.push(Pending::Size(0));
                node
            }
            Err(_) => {
                inner.nodes.push(Node::default());
                let node = inner.nodes.len() - 1;
                inner.shown.insert(path.to_owned(), node);
                inner.namings.push(Naming::Give(path.to_owned(), node));
                node
            }
        };
        Ok(Arc::new(SimulatedFile { disk: self.clone(), node }))
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        let mut inner = self.0.lock();
        inner.call()?;
        let node = inner.node(from)?;
        inner.shown.remove(from);
        inner.shown.insert(to.to_owned(), node);
        inner.namings.push(Naming::Give(to.to_owned(), node));
        inner.namings.push(Naming::Take(from.to_owned()));
        Ok(())
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        let mut inner = self.0.lock();
        inner.call()?;
        inner.node(path)?;
        inner.shown.remove(path);
        inner.namings.push(Naming::Take(path.to_owned()));
        Ok(())
    }

    fn sync_dir(&self, path: &Path) -> io::Result<()> {
        let mut inner = self.0.lock();
        let refused = inner.call();
        if inner.lies {
            return Ok(());
        }
        let namings = std::mem::take(&mut inner.namings);
        for naming in namings {
            let (Naming::Give(file, _) | Naming::Take(file)) = &naming;
            if file.parent() != Some(path) || refused.is_err() {
                inner.namings.push(naming);
                continue;
            }
            match naming {
                Naming::Give(file, node) => drop(inner.durable.insert(file, node)),
                Naming::Take(file) => drop(inner.durable.remove(&file)),
            }
        }
        refused
    }
}

impl DiskFile for SimulatedFile {
    fn size(&self) -> io::Result<u64> {
        let mut inner = self.disk.0.lock();
        inner.call()?;
        Ok(inner.nodes[self.node].shown.len() as u64)
    }

    fn read_at(&self, bytes: &mut [u8], offset: u64) -> io::Result<usize> {
        let mut inner = self.disk.0.lock();
        inner.call()?;
        let shown = &inner.nodes[self.node].shown;
        let rest = shown.get(usize::try_from(offset).unwrap()..).unwrap_or_default();
        let count = rest.len().min(bytes.len());
        bytes[..count].copy_from_slice(&rest[..count]);
        Ok(count)
    }

    fn write_at(&self, bytes: &[u8], offset: u64) -> io::Result<()> {
        let mut inner = self.disk.0.lock();
        let offset = usize::try_from(offset).unwrap();
        let refused = inner.call();
        // A write that is refused may have got some of its way.
        let count = if refused.is_err() { inner.rng.random_range(0..=bytes.len()) } else { bytes.len() };
        let node = &mut inner.nodes[self.node];
        overlay(&mut node.shown, offset, &bytes[..count]);
        node.pending.push(Pending::Write(offset, bytes[..count].to_vec()));
        refused
    }

    fn set_size(&self, size: u64) -> io::Result<()> {
        let mut inner = self.disk.0.lock();
        inner.call()?;
        let size = usize::try_from(size).unwrap();
        let node = &mut inner.nodes[self.node];
        node.shown.resize(size, 0);
        node.pending.push(Pending::Size(size));
        Ok(())
    }

    fn sync(&self) -> io::Result<()> {
        let mut inner = self.disk.0.lock();
        let refused = inner.call();
        if inner.lies {
            return Ok(());
        }
        let node = &mut inner.nodes[self.node];
        node.pending.clear();
        if refused.is_ok() {
            node.durable = node.shown.clone();
        }
        refused
    }
}
