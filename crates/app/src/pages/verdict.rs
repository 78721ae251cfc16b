//! The answer first: whether the wish is granted, demand by demand.

use maud::{Markup, html};
use play::Playing;
use play::bend::BendMap;

use crate::play_words::stopped;
use crate::show::length;
use crate::view::{Figures, View};

/// The answer to one demand.
fn line(demand: &str, granted: Option<bool>, words: Markup) -> Markup {
    let (class, answer) = match granted {
        Some(true) => ("yes", "yes"),
        Some(false) => ("no", "not yet"),
        None => ("unknown", "not known"),
    };
    html! {
        li class=(class) {
            span { (demand) }
            span { span.answer { (answer) } " — " (words) }
        }
    }
}

/// How an instrument meets its wish on a surface, before any error of hands.
pub(super) fn of_playing(view: &View, playing: &Playing<'_>) -> Markup {
    html! {
        section.verdict id="verdict" data-part {
            h2 { "Is the wish granted?" }
            ul.verdicts {
                (buzz(view, playing))
                (bends(playing.bends(), playing.instrument.wish.bend_cents))
                (tune(playing))
                (action(view, playing))
            }
            p.faint { "As drawn, with every slot, height and string as asked. How likely hands and tools get there is told under " a href="#chances" { "Chances" } "." }
        }
    }
}

fn buzz(view: &View, playing: &Playing<'_>) -> Markup {
    let asked = playing.instrument.wish.margin_mm;
    let Some((string, stop, least)) = playing.buzz.worst() else {
        return line(
            "No buzz",
            None,
            html! { "no string's pull is known: give unit weights on the page Wish" },
        );
    };
    let short = playing.buzz.count_below(asked);
    let place = html! {
        (length(view.units, least.margin_mm, 3)) " at the least, string " (string + 1) ", " (stopped(stop)) ", over fret " (least.fret)
    };
    let words = match short {
        0 => html! { (place) "; " (length(view.units, asked, 3)) " is asked" },
        1 => {
            html! { "one stop has less air than the " (length(view.units, asked, 3)) " asked: " (place) }
        }
        short => {
            html! { (short) " stops have less air than the " (length(view.units, asked, 3)) " asked: " (place) }
        }
    };
    line("No buzz", Some(short == 0), words)
}

/// How far bends go.
fn bends(bends: &BendMap, asked: f64) -> Markup {
    let Some((string, fret, end)) = bends.least() else {
        return line("Bends", None, html! { "no string's stretch is known" });
    };
    let choked = bends.count_choked(asked);
    let place = format!(
        "the first to end is string {} at fret {fret}, at {:.0} cents",
        string + 1,
        end.cents()
    );
    let words = match choked {
        0 => html! { (format!("{asked:.0} cents are free of frets everywhere; ")) (place) },
        1 => html! { (format!("one place chokes before {asked:.0} cents; ")) (place) },
        choked => html! { (format!("{choked} places choke before {asked:.0} cents; ")) (place) },
    };
    line("Bends", Some(choked == 0), words)
}

fn tune(playing: &Playing<'_>) -> Markup {
    let asked = playing.instrument.wish.in_tune_cents;
    let Some((string, fret, cents)) = playing.tuning().saddle_only.worst() else {
        return line("In tune", None, html! { "no string's stretch is known" });
    };
    let sign = if cents < 0.0 { "−" } else { "+" };
    let words = format!(
        "within {asked:.0} cents is asked; farthest off is string {} at fret {fret}, {sign}{:.1} cents, with the saddle set back for each string",
        string + 1,
        cents.abs()
    );
    line("In tune", Some(cents.abs() <= asked), html! { (words) })
}

fn action(view: &View, playing: &Playing<'_>) -> Markup {
    let strings = &playing.lowest.strings;
    let over = strings.iter().enumerate().filter_map(|(index, string)| {
        let asked = playing.set_up.strings.get(index)?.actions_mm.1;
        let lowest = string.as_ref()?.action_mm;
        Some((index, lowest - asked))
    });
    let worst = over.max_by(|a, b| a.1.total_cmp(&b.1));
    let Some((string, over_mm)) = worst else {
        return line("Action", None, html! { "no string's pull is known" });
    };
    let words = if over_mm <= 0.0 {
        html! { "the lowest set-up free of buzz lies under the asked action on every string, by " (length(view.units, -over_mm, 2)) " or more" }
    } else {
        html! { "string " (string + 1) " cannot come down to the asked action without a buzz: " (length(view.units, over_mm, 2)) " are lacking, even at the best relief" }
    };
    line("Action", Some(over_mm <= 0.0), words)
}

/// Whether a camber grants the wished bends, with the tightest that would.
pub(super) fn of_camber(view: &View, now: &Figures) -> Markup {
    let (instrument, strings) = (&now.instrument, &now.sheet.strings);
    let bends_now = play::planned_bends(instrument, strings);
    let asked = instrument.wish.bend_cents;
    let nut_mm = instrument.camber.radius(0.0).mm();
    let tightest = (bends_now.count_choked(asked) > 0 && nut_mm.is_finite()).then(|| {
        play::wished_bend_places(instrument, strings)
            .tightest(nut_mm)
            .last_mm
    });
    html! {
        section.verdict id="verdict" data-part {
            h2 { "Does this camber grant the wish?" }
            ul.verdicts { (bends(&bends_now, asked)) }
            @match tightest {
                Some(Some(mm)) => p {
                    "With the nut as it is the last fret wants a radius of at least " strong { (length(view.units, mm, 1)) } "."
                },
                Some(None) => p { "With the nut as it is not even a flat last fret would do: make the nut flatter." },
                None => {}
            }
            p.faint { "Buzz hardly feels the camber: what it feels are action, relief and the player's hand, on the page Play." }
        }
    }
}
