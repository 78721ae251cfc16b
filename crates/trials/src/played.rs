//! Random instruments with everything that playing needs: strings of known pull and stretch, a
//! wish, a neck, and fret tops as read.

use crate::chance::Chance;
use crate::commission::{Camber, Commission, Outline, line, number};
use crate::draw::{ordinary_board, wild_board};

/// What of a string its pitch and diameter do not say.
#[derive(Clone, Debug, PartialEq)]
pub struct Sounding {
    /// What it is made of, as the file says it.
    pub make: &'static str,
    /// Its weight, g/m, when the maker gave it.
    pub g_per_m: Option<f64>,
    /// The fret at which it is tuned true.
    pub tuned_at: usize,
    /// Two pitches, Hz, before and after it was drawn by a millimetre.
    pub drawn: Option<(f64, f64)>,
}

/// The player's wish; lengths in mm, forces in N.
#[derive(Clone, Debug, PartialEq)]
pub struct Player {
    /// Open string over fret 1.
    pub action_at_1: f64,
    /// The neck's bow.
    pub relief: f64,
    /// This player's pluck, a light one's and a hard one's.
    pub forces: [f64; 3],
    /// Where, from the saddle.
    pub pluck_from_saddle: f64,
    /// The bend wanted, cents.
    pub bend: f64,
    /// Air that must be left.
    pub margin: f64,
}

/// A commission with all that playing needs.
#[derive(Clone, Debug, PartialEq)]
pub struct Played {
    /// The board and its strings.
    pub board: Commission,
    /// The strings' stuff, highest first.
    pub sounding: Vec<Sounding>,
    /// String behind nut and saddle, mm.
    pub behind: f64,
    /// The wish.
    pub player: Player,
    /// Depths of the neck at frets 1 and 12, mm.
    pub depths: Option<(f64, f64)>,
    /// Where the neck meets the body.
    pub joint: Option<usize>,
    /// Lines of `[fretwork]`.
    pub fretwork: Vec<String>,
    /// Lines of `[errors]`.
    pub errors: Vec<String>,
}

impl Played {
    /// The text of its file.
    pub fn to_toml(&self) -> String {
        let mut sounding = self.sounding.iter();
        let mut text = String::new();
        for row in self.board.to_toml().lines() {
            if row == "set = [" {
                line(&mut text, "behind", number(self.behind));
            }
            match row.split_once("make = \"other\"") {
                Some((before, after)) => {
                    let keys = sounding.next().map_or_else(String::new, Sounding::keys);
                    text.push_str(&format!("{before}{keys}{after}\n"));
                }
                None => text.push_str(&format!("{row}\n")),
            }
        }
        // The wish is the last table of the board's text.
        let player = &self.player;
        for (key, value) in [
            ("action_at_1", player.action_at_1),
            ("relief", player.relief),
            ("pluck_from_saddle", player.pluck_from_saddle),
            ("bend", player.bend),
            ("margin", player.margin),
        ] {
            line(&mut text, key, number(value));
        }
        let forces = ["pluck_force", "light_force", "hard_force"];
        for (key, force) in forces.into_iter().zip(player.forces) {
            line(&mut text, key, format!("\"{force:?} N\""));
        }
        self.write_neck(&mut text);
        for (name, rows) in [("fretwork", &self.fretwork), ("errors", &self.errors)] {
            if !rows.is_empty() {
                text.push_str(&format!("\n[{name}]\n{}\n", rows.join("\n")));
            }
        }
        text
    }

    fn write_neck(&self, text: &mut String) {
        text.push_str("\n[neck]\n");
        if let Some((at_1, at_12)) = self.depths {
            line(text, "depth_at_1", number(at_1));
            line(text, "depth_at_12", number(at_12));
        }
        if let Some(joint) = self.joint {
            line(text, "joint", joint.to_string());
        }
    }

    /// The same instrument for a player of the other hand.
    pub fn mirrored(&self) -> Self {
        let mut other = self.clone();
        other.board = self.board.mirrored();
        other.sounding.reverse();
        other
    }

    /// The same instrument with every length `by` times as long, the strings' weights kept: their
    /// pulls, and so the forces, are then `by²` times as great.
    pub fn scaled(&self, by: f64) -> Self {
        let mut other = self.clone();
        other.board = self.board.scaled(by);
        other.behind *= by;
        let player = &mut other.player;
        for length in [
            &mut player.action_at_1,
            &mut player.relief,
            &mut player.pluck_from_saddle,
            &mut player.margin,
        ] {
            *length *= by;
        }
        player.forces = player.forces.map(|force| force * by * by);
        other.depths = self.depths.map(|(a, b)| (a * by, b * by));
        other
    }

