//! The page Book: every commission and kit.

use ::book::{EntryId, EntrySummary, Kind};
use maud::{Markup, html};

use super::Notice;
use super::book_find::{results, search, tag_form, tags_of_entry};
use super::book_keep::{Copies, carried, copies};
use super::layout::{book_header, document};
use crate::find::{Found, Wanted, tags_of};
use crate::show::{Units, moment};
use crate::standing::Told;
use crate::starts::STARTS;

/// A commission of the list.
pub struct Listed {
    /// Its entry.
    pub entry: EntrySummary,
    /// What it is, and where it stands; nothing when it is put away.
    pub told: Option<Told>,
}

/// What the page shows.
pub struct BookPage {
    /// Commissions, changed last first.
    pub commissions: Vec<Listed>,
    /// Kits, changed last first.
    pub kits: Vec<EntrySummary>,
    /// Every tag that stands, by entry.
    pub tags: Vec<(EntryId, String)>,
    /// What is looked for.
    pub wanted: Wanted,
    /// What was found, when something was looked for.
    pub found: Vec<Found>,
    /// The copies of the book; none when it has no file.
    pub copies: Option<Copies>,
    /// How lengths are shown.
    pub units: Units,
    /// A word for the maker.
    pub notice: Option<Notice>,
    /// A text that could not be taken in, kept for mending.
    pub kept_text: Option<String>,
}

/// The page.
pub fn book_page(page: &BookPage) -> Markup {
    let main = html! {
        h1 { "Book" }
        p.lead { "Every instrument and every kit of the shop, with all that was ever changed." }
        @match &page.notice {
            Some(Notice::Done(words)) => p.notice { (words) },
            Some(Notice::NotDone(words)) => p.notice.not-done role="alert" { strong { "Not done: " } (words) },
            None => {}
        }
        (search(&page.wanted, &page.tags))
        @if page.wanted.is_anything() { (results(&page.wanted, &page.found)) } @else {
            (commissions(page))
            (kits(page))
            (new_entry(page))
            (carried())
            @if let Some(kept) = &page.copies { (copies(kept)) }
        }
    };
    document("Book", book_header(page.units, "book"), main)
}

/// The address of an entry's first page.
pub(super) fn entry_address(kind: Kind, id: EntryId) -> String {
    match kind {
        Kind::Commission => format!("/commission/{id}/camber"),
        Kind::Kit => format!("/kit/{id}"),
    }
}

fn commissions(page: &BookPage) -> Markup {
    let (away, here): (Vec<_>, Vec<_>) = page
        .commissions
        .iter()
        .partition(|listed| listed.entry.put_away);
    html! {
        section {
            h2 { "Commissions" }
            @if here.is_empty() {
                p.empty { "No commission yet. Begin one below: from a plain start, or from a file." }
            } @else {
                div.scroller tabindex="0" role="group" aria-label="Commissions" {
                    table.entries {
                        thead { tr { th { "instrument" } th { "where it stands" } th { "tags" } th { "kit" } th { "changed" } th { span.unseen { "more" } } } }
                        tbody { @for listed in here { (commission_row(page, listed)) } }
                    }
                }
            }
            @if !away.is_empty() {
                details { summary { "Put away (" (away.len()) ")" }
                    ul { @for Listed { entry, .. } in away { li { (entry.title) " " (entry_button("take-out", entry.id, "Take out")) } } }
                }
            }
        }
    }
}

fn commission_row(page: &BookPage, listed: &Listed) -> Markup {
    let entry = &listed.entry;
    let kit = entry.kit;
    let tags = tags_of(&page.tags, entry.id);
    html! {
        tr {
            th scope="row" {
                a href=(entry_address(Kind::Commission, entry.id)) { (entry.title) }
                @if let Some(what) = listed.told.as_ref().and_then(|told| told.what.as_ref()) { span.side { (what) } }
            }
            td { @if let Some(Told { standing, .. }) = &listed.told { a href=(standing.address(entry.id)) { (standing.words()) } } }
            td.tags { (tags_of_entry(&tags)) (tag_form(entry.id, &entry.title, &tags)) }
            td {
                form.inline method="post" action=(format!("/commission/{}/kit", entry.id)) {
                    input type="hidden" name="was" value=(kit.map(|kit| kit.to_string()).unwrap_or_default());
                    label { span.unseen { "Kit for " (entry.title) }
                        select name="kit" data-send {
                            option value="" selected[kit.is_none()] { "none chosen" }
                            @for each in page.kits.iter().filter(|each| !each.put_away || Some(each.id) == kit) {
                                option value=(each.id) selected[Some(each.id) == kit] { (each.title) }
                            }
                        }
                    }
                    button.quiet type="submit" { "Set" }
                }
            }
            td { time { (moment(entry.changed_at)) } }
            td.row-buttons {
                (entry_button("copy", entry.id, "Copy"))
                a href=(format!("/commission/{}/history", entry.id)) { "History" }
                (entry_button("put-away", entry.id, "Put away"))
            }
        }
    }
}

fn entry_button(action: &str, id: EntryId, name: &str) -> Markup {
    html! {
        form.inline method="post" action=(format!("/book/{action}")) {
            input type="hidden" name="entry" value=(id);
            button.quiet-shown type="submit" { (name) }
        }
    }
}

fn kits(page: &BookPage) -> Markup {
    html! {
        section {
            h2 { "Kits" }
            @if page.kits.is_empty() { p.empty { "No kit yet: without one there is no bench plan." } }
            ul.kits { @for kit in &page.kits {
                @let tags = tags_of(&page.tags, kit.id);
                li {
                    a href=(entry_address(Kind::Kit, kit.id)) { (kit.title) }
                    (tags_of_entry(&tags)) (tag_form(kit.id, &kit.title, &tags))
                    @if kit.put_away { span.faint { " (put away)" } (entry_button("take-out", kit.id, "Take out")) }
                    @else { " " (entry_button("copy", kit.id, "Copy")) (entry_button("put-away", kit.id, "Put away")) }
                }
            } }
        }
    }
}

fn new_entry(page: &BookPage) -> Markup {
    html! {
        section {
            h2 { "New" }
            form.new method="post" action="/book/new" {
                fieldset {
                    legend { "Begin with" }
                    @for (index, start) in STARTS.iter().enumerate() {
                        label { input type="radio" name="start" value=(start.name) checked[index == 0 && page.kept_text.is_none()]; " " (start.words) ", to be changed" }
                    }
                    label { input type="radio" name="start" value="kit"; " a kit with nothing in it" }
                    label { input type="radio" name="start" value="text" checked[page.kept_text.is_some()]; " a commission or kit file, pasted here" }
                }
                label for="new-title" { "Title" }
                input id="new-title" name="title" type="text" maxlength="200" autocomplete="off";
                label.for-text for="new-text" { "File text, when pasted" }
                textarea.for-text id="new-text" name="text" rows="6" spellcheck="false" { (page.kept_text.as_deref().unwrap_or("")) }
                button type="submit" { "Put it in the book" }
            }
        }
    }
}
