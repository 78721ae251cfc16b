//! The maker's page Tablet: opening the bench to tablets, inviting one, taking one away.

use std::net::IpAddr;

use maud::{Markup, html};

use super::Notice;
use super::layout::{book_header, document};
use crate::qr::qr_picture;
use crate::show::{Units, moment};

/// What the page shows.
pub struct TabletPage {
    /// How lengths are shown, for the head.
    pub units: Units,
    /// A word for the maker.
    pub notice: Option<Notice>,
    /// The addresses at which the bench can be opened, the likeliest first.
    pub addresses: Vec<IpAddr>,
    /// The port at which it is opened.
    pub port: u16,
    /// How it is open, if it is.
    pub open: Option<OpenBench>,
    /// Why it is closed, when that was not the maker's doing.
    pub closed: Option<String>,
    /// After so long without use it closes, in words.
    pub idle: String,
    /// So long an invitation holds, in words.
    pub code_lasts: String,
    /// For how long a tablet may stay paired: seconds, and in words.
    pub spans: Vec<(i64, String)>,
    /// The tablets that are paired.
    pub paired: Vec<PairedTablet>,
}

/// The bench while it is open.
pub struct OpenBench {
    /// Its address.
    pub address: String,
    /// Since when, in seconds since 1970.
    pub since: i64,
    /// What became of the invitation.
    pub invited: Invited,
}

/// An invitation on the maker's page.
pub enum Invited {
    /// There is none.
    Nobody,
    /// One waits for its tablet.
    Waiting {
        /// What is typed.
        code: String,
        /// What the QR code leads to.
        link: String,
        /// Until when it holds.
        ends_at: i64,
    },
    /// A tablet of that name came.
    Came(String),
    /// It met too many wrong tries.
    Spent,
    /// Its time was over.
    Over,
}

/// A paired tablet.
pub struct PairedTablet {
    /// What tells it apart.
    pub id: String,
    /// Its name.
    pub name: String,
    /// When it was paired.
    pub at: i64,
    /// Until when it stays so.
    pub ends_at: i64,
    /// When it was last seen.
    pub seen_at: i64,
}

/// The page.
pub fn tablet_page(page: &TabletPage) -> Markup {
    let main = html! {
        h1 { "The bench on a tablet" }
        p.lead { "A tablet or phone beside the work shows bench mode and takes readings, over the shop's own network." }
        div id="words" data-part aria-live="polite" { (notice(page)) }
        section id="opening" data-part {
            @match &page.open {
                Some(open) => (open_now(page, open)),
                None => (closed_now(page)),
            }
        }
        section id="invitation" data-part {
            @if let Some(open) = &page.open { (invitation(page, open)) }
        }
        section id="paired" data-part { (paired(page)) }
        (what_it_may())
    };
    document("Tablet", book_header(page.units, "tablet"), main)
}

fn notice(page: &TabletPage) -> Markup {
    match &page.notice {
        Some(Notice::Done(words)) => html! { p.notice { (words) } },
        Some(Notice::NotDone(words)) => {
            html! { p.notice.not-done role="alert" { strong { "Not done: " } (words) } }
        }
        None => html! {},
    }
}

fn closed_now(page: &TabletPage) -> Markup {
    html! {
        h2 { "Closed" }
        @if let Some(words) = &page.closed { p { (words) } }
        p { "No other device reaches this program. It is closed at every start, until you open it here." }
        (trust())
        @if page.addresses.is_empty() {
            p.notice.not-done {
                "This computer has no address in a private network just now, so that no tablet could reach it. Join the shop's network and look again, or name an address with "
                code { "--tablet-at" } " when you start the program."
            }
            p { a href="/tablet" { "Look again" } }
        } @else {
            form.opening method="post" action="/tablet/open" data-follow {
                (addresses(page))
                (spans(page))
                button.enter type="submit" { "Open the bench to tablets" }
            }
        }
    }
}

/// What the maker must know before opening, said where it is opened.
fn trust() -> Markup {
    html! {
        section.minded {
            h2 { "Before you open it" }
            ul {
                li { "Open it only in a network that you trust: the shop's own, with a password that you gave out yourself. Never in a guest, café or school network." }
                li { "What passes between this computer and a tablet is not encrypted. Somebody in the same network who listens can read it, and could act as your tablet while it is paired." }
                li { "Nothing goes to the internet, and nothing is loaded from there." }
            }
        }
    }
}

fn addresses(page: &TabletPage) -> Markup {
    let port = page.port;
    match page.addresses.as_slice() {
        [only] => html! {
            input type="hidden" name="address" value=(only);
            p { "It opens at " strong { (at(*only, port)) } ", this computer's address in the shop's network." }
        },
        several => html! {
            fieldset {
                legend { "At which address of this computer" }
                @for (index, address) in several.iter().enumerate() {
                    label.chosen {
                        input type="radio" name="address" value=(address) checked[index == 0];
                        (at(*address, port)) @if index == 0 { " (its usual network)" }
                    }
                }
            }
        },
    }
}

