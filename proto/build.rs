//! Compiles the contract with protox, so that nothing but cargo is needed.

use std::{env, error::Error, fs, path::PathBuf};

use prost::Message as _;

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
