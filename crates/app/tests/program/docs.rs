//! Keeps the pages under `docs` true: format tables against the code, examples against the
//! reader, worked figures against what the program prints.

use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use instrument::format::{Kind, Need, Table};
use serde_json::Value;

/// So many worked figures the pages carry at the least; the number only grows.
const LEAST_CHECKS: usize = 240;

/// The demo commissions that the pages work with.
const COMMISSIONS: [&str; 4] = ["heron", "sandpiper", "bittern", "avocet"];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn page(name: &str) -> String {
    let path = root().join("docs").join(name);
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// Every Markdown page of a folder under `docs`, by its file name.
fn pages(folder: &str) -> BTreeMap<String, String> {
    std::fs::read_dir(root().join("docs").join(folder))
        .expect("the folder is there")
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| name.ends_with(".md"))
        .map(|name| (name.clone(), page(&format!("./{folder}/{name}"))))
        .collect()
}

/// What the program prints for arguments, as a record; it is run in the project's root.
fn run(arguments: &[&str], standard_input: &str) -> Value {
    let mut child = Command::new(env!("CARGO_BIN_EXE_camberwright"))
        .args(arguments)
        .current_dir(root())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program starts");
    let mut pipe = child.stdin.take().expect("standard input is a pipe");
    pipe.write_all(standard_input.as_bytes())
        .expect("the program reads its input");
    drop(pipe);
    let output = child.wait_with_output().expect("the program ends");
    serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|error| panic!("{arguments:?} prints no record: {error}"))
}

fn record(command: &str, commission: &str) -> Value {
    let file = format!("demo/{commission}.toml");
    // Playing takes a kit only beside readings.
    if command == "play" {
        return run(&[command, &file, "--json"], "");
    }
    run(
        &[command, &file, "--kit", "demo/north-bench.toml", "--json"],
        "",
    )
}

/// What `read` prints of readings of every kind, one of them wild.
fn read_record() -> Value {
    let lights: String = (0..10)
        .map(|fret| format!("light,12 in,fret {},,edges,0.05 mm,\n", 2 * fret + 1))
        .collect();
    let readings = format!(
        "kind,tool,at,across,shows,value,note\n{lights}light,12 in,fret 9,,edges,5 mm,wild\n\
         gap,,fret 9,lane 2,,0.05 mm,\ngap,,fret 5,lane 4,none,,\nrock,,fret 12,lane 3,,0.03 mm,\n\
         thickness,,fret 22,bass edge,,6.1 mm,\nheight,,fret 3,centre,,0.1 mm,\n"
    );
    let arguments = [
        "read",
        "demo/heron.toml",
        "-",
        "--kit",
        "demo/north-bench.toml",
        "--json",
    ];
    run(&arguments, &readings)
}

/// What `play` prints of an instrument whose frets and set-up were measured: one fret stands
/// proud, one reading is wild, and the neck's seat and bridge are known.
fn measured_play_record() -> Value {
    let path = root().join("demo/heron.toml");
    let heron = std::fs::read_to_string(path).expect("the demo text is there");
    let heights: String = (1..=22)
        .map(|fret| {
            let height = if fret == 7 { "0.25 mm" } else { "0 mm" };
            format!("{{ fret = {fret}, lane = 3, height = \"{height}\" }}, ")
        })
        .collect();
    let measured = format!(
        "{heron}\n[neck]\nbridge_height = \"14 mm\"\npocket = \"75 mm\"\n\n[fretwork]\n\
         heights = [{heights}]\nrocks = [{{ fret = 9, lane = 3, rock = \"0.9 mm\" }}]\n\n\
         [set_up]\nrelief = \"0.25 mm\"\naction_at_12 = {{ treble = \"2 mm\", bass = \"2.3 mm\" }}\n"
    );
    run(&["play", "-", "--json"], &measured)
}

/// What `cut` prints of a board with a clamp in the cutters' way.
fn refused_cut_record() -> Value {
    let path = root().join("demo/heron.toml");
    let heron = std::fs::read_to_string(path).expect("the demo text is there");
    let clamped = format!(
        "{heron}\n[cutting]\nclamps = [{{ x = -20, y = -10, along = 40, across = 20, height = 20 }}]\n"
    );
    let arguments = ["cut", "-", "--kit", "demo/north-bench.toml", "--json"];
    run(&arguments, &clamped)
}

