//! Laws that hold for every field of every message that is read: driven by the contract's own descriptors, so that a
//! new field that nobody reads is found here.

use baybook_proto::v1 as pb;
use proptest::prelude::*;
use prost::Message;
use prost_reflect::{DescriptorPool, DynamicMessage, FieldDescriptor, Kind, MessageDescriptor, ReflectMessage, Value};

use super::{
    Fields, FromWire, Spec, WireError,
    axles::AxleLoads,
    clearances::Clearances,
    fit_receivers::FitReceivers,
    fixture::{self, Book},
    plan::plan_in,
    size_circuit::SizeCircuit,
    thread::LookUpThread,
    torque::{AdjustTorque, read_assess_torque},
    towing::read_rate_towing,
};

/// One step from a message to a field inside of it.
#[derive(Clone)]
struct Step {
    field: FieldDescriptor,
}

/// Returns the ways to every field of a message that holds no message itself.
fn leaves(message: &MessageDescriptor) -> Vec<Vec<Step>> {
    let mut ways = Vec::new();
    for field in message.fields() {
        let step = Step { field: field.clone() };
        match field.kind() {
            Kind::Message(inner) if inner.full_name().starts_with("baybook") => {
                ways.extend(leaves(&inner).into_iter().map(|way| [vec![step.clone()], way].concat()));
            }
            Kind::Message(_) => {}
            _ => ways.push(vec![step]),
        }
    }
    ways
}

/// Returns the path as a violation writes it.
fn path(way: &[Step]) -> String {
    let name = |step: &Step| format!("{}{}", step.field.name(), if step.field.is_list() { "[0]" } else { "" });
    way.iter().map(name).collect::<Vec<_>>().join(".")
}

/// Sets the field at the end of the way, making what is missing on it.
fn set(message: &mut DynamicMessage, way: &[Step], value: Value) {
    let Some((step, rest)) = way.split_first() else { return };
    let field = &step.field;
    if rest.is_empty() {
        message.set_field(field, if field.is_list() { Value::List(vec![value]) } else { value });
        return;
    }
    let Kind::Message(inner) = field.kind() else { return };
    let old = message.get_field(field).into_owned();
    let new = match old {
        Value::List(mut list) => {
            let mut first = match list.first() {
                Some(Value::Message(first)) => first.clone(),
                _ => DynamicMessage::new(inner),
            };
            set(&mut first, rest, value);
            if list.is_empty() {
                list.push(Value::Message(first));
            } else {
                list[0] = Value::Message(first);
            }
            Value::List(list)
        }
        Value::Message(mut inside) => {
            set(&mut inside, rest, value);
            Value::Message(inside)
        }
        other => other,
    };
    message.set_field(field, new);
}

/// A message that is read, and how: from its bytes to what is wrong with it.
struct Reader {
    name: &'static str,
    base: Vec<u8>,
    read: fn(&[u8], &Book) -> Option<WireError>,
}

fn wrong<T>(fields: &mut Fields, value: Option<T>) -> Option<WireError> {
    fields.finish(value).err()
}

fn readers() -> Vec<Reader> {
    vec![
        Reader {
            name: "baybook.v1.Entry",
            base: Vec::new(),
            read: |bytes, _| {
                let mut fields = Fields::default();
                let spec = Spec::from_entry(&pb::Entry::decode(bytes).ok()?, &mut fields);
                wrong(&mut fields, spec)
            },
        },
        Reader {
            name: "baybook.v1.UpfitPlan",
            base: fixture::plan().encode_to_vec(),
            read: |bytes, book| {
                let mut fields = Fields::default();
                let plan = plan_in(&pb::UpfitPlan::decode(bytes).ok()?, book, &mut fields);
                wrong(&mut fields, plan)
            },
        },
        Reader {
            name: "baybook.v1.AdjustTorqueRequest",
            base: Vec::new(),
            read: |bytes, book| AdjustTorque::read(&pb::AdjustTorqueRequest::decode(bytes).ok()?, book).err(),
        },
        Reader {
            name: "baybook.v1.AssessTorqueRequest",
            base: Vec::new(),
            read: |bytes, book| read_assess_torque(&pb::AssessTorqueRequest::decode(bytes).ok()?, book).err(),
        },
        Reader {
            name: "baybook.v1.ClearancesRequest",
            base: pb::ClearancesRequest {
                plan: Some(fixture::plan()),
                tape_uncertainty_mm: None,
                ..Default::default()
            }
            .encode_to_vec(),
            read: |bytes, book| Clearances::read(&pb::ClearancesRequest::decode(bytes).ok()?, book).err(),
        },
        Reader {
            name: "baybook.v1.AxleLoadsRequest",
            base: pb::AxleLoadsRequest { plan: Some(fixture::plan()), ..Default::default() }.encode_to_vec(),
            read: |bytes, book| AxleLoads::read(&pb::AxleLoadsRequest::decode(bytes).ok()?, book).err(),
        },
        Reader {
            name: "baybook.v1.RateTowingRequest",
            base: pb::RateTowingRequest { plan: Some(fixture::plan()) }.encode_to_vec(),
            read: |bytes, book| read_rate_towing(&pb::RateTowingRequest::decode(bytes).ok()?, book).err(),
        },
        Reader {
            name: "baybook.v1.FitReceiversRequest",
            base: pb::FitReceiversRequest { plan: Some(fixture::plan()), ..Default::default() }.encode_to_vec(),
            read: |bytes, book| FitReceivers::read(&pb::FitReceiversRequest::decode(bytes).ok()?, book).err(),
        },
        Reader {
            name: "baybook.v1.SizeCircuitRequest",
            base: Vec::new(),
            read: |bytes, book| SizeCircuit::read(&pb::SizeCircuitRequest::decode(bytes).ok()?, book).err(),
        },
        Reader {
            name: "baybook.v1.LookUpThreadRequest",
            base: Vec::new(),
            read: |bytes, _| {
                let mut fields = Fields::default();
                let asked = LookUpThread::from_wire(&pb::LookUpThreadRequest::decode(bytes).ok()?, &mut fields);
                wrong(&mut fields, asked)
            },
        },
    ]
}

