//! Arrows between rooms point down only, and the core reaches nothing outside itself.

use std::collections::{BTreeMap, BTreeSet};

/// The floors of the house from the bottom up; rooms on one floor do not know each other.
pub const FLOORS: [&[&str]; 8] = [
    &["quantity"],
    &["instrument"],
    &["bench"],
    &["readings"],
    &["play"],
    &["drawing", "solid"],
    &["book"],
    &["camberwright"],
];

/// The rooms that compute: pure, without files, network, clock, environment or chance.
pub const CORE: [&str; 7] = [
    "quantity",
    "instrument",
    "bench",
    "readings",
    "play",
    "drawing",
    "solid",
];

/// Crates that only test; they may know everything, and nothing may know them.
pub const TESTERS: [&str; 3] = ["trials", "house", "timing"];

/// What the core must not reach: runtimes, servers, stores, chance.
const OUTSIDE: [&str; 16] = [
    "tokio",
    "axum",
    "rusqlite",
    "rand",
    "fastrand",
    "getrandom",
    "hyper",
    "http",
    "h2",
    "reqwest",
    "ureq",
    "tiny_http",
    "actix-web",
    "warp",
    "rocket",
    "curl",
];

fn floor(room: &str) -> Option<usize> {
    FLOORS.iter().position(|rooms| rooms.contains(&room))
}

/// Every arrow `(from, to)` between rooms of the house that may not be, with the reason.
pub fn forbidden_arrows(arrows: &[(String, String)]) -> Vec<String> {
    let fault = |(from, to): &(String, String)| {
        arrow_fault(from, to).map(|why| format!("{from} -> {to}: {why}"))
    };
    arrows.iter().filter_map(fault).collect()
}

fn arrow_fault(from: &str, to: &str) -> Option<String> {
    if TESTERS.contains(&to) {
        return Some(format!("nothing may depend on the test crate {to}"));
    }
    if TESTERS.contains(&from) {
        return None;
    }
    match (floor(from), floor(to)) {
        (None, _) => Some(format!("{from} has no floor in the house: give it one")),
        (_, None) => Some(format!("{to} has no floor in the house: give it one")),
        (Some(from), Some(to)) if to < from => None,
        _ => Some("arrows point down only".to_owned()),
    }
}

/// Rooms that have no floor and are no test crate.
pub fn rooms_without_floor<'a>(rooms: impl IntoIterator<Item = &'a str>) -> Vec<String> {
    let rooms = rooms.into_iter();
    rooms
        .filter(|room| floor(room).is_none() && !TESTERS.contains(room))
        .map(str::to_owned)
        .collect()
}

/// What a room reaches from outside the house and must not, each with the way it is reached.
///
/// `knows` names for every crate those that it is built with.
pub fn outside_reached(knows: &BTreeMap<String, BTreeSet<String>>, room: &str) -> Vec<String> {
    let mut seen = BTreeSet::from([room.to_owned()]);
    let mut open = vec![(room.to_owned(), room.to_owned())];
    let mut found = Vec::new();
    while let Some((name, way)) = open.pop() {
        for next in knows.get(&name).into_iter().flatten() {
            if !seen.insert(next.clone()) {
                continue;
            }
            let way = format!("{way} -> {next}");
            if is_outside(next) {
                found.push(way.clone());
            }
            open.push((next.clone(), way));
        }
    }
    found
}

/// Families such as `http-body` and `tokio-util` count with their heads.
fn is_outside(name: &str) -> bool {
    let of = |head: &str| name == head || (head != "rand" && name.starts_with(&format!("{head}-")));
    OUTSIDE.iter().any(|head| of(head))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn arrow(from: &str, to: &str) -> (String, String) {
        (from.to_owned(), to.to_owned())
    }

    fn faults(from: &str, to: &str) -> usize {
        forbidden_arrows(&[arrow(from, to)]).len()
    }

    #[test]
    fn down_is_allowed_and_up_or_sideways_is_not() {
        assert_eq!(faults("play", "quantity"), 0);
        assert_eq!(faults("drawing", "play"), 0);
        assert_eq!(faults("book", "drawing"), 0);
        assert_eq!(faults("camberwright", "book"), 0);
        assert_eq!(faults("quantity", "play"), 1);
        assert_eq!(faults("drawing", "solid"), 1);
        assert_eq!(faults("solid", "drawing"), 1);
        assert_eq!(faults("book", "book"), 1);
        for room in CORE {
            assert_eq!(faults(room, "book"), 1, "{room}");
        }
    }

    #[test]
    fn test_crates_know_and_are_not_known() {
        assert_eq!(faults("trials", "play"), 0);
        assert_eq!(faults("timing", "camberwright"), 0);
        assert_eq!(faults("play", "trials"), 1);
        assert_eq!(faults("house", "timing"), 1);
    }

    #[test]
    fn a_new_room_must_be_given_a_floor() {
        assert_eq!(faults("attic", "quantity"), 1);
        assert_eq!(faults("camberwright", "attic"), 1);
        assert_eq!(rooms_without_floor(["play", "house", "attic"]), ["attic"]);
    }

    #[test]
    fn what_is_reached_through_others_is_found() {
        let knows = |pairs: &[(&str, &[&str])]| -> BTreeMap<String, BTreeSet<String>> {
            let names = |list: &[&str]| list.iter().map(|name| (*name).to_owned()).collect();
            pairs
                .iter()
                .map(|(name, list)| ((*name).to_owned(), names(list)))
                .collect()
        };
        let sound = knows(&[
            ("play", &["bench", "toml_edit"]),
            ("toml_edit", &["winnow"]),
        ]);
        assert!(outside_reached(&sound, "play").is_empty());
        let bad = knows(&[
            ("play", &["bench"]),
            ("bench", &["hub"]),
            ("hub", &["tokio", "http-body"]),
        ]);
        let found = outside_reached(&bad, "play");
        assert_eq!(found.len(), 2, "{found:?}");
        assert!(found.contains(&"play -> bench -> hub -> tokio".to_owned()));
        // A circle, as dev-dependencies make them, ends.
        assert!(outside_reached(&knows(&[("a", &["b"]), ("b", &["a"])]), "a").is_empty());
    }
}
