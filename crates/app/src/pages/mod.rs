//! The pages, as functions from a view to markup.

mod bench_mode;
mod bench_plan;
mod board;
mod book;
mod book_find;
mod book_keep;
mod camber;
mod cambers;
mod clash;
mod compare;
mod fields;
mod fretwork;
mod guide;
mod history;
mod kit;
mod layout;
mod measured_pictures;
mod next_step;
mod patterns;
mod play;
mod reading_entry;
mod reading_list;
mod readings;
mod strip;
mod tablet;
mod tablet_side;
mod text;
mod trouble;
mod verdict;
mod wish;

pub use self::bench_mode::bench_page;
pub use self::bench_plan::tool_of;
pub use self::book::{BookPage, Listed, book_page};
pub use self::book_keep::Copies;
pub use self::cambers::cambers_part;
pub use self::clash::Clash;
pub use self::compare::{Compared, Side, compare_page};
pub(crate) use self::patterns::subject as pattern_subject;
pub use self::patterns::{programs_page, programs_part, refused_page};
pub use self::play::{chances_part, helps_part, players_part};
pub use guide::{guide_contents, guide_text};
pub use history::history_page;
pub use kit::{KitView, kit_page};
pub(crate) use measured_pictures::departure as departure_map_of;
pub(crate) use next_step::step_picture;
pub use tablet::{Invited, OpenBench, PairedTablet, TabletPage, tablet_page};
pub use tablet_side::{choose_page, pair_page, tablet_trouble_page};
pub use trouble::trouble_page;

use maud::{Markup, html};

use crate::view::{Mend, View};
use crate::words::Words;

/// The pages of a commission, in the order of the work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PageName {
    /// What the player asked for.
    Wish,
    /// Scale, lanes, outline, slots.
    Board,
    /// The arch.
    Camber,
    /// The ordered work.
    BenchPlan,
    /// What the wood is now.
    Readings,
    /// Seating, levelling, nut, saddle.
    Fretwork,
    /// Buzz, bends, lowest set-up, tuning, chances.
    Play,
    /// Patterns and files: paper, saw, router, CAD.
    Patterns,
    /// The commission as text.
    Text,
}

impl PageName {
    /// All of them, in order.
    pub const ALL: [PageName; 9] = [
        PageName::Wish,
        PageName::Board,
        PageName::Camber,
        PageName::BenchPlan,
        PageName::Readings,
        PageName::Fretwork,
        PageName::Play,
        PageName::Patterns,
        PageName::Text,
    ];

    /// The last part of its address.
    pub fn address(self) -> &'static str {
        match self {
            PageName::Wish => "wish",
            PageName::Board => "board",
            PageName::Camber => "camber",
            PageName::BenchPlan => "bench-plan",
            PageName::Readings => "readings",
            PageName::Fretwork => "fretwork",
            PageName::Play => "play",
            PageName::Patterns => "patterns",
            PageName::Text => "text",
        }
    }

    /// The page with that address.
    pub fn from_address(address: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|page| page.address() == address)
    }

    /// The page that comes next in the work.
    pub fn next(self) -> Option<Self> {
        let here = Self::ALL.iter().position(|page| *page == self)?;
        let next = Self::ALL.get(here + 1).copied();
        next.filter(|page| *page != PageName::Text)
    }

    /// What it is for, in a few words.
    pub fn purpose(self) -> &'static str {
        match self {
            PageName::Wish => "what the player asked for",
            PageName::Board => "scale, outline, wood and wire",
            PageName::Camber => "the arch, chosen by what it does",
            PageName::BenchPlan => "which tool, where, how far, when to stop",
            PageName::Readings => "what the wood is now, and what next",
            PageName::Fretwork => "which frets are seated, what is filed off, nut and saddle",
            PageName::Play => "whether the wish is granted, and what would help",
            PageName::Patterns => "paper, CAD, machine and jigs at true size",
            PageName::Text => "the commission as it is kept",
        }
    }

    /// The page of the guide that goes with it.
    pub fn guide(self) -> &'static str {
        match self {
            PageName::Wish | PageName::Board => "wish-and-board",
            PageName::Camber => "choosing-a-camber",
            PageName::BenchPlan => "at-the-bench",
            PageName::Readings => "reading-the-wood",
            PageName::Fretwork | PageName::Play => "fretwork-and-play",
            PageName::Patterns => "patterns-and-files",
            PageName::Text => "keeping-the-book",
        }
    }

    /// Its name for people.
    pub fn title(self) -> &'static str {
        match self {
            PageName::Wish => "Wish",
            PageName::Board => "Board",
            PageName::Camber => "Camber",
            PageName::BenchPlan => "Bench plan",
            PageName::Readings => "Readings",
            PageName::Fretwork => "Fretwork",
            PageName::Play => "Play",
            PageName::Patterns => "Patterns",
            PageName::Text => "Text",
        }
    }
}

