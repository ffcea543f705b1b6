//! How many connections are open at once and how many of them one peer may have, that each of them says something, and
//! which of them goes when there is no room.

use std::any::Any;
use std::future::Future as _;
use std::io;
use std::net::{IpAddr, Ipv6Addr, SocketAddr};
use std::pin::Pin;
use std::sync::atomic::{AtomicI64, AtomicU64, AtomicUsize, Ordering};
use std::sync::{Arc, Weak};
use std::task::{Context, Poll};
use std::time::{Duration, Instant};

use ahash::AHashMap;
use parking_lot::Mutex;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::time::Sleep;
use tonic::transport::server::{Connected, TcpConnectInfo};

use crate::callers::{Caller, Commons};
use crate::conduct::Conduct;
use crate::limits::Limits;

/// What a caller sends before anything else: the length of the preface of HTTP/2, RFC 9113 section 3.4.
const GREETING_BYTES: usize = 24;

/// Callers on this machine leave one of so many connections to those on others.
const RESERVE_PART: usize = 64;

/// Bytes taken that pay for one frame.
const PAYS_BYTES: usize = 128;

/// What is known of all connections.
#[derive(Debug)]
pub(crate) struct Doors {
    /// Connections that were accepted and are not closed, those that still agree on TLS among them.
    accepted: Arc<AtomicUsize>,
    /// How many each peer has of them; callers on this machine are not told apart.
    peers: Peers,
    /// The callers of those that are served.
    callers: Mutex<Vec<Weak<Caller>>>,
    pub(crate) commons: Commons,
    /// Connections that are served.
    pub(crate) open: Arc<AtomicUsize>,
    /// Connections over the limit.
    pub(crate) turned_away: AtomicU64,
    /// Connections that were quiet and made room for others.
    pub(crate) made_room: AtomicU64,
    /// Connections whose caller did not agree on TLS, or said nothing, in time.
    pub(crate) late: Arc<AtomicU64>,
    /// Connections whose frames cost more than they asked for.
    pub(crate) ill: Ill,
    /// When the certificate ends, in seconds since the Unix epoch; 0 when there is none.
    certificate_end: AtomicI64,
}

/// Stands for every address of this machine.
const HERE: IpAddr = IpAddr::V6(Ipv6Addr::LOCALHOST);

/// Returns what a peer is counted as.
fn place_of(peer: IpAddr) -> IpAddr {
    let peer = peer.to_canonical();
    if peer.is_loopback() { HERE } else { peer }
}

/// How many connections each address has.
type Peers = Arc<Mutex<AHashMap<IpAddr, usize>>>;

/// A place among the connections.
#[derive(Debug)]
pub struct Place {
    counter: Arc<AtomicUsize>,
    peer: Option<(IpAddr, Peers)>,
}

impl Drop for Place {
    fn drop(&mut self) {
        self.counter.fetch_sub(1, Ordering::Relaxed);
        if let Some((peer, peers)) = self.peer.take()
            && let mut peers = peers.lock()
            && let Some(connections) = peers.get_mut(&peer)
        {
            *connections -= 1;
            if *connections == 0 {
                peers.remove(&peer);
            }
        }
    }
}

impl Doors {
    pub(crate) fn new(limits: &Limits) -> Self {
        Self {
            accepted: Arc::default(),
            peers: Arc::default(),
            callers: Mutex::default(),
            commons: Commons::new(limits),
            open: Arc::default(),
            turned_away: AtomicU64::new(0),
            made_room: AtomicU64::new(0),
            late: Arc::default(),
            ill: Ill::default(),
            certificate_end: AtomicI64::new(0),
        }
    }

    /// Returns somebody who came by no connection of ours.
    pub(crate) fn somebody(&self) -> Arc<Caller> {
        Caller::new(&self.commons, None)
    }