/// Rows of the tables whose first column is a name in backquotes, with their cells. A heading
/// that holds a path in backquotes says to which table of the file the rows below it belong.
fn rows(text: &str) -> BTreeMap<String, Vec<String>> {
    let mut prefix = String::new();
    let mut found = BTreeMap::new();
    for line in text.lines() {
        if line.starts_with('#') {
            prefix = line.split('`').nth(1).unwrap_or("").to_owned();
        }
        let Some(row) = line.strip_prefix("| `") else {
            continue;
        };
        let (name, rest) = row.split_once('`').expect("a closing backquote");
        let cells = rest.split('|').skip(1).map(|cell| cell.trim().to_owned());
        let path = match prefix.as_str() {
            "" => name.to_owned(),
            prefix => format!("{prefix}.{name}"),
        };
        let twice = found.insert(path.clone(), cells.collect());
        assert!(twice.is_none(), "{path} is described twice");
    }
    found
}

/// A key as the code describes it.
struct Described {
    /// Numbers and words that its range must name.
    range: Vec<String>,
    /// What holds when it is left out, or `required`.
    default: String,
}

fn describe(table: &Table, prefix: &str, out: &mut BTreeMap<String, Described>) {
    for key in table.keys {
        let path = format!("{prefix}{}", key.name);
        let default = match key.need {
            Need::Required => "required".to_owned(),
            Need::Otherwise(words) => words.to_owned(),
        };
        let mut range = Vec::new();
        describe_kind(&key.kind, &path, &mut range, out);
        out.insert(path, Described { range, default });
    }
}

fn describe_kind(
    kind: &Kind,
    path: &str,
    range: &mut Vec<String>,
    out: &mut BTreeMap<String, Described>,
) {
    let mut between = |least: &dyn ToString, most: &dyn ToString, unit: &str| {
        let text = format!("{} to {} {unit}", least.to_string(), most.to_string());
        range.push(text.trim_end().to_owned());
    };
    match kind {
        Kind::Length { least_mm, most_mm } => between(least_mm, most_mm, "mm"),
        Kind::Force { least_n, most_n } => between(least_n, most_n, "N"),
        Kind::Number { least, most } => between(least, most, ""),
        Kind::Whole { least, most } => between(least, most, ""),
        Kind::Choice(words) | Kind::Usual(words) => {
            range.extend(words.iter().map(|word| format!("`{word}`")))
        }
        Kind::Flag => range.push("`true` or `false`".into()),
        Kind::Table(table) => describe(table, &format!("{path}."), out),
        Kind::List(kind) => describe_kind(kind, &format!("{path}[]"), range, out),
        Kind::Any(kinds) => {
            for kind in *kinds {
                describe_kind(kind, path, range, out);
            }
        }
        Kind::Radius => between(
            &instrument::Radius::LEAST_MM,
            &instrument::Radius::MOST_MM,
            "mm",
        ),
        Kind::Percent | Kind::Temperature | Kind::LinearDensity | Kind::Note | Kind::Text => {}
    }
}

fn assert_described(page_name: &str, table: &Table) {
    let mut code = BTreeMap::new();
    describe(table, "", &mut code);
    let page = rows(&page(page_name));
    let in_code: BTreeSet<_> = code.keys().collect();
    let in_page: BTreeSet<_> = page.keys().collect();
    let missing: Vec<_> = in_code.difference(&in_page).collect();
    let invented: Vec<_> = in_page.difference(&in_code).collect();
    assert!(missing.is_empty(), "{page_name} leaves out {missing:?}");
    assert!(
        invented.is_empty(),
        "{page_name} tells of {invented:?}, which is no key"
    );
    for (path, key) in code {
        let [range, default, meaning] = &page[&path][..3] else {
            panic!("{path} has range, default and meaning");
        };
        assert_eq!(default, &key.default, "{page_name}: default of {path}");
        assert!(!meaning.is_empty(), "{page_name}: {path} means nothing");
        for part in key.range {
            assert!(
                range.contains(&part),
                "{page_name}: {path} ranges over {part}"
            );
        }
    }
}

#[test]
fn every_key_of_a_commission_is_described_with_its_range_and_default() {
    assert_described("formats/commission.md", &instrument::COMMISSION_KEYS);
}

#[test]
fn every_key_of_a_kit_is_described_with_its_range_and_default() {
    assert_described("formats/kit.md", &bench::KIT_KEYS);
}

/// Paths of all keys in a record; a list counts as its entries.
fn paths(value: &Value, prefix: &str, out: &mut BTreeSet<String>) {
    match value {
        Value::Object(map) => {
            for (key, value) in map {
                let path = match prefix {
                    "" => key.clone(),
                    prefix => format!("{prefix}.{key}"),
                };
                out.insert(path.clone());
                paths(value, &path, out);
            }
        }
        Value::Array(list) => {
            for value in list {
                paths(value, &format!("{prefix}[]"), out);
            }
        }
        _ => {}
    }
}

