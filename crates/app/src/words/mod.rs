//! The words beside every deciding figure: what it means, why it matters, how it is computed, and
//! how sure it is. Pages, the guide's list and its test read this one place.

mod at_the_bench;
mod design;
mod playing;

pub use at_the_bench::*;
pub use design::*;
pub use playing::*;

/// What is said of one figure.
#[derive(Debug)]
pub struct Words {
    /// Its name on the page.
    pub name: &'static str,
    /// What it is, in half a sentence.
    pub means: &'static str,
    /// Why a maker looks at it.
    pub why: &'static str,
    /// How it is computed, with its source.
    pub how: &'static str,
    /// How sure it is.
    pub sure: &'static str,
    /// The page under `docs/computations` that works it out, without its ending.
    pub computation: &'static str,
}

/// All figures by the page that shows them, in the order of the work.
pub const ALL: [(&str, &[&Words]); 7] = [
    (
        "Wish",
        &[
            &STRINGS_TOGETHER,
            &ACTION_WISHED,
            &LEAST_AIR_PLANNED,
            &BEND_WISHED,
        ],
    ),
    (
        "Board",
        &[
            &LEAST_MARGIN,
            &THINNEST_EDGE,
            &WOOD_UNDER_SLOTS,
            &BOARDS_END,
        ],
    ),
    (
        "Camber",
        &[
            &EDGE_DROP_AT_NUT,
            &EDGE_DROP_AT_LAST_FRET,
            &WOOD_ABOVE_CAMBER,
            &GREATEST_HUMP,
            &APEX_OF_CONE,
            &LANES_MEET,
        ],
    ),
    (
        "Bench plan",
        &[
            &BLANK_TO_BEGIN_WITH,
            &FINISHED_CROWN,
            &BLOCKS_LEAVE,
            &BLOCKS_LEAVE_IN_ALL,
            &RUBBING_TIME,
        ],
    ),
    (
        "Readings",
        &[
            &STAGE_VERDICT,
            &STANDS_OUT,
            &MAY_STAND_OUT,
            &LET_PASS,
            &TAKE_OFF_AT_MOST,
        ],
    ),
    (
        "Fretwork",
        &[&SEAT_FIRST, &FILE_OFF, &TANG_IN_SLOT, &BEND_THE_WIRE],
    ),
    (
        "Play",
        &[&LEAST_AIR, &FIRST_BEND_TO_END, &LOWEST_ACTION, &OUT_OF_TUNE],
    ),
];

/// The list of all figures as a page of the guide, in Markdown.
pub fn list_as_text() -> String {
    let mut text = String::from(
        "# Every figure in words\n\nWhat each deciding figure means, why it matters, how it is computed and how sure it is.\nThe pages say the same beside the figure, under *why and how*.\n",
    );
    for (page, figures) in ALL {
        text += &format!("\n## {page}\n");
        for words in figures {
            text += &format!(
                "\n### {}\n\n{}.\n\n- *Why it matters*: {}\n- *How it is computed*: {} The whole of it: [{computation}](../computations/{computation}.md).\n- *How sure it is*: {}\n",
                words.name,
                capital(words.means),
                words.why,
                words.how,
                words.sure,
                computation = words.computation,
            );
        }
    }
    text
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next();
    first
        .into_iter()
        .flat_map(char::to_uppercase)
        .chain(letters)
        .collect()
}
