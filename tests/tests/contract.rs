//! Laws of the contract, read from its compiled descriptor set.

#![expect(clippy::expect_used, reason = "a test that cannot go on has failed")]

use std::collections::{BTreeMap, BTreeSet};

use baybook_proto::DESCRIPTOR_SET;
use prost_reflect::{
    DescriptorPool, EnumDescriptor, FieldDescriptor, FileDescriptor, Kind, MessageDescriptor, ServiceDescriptor,
    prost_types::{DescriptorProto, EnumDescriptorProto, FileDescriptorProto},
};

/// Endings of a physical quantity's name: one SI unit for each quantity.
const UNITS: [&str; 22] = [
    "mm",
    "mm2",
    "m2",
    "kg",
    "n",
    "kn",
    "n_m",
    "mpa",
    "n_per_mm",
    "deg",
    "v",
    "a",
    "ohm",
    "ohm_per_km",
    "c",
    "km",
    "share",
    "count",
    "hv",
    "s",
    "ms",
    "in_unit",
];

/// Endings of the name of a whole number that counts, numbers or codes something.
const WHOLE: [&str; 9] = ["count", "code", "position", "revision", "seq", "size", "year", "pass", "bytes"];

fn pool() -> DescriptorPool {
    DescriptorPool::decode(DESCRIPTOR_SET).expect("the descriptor set decodes")
}

fn ours(pool: &DescriptorPool) -> Vec<FileDescriptor> {
    let files: Vec<_> = pool.files().filter(|file| file.package_name() == "baybook.v1").collect();
    assert!(10 < files.len(), "only {} files", files.len());
    files
}

fn messages(pool: &DescriptorPool) -> Vec<MessageDescriptor> {
    let all = pool.all_messages().filter(|message| message.full_name().starts_with("baybook.v1.")).collect::<Vec<_>>();
    assert!(80 < all.len(), "only {} messages", all.len());
    all
}

fn fields(pool: &DescriptorPool) -> Vec<FieldDescriptor> {
    messages(pool).iter().flat_map(|message| message.fields().collect::<Vec<_>>()).collect()
}

fn enums(pool: &DescriptorPool) -> Vec<EnumDescriptor> {
    pool.all_enums().filter(|it| it.full_name().starts_with("baybook.v1.")).collect()
}

fn services(pool: &DescriptorPool) -> Vec<ServiceDescriptor> {
    pool.services().filter(|it| it.full_name().starts_with("baybook.v1.")).collect()
}

fn ends_with_one_of(name: &str, endings: &[&str]) -> bool {
    endings.iter().any(|ending| name == *ending || name.strip_suffix(ending).is_some_and(|rest| rest.ends_with('_')))
}

/// Fails with everything that is not as it should be.
fn none(what: &str, found: &[String]) {
    assert!(found.is_empty(), "{what}:\n{}", found.join("\n"));
}

#[test]
fn every_number_carries_its_unit() {
    let pool = pool();
    let (mut wrong, mut numbers) = (Vec::new(), 0);
    for field in fields(&pool) {
        let (name, path) = (field.name().to_owned(), field.full_name().to_owned());
        match field.kind() {
            Kind::Double => {
                numbers += 1;
                if !ends_with_one_of(&name, &UNITS) {
                    wrong.push(format!("{path}: no unit of {UNITS:?}"));
                }
            }
            Kind::Int32 | Kind::Int64 => {
                numbers += 1;
                if !ends_with_one_of(&name, &WHOLE) {
                    wrong.push(format!("{path}: not one of {WHOLE:?}"));
                }
            }
            Kind::Message(_) | Kind::Enum(_) | Kind::String | Kind::Bool | Kind::Bytes => {}
            other => wrong.push(format!("{path}: {other:?}; numbers are double, int32 or int64")),
        }
    }
    assert!(200 < numbers, "only {numbers} numbers");
    none("numbers without a unit, and kinds of number that are not used", &wrong);
}

#[test]
fn a_torque_is_in_newton_metres_and_a_mass_in_kilograms() {
    let pool = pool();
    let mut wrong = Vec::new();
    for field in fields(&pool).iter().filter(|field| field.kind() == Kind::Double) {
        let name = field.name();
        let units: &[&str] = match name {
            _ if name.contains("torque") => &["n_m"],
            _ if name.contains("mass") => &["kg", "mm", "share"],
            _ if name.contains("angle") => &["deg"],
            _ if name.contains("preload") || name.ends_with("load_n") => &["n"],
            _ if name.contains("diameter") || name.contains("height") || name.contains("length") => &["mm"],
            _ => continue,
        };
        if !ends_with_one_of(name, units) {
            wrong.push(format!("{}: expected {units:?}", field.full_name()));
        }
    }
    none("quantities in a unit that is not theirs", &wrong);
}

#[test]
fn absent_and_zero_differ_for_every_quantity() {
    let pool = pool();
    let doubles = fields(&pool).into_iter().filter(|field| field.kind() == Kind::Double);
    let wrong: Vec<String> =
        doubles.filter(|field| !field.supports_presence()).map(|field| field.full_name().to_owned()).collect();
    none("quantities that cannot be absent", &wrong);
}