    /// Gives a place to a connection that was just accepted, before anything is said on it. There is none when all are
    /// taken, or when its peer has as many as it may, unless a quiet one makes room.
    pub(crate) fn accept(&self, from: SocketAddr, limits: &Limits) -> Option<Place> {
        let taken = self.accepted.load(Ordering::Relaxed);
        let peer = place_of(from.ip());
        let theirs = self.peers.lock().get(&peer).copied().unwrap_or(0);
        let left = (limits.connections + theirs).saturating_sub(taken);
        // All on this machine together leave some to others; an address elsewhere has half of what the others leave.
        let share = if peer == HERE { left - (limits.connections / RESERVE_PART).min(left) } else { left / 2 };
        let greedy = theirs >= share.max(1);
        let full = taken >= limits.connections;
        if (full || greedy) && !self.make_room(Some(peer).filter(|_| greedy), limits) {
            self.turn_away(taken);
            return None;
        }
        let counter = Arc::clone(&self.accepted);
        counter.fetch_add(1, Ordering::Relaxed);
        *self.peers.lock().entry(peer).or_default() += 1;
        Some(Place { counter, peer: Some((peer, Arc::clone(&self.peers))) })
    }

    /// Closes the connection that has been quiet for longest, of one peer or of any; nothing when none is quiet enough. One
    /// that is held for its conduct goes before all others.
    fn make_room(&self, peer: Option<IpAddr>, limits: &Limits) -> bool {
        let callers = self.callers.lock();
        let is_theirs = |caller: &Arc<Caller>| peer.is_none() || caller.peer().map(place_of) == peer;
        let quiet = callers.iter().filter_map(Weak::upgrade).filter(is_theirs);
        let quiet = quiet.filter_map(|caller| Some((caller.quiet()?, caller)));
        let longest = quiet.max_by_key(|(quiet, _)| *quiet).filter(|(quiet, _)| *quiet >= limits.connection_quiet);
        let Some((_, caller)) = longest else { return false };
        caller.dismiss();
        self.made_room.fetch_add(1, Ordering::Relaxed);
        true
    }

    fn turn_away(&self, connections: usize) {
        let before = self.turned_away.fetch_add(1, Ordering::Relaxed);
        // The first, and then every thousandth: whoever floods the service must not flood the log.
        if before.is_multiple_of(1_000) {
            tracing::warn!(connections, turned_away = before + 1, "connections are turned away");
        }
    }

    /// Lets a connection in, or drops it.
    pub(crate) fn admit<IO: Connected>(&self, io: IO, limits: &Limits) -> Option<Counted<IO>> {
        let open = self.open.fetch_add(1, Ordering::Relaxed);
        let place = Place { counter: Arc::clone(&self.open), peer: None };
        if open >= limits.connections && !self.make_room(None, limits) {
            self.turn_away(open);
            return None;
        }
        let info = io.connect_info();
        let address = (&info as &dyn Any).downcast_ref::<TcpConnectInfo>().and_then(TcpConnectInfo::remote_addr);
        let caller = Caller::new(&self.commons, address.map(|address| address.ip()));
        let mut callers = self.callers.lock();
        if callers.len() >= 2 * open + 16 {
            callers.retain(|caller| caller.strong_count() > 0);
        }
        callers.push(Arc::downgrade(&caller));
        let due = Box::pin(tokio::time::sleep(limits.handshake));
        let greeting = Greeting { due, read: 0, late: Arc::clone(&self.late) };
        Some(Counted {
            io,
            _place: place,
            greeting: Some(greeting),
            caller,
            conduct: Conduct::new(Instant::now()),
            ill: self.ill.clone(),
            hold: limits.ill_hold,
            held: None,
        })
    }

    /// Takes note of a certificate.
    pub(crate) fn certificate(&self, end_s: i64) {
        self.certificate_end.store(end_s, Ordering::Relaxed);
    }

    /// Returns when the certificate ends, in seconds since the Unix epoch.
    pub(crate) fn certificate_end(&self) -> Option<i64> {
        Some(self.certificate_end.load(Ordering::Relaxed)).filter(|end| *end != 0)
    }
}

