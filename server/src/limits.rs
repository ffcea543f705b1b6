//! Every limit the service enforces, in one place.
//!
//! The libraries underneath leave several of these open by default; each one is set from here, and `ServerInfo` shows
//! the same table. Limits on the fields of one message stand beside the fields' readers; limits on the book's own
//! storage are [`Bounds`].

mod table;

use std::time::Duration;

use crate::book::Bounds;
pub use table::Row;

/// Bytes of an error's message. It travels in the headers of a reply, and callers refuse headers beyond 8 KiB.
pub const ERROR_MESSAGE_BYTES: usize = 900;

/// Bytes of an error's details, for the same reason; fields at fault beyond it are counted, not listed.
pub const ERROR_DETAILS_BYTES: usize = 3_600;

/// Every limit the service enforces. [`Limits::default`] gives the documented values.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Limits {
    /// Bytes of one message received.
    pub receive_bytes: usize,
    /// Bytes that one message received may take in memory once it is unpacked.
    pub unpacked_bytes: usize,
    /// Bytes of one message sent.
    pub send_bytes: usize,
    /// Bytes of one entry.
    pub entry_bytes: usize,
    /// Entries in one batch or one message.
    pub batch_entries: usize,
    /// Upfit plans in one message.
    pub message_plans: usize,
    /// Entries on one page.
    pub page_entries: usize,
    /// Entries on a page when the caller does not say.
    pub page_default: usize,
    /// Receivers weighed in one call.
    pub fit_receivers: usize,
    /// Wrenches weighed in one call.
    pub wrenches: usize,
    /// Characters of a search.
    pub words_chars: usize,
    /// Words of a search.
    pub words: usize,
    /// Characters of a request id.
    pub request_id_chars: usize,
    /// Request ids that are remembered, the newest of them; each takes at most some 250 bytes.
    pub requests: usize,
    /// How long a request id is remembered.
    pub request_age: Duration,
    /// Characters of an author's name.
    pub author_chars: usize,
    /// Errors of an import that are listed; all are counted.
    pub import_errors: usize,
    /// Entries of an import that wait for the entries they refer to.
    pub import_waiting: usize,
    /// Bytes of the entries of an import that wait.
    pub import_waiting_bytes: usize,
    /// Messages of one stream that are worked on at the same time.
    pub stream_messages: usize,
    /// Answers of one stream that wait for the caller to read them, in messages.
    pub stream_answers: usize,
    /// Bytes of one answer of a stream of plans before its last few plans: what is made for a caller who may not read it.
    pub stream_answer_bytes: usize,
    /// Misspelt names of one stream that nearest names are looked up for.
    pub stream_nearest: usize,
    /// Names that one stream keeps at hand.
    pub stream_names: usize,
    /// Vehicles of one stream that later ones are compared with.
    pub stream_vins: usize,
    /// Connections at the same time; an address may have half of what the others leave. All on this machine count as one,
    /// which leaves a sixty-fourth to others.
    pub connections: usize,
    /// How long a connection is quiet before it may be closed to make room for another one.
    pub connection_quiet: Duration,
    /// How long a caller whose frames cost more than they asked for is not read before it is let go.
    pub ill_hold: Duration,
    /// Calls of one connection at the same time.
    pub connection_calls: u32,
    /// Calls of all connections that are open at the same time, until their replies are taken; one connection may have a
    /// fifth of what the others leave. Health has a lane of its own.
    pub calls: usize,
    /// Calls that one connection may have open whatever the others have.
    pub calls_floor: usize,
    /// Streams of all connections at the same time; one connection may have a third of what the others leave.
    pub streams: usize,
    /// Watchers of the book at the same time; a place is free again once its stream is gone, read or not. One connection may
    /// have half of what the others leave.
    pub watchers: usize,
    /// Watchers that read old commits at the same time.
    pub watch_reads: usize,
    /// Bytes after which a watcher's message is sent: little, because every watcher may leave some unread.
    pub watch_message_bytes: usize,
    /// How long a watcher may leave a message unread.
    pub watch_unread: Duration,
    /// How often a watcher is told where it is.
    pub watch_bookmark: Duration,
    /// Bytes of the headers of one call.
    pub header_bytes: u32,
    /// Bytes of one HTTP/2 frame.
    pub frame_bytes: u32,
    /// Bytes in flight towards the service on one call.
    pub stream_window_bytes: u32,
    /// Bytes in flight towards the service on one connection.
    pub connection_window_bytes: u32,
    /// Bytes of one call that wait in the transport to be sent.
    pub send_buffer_bytes: usize,
    /// Calls that a caller took back before they were accepted, per connection.
    pub pending_resets: usize,
    /// Calls that the service had to reset, per connection.
    pub local_resets: usize,
    /// How long a call may take when its caller does not say.
    pub deadline_default: Duration,
    /// How long a call may take whatever its caller says. Streams end when they are idle instead.
    pub deadline_max: Duration,
    /// How long a request may take to arrive whole.
    pub arrival: Duration,
    /// How long a stream may wait for its caller to send or to read.
    pub stream_idle: Duration,
    /// How often a quiet connection is asked whether it is still there.
    pub keepalive: Duration,
    /// How long it may take to answer that.
    pub keepalive_timeout: Duration,
    /// How old a connection grows before its caller is told to open a new one; running calls are finished.
    pub connection_age: Duration,
    /// How long its running calls are given then.
    pub connection_grace: Duration,
    /// How long running calls are given when the service stops.
    pub drain: Duration,
    /// When a caller that was turned away may try again.
    pub retry_after: Duration,
    /// How long a caller may take to agree on TLS, and from then on to say its first words.
    pub handshake: Duration,
    /// Callers that agree on TLS at the same time; more wait.
    pub handshakes: usize,
    /// How often the folder of the certificate is looked at for changed files.
    pub certificate_every: Duration,
    /// How often denied calls are written into the book.
    pub denials_every: Duration,
    /// Characters of the name of a token's holder.
    pub holder_chars: usize,
    /// Characters of the name of a bay.
    pub bay_chars: usize,
    /// Tokens that are kept, ended ones too.
    pub tokens: usize,
    /// Days a token may be issued for.
    pub token_days: usize,
    /// How long a call takes before the log mentions it.
    pub slow_call: Duration,
    /// How long calls may wait for their turn when a queue stands, before fewer are let in.
    pub queue_wait: Duration,
    /// How long a call of long work may wait for a desk when the line is short-lived, unless only a few stand before it.
    pub desk_wait: Duration,
    /// Calls that are let in at once however long they wait.
    pub calls_least: usize,
    /// Bytes of long requests that are not whole yet, of all callers together; one connection may hold a third of what the
    /// others leave.
    pub requests_bytes: usize,
    /// Bytes of long replies that are not taken yet, of all callers together; likewise.
    pub replies_bytes: usize,
    /// Bytes of long messages that one connection may hold whatever the others hold.
    pub held_floor_bytes: usize,
    /// Connections to the admin port at the same time.
    pub admin_connections: usize,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            receive_bytes: 4 << 20,
            unpacked_bytes: 16 << 20,
            send_bytes: 4 << 20,
            entry_bytes: 256 << 10,
            batch_entries: 1_000,
            message_plans: 1_000,
            page_entries: 1_000,
            page_default: 50,
            fit_receivers: 20_000,
            wrenches: 10_000,
            words_chars: 200,
            words: 16,
            request_id_chars: 64,
            requests: 200_000,
            request_age: Duration::from_secs(7 * 24 * 3_600),
            author_chars: 100,
            import_errors: 1_000,
            import_waiting: 100_000,
            import_waiting_bytes: 64 << 20,
            stream_messages: 6,
            stream_answers: 4,
            stream_answer_bytes: 64 << 10,
            stream_nearest: 1_000,
            stream_names: 20_000,
            stream_vins: 200_000,
            connections: 1_024,
            connection_quiet: Duration::from_secs(10),
            ill_hold: Duration::from_secs(5),
            connection_calls: 256,
            calls: 4_096,
            calls_floor: 4,
            streams: 128,
            watchers: 200,
            watch_reads: 4,
            watch_message_bytes: 128 << 10,
            watch_unread: Duration::from_secs(30),
            watch_bookmark: Duration::from_secs(5),
            header_bytes: 16 << 10,
            frame_bytes: 1 << 20,
            stream_window_bytes: 256 << 10,
            connection_window_bytes: 1 << 20,
            send_buffer_bytes: 64 << 10,
            pending_resets: 32,
            local_resets: 1_024,
            deadline_default: Duration::from_secs(30),
            deadline_max: Duration::from_secs(120),
            arrival: Duration::from_secs(10),
            stream_idle: Duration::from_secs(60),
            keepalive: Duration::from_secs(30),
            keepalive_timeout: Duration::from_secs(10),
            connection_age: Duration::from_secs(3_600),
            connection_grace: Duration::from_secs(600),
            drain: Duration::from_secs(20),
            retry_after: Duration::from_millis(200),
            handshake: Duration::from_secs(10),
            handshakes: 1_024,
            certificate_every: Duration::from_secs(2),
            denials_every: Duration::from_secs(1),
            holder_chars: 60,
            bay_chars: 40,
            tokens: 10_000,
            token_days: 400,
            slow_call: Duration::from_secs(1),
            queue_wait: Duration::from_millis(5),
            desk_wait: Duration::from_millis(30),
            calls_least: 16,
            requests_bytes: 16 << 20,
            replies_bytes: 16 << 20,
            held_floor_bytes: 16 << 10,
            admin_connections: 16,
        }
    }
}