#[test]
fn every_enum_starts_with_its_unspecified_value() {
    let pool = pool();
    let mut wrong = Vec::new();
    for one in enums(&pool) {
        let prefix = screaming(one.name());
        for value in one.values() {
            if !value.name().starts_with(&format!("{prefix}_")) {
                wrong.push(format!("{} of {} does not start with {prefix}_", value.name(), one.name()));
            }
            if (value.number() == 0) != (value.name() == format!("{prefix}_UNSPECIFIED")) {
                wrong.push(format!("{} of {} is {}", value.name(), one.name(), value.number()));
            }
        }
        if one.values().all(|value| value.number() != 0) {
            wrong.push(format!("{} has no zero", one.name()));
        }
    }
    none("enums", &wrong);
}

fn screaming(name: &str) -> String {
    let mut text = String::new();
    for (at, character) in name.char_indices() {
        if 0 < at && character.is_ascii_uppercase() {
            text.push('_');
        }
        text.push(character.to_ascii_uppercase());
    }
    text
}

#[test]
fn every_call_has_a_request_and_a_reply_of_its_own() {
    let pool = pool();
    let mut used = BTreeSet::new();
    let mut names = Vec::new();
    for service in services(&pool) {
        assert!(service.name().ends_with("Service"), "{}", service.full_name());
        names.push(service.name().to_owned());
        for method in service.methods() {
            assert_eq!(method.input().name(), format!("{}Request", method.name()));
            assert_eq!(method.output().name(), format!("{}Response", method.name()));
            assert!(used.insert(method.input().full_name().to_owned()), "{} is used twice", method.input().name());
            assert!(used.insert(method.output().full_name().to_owned()), "{} is used twice", method.output().name());
        }
    }
    names.sort();
    assert_eq!(names, ["CalculatorService", "SpecBookService", "StewardService", "UpfitsService"]);
    let messages = messages(&pool);
    let unused = messages.iter().filter(|message| {
        (message.name().ends_with("Request") || message.name().ends_with("Response"))
            && !used.contains(message.full_name())
    });
    assert_eq!(unused.map(|message| message.name().to_owned()).collect::<Vec<_>>(), Vec::<String>::new());
}

#[test]
fn every_answer_says_which_book_it_read() {
    let pool = pool();
    // A thread's sizes, the rule book and the list of limits are in no book.
    let bookless = ["LookUpThreadResponse", "ListRulesResponse", "ExplainRuleResponse"];
    for service in services(&pool) {
        for method in service.methods() {
            let reply = method.output();
            if bookless.contains(&reply.name()) {
                continue;
            }
            let revision = reply.get_field_by_name("revision");
            assert_eq!(revision.map(|field| field.kind()), Some(Kind::Int64), "{}", reply.name());
        }
    }
}

#[test]
fn every_answer_of_the_calculator_has_basis_and_cautions() {
    let pool = pool();
    let calculator = pool.get_service_by_name("baybook.v1.CalculatorService").expect("the calculator is a service");
    for method in calculator.methods() {
        for (field, kind) in [("basis", "baybook.v1.Basis"), ("cautions", "baybook.v1.Caution")] {
            let found = method.output().get_field_by_name(field);
            let found = found.unwrap_or_else(|| panic!("{} has no {field}", method.output().name()));
            assert!(found.is_list());
            assert_eq!(found.kind().as_message().map(|message| message.full_name().to_owned()).as_deref(), Some(kind));
        }
    }
}

#[test]
fn every_kind_of_entry_is_named_in_the_same_way_everywhere() {
    let pool = pool();
    let entry = pool.get_message_by_name("baybook.v1.Entry").expect("entries are in the contract");
    let spec = entry.oneofs().find(|oneof| oneof.name() == "spec").expect("an entry has a specification");
    let specs: Vec<String> = spec.fields().map(|field| field.name().to_uppercase()).collect();
    let kinds = pool.get_enum_by_name("baybook.v1.EntryKind").expect("entries have kinds");
    let kinds: Vec<String> =
        kinds.values().skip(1).map(|value| value.name().trim_start_matches("ENTRY_KIND_").to_owned()).collect();
    assert_eq!(specs, kinds);
}

#[test]
fn a_reference_is_a_name_or_the_thing_itself() {
    let pool = pool();
    let messages = messages(&pool);
    let references: Vec<_> = messages.iter().filter(|message| message.name().ends_with("Ref")).collect();
    assert!(10 <= references.len(), "{} references", references.len());
    for reference in references {
        let thing = reference.name().trim_end_matches("Ref");
        assert_eq!(reference.oneofs().count(), 1, "{thing}");
        let fields: Vec<(String, u32)> =
            reference.fields().map(|field| (field.name().to_owned(), field.number())).collect();
        assert_eq!(fields, [("name".to_owned(), 1), ("spec".to_owned(), 2)], "{thing}");
        let spec = reference.get_field_by_name("spec").map(|field| field.kind());
        assert_eq!(spec.as_ref().and_then(Kind::as_message).map(|message| message.name()), Some(thing));
    }
}

