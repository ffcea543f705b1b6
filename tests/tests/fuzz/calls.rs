//! Every call of the contract with requests that are almost good: through the transport, as any caller sends them.
//!
//! The corpus holds requests in JSON, one a line, in a file a call. A case takes one, changes some of its fields to what
//! they may not be, or some of its bytes, and sends it. Whatever is answered, it must not be that we failed.

use std::{collections::BTreeMap, fs, path::Path};

use baybook_proto::DESCRIPTOR_SET;
use baybook_server::{Config, Embedded};
use bytes::{Buf as _, BufMut as _, Bytes};
use prost::Message as _;
use prost_reflect::{
    DescriptorPool, DynamicMessage, FieldDescriptor, Kind, MessageDescriptor, MethodDescriptor, ReflectMessage as _,
    Value,
};
use rand::Rng as _;
use tokio::runtime::Runtime;
use tonic::{
    Code, Request, Status,
    codec::{Codec, DecodeBuf, Decoder, EncodeBuf, Encoder},
    transport::Channel,
};

use crate::engine::{Dice, mutate, run, run_some};

/// How long a caller waits for the next change before it leaves.
const QUIET: std::time::Duration = std::time::Duration::from_millis(50);

/// Calls that one service gets before a new one takes its place: many of them change the book, and what a call reads of a
/// history without end takes as long as it is.
const CALLS_A_SERVICE: u32 = 5_000;

/// Numbers at and beyond every bound.
const NUMBERS: [f64; 22] = [
    0.0,
    -0.0,
    1.0,
    -1.0,
    0.5,
    1e-3,
    1e-12,
    1e-300,
    5e-324,
    10.0,
    100.0,
    1e3,
    1e6,
    1e12,
    1e300,
    f64::MAX,
    f64::MIN,
    f64::EPSILON,
    f64::NAN,
    f64::INFINITY,
    f64::NEG_INFINITY,
    90.0,
];

const WORDS: [&str; 18] = [
    "",
    " ",
    "M12",
    "10.9",
    "vehicles/van-l35",
    "bolts/m12-109-40",
    "receivers/",
    "/",
    "*",
    "..",
    "500 lb",
    "21 5/8 in",
    "∞",
    "r1",
    "11111111111111111",
    "225/70R15C 112/110R",
    "a\u{0}b",
    "ﬃ",
];

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
        into.put(item);
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

/// A service with the demonstration's book in memory, and requests for all of its calls.
struct House {
    runtime: Runtime,
    embedded: Option<Embedded>,
    channel: Channel,
    called: u32,
    corpus: BTreeMap<String, (MethodDescriptor, Vec<DynamicMessage>)>,
    backups: tempfile::TempDir,
}

impl House {
    fn open() -> Self {
        let runtime = Runtime::new().expect("a runtime starts");
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let backups = tempfile::tempdir().expect("a temporary folder");
        let embedded = runtime.block_on(started(backups.path()));
        let pool = DescriptorPool::decode(DESCRIPTOR_SET).expect("the descriptor set decodes");
        let mut corpus = BTreeMap::new();
        for service in pool.services().filter(|service| service.full_name().starts_with("baybook.v1.")) {
            for method in service.methods() {
                let file = root.join(format!("fuzz/corpus/calls/{}.{}.ndjson", service.name(), method.name()));
                let text = fs::read_to_string(&file).unwrap_or_default();
                let read = |line: &str| {
                    let mut json = serde_json::Deserializer::from_str(line);
                    DynamicMessage::deserialize(method.input(), &mut json).expect("the corpus fits the contract")
                };
                let mut requests: Vec<_> = text.lines().map(read).collect();
                requests.push(DynamicMessage::new(method.input()));
                corpus.insert(format!("/{}/{}", service.full_name(), method.name()), (method, requests));
            }
        }
        let channel = embedded.channel();
        Self { runtime, embedded: Some(embedded), channel, called: 0, corpus, backups }
    }

    /// Counts a call; after many a new service takes the place of this one, with the book as it was at first.
    fn count(&mut self) {
        self.called += 1;
        if self.called < CALLS_A_SERVICE {
            return;
        }
        self.called = 0;
        self.close();
        self.backups = tempfile::tempdir().expect("a temporary folder");
        let embedded = self.runtime.block_on(started(self.backups.path()));
        self.channel = embedded.channel();
        self.embedded = Some(embedded);
    }