fn at(address: IpAddr, port: u16) -> String {
    std::net::SocketAddr::from((address, port)).to_string()
}

fn spans(page: &TabletPage) -> Markup {
    html! {
        label.place { "The tablet stays paired for"
            select name="lasts" {
                @for (seconds, words) in &page.spans { option value=(seconds) { (words) } }
            }
        }
    }
}

fn open_now(page: &TabletPage, open: &OpenBench) -> Markup {
    html! {
        h2 { "Open" }
        p { "Tablets reach the bench at " strong { (open.address) } " since " time { (moment(open.since)) } "." }
        p { "It closes by itself after " (page.idle) " without use, and when the program ends. What passes is not encrypted: only in a network that you trust." }
        form.inline method="post" action="/tablet/close" data-follow {
            button type="submit" { "Close the bench" }
        }
    }
}

fn invitation(page: &TabletPage, open: &OpenBench) -> Markup {
    html! {
        h2 { "Pair a tablet" }
        @match &open.invited {
            Invited::Waiting { code, link, ends_at } => (waiting(page, open, code, link, *ends_at)),
            Invited::Came(name) => p.notice { "Paired: " strong { (name) } ". Its invitation is used up." },
            Invited::Spent => p.notice.not-done role="alert" {
                "Too many wrong tries: that code no longer holds. If they were not yours, somebody else is in this network; close the bench."
            },
            Invited::Over => p { "The last code was not used within " (page.code_lasts) " and no longer holds." },
            Invited::Nobody => p { "A code pairs one tablet." },
        }
        form.opening method="post" action="/tablet/code" data-follow {
            (spans(page))
            button type="submit" {
                @if matches!(open.invited, Invited::Waiting { .. }) { "Another code in its place" } @else { "A code for a tablet" }
            }
        }
    }
}

fn waiting(page: &TabletPage, open: &OpenBench, code: &str, link: &str, ends_at: i64) -> Markup {
    let until = moment(ends_at);
    let until = until.split(' ').next_back().unwrap_or_default();
    html! {
        div.invited data-again {
            @match qr_picture(link, "QR code for the tablet's camera") {
                Ok(picture) => figure.code { (picture) figcaption { "Point the tablet's camera here" } },
                Err(words) => p { (words) },
            }
            div {
                p { "Or type on the tablet, in its browser:" }
                p.address { (open.address) }
                p { "and there this code:" }
                p.digits { (code) }
                p { "It holds once, until " time { (until) } " (" (page.code_lasts) "), and for five tries." }
            }
        }
    }
}

fn paired(page: &TabletPage) -> Markup {
    html! {
        h2 { "Paired tablets" }
        @if page.paired.is_empty() {
            p { "None." }
        } @else {
            div.scroller tabindex="0" role="group" aria-label="Paired tablets" {
                table.entries {
                    thead { tr { th { "tablet" } @for head in ["paired", "last seen", "until", "more"] { th { span.unseen { (head) } } } } }
                    tbody { @for tablet in &page.paired { (row(tablet)) } }
                }
            }
            @if page.paired.len() > 1 {
                form.inline method="post" action="/tablet/part" data-follow {
                    input type="hidden" name="tablet" value="all";
                    button type="submit" { "Take all of them away" }
                }
            }
        }
    }
}

fn row(tablet: &PairedTablet) -> Markup {
    html! {
        tr {
            th scope="row" { (tablet.name) }
            // The words stand in the row, because on a narrow page the heads do not.
            td { "paired " time { (moment(tablet.at)) } }
            td { "last seen " time { (moment(tablet.seen_at)) } }
            td { "until " time { (moment(tablet.ends_at)) } }
            td.row-buttons {
                form.inline method="post" action="/tablet/part" data-follow {
                    input type="hidden" name="tablet" value=(tablet.id);
                    button type="submit" aria-label=(format!("Take away {}", tablet.name)) { "Take away" }
                }
            }
        }
    }
}

fn what_it_may() -> Markup {
    html! {
        section {
            h2 { "What a paired tablet may do" }
            ul {
                li { "Show bench mode of every commission that is not put away." }
                li { "Enter readings after a stage, and log a stage as done." }
                li { "Nothing else: it changes no commission and no kit, sets nothing aside, exports nothing, opens and pairs nothing." }
            }
            p { "The book keeps no secret of a tablet, only a print that recognizes it. A tablet that was lost is taken away here, and is out at once." }
        }
    }
}
