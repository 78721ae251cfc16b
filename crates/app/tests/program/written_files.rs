//! Files that the command line writes: whole or not at all, never over what is there; a full disk
//! and a read-only folder are told with what, where and a way out.

use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use crate::common::{
    PROGRAM, Scratch, as_nobody, can_have_a_disk, everything_in, limited, on_a_disk_then_listed,
    root, words,
};

const HERON: &str = "demo/heron.toml";
const KIT: &str = "demo/north-bench.toml";

/// Every way in which the command line writes files, into a folder's `to`.
fn ways(folder: &Path) -> Vec<(&'static str, Vec<String>)> {
    let root = root();
    let at = |name: &str| folder.join(name).display().to_string();
    let demo = |name: &str| root.join(name).display().to_string();
    let (heron, kit) = (demo(HERON), demo(KIT));
    let command = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect();
    vec![
        (
            "pattern --into",
            command(&[
                "pattern",
                &heron,
                "--only",
                "frets",
                "--only",
                "gauges",
                "--into",
                &at("to"),
            ]),
        ),
        (
            "pattern --zip",
            command(&[
                "pattern",
                &heron,
                "--only",
                "gauges",
                "--zip",
                &at("to.zip"),
            ]),
        ),
        (
            "cut --zip",
            command(&[
                "cut",
                &heron,
                "--kit",
                &kit,
                "--only",
                "bodies",
                "--as",
                "stl",
                "--zip",
                &at("to.zip"),
            ]),
        ),
        (
            "plan --pdf",
            command(&["plan", &heron, "--kit", &kit, "--pdf", &at("to.pdf")]),
        ),
        (
            "play --pdf",
            command(&["play", &heron, "--necks", "100", "--pdf", &at("to.pdf")]),
        ),
        ("demo", command(&["demo", &at("to")])),
    ]
}

fn texts(arguments: &[String]) -> Vec<&str> {
    arguments.iter().map(String::as_str).collect()
}

#[track_caller]
fn said(output: &Output, way: &str, says: &[&str]) {
    let words = words(output);
    assert_eq!(output.status.code(), Some(1), "{way}: {words}");
    for expected in says {
        assert!(
            words.contains(expected),
            "{way}: no \"{expected}\" in: {words}"
        );
    }
}

/// Nothing lies in the folder, and in no folder within it.
#[track_caller]
fn empty(folder: &Path, way: &str) {
    assert!(
        everything_in(folder).is_empty(),
        "{way}: {:?}",
        everything_in(folder).keys()
    );
    let within = folder.join("to");
    if within.is_dir() {
        assert!(
            everything_in(&within).is_empty(),
            "{way}: {:?}",
            everything_in(&within).keys()
        );
    }
}

#[test]
fn a_file_that_does_not_fit_leaves_nothing_behind() {
    let scratch = Scratch::new("half");
    for (way, arguments) in ways(&scratch.0) {
        // 1 × 512 bytes: less than any of the files.
        let output = limited(1, &texts(&arguments)).output().expect("sh runs");
        said(&output, way, &["not written", "free some space"]);
        empty(&scratch.0, way);
    }
}

#[test]
fn on_a_full_disk_every_written_file_is_taken_away_again() {
    if !can_have_a_disk() {
        return;
    }
    let scratch = Scratch::new("full");
    for (way, arguments) in ways(&scratch.0) {
        // The demo's texts fit on 16 kB but for the last; the others do not fit at all.
        let size = match way {
            "demo" => "16k",
            "pattern --zip" => "20k",
            _ => "40k",
        };
        let mut command = on_a_disk_then_listed(&scratch.0, size, &texts(&arguments));
        let output = command.output().expect("unshare runs");
        said(
            &output,
            way,
            &["not written", "No space left", "free some space"],
        );
        let left = words(&output);
        let left: Vec<&str> = left.lines().filter(|line| line.starts_with('/')).collect();
        // Each text of the demo is a file of its own: those that fitted stay, as a second run
        // keeps them.
        if way != "demo" {
            assert!(left.is_empty(), "{way}: {left:?}");
        }
    }
}

#[test]
fn what_is_there_is_never_overwritten() {
    let scratch = Scratch::new("there");
    let folder = scratch.path("to");
    fs::create_dir(&folder).expect("a folder");
    let foreign = b"somebody else's work";
    for name in ["to.zip", "to.pdf"] {
        fs::write(scratch.path(name), foreign).expect("a file");
    }
    for name in ["heron-frets.pdf", "heron.toml"] {
        fs::write(folder.join(name), foreign).expect("a file");
    }
    let before = (everything_in(&scratch.0), everything_in(&folder));
    for (way, arguments) in ways(&scratch.0) {
        let output = Command::new(PROGRAM)
            .args(&arguments)
            .current_dir(root())
            .output()
            .expect("the program runs");
        if way == "demo" {
            // It writes what is missing and keeps what is there, and says so.
            assert!(words(&output).contains("kept"), "{}", words(&output));
            continue;
        }
        let words = words(&output);
        assert_eq!(output.status.code(), Some(1), "{way}: {words}");
        assert!(words.contains("name a new"), "{way}: {words}");
    }
    assert_eq!(everything_in(&scratch.0), before.0);
    for (name, bytes) in before.1 {
        assert_eq!(
            fs::read(folder.join(&name)).expect("it is there"),
            bytes,
            "{name}"
        );
    }
}

#[test]
fn a_folder_and_an_archive_are_written_both_or_none() {
    let scratch = Scratch::new("both");
    fs::write(scratch.path("to.zip"), "here already").expect("a file");
    let output = Command::new(PROGRAM)
        .args(["pattern", HERON, "--into"])
        .arg(scratch.path("to"))
        .arg("--zip")
        .arg(scratch.path("to.zip"))
        .current_dir(root())
        .output()
        .expect("the program runs");
    said(
        &output,
        "both",
        &["is there already", "nothing was written"],
    );
    assert!(!scratch.path("to").exists());
}

#[test]
fn a_read_only_folder_is_told() {
    use std::os::unix::fs::PermissionsExt;
    let scratch = Scratch::new("locked");
    let lock = |mode: u32| {
        let mode = fs::Permissions::from_mode(mode);
        fs::set_permissions(&scratch.0, mode).expect("its own");
    };
    lock(0o555);
    for (way, arguments) in ways(&scratch.0) {
        let Some(mut command) = as_nobody(&texts(&arguments)) else {
            break;
        };
        let output = command.output().expect("the program runs");
        said(&output, way, &["ermission denied", "allow writing there"]);
    }
    lock(0o755);
    empty(&scratch.0, "all");
}

/// Figures sent into a file on a full disk would end in the middle without a word.
#[test]
fn standard_output_that_cannot_be_written_is_told() {
    // The device that is always full: full(4) of the Linux manual.
    let Ok(full) = fs::OpenOptions::new().write(true).open("/dev/full") else {
        eprintln!("LEFT OUT: there is no /dev/full here");
        return;
    };
    for arguments in [
        vec!["sheet", HERON],
        vec!["sheet", HERON, "--json"],
        vec!["plan", HERON, "--kit", KIT],
        vec!["pattern", HERON],
        vec!["schema", "kit"],
    ] {
        let output = Command::new(PROGRAM)
            .args(&arguments)
            .current_dir(root())
            .stdout(Stdio::from(full.try_clone().expect("a handle")))
            .stderr(Stdio::piped())
            .output()
            .expect("the program runs");
        said(&output, arguments[0], &["standard output", "not whole"]);
    }
}