    fn close(&mut self) {
        if let Some(embedded) = self.embedded.take() {
            let _ = self.runtime.block_on(embedded.close());
        }
    }

    /// Makes a call, reads its answers to the end, and returns how it ended. What is told of changes has no end: it is
    /// left once nothing more comes.
    fn call(&self, path: &str, messages: Vec<Bytes>) -> Result<(), Status> {
        self.runtime.block_on(async {
            let mut client = tonic::client::Grpc::new(self.channel.clone()).max_decoding_message_size(64 << 20);
            client.ready().await.map_err(|error| Status::unavailable(error.to_string()))?;
            let endless = path.ends_with("/WatchBook");
            let path = path.parse().expect("a path");
            let sent = Request::new(tokio_stream::iter(messages));
            let mut answers = client.streaming(sent, path, Raw).await?.into_inner();
            if endless {
                while let Ok(told) = tokio::time::timeout(QUIET, answers.message()).await {
                    if told?.is_none() {
                        break;
                    }
                }
                return Ok(());
            }
            while answers.message().await?.is_some() {}
            Ok(())
        })
    }

    /// Tries one call; whatever it is told must not be that we failed.
    fn holds(&mut self, path: &str, messages: Vec<Bytes>, shown: impl FnOnce() -> String) {
        self.count();
        if let Err(status) = self.call(path, messages) {
            let ours = [Code::Internal, Code::Unknown, Code::DataLoss, Code::Unavailable, Code::DeadlineExceeded];
            assert!(!ours.contains(&status.code()), "{path}: {status}\n{}", shown());
        }
    }
}

impl Drop for House {
    fn drop(&mut self) {
        self.close();
    }
}

/// Starts a service with the demonstration's book in memory.
async fn started(backups: &Path) -> Embedded {
    let book_folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../deploy/demo/book");
    let backup_dir = backups.to_owned();
    let config = Config { book_folder, backup_dir, ..Config::in_memory().expect("the defaults are sound") };
    Embedded::open(config).await.expect("the demo's book is read")
}

/// A number that a field may or may not have.
fn number(dice: &mut Dice, now: Option<f64>) -> f64 {
    match now {
        Some(now) if dice.random() => now * [-1.0, 0.0, 0.1, 0.5, 0.99, 1.01, 2.0, 10.0, 1e6][dice.random_range(0..9)],
        _ => NUMBERS[dice.random_range(0..NUMBERS.len())],
    }
}

fn whole(dice: &mut Dice) -> i64 {
    let numbers = [0, 1, -1, 2, 7, 100, 1_001, i64::from(i32::MAX), i64::from(i32::MIN), i64::MAX, i64::MIN];
    numbers[dice.random_range(0..numbers.len())]
}

/// One value of a kind.
fn value(dice: &mut Dice, kind: &Kind, now: Option<&Value>, depth: usize) -> Value {
    match kind {
        Kind::Double => Value::F64(number(dice, now.and_then(Value::as_f64))),
        Kind::Int32 => Value::I32(whole(dice) as i32),
        Kind::Int64 => Value::I64(whole(dice)),
        Kind::Bool => Value::Bool(dice.random()),
        Kind::Bytes => Value::Bytes(Bytes::from_static(b"\x00\xff")),
        Kind::Enum(one) => {
            let known: Vec<i32> = one.values().map(|value| value.number()).collect();
            let at = dice.random_range(0..=known.len());
            Value::EnumNumber(known.get(at).copied().unwrap_or(9_999))
        }
        Kind::Message(message) => {
            let mut made =
                now.and_then(Value::as_message).cloned().unwrap_or_else(|| DynamicMessage::new(message.clone()));
            alter(dice, &mut made, depth + 1);
            Value::Message(made)
        }
        _ => {
            let mut text = now.and_then(Value::as_str).unwrap_or_default().to_owned();
            if dice.random() {
                text = String::from_utf8_lossy(&mutate(dice, &[text.into_bytes()], &WORDS)).into_owned();
            } else {
                text = WORDS[dice.random_range(0..WORDS.len())].to_owned();
            }
            text.truncate(text.floor_char_boundary(2_000));
            Value::String(text)
        }
    }
}

