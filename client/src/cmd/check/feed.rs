//! Cuts the sheet into portions on a thread of its own and feeds the service, a few portions ahead and no more. Plans are
//! made of a portion by whoever works on it, so that every core has its share of that too.

use std::{
    collections::BTreeMap,
    fs::File,
    io::{self, BufRead, BufReader, Read},
    path::{Path, PathBuf},
    sync::{
        Arc, Mutex, MutexGuard, PoisonError,
        atomic::{AtomicU64, Ordering},
    },
    thread::JoinHandle,
};

use baybook_proto::v1 as pb;
use tokio::sync::mpsc;
use tonic::Status;

use crate::{
    connect::Message,
    fail::{Exit, Failure, Stop},
    sheet::{BadCell, Portion, Reader, Readers, Row, Sheet, SheetError, SheetOptions},
};

/// Rows in one portion, and plans in the message that is made of it.
const PORTION: usize = 128;
/// Messages read ahead of the service.
const AHEAD: usize = 4;

/// A message for the service.
pub type Request = Message<pb::CheckUpfitsRequest>;

/// Rows that could not be read, by their lines, waiting for their turn in the output.
type Unread = Mutex<BTreeMap<i64, pb::CheckedPlan>>;

/// What it takes to make plans of portions, kept for whoever makes the next.
struct Desk {
    readers: Readers,
    idle: Mutex<Vec<Reader>>,
    /// Portions that may be cut into again.
    spare: Mutex<Vec<Portion>>,
    /// Portions whose plans the service has: what it refuses is told by the columns they came from.
    asked: Mutex<Vec<Portion>>,
    unread: Unread,
}

impl Desk {
    /// Returns somebody to read, the one who read last: what it knows of the cells is then still at hand.
    fn reader(&self) -> Reader {
        let idle = locked(&self.idle).pop();
        idle.unwrap_or_else(|| self.readers.make())
    }

    /// Returns the heading of the column that a field of the plan on a line came from.
    fn heading(&self, line: i64, path: &str) -> Option<String> {
        let mut reader = self.reader();
        let found = locked(&self.asked).iter().find_map(|portion| reader.heading(portion, line, path));
        locked(&self.idle).push(reader);
        found
    }

    /// Lets go of the portions that end before a line.
    fn answered(&self, line: i64) {
        let mut asked = locked(&self.asked);
        let (done, open): (Vec<_>, Vec<_>) = asked.drain(..).partition(|portion| portion.last_line() < line);
        *asked = open;
        locked(&self.spare).extend(done);
    }

    /// Makes plans of a portion.
    fn message(&self, portion: Portion) -> pb::CheckUpfitsRequest {
        let mut reader = self.reader();
        let mut plans = Vec::with_capacity(portion.len());
        reader.read(&portion, |row| match row {
            Row::Plan { line, plan } => plans.push(pb::NumberedPlan { seq: line, plan: Some(plan) }),
            Row::Unreadable { line, unit, cells } => {
                locked(&self.unread).insert(line, unreadable(line, &unit, cells));
            }
        });
        locked(&self.idle).push(reader);
        locked(&self.asked).push(portion);
        pb::CheckUpfitsRequest { settings: None, plans }
    }
}

fn locked<T>(of: &Mutex<T>) -> MutexGuard<'_, T> {
    of.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A sheet being fed to the service.
pub struct Feed {
    path: PathBuf,
    bytes: Option<u64>,
    read: Arc<AtomicU64>,
    desk: Arc<Desk>,
    requests: Option<mpsc::Receiver<Request>>,
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
        let (send, requests) = mpsc::channel(AHEAD);
        let (opened, is_open) = std::sync::mpsc::sync_channel(1);
        let thread = std::thread::Builder::new()
            .name("sheet".to_owned())
            .spawn(move || match Sheet::open(from, &options) {
                Ok(sheet) => {
                    let (idle, spare, asked) = (Mutex::default(), Mutex::default(), Mutex::default());
                    let (readers, unread) = (sheet.readers(), Unread::default());
                    let desk = Arc::new(Desk { readers, idle, spare, asked, unread });
                    let _ = opened.send(Ok(Arc::clone(&desk)));
                    feed(sheet, settings, &send, &desk)
                }
                Err(error) => {
                    let _ = opened.send(Err(error));
                    Ok(())
                }
            })
            .map_err(Stop::from)?;
        let path = path.to_owned();
        match is_open.recv() {
            Ok(Ok(desk)) => Ok(Self { path, bytes, read, desk, requests: Some(requests), thread: Some(thread) }),
            Ok(Err(error)) => Err(super::sheet_failure(&path, &error).into()),
            Err(_) => Err(died(&path)),
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
    pub fn requests(&mut self) -> Result<mpsc::Receiver<Request>, Stop> {
        self.requests.take().ok_or_else(|| died(&self.path))
    }

    /// Returns the next row that could not be read, when it stands before that line. Every portion before that line has
    /// been read by then: answers come in the sheet's order.
    pub fn unread_before(&self, line: i64) -> Option<pb::CheckedPlan> {
        let mut unread = locked(&self.desk.unread);
        let first = unread.first_entry()?;
        (*first.key() < line).then(|| first.remove())
    }

    /// Returns the heading of the column that a field of the plan on a line came from; none where there is no such column.
    pub fn heading(&self, line: i64, path: &str) -> Option<String> {
        self.desk.heading(line, path)
    }

    /// Notes that everything before a line has been answered.
    pub fn answered(&self, line: i64) {
        self.desk.answered(line);
    }

    /// Waits for the end of the sheet.
    pub fn join(&mut self) -> Result<(), Stop> {
        match self.thread.take().map(JoinHandle::join) {
            None | Some(Ok(Ok(()))) => Ok(()),
            Some(Ok(Err(error))) => Err(super::sheet_failure(&self.path, &error).into()),
            Some(Err(_)) => Err(died(&self.path)),
        }
    }

    /// Tells why the stream broke: the service's word, unless the sheet broke off first.
    pub fn blame(&mut self, status: &Status) -> Stop {
        self.requests = None;
        Failure::status(status, super::FLAGS).into()
    }
}

fn died(path: &Path) -> Stop {
    Failure::new(Exit::Fault, "reading the sheet ended unexpectedly")
        .at(path.display().to_string(), "the reader stopped")
        .next("try again; if it happens again, report it with the sheet")
        .into()
}

fn feed<R: BufRead>(
    mut sheet: Sheet<R>,
    settings: pb::CheckSettings,
    send: &mpsc::Sender<Request>,
    desk: &Arc<Desk>,
) -> Result<(), SheetError> {
    let first = pb::CheckUpfitsRequest { settings: Some(settings), plans: Vec::new() };
    // When the service hung up, its own word about that says more than ours.
    if send.blocking_send(Message::Ready(first)).is_err() {
        return Ok(());
    }
    loop {
        let mut portion = locked(&desk.spare).pop().unwrap_or_default();
        let outcome = sheet.cut(PORTION, &mut portion);
        let ended = portion.is_empty();
        if !ended {
            let desk = Arc::clone(desk);
            let later = Message::Later(Box::new(move || desk.message(portion)));
            if send.blocking_send(later).is_err() {
                return Ok(());
            }
        }
        outcome?;
        if ended {
            return Ok(());
        }
    }
}

/// Puts a row that could not be read into the same shape that the service answers with.
fn unreadable(line: i64, unit: &str, cells: Vec<BadCell>) -> pb::CheckedPlan {
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
