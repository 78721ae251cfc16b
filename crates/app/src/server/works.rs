//! Works that take longer than a page may: how far each is can be asked, and it can be stopped.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use axum::Router;
use axum::extract::{Form, Query, State};
use axum::http::header;
use axum::response::IntoResponse;
use axum::routing::{get, post};

use super::Shop;
use super::answer::{Answer, Trouble};
use super::form::Fields;
use crate::progress::Progress;

type Pairs = Vec<(String, String)>;

/// What a stopped work says.
pub(super) const STOPPED: &str = "it was stopped; open the page again to begin it anew";

/// So many works are known by name at a time.
const MOST_WORKS: usize = 64;
/// Letters of a work's name.
const MOST_LETTERS: usize = 64;

pub(super) fn routes() -> Router<Arc<Shop>> {
    Router::new()
        .route("/work", get(how_far))
        .route("/stop-work", post(stop))
}

/// The works under way, by the names that their pages gave them.
#[derive(Debug, Default)]
pub(crate) struct Works(Mutex<BTreeMap<String, Arc<Progress>>>);

impl Works {
    /// Does a work beside the server's own thread, known by a name while it lasts.
    pub(super) async fn watched<T: Send + 'static>(
        &self,
        name: Option<&str>,
        work: impl FnOnce(&Progress) -> Result<T, String> + Send + 'static,
    ) -> Result<T, Trouble> {
        let progress = Arc::new(Progress::unseen());
        let _known = name.and_then(|name| self.know(name, &progress));
        let own = progress.clone();
        tokio::task::spawn_blocking(move || work(&own))
            .await
            .map_err(|error| Trouble::Here(format!("it was not worked out: {error}")))?
            .map_err(Trouble::NotThere)
    }

    fn map(&self) -> std::sync::MutexGuard<'_, BTreeMap<String, Arc<Progress>>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Known until what is given back is dropped, which it is also when the page went away.
    fn know(&self, name: &str, progress: &Arc<Progress>) -> Option<Known<'_>> {
        let mut map = self.map();
        if name.len() > MOST_LETTERS || map.len() >= MOST_WORKS || map.contains_key(name) {
            return None;
        }
        map.insert(name.to_owned(), progress.clone());
        Some(Known {
            works: self,
            name: name.to_owned(),
        })
    }
}

struct Known<'a> {
    works: &'a Works,
    name: String,
}

impl Drop for Known<'_> {
    /// A page that went away waits for nothing any more: its work is stopped.
    fn drop(&mut self) {
        if let Some(progress) = self.works.map().remove(&self.name) {
            progress.stop();
        }
    }
}

/// Which share is done, in thousandths; nothing when no work of that name is under way.
async fn how_far(State(shop): State<Arc<Shop>>, Query(pairs): Query<Pairs>) -> Answer {
    let fields = Fields(pairs);
    let progress = shop.works.map().get(fields.need("work")?).cloned();
    let told = progress.map_or(String::new(), |progress| {
        format!("{:.0}", 1000.0 * progress.share())
    });
    Ok(([(header::CONTENT_TYPE, "text/plain")], told).into_response())
}

async fn stop(State(shop): State<Arc<Shop>>, Form(pairs): Form<Pairs>) -> Answer {
    let fields = Fields(pairs);
    let progress = shop.works.map().get(fields.need("work")?).cloned();
    match progress {
        Some(progress) => {
            progress.stop();
            Ok("stopped\n".into_response())
        }
        None => Err(Trouble::NotThere(
            "no such work is under way; it may be done already".into(),
        )),
    }
}
