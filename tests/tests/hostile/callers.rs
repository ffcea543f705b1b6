//! Callers who mean well, and how they fare.

use std::{net::SocketAddr, time::Instant};

use baybook_proto::v1 as pb;
use pb::spec_book_service_client::SpecBookServiceClient;
use tonic::transport::Endpoint;

/// How well-behaved callers fared.
#[derive(Debug, Default, Clone, PartialEq)]
pub struct Fared {
    /// Calls that were answered.
    pub answered: usize,
    /// Calls that were not, with what they were told.
    pub refused: Vec<String>,
}

/// Lets so many callers look an entry up, one call after the other, until the time is over.
pub async fn call(address: SocketAddr, callers: usize, end: Instant) -> Fared {
    let tasks: Vec<_> = (0..callers).map(|_| tokio::spawn(one(address, end))).collect();
    let mut all = Fared::default();
    for task in tasks {
        let one = task.await.expect("a caller keeps going");
        all.answered += one.answered;
        all.refused.extend(one.refused);
    }
    all
}

async fn one(address: SocketAddr, end: Instant) -> Fared {
    let mut fared = Fared::default();
    let endpoint = Endpoint::from_shared(format!("http://{address}")).expect("an address").tcp_nodelay(true);
    let channel = match endpoint.connect().await {
        Ok(channel) => channel,
        Err(error) => {
            fared.refused.push(format!("no connection: {error:?}"));
            return fared;
        }
    };
    let mut book = SpecBookServiceClient::new(channel);
    while Instant::now() < end {
        let get = pb::GetEntryRequest { name: "bolts/m12-109-40".to_owned(), min_revision: 0 };
        match book.get_entry(get).await {
            Ok(_) => fared.answered += 1,
            Err(status) => fared.refused.push(status.to_string()),
        }
    }
    fared
}
