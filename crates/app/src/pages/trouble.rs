//! Pages for when something is not as it should be.

use maud::{Markup, html};

use super::layout::{book_header, document};
use crate::show::Units;
use crate::view::View;

/// A whole page that says what is wrong and what to do.
pub fn trouble_page(title: &str, words: &str, way_out: &str, way_address: &str) -> Markup {
    let main = html! {
        section.empty {
            h1 { (title) }
            p { (words) }
            p { a href=(way_address) { (way_out) } }
        }
    };
    document(title, book_header(Units::default(), ""), main)
}

/// A commission that has never been sound: nothing can be drawn yet.
pub(super) fn no_sound_moment(view: &View) -> Markup {
    html! {
        section.empty {
            h1 { (view.entry.title) }
            p { "This commission has not been sound yet, so there is nothing to draw. What is wrong is listed above." }
            p { a href=(format!("/commission/{}/text", view.entry.id)) { "Mend it as text" } }
        }
    }
}
