//! Entering readings: big keys for one reading, a box for many, and the visit's own fields.

use instrument::{Instrument, Radius, fret_name};
use maud::{Markup, html};

use super::{Asked, PageName};
use crate::pages::layout::hidden;
use crate::view::{Figures, View};
use crate::visits::KeptVisit;

/// A kind of reading as it is offered.
struct Offered {
    kind: &'static str,
    name: &'static str,
    asks: &'static str,
}

const OFFERED: [Offered; 7] = [
    Offered {
        kind: "light",
        name: "Light",
        asks: "a gauge laid square across: where light shows, and how much",
    },
    Offered {
        kind: "gap",
        name: "Gap",
        asks: "a straightedge along a lane or an edge: the feeler that just goes in",
    },
    Offered {
        kind: "rock",
        name: "Rock",
        asks: "a straightedge that rocks: the hump it rocks on is at least so high",
    },
    Offered {
        kind: "sagitta",
        name: "Dial",
        asks: "a dial between two legs, square across: the crown over the legs",
    },
    Offered {
        kind: "thickness",
        name: "Thickness",
        asks: "a caliper: the thickness of the board",
    },
    Offered {
        kind: "chalk",
        name: "Chalk",
        asks: "a patch of chalk under a tool: did it stay, or go?",
    },
    Offered {
        kind: "height",
        name: "Height",
        asks: "a probe over one datum: the height there",
    },
];

/// Where the first reading is looked for.
const FIRST_FRET: usize = 1;

/// What a field of the entry was left at.
fn left<'a>(asked: &'a Asked, name: &str) -> &'a str {
    asked
        .typed
        .iter()
        .find(|(key, _)| key == name)
        .map_or("", |(_, value)| value.as_str())
}

/// The forms for readings: one by one, and many at once.
pub(super) fn entry(view: &View, now: &Figures, visit: &KeptVisit, asked: &Asked) -> Markup {
    html! {
        section id="enter" data-part {
            h2 { "Enter a reading" }
            (one(view, now, Some(visit), asked, PageName::Readings, None))
            details.many open[!left(asked, "text").is_empty()] {
                summary { "Paste many, or take them from a file" }
                (many(view, visit, asked))
            }
        }
    }
}

/// The form for one reading. `back` is the stage of bench mode to come back to; there the form may
/// name no visit, and the first reading begins one.
pub(super) fn one(
    view: &View,
    now: &Figures,
    visit: Option<&KeptVisit>,
    asked: &Asked,
    page: PageName,
    back: Option<&str>,
) -> Markup {
    let kind = match left(asked, "kind") {
        "" => "light",
        kind => kind,
    };
    html! {
        form.reading method="post" action=(format!("/commission/{}/reading", view.entry.id)) data-follow data-keep[back.is_some()] {
            (hidden(view, page))
            input type="hidden" name="visit" value=(visit.map_or(String::new(), |visit| visit.record.id.to_string()));
            input type="hidden" name="sent_key" value=(asked.fresh_key);
            input type="hidden" name="unit" value=(view.units.name());
            @if visit.is_none() { input type="hidden" name="date" value=(crate::show::today()); }
            @if let Some(stage) = back { input type="hidden" name="bench" value=(stage); }
            fieldset.kinds {
                legend { "What was measured" }
                @for offered in &OFFERED {
                    label.kind title=(offered.asks) {
                        input type="radio" name="kind" value=(offered.kind) checked[offered.kind == kind];
                        span { (offered.name) }
                    }
                }
            }
            @for offered in &OFFERED { p.asks.{ "for-" (offered.kind) } { (offered.asks) } }
            div.places {
                (tools(view, now, asked))
                (place(view, now, asked))
                (shows(asked))
            }
            (value(view, asked))
            label.note { "Note " input type="text" name="note" value=(left(asked, "note")) maxlength="200" autofocus[view.mends("note")]; }
            button.enter type="submit" { "Enter this reading" }
        }
    }
}