/// Counts connections that are let go for the conduct of their callers.
#[derive(Debug, Clone, Default)]
pub(crate) struct Ill(pub(crate) Arc<AtomicU64>);

impl Ill {
    /// Notes one more.
    pub(crate) fn note(&self, caller: &Caller) {
        caller.is_ill();
        let before = self.0.fetch_add(1, Ordering::Relaxed);
        if before.is_multiple_of(1_000) {
            let peer = caller.peer().map(tracing::field::display);
            tracing::warn!(peer, let_go = before + 1, "a caller asks for nothing and costs much; it is let go");
        }
    }
}

/// What a caller owes at first.
struct Greeting {
    due: Pin<Box<Sleep>>,
    read: usize,
    late: Arc<AtomicU64>,
}

/// A connection that is counted for as long as it is open, and dropped when its caller does not even greet.
pub(crate) struct Counted<IO> {
    io: IO,
    _place: Place,
    greeting: Option<Greeting>,
    caller: Arc<Caller>,
    conduct: Conduct,
    ill: Ill,
    /// How long a caller whose conduct is ill is not read before its connection is closed, and until when this one is not.
    hold: Duration,
    held: Option<Pin<Box<Sleep>>>,
}

impl<IO> Counted<IO> {
    /// Returns whose it is.
    pub(crate) const fn caller(&self) -> &Arc<Caller> {
        &self.caller
    }

    /// Returns where those are counted whose conduct is ill.
    pub(crate) fn ill(&self) -> Ill {
        self.ill.clone()
    }

    /// Bytes that the caller takes pay for the windows it opens.
    fn sent(&mut self, polled: &Poll<io::Result<usize>>) {
        if let Poll::Ready(Ok(bytes)) = polled {
            self.conduct.earn(i64::try_from(bytes / PAYS_BYTES).unwrap_or(0));
        }
    }
}

impl<IO: Connected> Connected for Counted<IO> {
    type ConnectInfo = IO::ConnectInfo;

    fn connect_info(&self) -> Self::ConnectInfo {
        self.io.connect_info()
    }
}

impl<IO: AsyncRead + Unpin> AsyncRead for Counted<IO> {
    fn poll_read(mut self: Pin<&mut Self>, cx: &mut Context<'_>, buf: &mut ReadBuf<'_>) -> Poll<io::Result<()>> {
        let this = &mut *self;
        if let Some(held) = &mut this.held {
            return held.as_mut().poll(cx).map(|()| Err(io::ErrorKind::ConnectionAborted.into()));
        }
        if this.caller.has_had_its_turn() {
            // Whoever sends without end is read on when the others have been heard.
            cx.waker().wake_by_ref();
            return Poll::Pending;
        }
        let before = buf.filled().len();
        let polled = Pin::new(&mut this.io).poll_read(cx, buf);
        let read = buf.filled().len() - before;
        if read > 0 {
            this.caller.is_heard();
            this.conduct.earn(this.caller.earned());
            let well = this.conduct.take(&buf.filled()[before..], Instant::now());
            // A caller in this very process came from nowhere: there is nobody to shield it from.
            if !well && this.caller.peer().is_some() {
                this.ill.note(&this.caller);
                // Not at once: whoever is closed comes again, and coming costs more than waiting.
                let mut held = Box::pin(tokio::time::sleep(this.hold));
                let over = held.as_mut().poll(cx).is_ready();
                this.held = Some(held);
                buf.set_filled(before);
                return if over { Poll::Ready(Err(io::ErrorKind::ConnectionAborted.into())) } else { Poll::Pending };
            }
        }
        let Some(greeting) = &mut this.greeting else { return polled };
        greeting.read += read;
        if GREETING_BYTES <= greeting.read {
            this.greeting = None;
        } else if polled.is_pending() && greeting.due.as_mut().poll(cx).is_ready() {
            greeting.late.fetch_add(1, Ordering::Relaxed);
            return Poll::Ready(Err(io::Error::from(io::ErrorKind::TimedOut)));
        }
        polled
    }
}