impl Limits {
    /// Returns the bounds of the book that follow from these limits.
    #[must_use]
    pub fn bounds(&self) -> Bounds {
        let changes = self.batch_entries;
        // An entry may refer to several others, and each reference is a precondition of its commit.
        Bounds {
            value_bytes: self.entry_bytes,
            commit_changes: changes,
            commit_preconditions: 20_000,
            requests: self.requests,
            request_age: self.request_age,
            // Who the call says, and whose token it was, at four bytes a character.
            author_bytes: 4 * (self.author_chars + self.holder_chars + self.bay_chars + 64),
            ..Bounds::default()
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::HashSet;

    use super::*;

    #[test]
    fn every_limit_has_one_row_and_none_is_open() {
        let table = Limits::default().table();
        let names: HashSet<_> = table.iter().map(|row| row.name).collect();
        assert_eq!(names.len(), table.len());
        for Row { name, max, unit, about } in table {
            assert!(max > 0 && max < u64::from(u32::MAX), "{name} is {max}");
            assert!(!unit.is_empty() && !about.is_empty(), "{name}");
            assert_eq!(name.ends_with("_bytes"), unit == "bytes", "{name}");
        }
    }

    #[test]
    fn an_entry_fits_into_a_message_and_a_stream_into_its_connection() {
        let limits = Limits::default();
        assert!(limits.entry_bytes < limits.receive_bytes);
        assert!(limits.stream_window_bytes <= limits.connection_window_bytes);
    }
}
