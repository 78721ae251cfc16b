//! Two windows that contradict each other: both values, and the maker's choice.

use maud::{Markup, html};

use crate::show::spoken_place;
use crate::values::{Difference, differences};

/// Where two windows contradict each other. What the second typed is not stored, and not lost.
#[derive(Clone, Debug)]
pub struct Clash {
    kind: ClashKind,
}

#[derive(Clone, Debug)]
enum ClashKind {
    /// Both changed one value.
    Value { change: Difference, mine: String },
    /// The list that the value stands in has other entries now.
    Moved { path: String, mine: String },
    /// Both changed the same words of the text; the values among them are named.
    Text(Vec<TextClash>),
}

/// A value that two texts set differently.
#[derive(Clone, Debug)]
struct TextClash {
    change: Difference,
    mine: Option<String>,
}

/// Where the forms of a clash lead, and what they send along.
pub(super) struct ClashForms<'a> {
    /// The address of the entry.
    pub base: &'a str,
    /// The address of the page it is shown on.
    pub here: &'a str,
    /// What every form of the page sends.
    pub hidden: Markup,
}

impl Clash {
    /// Both changed one value; `change` is the other window's.
    pub fn value(change: Difference, mine: &str) -> Self {
        let mine = mine.trim().to_owned();
        Self {
            kind: ClashKind::Value { change, mine },
        }
    }

    /// The list on the way to a value has other entries now.
    pub fn moved(path: &str, mine: &str) -> Self {
        let (path, mine) = (path.to_owned(), mine.trim().to_owned());
        Self {
            kind: ClashKind::Moved { path, mine },
        }
    }

    /// Both changed the text that both began with.
    pub fn text(then: &str, mine: &str, theirs: &str) -> Self {
        let by_me = differences(then, mine).unwrap_or_default();
        let by_them = differences(then, theirs).unwrap_or_default();
        let both = by_them.into_iter().filter_map(|change| {
            let mine = by_me.iter().find(|each| each.path == change.path)?;
            (mine.now != change.now).then(|| TextClash {
                mine: mine.now.clone(),
                change,
            })
        });
        Self {
            kind: ClashKind::Text(both.collect()),
        }
    }
}

/// The words on a clash, with a button for each way out.
pub(super) fn clash(clash: &Clash, forms: &ClashForms<'_>) -> Markup {
    html! {
        section.notice.not-done.clash role="alert" {
            p { strong { "Not done: " } (words(&clash.kind)) }
            @match &clash.kind {
                ClashKind::Value { change, mine } => (choice(forms, &change.path, mine, &format!("Keep {}", value(change.now.as_deref())))),
                ClashKind::Moved { path, mine } => (choice(forms, path, mine, "Leave the list as it is")),
                ClashKind::Text(both) => { (text_table(both)) a href=(forms.here) { "Leave your text, and look at the present one" } },
            }
        }
    }
}

fn words(kind: &ClashKind) -> Markup {
    match kind {
        ClashKind::Value { change, mine } => html! {
            strong { (spoken_place(&change.path)) } " was changed in another window meanwhile, from " (value(change.then.as_deref()))
            " to " strong { (value(change.now.as_deref())) } ". You typed " strong { (typed(mine)) } ". Which shall hold?"
        },
        ClashKind::Moved { path, mine } => html! {
            "the list was changed in another window meanwhile, and " strong { (spoken_place(path)) } " may be another line now. You typed "
            strong { (typed(mine)) } ". Look at the list: does it belong there?"
        },
        ClashKind::Text(_) => html! {
            "another window changed the same lines meanwhile. Your text is below, not stored yet: storing it now sets it over "
            "the other change, which stays in the history."
        },
    }
}

fn choice(forms: &ClashForms<'_>, path: &str, mine: &str, keep: &str) -> Markup {
    html! {
        form.inline method="post" action=(format!("{}/set", forms.base)) data-follow {
            (forms.hidden)
            input type="hidden" name="path" value=(path);
            input type="hidden" name="value" value=(mine);
            button type="submit" {
                @if mine.is_empty() { "Take " (spoken_place(path)) " away" } @else { "Set " (spoken_place(path)) " to " (mine) }
            }
        }
        " "
        a href=(forms.here) { (keep) }
    }
}

fn text_table(both: &[TextClash]) -> Markup {
    html! {
        @if !both.is_empty() {
            div.scroller tabindex="0" role="group" aria-label="Values that both changed" {
                table.entries {
                    thead { tr { th { "value" } th { "before" } th { "in the other window" } th { "in your text" } } }
                    tbody { @for each in both { tr {
                        th scope="row" { (spoken_place(&each.change.path)) }
                        td { (value(each.change.then.as_deref())) }
                        td { (value(each.change.now.as_deref())) }
                        td { (value(each.mine.as_deref())) }
                    } } }
                }
            }
        }
    }
}

fn value(value: Option<&str>) -> &str {
    value.unwrap_or("nothing")
}

fn typed(mine: &str) -> &str {
    if mine.is_empty() { "nothing" } else { mine }
}