    /// The same instrument with all its radii `by` times as long.
    pub fn flatter(&self, by: f64) -> Self {
        let mut other = self.clone();
        other.board.camber = match &self.board.camber {
            Camber::Single(radius) => Camber::Single(radius.map(|radius| radius * by)),
            Camber::Cone(nut, last) => Camber::Cone(nut * by, last * by),
            Camber::Stations(at) => {
                Camber::Stations(at.iter().map(|(f, r)| (*f, r * by)).collect())
            }
            Camber::StringCone(nut) => Camber::StringCone(nut * by),
        };
        other
    }

    /// The same instrument with all its strings like the first.
    pub fn alike(&self) -> Self {
        let mut other = self.clone();
        for string in &mut other.board.strings {
            *string = self.board.strings[0].clone();
        }
        other.sounding.fill(self.sounding[0].clone());
        other
    }
}

impl Sounding {
    fn keys(&self) -> String {
        let mut keys = format!("make = \"{}\"", self.make);
        if let Some(weight) = self.g_per_m {
            keys.push_str(&format!(", unit_weight = \"{weight:?} g/m\""));
        }
        if self.tuned_at > 0 {
            keys.push_str(&format!(", tuned_at = {}", self.tuned_at));
        }
        if let Some((before, after)) = self.drawn {
            keys.push_str(&format!(
                ", drawn = {{ readings = [{{ length = 0, hertz = {before:?} }}, \
                 {{ length = 1, hertz = {after:?} }}] }}"
            ));
        }
        keys
    }
}

/// Pitches of the notes that random strings have, Hz, to a few digits: only pulls of a usual size
/// are asked of them.
fn usual_hz(note: &str) -> f64 {
    match note {
        "E4" => 329.6,
        "B3" => 246.9,
        "G3" => 196.0,
        "D3" => 146.8,
        "A2" => 110.0,
        "E2" => 82.4,
        "B1" => 61.7,
        "F#1" => 46.2,
        "C#1" => 34.6,
        _ => 26.0,
    }
}

/// The lengths of a board's scale, about, mm.
fn usual_length(board: &Commission) -> f64 {
    match &board.scale {
        crate::Scale::Single(length) => *length,
        crate::Scale::Fan { bass, treble, .. } => 0.5 * (bass + treble),
    }
}

/// An instrument as makers build and players play them: steel strings that pull 50 to 120 N.
pub fn played_board(chance: &mut Chance) -> Played {
    let mut board = ordinary_board(chance);
    for string in &mut board.strings {
        string.gauge = chance.between(0.2, 0.5);
    }
    let length = usual_length(&board);
    let sounding = board
        .strings
        .iter()
        .map(|string| {
            // T = μ (2 L f)².
            let speed = 2.0e-3 * length * usual_hz(&string.note);
            Sounding {
                make: "plain steel",
                g_per_m: Some(1000.0 * chance.between(50.0, 120.0) / (speed * speed)),
                tuned_at: 0,
                drawn: None,
            }
        })
        .collect();
    let relief = chance.between(0.0, 0.4);
    let force = chance.between(0.3, 1.0);
    let frets = board.frets;
    Played {
        sounding,
        behind: chance.between(0.0, 200.0),
        player: Player {
            action_at_1: chance.between(0.2, 0.7),
            relief,
            forces: [force, 0.5 * force, 1.5 * force],
            pluck_from_saddle: chance.between(40.0, 200.0),
            bend: chance.between(50.0, 300.0),
            margin: chance.between(0.0, 0.05),
        },
        depths: chance
            .percent(50)
            .then(|| (chance.between(18.0, 24.0), chance.between(20.0, 28.0))),
        joint: chance.percent(40).then(|| chance.whole(frets / 2, frets)),
        fretwork: Vec::new(),
        errors: Vec::new(),
        board,
    }
}

