//! Fields of forms: one value each, stored when it is changed.

use instrument::COMMISSION_KEYS;
use instrument::format::{Kind, Need, Table};
use maud::{Markup, html};

use super::PageName;
use super::layout::hidden;
use crate::edit::Shown;
use crate::key::{describe, steps};
use crate::view::{Mend, View};

/// Where the fields of a form go, and what they show.
pub(super) struct Fields<'a> {
    /// The address that takes a change.
    pub action: String,
    /// What every form sends along.
    pub hidden: Markup,
    /// The text shown.
    pub shown: &'a Shown,
    /// The format's description.
    pub keys: &'static Table,
    /// Places with a fault, so that their fields say so.
    pub faults: &'a instrument::format::Faults,
    /// The field to be mended at once.
    pub mend: Option<&'a Mend>,
}

impl<'a> Fields<'a> {
    /// The fields of a commission's page.
    pub fn of_commission(view: &'a View, page: PageName, shown: &'a Shown) -> Self {
        Self {
            action: format!("/commission/{}/set", view.entry.id),
            hidden: hidden(view, page),
            shown,
            keys: &COMMISSION_KEYS,
            faults: &view.faults,
            mend: view.mend.as_ref(),
        }
    }

    /// A field for the key at `path`, named for people. What the key means comes from the format.
    pub fn field(&self, path: &str, name: &str) -> Markup {
        let Some((kind, key)) = steps(path).and_then(|steps| describe(self.keys, &steps)) else {
            return html! {};
        };
        let stored = self.shown.value(path).unwrap_or_default();
        let mend = self.mend.filter(|mend| mend.field == path);
        let refused = mend.and_then(|mend| mend.refused.as_ref());
        let value = refused.map_or(stored, |(typed, _)| typed.clone());
        let fault = self.faults.at(path).next();
        let id = format!("field-{}", path.replace(['.', '[', ']'], "-"));
        let meaning = key.map_or("", |key| key.meaning);
        let otherwise = match key.map(|key| key.need) {
            Some(Need::Otherwise(default)) => default,
            _ => "",
        };
        let known = known_names(path);
        html! {
            form.field method="post" action=(self.action) data-follow {
                (self.hidden)
                input type="hidden" name="path" value=(path);
                label for=(id) { (name) }
                div.entry {
                    @match kind {
                        Kind::Choice(words) | Kind::Usual(words) => (choice(&id, words, &value, otherwise)),
                        Kind::Flag => (choice(&id, &["true", "false"], &value, otherwise)),
                        _ => {
                            (typed(&id, &Typed {
                                value: &value,
                                otherwise,
                                steps: !value.is_empty() && steppable(kind),
                                wrong: fault.is_some() || refused.is_some(),
                                mend: mend.is_some(),
                                known: known.is_some(),
                            }))
                            @if let Some(names) = known {
                                datalist id=(format!("{id}-known")) { @for name in names { option value=(name) {} } }
                            }
                        }
                    }
                }
                p.meaning id=(format!("{id}-meaning")) {
                    (meaning)
                    @if let Some((_, why)) = refused { span.wrong { " — not stored: " (why) } }
                    @else if let Some(fault) = fault { span.wrong { " — " (fault.message) ": " (fault.way_out) } }
                }
            }
        }
    }
}

impl Fields<'_> {
    /// True when the field to be mended is at that path, or under it.
    pub fn mends(&self, path: &str) -> bool {
        let field = self.mend.map(|mend| mend.field.as_str());
        field.is_some_and(|field| field.starts_with(path))
    }

    /// Fields that few makers touch, folded away; unfolded when one of them has a fault.
    pub fn finer(&self, fields: &[(&str, &str)]) -> Markup {
        self.folded("Finer points", fields, &html! {})
    }

    /// Fields under a fold that says what is inside and how many of them are given, with a last
    /// word on them; unfolded when one of them has a fault.
    pub fn folded(&self, what: &str, fields: &[(&str, &str)], last: &Markup) -> Markup {
        let given = |path: &str| {
            self.shown
                .value(path)
                .is_some_and(|value| !value.is_empty())
        };
        let set = fields.iter().filter(|(path, _)| given(path)).count();
        let wrong = fields
            .iter()
            .any(|(path, _)| self.faults.at(path).next().is_some() || self.mends(path));
        html! {
            details.finer open[wrong] {
                summary { (what) " (" (fields.len()) ", "
                    @match set { 0 => "all at our usual values", set => { (set) " given" } }
                    ")" }
                div.fields { @for (path, name) in fields { (self.field(path, name)) } }
                (last)
            }
        }
    }
}

fn choice(id: &str, words: &[&str], value: &str, otherwise: &str) -> Markup {
    html! {
        select id=(id) name="value" data-send aria-describedby=(format!("{id}-meaning")) {
            @if value.is_empty() { option value="" selected { (spoken(otherwise)) } }
            @if !value.is_empty() && !words.contains(&value) { option value=(value) selected { (value) } }
        @for word in words { option value=(word) selected[*word == value] { (spoken(word)) } }
        }
        button.quiet type="submit" { "Set" }
    }
}

/// A yes or no is `true` or `false` in the file only.
fn spoken(word: &str) -> &str {
    match word {
        "true" => "yes",
        "false" => "no",
        other => other,
    }
}

/// The names that the tables know for what may be named freely.
fn known_names(path: &str) -> Option<impl Iterator<Item = &'static str>> {
    (path == "board.wood").then(|| quantity::woods().iter().map(|wood| wood.name))
}

/// What a field that is typed in shows.
struct Typed<'a> {
    value: &'a str,
    otherwise: &'a str,
    steps: bool,
    wrong: bool,
    /// It takes the focus, so that it can be mended at once.
    mend: bool,
    /// Names that may be typed are listed beside it.
    known: bool,
}

fn typed(id: &str, field: &Typed<'_>) -> Markup {
    let steps = field.steps;
    let list = field.known.then(|| format!("{id}-known"));
    html! {
        // The enter key presses a form's first button, which must not be a step.
        @if steps { button type="submit" hidden { "Set" } }
        @if steps { button.stepper type="submit" name="step" value="down" aria-label="a step less" tabindex="-1" { "−" } }
        input id=(id) type="text" name="value" value=(field.value) placeholder=(field.otherwise) autocomplete="off"
            spellcheck="false" list=[list] data-send autofocus[field.mend] aria-invalid=[field.wrong.then_some("true")] aria-describedby=(format!("{id}-meaning"));
        @if steps { button.stepper type="submit" name="step" value="up" aria-label="a step more" tabindex="-1" { "+" } }
        button.quiet type="submit" { "Set" }
    }
}

fn steppable(kind: &Kind) -> bool {
    match kind {
        Kind::Length { .. }
        | Kind::Radius
        | Kind::Number { .. }
        | Kind::Whole { .. }
        | Kind::Force { .. }
        | Kind::Percent => true,
        Kind::Any(kinds) => kinds.iter().any(|kind| matches!(kind, Kind::Length { .. })),
        _ => false,
    }
}
