//! The page Text: the commission as the maker's own file.

use maud::{Markup, html};

use super::PageName;
use super::layout::hidden;
use crate::view::View;

/// The page's content.
pub(super) fn content(view: &View) -> Markup {
    html! {
        h1 { "Text" }
        p.lead {
            "The commission as a file, with its comments. Pages change single values in it and leave all else as it is. "
            a href=(format!("/commission/{}/commission.toml", view.entry.id)) { "Save a copy" }
        }
        form.whole-text method="post" action=(format!("/commission/{}/text", view.entry.id)) {
            (hidden(view, PageName::Text))
            label for="whole-text" { "The whole text" }
            textarea id="whole-text" name="text" rows="40" spellcheck="false" { (view.text) }
            button type="submit" { "Store this text" }
        }
    }
}