/// Changes one field of a message, or of a message in it: to another value, to none, to more of them.
fn alter(dice: &mut Dice, message: &mut DynamicMessage, depth: usize) {
    let descriptor: MessageDescriptor = message.descriptor();
    let all: Vec<FieldDescriptor> = descriptor.fields().collect();
    if all.is_empty() || depth > 12 {
        return;
    }
    // What is there already is where a change goes deepest.
    let set: Vec<FieldDescriptor> = all.iter().filter(|field| message.has_field(field)).cloned().collect();
    let from = if set.is_empty() || dice.random_ratio(1, 4) { &all } else { &set };
    let field = &from[dice.random_range(0..from.len())];
    if message.has_field(field) && dice.random_ratio(1, 8) {
        message.clear_field(field);
        return;
    }
    if field.is_map() {
        return;
    }
    let now = message.has_field(field).then(|| message.get_field(field).into_owned());
    if field.is_list() {
        let mut list = now.as_ref().and_then(Value::as_list).map(<[Value]>::to_vec).unwrap_or_default();
        let at = dice.random_range(0..=list.len());
        match list.get(at) {
            Some(one) if dice.random() => list[at] = value(dice, &field.kind(), Some(&one.clone()), depth),
            Some(one) => {
                let again = vec![one.clone(); dice.random_range(1..4)];
                list.splice(at..at, again);
            }
            None => list.push(value(dice, &field.kind(), list.first(), depth)),
        }
        list.truncate(2_000);
        message.set_field(field, Value::List(list));
        return;
    }
    let made = value(dice, &field.kind(), now.as_ref(), depth);
    message.set_field(field, made);
}

#[test]
fn fuzz_calls() {
    let mut house = House::open();
    let calls: Vec<_> = house.corpus.clone().into_iter().collect();
    assert!(35 < calls.len(), "{} calls", calls.len());
    let with = calls.iter().filter(|(_, (_, requests))| 1 < requests.len()).count();
    assert!(calls.len() <= with + 8, "{} calls have nothing in the corpus", calls.len() - with);
    run("calls", |dice| {
        let (path, (_, requests)) = &calls[dice.random_range(0..calls.len())];
        let mut request = requests[dice.random_range(0..requests.len())].clone();
        for _ in 0..dice.random_range(1..5) {
            alter(dice, &mut request, 0);
        }
        house.holds(path, vec![request.encode_to_vec().into()], || format!("{request:?}"));
    });
}

#[test]
fn fuzz_messages() {
    let mut house = House::open();
    let calls: Vec<_> = house.corpus.clone().into_iter().collect();
    run("messages", |dice| {
        let (path, (method, requests)) = &calls[dice.random_range(0..calls.len())];
        let corpus: Vec<Vec<u8>> = requests.iter().map(prost::Message::encode_to_vec).collect();
        let many = if method.is_client_streaming() { dice.random_range(0..4) } else { 1 };
        let messages: Vec<Bytes> = (0..many).map(|_| mutate(dice, &corpus, &WORDS).into()).collect();
        house.holds(path, messages.clone(), || format!("{messages:?}"));
    });
}

/// Everything that can be put into the book, as it stands in the demonstration's and changed.
#[test]
fn fuzz_entries() {
    let mut house = House::open();
    let (path, list) = ("/baybook.v1.SpecBookService/PutEntry", "/baybook.v1.SpecBookService/ImportEntries");
    let (_, imports) = house.corpus[list].clone();
    let (put, _) = house.corpus[path].clone();
    let of = |message: &DynamicMessage| match message.get_field_by_name("entries").map(std::borrow::Cow::into_owned) {
        Some(Value::List(entries)) => entries,
        _ => Vec::new(),
    };
    let entries: Vec<Value> = imports.iter().flat_map(of).collect();
    assert!(20 < entries.len(), "{} entries", entries.len());
    run_some("entries", 2, |dice| {
        let mut request = DynamicMessage::new(put.input());
        request.set_field_by_name("entry", entries[dice.random_range(0..entries.len())].clone());
        request.set_field_by_name("validate_only", Value::Bool(true));
        for _ in 0..dice.random_range(1..5) {
            alter(dice, &mut request, 0);
        }
        request.set_field_by_name("validate_only", Value::Bool(true));
        house.holds(path, vec![request.encode_to_vec().into()], || format!("{request:?}"));
    });
}
