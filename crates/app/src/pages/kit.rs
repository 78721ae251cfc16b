//! The page of a kit: its tools, each changed where it stands.

use ::book::Entry;
use bench::KIT_KEYS;
use instrument::format::Faults;
use maud::{Markup, html};

use super::Notice;
use super::clash::{Clash, ClashForms, clash};
use super::fields::Fields;
use super::layout::{book_header, document};
use crate::edit::Shown;
use crate::show::Units;
use crate::view::Mend;

/// What the page shows.
pub struct KitView {
    /// The kit's entry.
    pub entry: Entry,
    /// What is wrong with its text.
    pub faults: Faults,
    /// How lengths are shown.
    pub units: Units,
    /// A word for the maker.
    pub notice: Option<Notice>,
    /// The field to be mended at once.
    pub mend: Option<Mend>,
    /// Where another window contradicts what was sent.
    pub clash: Option<Clash>,
    /// A whole text that was typed and is not stored, kept for taking over.
    pub kept_text: Option<String>,
}

/// The page.
pub fn kit_page(view: &KitView) -> Markup {
    let shown = Shown::new(&view.entry.text);
    let base = format!("/kit/{}", view.entry.id);
    let hidden = hidden(view);
    let fields = Fields {
        action: format!("{base}/set"),
        hidden: hidden.clone(),
        shown: &shown,
        keys: &KIT_KEYS,
        faults: &view.faults,
        mend: view.mend.as_ref(),
    };
    let main = html! {
        div id="words" data-part aria-live="polite" { (words(view)) }
        div.content id="kit" data-part {
            h1 { "Kit" }
            p.lead { "The tools this shop owns. " a href=(format!("{base}/history")) { "History" } }
            div.moves {
                (move_button(&base, &hidden, "undo", "Undo", view.entry.undo_what.as_deref()))
                (move_button(&base, &hidden, "redo", "Redo", view.entry.redo_what.as_deref()))
            }
            div.fields { (fields.field("title", "Title")) (fields.field("smallest_light", "Smallest light you see")) (fields.field("hand.force", "How hard you rub")) (fields.field("hand.speed", "How fast, metres a second")) }
            (tools(&base, &hidden, &fields, "Blocks", "blocks", &["radius", "length", "width"]))
            (tools(&base, &hidden, &fields, "Beams", "beams", &["length", "width"]))
            (values(&base, &hidden, &fields, "Gauges", "gauges"))
            (values(&base, &hidden, &fields, "Abrasives", "abrasives"))
            (measuring(&base, &hidden, &fields))
            (cutters(&base, &hidden, &fields))
            (machine(&fields))
            (carriage(&fields))
            section {
                h2 { "As text" }
                form.whole-text method="post" action=(format!("{base}/text")) {
                    (hidden)
                    label for="whole-text" { "The whole text" }
                    textarea id="whole-text" name="text" rows="18" spellcheck="false" { (view.kept_text.as_deref().unwrap_or(&view.entry.text)) }
                    button type="submit" { "Store this text" }
                }
            }
        }
    };
    document(&view.entry.title, book_header(view.units, ""), main)
}

fn hidden(view: &KitView) -> Markup {
    html! { input type="hidden" name="based_on" value=(view.entry.revision); }
}

fn words(view: &KitView) -> Markup {
    html! {
        @match &view.notice {
            Some(Notice::Done(words)) => p.notice { (words) },
            Some(Notice::NotDone(words)) => p.notice.not-done role="alert" { strong { "Not done: " } (words) },
            None => {}
        }
        @if let Some(found) = &view.clash {
            @let base = format!("/kit/{}", view.entry.id);
            (clash(found, &ClashForms { base: &base, here: &base, hidden: hidden(view) }))
         }
        @if !view.faults.is_empty() {
            section.faults role="alert" {
                h2 { "This kit has faults: no plan is made with it until they are mended" }
                ul { @for fault in &view.faults.0 { li { code { (fault.place) } " " (fault.message) " — " (fault.way_out) } } }
            }
        }
    }
}

fn move_button(
    base: &str,
    hidden: &Markup,
    action: &str,
    name: &str,
    what: Option<&str>,
) -> Markup {
    html! {
        form method="post" action=(format!("{base}/{action}")) data-follow {
            (hidden)
            button type="submit" disabled[what.is_none()] title=(what.unwrap_or("nothing to do")) { (name) }
        }
    }
}

fn tools(
    base: &str,
    hidden: &Markup,
    fields: &Fields<'_>,
    name: &str,
    list: &str,
    keys: &[&str],
) -> Markup {
    html! {
        section {
            h2 { (name) }
            @for index in 1..=fields.shown.entries(list) {
                div.tool {
                    @for key in keys { (fields.field(&format!("{list}[{index}].{key}"), tool_word(key))) }
                    (list_button(base, hidden, "take", &format!("{list}[{index}]"), "Take away"))
                }
            }
            (list_button(base, hidden, "add", list, "Add one"))
        }
    }
}

