//! Entries on their way into a book, as a stream of bounded messages.

use std::time::Duration;

use baybook_proto::v1::{
    Entry, ImportEntriesRequest, ImportEntriesResponse, spec_book_service_client::SpecBookServiceClient,
};
use prost::Message as _;
use tonic::Request;

use crate::{
    connect::Line,
    entry_file::Located,
    fail::{Failure, Flags, Stop},
};

/// The most entries of one message, as the contract has it.
const MESSAGE_ENTRIES: usize = 1_000;
/// The most bytes of one message; far from the service's limit, whatever one entry brings.
const MESSAGE_BYTES: usize = 2 << 20;

/// What an import came to.
pub struct Load {
    /// What the service says.
    pub reply: ImportEntriesResponse,
    places: Vec<String>,
}

impl Load {
    /// Lists what was not taken: where it was read, its name, why.
    pub fn refused(&self) -> impl Iterator<Item = (String, String, String)> + '_ {
        self.reply.errors.iter().map(|refused| {
            let at = usize::try_from(refused.seq).ok().and_then(|seq| self.places.get(seq));
            let at = at.cloned().unwrap_or_else(|| format!("entry {}", refused.seq));
            let why = refused.error.as_ref().map_or_else(String::new, |error| {
                let fields: Vec<String> =
                    error.violations.iter().map(|v| format!("{} {}", v.field, v.description)).collect();
                if fields.is_empty() { error.message.clone() } else { fields.join("; ") }
            });
            (at, refused.name.clone(), why)
        })
    }
}

/// Puts entries into the book, whatever is there already.
pub async fn entries(
    book: &mut SpecBookServiceClient<Line>,
    located: Vec<Located>,
    author: String,
    validate_only: bool,
    deadline: Duration,
) -> Result<Load, Stop> {
    let (entries, places): (Vec<Entry>, Vec<String>) =
        located.into_iter().map(|located| (located.entry, located.at)).unzip();
    let messages = messages(entries, author, validate_only);
    let mut request = Request::new(tokio_stream::iter(messages));
    request.set_timeout(deadline);
    let reply = book.import_entries(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, Flags::NONE))?.into_inner();
    Ok(Load { reply, places })
}

fn messages(entries: Vec<Entry>, author: String, validate_only: bool) -> Vec<ImportEntriesRequest> {
    let mut messages = vec![ImportEntriesRequest { entries: Vec::new(), author, validate_only }];
    let mut bytes = 0;
    for mut entry in entries {
        entry.etag.clear();
        let more = entry.encoded_len();
        let full = messages.last().is_some_and(|message| {
            message.entries.len() == MESSAGE_ENTRIES || !message.entries.is_empty() && MESSAGE_BYTES < bytes + more
        });
        if full {
            messages.push(ImportEntriesRequest::default());
            bytes = 0;
        }
        bytes += more;
        if let Some(message) = messages.last_mut() {
            message.entries.push(entry);
        }
    }
    messages
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn messages_are_bounded_and_the_first_says_who() {
        let entry = Entry { name: "bolts/a".to_owned(), etag: "r1".to_owned(), ..Entry::default() };
        let sent = messages(vec![entry; 2_500], "R. Vance".to_owned(), true);
        assert_eq!(sent.iter().map(|message| message.entries.len()).collect::<Vec<_>>(), [1000, 1000, 500]);
        assert_eq!((sent[0].author.as_str(), sent[0].validate_only), ("R. Vance", true));
        assert!(sent.iter().flat_map(|message| &message.entries).all(|entry| entry.etag.is_empty()));
        let long = Entry { note: "n".repeat(200 << 10), ..Entry::default() };
        let sent = messages(vec![long; 30], String::new(), false);
        assert!(2 < sent.len() && sent.iter().all(|message| message.encoded_len() < 4 << 20));
        assert_eq!(messages(Vec::new(), String::new(), false).len(), 1);
    }
}