/// Returns every element of a file that needs a comment, with the path under which its comment is kept.
fn elements(file: &FileDescriptorProto) -> Vec<(Vec<i32>, String)> {
    let mut found = Vec::new();
    for (i, message) in file.message_type.iter().enumerate() {
        message_elements(&mut vec![4, at(i)], message.name(), message, &mut found);
    }
    for (i, one) in file.enum_type.iter().enumerate() {
        enum_elements(&mut vec![5, at(i)], one.name(), one, &mut found);
    }
    for (i, service) in file.service.iter().enumerate() {
        found.push((vec![6, at(i)], service.name().to_owned()));
        for (j, method) in service.method.iter().enumerate() {
            found.push((vec![6, at(i), 2, at(j)], format!("{}.{}", service.name(), method.name())));
        }
    }
    found
}

fn message_elements(path: &mut Vec<i32>, name: &str, message: &DescriptorProto, found: &mut Vec<(Vec<i32>, String)>) {
    found.push((path.clone(), name.to_owned()));
    for (i, field) in message.field.iter().enumerate() {
        found.push(([path.as_slice(), &[2, at(i)]].concat(), format!("{name}.{}", field.name())));
    }
    // An `optional` is a oneof of its own to the compiler; nobody wrote it.
    let written =
        |i: usize| message.field.iter().any(|field| field.oneof_index == Some(at(i)) && !field.proto3_optional());
    for (i, oneof) in message.oneof_decl.iter().enumerate().filter(|(i, _)| written(*i)) {
        found.push(([path.as_slice(), &[8, at(i)]].concat(), format!("{name}.{}", oneof.name())));
    }
    for (i, nested) in message.nested_type.iter().enumerate() {
        message_elements(
            &mut [path.as_slice(), &[3, at(i)]].concat(),
            &format!("{name}.{}", nested.name()),
            nested,
            found,
        );
    }
    for (i, nested) in message.enum_type.iter().enumerate() {
        enum_elements(
            &mut [path.as_slice(), &[4, at(i)]].concat(),
            &format!("{name}.{}", nested.name()),
            nested,
            found,
        );
    }
}

fn enum_elements(path: &mut Vec<i32>, name: &str, one: &EnumDescriptorProto, found: &mut Vec<(Vec<i32>, String)>) {
    found.push((path.clone(), name.to_owned()));
    for (i, value) in one.value.iter().enumerate() {
        found.push(([path.as_slice(), &[2, at(i)]].concat(), format!("{name}.{}", value.name())));
    }
}

fn at(index: usize) -> i32 {
    i32::try_from(index).expect("few elements")
}

/// Returns the comment above every element of a file, by the element's path.
fn comments(file: &FileDescriptorProto) -> BTreeMap<Vec<i32>, String> {
    let info = file.source_code_info.as_ref().expect("the descriptor set keeps the comments");
    info.location.iter().map(|place| (place.path.clone(), place.leading_comments().trim().to_owned())).collect()
}

#[test]
fn everything_has_a_comment() {
    let pool = pool();
    let (mut wrong, mut count) = (Vec::new(), 0);
    for file in ours(&pool) {
        let file = file.file_descriptor_proto();
        let comments = comments(file);
        for (path, name) in elements(file) {
            count += 1;
            match comments.get(&path).map(String::as_str) {
                None | Some("") => wrong.push(format!("{name} has none")),
                Some(comment) if !comment.ends_with(['.', '`', ':']) => {
                    wrong.push(format!("{name} breaks off: {comment}"));
                }
                Some(_) => {}
            }
        }
    }
    assert!(700 < count, "only {count} elements");
    none("comments", &wrong);
}

#[test]
fn every_reason_shows_an_example_of_its_metadata() {
    let pool = pool();
    let reasons = pool.get_enum_by_name("baybook.v1.ErrorReason").expect("the reasons are in the contract");
    let file = reasons.parent_file();
    let comments = comments(file.file_descriptor_proto());
    let index = file.file_descriptor_proto().enum_type.iter().position(|one| one.name() == "ErrorReason");
    let index = index.expect("the reasons are in their file");
    for (i, value) in reasons.values().enumerate().skip(1) {
        let comment = &comments[&vec![5, at(index), 2, at(i)]];
        let examples: Vec<&str> = comment.split('`').filter(|part| part.starts_with('{')).collect();
        assert_eq!(examples.len(), 1, "{}: {comment}", value.name());
        let example: BTreeMap<String, String> =
            serde_json::from_str(examples[0]).unwrap_or_else(|error| panic!("{}: {error}", value.name()));
        assert!(!example.is_empty(), "{}", value.name());
        assert!(example.keys().all(|key| key.chars().all(|c| c.is_ascii_lowercase() || c == '_')), "{example:?}");
    }
}