/// An instrument that hardly anybody would build, played as nobody would play it: one to 24
/// strings, one to 120 frets, no force or a huge one, any make, wild tops.
pub fn hostile_board(chance: &mut Chance) -> Played {
    let mut board = if chance.percent(40) {
        ordinary_board(chance)
    } else {
        wild_board(chance)
    };
    if chance.percent(15) {
        // Many frets take long: few boards have the most.
        let many = if chance.percent(10) { 120 } else { 36 };
        board.frets = *chance.pick(&[1, 1, 2, 2, 3, 3, 3, many]);
        board.camber = match board.camber {
            Camber::Stations(at) => Camber::Single(Some(at[0].1)),
            camber => camber,
        };
        board.fall_away = None;
    }
    if chance.percent(10) {
        let first = board.strings[0].clone();
        board.strings = vec![first; *chance.pick(&[1, 2, 12, 24])];
        board.nut_spread = board.nut_spread.max(100.0);
        board.saddle_spread = board.saddle_spread.max(110.0);
        board.outline = Outline::Margin(4.0);
        board.camber = Camber::Single(Some(chance.between(70.0, 500.0)));
    }
    if chance.percent(20) {
        let scala = "! trial.scl\\n!\\nfew\\n 3\\n!\\n 340.\\n 3/2\\n 2/1\\n";
        board.tuning = Some(format!("\"{scala}\""));
    }
    board.action = (chance.between(0.1, 15.0), chance.between(0.1, 15.0));
    let sounding = (0..board.strings.len())
        .map(|_| hostile_string(chance, board.frets))
        .collect();
    let forces = [(); 3].map(|()| match chance.whole(0, 4) {
        0 => 0.0,
        1 => 50.0,
        _ => chance.between(0.0, 2.0),
    });
    let frets = board.frets;
    let depth = |chance: &mut Chance| chance.in_proportion(5.0, 100.0);
    Played {
        sounding,
        behind: *chance.pick(&[0.0, 120.0, 1000.0]),
        player: Player {
            action_at_1: *chance.pick(&[0.0, 0.4, 5.0]),
            relief: *chance.pick(&[0.0, 0.15, 1.0, 3.0]),
            forces,
            pluck_from_saddle: chance.in_proportion(1.0, 1000.0),
            bend: *chance.pick(&[0.0, 100.0, 300.0, 1200.0]),
            margin: *chance.pick(&[0.0, 0.02, 2.0]),
        },
        depths: chance.percent(50).then(|| (depth(chance), depth(chance))),
        joint: chance.percent(50).then(|| chance.whole(1, frets)),
        fretwork: hostile_tops(chance, board.frets, board.strings.len()),
        errors: hostile_errors(chance),
        board,
    }
}

fn hostile_string(chance: &mut Chance, frets: usize) -> Sounding {
    let make = *chance.pick(&[
        "plain steel",
        "nickel wound",
        "phosphor bronze wound",
        "80/20 bronze wound",
        "nylon",
        "other",
    ]);
    let first_hz = chance.between(20.0, 400.0);
    Sounding {
        make,
        g_per_m: chance.percent(60).then(|| chance.in_proportion(1e-3, 1e3)),
        tuned_at: if chance.percent(20) {
            chance.whole(0, frets)
        } else {
            0
        },
        drawn: chance
            .percent(20)
            .then(|| (first_hz, first_hz * chance.between(0.9, 1.5))),
    }
}

/// Readings of fret tops of all kinds, near and far from sense.
fn hostile_tops(chance: &mut Chance, frets: usize, lanes: usize) -> Vec<String> {
    let mut rows = Vec::new();
    if chance.percent(40) {
        return rows;
    }
    let size = *chance.pick(&[0.0, 0.05, 1.0]);
    let mut list = |name: &str, chance: &mut Chance, least: usize, most: usize, signed: f64| {
        if least > most {
            return;
        }
        let entries: Vec<String> = (0..chance.whole(0, 30))
            .map(|_| {
                let (lane, fret) = (chance.whole(1, lanes), chance.whole(least, most));
                let value = number(chance.between(signed * size, size));
                match name {
                    "heights" => format!("{{ fret = {fret}, lane = {lane}, height = {value} }}"),
                    "rocks" => format!("{{ fret = {fret}, lane = {lane}, rock = {value} }}"),
                    _ => {
                        let from = chance.whole(1, fret - 1);
                        let to = chance.whole(fret + 1, frets);
                        format!(
                            "{{ lane = {lane}, from = {from}, to = {to}, fret = {fret}, gap = {value} }}"
                        )
                    }
                }
            })
            .collect();
        rows.push(format!("{name} = [{}]", entries.join(", ")));
    };
    list("heights", chance, 1, frets, -1.0);
    list("gaps", chance, 2, frets.saturating_sub(1), 0.0);
    list("rocks", chance, 2, frets.saturating_sub(1), 0.0);
    rows.push(format!("step = {}", chance.pick(&["0.001", "0.02", "0.5"])));
    rows.push(format!(
        "least_crown = {}",
        chance.pick(&["0.05", "0.7", "5"])
    ));
    rows
}

fn hostile_errors(chance: &mut Chance) -> Vec<String> {
    match chance.whole(0, 2) {
        0 => Vec::new(),
        1 => vec![
            "fret_tops = 0".into(),
            "nut_slots = 0".into(),
            "saddle = 0".into(),
            "relief = 0".into(),
            "radius = \"0 %\"".into(),
            "slots = 0".into(),
            "set_back = 0".into(),
            "tension = \"0 %\"".into(),
            "stretch = \"0 %\"".into(),
            "pluck = \"0 %\"".into(),
        ],
        _ => vec![
            "fret_tops = 1".into(),
            "nut_slots = 1".into(),
            "saddle = 2".into(),
            "relief = 1".into(),
            "radius = \"50 %\"".into(),
            "slots = 2".into(),
            "set_back = 5".into(),
            "tension = \"50 %\"".into(),
            "stretch = \"50 %\"".into(),
            "pluck = \"50 %\"".into(),
        ],
    }
}
