//! Reads the sheet on a thread of its own and feeds the service, a few batches ahead and no more.

use std::{
    collections::VecDeque,
    fs::File,
    io::{self, BufRead, BufReader, Read},
    path::{Path, PathBuf},
    sync::{
        Arc, Mutex, PoisonError,
        atomic::{AtomicU64, Ordering},
    },
    thread::JoinHandle,
};

use baybook_proto::v1 as pb;
use tokio::sync::mpsc;
use tonic::Status;

use crate::{
    fail::{Exit, Failure, Stop},
    sheet::{Row, Sheet, SheetError, SheetOptions},
};

/// Plans in one message.
const BATCH: usize = 64;
/// Messages read ahead of the service.
const AHEAD: usize = 4;

/// Rows that could not be read, waiting for their turn in the output.
type Unread = Arc<Mutex<VecDeque<pb::CheckedPlan>>>;

/// A sheet being fed to the service.
pub struct Feed {
    path: PathBuf,
    bytes: Option<u64>,
    read: Arc<AtomicU64>,
    unread: Unread,
    requests: Option<mpsc::Receiver<pb::CheckUpfitsRequest>>,
    thread: Option<JoinHandle<Result<(), SheetError>>>,
}

impl Feed {
    /// Opens the sheet and reads its header, so that a sheet that makes no sense fails before anything is started.
    pub fn start(path: &Path, options: SheetOptions, settings: pb::CheckSettings) -> Result<Self, Stop> {
        let (from, bytes): (Box<dyn Read + Send>, _) = if path.as_os_str() == "-" {
            (Box::new(io::stdin()), None)
        } else {
            let file = File::open(path).map_err(|error| Failure::file("opened", path, &error))?;
            let bytes = file.metadata().ok().filter(std::fs::Metadata::is_file).map(|meta| meta.len());
            (Box::new(file), bytes)
        };
        let read = Arc::new(AtomicU64::new(0));
        let from = BufReader::with_capacity(256 * 1024, Counted { from, read: Arc::clone(&read) });
        let unread = Unread::default();
        let (send, requests) = mpsc::channel(AHEAD);
        let (opened, is_open) = std::sync::mpsc::sync_channel(1);
        let queue = Arc::clone(&unread);
        let thread = std::thread::Builder::new()
            .name("sheet".to_owned())
            .spawn(move || match Sheet::open(from, &options) {
                Ok(sheet) => {
                    let _ = opened.send(Ok(()));
                    feed(sheet, settings, &send, &queue)
                }
                Err(error) => {
                    let _ = opened.send(Err(error));
                    Ok(())
                }
            })
            .map_err(Stop::from)?;
        let feed = Self { path: path.to_owned(), bytes, read, unread, requests: Some(requests), thread: Some(thread) };
        match is_open.recv() {
            Ok(Ok(())) => Ok(feed),
            Ok(Err(error)) => Err(super::sheet_failure(path, &error).into()),
            Err(_) => Err(feed.died()),
        }
    }

    /// Returns how long the sheet is, when that is known.
    pub const fn bytes(&self) -> Option<u64> {
        self.bytes
    }

    /// Returns how much of it has been read.
    pub fn bytes_read(&self) -> u64 {
        self.read.load(Ordering::Relaxed)
    }

    /// Returns the messages for the service; there is one such stream.
    pub fn requests(&mut self) -> Result<mpsc::Receiver<pb::CheckUpfitsRequest>, Stop> {
        self.requests.take().ok_or_else(|| self.died())
    }

    /// Returns the next row that could not be read, when it stands before that line.
    pub fn unread_before(&self, line: i64) -> Option<pb::CheckedPlan> {
        let mut queue = self.unread.lock().unwrap_or_else(PoisonError::into_inner);
        if queue.front()?.seq < line { queue.pop_front() } else { None }
    }

    /// Waits for the end of the sheet.
    pub fn join(&mut self) -> Result<(), Stop> {
        match self.thread.take().map(JoinHandle::join) {
            None | Some(Ok(Ok(()))) => Ok(()),
            Some(Ok(Err(error))) => Err(super::sheet_failure(&self.path, &error).into()),
            Some(Err(_)) => Err(self.died()),
        }
    }

    /// Tells why the stream broke: the service's word, unless the sheet broke off first.
    pub fn blame(&mut self, status: &Status) -> Stop {
        self.requests = None;
        Failure::status(status, super::FLAGS).into()
    }

    fn died(&self) -> Stop {
        Failure::new(Exit::Fault, "reading the sheet ended unexpectedly")
            .at(self.path.display().to_string(), "the reader stopped")
            .next("try again; if it happens again, report it with the sheet")
            .into()
    }
}

fn feed<R: BufRead>(
    mut sheet: Sheet<R>,
    settings: pb::CheckSettings,
    send: &mpsc::Sender<pb::CheckUpfitsRequest>,
    unread: &Unread,
) -> Result<(), SheetError> {
    let mut settings = Some(settings);
    let mut rows = Vec::with_capacity(BATCH);
    loop {
        rows.clear();
        let outcome = sheet.read_rows(BATCH, &mut rows);
        let ended = rows.is_empty();
        let mut plans = Vec::with_capacity(rows.len());
        for row in rows.drain(..) {
            match row {
                Row::Plan { line, plan } => plans.push(pb::NumberedPlan { seq: line, plan: Some(plan) }),
                Row::Unreadable { line, unit, cells } => {
                    unread.lock().unwrap_or_else(PoisonError::into_inner).push_back(unreadable(line, &unit, cells));
                }
            }
        }
        let wanted = settings.is_some() || !plans.is_empty();
        // The service hung up: its own word about that says more than ours.
        if wanted && send.blocking_send(pb::CheckUpfitsRequest { settings: settings.take(), plans }).is_err() {
            return Ok(());
        }
        outcome?;
        if ended {
            return Ok(());
        }
    }
}

/// Puts a row that could not be read into the same shape that the service answers with.
fn unreadable(line: i64, unit: &str, cells: Vec<crate::sheet::BadCell>) -> pb::CheckedPlan {
    let unit = if unit.is_empty() { String::new() } else { format!(" (unit {unit})") };
    let violations = cells
        .into_iter()
        .map(|cell| pb::FieldViolation {
            field: cell.column,
            description: format!("read {:?}; allowed: {}", cell.read, cell.allowed),
        })
        .collect();
    let error = pb::ItemError {
        reason: pb::ErrorReason::BadFields.into(),
        message: format!("line {line}{unit} cannot be read"),
        violations,
        nearest_names: Vec::new(),
    };
    pb::CheckedPlan { seq: line, outcome: Some(pb::checked_plan::Outcome::Error(error)) }
}

/// Counts what goes by, for the progress bar.
struct Counted<R> {
    from: R,
    read: Arc<AtomicU64>,
}

impl<R: Read> Read for Counted<R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let read = self.from.read(into)?;
        self.read.fetch_add(read as u64, Ordering::Relaxed);
        Ok(read)
    }
}