#[test]
fn every_key_of_the_records_is_described_with_unit_and_meaning() {
    let mut printed = BTreeSet::new();
    for commission in COMMISSIONS {
        for command in ["sheet", "plan"] {
            paths(&record(command, commission), command, &mut printed);
        }
    }
    // Sandpiper has two stretches of camber and no caul, Heron a caul.
    for commission in ["heron", "sandpiper"] {
        for command in ["pattern", "cut"] {
            paths(&record(command, commission), command, &mut printed);
        }
    }
    paths(&refused_cut_record(), "cut", &mut printed);
    paths(&read_record(), "read", &mut printed);
    paths(&record("play", "heron"), "play", &mut printed);
    paths(&measured_play_record(), "play", &mut printed);
    let broken = run(&["sheet", "-", "--json"], "camberwright = 2\n");
    paths(&broken, "refusal", &mut printed);
    let page = rows(&page("formats/json.md"));
    let described: BTreeSet<String> = page.keys().cloned().collect();
    let missing: Vec<_> = printed.difference(&described).collect();
    let invented: Vec<_> = described.difference(&printed).collect();
    assert!(missing.is_empty(), "json.md leaves out {missing:?}");
    assert!(
        invented.is_empty(),
        "json.md tells of {invented:?}, never printed"
    );
    for (path, cells) in page {
        assert!(cells.len() >= 2, "{path} has a unit and a meaning");
        assert!(
            cells[..2].iter().all(|cell| !cell.is_empty()),
            "{path}: {cells:?}"
        );
    }
}

fn toml_blocks(text: &str) -> Vec<&str> {
    text.split("```toml\n")
        .skip(1)
        .filter_map(|rest| rest.split("```").next())
        .collect()
}

#[test]
fn whole_examples_read_without_faults() {
    let (mut commissions, mut kits) = (0, 0);
    for (name, text) in pages("formats") {
        for block in toml_blocks(&text) {
            if block.starts_with("camberwright = 1") {
                let read = instrument::read_commission(block, &|_| Err("no files here".into()));
                assert!(read.is_ok(), "{name}: {}", read.unwrap_err());
                commissions += 1;
            } else if block.starts_with("camberwright_kit = 1") {
                let read = bench::read_kit(block);
                assert!(read.is_ok(), "{name}: {}", read.unwrap_err());
                kits += 1;
            }
        }
    }
    assert!(
        commissions >= 3 && kits >= 2,
        "{commissions} and {kits} examples"
    );
}

/// A figure worked by hand in a page, and where the program prints it.
struct Check {
    page: String,
    command: String,
    commission: String,
    path: String,
    figure: String,
}

fn checks(page: &str, text: &str) -> Vec<Check> {
    text.split("<!-- check: ")
        .skip(1)
        .map(|rest| {
            let (comment, _) = rest.split_once(" -->").expect("the comment is closed");
            let (place, figure) = comment.split_once(" = ").expect("a figure");
            let mut words = place.splitn(3, ' ').map(str::to_owned);
            let mut word = || words.next().expect("command, commission and path");
            Check {
                page: page.to_owned(),
                command: word(),
                commission: word(),
                path: word(),
                figure: figure.to_owned(),
            }
        })
        .collect()
}

/// The value at a path such as `frets[9].edge_drop_mm`.
fn value_at<'a>(record: &'a Value, path: &str) -> Option<&'a Value> {
    let mut value = record;
    for part in path.split('.') {
        let mut pieces = part.split('[');
        value = value.get(pieces.next()?)?;
        for index in pieces {
            value = value.get(index.strip_suffix(']')?.parse::<usize>().ok()?)?;
        }
    }
    Some(value)
}

/// True when a printed value is the figure written, to the digits written.
fn agrees(value: &Value, figure: &str) -> bool {
    if let Some(words) = figure.strip_prefix('"') {
        return value.as_str() == words.strip_suffix('"');
    }
    let (Some(printed), Ok(written)) = (value.as_f64(), figure.parse::<f64>()) else {
        return false;
    };
    let decimals = figure
        .split_once('.')
        .map_or(0, |(_, digits)| digits.len() as i32);
    let half_of_last_digit = 0.5 * 10f64.powi(-decimals);
    // The hand's own rounding stands exactly at half a digit at the worst.
    (printed - written).abs() <= half_of_last_digit * (1.0 + 1e-6)
}

/// The text that a reader sees: without comments.
fn seen(text: &str) -> String {
    let mut parts = text.split("<!--");
    let first = parts.next().unwrap_or("").to_owned();
    parts.fold(first, |seen, part| {
        seen + part.split_once("-->").map_or("", |(_, after)| after)
    })
}

/// True when a figure stands in a text as a number of its own.
fn stands_in(text: &str, figure: &str) -> bool {
    let plain = figure.trim_matches('"');
    text.match_indices(plain).any(|(at, found)| {
        let before = text[..at].chars().next_back();
        let mut after = text[at + found.len()..].chars();
        let next = after.next();
        let ends = match next {
            Some('.') => !after.next().is_some_and(|digit| digit.is_ascii_digit()),
            Some(letter) => !letter.is_ascii_digit(),
            None => true,
        };
        ends && !before.is_some_and(|letter| letter.is_ascii_digit() || letter == '.')
    })
}

