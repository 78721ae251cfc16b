//! The doors by which texts come in, each with sound texts to begin with and the words of its
//! language.

use std::fmt::Write as _;

use instrument::COMMISSION_KEYS;
use instrument::format::{Kind, Table};

use super::{archive, carried, upload};
use crate::{Chance, drawn};

/// A reader of the program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Door {
    /// Commissions.
    Commission,
    /// Kits.
    Kit,
    /// Tables of readings, and files of a height probe.
    Readings,
    /// Scala's tuning files.
    Scala,
    /// Lengths and all other quantities that are typed.
    Lengths,
    /// Forms and addresses as the pages send them.
    Forms,
    /// Archives, as they are unpacked.
    Archives,
    /// Books as text, as they are taken in.
    Carried,
    /// Forms that bring a file along.
    Uploads,
}

impl Door {
    /// All of them.
    pub const ALL: [Door; 9] = [
        Door::Commission,
        Door::Kit,
        Door::Readings,
        Door::Scala,
        Door::Lengths,
        Door::Forms,
        Door::Archives,
        Door::Carried,
        Door::Uploads,
    ];

    /// Its name on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Door::Commission => "commission",
            Door::Kit => "kit",
            Door::Readings => "readings",
            Door::Scala => "scala",
            Door::Lengths => "lengths",
            Door::Forms => "forms",
            Door::Archives => "archives",
            Door::Carried => "carried",
            Door::Uploads => "uploads",
        }
    }

    /// The door of that name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|door| door.name() == name)
    }

    /// Sound inputs, short ones first.
    pub(super) fn sound(self, chance: &mut Chance) -> Vec<Vec<u8>> {
        let mut inputs = match self {
            Door::Commission => bytes(commissions(chance)),
            Door::Kit => bytes(kits(chance)),
            Door::Readings => bytes(owned(&READINGS)),
            Door::Scala => bytes(owned(&SCALA)),
            Door::Lengths => bytes(owned(&LENGTHS)),
            Door::Forms => bytes(forms()),
            Door::Archives => archive::sound(),
            Door::Carried => carried::sound(),
            Door::Uploads => upload::sound(),
        };
        inputs.sort_by_key(Vec::len);
        inputs
    }

    /// Words that mean something at this door.
    pub(super) fn words(self) -> Vec<String> {
        let mut words = owned(&SIGNS);
        match self {
            Door::Commission => keys(&COMMISSION_KEYS, &mut words),
            Door::Kit => keys(&bench::KIT_KEYS, &mut words),
            Door::Forms => {
                words.extend(owned(&FIELDS));
                paths(&COMMISSION_KEYS, "", &mut words);
            }
            Door::Readings => words.extend(owned(&CELLS)),
            Door::Archives => words.extend(owned(&archive::WORDS)),
            Door::Carried => words.extend(owned(&carried::WORDS)),
            Door::Uploads => words.extend(owned(&upload::WORDS)),
            Door::Scala | Door::Lengths => {}
        }
        words.extend(owned(&UNITS));
        words.sort();
        words.dedup();
        words
    }
}

fn owned(texts: &[&str]) -> Vec<String> {
    texts.iter().map(|text| (*text).to_owned()).collect()
}

fn bytes(texts: Vec<String>) -> Vec<Vec<u8>> {
    texts.into_iter().map(String::into_bytes).collect()
}

/// The least that a commission needs, so that most inputs are short.
const SMALL: &str = "camberwright=1\ntitle=\"H\"\n[scale]\nlength=635\nfrets=9\n[strings]\nnut_spread=35\nsaddle_spread=52\nset=[{note=\"E4\",gauge=0.25},{note=\"E2\",gauge=1}]\n[board]\nnut_width=42\nend_width=56\noverhang=8\ncrown_thickness=6\n[camber]\nlaw=\"cone\"\nnut=240\nlast_fret=400\n";

/// Random boards of every kind, beside the least one and two of the demo.
const DRAWN: u64 = 24;

fn commissions(chance: &mut Chance) -> Vec<String> {
    let mut texts = vec![SMALL.to_owned()];
    for (law, with) in [
        ("single", "radius=400"),
        ("string cone", "nut=240"),
        (
            "stations",
            "at=[{fret=0,radius=240},{fret=9,radius=\"flat\"}]",
        ),
    ] {
        let cone = "law=\"cone\"\nnut=240\nlast_fret=400";
        texts.push(SMALL.replace(cone, &format!("law=\"{law}\"\n{with}")));
    }
    texts.push(include_str!("../../../../demo/heron.toml").to_owned());
    texts.push(include_str!("../../../../demo/bittern.toml").to_owned());
    let seed = chance.bits() % 1_000_000;
    texts.extend((seed..seed + DRAWN).map(|seed| drawn(seed).0.to_toml()));
    texts
}

