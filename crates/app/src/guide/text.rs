//! Markdown as it stands under `docs`, made into a page's markup.

use maud::{Markup, PreEscaped};
use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd, html};

/// The first heading of a text; empty when it has none.
pub fn heading(text: &str) -> &str {
    let line = text.lines().find_map(|line| line.strip_prefix("# "));
    line.unwrap_or_default()
}

/// The text as markup. Links between pages lead to their addresses in the program; links to
/// files that the program does not carry become plain words. HTML in the text, which is comments
/// for tests, is left out.
pub fn as_markup(text: &str) -> Markup {
    let mut in_plain_link = false;
    let events = Parser::new_ext(text, Options::ENABLE_TABLES).filter_map(|event| match event {
        Event::Html(_) | Event::InlineHtml(_) => None,
        Event::Start(Tag::Link {
            dest_url,
            link_type,
            title,
            id,
        }) => {
            let address = address_of(&dest_url);
            in_plain_link = address.is_none();
            let dest_url = address?.into();
            Some(Event::Start(Tag::Link {
                dest_url,
                link_type,
                title,
                id,
            }))
        }
        Event::End(TagEnd::Link) if in_plain_link => {
            in_plain_link = false;
            None
        }
        Event::Start(Tag::Image {
            dest_url,
            link_type,
            title,
            id,
        }) => {
            let name = dest_url.rsplit('/').next().unwrap_or_default();
            let dest_url = format!("/guide/pictures/{name}").into();
            Some(Event::Start(Tag::Image {
                dest_url,
                link_type,
                title,
                id,
            }))
        }
        other => Some(other),
    });
    let mut out = String::with_capacity(2 * text.len());
    html::push_html(&mut out, events);
    PreEscaped(in_boxes(&out))
}

/// Wide tables and texts as typed are scrolled in boxes of their own, which keys can reach.
fn in_boxes(html: &str) -> String {
    let boxed = |name: &str| {
        format!("<div class=\"scroller\" tabindex=\"0\" role=\"group\" aria-label=\"{name}\">")
    };
    html.replace("<table>", &format!("{}<table>", boxed("Table")))
        .replace("</table>", "</table></div>")
        .replace("<pre>", &format!("{}<pre>", boxed("Text as it is typed")))
        .replace("</pre>", "</pre></div>")
}

/// Where a link of a page under `docs` leads in the program; nothing for files that it does not
/// carry.
fn address_of(link: &str) -> Option<String> {
    if link.starts_with("https://") || link.starts_with('#') || link.starts_with('/') {
        return Some(link.to_owned());
    }
    let (path, part) = match link.split_once('#') {
        Some((path, part)) => (path, format!("#{part}")),
        None => (link, String::new()),
    };
    let name = path.rsplit('/').next()?.strip_suffix(".md")?;
    let page = super::page(name)?;
    Some(super::address(page.name) + &part)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn links_lead_to_pages_of_the_program_or_become_words() {
        let text = "[a](../computations/bends.md) [b](../../crates/app/src/lib.rs) [c](https://example.org/)";
        let html = as_markup(text).into_string();
        assert_eq!(
            html,
            "<p><a href=\"/guide/bends\">a</a> b <a href=\"https://example.org/\">c</a></p>\n"
        );
    }

    #[test]
    fn markup_in_a_text_does_not_reach_the_page() {
        let html = as_markup("a <script>alert(1)</script> b\n\n<!-- check -->\n").into_string();
        assert!(
            !html.contains("<script") && !html.contains("check"),
            "{html}"
        );
    }
}
