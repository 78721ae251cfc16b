//! The line: connections are taken in within limits of number, size and time.

use std::collections::HashMap;
use std::future::Future;
use std::net::{IpAddr, SocketAddr};
use std::pin::pin;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::body::Body;
use axum::http::Request;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::watch;
use tokio::task::JoinSet;
use tokio::time::{sleep, timeout};
use tower_service::Service as _;

/// After a listener that could not take a connection in, so long until it tries again.
const PAUSE: Duration = Duration::from_millis(200);

/// How much, how many and how long a listener puts up with.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Connections at a time; further ones wait outside.
    pub connections: usize,
    /// Connections at a time from one address; further ones are closed at once.
    pub connections_of_one: usize,
    /// Lines in the head of a request.
    pub head_lines: usize,
    /// Bytes of the head of a request.
    pub head_bytes: usize,
    /// Bytes of a form.
    pub form_bytes: usize,
    /// For the head of a request to arrive, counted from when the line is free for it: so long a
    /// connection may also lie idle.
    pub head: Duration,
    /// For a form to arrive.
    pub form: Duration,
    /// For a connection as a whole: then it is ended after the answer that is under way.
    pub connection: Duration,
    /// For that last answer.
    pub last_answer: Duration,
}

impl Limits {
    /// For the maker's own computer.
    pub const MAKER: Limits = Limits {
        connections: 512,
        connections_of_one: 512,
        head_lines: 64,
        head_bytes: 32 << 10,
        form_bytes: super::FORM_LIMIT_BYTES,
        head: Duration::from_secs(60),
        form: Duration::from_secs(60),
        connection: Duration::from_secs(3600),
        last_answer: Duration::from_secs(120),
    };

    /// For tablets on the shop's network.
    pub const TABLET: Limits = Limits {
        connections: 64,
        connections_of_one: 16,
        head_lines: 48,
        head_bytes: 16 << 10,
        form_bytes: 64 << 10,
        head: Duration::from_secs(15),
        form: Duration::from_secs(15),
        connection: Duration::from_secs(600),
        last_answer: Duration::from_secs(30),
    };
}

/// Where a request comes from.
#[derive(Clone, Copy, Debug)]
pub(super) struct Peer(pub SocketAddr);

/// Takes connections in until `end`; what is being answered then is answered.
pub(super) async fn attend(
    listener: TcpListener,
    router: Router,
    limits: Limits,
    end: impl Future<Output = ()>,
) {
    let (ending, ended) = watch::channel(false);
    let mut taken = JoinSet::new();
    let mut seats = Seats::default();
    let mut end = pin!(end);
    loop {
        tokio::select! {
            () = &mut end => break,
            Some(_) = taken.join_next() => {}
            come = listener.accept(), if taken.len() < limits.connections => match come {
                Ok((stream, peer)) => if let Some(seat) = seats.take(peer.ip(), limits.connections_of_one) {
                    let one = one(stream, peer, router.clone(), limits, ended.clone());
                    taken.spawn(async move { one.await; drop(seat); });
                },
                // The peer may have gone again, or there is no file handle left just now.
                Err(_) => sleep(PAUSE).await,
            },
        }
    }
    drop(listener);
    let _nobody_listens = ending.send(true);
    let _late_ones_are_dropped = timeout(limits.last_answer, async {
        while taken.join_next().await.is_some() {}
    })
    .await;
}

/// How many connections each address has: as many as there are copies of its mark.
#[derive(Default)]
struct Seats(HashMap<IpAddr, Arc<()>>);

impl Seats {
    fn take(&mut self, address: IpAddr, most: usize) -> Option<Arc<()>> {
        self.0.retain(|_, mark| Arc::strong_count(mark) > 1);
        let mark = self.0.entry(address).or_default();
        (Arc::strong_count(mark) <= most).then(|| mark.clone())
    }
}

/// Answers one connection. What goes wrong on it is the peer's loss alone.
async fn one(
    stream: TcpStream,
    peer: SocketAddr,
    router: Router,
    limits: Limits,
    mut ended: watch::Receiver<bool>,
) {
    // Small answers leave at once; a line that cannot do that is slower, not wrong.
    let _slower = stream.set_nodelay(true);
    let service = hyper::service::service_fn(move |request: Request<Incoming>| {
        let mut request = request.map(Body::new);
        request.extensions_mut().insert(Peer(peer));
        router.clone().call(request)
    });
    let mut builder = http1::Builder::new();
    builder
        .timer(TokioTimer::new())
        .header_read_timeout(limits.head)
        .max_headers(limits.head_lines)
        .max_buf_size(limits.head_bytes);
    let mut connection = pin!(builder.serve_connection(TokioIo::new(stream), service));
    tokio::select! {
        _ended_or_broken = connection.as_mut() => return,
        _ended = ended.wait_for(|ended| *ended) => {}
        () = sleep(limits.connection) => {}
    }
    connection.as_mut().graceful_shutdown();
    let _ended_or_late = timeout(limits.last_answer, connection).await;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_address_takes_no_more_seats_than_it_may() {
        let mut seats = Seats::default();
        let [one, other] =
            ["192.168.0.7", "192.168.0.8"].map(|text| text.parse().expect("an address"));
        let mut taken: Vec<_> = (0..3).filter_map(|_| seats.take(one, 3)).collect();
        assert_eq!(taken.len(), 3);
        assert!(seats.take(one, 3).is_none());
        assert!(seats.take(other, 3).is_some());
        taken.pop();
        assert!(seats.take(one, 3).is_some(), "a seat that is free again");
    }
}