fn kits(chance: &mut Chance) -> Vec<String> {
    let small = "camberwright_kit=1\ntitle=\"N\"\nblocks=[{radius=\"16 in\"}]\nbeams=[{length=460,width=60}]\ngauges=[\"10 in\"]\nabrasives=[\"P80\"]\nsmallest_light=0.02\n";
    let mut texts = vec![small.to_owned()];
    texts.push(include_str!("../../../../demo/north-bench.toml").to_owned());
    let seed = chance.bits() % 1_000_000;
    texts.extend((seed..seed + DRAWN).map(|seed| drawn(seed).1.to_toml()));
    texts
}

/// All keys and words of a format.
fn keys(table: &'static Table, words: &mut Vec<String>) {
    for key in table.keys {
        words.push(format!("\n{} = ", key.name));
        words.push(format!("{} = ", key.name));
        if matches!(key.kind, Kind::Table(_)) {
            words.push(format!("\n[{}]\n", key.name));
        }
        of_kind(&key.kind, words);
    }
}

fn of_kind(kind: &'static Kind, words: &mut Vec<String>) {
    match kind {
        Kind::Choice(choices) | Kind::Usual(choices) => {
            words.extend(choices.iter().map(|word| format!("\"{word}\"")));
        }
        Kind::Table(table) => keys(table, words),
        Kind::List(kind) => of_kind(kind, words),
        Kind::Any(kinds) => kinds.iter().for_each(|kind| of_kind(kind, words)),
        _ => {}
    }
}

/// The dotted path of every key, as the fields of the pages name them.
fn paths(table: &'static Table, before: &str, words: &mut Vec<String>) {
    for key in table.keys {
        let path = format!("{before}{}", key.name);
        words.push(format!("&path={path}"));
        inner_paths(&key.kind, &path, words);
    }
}

fn inner_paths(kind: &'static Kind, path: &str, words: &mut Vec<String>) {
    match kind {
        Kind::Table(table) => paths(table, &format!("{path}."), words),
        Kind::List(kind) => inner_paths(kind, &format!("{path}[1]"), words),
        Kind::Any(kinds) => kinds.iter().for_each(|kind| inner_paths(kind, path, words)),
        _ => {}
    }
}

const READINGS: [&str; 8] = [
    "kind,tool,at,across,from,to,shows,value,note\nlight,12 in,fret 9,,,,edges,0.05 mm,\n",
    "kind,at,across,value\nthickness,nut,centre,7.2 mm\nheight,fret 3,lane 2,0.1 mm\n",
    "visit;date;stage;kind;tool;at;across;shows;value\nrough;2026-03-02;beam-P80;rock;500 mm;fret 5;lane 1;;0,03 mm\n",
    "kind\ttool\tat\tacross\tshows\tvalue\ngap\t500 mm\tfret 9\tlane 3\t\t0.04\n",
    "kind,at,value_in\nsagitta,fret 1,0.03\n",
    "x,y,z\n0,0,0\n10,5,0.1\n20,-5,0.05\n",
    "0 0 0\n100 10 -0.2\n200 -10 -0.1\n",
    "kind,tool,at,shows,value,resolution,set_up,note\n\"chalk\",\"16 in\",\"fret 9\",crown,,,,\"a \"\"word\"\"\"\n",
];

const CELLS: [&str; 40] = [
    "light",
    "gap",
    "rock",
    "sagitta",
    "thickness",
    "height",
    "chalk",
    "radius",
    "edges",
    "crown",
    "none",
    "stayed",
    "gone",
    "nut",
    "last fret",
    "end",
    "fret 9",
    "fret 22",
    "lane 1",
    "lane 6",
    "centre",
    "treble edge",
    "bass edge",
    "12 in",
    "500 mm",
    "flat",
    "visit",
    "date",
    "stage",
    "tool",
    "at",
    "across",
    "from",
    "to",
    "shows",
    "value",
    "resolution",
    "set_up",
    "note",
    "\nlight,12 in,fret 9,",
];

const SCALA: [&str; 5] = [
    "just\n3\n9/8\n3/2\n2\n",
    "! a.scl\n!\nfive\n 5\n!\n240.0\n480.\n720.0 cents\n960.\n2/1\n",
    "\n1\n1200.\n",
    "seventeen\n17\n70.6\n141.2\n211.8\n282.4\n352.9\n423.5\n494.1\n564.7\n635.3\n705.9\n776.5\n847.1\n917.6\n988.2\n1058.8\n1129.4\n2/1\n",
    "x\n2\n701.955\n3\n",
];

const LENGTHS: [&str; 24] = [
    "16in",
    "11 1/2 in",
    "0.010\"",
    "406,4 mm",
    "12 thou",
    "9½ in",
    "635",
    "3/64\"",
    "-0.3 mm",
    "1e2 mm",
    "0.7 N",
    "3 lbf",
    "50 gf",
    "0.0004 kg/m",
    "2.2e-5 lb/in",
    "45 %",
    "20 °C",
    "68 °F",
    "E4",
    "F♯3",
    "B♭2",
    "plain steel",
    "P120",
    "East Indian rosewood",
];

const UNITS: [&str; 30] = [
    "mm", "in", "\"", "″", "”", "'", "ft", "thou", "cm", "m", "µm", "N", "lbf", "gf", "kg/m",
    "lb/in", "%", "°", "°C", "°F", "½", "⅞", "⁄", "♯", "♭", "−", "12 equal", "flat", "0.25 mm",
    "10 in",
];

