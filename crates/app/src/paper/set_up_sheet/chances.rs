//! Fretwork, chances, cautions, and the line for date and hands.

use drawing::pictures::share_bars;
use drawing::{Ink, Item, Path, Point};
use play::chances::Demand;

use super::table::Table;
use super::{Content, PICTURE_SHARE};
use crate::paper::flow::{Flow, LINE_MM, WORDS_MM};
use crate::play_pictures;
use crate::play_words::levelling_words;

/// Errors that are drawn; those after them matter less.
const MOST_ERRORS: usize = 5;
/// Warnings of the sheet that concern strings under tension.
const PULLING: [&str; 3] = ["tension_low", "tension_high", "near_breaking"];

impl Content<'_> {
    /// Fretwork, chances and cautions, and the line for date and hands.
    pub fn chances(self, flow: &mut Flow) {
        flow.together(|flow| {
            flow.heading("Fretwork");
            for words in levelling_words(self.figures.playing, self.figures.levelling, self.units) {
                flow.words(&words, 0.0);
            }
        });
        flow.together(|flow| {
            flow.heading("Chances");
            self.chance_words(flow);
            self.demands(flow);
            self.errors_picture(flow);
        });
        flow.together(|flow| {
            flow.heading("To be minded");
            self.cautions(flow);
            hands(flow);
        });
    }

    fn chance_words(self, flow: &mut Flow) {
        let tally = &self.figures.chances.tally;
        let chance = tally.chance();
        flow.words(
            &format!(
                "The finished neck meets all that was asked with a chance of {:.1} % (± {:.1} % by the number of necks drawn, {}), for hands and tools that miss as usual.",
                100.0 * chance,
                196.0 * tally.uncertainty(chance),
                tally.necks
            ),
            0.0,
        );
        if Demand::ALL
            .iter()
            .any(|demand| self.known(*demand) != Known::All)
        {
            flow.words("Strings of unknown pull or stretch are not counted.", 0.0);
        }
        flow.y += 0.5;
    }

    fn demands(self, flow: &mut Flow) {
        let tally = &self.figures.chances.tally;
        let mut table = Table::new(["what was asked", "chance", "room left, mean", "its spread"]);
        for (index, demand) in Demand::ALL.iter().enumerate() {
            let name = demand.words().to_owned();
            if self.known(*demand) == Known::Nothing {
                let unknown = || "not known".to_owned();
                table.row(vec![name, unknown(), unknown(), unknown()]);
                continue;
            }
            let Some(((mean, spread), chance)) = tally.room(index).zip(tally.chance_of(index))
            else {
                // Nothing can ever miss it: no fret lies ahead, for one.
                let endless = || "without limit".to_owned();
                table.row(vec![name, "100.0 %".to_owned(), endless(), endless()]);
                continue;
            };
            let room = |value: f64| match demand {
                Demand::Tune => format!("{value:.1} cents").replace('-', "−"),
                _ => self.length(value, 3),
            };
            let chance = format!("{:.1} %", 100.0 * chance);
            table.row(vec![name, chance, room(mean), room(spread)]);
        }
        table.draw(flow);
    }

    /// Of how many strings a demand can tell.
    fn known(self, demand: Demand) -> Known {
        let playing = self.figures.playing;
        let pulls = || playing.lines.iter().map(|line| line.tension_n.is_some());
        let each: Vec<bool> = match demand {
            Demand::Buzz => pulls().collect(),
            Demand::Bends => playing.bent.iter().map(Option::is_some).collect(),
            Demand::Tune => playing
                .tuning()
                .strings
                .iter()
                .map(Option::is_some)
                .collect(),
            Demand::Action => return Known::All,
        };
        if each.iter().all(|known| *known) {
            Known::All
        } else if each.iter().any(|known| *known) {
            Known::Some
        } else {
            Known::Nothing
        }
    }

    fn errors_picture(self, flow: &mut Flow) {
        let account = self.figures.chances;
        if account.shares.is_empty() {
            return;
        }
        let mut bars = play_pictures::share_bars(account);
        bars.rows.truncate(MOST_ERRORS);
        let asked = account.decisive.words();
        let note = format!(
            "Which error matters most for \"{asked}\", the wish missed most often: its share of the spread."
        );
        flow.noted_picture(
            &share_bars(&bars, self.look),
            PICTURE_SHARE,
            [
                &note,
                "Source: errors drawn from bells, neck after neck; first-order shares of variance (Saltelli and others 2010, Jansen's estimator); docs/computations/chances.md.",
            ],
        );
    }

    fn cautions(self, flow: &mut Flow) {
        let warnings = &self.figures.sheet.warnings;
        for warning in warnings.iter().filter(|w| PULLING.contains(&w.code)) {
            flow.words(&sentence(&warning.message), 0.0);
        }
        flow.words(
            "Strings at pitch pull hard and can whip when they break: wear eye protection, keep the face away while tuning, bring them up slowly, and slacken them all before the neck, nut or saddle is worked on. Cut ends are sharp.",
            0.0,
        );
        flow.words(
            "These are the usual cautions; local codes and licensed practice come first.",
            0.0,
        );
    }
}

/// Room for the date and both hands.
fn hands(flow: &mut Flow) {
    flow.y += 11.0;
    let third = flow.width() / 3.0;
    for (index, name) in ["Date", "Maker", "Player"].into_iter().enumerate() {
        let left = flow.left() + third * index as f64;
        let (from, to) = (
            Point::new(left, flow.y),
            Point::new(left + third - 6.0, flow.y),
        );
        let line = Item::stroked(Path::line(from, to), Ink::Line, 0.3);
        flow.page().layer("rules").add(line);
        let at = Point::new(left, flow.y + LINE_MM);
        let name = Item::text(at, name, WORDS_MM, Ink::Text);
        flow.page().layer("words").add(name);
    }
    flow.y += LINE_MM;
}

/// Of how many strings something is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Known {
    All,
    Some,
    Nothing,
}

/// A message as a sentence.
fn sentence(message: &str) -> String {
    let mut letters = message.chars();
    let first = letters.next().map(|first| first.to_uppercase().to_string());
    format!("{}{}.", first.unwrap_or_default(), letters.as_str())
}
