//! What to set: nut, saddle, relief, neck; and the lowest set-up free of buzz.

use drawing::pictures::saddle_picture;
use play::lowest::LowString;

use super::table::Table;
use super::{Content, PICTURE_SHARE};
use crate::paper::flow::Flow;
use crate::play_pictures::saddle;
use crate::play_words::stopped;
use crate::play_words::{circle_words, worth_words};

/// Sentences about what more relief or filing would buy that are told.
const MOST_WORTHS: usize = 3;

impl Content<'_> {
    /// Figures to cut to, and the lowest set-up.
    pub fn to_set(self, flow: &mut Flow) {
        flow.together(|flow| {
            flow.heading("To set");
            flow.words(&self.relief_words(), 0.0);
            flow.y += 0.5;
            self.set_table(flow);
            flow.y += 0.5;
            for words in self.circles().into_iter().chain(self.neck()) {
                flow.words(&words, 0.0);
            }
            self.saddle(flow);
        });
        flow.together(|flow| {
            flow.heading("Lowest set-up free of buzz");
            self.lowest(flow);
        });
    }

    fn relief_words(self) -> String {
        let (to, now) = self.figures.playing.set_up.relief_mm;
        let to_words = self.length(to, 2);
        let relief = match now {
            Some(now) => format!(
                "Relief {to_words}; it was measured as {}.",
                self.length(now, 2)
            ),
            None => format!("Relief {to_words}."),
        };
        format!("{relief} Set the relief first, then the nut, then the saddle.")
    }

    fn set_table(self, flow: &mut Flow) {
        let playing = self.figures.playing;
        let strings = &playing.set_up.strings;
        let far = playing.instrument.action_fret();
        let is_measured = strings.iter().any(|string| string.now.is_some());
        let over = |fret: usize| format!("over fret {fret}");
        let mut table = Table::new(["string"]);
        table.column(&over(far));
        if far > 1 {
            table.column(&over(1));
        }
        table.column("slot floor over the wood");
        table.column("saddle over the board's plane");
        if is_measured {
            table.column("change at the nut");
            table.column("change at the saddle");
        }
        for (index, string) in strings.iter().enumerate() {
            let mut heights = vec![string.actions_mm.1];
            if far > 1 {
                heights.push(string.actions_mm.0);
            }
            heights.extend([string.slot_over_wood_mm, string.saddle_over_plane_mm]);
            let heights = heights.into_iter().map(|mm| self.length(mm, 2));
            let mut cells = vec![self.string_name(index)];
            cells.extend(heights);
            if is_measured {
                let change = |mm: Option<f64>| mm.map_or("not known".into(), |mm| self.change(mm));
                cells.push(change(string.now.map(|now| now.nut_mm)));
                cells.push(change(string.now.map(|now| now.saddle_mm)));
            }
            table.row(cells);
        }
        table.draw(flow);
    }

    fn circles(self) -> Vec<String> {
        let set_up = &self.figures.playing.set_up;
        let mut words = Vec::new();
        for (name, circle) in [
            ("Through the saddle's tops", &set_up.saddle_circle),
            ("Through the nut slots' floors", &set_up.nut_circle),
        ] {
            if let Some(circle) = circle {
                words.push(format!("{name}: {}.", circle_words(circle, self.units)));
            }
        }
        if set_up.strings.iter().any(|string| string.now.is_some()) {
            words.push(
                "Changes: minus is filed deeper or taken off, plus is built up or shimmed.".into(),
            );
        }
        words
    }

    fn neck(self) -> Vec<String> {
        let Some(neck) = self.figures.playing.set_up.neck else {
            return Vec::new();
        };
        let angle = format!("{:.2}°", neck.angle_deg).replace('-', "−");
        let mut words = vec![format!(
            "Neck angle {angle}; the board's plane lies {} over the body's face at the saddle.",
            self.length(neck.plane_at_saddle_mm, 2)
        )];
        if let Some(shim) = neck.shim_mm {
            let end = if shim >= 0.0 { "body's" } else { "nut's" };
            words.push(format!(
                "Instead of the saddle's mean change: a shim of {} at the {end} end of the neck's seat.",
                self.length(shim.abs(), 2)
            ));
        }
        words
    }

    fn saddle(self, flow: &mut Flow) {
        let playing = self.figures.playing;
        flow.noted_picture(
            &saddle_picture(&saddle(playing), self.look),
            PICTURE_SHARE,
            [
                "Heights of the strings' undersides over the finished board's plane carried on to the saddle; under each, how far it lies off the circle.",
                "Source: straight strings over the fret tops at the asked actions, relief counted; circle of least squares; docs/computations/set-up.md.",
            ],
        );
    }

    fn lowest(self, flow: &mut Flow) {
        let playing = self.figures.playing;
        let lowest = &playing.lowest;
        if lowest.strings.iter().all(Option::is_none) {
            flow.words("No string's pull is known, so nothing can be told.", 0.0);
            return;
        }
        flow.words(
            &format!(
                "Relief {}, for this player's pluck and the asked air. Nut and saddle are heights over the line of the fret tops.",
                self.length(lowest.relief_mm, 2)
            ),
            0.0,
        );
        flow.y += 0.5;
        let over = format!("over fret {}", playing.instrument.action_fret());
        let mut table = Table::new(["string", &over, "nut", "saddle", "held up by"]);
        for (index, string) in lowest.strings.iter().enumerate() {
            let mut cells = vec![self.string_name(index)];
            match string {
                Some(low) => {
                    let heights = [low.action_mm, low.heights.nut_mm, low.heights.saddle_mm];
                    cells.extend(heights.map(|mm| self.length(mm, 2)));
                    cells.push(held_up_by(low));
                }
                None => {
                    cells.extend(["", "", ""].map(str::to_owned));
                    cells.push("its pull is not known".into());
                }
            }
            table.row(cells);
        }
        table.draw(flow);
        flow.y += 0.5;
        for words in worth_words(playing, self.units).iter().take(MOST_WORTHS) {
            flow.words(words, 0.0);
        }
    }
}

/// The stops that hold a string up, in words.
fn held_up_by(low: &LowString) -> String {
    let stops = low.limiting.iter();
    let mut held: Vec<String> = stops
        .map(|(stop, fret)| format!("{} over fret {fret}", stopped(*stop)))
        .collect();
    if low.nut_at_least {
        held.push("the nut at its least".into());
    }
    if held.is_empty() {
        held.push("nothing".into());
    }
    held.join(", ")
}