impl<IO: AsyncWrite + Unpin> AsyncWrite for Counted<IO> {
    fn poll_write(mut self: Pin<&mut Self>, cx: &mut Context<'_>, buf: &[u8]) -> Poll<io::Result<usize>> {
        if self.caller.holds() {
            return Poll::Pending;
        }
        let polled = Pin::new(&mut self.io).poll_write(cx, buf);
        self.sent(&polled);
        polled
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.io).poll_flush(cx)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.io).poll_shutdown(cx)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        bufs: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        if self.caller.holds() {
            return Poll::Pending;
        }
        let polled = Pin::new(&mut self.io).poll_write_vectored(cx, bufs);
        self.sent(&polled);
        polled
    }

    fn is_write_vectored(&self) -> bool {
        self.io.is_write_vectored()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn from(address: &str) -> SocketAddr {
        SocketAddr::new(address.parse().unwrap(), 9)
    }

    /// Lets as many in from an address as get a place.
    fn all(doors: &Doors, address: &str, limits: &Limits) -> Vec<Place> {
        std::iter::from_fn(|| doors.accept(from(address), limits)).take(10_000).collect()
    }

    #[tokio::test]
    async fn an_address_has_half_of_what_the_others_leave_and_finds_it_again() {
        let limits = Limits { connections: 100, ..Limits::default() };
        let doors = Doors::new(&limits);
        let first = all(&doors, "192.0.2.1", &limits);
        assert_eq!(first.len(), 50);
        let second = all(&doors, "192.0.2.2", &limits);
        assert_eq!(second.len(), 25);
        drop(first);
        assert_eq!(all(&doors, "192.0.2.3", &limits).len(), 37, "of the 75 that are left");
        drop(second);
        assert_eq!(doors.accepted.load(Ordering::Relaxed), 0);
        assert!(doors.peers.lock().is_empty(), "nothing is remembered of those who went");
        assert_eq!(doors.turned_away.load(Ordering::Relaxed), 3);
    }

    #[tokio::test]
    async fn all_on_this_machine_are_one_and_leave_some_to_others() {
        let limits = Limits { connections: 1_024, ..Limits::default() };
        let doors = Doors::new(&limits);
        let some: Vec<_> = (0..500).map(|_| doors.accept(from("127.0.0.1"), &limits).unwrap()).collect();
        let more = all(&doors, "::1", &limits);
        let mapped = all(&doors, "::ffff:127.0.0.7", &limits);
        assert_eq!((some.len() + more.len(), mapped.len()), (1_024 - 16, 0), "a sixty-fourth is left");
        assert_eq!(all(&doors, "192.0.2.1", &limits).len(), 8);
    }

    proptest! {
        #[test]
        fn whoever_comes_and_goes_nobody_has_more_than_a_share(
            steps in prop::collection::vec((0_usize..5, 0_usize..3), 1..400), connections in 1_usize..80
        ) {
            let limits = Limits { connections, ..Limits::default() };
            let doors = Doors::new(&limits);
            let addresses = ["127.0.0.1", "192.0.2.1", "192.0.2.2", "2001:db8::1", "2001:db8::2"];
            let mut places: [Vec<Place>; 5] = Default::default();
            for (who, what) in steps {
                if what == 0 {
                    places[who].pop();
                    continue;
                }
                let all: usize = places.iter().map(Vec::len).sum();
                let left = connections - (all - places[who].len());
                let share = if who == 0 { left - left.min(connections / 64) } else { left / 2 }.max(1);
                let due = all < connections && places[who].len() < share;
                let given = doors.accept(from(addresses[who]), &limits);
                prop_assert_eq!(given.is_some(), due);
                places[who].extend(given);
            }
            let all: usize = places.iter().map(Vec::len).sum();
            prop_assert_eq!(doors.accepted.load(Ordering::Relaxed), all);
        }
    }
}
