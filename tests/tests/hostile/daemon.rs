//! The service as a process of its own, so that its memory can be read.

use std::{
    fs,
    io::{BufRead as _, BufReader, Read as _, Write as _},
    net::{SocketAddr, TcpStream},
    path::{Path, PathBuf},
    process::{Child, ChildStderr, Command, ExitStatus, Stdio},
    time::{Duration, Instant},
};

use crate::program::program;

/// A running service; it is ended when this is dropped.
pub struct Daemon {
    child: Child,
    /// Where it answers calls.
    pub address: SocketAddr,
    admin: SocketAddr,
    /// Its log, held open when nobody is to read it.
    log: Option<BufReader<ChildStderr>>,
}

/// The demonstration's book.
pub fn demo_book() -> PathBuf {
    let above = Path::new(env!("CARGO_MANIFEST_DIR")).ancestors().map(|folder| folder.join("deploy/demo/book"));
    above.into_iter().find(|book| book.is_dir()).expect("the workspace holds this crate and the demonstration")
}

impl Daemon {
    /// Starts on a folder of entry files.
    pub fn start(book: &Path) -> Self {
        let (mut daemon, mut log) = Self::started(book, "error");
        daemon.log = None;
        std::thread::spawn(move || std::io::copy(&mut log, &mut std::io::sink()));
        daemon
    }

    /// Starts on a folder of entry files, logs every call, and nobody reads the log.
    pub fn unread(book: &Path) -> Self {
        let (mut daemon, log) = Self::started(book, "debug");
        daemon.log = Some(log);
        daemon
    }

    fn started(book: &Path, level: &str) -> (Self, BufReader<ChildStderr>) {
        let mut command = Command::new(program());
        command.arg("serve").arg("--book").arg(book).args(["--listen", "127.0.0.1:0", "--log", level]);
        let mut child = command.stderr(Stdio::piped()).stdout(Stdio::null()).spawn().expect("the program starts");
        let mut log = BufReader::new(child.stderr.take().expect("its log is a pipe"));
        let mut told = |start: &str| {
            let mut lines = log.by_ref().lines().map_while(Result::ok);
            let line = lines.find_map(|line| Some(line.strip_prefix(start)?.to_owned()));
            line.expect("it says where it listens").parse().expect("an address")
        };
        let (address, admin) = (told("listening on "), told("admin on "));
        (Self { child, address, admin, log: None }, log)
    }

    /// Returns a field of its status, in MiB.
    fn status_mib(&self, field: &str) -> f64 {
        let status = fs::read_to_string(format!("/proc/{}/status", self.child.id())).expect("it is running");
        let line = status.lines().find_map(|line| line.strip_prefix(field)).expect("the system tells");
        let kib: f64 = line.trim_matches([':', ' ', '\t']).trim_end_matches(" kB").trim().parse().expect("a number");
        kib / 1024.0
    }

    /// The memory it has in use.
    pub fn resident_mib(&self) -> f64 {
        self.status_mib("VmRSS")
    }

    /// The most memory it ever had in use.
    pub fn peak_mib(&self) -> f64 {
        self.status_mib("VmHWM")
    }

    /// Asks it to stop, and returns how it ended and after how long; nothing when it has not by then.
    pub fn stopped(mut self, by: Duration) -> Option<(ExitStatus, Duration)> {
        let begun = Instant::now();
        let asked = Command::new("kill").arg("-TERM").arg(self.child.id().to_string()).status().expect("kill runs");
        assert!(asked.success(), "it is there to be asked");
        while begun.elapsed() < by {
            if let Some(status) = self.child.try_wait().expect("it is our child") {
                return Some((status, begun.elapsed()));
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        None
    }

    /// The processor time it has used, in seconds.
    pub fn processor_s(&self) -> f64 {
        processor_s(&self.child.id().to_string())
    }

    /// Reads all that it measures.
    pub fn metrics(&self) -> String {
        let mut stream = TcpStream::connect(self.admin).expect("the admin port answers");
        stream.write_all(b"GET /metrics HTTP/1.1\r\nHost: here\r\n\r\n").expect("it reads");
        let mut text = String::new();
        stream.read_to_string(&mut text).expect("it answers");
        text
    }

    /// Reads a line of what it measures.
    pub fn measured(&self, name: &str) -> f64 {
        let text = self.metrics();
        let line = text.lines().find_map(|line| line.strip_prefix(name)?.strip_prefix(' '));
        line.expect("it is measured").parse().expect("a number")
    }
}

impl Drop for Daemon {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// The processor time that a process has used, in seconds: fields 14 and 15 of its `stat`, in ticks of a hundredth, proc(5).
pub fn processor_s(process: &str) -> f64 {
    let stat = fs::read_to_string(format!("/proc/{process}/stat")).expect("it is running");
    let (_, fields) = stat.rsplit_once(')').expect("the name ends");
    let ticks = fields.split_whitespace().skip(11).take(2).map(|ticks| ticks.parse::<f64>().expect("a number"));
    ticks.sum::<f64>() / 100.0
}
