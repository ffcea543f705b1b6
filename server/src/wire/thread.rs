//! Thread look-ups: questions from the wire.

use baybook_core::model::{fastener::BoltClass, thread::Thread};
use baybook_proto::v1 as pb;

use super::{Fields, FromWire};

/// A question what a thread is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LookUpThread {
    /// The thread.
    pub thread: Thread,
    /// The class or grade, when loads are asked for.
    pub class: Option<BoltClass>,
}

impl FromWire for LookUpThread {
    type Wire = pb::LookUpThreadRequest;

    fn from_wire(wire: &pb::LookUpThreadRequest, fields: &mut Fields) -> Option<Self> {
        let thread = fields.thread("thread", &wire.thread);
        let class = fields.bolt_class("property_class", &wire.property_class);
        Some(Self { thread: thread?, class })
    }
}
