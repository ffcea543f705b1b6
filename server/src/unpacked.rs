//! How many bytes a message takes once it is unpacked, told from its bytes as they come and before anything is made of them.
//!
//! An empty message in a list takes two bytes on the wire and may take a kilobyte in memory: four megabytes that are allowed
//! would become gigabytes. What is counted here are the messages inside a message, with what each takes, the elements of
//! its lists, and its texts; what the contract does not know is not kept, and not counted. What can never be unpacked is told
//! at once: whoever unpacks it would make much of it before finding that out.

use std::sync::LazyLock;

use ahash::AHashMap;
use baybook_proto::shape::{Part, REQUESTS, SHAPES};

/// Bytes that an element of a list takes at most, besides its text: a pointer, a length and room.
const ELEMENT_BYTES: usize = 24;

/// Bytes that a number in a packed list takes; on the wire it takes one at least.
const NUMBER_BYTES: usize = 8;

/// Messages inside of each other: what is deeper is refused when it is unpacked.
const DEEP: usize = 100;

/// The shapes of what is asked, by the path of the call.
static BY_PATH: LazyLock<AHashMap<&str, usize>> = LazyLock::new(|| REQUESTS.iter().copied().collect());

/// A message as far as it has come.
#[derive(Debug, Default)]
pub(crate) struct Unpacked {
    /// What is asked; nothing for a call that is not of the contract, which is not counted.
    asked: Option<usize>,
    /// The messages that are open, outermost first, each with its shape and where it ends.
    open: Vec<(usize, usize)>,
    /// How many bytes of the message have come.
    at: usize,
    next: Next,
    /// The number that is being read.
    number: u64,
    shift: u32,
    /// Groups that are open, of fields that the contract does not know: it has none itself.
    groups: usize,
    bytes: usize,
}

/// A message that cannot be unpacked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Torn;

/// What the next byte belongs to.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
enum Next {
    #[default]
    Tag,
    /// A number, which is worth so much in memory.
    Number(usize),
    /// The length of what a tag said.
    Length(Held),
    /// What is not looked into, up to there.
    Skip(usize),
    /// Nothing that could be unpacked.
    Torn,
}

/// What has a length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Held {
    Message(usize),
    /// Elements of a list that are packed together, or one that stands for itself.
    List,
    Text,
    Unknown,
}

impl Unpacked {
    /// Starts for a call of that path.
    pub(crate) fn of(path: &str) -> Self {
        Self { asked: BY_PATH.get(path).copied(), ..Self::default() }
    }

    /// Starts with the next message of the same call, which is so long.
    pub(crate) fn begin(&mut self, length: usize) {
        let Some(asked) = self.asked else { return };
        self.open.clear();
        self.open.push((asked, length));
        (self.at, self.next, self.number, self.shift, self.groups) = (0, Next::Tag, 0, 0, 0);
        self.bytes = SHAPES.get(asked).map_or(0, |shape| shape.bytes);
    }

    /// Takes more bytes of the message, and returns how many it takes in memory so far.
    ///
    /// # Errors
    ///
    /// [`Torn`] when it cannot be unpacked.
    pub(crate) fn take(&mut self, mut bytes: &[u8]) -> Result<usize, Torn> {
        while let Some((first, rest)) = bytes.split_first()
            && !self.open.is_empty()
        {
            if let Next::Skip(end) = self.next {
                let skipped = bytes.len().min(end - self.at);
                self.at += skipped;
                bytes = bytes.get(skipped..).unwrap_or_default();
                if self.at == end {
                    self.next = Next::Tag;
                    self.close();
                }
                continue;
            }
            bytes = rest;
            self.at += 1;
            self.digit(*first);
            if self.next == Next::Torn {
                break;
            }
        }
        if self.next == Next::Torn { Err(Torn) } else { Ok(self.bytes) }
    }

    /// Takes one byte of a number, seven bits of it, the last ones first.
    fn digit(&mut self, byte: u8) {
        self.number |= u64::from(byte & 0x7f).checked_shl(self.shift).unwrap_or(0);
        self.shift += 7;
        if byte & 0x80 != 0 {
            if self.shift >= 70 {
                self.next = Next::Torn;
            }
            return;
        }
        let number = std::mem::take(&mut self.number);
        self.shift = 0;
        match self.next {
            Next::Tag => self.tag(number),
            Next::Number(bytes) => {
                self.bytes += bytes;
                self.next = Next::Tag;
                self.close();
            }
            Next::Length(held) => self.length(held, usize::try_from(number).unwrap_or(usize::MAX)),
            Next::Skip(_) | Next::Torn => {}
        }
    }

