//! A commission as plain values, its text, and what happens to it when it is mirrored or scaled.

use std::fmt::Write;

/// How long the strings sound; lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub enum Scale {
    /// One length on the centreline.
    Single(f64),
    /// Two lengths along the outer lanes, and the fret that stands square, as the file says it.
    Fan {
        /// Along the lowest string.
        bass: f64,
        /// Along the highest string.
        treble: f64,
        /// A fret, or `"nut"` or `"saddle"` in quotes.
        square_at: String,
    },
}

impl Scale {
    /// The scale with square frets that has the lowest string's length.
    pub fn squared(&self) -> Self {
        match self {
            Scale::Single(length) | Scale::Fan { bass: length, .. } => Scale::Single(*length),
        }
    }
}

/// One string of the set.
#[derive(Clone, Debug, PartialEq)]
pub struct StringLine {
    /// Its pitch.
    pub note: String,
    /// Its diameter, mm.
    pub gauge: f64,
}

/// How the outline is given; lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub enum Outline {
    /// Widths at the nut and at the board's end.
    Widths(f64, f64),
    /// A margin outside the outer strings.
    Margin(f64),
}

/// The law of the camber; radii in mm, and no radius is a flat board.
#[derive(Clone, Debug, PartialEq)]
pub enum Camber {
    /// One radius.
    Single(Option<f64>),
    /// Radii at the nut and at the last fret.
    Cone(f64, f64),
    /// Radii at named frets.
    Stations(Vec<(usize, f64)>),
    /// The cone of the lanes, with the radius at the nut.
    StringCone(f64),
}

/// The board as wood; lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Blank {
    /// Finished thickness on the centreline.
    pub crown: f64,
    /// Thickness as it lies there.
    pub thickness: Option<f64>,
    /// Least thickness of an edge.
    pub least_edge: Option<f64>,
    /// Width of the binding, and the ledge under it.
    pub binding: Option<(f64, f64)>,
    /// Inlaid before it is cambered.
    pub inlaid: bool,
    /// Slotted before it is cambered.
    pub slotted: bool,
}

/// A commission as plain values.
#[derive(Clone, Debug, PartialEq)]
pub struct Commission {
    /// Scale length or lengths.
    pub scale: Scale,
    /// How many frets.
    pub frets: usize,
    /// The tuning as the file says it, quotes included; none is 12 equal.
    pub tuning: Option<String>,
    /// Outer string centres at the nut, mm.
    pub nut_spread: f64,
    /// Outer string centres at the saddle, mm.
    pub saddle_spread: f64,
    /// `equal gaps` or `equal centres`.
    pub spacing: &'static str,
    /// The strings, highest first.
    pub strings: Vec<StringLine>,
    /// The board in plan.
    pub outline: Outline,
    /// Past the last fret, mm.
    pub overhang: f64,
    /// The board as wood.
    pub blank: Blank,
    /// The arch.
    pub camber: Camber,
    /// A planned fall: from which fret, how deep at the end in mm.
    pub fall_away: Option<(usize, f64)>,
    /// Sizes of wire and slots, `(key, mm)`; those not named have their defaults.
    pub wire: Vec<(&'static str, f64)>,
    /// True for a slot floor that follows the camber.
    pub floor_follows: bool,
    /// Action at fret 12 under the highest and the lowest string, mm.
    pub action: (f64, f64),
}

impl Commission {
    /// The same instrument for a player of the other hand: strings in the other order, with
    /// their gauges and notes, lengths and actions changed over.
    pub fn mirrored(&self) -> Self {
        let mut other = self.clone();
        other.strings.reverse();
        other.action = (self.action.1, self.action.0);
        if let Scale::Fan {
            bass,
            treble,
            square_at,
        } = &self.scale
        {
            let (bass, treble) = (*treble, *bass);
            other.scale = Scale::Fan {
                bass,
                treble,
                square_at: square_at.clone(),
            };
        }
        other
    }

    /// The same instrument with every length `by` times as long.
    pub fn scaled(&self, by: f64) -> Self {
        let mut other = self.clone();
        other.scale = match &self.scale {
            Scale::Single(length) => Scale::Single(length * by),
            Scale::Fan {
                bass,
                treble,
                square_at,
            } => Scale::Fan {
                bass: bass * by,
                treble: treble * by,
                square_at: square_at.clone(),
            },
        };
        other.outline = match self.outline {
            Outline::Widths(nut, end) => Outline::Widths(nut * by, end * by),
            Outline::Margin(margin) => Outline::Margin(margin * by),
        };
        other.camber = match &self.camber {
            Camber::Single(radius) => Camber::Single(radius.map(|radius| radius * by)),
            Camber::Cone(nut, last) => Camber::Cone(nut * by, last * by),
            Camber::Stations(at) => {
                Camber::Stations(at.iter().map(|(f, r)| (*f, r * by)).collect())
            }
            Camber::StringCone(nut) => Camber::StringCone(nut * by),
        };
        for length in [
            &mut other.nut_spread,
            &mut other.saddle_spread,
            &mut other.overhang,
            &mut other.blank.crown,
            &mut other.action.0,
            &mut other.action.1,
        ] {
            *length *= by;
        }
        other
            .strings
            .iter_mut()
            .for_each(|string| string.gauge *= by);
        other.wire.iter_mut().for_each(|size| size.1 *= by);
        other.fall_away = self.fall_away.map(|(fret, depth)| (fret, depth * by));
        let blank = &mut other.blank;
        blank.thickness = blank.thickness.map(|length| length * by);
        blank.least_edge = blank.least_edge.map(|length| length * by);
        blank.binding = blank.binding.map(|(width, ledge)| (width * by, ledge * by));
        other
    }

