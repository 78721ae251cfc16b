//! The frame of every page: head, the way through the work, the board, the notices.

use drawing::pictures::board_plan;
use maud::{DOCTYPE, Markup, html};

use super::clash::ClashForms;
use super::{Asked, Notice, PageName, picture, strip};
use crate::assets;
use crate::show::{Units, spoken_place};
use crate::view::View;

/// The whole document around some content.
pub(super) fn document(title: &str, header: Markup, main: Markup) -> Markup {
    document_with(title, header, main, html! {})
}

/// The document of a page at the bench: it keeps what is entered until it is sent.
pub(super) fn bench_document(title: &str, header: Markup, main: Markup) -> Markup {
    let script = html! { script src=(assets::outbox_address()) defer {} };
    document_with(title, header, main, script)
}

fn document_with(title: &str, header: Markup, main: Markup, scripts: Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) " · Camberwright" }
                link rel="stylesheet" href=(assets::style_address());
                link rel="icon" href=(assets::icon_address()) type="image/svg+xml";
                script src=(assets::script_address()) defer {}
                (scripts)
            }
            body {
                a.skip href="#content" { "Skip to the content" }
                (header)
                main id="content" { (main) }
                footer {
                    p {
                        "Wood dust, blades, machines and strings under tension can hurt: extract dust, guard "
                        "blades, protect eyes and lungs. Local codes and licensed practice come first; protected woods are a "
                        "matter for the law of the place."
                    }
                }
            }
        }
    }
}

/// The header of pages that belong to no commission.
pub(super) fn book_header(units: Units, here: &str) -> Markup {
    html! {
        header.top {
            a.mark href="/book" { "Camberwright" }
            nav aria-label="The book" {
                a href="/book" aria-current=[(here == "book").then_some("page")] { "Book" }
                a href="/tablet" aria-current=[(here == "tablet").then_some("page")] { "Tablet" }
                a href="/guide" aria-current=[(here == "guide").then_some("page")] { "Guide" }
            }
            (unit_choice(units, if here == "tablet" { "/tablet" } else { "/book" }))
        }
    }
}

/// A commission's page.
pub(super) fn commission(view: &View, page: PageName, asked: &Asked, content: Markup) -> Markup {
    let title = format!("{} · {}", view.entry.title, page.title());
    let main = html! {
        (board(view, page))
        div id="words" data-part aria-live="polite" {
            (notice(asked))
            (clash(view, page, asked))
            (faults(view))
        }
        p.print-head { (view.entry.title) " · " (page.title()) }
        div.content id=(format!("page-{}", page.address())) data-part { (content) (onward(view, page)) }
    };
    document(&title, header(view, page), main)
}

fn header(view: &View, page: PageName) -> Markup {
    let entry = &view.entry;
    let back = address(view, page);
    html! {
        header.top {
            a.home href="/book" { "‹ Book" }
            span.title { (entry.title) }
            // In a narrow window this fold, and nothing else, opens the way beside it.
            details.pages { summary { span.unseen { "Pages, now " } (page.title()) } }
            nav aria-label="The work" id="way" data-part {
                @for name in PageName::ALL {
                    a href=(address(view, name)) aria-current=[(name == page).then_some("page")] { (name.title()) }
                }
                a href=(format!("/commission/{}/history", entry.id)) { "History" }
                a href=(crate::guide::address(page.guide())) { "Guide" }
            }
            div.moves id="moves" data-part {
                (move_button(view, page, "undo", "Undo", entry.undo_what.as_deref()))
                (move_button(view, page, "redo", "Redo", entry.redo_what.as_deref()))
            }
            (unit_choice(view.units, &back))
        }
    }
}

/// The way on to the next page of the work, and what it is for.
fn onward(view: &View, page: PageName) -> Markup {
    let Some(next) = page.next() else {
        return html! {};
    };
    html! {
        nav.onward aria-label="Next page of the work" {
            a href=(address(view, next)) { "Next: " (next.title()) " ›" }
            span.faint { (next.purpose()) }
        }
    }
}

