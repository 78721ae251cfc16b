//! Bench mode on a tablet: a second listener on the shop's network that the maker opens, the
//! invitation that pairs a tablet, and what a paired one may do.

mod addresses;
mod bench_routes;
mod guard;
mod invitation;
mod maker_routes;
mod paired;

use std::net::{IpAddr, SocketAddr};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use tokio::net::TcpListener;
use tokio::task::JoinHandle;
use tokio::time::sleep;

pub(super) use bench_routes::router;
pub(super) use guard::{in_tablet_words, refused_at_bench};
use invitation::{Invitation, Standing};
pub(super) use maker_routes::routes;

use super::change::now;
use super::line::{Limits, attend};
use super::rate::{Buckets, Rate};
use super::{Shop, Side};

/// The port of the second listener: it stays the same, so that what waits on a tablet, which is
/// kept by address and port, finds its way.
const USUAL_PORT: u16 = 4748;

/// How the bench is opened to tablets.
#[derive(Clone, Copy, Debug)]
pub struct TabletOptions {
    /// Only this address is offered; those of private networks when not given.
    pub at: Option<IpAddr>,
    /// The port; the usual one when not given.
    pub port: Option<u16>,
    /// How long an invitation holds, seconds.
    pub code_lasts: i64,
    /// After so long without use the bench closes, seconds.
    pub idle: i64,
    /// What its listener puts up with.
    pub limits: Limits,
    /// How often devices that are not paired may ask.
    pub strangers: Rate,
}

impl Default for TabletOptions {
    fn default() -> Self {
        Self {
            at: None,
            port: None,
            code_lasts: 5 * 60,
            idle: 2 * 3600,
            limits: Limits::TABLET,
            strangers: Rate::STRANGER,
        }
    }
}

/// The bench as it stands to tablets: closed at every start.
pub(crate) struct Tablet {
    options: TabletOptions,
    state: Mutex<State>,
}

struct State {
    open: Option<Open>,
    standing: Standing,
    /// A word on what became of it, for the maker's page.
    closed: Option<String>,
    strangers: Buckets<IpAddr>,
    paired: Buckets<String>,
}

struct Open {
    address: SocketAddr,
    opened_at: i64,
    used_at: i64,
    listening: JoinHandle<()>,
}

impl Tablet {
    pub fn new(options: TabletOptions) -> Self {
        Self {
            options,
            state: Mutex::new(State {
                open: None,
                standing: Standing::None,
                closed: None,
                strangers: Buckets::new(options.strangers),
                paired: Buckets::new(Rate::PAIRED),
            }),
        }
    }

    /// Nothing in here panics while it holds the state, so that a poisoned one is whole.
    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The addresses that the maker may choose from.
    fn addresses(&self) -> Vec<IpAddr> {
        match self.options.at {
            Some(address) => vec![address],
            None => addresses::found(),
        }
    }

    fn port(&self) -> u16 {
        self.options.port.unwrap_or(USUAL_PORT)
    }

    /// Notes that a paired tablet made use of it. False when it is closed, or has just become so.
    fn used(&self, now: i64) -> bool {
        let idle = self.options.idle;
        match &mut self.state().open {
            Some(open) if now.saturating_sub(open.used_at) < idle => {
                open.used_at = now;
                true
            }
            _ => false,
        }
    }

    /// How long it may still go without use, seconds; nothing when it is closed.
    fn idle_left(&self, now: i64) -> Option<i64> {
        let open = self.state();
        let used_at = open.open.as_ref()?.used_at;
        Some(self.options.idle - now.saturating_sub(used_at))
    }

    /// Takes a token for a request; how long to wait when there is none.
    fn may_ask(&self, paired: Option<&str>, address: IpAddr) -> Result<(), Duration> {
        let mut state = self.state();
        let now = Instant::now();
        match paired {
            Some(id) => state.paired.take(id.to_owned(), now),
            None => state.strangers.take(network_of(address), now),
        }
    }

    /// A fresh invitation takes the place of the one before.
    fn invite(&self, pairs_for: i64) -> Result<(), String> {
        let fresh = Invitation::new(now().saturating_add(self.options.code_lasts), pairs_for)?;
        self.state().standing = Standing::Waiting(fresh);
        Ok(())
    }

