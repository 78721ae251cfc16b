//! How it plays: air for three hands, the map of buzz and the map of bends.

use drawing::pictures::string_map;
use instrument::fret_name;
use play::bend::{BendEnd, MOST_CENTS};
use play::tops::Basis;

use super::Content;
use super::table::Table;
use crate::paper::flow::Flow;
use crate::play_pictures::{BEND_SOURCE, BUZZ_SOURCE, bend_map, buzz_map, in_units};
use crate::play_words::stopped;

impl Content<'_> {
    /// Air and bends at the asked set-up.
    pub fn plays(self, flow: &mut Flow) {
        flow.together(|flow| {
            flow.heading("How it plays");
            flow.words(&self.surface(), 0.0);
            flow.y += 0.5;
            self.hands_table(flow);
            self.buzz_picture(flow);
        });
        flow.together(|flow| {
            if self.figures.playing.bends().least().is_some() {
                self.bend_picture(flow);
            } else {
                flow.words(&self.bend_words(), 0.0);
            }
        });
    }

    fn surface(self) -> String {
        let on = match (self.figures.playing.tops.basis, self.figures.visit) {
            (Basis::Planned, _) => "the planned fret tops".into(),
            (Basis::Frets, _) => "the fret tops as read".into(),
            (Basis::Wood, Some(visit)) => format!("the wood as read in visit {visit}"),
            (Basis::Wood, None) => "the wood as read".into(),
        };
        format!("Played on {on}, at the asked set-up.")
    }

    fn hands_table(self, flow: &mut Flow) {
        let playing = self.figures.playing;
        let asked = playing.instrument.wish.margin_mm;
        let below = format!("places with less than {}", self.length(asked, 2));
        let mut table = Table::new(["hand", "pluck", "least air", "where"]);
        table.column(&below);
        for (name, map) in [
            ("light", &playing.light),
            ("this player", &playing.buzz),
            ("hard", &playing.hard),
        ] {
            let Some((string, stop, least)) = map.worst() else {
                flow.words(
                    "Buzz: no string's pull is known, so nothing can be told.",
                    0.0,
                );
                return;
            };
            let wheres = format!(
                "string {} {}, over {}",
                string + 1,
                stopped(stop),
                fret_name(least.fret)
            );
            table.row(vec![
                name.into(),
                format!("{:.2} N", map.pluck.force_n),
                self.air(least.margin_mm),
                wheres,
                map.count_below(asked).to_string(),
            ]);
        }
        table.draw(flow);
    }

    fn buzz_picture(self, flow: &mut Flow) {
        let playing = self.figures.playing;
        if playing.buzz.worst().is_none() {
            return;
        }
        let map = in_units(buzz_map(playing), self.units.length);
        let scene = string_map(playing.instrument, &map, self.look);
        let source = format!("Source: {BUZZ_SOURCE}; relief counted; docs/computations/buzz.md.");
        flow.wide_picture(
            &scene,
            [
                "Where the string is stopped: the least air left over any fret ahead while it swings after this player's pluck. Less than nothing: it strikes.",
                &source,
            ],
        );
    }

    fn bend_words(self) -> String {
        let playing = self.figures.playing;
        let wish = playing.instrument.wish.bend_cents;
        let Some((string, fret, end)) = playing.bends().least() else {
            return "Bends: no string's stretch is known, so nothing can be told.".into();
        };
        let all_known = playing.bent.iter().all(Option::is_some);
        let granted = match (end.cents() >= wish, all_known) {
            (true, true) => "are granted everywhere",
            (true, false) => "are granted wherever the stretch is known",
            (false, _) => "are not granted everywhere",
        };
        let first = match end {
            BendEnd::Chokes { on_fret, .. } => {
                format!("it chokes on {}", fret_name(on_fret))
            }
            BendEnd::Free { cents } if cents >= MOST_CENTS => {
                "nothing chokes it there, and bends are followed no farther".into()
            }
            BendEnd::Free { .. } => "nothing chokes it before the board ends".into(),
        };
        format!(
            "Bends of {wish:.0} cents {granted}. The first to end: string {} at {}, {:.0} cents; {first}.",
            string + 1,
            fret_name(fret),
            end.cents()
        )
    }

    fn bend_picture(self, flow: &mut Flow) {
        let playing = self.figures.playing;
        let map = bend_map(playing);
        let scene = string_map(playing.instrument, &map, self.look);
        let source = format!("Source: {BEND_SOURCE}; docs/computations/bends.md.");
        let shown = format!(
            "{} The map follows bends to {MOST_CENTS:.0} cents.",
            self.bend_words()
        );
        flow.wide_picture(&scene, [&shown, &source]);
    }
}