/// Puts each bad value into each field of its kind and demands a violation with the field's own path.
fn every_field(bad: impl Fn(&Kind) -> Vec<Value>, may: &[&str]) -> usize {
    let pool = DescriptorPool::decode(baybook_proto::DESCRIPTOR_SET).unwrap();
    let book = Book::demo();
    let mut tried = 0;
    let mut missed = Vec::new();
    for reader in readers() {
        let message = pool.get_message_by_name(reader.name).unwrap();
        for way in leaves(&message) {
            let Some(last) = way.last() else { continue };
            let path = path(&way);
            if may.contains(&path.as_str()) {
                continue;
            }
            for value in bad(&last.field.kind()) {
                let mut dynamic = DynamicMessage::decode(message.clone(), reader.base.as_slice()).unwrap();
                set(&mut dynamic, &way, value.clone());
                let error = (reader.read)(&dynamic.encode_to_vec(), book).unwrap_or_default();
                if !error.violations.iter().any(|violation| violation.field == path) {
                    let mut why = format!("{} {path} = {value:?}: {error}", dynamic.descriptor().name());
                    why.truncate(why.floor_char_boundary(300));
                    missed.push(why);
                }
                tried += 1;
            }
        }
    }
    assert!(missed.is_empty(), "{} of {tried}:\n{}", missed.len(), missed.join("\n"));
    tried
}

/// What the service sets itself and does not read, and the token, which the reader of pages reads.
const SET_BY_SERVICE: &[&str] = &["etag", "author", "revision", "page_token"];
/// What the reader of pages reads, before the message itself.
const READ_BY_PAGES: &[&str] = &["page_size"];

#[test]
fn every_number_must_be_a_number() {
    let bad = |kind: &Kind| match kind {
        Kind::Double => vec![f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300, -1e300],
        _ => vec![],
    };
    let tried = every_field(|kind| bad(kind).into_iter().map(Value::F64).collect(), &[]);
    assert!(tried > 1000, "only {tried} numbers: are the descriptors still read?");
}

#[test]
fn every_count_has_bounds() {
    let bad = |kind: &Kind| match kind {
        Kind::Int32 => vec![Value::I32(i32::MAX), Value::I32(i32::MIN), Value::I32(-1)],
        _ => vec![],
    };
    assert!(every_field(bad, READ_BY_PAGES) > 30);
}

#[test]
fn every_enum_refuses_a_number_that_no_value_has() {
    let bad = |kind: &Kind| match kind {
        Kind::Enum(_) => vec![Value::EnumNumber(99), Value::EnumNumber(-1)],
        _ => vec![],
    };
    assert!(every_field(bad, &[]) > 30);
}

#[test]
fn every_text_refuses_control_characters_and_excess() {
    let bad = |kind: &Kind| match kind {
        Kind::String => vec![Value::String("a\u{7}b".to_owned()), Value::String("x".repeat(70_000))],
        _ => vec![],
    };
    assert!(every_field(bad, SET_BY_SERVICE) > 100);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn any_bytes_are_read_or_refused(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        for reader in readers() {
            let _ = (reader.read)(&bytes, Book::demo());
        }
    }

    #[test]
    fn a_damaged_entry_or_plan_is_read_or_refused(
        which in any::<prop::sample::Index>(),
        hits in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
    ) {
        let mut entry = which.get(fixture::entries()).encode_to_vec();
        let mut plan = fixture::plan().encode_to_vec();
        for (place, byte) in &hits {
            let (in_entry, in_plan) = (place.index(entry.len()), place.index(plan.len()));
            entry[in_entry] = *byte;
            plan[in_plan] = *byte;
        }
        for (reader, bytes) in readers().iter().zip([entry, plan]) {
            let _ = (reader.read)(&bytes, Book::demo());
        }
    }
}