    fn tag(&mut self, tag: u64) {
        let known = self.open.last().filter(|_| self.groups == 0);
        let part = known.and_then(|(shape, _)| SHAPES.get(*shape)).and_then(|shape| {
            let field = u32::try_from(tag >> 3).ok()?;
            let place = shape.parts.binary_search_by_key(&field, |(field, _)| *field).ok()?;
            shape.parts.get(place).map(|(_, part)| *part)
        });
        let in_list = if part == Some(Part::List) { NUMBER_BYTES } else { 0 };
        self.next = match (tag & 7, part) {
            (0, _) => Next::Number(in_list),
            (1, _) => self.skip(8, in_list),
            (2, Some(Part::Message(shape))) => Next::Length(Held::Message(shape)),
            (2, Some(Part::List)) => Next::Length(Held::List),
            (2, Some(Part::Text)) => Next::Length(Held::Text),
            (2, None) => Next::Length(Held::Unknown),
            (3, _) => {
                self.groups += 1;
                Next::Tag
            }
            (4, _) if self.groups > 0 => {
                self.groups -= 1;
                Next::Tag
            }
            (5, _) => self.skip(4, in_list),
            _ => Next::Torn,
        };
        if self.next == Next::Tag {
            self.close();
        }
    }

    fn length(&mut self, held: Held, length: usize) {
        let end = self.open.last().map_or(0, |(_, end)| *end);
        if end < self.at.saturating_add(length) {
            self.next = Next::Torn;
            return;
        }
        match held {
            Held::Message(_) if self.open.len() > DEEP => self.next = Next::Torn,
            Held::Message(shape) => {
                self.bytes += SHAPES.get(shape).map_or(0, |shape| shape.bytes);
                self.open.push((shape, self.at + length));
                self.next = Next::Tag;
                self.close();
            }
            Held::List => self.next = self.skip(length, ELEMENT_BYTES + length.saturating_mul(NUMBER_BYTES)),
            Held::Text => self.next = self.skip(length, length),
            Held::Unknown => self.next = self.skip(length, 0),
        }
    }

    /// Passes over so many bytes that take so many in memory.
    fn skip(&mut self, length: usize, bytes: usize) -> Next {
        self.bytes += bytes;
        if length > 0 {
            return Next::Skip(self.at + length);
        }
        self.close();
        Next::Tag
    }

    /// Closes what has ended here.
    fn close(&mut self) {
        while self.open.last().is_some_and(|(_, end)| *end <= self.at) {
            self.open.pop();
        }
    }
}

#[cfg(test)]
mod tests {
    use baybook_proto::v1 as pb;
    use proptest::prelude::*;
    use prost::Message as _;

    use super::*;
    use crate::limits::Limits;

    const CHECK: &str = "/baybook.v1.UpfitsService/CheckUpfits";
    const PUT: &str = "/baybook.v1.SpecBookService/PutEntry";

    /// What a message takes, told in pieces of those lengths.
    fn told_in(path: &str, message: &[u8], cuts: &[usize]) -> Result<usize, Torn> {
        let mut unpacked = Unpacked::of(path);
        unpacked.begin(message.len());
        let (mut told, mut at, mut cuts) = (unpacked.take(&[]), 0, cuts.iter().cycle());
        while at < message.len() && told.is_ok() {
            let end = (at + cuts.next().unwrap().max(&1)).min(message.len());
            told = unpacked.take(&message[at..end]);
            at = end;
        }
        told
    }

    fn told(path: &str, message: &[u8], cuts: &[usize]) -> usize {
        told_in(path, message, cuts).unwrap()
    }

    fn plans(plans: Vec<pb::UpfitPlan>) -> pb::CheckUpfitsRequest {
        let plans = plans.into_iter().map(|plan| pb::NumberedPlan { seq: 1, plan: Some(Box::new(plan)) });
        pb::CheckUpfitsRequest { settings: None, plans: plans.collect() }
    }

    #[test]
    fn what_is_small_on_the_wire_is_told_by_what_it_becomes() {
        // A thousand plans that say nothing: six bytes each on the wire.
        let message = plans(vec![pb::UpfitPlan::default(); 1_000]).encode_to_vec();
        assert_eq!(message.len(), 6_000);
        let each = size_of::<pb::NumberedPlan>() + size_of::<pb::UpfitPlan>();
        assert_eq!(told(CHECK, &message, &[7]), size_of::<pb::CheckUpfitsRequest>() + 1_000 * each);
        // Joints in one plan, two bytes each.
        let joints = vec![pb::PlannedJoint::default(); 1_000];
        let message = plans(vec![pb::UpfitPlan { joints, ..Default::default() }]).encode_to_vec();
        assert!(told(CHECK, &message, &[64]) > 1_000 * size_of::<pb::PlannedJoint>());
        // Texts in a list.
        let asked =
            pb::BatchGetEntriesRequest { names: vec![String::new(); 1_000], ..Default::default() }.encode_to_vec();
        assert!(told("/baybook.v1.SpecBookService/BatchGetEntries", &asked, &[64]) >= 1_000 * size_of::<String>());
    }

