//! The sheet's head: whose it is, its strings, what was asked, what was made, what was measured.

use instrument::camber::Law;
use instrument::scale::ScaleLength;
use instrument::{Instrument, fret_name};
use play::tops::Basis;

use super::Content;
use super::table::Table;
use super::words::{strings_named, unknown};
use crate::paper::flow::Flow;

/// Where a named line's words begin, mm.
const INDENT_MM: f64 = 19.5;
/// Stations of a camber that are named one by one.
const MOST_STATIONS: usize = 5;

impl Content<'_> {
    fn instrument(&self) -> &Instrument {
        self.figures.playing.instrument
    }

    /// Title, strings and wish, then what was made and measured.
    pub fn asked(self, flow: &mut Flow) {
        let instrument = self.instrument();
        flow.title(&format!("{} · set-up sheet", instrument.title));
        if !instrument.wish.player.is_empty() {
            flow.words(&format!("For: {}.", instrument.wish.player), 0.0);
        }
        flow.side_by_side(
            |flow| {
                flow.heading("Strings");
                self.strings(flow);
                flow.heading("What was asked");
                named(flow, &self.wish_lines());
            },
            |flow| {
                flow.heading("What was made");
                named(flow, &self.made_lines());
                flow.heading("Measured");
                for words in self.measured() {
                    flow.words(&words, 0.0);
                }
            },
        );
    }

    fn strings(self, flow: &mut Flow) {
        let mut table = Table::new(["string", "gauge", "make", "pull"]);
        let figures = &self.figures.sheet.strings;
        for (index, spec) in self.instrument().strings.iter().enumerate() {
            let pull = figures.get(index).and_then(|string| string.tension_n);
            table.row(vec![
                self.string_name(index),
                self.length(spec.gauge.mm(), 2),
                spec.make.to_string(),
                pull.map_or("not known".into(), |pull| format!("{pull:.1} N")),
            ]);
        }
        table.draw(flow);
        for words in self.unknown_strings() {
            flow.words(&words, 0.0);
        }
    }

    /// What is not known of strings, and what cannot be told for that.
    fn unknown_strings(self) -> Vec<String> {
        let strings = &self.figures.sheet.strings;
        let pulls: Vec<Option<f64>> = strings.iter().map(|string| string.tension_n).collect();
        let stretches: Vec<Option<()>> = strings
            .iter()
            .map(|string| string.stretch.as_ref().map(|_| ()))
            .collect();
        let mut words = Vec::new();
        let no_pull = unknown(&pulls);
        if !no_pull.is_empty() {
            words.push(format!(
                "Not known: the pull of {}, for want of a weight per length. Nothing is told there of buzz.",
                strings_named(&no_pull)
            ));
        }
        let no_stretch = unknown(&stretches);
        if !no_stretch.is_empty() {
            words.push(format!(
                "Not known: the stretch of {}. Nothing is told there of bends and tuning.",
                strings_named(&no_stretch)
            ));
        }
        words
    }

    fn wish_lines(self) -> Vec<(&'static str, String)> {
        let wish = &self.instrument().wish;
        let two = |mm: f64| self.length(mm, 2);
        let far = self.instrument().action_fret();
        let over_1 = if far > 1 {
            format!("; {} over fret 1", two(wish.action_at_1_mm))
        } else {
            String::new()
        };
        vec![
            (
                "Action",
                format!(
                    "{} treble, {} bass over fret {far}{over_1}; within {}",
                    two(wish.action_treble_mm),
                    two(wish.action_bass_mm),
                    two(wish.action_within_mm)
                ),
            ),
            ("Relief", two(wish.relief_mm)),
            (
                "Pluck",
                format!(
                    "{:.2} N toward the board, {} from the saddle; {:.2} N light, {:.2} N hard",
                    wish.pluck_force_n,
                    self.length(wish.pluck_from_saddle_mm, 0),
                    wish.light_force_n,
                    wish.hard_force_n
                ),
            ),
            (
                "Air left",
                format!("{} or more over every fret", two(wish.margin_mm)),
            ),
            ("Bends", format!("{:.0} cents everywhere", wish.bend_cents)),
            ("In tune", format!("within {:.1} cents", wish.in_tune_cents)),
        ]
    }

    fn made_lines(self) -> Vec<(&'static str, String)> {
        let instrument = self.instrument();
        let spec = &instrument.fret_spec;
        let two = |mm: f64| self.length(mm, 2);
        let mut lines = vec![
            ("Scale", self.scale()),
            (
                "Frets",
                format!(
                    "{}, {}; A4 at {:.1} Hz",
                    instrument.last_fret(),
                    instrument.tuning.name,
                    instrument.a4_hz
                ),
            ),
            ("Camber", self.camber()),
            ("Board", self.board()),
            (
                "Wire",
                format!(
                    "crown {} high, {} wide",
                    two(spec.crown_height_mm),
                    two(spec.crown_width_mm)
                ),
            ),
        ];
        let load = match self.figures.sheet.neck_load_n {
            Some(newtons) => format!("{newtons:.0} N from all strings"),
            None => "not known while a string's pull is not".into(),
        };
        lines.push(("Neck load", load));
        lines
    }

    fn scale(self) -> String {
        match self.instrument().scale {
            ScaleLength::Single { length_mm } => self.length(length_mm, 1),
            ScaleLength::Fanned { .. } => {
                let strings = &self.figures.sheet.strings;
                let of = |string: Option<&play::strings::StringFigures>| {
                    string.map_or("none".into(), |s| self.length(s.length_mm, 1))
                };
                format!(
                    "fanned, {} treble, {} bass",
                    of(strings.first()),
                    of(strings.last())
                )
            }
        }
    }

    fn board(self) -> String {
        let frets = &self.figures.sheet.frets;
        let width = |fret: Option<&play::FretFigures>| {
            fret.map_or("none".into(), |fret| self.length(fret.width_mm, 1))
        };
        let wood = &self.instrument().wood;
        let name = if wood.name.is_empty() {
            String::new()
        } else {
            format!("{}, ", wood.name)
        };
        format!(
            "{name}{} wide at the nut, {} at fret {}, crown {} thick",
            width(frets.first()),
            width(frets.last()),
            self.instrument().last_fret(),
            self.length(wood.crown_thickness_mm, 2)
        )
    }

    fn camber(self) -> String {
        let instrument = self.instrument();
        let camber = &instrument.camber;
        let at = |fret: usize| {
            let radius = camber.radius(instrument.fret_x_mm(fret));
            self.units.radius(radius)
        };
        let last = instrument.last_fret();
        let ends = || format!("{} to {} at {}", at(0), at(last), fret_name(last));
        let arch = match camber.law {
            Law::Single if at(0) == "flat" => "flat".into(),
            Law::Single => format!("one radius, {}", at(0)),
            Law::Cone => format!("cone, {}", ends()),
            Law::StringCone => format!("cone along the strings, {}", ends()),
            Law::Stations => self
                .stations()
                .unwrap_or_else(|| format!("{} stations, {}", camber.knots().len(), ends())),
        };
        match camber.fall_away {
            Some(fall) => format!(
                "{arch}; falls away {} from fret {} to the end",
                self.length(fall.depth_mm, 2),
                fall.from_fret
            ),
            None => arch,
        }
    }

    /// The stations by their frets, when they are few.
    fn stations(self) -> Option<String> {
        let instrument = self.instrument();
        let knots = instrument.camber.knots();
        let named = knots.iter().map(|knot| {
            let on_knot = |fret: &usize| (instrument.fret_x_mm(*fret) - knot.x_mm).abs() < 1e-6;
            let fret = (0..=instrument.last_fret()).find(on_knot)?;
            let place = if fret == 0 {
                "the nut".into()
            } else {
                fret_name(fret)
            };
            Some(format!("{} at {place}", self.units.radius(knot.radius)))
        });
        let named: Vec<String> = named.collect::<Option<_>>()?;
        (named.len() <= MOST_STATIONS).then(|| named.join(", "))
    }

    fn measured(self) -> Vec<String> {
        let instrument = self.instrument();
        let mut words = self.measured_set_up();
        let read = instrument.fretwork.readings.len();
        words.push(match read {
            0 => "Fret tops: none was read.".into(),
            1 => "Fret tops: one reading.".into(),
            _ => format!(
                "Fret tops: {read} readings, told apart to {}.",
                self.length(instrument.fretwork.step_mm, 3)
            ),
        });
        match self.figures.playing.doubted.len() {
            0 => {}
            1 => words.push("One of them is contradicted by the others: read it again.".into()),
            doubted => words.push(format!(
                "{doubted} of them are contradicted by the others: read them again."
            )),
        }
        if read > 0 && self.figures.playing.tops.basis == Basis::Planned {
            words.push("This sheet is played on the planned tops all the same.".into());
        }
        if let Some(visit) = self.figures.visit {
            words.push(format!("Wood: as read in visit {visit}."));
        }
        words
    }

    fn measured_set_up(self) -> Vec<String> {
        let set_up = &self.instrument().set_up;
        if !set_up.is_measured() {
            return vec!["Set-up: nothing was measured on the strung instrument.".into()];
        }
        let mut words = Vec::new();
        let relief = set_up.relief_mm;
        words.push(match relief {
            Some(mm) => format!("Relief: {}.", self.length(mm, 2)),
            None => "Relief: not measured, taken as asked.".into(),
        });
        let far = self.instrument().action_fret();
        let both = [(1, &set_up.action_at_1_mm), (far, &set_up.action_at_12_mm)];
        // Of a single fret there is one action.
        for (fret, heights) in both.into_iter().skip(usize::from(far == 1)) {
            words.push(match heights {
                Some(heights) => {
                    let each = heights.iter().map(|mm| self.length(*mm, 2));
                    let each: Vec<String> = each.collect();
                    format!(
                        "Over fret {fret}, highest string first: {}.",
                        each.join(", ")
                    )
                }
                None => format!("Over fret {fret}: not measured."),
            });
        }
        words
    }
}

fn named(flow: &mut Flow, lines: &[(&'static str, String)]) {
    for (name, words) in lines {
        flow.named(name, words, INDENT_MM);
    }
}
