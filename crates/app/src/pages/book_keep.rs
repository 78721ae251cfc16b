//! What leaves the book and comes into it, on the page Book: the book as text, and its copies.

use std::path::PathBuf;

use maud::{Markup, html};

use crate::backups::{Copy, RULE};
use crate::show::moment;

/// The copies of the open book.
pub struct Copies {
    /// Where they lie.
    pub folder: PathBuf,
    /// The copies, newest first.
    pub copies: Vec<Copy>,
    /// Why the last one that was due could not be made.
    pub trouble: Option<String>,
}

/// How many copies are shown before the others are folded away.
const SHOWN: usize = 3;

/// Everything as text, out and in.
pub(super) fn carried() -> Markup {
    html! {
        section {
            h2 { "As text" }
            p {
                a href="/book/everything.zip" download data-work { "The whole book as plain texts" }
                " (zip): commissions, kits, histories, tags, stages done and readings, for any program to read and for another book to take in. "
                "A single one is taken out on its page History."
            }
            form.bring method="post" action="/book/bring" enctype="multipart/form-data" data-work {
                label for="bring" { "Take in a book as text (zip)" }
                input id="bring" type="file" name="carried" accept=".zip,application/zip" required;
                button type="submit" { "Take it in" }
            }
            p.faint { "What is taken in stands beside what is here: nothing is overwritten, and what is here just alike is not added again." }
        }
    }
}

/// The copies that the program made by itself.
pub(super) fn copies(copies: &Copies) -> Markup {
    let all = &copies.copies;
    html! {
        section id="copies" {
            h2 { "Copies" }
            @if let Some(why) = &copies.trouble {
                p.notice.not-done role="alert" { strong { "The last copy was not made: " } (why) }
            }
            p.faint { (RULE) " They lie in " span.path { (copies.folder.display()) } "; a copy on another disk is worth having too." }
            @if all.is_empty() { p.empty { "No copy yet." } } @else {
                (table(&all[..all.len().min(SHOWN)]))
                @if all.len() > SHOWN {
                    details { summary { (all.len() - SHOWN) " more" } (table(&all[SHOWN..])) }
                }
            }
            form.inline method="post" action="/book/copy-now" { button.quiet-shown type="submit" { "Make a copy now" } }
        }
    }
}

fn table(copies: &[Copy]) -> Markup {
    html! {
        table.entries.copies {
            thead { tr { th { "made" } th { "size" } th { span.unseen { "more" } } } }
            tbody { @for copy in copies { tr {
                td {
                    time { (moment(copy.at)) }
                    @if let Some(format) = copy.before_format { span.faint { " before the book's format " (format) " became newer" } }
                }
                td { (size(copy.bytes)) }
                td.row-buttons {
                    form.inline method="post" action="/book/restore" {
                        input type="hidden" name="copy" value=(copy.name);
                        button.quiet-shown type="submit" { "Make a new book of it" span.unseen { ": " (moment(copy.at)) } }
                    }
                }
            } } }
        }
    }
}

fn size(bytes: u64) -> String {
    let kilobytes = bytes as f64 / 1_000.0;
    if kilobytes < 1_000.0 {
        format!("{kilobytes:.0} kB")
    } else {
        format!("{:.1} MB", kilobytes / 1_000.0)
    }
}
