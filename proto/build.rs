//! Compiles the contract with protox, so that nothing but cargo is needed.

use std::{env, error::Error, fs, path::PathBuf};

use prost::Message as _;
use prost_types::{
    FileDescriptorSet,
    field_descriptor_proto::{Label, Type},
};

/// Fields that are kept behind a pointer.
const APART: [&str; 17] = [
    "BallMountRef.ball_mount.spec",
    "BallRef.ball.spec",
    "BedCouplingRef.bed_coupling.spec",
    "BoltRef.bolt.spec",
    "CouplerRef.coupler.spec",
    "FinishRef.finish.spec",
    "NumberedPlan.plan",
    "NutRef.nut.spec",
    "PolicyRef.policy.spec",
    "ReceiverRef.receiver.spec",
    "Report.figures",
    "Report.policy",
    "RollOverRequest.rolling.plan",
    "TrailerRef.trailer.spec",
    "VehicleRef.vehicle.spec",
    "WasherRef.washer.spec",
    "WrenchRef.wrench.spec",
];

fn main() -> Result<(), Box<dyn Error>> {
    let root = PathBuf::from(env::var("CARGO_MANIFEST_DIR")?);
    let out = PathBuf::from(env::var("OUT_DIR")?);
    let folder = root.join("baybook/v1");
    println!("cargo:rerun-if-changed={}", folder.display());

    let mut files: Vec<PathBuf> =
        fs::read_dir(&folder)?.map(|entry| entry.map(|entry| entry.path())).collect::<Result<Vec<_>, _>>()?;
    files.retain(|path| path.extension().is_some_and(|extension| extension == "proto"));
    files.sort();
    for file in &files {
        println!("cargo:rerun-if-changed={}", file.display());
    }

    let descriptors = protox::compile(&files, [&root])?;
    let bytes = descriptors.encode_to_vec();
    fs::write(out.join("baybook_v1.binpb"), &bytes)?;
    fs::write(out.join("shapes.rs"), shapes(&descriptors)?)?;
    let mut contract = tonic_prost_build::configure();
    // A reference holds a name far more often than a whole specification, and a report seldom its figures. Kept apart,
    // they leave a plan at a quarter of its size; a stream of plans is moved and cleared that much faster.
    for part in APART {
        contract = contract.boxed(format!(".baybook.v1.{part}"));
    }
    contract
        .build_transport(false)
        .compile_well_known_types(true)
        .extern_path(".google.protobuf", "::pbjson_types")
        .compile_fds(descriptors)?;
    pbjson_build::Builder::new().register_descriptors(&bytes)?.preserve_proto_field_names().build(&[".baybook.v1"])?;
    Ok(())
}

/// The types of the table of shapes.
const SHAPE: &str = "\
/// A message of the contract.
#[derive(Debug, Clone, Copy)]
pub struct Shape {
    /// Its full name.
    pub name: &'static str,
    /// Bytes that it takes, without what its lists and texts point to.
    pub bytes: usize,
    /// Its fields that hold more than one number, by their numbers, in their order.
    pub parts: &'static [(u32, Part)],
}

/// What a field holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// A message, or a list of them: the place of its shape in [`SHAPES`].
    Message(usize),
    /// A list of numbers or texts.
    List,
    /// A text, or bytes.
    Text,
}

/// Every message of the contract, by name.
pub static SHAPES: &[Shape] = &[
";

/// Writes down what each message holds and takes in memory, and which of them each call asks with.
fn shapes(descriptors: &FileDescriptorSet) -> Result<String, Box<dyn Error>> {
    let files = || descriptors.file.iter();
    let full = |package: &str, name: &str| format!(".{package}.{name}");
    let mut messages: Vec<_> = files()
        .flat_map(|file| file.message_type.iter().map(|message| (full(file.package(), message.name()), message)))
        .collect();
    messages.sort_by(|a, b| a.0.cmp(&b.0));
    let place = |name: &str| messages.binary_search_by(|(full, _)| full.as_str().cmp(name)).ok();
    let mut code = SHAPE.to_owned();
    for (name, message) in &messages {
        if !message.nested_type.is_empty() {
            return Err(
                format!("{name} holds the declaration of a message: its size would be looked for elsewhere").into()
            );
        }
        let mut fields: Vec<_> = message.field.iter().collect();
        fields.sort_by_key(|field| field.number());
        let mut parts = String::new();
        for field in fields {
            let part = match (field.r#type(), field.label()) {
                (Type::Message, _) => {
                    let place =
                        place(field.type_name()).ok_or_else(|| format!("{} is not there", field.type_name()))?;
                    format!("Part::Message({place})")
                }
                (_, Label::Repeated) => "Part::List".to_owned(),
                (Type::String | Type::Bytes, _) => "Part::Text".to_owned(),
                _ => continue,
            };
            parts.push_str(&format!("({}, {part}), ", field.number()));
        }
        let name = name.trim_start_matches('.');
        let own = name.strip_prefix("baybook.v1.").map(|own| format!("crate::v1::{own}"));
        let kind = own.or_else(|| name.strip_prefix("google.protobuf.").map(|known| format!("pbjson_types::{known}")));
        let kind = kind.ok_or_else(|| format!("{name} is of neither package"))?;
        code.push_str(&format!(
            "    Shape {{ name: \"{name}\", bytes: size_of::<{kind}>(), parts: &[{}] }},\n",
            parts.trim_end_matches(", ")
        ));
    }
    code.push_str("];\n\n/// What each call asks with: its path, and the place of the message in [`SHAPES`].\n");
    code.push_str("pub static REQUESTS: &[(&str, usize)] = &[\n");
    for (file, service) in files().flat_map(|file| file.service.iter().map(move |service| (file, service))) {
        for method in &service.method {
            let place = place(method.input_type()).ok_or_else(|| format!("{} is not there", method.input_type()))?;
            code.push_str(&format!("    (\"/{}.{}/{}\", {place}),\n", file.package(), service.name(), method.name()));
        }
    }
    code.push_str("];\n");
    Ok(code)
}