    #[test]
    fn as_many_plans_as_a_message_may_hold_take_less_than_it_may() {
        let limits = Limits::default();
        let plan = crate::wire::fixture::plan();
        let message = plans(vec![plan; limits.message_plans]).encode_to_vec();
        assert!(message.len() < limits.receive_bytes);
        let bytes = told(CHECK, &message, &[16 << 10]);
        assert!(bytes < limits.unpacked_bytes / 2, "{bytes}");
        let entry = crate::wire::fixture::entries().iter().max_by_key(|entry| entry.encoded_len()).unwrap().clone();
        let many = limits.receive_bytes / entry.encoded_len() / 2;
        let one = pb::PutEntryRequest { entry: Some(entry), ..Default::default() }.encode_to_vec();
        let bytes = told(PUT, &one, &[16 << 10]);
        assert!(many * bytes < limits.unpacked_bytes, "{many} entries of {bytes} bytes");
    }

    #[test]
    fn a_call_that_is_not_of_the_contract_is_not_counted() {
        assert_eq!(told("/grpc.health.v1.Health/Check", &[0x0a, 0x00, 0x0a, 0x00], &[1]), 0);
    }

    proptest! {
        /// However a message comes, and whatever it is, it is told alike. What can be unpacked is never told torn, and never
        /// short of the messages that it holds; fields and groups that nobody knows hide nothing.
        #[test]
        fn a_message_is_told_alike_however_it_comes(
            joints in prop::collection::vec(0_usize..20, 0..20),
            hits in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..4),
            before in prop::sample::select(vec![
                &b""[..], b"\x7b\x7c", b"\x7b\x12\x02\x12\x00\x83\x01\x84\x01\x7c", b"\x7a\x03\x12\x12\x12", b"\x78\xff\x01", b"\x7d\x01\x02\x03\x04",
            ]),
            cuts in prop::collection::vec(1_usize..50, 1..20),
        ) {
            let each = joints.iter().map(|joints| pb::UpfitPlan {
                unit: "F".repeat(*joints),
                joints: vec![pb::PlannedJoint { id: "frame".to_owned(), ..Default::default() }; *joints],
                ..Default::default()
            });
            let mut message = [before, &plans(each.collect()).encode_to_vec()].concat();
            for (place, byte) in &hits {
                if !message.is_empty() {
                    let place = place.index(message.len());
                    message[place] = *byte;
                }
            }
            let whole = told_in(CHECK, &message, &[message.len()]);
            prop_assert_eq!(told_in(CHECK, &message, &cuts), whole);
            if let Ok(read) = pb::CheckUpfitsRequest::decode(message.as_slice()) {
                let plans = read.plans.iter().filter_map(|numbered| numbered.plan.as_deref());
                let held: usize = plans.map(|plan| {
                    size_of::<pb::NumberedPlan>() + size_of::<pb::UpfitPlan>() + plan.joints.len() * size_of::<pb::PlannedJoint>()
                }).sum();
                prop_assert!(whole.is_ok_and(|whole| held <= whole), "{:?} of {}", whole, held);
            }
        }

        #[test]
        fn any_bytes_are_told(bytes in prop::collection::vec(any::<u8>(), 0..600), cuts in prop::collection::vec(1_usize..50, 1..9)) {
            for path in [CHECK, PUT] {
                let whole = told_in(path, &bytes, &[bytes.len()]);
                prop_assert_eq!(told_in(path, &bytes, &cuts), whole);
            }
            prop_assert!(pb::CheckUpfitsRequest::decode(bytes.as_slice()).is_err() || told_in(CHECK, &bytes, &cuts).is_ok());
            prop_assert!(pb::PutEntryRequest::decode(bytes.as_slice()).is_err() || told_in(PUT, &bytes, &cuts).is_ok());
        }
    }

    #[test]
    fn what_says_to_be_longer_than_what_holds_it_is_torn_at_once() {
        // A plan of two bytes that says to hold sixteen.
        assert_eq!(told_in(CHECK, b"\x12\x02\x12\x10", &[1]), Err(Torn));
    }
}