/// A tool's measure, named for people.
fn tool_word(key: &str) -> &str {
    match key {
        "radius" => "Radius",
        "length" => "Length",
        "width" => "Width",
        "chord" => "Between the legs",
        "resolution" => "Reads to",
        "name" => "Name",
        "shape" => "Shape of its end",
        "diameter" => "Diameter",
        "flutes" => "Cutting edges",
        "reach" => "Reach",
        "pass" => "Deepest pass",
        "rpm" => "Turns a minute",
        "feed" => "Feed, mm a minute",
        "plunge" => "Straight down, mm a minute",
        "chip_least" => "Least chip",
        "chip_most" => "Greatest chip",
        other => other,
    }
}

/// What is asked of a cutter.
const CUTTER_KEYS: [&str; 11] = [
    "name",
    "shape",
    "diameter",
    "flutes",
    "reach",
    "pass",
    "rpm",
    "feed",
    "plunge",
    "chip_least",
    "chip_most",
];

fn cutters(base: &str, hidden: &Markup, fields: &Fields<'_>) -> Markup {
    html! {
        section id="cutters" data-part {
            h2 { "Cutters" }
            p.faint {
                "For machine programs. Reach, pass and chips are the limits that each cutter's maker states: "
                "programs are checked against them."
            }
            @for index in 1..=fields.shown.entries("cutters") {
                @let path = format!("cutters[{index}]");
                @let name = fields.shown.value(&format!("{path}.name")).unwrap_or_default();
                details.many open[fields.mends(&path)] {
                    summary { (if name.is_empty() { path.as_str() } else { name.as_str() }) }
                    div.fields { @for key in CUTTER_KEYS { (fields.field(&format!("{path}.{key}"), tool_word(key))) } }
                    (list_button(base, hidden, "take", &path, "Take away"))
                }
            }
            (list_button(base, hidden, "add", "cutters", "Add one"))
        }
    }
}

/// What the wood is read with: how fine it reads is how sure the readings are.
fn measuring(base: &str, hidden: &Markup, fields: &Fields<'_>) -> Markup {
    html! {
        (values(base, hidden, fields, "Straightedges", "straightedges"))
        (tools(base, hidden, fields, "Dials between two legs", "dials", &["chord", "resolution"]))
        section {
            h2 { "Feelers, caliper, probe, chalk" }
            div.fields {
                (fields.field("least_feeler", "Thinnest feeler"))
                (fields.field("feeler_step", "From feeler to feeler"))
                (fields.field("caliper_step", "Caliper reads to"))
                (fields.field("probe_step", "Probe reads to"))
                (fields.field("chalk_layer", "Chalk lies"))
            }
        }
    }
}

fn machine(fields: &Fields<'_>) -> Markup {
    html! {
        section {
            h2 { "Machine" }
            div.fields {
                (fields.field("machine.most_feed", "Fastest feed, mm a minute"))
                (fields.field("machine.rapid", "Not cutting, mm a minute"))
                (fields.field("machine.least_rpm", "Slowest turns a minute"))
                (fields.field("machine.most_rpm", "Fastest turns a minute"))
                (fields.field("machine.clear", "Air over everything"))
                (fields.field("machine.into_bed", "Into the sheet below"))
            }
        }
    }
}

fn carriage(fields: &Fields<'_>) -> Markup {
    html! {
        section {
            h2 { "Router by hand" }
            div.fields {
                (fields.field("carriage.cutter", "Its cutter"))
                (fields.field("carriage.below", "Cutter below the plate"))
                (fields.field("carriage.base", "Centre to the plate's edge"))
                (fields.field("carriage.bush", "Guide bush"))
                (fields.field("carriage.beyond", "Rails stand past the board"))
                (fields.field("carriage.bed", "Bed over the floor"))
            }
        }
    }
}

fn values(base: &str, hidden: &Markup, fields: &Fields<'_>, name: &str, list: &str) -> Markup {
    html! {
        section {
            h2 { (name) }
            div.fields.short {
                @for index in 1..=fields.shown.entries(list) {
                    div.tool {
                        (fields.field(&format!("{list}[{index}]"), &format!("{index}")))
                        (list_button(base, hidden, "take", &format!("{list}[{index}]"), "Take away"))
                    }
                }
            }
            (list_button(base, hidden, "add", list, "Add one"))
        }
    }
}

fn list_button(base: &str, hidden: &Markup, action: &str, path: &str, name: &str) -> Markup {
    html! {
        form.inline method="post" action=(format!("{base}/{action}")) data-follow {
            (hidden)
            input type="hidden" name="path" value=(path);
            button.quiet-shown type="submit" { (name) }
        }
    }
}
