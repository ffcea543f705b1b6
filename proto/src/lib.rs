//! The `baybook.v1` contract.
//!
//! Everything here is generated from the `.proto` files beside this crate; no message is written by hand.
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

    include!(concat!(env!("OUT_DIR"), "/shapes.rs"));
}