#[test]
fn worked_figures_are_what_the_program_prints() {
    let mut records: BTreeMap<(String, String), Value> = BTreeMap::new();
    let mut wrong = Vec::new();
    let mut count = 0;
    for (name, text) in pages("computations") {
        let visible = seen(&text);
        for check in checks(&name, &text) {
            count += 1;
            let key = (check.command.clone(), check.commission.clone());
            let record = records
                .entry(key)
                .or_insert_with(|| record(&check.command, &check.commission));
            let place = format!(
                "{}: {} {} {}",
                check.page, check.command, check.commission, check.path
            );
            match value_at(record, &check.path) {
                None => wrong.push(format!("{place} is not printed")),
                Some(value) if !agrees(value, &check.figure) => {
                    wrong.push(format!("{place} is {value}, written {}", check.figure));
                }
                Some(_) => {}
            }
            if !stands_in(&visible, &check.figure) {
                wrong.push(format!(
                    "{place}: {} is not to be read in the page",
                    check.figure
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(count >= LEAST_CHECKS, "{count} checks");
}

#[test]
fn every_page_of_computations_has_checks_and_stands_in_the_index() {
    let index = page("computations/README.md");
    for (name, text) in pages("computations") {
        if name == "README.md" {
            continue;
        }
        assert!(
            index.contains(&format!("({name})")),
            "{name} is not in the index"
        );
        assert!(
            !checks(&name, &text).is_empty(),
            "{name} has no checked figure"
        );
    }
}

#[test]
fn paths_named_in_the_pages_exist() {
    let folders = ["computations", "formats"];
    let mut texts: Vec<(String, String)> = folders.into_iter().flat_map(pages).collect();
    texts.extend(["choices.md", "safety.md"].map(|name| (name.to_owned(), page(name))));
    for (name, text) in texts {
        for path in text
            .split('`')
            .filter(|piece| piece.starts_with("crates/") || piece.starts_with("demo/"))
        {
            assert!(root().join(path).exists(), "{name} names {path}");
        }
    }
}

/// The tool's heights at four moments of Heron's first stage, as summed by hand in the page on
/// chalk over the true arc and the whole board, mm.
const CHALK_HEIGHTS: [&str; 4] = ["0.354", "0.194", "0.082", "0.014"];

#[test]
fn chalk_lies_where_the_page_says() {
    let read = |name: &str| {
        let path = root().join("demo").join(name);
        std::fs::read_to_string(path).expect("the demo text is there")
    };
    let heron = instrument::read_commission(&read("heron.toml"), &|_| Err("none".into()));
    let kit = bench::read_kit(&read("north-bench.toml"));
    let (heron, kit) = (heron.expect("it reads"), kit.expect("it reads"));
    let wear = bench::effort::WearRate::from_logs(&[], kit.hand);
    let plan = bench::bench_plan(&heron, &kit, wear);
    let map = bench::touch::TouchMap::of(&heron, &plan.stages[0], 161, 161);
    let text = page("computations/chalk.md");
    for (height, figure) in map.tool_height_mm[1..].iter().zip(CHALK_HEIGHTS) {
        assert!(
            agrees(&Value::from(*height), figure),
            "{height} is not {figure}"
        );
        assert!(stands_in(&text, figure), "{figure} is not in the page");
    }
}

/// Where the links of a Markdown text lead, other than to addresses.
fn links(text: &str) -> impl Iterator<Item = &str> {
    text.split("](")
        .skip(1)
        .filter_map(|rest| rest.split(')').next())
        .filter(|link| !link.contains("://"))
}

#[test]
fn links_lead_to_pages_that_are_there() {
    let mut count = 0;
    for folder in ["", "computations/", "formats/"] {
        for (name, text) in pages(folder) {
            for link in links(&text) {
                let path = root().join("docs").join(folder).join(link);
                assert!(path.exists(), "{folder}{name} links to {link}");
                count += 1;
            }
        }
    }
    assert!(count >= 12, "{count} links");
}

#[test]
fn a_figure_agrees_only_to_its_digits() {
    let value = Value::from(0.957_512_4);
    assert!(agrees(&value, "0.9575") && agrees(&value, "0.958") && agrees(&value, "1"));
    assert!(!agrees(&value, "0.9576") && !agrees(&value, "0.95750"));
    assert!(agrees(&Value::from("P80"), "\"P80\"") && !agrees(&Value::Null, "0"));
    assert!(stands_in("it is 0.957.", "0.957") && !stands_in("it is 10.957", "0.957"));
    assert!(!stands_in("it is 0.9575", "0.957"));
}