fn tools(view: &View, now: &Figures, asked: &Asked) -> Markup {
    let kit = view.sound_kit();
    let radius = |radius: &Radius| match radius.finite_mm() {
        Some(mm) => format!("{mm} mm"),
        None => "flat".into(),
    };
    let gauges: Vec<String> = kit.map_or(Vec::new(), |kit| kit.gauges.iter().map(radius).collect());
    let mut chalked: Vec<String> = kit.map_or(Vec::new(), |kit| {
        kit.blocks
            .iter()
            .map(|block| radius(&block.radius))
            .collect()
    });
    chalked.push("beam".into());
    let dials: Vec<String> = kit.map_or(Vec::new(), |kit| {
        kit.dials
            .iter()
            .map(|dial| format!("{} mm", dial.chord_mm))
            .collect()
    });
    // The gauge that the plan lays on at the place that stands in the form at first.
    let station = now.sheet.frets.get(FIRST_FRET);
    let first = station.and_then(|fret| Some(radius(&fret.gauge?.gauge)));
    html! {
        (choice(view, asked, ["tool_light", "Gauge", "for-light"], &gauges, first.as_deref()))
        (choice(view, asked, ["tool_chalk", "Tool", "for-chalk"], &chalked, None))
        (choice(view, asked, ["tool_sagitta", "Dial, leg to leg", "for-sagitta"], &dials, None))
    }
}

/// A choice among the kit's tools, or a field to type when the kit has none. `first` is chosen
/// where nothing was.
fn choice(
    view: &View,
    asked: &Asked,
    [name, title, class]: [&str; 3],
    words: &[String],
    first: Option<&str>,
) -> Markup {
    let left = match (left(asked, name), words.is_empty()) {
        ("", false) => first.unwrap_or_default(),
        (left, _) => left,
    };
    let mend = view.mends(name);
    html! {
        label.place.{ (class) } { (title)
            @if words.is_empty() {
                input type="text" name=(name) value=(left) placeholder="none in the kit" autofocus[mend];
            } @else {
                select name=(name) autofocus[mend] { @for word in words { option value=(word) selected[word == left] { (word) } } }
            }
        }
    }
}

fn place(view: &View, now: &Figures, asked: &Asked) -> Markup {
    let instrument = &now.instrument;
    let frets: Vec<String> = (0..=instrument.last_fret()).map(fret_name).collect();
    html! {
        label.place { "Where along" (place_list(view, asked, "at", &frets, &fret_name(FIRST_FRET))) }
        label.place.for-across { "Where across" (across(view, instrument, asked)) }
        label.place.for-line { "It touches at" (place_list(view, asked, "from", &frets, "nut")) }
        label.place.for-line { "and at" (place_list(view, asked, "to", &frets, frets.last().map_or("", String::as_str))) }
        label.place.for-height { "Set-up of the probe"
            input type="text" name="set_up" value=(left(asked, "set_up")) placeholder="1" maxlength="40" autofocus[view.mends("set_up")];
        }
    }
}

/// A place along the board: chosen from the frets, or any length typed in.
fn place_list(view: &View, asked: &Asked, name: &str, frets: &[String], otherwise: &str) -> Markup {
    let value = match left(asked, name) {
        "" => otherwise,
        value => value,
    };
    html! {
        input type="text" name=(name) value=(value) list="frets" autocomplete="off" spellcheck="false" autofocus[view.mends(name)];
        @if name == "at" { datalist id="frets" { @for fret in frets { option value=(fret) {} } } }
    }
}

fn across(view: &View, instrument: &Instrument, asked: &Asked) -> Markup {
    let value = match left(asked, "across") {
        "" => "centre",
        value => value,
    };
    html! {
        input type="text" name="across" value=(value) list="lanes" autocomplete="off" spellcheck="false" autofocus[view.mends("across")];
        datalist id="lanes" {
            option value="centre" {}
            @for lane in 1..=instrument.lanes.len() { option value=(format!("lane {lane}")) {} }
            option value="treble edge" {}
            option value="bass edge" {}
        }
    }
}

fn shows(asked: &Asked) -> Markup {
    let one_of = |name: &str, class: &str, title: &str, words: &[(&str, &str)]| {
        let first = words.first().map_or("", |(word, _)| *word);
        let chosen = match left(asked, name) {
            "" => first,
            left => left,
        };
        html! {
            fieldset.shows.{ (class) } {
                legend { (title) }
                @for (word, shown) in words {
                    label.kind { input type="radio" name=(name) value=(word) checked[*word == chosen]; span { (shown) } }
                }
            }
        }
    };
    html! {
        (one_of("shows_light", "for-light", "Light", &[("none", "none"), ("edges", "both edges"), ("crown", "crown"), ("treble edge", "treble edge only"), ("bass edge", "bass edge only")]))
        (one_of("shows_gap", "for-gap", "Feeler", &[("", "goes in"), ("none", "not even the thinnest")]))
        (one_of("shows_chalk", "for-chalk", "The chalk", &[("stayed", "stayed"), ("gone", "went")]))
    }
}

