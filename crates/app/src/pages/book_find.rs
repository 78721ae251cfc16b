//! Finding entries on the page Book: words, tags, and the tags that are put on and taken off.

use std::collections::BTreeMap;

use ::book::{EntryId, Kind};
use maud::{Markup, html};

use super::book::entry_address;
use crate::find::{Found, Place, Wanted};
use crate::show::moment;

/// The search field, and every tag with how many entries have it.
pub(super) fn search(wanted: &Wanted, all_tags: &[(EntryId, String)]) -> Markup {
    html! {
        search {
            form.find method="get" action="/book" {
                label for="find" { "Find" }
                input id="find" name="find" type="search" value=(wanted.words) maxlength="200" autocomplete="off"
                    placeholder="words in titles, tags, notes and texts";
                @if let Some(tag) = &wanted.tag { input type="hidden" name="tag" value=(tag); }
                button type="submit" { "Find" }
            }
            (tag_links(wanted, all_tags))
        }
    }
}

fn tag_links(wanted: &Wanted, all_tags: &[(EntryId, String)]) -> Markup {
    // In whatever letters an entry has it, it is one tag.
    let mut counts: BTreeMap<String, (&str, usize)> = BTreeMap::new();
    for (_, tag) in all_tags {
        counts.entry(tag.to_lowercase()).or_insert((tag, 0)).1 += 1;
    }
    let here = wanted.tag.as_ref().map(|tag| tag.trim().to_lowercase());
    html! {
        @if !counts.is_empty() {
            nav.tags aria-label="Tags" {
                span { "Tags" }
                @for (small, (tag, count)) in &counts {
                    a.tag href=(tag_address(tag)) aria-current=[(Some(small) == here.as_ref()).then_some("true")] {
                        (tag) span.faint { " " (count) }
                    }
                }
            }
        }
    }
}

/// The address of all entries with a tag.
fn tag_address(tag: &str) -> String {
    let tag = percent_encoding::utf8_percent_encode(tag, percent_encoding::NON_ALPHANUMERIC);
    format!("/book?tag={tag}")
}

/// What was found, or that nothing was.
pub(super) fn results(wanted: &Wanted, found: &[Found]) -> Markup {
    let count = found.len();
    html! {
        section aria-label="Found" {
            h2 { @if count == 1 { "1 entry" } @else { (count) " entries" } " with " (wanted_words(wanted)) }
            @if found.is_empty() {
                p.empty { "Nothing in the book has all of that. Titles, tags, notes, visits and texts are looked through as they stand now; earlier moments are not." }
            }
            ul.found { @for each in found { (result(each)) } }
            p { a href="/book" { "Show the whole book" } }
        }
    }
}

fn wanted_words(wanted: &Wanted) -> Markup {
    let words = wanted
        .words
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    html! {
        @if !words.is_empty() { "“" (words) "”" }
        @if let Some(tag) = &wanted.tag {
            @if !words.is_empty() { " and " }
            "the tag “" (tag) "”"
        }
    }
}

fn result(found: &Found) -> Markup {
    let entry = &found.entry;
    html! {
        li {
            a.title href=(entry_address(entry.kind, entry.id)) { (entry.title) }
            span.faint {
                @if entry.kind == Kind::Kit { " kit" }
                @if entry.put_away { " (put away)" }
                " changed " time { (moment(entry.changed_at)) }
            }
            " " (tags_of_entry(&found.tags))
            @if !found.places.is_empty() { ul.places-found { @for place in &found.places { (place_found(place)) } } }
        }
    }
}

fn place_found(place: &Place) -> Markup {
    html! {
        li { span.faint { (place.what) ": " } (place.before) mark { (place.hit) } (place.after) }
    }
}

/// The tags of an entry, each leading to all entries that have it.
pub(super) fn tags_of_entry(tags: &[String]) -> Markup {
    html! { @for tag in tags { a.tag href=(tag_address(tag)) { (tag) } " " } }
}

/// Putting tags on an entry and taking them off.
pub(super) fn tag_form(id: EntryId, title: &str, tags: &[String]) -> Markup {
    html! {
        details.tagging { summary { "tag" span.unseen { ": " (title) } }
            form.inline method="post" action="/book/tag" {
                input type="hidden" name="entry" value=(id);
                label { span.unseen { "Tag for " (title) }
                    input type="text" name="tag" maxlength="60" size="14" required autocomplete="off" placeholder="a few words"; }
                " " button.quiet-shown type="submit" { "Put on" }
            }
            @for tag in tags {
                form.inline method="post" action="/book/untag" {
                    input type="hidden" name="entry" value=(id);
                    input type="hidden" name="tag" value=(tag);
                    " " button.quiet-shown type="submit" { "Take off " (tag) }
                }
            }
        }
    }
}
