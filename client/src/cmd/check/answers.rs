//! The service's answers to a stream of plans, wherever it runs.

use baybook_proto::v1 as pb;
use pb::upfits_service_client::UpfitsServiceClient;
use tokio::sync::mpsc;
use tokio_stream::{StreamExt as _, wrappers::ReceiverStream};
use tonic::{Status, Streaming};

use super::feed::Request;
use crate::connect::{Checked, Connection};

/// Answers as they come.
pub enum Answers {
    /// From a service elsewhere.
    Wire(Box<Streaming<pb::CheckUpfitsResponse>>),
    /// From the service in this process: the same checks, without messages that would be written only to be read again.
    Here(Checked),
}

impl Answers {
    /// Starts a stream.
    pub async fn to(requests: mpsc::Receiver<Request>, connection: &Connection) -> Result<Self, Status> {
        if let Some(service) = connection.service() {
            return service.check_upfits(requests).map(Self::Here);
        }
        let mut upfits = UpfitsServiceClient::new(connection.channel());
        let reply = upfits.check_upfits(ReceiverStream::new(requests).map(Request::made)).await?;
        Ok(Self::Wire(Box::new(reply.into_inner())))
    }

    /// Returns the next message, or nothing after the last.
    pub async fn next(&mut self) -> Result<Option<pb::CheckUpfitsResponse>, Status> {
        match self {
            Self::Wire(replies) => replies.message().await,
            Self::Here(replies) => replies.next().await.transpose(),
        }
    }
}
