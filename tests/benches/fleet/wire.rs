//! One connection: frames of RFC 9113, as many calls at once as the service takes.

use std::{collections::HashMap, io, time::Instant};

use tokio::{io::Interest, net::TcpStream};

use super::{Kind, frame::frame};

/// The preface, section 3.4; SETTINGS with the widest window for each answer, section 6.5; and a window of 2^30 bytes for
/// the connection, section 6.9.
const GREETING: &[u8] = b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n\
    \x00\x00\x06\x04\x00\x00\x00\x00\x00\x00\x04\x7f\xff\xff\xff\
    \x00\x00\x04\x08\x00\x00\x00\x00\x00\x40\x00\x00\x00";

/// Bytes of answers after which the window of the connection is opened again.
const OPENS: usize = 1 << 28;

/// The windows of a connection before the service has said more: section 6.9.2.
const WINDOW: i64 = 65_535;

/// How a call ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seen {
    /// With a message.
    Answer,
    /// Without one.
    Refusal,
}

/// A call that is out.
#[derive(Debug)]
struct Out {
    since: Instant,
    /// Whether the headers of its answer have come.
    begun: bool,
}

/// A connection, its calls, and bytes both ways.
#[derive(Debug)]
pub struct Wire {
    stream: TcpStream,
    /// The headers of the first call, which enter the table of HPACK; those of the others, which name them there.
    first: Vec<u8>,
    again: Vec<u8>,
    data: Vec<u8>,
    next: u32,
    calls: HashMap<u32, Out>,
    most: usize,
    window: i64,
    taken: usize,
    out: Vec<u8>,
    written: usize,
    come: Vec<u8>,
    /// Calls that were reset.
    pub lost: usize,
}

/// A field of HPACK that enters the table, by its number in the static table or by name: RFC 7541 section 6.2.1.
fn field(block: &mut Vec<u8>, name: Result<u8, &str>, value: &str) {
    match name {
        Ok(number) => block.push(0x40 | number),
        Err(name) => {
            block.extend([0x40, u8::try_from(name.len()).expect("it is short")]);
            block.extend(name.as_bytes());
        }
    }
    block.push(u8::try_from(value.len()).ok().filter(|length| *length < 127).expect("it is short"));
    block.extend(value.as_bytes());
}

impl Wire {
    pub fn new(stream: TcpStream, kind: Kind<'_>) -> Self {
        // POST and http have numbers of their own, 3 and 6; the names :authority, :path, content-type and user-agent 1, 4, 31, 58.
        let mut first = vec![0x83, 0x86];
        field(&mut first, Ok(4), kind.path);
        field(&mut first, Ok(1), "service");
        field(&mut first, Ok(31), "application/grpc");
        field(&mut first, Ok(58), "fleet/1");
        field(&mut first, Err("te"), "trailers");
        // The newest field of the table is number 62.
        let again = vec![0x83, 0x86, 0xc2, 0xc1, 0xc0, 0xbf, 0xbe];
        let mut data = vec![0];
        data.extend(u32::try_from(kind.message.len()).expect("it is short").to_be_bytes());
        data.extend(kind.message);
        Self {
            stream,
            first,
            again,
            data,
            next: 1,
            calls: HashMap::new(),
            most: 100,
            window: WINDOW,
            taken: 0,
            out: GREETING.to_vec(),
            written: 0,
            come: Vec::new(),
            lost: 0,
        }
    }

    /// Returns how many calls are out.
    pub fn open(&self) -> usize {
        self.calls.len()
    }

    /// Makes a call, if the service takes one more of this connection.
    pub fn send(&mut self, since: Instant) -> bool {
        let length = i64::try_from(self.data.len()).expect("it is short");
        if self.most <= self.calls.len() || self.window < length {
            return false;
        }
        self.window -= length;
        let headers = if self.next == 1 { &self.first } else { &self.again };
        // END_HEADERS; END_STREAM.
        self.out.extend(frame(1, 4, self.next, headers));
        self.out.extend(frame(0, 1, self.next, &self.data));
        self.calls.insert(self.next, Out { since, begun: false });
        self.next += 2;
        true
    }

