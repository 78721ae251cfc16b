//! Reads the dependency graph and fails on every arrow that may not be.

use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;

use house::House;
use house::arrows::{CORE, forbidden_arrows, outside_reached, rooms_without_floor};
use house::cargo::list;
use house::sources::outside_named;
use serde_json::Value;

fn metadata(more: &[&str]) -> Value {
    house::cargo::metadata(more).unwrap_or_else(|why| panic!("{why}"))
}

fn name(value: &Value) -> String {
    value["name"].as_str().unwrap_or("").to_owned()
}

/// Every arrow between rooms, those of tests and build scripts included.
fn arrows(metadata: &Value) -> Vec<(String, String)> {
    let packages = list(metadata, "packages");
    let rooms: BTreeSet<String> = packages.iter().map(name).collect();
    let of = |package: &Value| -> Vec<(String, String)> {
        let from = name(package);
        let known = list(package, "dependencies").iter().map(name);
        known
            .filter(|to| rooms.contains(to))
            .map(|to| (from.clone(), to))
            .collect()
    };
    packages.iter().flat_map(of).collect()
}

#[test]
fn arrows_between_rooms_point_down_only() {
    let metadata = metadata(&["--no-deps"]);
    let arrows = arrows(&metadata);
    assert!(arrows.len() > 5, "the graph was not read: {arrows:?}");
    let faults = forbidden_arrows(&arrows);
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn every_room_has_its_floor() {
    let metadata = metadata(&["--no-deps"]);
    let rooms: Vec<String> = list(&metadata, "packages").iter().map(name).collect();
    assert!(
        CORE.iter()
            .all(|room| rooms.iter().any(|name| name == room)),
        "{rooms:?}"
    );
    let lost = rooms_without_floor(rooms.iter().map(String::as_str));
    assert!(lost.is_empty(), "no floor for {lost:?}");
}

/// For every crate those that it is built with; what only its tests use does not count.
fn built_with(metadata: &Value) -> BTreeMap<String, BTreeSet<String>> {
    let packages = list(metadata, "packages");
    let names: BTreeMap<&str, String> = packages
        .iter()
        .map(|package| (package["id"].as_str().unwrap_or(""), name(package)))
        .collect();
    let called = |id: &Value| {
        names
            .get(id.as_str().unwrap_or(""))
            .cloned()
            .unwrap_or_default()
    };
    let mut knows: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for node in list(&metadata["resolve"], "nodes") {
        let entry = knows.entry(called(&node["id"])).or_default();
        for known in list(node, "deps") {
            // The kind of an ordinary dependency is null.
            let built = list(known, "dep_kinds")
                .iter()
                .any(|kind| kind["kind"] != "dev");
            if built {
                entry.insert(called(&known["pkg"]));
            }
        }
    }
    knows
}

#[test]
fn the_core_reaches_no_network_no_store_and_no_chance() {
    // Crates for other machines need not be at hand: the graph is asked for this one.
    let rustc = Command::new("rustc")
        .arg("-vV")
        .output()
        .expect("a compiler built this test");
    let version = String::from_utf8_lossy(&rustc.stdout).into_owned();
    let host = version
        .lines()
        .find_map(|line| line.strip_prefix("host: "))
        .expect("rustc names its host");
    let knows = built_with(&metadata(&["--filter-platform", host]));
    assert!(
        knows["instrument"].contains("toml_edit"),
        "the graph was not read"
    );
    let app = outside_reached(&knows, "camberwright");
    assert!(
        !app.is_empty(),
        "the application serves pages, so that something must be found"
    );
    for room in CORE {
        let faults = outside_reached(&knows, room);
        assert!(faults.is_empty(), "{}", faults.join("\n"));
    }
}

#[test]
fn the_core_names_no_files_network_environment_clock_or_threads() {
    let sources = House::here().sources("src").expect("sources can be read");
    let core = sources
        .iter()
        .filter(|source| CORE.contains(&source.room.as_str()));
    let mut looked_at = 0;
    let mut faults = Vec::new();
    for source in core {
        looked_at += 1;
        let found = outside_named(&source.text);
        faults.extend(
            found
                .into_iter()
                .map(|fault| format!("{}:{fault}", source.path)),
        );
    }
    assert!(looked_at > 30, "{looked_at} files");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