/// Numbers and signs that readers stumble over.
const SIGNS: [&str; 48] = [
    "nan",
    "inf",
    "-inf",
    "-0.0",
    "0",
    "1",
    "-1",
    "1e308",
    "-1e308",
    "1e-308",
    "5e-324",
    "1e999",
    "9223372036854775807",
    "-9223372036854775808",
    "18446744073709551616",
    "4294967296",
    "0x1f",
    "0b1",
    "1_000",
    "+1",
    ".5",
    "5.",
    "1e",
    "true",
    "false",
    "\"\"",
    "''",
    "\"\"\"",
    "'''",
    "[]",
    "[[",
    "]]",
    "{}",
    "{",
    "}",
    "=",
    ",",
    ";",
    "\t",
    "\n",
    "\r\n",
    "\\u0000",
    "\u{feff}",
    "\u{0}",
    "#",
    "1979-05-27",
    "🎸",
    "e\u{301}",
];

const FIELDS: [&str; 56] = [
    "&path=",
    "&value=",
    "&based_on=",
    "&based_on=2",
    "&fret=",
    "&lane=",
    "&page=",
    "&page=camber",
    "&page=readings",
    "&stage=",
    "&bench=",
    "&trial=1",
    "&step=up",
    "&step=down",
    "&law=single",
    "&law=cone",
    "&law=string cone",
    "&law=stations",
    "&text=",
    "&title=",
    "&start=text",
    "&start=kit",
    "&entry=2",
    "&kit=1",
    "&kit=",
    "&visit=1",
    "&visit=",
    "&kind=light",
    "&kind=heights",
    "&kind=gaps",
    "&kind=rocks",
    "&kind=gap",
    "&kind=rock",
    "&tool_light=12 in",
    "&at=fret 9",
    "&at=9",
    "&in=1",
    "&across=lane 1",
    "&from=1",
    "&to=9",
    "&shows_light=edges",
    "&sent_key=k",
    "&note=",
    "&minutes=7",
    "&reason=",
    "&batch=1",
    "&line=1",
    "&keep=sound",
    "&paper=letter",
    "&short_bar=99.6 mm",
    "&long_bar=100 mm",
    "&near=10 in",
    "&far=16 in",
    "&length=200",
    "&width=60",
    "&height=30",
];

/// The first line says where to, as a request's own first line does; the form follows.
fn forms() -> Vec<String> {
    let mut texts: Vec<String> = [
        "set\npath=camber.nut&value=10 in&based_on=2&page=camber&fret=9&lane=1",
        "set\npath=strings.set[2].gauge&value=0.014 in&based_on=2",
        "set\npath=wish.relief&value=0.15 mm&step=up&based_on=2",
        "set\ntrial=1&path=camber.last_fret&value=300&page=camber",
        "add\npath=strings.set&based_on=2",
        "take\npath=strings.set[1]&based_on=2",
        "law\nlaw=stations&based_on=2",
        "undo\npage=wish",
        "redo\npage=wish",
        "stage-done\nstage=beam-P80&minutes=7.5&note=x",
        "fret-top\nkind=heights&at=9&in=1&value=0.02 mm",
        "fret-top\nkind=gaps&in=1&from=1&to=9&at=5&value=0.02 mm",
        "kit\nkit=1",
        "visit\nname=one&date=2026-03-02&stage=",
        "reading\nvisit=1&kind=light&tool_light=12 in&at=fret 9&shows_light=edges&value=0.05&sent_key=a",
        "reading\nvisit=1&kind=gap&tool_gap=500 mm&at=fret 9&across=lane 1&value=0.05",
        "readings\nvisit=1&text=kind,at,across,value%0D%0Aheight,fret 3,centre,0.1 mm%0D%0A",
        "set-aside\nvisit=1&batch=1&line=2&reason=slip",
        "take-back\nvisit=1&batch=1&line=2",
        "go-to\nrevision=2",
        "/printing\npaper=a4&short_bar=99.6 mm&long_bar=100 mm&commission=2",
        "/units\nunit=in&back=/book",
        "/book/new\nstart=text&text=camberwright%20%3D%201&title=x",
        "/book/copy\nentry=2",
        "/book/put-away\nentry=2",
        "/kit/1/set\npath=title&value=N&based_on=1",
        "/kit/1/add\npath=blocks&based_on=1",
        "?body/block\nnear=10 in&far=16 in&length=200&width=60&height=30&as=stl",
        "?wish\nfret=9&lane=1",
        "?play\non=planned&fret=9",
        "?bench-plan\nstage=beam-P80",
        "?readings\nvisit=1&kind=gap&at=fret 9",
    ]
    .iter()
    .map(|text| (*text).to_owned())
    .collect();
    let mut many = "set\n".to_owned();
    for number in 0..40 {
        let _cannot_fail = write!(many, "&value{number}=%C3%A9");
    }
    texts.push(many);
    texts
}
