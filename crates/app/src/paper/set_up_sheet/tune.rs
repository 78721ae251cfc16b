//! In tune: set-backs at saddle and nut, and the cents that are left.

use drawing::pictures::cents_chart;
use instrument::fret_name;
use play::tuning::Way;

use super::table::Table;
use super::words::cents;
use super::{Content, PICTURE_SHARE};
use crate::paper::flow::Flow;
use crate::play_pictures::{self, TUNING_SOURCE};

impl Content<'_> {
    /// Set-backs and the cents that they leave.
    pub fn tune(self, flow: &mut Flow) {
        let is_known = self
            .figures
            .playing
            .tuning()
            .strings
            .iter()
            .any(Option::is_some);
        flow.together(|flow| {
            flow.heading("In tune");
            if is_known {
                self.set_backs(flow);
            } else {
                flow.words("No string's stretch is known, so nothing can be told.", 0.0);
            }
        });
        if is_known {
            self.cents_picture(flow);
        }
    }

    fn set_backs(self, flow: &mut Flow) {
        flow.words(
            "How far saddle and nut are set off the ends of the scale; plus lengthens the string.",
            0.0,
        );
        flow.y += 0.5;
        let tuning = &self.figures.playing.tuning();
        let mut table = Table::new(["string", "saddle", "nut", "farthest off", "or saddle alone"]);
        for string in 0..tuning.strings.len() {
            let mut cells = vec![self.string_name(string)];
            let own = tuning.own.set_back.get(string).copied().flatten();
            let alone = tuning.saddle_only.set_back.get(string).copied().flatten();
            match own.zip(alone) {
                Some((own, alone)) => cells.extend([
                    self.change(own.saddle_mm),
                    self.change(own.nut_mm),
                    farthest(&tuning.own, string),
                    format!(
                        "{}, then {}",
                        self.change(alone.saddle_mm),
                        farthest(&tuning.saddle_only, string)
                    ),
                ]),
                None => {
                    cells.extend(["", "", ""].map(str::to_owned));
                    cells.push("its stretch is not known".into());
                }
            }
            table.row(cells);
        }
        table.draw(flow);
        flow.y += 0.5;
        for words in self.worst_words() {
            flow.words(&words, 0.0);
        }
    }

    fn worst_words(self) -> Vec<String> {
        let tuning = &self.figures.playing.tuning();
        let mut words = Vec::new();
        if let Some((string, fret, off)) = tuning.own.worst() {
            let place = match fret {
                0 => "open".to_owned(),
                fret => format!("at {}", fret_name(fret)),
            };
            words.push(format!(
                "The note farthest off: string {} {place}, {}. Differences under about 5 cents are hardly heard.",
                string + 1,
                cents(off)
            ));
        }
        words.push(format!(
            "Root mean square: {:.1} cents with saddle and nut, {:.1} cents with the saddle alone, {:.1} cents with a straight saddle, {:.1} cents with no set-back.",
            tuning.own.rms_cents(),
            tuning.saddle_only.rms_cents(),
            tuning.straight.rms_cents(),
            tuning.none.rms_cents()
        ));
        words
    }

    fn cents_picture(self, flow: &mut Flow) {
        let playing = self.figures.playing;
        let chart = play_pictures::cents_chart(playing, &playing.tuning().own, "Cents off pitch");
        let source = format!(
            "Source: stretch, stiffness and action of each string ({TUNING_SOURCE}); set-backs of least squares; docs/computations/tuning.md."
        );
        flow.noted_picture(
            &cents_chart(&chart, self.look),
            PICTURE_SHARE,
            [
                "Cents that every note is off once saddle and nut are set back; the band is what was asked.",
                &source,
            ],
        );
    }
}

/// The most that any note of a string is off.
fn farthest(way: &Way, string: usize) -> String {
    let notes = way.cents.get(string).and_then(Option::as_ref);
    let worst = notes.and_then(|notes| {
        let all = notes.iter().copied();
        all.max_by(|a, b| a.abs().total_cmp(&b.abs()))
    });
    worst.map_or("not known".into(), cents)
}