    /// Writes what it can.
    pub fn flush(&mut self) -> io::Result<()> {
        while self.written < self.out.len() {
            match self.stream.try_write(&self.out[self.written..]) {
                Ok(bytes) => self.written += bytes,
                Err(error) if error.kind() == io::ErrorKind::WouldBlock => return Ok(()),
                Err(error) => return Err(error),
            }
        }
        self.out.clear();
        self.written = 0;
        Ok(())
    }

    /// Waits until there is something to read, or room for what is to be written.
    pub async fn ready(&self) {
        let interest =
            if self.out.is_empty() { Interest::READABLE } else { Interest::READABLE.add(Interest::WRITABLE) };
        drop(self.stream.ready(interest).await);
    }

    /// Reads what has come, and tells of each call that has ended.
    pub fn read(&mut self, mut tell: impl FnMut(Seen, Instant)) -> io::Result<()> {
        loop {
            let before = self.come.len();
            self.come.resize(before + (64 << 10), 0);
            let read = self.stream.try_read(&mut self.come[before..]);
            self.come.truncate(before + *read.as_ref().unwrap_or(&0));
            match read {
                Ok(0) => return Err(io::ErrorKind::ConnectionAborted.into()),
                Ok(_) => self.frames(&mut tell)?,
                Err(error) if error.kind() == io::ErrorKind::WouldBlock => return Ok(()),
                Err(error) => return Err(error),
            }
        }
    }

    fn frames(&mut self, tell: &mut impl FnMut(Seen, Instant)) -> io::Result<()> {
        let come = std::mem::take(&mut self.come);
        let mut rest = &come[..];
        while let Some((&[high, middle, low, kind, flags, a, b, c, d], after)) = rest.split_first_chunk::<9>() {
            let length = u32::from_be_bytes([0, high, middle, low]) as usize;
            let Some(payload) = after.get(..length) else { break };
            rest = &after[length..];
            self.frame(kind, flags, u32::from_be_bytes([a, b, c, d]) & 0x7fff_ffff, payload, tell)?;
        }
        self.come = rest.to_vec();
        Ok(())
    }

    fn frame(
        &mut self,
        kind: u8,
        flags: u8,
        stream: u32,
        payload: &[u8],
        tell: &mut impl FnMut(Seen, Instant),
    ) -> io::Result<()> {
        let last = flags & 1 == 1;
        match kind {
            0 => {
                self.taken += payload.len();
                if OPENS <= self.taken {
                    let opened = u32::try_from(std::mem::take(&mut self.taken)).expect("a window is below 2^31");
                    self.out.extend(frame(8, 0, 0, &opened.to_be_bytes()));
                }
            }
            // HEADERS at the begin of an answer, or behind it.
            1 => match self.calls.get_mut(&stream) {
                Some(call) if !last => call.begun = true,
                Some(call) => {
                    tell(if call.begun { Seen::Answer } else { Seen::Refusal }, call.since);
                    self.calls.remove(&stream);
                }
                None => {}
            },
            // RST_STREAM, which may also follow a whole answer.
            3 if self.calls.remove(&stream).is_some() => self.lost += 1,
            // SETTINGS: SETTINGS_MAX_CONCURRENT_STREAMS is number 3.
            4 if !last => {
                for setting in payload.chunks_exact(6) {
                    if let [0, 3, value @ ..] = setting {
                        let value = value.try_into().map_or(100, u32::from_be_bytes);
                        self.most = value as usize;
                    }
                }
                self.out.extend(frame(4, 1, 0, &[]));
            }
            6 if !last => self.out.extend(frame(6, 1, 0, payload)),
            // GOAWAY
            7 => return Err(io::ErrorKind::ConnectionAborted.into()),
            8 if stream == 0 => {
                self.window += payload.try_into().map_or(0, |bytes| i64::from(u32::from_be_bytes(bytes)))
            }
            _ => {}
        }
        Ok(())
    }
}
