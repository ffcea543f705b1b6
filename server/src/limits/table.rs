//! The table of limits as `ServerInfo` shows it: one row for every limit.

use std::time::Duration;

use super::{ERROR_DETAILS_BYTES, ERROR_MESSAGE_BYTES, Limits};

/// One row of the table of limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Row {
    /// The limit's name, as in its error.
    pub name: &'static str,
    /// Its value.
    pub max: u64,
    /// What it counts.
    pub unit: &'static str,
    /// What it bounds.
    pub about: &'static str,
}

impl Limits {
    /// Returns the table that `ServerInfo` shows: one row for every limit.
    #[must_use]
    pub fn table(&self) -> Vec<Row> {
        // Taken apart so that a limit without a row stops the build.
        let Self {
            receive_bytes,
            unpacked_bytes,
            send_bytes,
            entry_bytes,
            batch_entries,
            message_plans,
            page_entries,
            page_default,
            fit_receivers,
            wrenches,
            words_chars,
            words,
            request_id_chars,
            requests,
            request_age,
            author_chars,
            import_errors,
            import_waiting,
            import_waiting_bytes,
            stream_messages,
            stream_answers,
            stream_answer_bytes,
            stream_nearest,
            stream_names,
            stream_vins,
            connections,
            connection_quiet,
            ill_hold,
            connection_calls,
            calls,
            calls_floor,
            streams,
            watchers,
            watch_reads,
            watch_message_bytes,
            watch_unread,
            watch_bookmark,
            header_bytes,
            frame_bytes,
            stream_window_bytes,
            connection_window_bytes,
            send_buffer_bytes,
            pending_resets,
            local_resets,
            deadline_default,
            deadline_max,
            arrival,
            stream_idle,
            keepalive,
            keepalive_timeout,
            connection_age,
            connection_grace,
            drain,
            retry_after,
            handshake,
            handshakes,
            certificate_every,
            denials_every,
            holder_chars,
            bay_chars,
            tokens,
            token_days,
            slow_call,
            queue_wait,
            desk_wait,
            calls_least,
            requests_bytes,
            replies_bytes,
            held_floor_bytes,
            admin_connections,
        } = self;
        vec![
            size("receive_bytes", *receive_bytes, "one message received"),
            size("unpacked_bytes", *unpacked_bytes, "one message received, in memory once it is unpacked"),
            size("send_bytes", *send_bytes, "one message sent"),
            size("entry_bytes", *entry_bytes, "one entry"),
            size("error_message_bytes", ERROR_MESSAGE_BYTES, "the message of an error"),
            size("error_details_bytes", ERROR_DETAILS_BYTES, "the fields at fault listed in an error; all are counted"),
            count("batch_entries", *batch_entries, "entries", "one batch or one message of an import"),
            count("message_plans", *message_plans, "plans", "one message of a batch of plans"),
            count("page_entries", *page_entries, "entries", "one page"),
            count("page_default", *page_default, "entries", "one page, when the call does not say"),
            count("fit_receivers", *fit_receivers, "receivers", "one ranking of receivers"),
            count("wrenches", *wrenches, "wrenches", "one choice of a wrench"),
            count("words_chars", *words_chars, "characters", "the words of a search"),
            count("words", *words, "words", "one search"),
            count("request_id_chars", *request_id_chars, "characters", "one request id"),
            count("requests", *requests, "requests", "request ids remembered, the newest of them"),
            time("request_age", *request_age, "remembering a request id"),
            count("author_chars", *author_chars, "characters", "the name of an author"),
            count("import_errors", *import_errors, "errors", "the list of what an import could not take"),
            count("import_waiting", *import_waiting, "entries", "entries of an import that wait for others"),
            size("import_waiting_bytes", *import_waiting_bytes, "entries of an import that wait for others"),
            count("stream_messages", *stream_messages, "messages", "messages of one stream worked on at once"),
            count("stream_answers", *stream_answers, "messages", "answers of one stream that wait to be read"),
            size(
                "stream_answer_bytes",
                *stream_answer_bytes,
                "an answer of a stream of plans, before its last few plans",
            ),
            count("stream_nearest", *stream_nearest, "names", "unknown names of one stream with nearest names"),
            count("stream_names", *stream_names, "names", "names that one stream keeps at hand"),
            count("stream_vins", *stream_vins, "vehicles", "vehicles of one stream that later ones are compared with"),
            count("connections", *connections, "connections", "connections at once"),
            time("connection_quiet", *connection_quiet, "quiet on a connection before it may have to make room"),
            time("ill_hold", *ill_hold, "not reading a caller of ill conduct before it is let go"),
            row("connection_calls", u64::from(*connection_calls), "calls", "calls of one connection at once"),
            count("calls_floor", *calls_floor, "calls", "calls of one connection whatever the others have"),
            count("calls", *calls, "calls", "calls of all connections at once"),
            count("streams", *streams, "streams", "streams of all connections at once"),
            count("watchers", *watchers, "watchers", "watchers of the book at once"),
            count("watch_reads", *watch_reads, "watchers", "watchers that read old commits at once"),
            size("watch_message_bytes", *watch_message_bytes, "a watcher's message, before its last entry"),
            time("watch_unread", *watch_unread, "leaving a watcher's message unread"),
            time("watch_bookmark", *watch_bookmark, "between two bookmarks of a watcher"),
            row("header_bytes", u64::from(*header_bytes), "bytes", "the headers of one call"),
            row("frame_bytes", u64::from(*frame_bytes), "bytes", "one HTTP/2 frame"),
            row("stream_window_bytes", u64::from(*stream_window_bytes), "bytes", "bytes in flight on one call"),
            row(
                "connection_window_bytes",
                u64::from(*connection_window_bytes),
                "bytes",
                "bytes in flight on one connection",
            ),
            size("send_buffer_bytes", *send_buffer_bytes, "one call's bytes that wait to be sent"),
            count("pending_resets", *pending_resets, "calls", "calls taken back before they were accepted"),
            count("local_resets", *local_resets, "calls", "calls of one connection reset by the service"),
            time("deadline_default", *deadline_default, "one call, when it does not say"),
            time("deadline_max", *deadline_max, "one call, whatever it says; streams have stream_idle"),
            time("arrival", *arrival, "the arrival of a whole request"),
            time("stream_idle", *stream_idle, "waiting for a stream's caller to send or read"),
            time("keepalive", *keepalive, "quiet on a connection before it is asked for"),
            time("keepalive_timeout", *keepalive_timeout, "answering that"),
            time("connection_age", *connection_age, "age of a connection"),
            time("connection_grace", *connection_grace, "finishing the calls of a connection that is too old"),
            time("drain", *drain, "finishing running calls when the service stops"),
            time("retry_after", *retry_after, "waiting before a call that was turned away is tried again"),
            time("handshake", *handshake, "agreeing on TLS, and then the first words"),
            count("handshakes", *handshakes, "callers", "callers that agree on TLS at once"),
            time("certificate_every", *certificate_every, "between two looks at the certificate's files"),
            time("denials_every", *denials_every, "between two writes of denied calls"),
            count("holder_chars", *holder_chars, "characters", "the name of a token's holder"),
            count("bay_chars", *bay_chars, "characters", "the name of a bay"),
            count("tokens", *tokens, "tokens", "tokens that are kept, ended ones too"),
            count("token_days", *token_days, "days", "the life of a token"),
            time("slow_call", *slow_call, "a call before the log mentions it"),
            time("queue_wait", *queue_wait, "waiting for a turn when a queue stands"),
            time("desk_wait", *desk_wait, "waiting for a desk when the line is short-lived"),
            count("calls_least", *calls_least, "calls", "calls let in at once however long they wait"),
            size("requests_bytes", *requests_bytes, "long requests that are not whole yet, of all callers"),
            size("replies_bytes", *replies_bytes, "long replies that are not taken yet, of all callers"),
            size("held_floor_bytes", *held_floor_bytes, "long messages of one connection whatever the others hold"),
            count("admin_connections", *admin_connections, "connections", "connections to the admin port at once"),
        ]
    }
}

const fn row(name: &'static str, max: u64, unit: &'static str, about: &'static str) -> Row {
    Row { name, max, unit, about }
}

const fn count(name: &'static str, max: usize, unit: &'static str, about: &'static str) -> Row {
    row(name, max as u64, unit, about)
}

const fn size(name: &'static str, max: usize, about: &'static str) -> Row {
    count(name, max, "bytes", about)
}

fn time(name: &'static str, max: Duration, about: &'static str) -> Row {
    row(name, u64::try_from(max.as_millis()).unwrap_or(u64::MAX), "ms", about)
}