    /// The text of its file.
    pub fn to_toml(&self) -> String {
        let mut text = String::from("camberwright = 1\ntitle = \"Trial\"\n\n[scale]\n");
        self.write_scale(&mut text);
        self.write_strings(&mut text);
        self.write_board(&mut text);
        self.write_camber(&mut text);
        text.push_str("\n[frets]\n");
        let floor = if self.floor_follows {
            "follows camber"
        } else {
            "flat"
        };
        line(&mut text, "slot_floor", format!("\"{floor}\""));
        for (key, size) in &self.wire {
            line(&mut text, key, number(*size));
        }
        let (treble, bass) = (number(self.action.0), number(self.action.1));
        text.push_str("\n[wish]\n");
        line(
            &mut text,
            "action_at_12",
            format!("{{ treble = {treble}, bass = {bass} }}"),
        );
        text
    }

    fn write_scale(&self, text: &mut String) {
        match &self.scale {
            Scale::Single(length) => line(text, "length", number(*length)),
            Scale::Fan {
                bass,
                treble,
                square_at,
            } => {
                line(text, "bass", number(*bass));
                line(text, "treble", number(*treble));
                line(text, "square_at", square_at.clone());
            }
        }
        line(text, "frets", self.frets.to_string());
        if let Some(tuning) = &self.tuning {
            line(text, "tuning", tuning.clone());
        }
    }

    fn write_strings(&self, text: &mut String) {
        text.push_str("\n[strings]\n");
        line(text, "nut_spread", number(self.nut_spread));
        line(text, "saddle_spread", number(self.saddle_spread));
        line(text, "spacing", format!("\"{}\"", self.spacing));
        text.push_str("set = [\n");
        for string in &self.strings {
            let (note, gauge) = (&string.note, number(string.gauge));
            text.push_str(&format!(
                "  {{ note = \"{note}\", gauge = {gauge}, make = \"other\" }},\n"
            ));
        }
        text.push_str("]\n");
    }

    fn write_board(&self, text: &mut String) {
        text.push_str("\n[board]\n");
        match self.outline {
            Outline::Widths(nut, end) => {
                line(text, "nut_width", number(nut));
                line(text, "end_width", number(end));
            }
            Outline::Margin(margin) => line(text, "margin", number(margin)),
        }
        line(text, "overhang", number(self.overhang));
        line(text, "crown_thickness", number(self.blank.crown));
        if let Some(thickness) = self.blank.thickness {
            line(text, "blank_thickness", number(thickness));
        }
        if let Some(least) = self.blank.least_edge {
            line(text, "least_edge", number(least));
        }
        if let Some((width, ledge)) = self.blank.binding {
            let (width, ledge) = (number(width), number(ledge));
            line(
                text,
                "binding",
                format!("{{ width = {width}, ledge = {ledge} }}"),
            );
        }
        if self.blank.inlaid {
            line(text, "inlay", "true".into());
        }
        if self.blank.slotted {
            line(text, "slotted", "true".into());
        }
    }

    fn write_camber(&self, text: &mut String) {
        text.push_str("\n[camber]\n");
        match &self.camber {
            Camber::Single(radius) => {
                line(text, "law", "\"single\"".into());
                line(text, "radius", radius.map_or("\"flat\"".into(), number));
            }
            Camber::Cone(nut, last) => {
                line(text, "law", "\"cone\"".into());
                line(text, "nut", number(*nut));
                line(text, "last_fret", number(*last));
            }
            Camber::Stations(stations) => {
                line(text, "law", "\"stations\"".into());
                let station = |(fret, radius): &(usize, f64)| {
                    format!("{{ fret = {fret}, radius = {} }}", number(*radius))
                };
                let list: Vec<String> = stations.iter().map(station).collect();
                line(text, "at", format!("[{}]", list.join(", ")));
            }
            Camber::StringCone(nut) => {
                line(text, "law", "\"string cone\"".into());
                line(text, "nut", number(*nut));
            }
        }
        if let Some((fret, depth)) = self.fall_away {
            let depth = number(depth);
            line(
                text,
                "fall_away",
                format!("{{ from_fret = {fret}, depth = {depth} }}"),
            );
        }
    }
}

/// One line `key = value`.
pub(crate) fn line(text: &mut String, key: &str, value: String) {
    writeln!(text, "{key} = {value}").expect("writing to a string cannot fail");
}

/// The shortest text that reads back as exactly this number; bare numbers are millimetres.
pub(crate) fn number(value: f64) -> String {
    format!("{value:?}")
}