/// What a page is asked to show besides the commission.
#[derive(Clone, Debug, Default)]
pub struct Asked {
    /// The stage that is opened on the bench plan, by its key.
    pub stage: Option<String>,
    /// A word for the maker: what was done, or why it was not.
    pub notice: Option<Notice>,
    /// Where another window contradicts what was sent.
    pub clash: Option<Clash>,
    /// The field to be mended at once.
    pub mend: Option<Mend>,
    /// What was typed for the log of the opened stage and not taken in.
    pub log: TypedLog,
    /// The visit whose readings are shown, by its number in the book; the last when not given.
    pub visit: Option<i64>,
    /// Fields of a reading's form as they were left, by name.
    pub typed: Vec<(String, String)>,
    /// True when some lines pasted are sound and others are not.
    pub may_keep_sound: bool,
    /// The pattern that is shown, by its word.
    pub pattern: Option<String>,
    /// How patterns are printed; the usual way when not given.
    pub printing: Option<crate::made::Printing>,
    /// A key that no form before had: what is sent twice is entered once.
    pub fresh_key: String,
    /// True when a tablet asks, which knows bench mode only.
    pub on_tablet: bool,
}

/// What a maker typed to log a stage.
#[derive(Clone, Debug, Default)]
pub struct TypedLog {
    /// The minutes, as typed.
    pub minutes: String,
    /// The note.
    pub note: String,
}

/// A word for the maker at the top of a page.
#[derive(Clone, Debug)]
pub enum Notice {
    /// Something was done.
    Done(String),
    /// Something was not done, and why.
    NotDone(String),
}

/// Two parts of a page made at the same time, for what takes longest.
fn side_by_side(
    first: impl FnOnce() -> Markup,
    second: impl FnOnce() -> Markup + Send,
) -> (Markup, Markup) {
    std::thread::scope(|scope| {
        let second = scope.spawn(second);
        let first = first();
        let second = second.join();
        (
            first,
            second.unwrap_or_else(|panic| std::panic::resume_unwind(panic)),
        )
    })
}

/// A page of a commission.
pub fn commission_page(view: &View, page: PageName, asked: &Asked) -> Markup {
    let content = match (&view.now, page) {
        (_, PageName::Text) => text::content(view),
        (None, _) => trouble::no_sound_moment(view),
        (Some(now), PageName::Wish) => wish::content(view, now),
        (Some(now), PageName::Board) => board::content(view, now),
        (Some(now), PageName::Camber) => camber::content(view, now),
        (Some(now), PageName::BenchPlan) => bench_plan::content(view, now, asked),
        (Some(now), PageName::Readings) => readings::content(view, now, asked),
        (Some(now), PageName::Fretwork) => fretwork::content(view, now, asked),
        (Some(now), PageName::Play) => play::content(view, now),
        (Some(now), PageName::Patterns) => patterns::content(view, now, asked),
    };
    layout::commission(view, page, asked, content)
}

/// A picture with its name, written for a page: it follows the page's colours.
pub(crate) fn picture(scene: &drawing::Scene, id: &str) -> Markup {
    let options = drawing::SvgOptions {
        id_prefix: id.to_owned(),
        ..Default::default()
    };
    html! {
        figure.picture id=(format!("picture-{id}")) data-part {
            div.scroller tabindex="0" role="group" aria-label=(scene.title) {
                (maud::PreEscaped(drawing::write_svg(scene, &options)))
            }
        }
    }
}

/// A deciding figure: its name, its value, and a word on what it means; unfolded, why it matters,
/// how it is computed and how sure it is.
pub(crate) fn figure(words: &Words, value: Markup) -> Markup {
    figure_saying(words, value, words.means)
}

/// The same with a meaning that names the limits of this commission.
pub(crate) fn figure_saying(words: &Words, value: Markup, meaning: &str) -> Markup {
    html! {
        div.figure {
            dt { (words.name) }
            dd.value { (value) }
            dd.meaning { (meaning) }
            dd.more {
                details {
                    summary { "why and how" span.unseen { ": " (words.name) } }
                    p { strong { "Why: " } (words.why) }
                    p { strong { "How: " } (words.how) " " a href=(crate::guide::address(words.computation)) { "Worked out" } }
                    p { strong { "How sure: " } (words.sure) }
                }
            }
        }
    }
}