    /// Closes the bench: the listener and every connection are gone when this returns.
    async fn close(&self) {
        let taken = {
            let mut state = self.state();
            state.standing = Standing::None;
            state.open.take()
        };
        if let Some(open) = taken {
            open.listening.abort();
            let _it_was_aborted = open.listening.await;
        }
    }
}

/// Who has one address of IPv6 has a whole network of them (RFC 4291, 64 bits): that one asks.
fn network_of(address: IpAddr) -> IpAddr {
    match address {
        IpAddr::V4(_) => address,
        IpAddr::V6(address) => {
            let [a, b, c, d, ..] = address.segments();
            IpAddr::from([a, b, c, d, 0, 0, 0, 0])
        }
    }
}

/// Opens the bench at one of the addresses offered, and invites a tablet.
async fn open(shop: &Arc<Shop>, address: IpAddr, pairs_for: i64) -> Result<(), String> {
    let tablet = &shop.tablet;
    if !tablet.addresses().contains(&address) {
        return Err(format!(
            "this computer has no address {address} in the shop's network any more: choose again"
        ));
    }
    if tablet.state().open.is_some() {
        return Ok(());
    }
    let at = SocketAddr::from((address, tablet.port()));
    let listener = TcpListener::bind(at).await.map_err(|error| {
        format!("{at} cannot be had: {error}. Close the other program that uses it, or start this one with another --tablet-port")
    })?;
    let address = listener.local_addr().map_err(|error| error.to_string())?;
    tablet.invite(pairs_for)?;
    let asked = Arc::new(Shop {
        book: shop.book.clone(),
        tablet: tablet.clone(),
        side: Side::Tablet,
        hosts: vec![address.to_string()],
        limits: tablet.options.limits,
        // Nothing that a tablet may ask for takes so long.
        works: super::works::Works::default(),
        known: shop.known.clone(),
        standings: crate::standing::Standings::default(),
        keeper: None,
    });
    let mut state = tablet.state();
    state.closed = None;
    // Held from before it listens: it closes as soon as it finds that it is not open.
    state.open = Some(Open {
        address,
        opened_at: now(),
        used_at: now(),
        listening: tokio::spawn(listen(listener, asked)),
    });
    Ok(())
}

/// Listens until nobody has made use of it for too long.
async fn listen(listener: TcpListener, shop: Arc<Shop>) {
    let tablet = shop.tablet.clone();
    let limits = tablet.options.limits;
    tokio::select! {
        () = attend(listener, router(shop), limits, std::future::pending()) => {}
        () = idle(&tablet) => {}
    }
    let mut state = tablet.state();
    state.open = None;
    state.standing = Standing::None;
    state.closed = Some(format!(
        "It closed by itself at {}, after {} without use.",
        crate::show::moment(now()),
        span(tablet.options.idle)
    ));
}

/// The clock on the wall counts, also while the computer sleeps.
async fn idle(tablet: &Tablet) {
    while let Some(left) = tablet.idle_left(now()).filter(|left| *left > 0) {
        let left = Duration::from_secs(left.unsigned_abs());
        sleep(left.min(Duration::from_secs(30))).await;
    }
}

/// A span of time in words: whole hours and days where they are.
fn span(seconds: i64) -> String {
    let (count, unit) = match seconds {
        s if s % 86_400 == 0 => (s / 86_400, "day"),
        s if s % 3_600 == 0 => (s / 3_600, "hour"),
        s if s % 60 == 0 => (s / 60, "minute"),
        s => (s, "second"),
    };
    let many = if count == 1 { "" } else { "s" };
    format!("{count} {unit}{many}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_are_said_in_their_largest_whole_unit() {
        for (seconds, words) in [
            (5, "5 seconds"),
            (300, "5 minutes"),
            (7_200, "2 hours"),
            (86_400, "1 day"),
            (90 * 60, "90 minutes"),
            (30 * 86_400, "30 days"),
        ] {
            assert_eq!(span(seconds), words);
        }
    }

    #[test]
    fn a_network_of_ipv6_asks_as_one() {
        let of = |text: &str| network_of(text.parse().expect("an address"));
        assert_eq!(of("fd00::1:2:3:4"), of("fd00::9"));
        assert_ne!(of("fd00:0:0:1::1"), of("fd00::1"));
        assert_ne!(of("192.168.0.7"), of("192.168.0.8"));
    }
}
