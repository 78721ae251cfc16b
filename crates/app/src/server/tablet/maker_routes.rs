//! The maker's own page about tablets: opening and closing the bench, invitations, taking away.

use std::net::IpAddr;
use std::sync::Arc;

use axum::Router;
use axum::extract::{Form, State};
use axum::response::IntoResponse;
use axum::routing::{get, post};

use super::invitation::Standing;
use super::paired::{all, part};
use super::{Tablet, open, span};
use crate::pages::{Invited, Notice, OpenBench, PairedTablet, TabletPage, tablet_page};
use crate::server::Shop;
use crate::server::answer::{Answer, Trouble, go, page};
use crate::server::book_routes::units_of;
use crate::server::change::now;
use crate::server::form::Fields;

type Pairs = Form<Vec<(String, String)>>;

/// For how long a tablet may stay paired: a day at the bench, or a month.
const SPANS: [i64; 2] = [12 * 3600, 30 * 86_400];

pub(in crate::server) fn routes() -> Router<Arc<Shop>> {
    Router::new()
        .route("/tablet", get(show))
        .route("/tablet/open", post(open_bench))
        .route("/tablet/close", post(close))
        .route("/tablet/code", post(invite))
        .route("/tablet/part", post(part_with))
}

async fn show(State(shop): State<Arc<Shop>>) -> Answer {
    shown(&shop, None)
}

fn shown(shop: &Shop, notice: Option<Notice>) -> Answer {
    let now = now();
    let paired = all(&shop.book, now)?
        .into_iter()
        .map(|paired| PairedTablet {
            id: paired.id,
            name: paired.name,
            at: paired.at,
            ends_at: paired.ends_at,
            seen_at: paired.seen_at,
        })
        .collect();
    let content = TabletPage {
        units: units_of(shop)?,
        notice,
        addresses: shop.tablet.addresses(),
        port: shop.tablet.port(),
        open: open_bench_now(&shop.tablet, now),
        closed: shop.tablet.state().closed.clone(),
        idle: span(shop.tablet.options.idle),
        code_lasts: span(shop.tablet.options.code_lasts),
        spans: SPANS.map(|seconds| (seconds, span(seconds))).to_vec(),
        paired,
    };
    Ok(page(tablet_page(&content)).into_response())
}

fn open_bench_now(tablet: &Tablet, now: i64) -> Option<OpenBench> {
    let mut state = tablet.state();
    state.standing.pass(now);
    let open = state.open.as_ref()?;
    Some(OpenBench {
        address: format!("http://{}", open.address),
        since: open.opened_at,
        invited: match &state.standing {
            Standing::None => Invited::Nobody,
            Standing::Waiting(invitation) => Invited::Waiting {
                code: invitation.code_in_groups(),
                link: format!("http://{}/pair?with={}", open.address, invitation.secret),
                ends_at: invitation.ends_at,
            },
            Standing::Used(name) => Invited::Came(name.clone()),
            Standing::Spent => Invited::Spent,
            Standing::Over => Invited::Over,
        },
    })
}

/// The span that a form chose, of those offered.
fn pairs_for(form: &Fields) -> Result<i64, Trouble> {
    let chosen = form.need("lasts")?.parse().ok();
    chosen
        .filter(|seconds| SPANS.contains(seconds))
        .ok_or_else(|| Trouble::Bad("the form names no span that is offered".into()))
}

async fn open_bench(State(shop): State<Arc<Shop>>, Form(pairs): Pairs) -> Answer {
    let form = Fields(pairs);
    let lasts = pairs_for(&form)?;
    let address: IpAddr = form
        .need("address")?
        .parse()
        .map_err(|_| Trouble::Bad("the form names no address".into()))?;
    match open(&shop, address, lasts).await {
        Ok(()) => go("/tablet"),
        Err(words) => shown(&shop, Some(Notice::NotDone(words))),
    }
}

async fn close(State(shop): State<Arc<Shop>>) -> Answer {
    shop.tablet.close().await;
    go("/tablet")
}

async fn invite(State(shop): State<Arc<Shop>>, Form(pairs): Pairs) -> Answer {
    let lasts = pairs_for(&Fields(pairs))?;
    if shop.tablet.state().open.is_none() {
        return shown(
            &shop,
            Some(Notice::NotDone("the bench is closed: open it first".into())),
        );
    }
    shop.tablet.invite(lasts).map_err(Trouble::Here)?;
    go("/tablet")
}

async fn part_with(State(shop): State<Arc<Shop>>, Form(pairs): Pairs) -> Answer {
    let form = Fields(pairs);
    match form.need("tablet")? {
        "all" => part(&shop.book, None, now())?,
        id => part(&shop.book, Some(id), now())?,
    }
    go("/tablet")
}