/// The figure, with keys large enough for a dusty finger.
fn value(view: &View, asked: &Asked) -> Markup {
    let unit = match view.units.name() {
        "mm" => "mm",
        _ => "in",
    };
    html! {
        div.keyed {
            label.amount { "How much"
                input #amount type="text" name="value" value=(left(asked, "value")) autocomplete="off" spellcheck="false" placeholder=(format!("0.12 {unit}")) inputmode="decimal" autofocus[view.mends("value")];
            }
            div.keys role="group" aria-label="Keys" {
                @for key in ["7", "8", "9", "4", "5", "6", "1", "2", "3", "0", ".", "−"] {
                    button type="button" data-key=(key) { (key) }
                }
                button type="button" data-key=" mm" { "mm" }
                button type="button" data-key=" thou" { "thou" }
                button type="button" data-key="back" aria-label="take back the last key" { "⌫" }
            }
        }
    }
}

fn many(view: &View, visit: &KeptVisit, asked: &Asked) -> Markup {
    html! {
        form.new method="post" action=(format!("/commission/{}/readings", view.entry.id)) data-follow {
            (hidden(view, PageName::Readings))
            input type="hidden" name="visit" value=(visit.record.id);
            input type="hidden" name="sent_key" value=(format!("{}-many", asked.fresh_key));
            label { "A table of readings with a head, or the file of a height probe"
                textarea #many name="text" rows="8" spellcheck="false" autofocus[view.mends("text")] { (left(asked, "text")) }
            }
            p.meaning {
                "The head names the columns: " code { "kind,tool,at,across,from,to,shows,value,resolution,set_up,note" }
                ". A probe's file has x, y and z."
            }
            label.file { "Or a file " input type="file" data-into="many" accept=".csv,.txt,.tsv,text/*"; }
            div.moves {
                button type="submit" { "Take these readings in" }
                @if asked.may_keep_sound { button type="submit" name="keep" value="sound" { "Take in the sound lines only" } }
            }
        }
    }
}

/// Beginning a visit, and correcting the one shown.
pub(super) fn visit_forms(
    view: &View,
    now: &Figures,
    chosen: Option<&KeptVisit>,
    asked: &Asked,
) -> Markup {
    let next = (1..)
        .map(|number: usize| number.to_string())
        .find(|name| view.visits.iter().all(|visit| visit.record.name != *name))
        .unwrap_or_default();
    let today = crate::show::today();
    // What was typed and refused stands in its form again.
    let has = |name: &str| asked.typed.iter().any(|(key, _)| key == name);
    let typed = has("name").then(|| ["name", "date", "stage"].map(|name| left(asked, name)));
    let (mends, corrects) = (view.mends("name"), has("visit"));
    html! {
        section id="visits" data-part {
            h2 { "Visits" }
            @if let Some(visit) = chosen {
                @let kept = [visit.record.name.as_str(), &visit.record.date, &visit.record.stage];
                (visit_form(view, now, mends && corrects, Some(visit), typed.filter(|_| corrects).unwrap_or(kept)))
            }
            (visit_form(view, now, mends && !corrects, None, typed.filter(|_| !corrects).unwrap_or([&next, &today, ""])))
        }
    }
}

fn visit_form(
    view: &View,
    now: &Figures,
    mends: bool,
    visit: Option<&KeptVisit>,
    [name, date, stage]: [&str; 3],
) -> Markup {
    let stages = now.plan.as_ref().map_or(&[][..], |plan| &plan.stages);
    let title = match visit {
        Some(_) => "Correct this visit",
        None => "Begin a new visit",
    };
    html! {
        form.visit method="post" action=(format!("/commission/{}/visit", view.entry.id)) data-follow {
            (hidden(view, PageName::Readings))
            @if let Some(visit) = visit { input type="hidden" name="visit" value=(visit.record.id); }
            label { "Name " input type="text" name="name" value=(name) size="8" maxlength="60" required autofocus[mends]; }
            label { "Date " input type="text" name="date" value=(date) size="11" maxlength="60"; }
            label { "Read after "
                select name="stage" {
                    option value="" selected[stage.is_empty()] { "no stage: as if finished" }
                    @if !stage.is_empty() && stages.iter().all(|known| known.key != stage) {
                        option value=(stage) selected { (stage) ", no longer in the plan" }
                    }
                    @for known in stages {
                        option value=(known.key) selected[known.key == stage] { (known.key) }
                    }
                }
            }
            button type="submit" { (title) }
        }
    }
}