fn move_button(
    view: &View,
    page: PageName,
    action: &str,
    name: &str,
    what: Option<&str>,
) -> Markup {
    html! {
        form method="post" action=(format!("/commission/{}/{action}", view.entry.id)) data-follow {
            (hidden(view, page))
            button type="submit" disabled[what.is_none()] title=(what.unwrap_or("nothing to do")) { (name) }
        }
    }
}

fn unit_choice(units: Units, back: &str) -> Markup {
    html! {
        form.units method="post" action="/units" {
            input type="hidden" name="back" value=(back);
            label { span { "Lengths in" }
                select name="unit" data-send {
                    @for (name, words) in [("mm", "mm"), ("inch", "decimal inch"), ("fraction", "inch fractions")] {
                        option value=(name) selected[units.name() == name] { (words) }
                    }
                }
            }
            button.quiet type="submit" { "Show" }
        }
    }
}

/// The address of a page with the place pointed at.
pub(super) fn address(view: &View, page: PageName) -> String {
    format!(
        "/commission/{}/{}?fret={}&lane={}{}",
        view.entry.id,
        page.address(),
        view.pointed.fret,
        view.pointed.lane,
        on(view, page)
    )
}

/// The surface played on, as pages that play on one say it in their addresses.
pub(super) fn on(view: &View, page: PageName) -> String {
    match (&view.on, page) {
        (Some(on), PageName::Play | PageName::Fretwork) => {
            let plain: String = on
                .chars()
                .filter(|c| c.is_ascii_alphanumeric() || *c == '-')
                .collect();
            format!("&on={plain}")
        }
        _ => String::new(),
    }
}

/// What every form of a commission sends along: where it stands, and on which moment it builds.
pub(super) fn hidden(view: &View, page: PageName) -> Markup {
    html! {
        input type="hidden" name="based_on" value=(view.entry.revision);
        input type="hidden" name="page" value=(page.address());
        input type="hidden" name="fret" value=(view.pointed.fret);
        input type="hidden" name="lane" value=(view.pointed.lane);
        @if let Some(on) = &view.on { input type="hidden" name="on" value=(on); }
    }
}

fn board(view: &View, page: PageName) -> Markup {
    let Some(now) = &view.now else {
        return html! {};
    };
    html! {
        section.board.still[matches!(page, PageName::Text | PageName::Patterns)] aria-label="The board" data-lanes=(now.instrument.lanes.len())
            data-frets=(now.instrument.last_fret()) data-fret=(view.pointed.fret) data-lane=(view.pointed.lane) id="board" data-part {
            div.plan tabindex="0" role="group" id="plan"
                aria-label="Plan of the board: arrow keys move to the next fret or string" {
                (picture(&board_plan(&now.instrument, view.look()), "plan"))
            }
            (strip::strip(view, now, page))
        }
    }
}

fn notice(asked: &Asked) -> Markup {
    match &asked.notice {
        Some(Notice::Done(words)) => html! { p.notice { (words) } },
        Some(Notice::NotDone(words)) => {
            html! { p.notice.not-done role="alert" { strong { "Not done: " } (words) } }
        }
        None => html! {},
    }
}

fn clash(view: &View, page: PageName, asked: &Asked) -> Markup {
    let forms = ClashForms {
        base: &format!("/commission/{}", view.entry.id),
        here: &address(view, page),
        hidden: hidden(view, page),
    };
    match &asked.clash {
        Some(clash) => super::clash::clash(clash, &forms),
        None => html! {},
    }
}

fn faults(view: &View) -> Markup {
    if view.faults.is_empty() {
        return html! {};
    }
    let count = view.faults.0.len();
    html! {
        section.faults role="alert" {
            h2 { @if count == 1 { "One thing is wrong in this commission" } @else { (count) " things are wrong in this commission" } }
            ul {
                @for fault in &view.faults.0 {
                    li {
                        @if !fault.place.is_empty() { strong { (spoken_place(&fault.place)) } " — " }
                        (fault.message)
                        @if !fault.way_out.is_empty() { span.way-out { " — " (fault.way_out) } }
                        @if let Some(line) = fault.line { span.faint { " (line " (line) " of the text)" } }
                    }
                }
            }
            @if view.stale && view.now.is_some() {
                p { "What you typed is kept. The pictures and figures below show the last moment that was sound." }
            }
        }
    }
}
