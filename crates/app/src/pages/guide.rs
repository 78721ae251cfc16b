//! The guide beside the work: its contents, and one page of it.

use maud::{Markup, html};

use super::layout::{book_header, document};
use crate::guide::{PAGES, Page, address, as_markup, heading};
use crate::show::Units;

/// The list of all pages.
pub fn guide_contents(units: Units) -> Markup {
    let main = html! {
        h1 { "Guide" }
        p.lead { "How to go from a player's wish to a playing surface, and how every figure comes about. It is carried in the program, and needs no network." }
        @for (name, pages) in PAGES {
            section.contents {
                h2 { (name) }
                ul { @for page in pages { li { a href=(address(page.name)) { (heading(page.text)) } } } }
            }
        }
    };
    document("Guide", book_header(units, "guide"), main)
}

/// One page, with the way to the pages before and after it.
pub fn guide_text(page: &Page, units: Units) -> Markup {
    let group = PAGES
        .iter()
        .map(|(_, pages)| *pages)
        .find(|pages| pages.iter().any(|each| each.name == page.name))
        .unwrap_or_default();
    let here = group.iter().position(|each| each.name == page.name);
    let (before, after) = match here {
        Some(here) => (
            here.checked_sub(1).and_then(|at| group.get(at)),
            group.get(here + 1),
        ),
        None => (None, None),
    };
    let main = html! {
        article.guide { (as_markup(page.text)) }
        nav.onward aria-label="Pages of the guide" {
            @if let Some(page) = before { a href=(address(page.name)) { "← " (heading(page.text)) } }
            a href="/guide" { "All pages" }
            @if let Some(page) = after { a href=(address(page.name)) { (heading(page.text)) " →" } }
        }
    };
    document(heading(page.text), book_header(units, "guide"), main)
}
