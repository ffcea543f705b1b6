//! The `baybook.v1` contract.
//!
//! Everything here is generated from the `.proto` files beside this crate; no type is written by hand.
#![deny(missing_docs)]

/// Messages, clients and servers of `baybook.v1`.
#[expect(clippy::allow_attributes_without_reason, clippy::large_enum_variant, reason = "the generator writes them so")]
pub mod v1 {
    tonic::include_proto!("baybook.v1");
    include!(concat!(env!("OUT_DIR"), "/baybook.v1.serde.rs"));
}

/// The compiled descriptor set of the contract, for reflection and for the tests that read it.
pub const DESCRIPTOR_SET: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/baybook_v1.binpb"));

/// What messages take in memory, to tell how much one will take before it is unpacked.
pub mod shape {
    include!(concat!(env!("OUT_DIR"), "/shapes.rs"));
}
