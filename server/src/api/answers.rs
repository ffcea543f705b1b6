//! Streams of answers: sent at the caller's pace, and the bytes of those that wait held against what its connection may.

use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::{Duration, Instant};

use futures_util::Stream;
use tokio::sync::mpsc;
use tonic::Status;

use crate::commons::Account;
use crate::error::ApiError;
use crate::held::{Share, buffer_bytes};

/// How often it is looked whether there is room for a long answer, at first and at last.
const LOOKS: (Duration, Duration) = (Duration::from_millis(1), Duration::from_millis(100));

/// One answer on its way, and what it holds.
struct Waiting<A> {
    answer: Result<A, Status>,
    share: Option<Share>,
}

/// A stream of answers.
pub struct Answers<A> {
    waiting: mpsc::Receiver<Waiting<A>>,
    /// What the last answer holds: it is taken when the next one is asked for.
    _last: Option<Share>,
}

impl<A> std::fmt::Debug for Answers<A> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Answers").field("waiting", &self.waiting.len()).finish_non_exhaustive()
    }
}

impl<A> Stream for Answers<A> {
    type Item = Result<A, Status>;

    fn poll_next(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Option<Self::Item>> {
        self._last = None;
        let polled = self.waiting.poll_recv(cx);
        polled.map(|waiting| {
            waiting.map(|waiting| {
                self._last = waiting.share;
                waiting.answer
            })
        })
    }
}

/// Where the answers of a stream go.
pub(super) struct Answering<A> {
    sender: mpsc::Sender<Waiting<A>>,
    /// What long answers are held against; nothing for a caller in this process, or one whose place bounds them.
    replies: Option<Arc<Account>>,
    idle: Duration,
}

impl<A> Clone for Answering<A> {
    fn clone(&self) -> Self {
        Self { sender: self.sender.clone(), replies: self.replies.clone(), idle: self.idle }
    }
}

/// Makes a stream of answers of which so many wait at most, and for at most so long.
pub(super) fn answers<A>(waiting: usize, replies: Option<Arc<Account>>, idle: Duration) -> (Answering<A>, Answers<A>) {
    let (sender, waiting) = mpsc::channel(waiting);
    (Answering { sender, replies, idle }, Answers { waiting, _last: None })
}

impl<A> Answering<A> {
    /// Sends the error that the stream ends with. The caller may have gone away; there is nobody left to tell then.
    pub(super) async fn end(&self, status: Status) {
        drop(self.sender.send(Waiting { answer: Err(status), share: None }).await);
    }

    /// Returns whether its answers are held against what a connection may: its caller may leave them unread.
    pub(super) const fn is_held(&self) -> bool {
        self.replies.is_some()
    }

    /// Waits until the caller has gone away.
    pub(super) async fn closed(&self) {
        self.sender.closed().await;
    }

    /// Waits until there is room for one more answer: whoever makes it only then holds nothing for a caller that does not
    /// read. Nothing when the caller takes longer than it may.
    pub(super) async fn room(&self) -> Option<Room<'_, A>> {
        match tokio::time::timeout(self.idle, self.sender.reserve()).await {
            Ok(Ok(permit)) => Some(Room(permit)),
            // A caller that went away ends the work from outside.
            Ok(Err(_)) => std::future::pending().await,
            Err(_) => None,
        }
    }

    const fn unread(&self) -> ApiError {
        ApiError::Deadline { limit: self.idle, doing: "waiting for the caller to read" }
    }
}

impl<A: prost::Message> Answering<A> {
    /// Sends one answer, at the caller's pace.
    pub(super) async fn send(&self, answer: A) -> Result<(), ApiError> {
        let share = match &self.replies {
            Some(replies) => Some(self.share(replies, buffer_bytes(answer.encoded_len())).await?),
            None => None,
        };
        match tokio::time::timeout(self.idle, self.sender.send(Waiting { answer: Ok(answer), share })).await {
            // A caller that went away ends the work from outside.
            Ok(_) => Ok(()),
            Err(_) => Err(self.unread()),
        }
    }

    /// Waits until so many bytes may be held.
    async fn share(&self, replies: &Arc<Account>, bytes: usize) -> Result<Share, ApiError> {
        let (mut share, begun, mut pause) = (Share::of(replies), Instant::now(), LOOKS.0);
        while !share.hold(bytes) {
            if self.idle <= begun.elapsed() {
                return Err(self.unread());
            }
            tokio::time::sleep(pause).await;
            pause = (pause * 2).min(LOOKS.1);
        }
        Ok(share)
    }
}

/// Room for one answer.
pub(super) struct Room<'a, A>(mpsc::Permit<'a, Waiting<A>>);

impl<A> Room<'_, A> {
    /// Sends it.
    pub(super) fn send(self, answer: Result<A, Status>) {
        self.0.send(Waiting { answer, share: None });
    }
}

#[cfg(test)]
mod tests {
    use futures_util::StreamExt as _;

    use super::*;
    use crate::commons::Common;

    #[tokio::test]
    async fn what_waits_is_held_until_the_next_is_asked_for() {
        let common = Common::new(150_000, 1, 0);
        let account = common.account();
        let (answering, mut answers) = answers::<String>(4, Some(account), Duration::from_millis(50));
        let long = "x".repeat(40_000);
        assert!(answering.send(long.clone()).await.is_ok() && answering.send(long.clone()).await.is_ok());
        assert!(120_000 < common.taken() && common.taken() < 130_000, "{}", common.taken());
        let refused = answering.send(long.clone()).await;
        assert!(matches!(refused, Err(ApiError::Deadline { .. })), "there is no room for a third: {refused:?}");
        assert!(answers.next().await.is_some_and(|answer| answer.is_ok()));
        assert!(answering.send(long.clone()).await.is_err(), "the first is on its way until the second is asked for");
        assert!(answers.next().await.is_some());
        assert!(answering.send(long).await.is_ok());
        drop((answering, answers));
        assert_eq!(common.taken(), 0);
    }
}
