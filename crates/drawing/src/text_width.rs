//! How wide a text prints, and where to break it into lines: the embedded font's own measures.
//!
//! The font is DejaVu Sans 2.37 (its licence lets it be embedded). Letters are set side by side
//! by their advance widths, without kerning or ligatures, so that a text measured here prints
//! exactly as wide.

use std::sync::LazyLock;

use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, GlyphId, MetadataProvider};

use crate::scene::Weight;

/// What a character is shown as when the font has no glyph for it.
const REPLACEMENT: char = '\u{FFFD}';

/// The font file for a weight.
pub(crate) fn font_data(weight: Weight) -> &'static [u8] {
    match weight {
        Weight::Regular => dejavu::sans::regular(),
        Weight::Bold => dejavu::sans::bold(),
    }
}

/// One letter as it is set: its glyph, and how far it moves the pen, in parts of the em.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Letter {
    pub(crate) glyph: GlyphId,
    pub(crate) advance_em: f64,
}

/// The letters of one weight; those of ASCII are kept at hand.
pub(crate) struct Letters {
    weight: Weight,
    ascii: Vec<Letter>,
}

static REGULAR: LazyLock<Letters> = LazyLock::new(|| Letters::new(Weight::Regular));
static BOLD: LazyLock<Letters> = LazyLock::new(|| Letters::new(Weight::Bold));

impl Letters {
    /// The letters of a weight.
    pub(crate) fn of(weight: Weight) -> &'static Self {
        match weight {
            Weight::Regular => &REGULAR,
            Weight::Bold => &BOLD,
        }
    }

    fn new(weight: Weight) -> Self {
        let ascii = (0..128_u8).map(|byte| look_up(weight, char::from(byte)));
        Self {
            weight,
            ascii: ascii.collect(),
        }
    }

    /// The letter for a character.
    pub(crate) fn letter(&self, character: char) -> Letter {
        match self.ascii.get(character as usize) {
            Some(letter) => *letter,
            None => look_up(self.weight, character),
        }
    }
}

/// A control character takes no room; one the font lacks is set as the replacement character.
fn look_up(weight: Weight, character: char) -> Letter {
    let nothing = Letter {
        glyph: GlyphId::new(0),
        advance_em: 0.0,
    };
    // The font is part of the program, so it is always read; its absence would cost the text.
    let Ok(font) = FontRef::new(font_data(weight)) else {
        return nothing;
    };
    if character.is_control() {
        return nothing;
    }
    let charmap = font.charmap();
    let glyph = charmap.map(character).or_else(|| charmap.map(REPLACEMENT));
    let glyph = glyph.unwrap_or_default();
    let metrics = font.glyph_metrics(Size::new(1.0), LocationRef::default());
    Letter {
        glyph,
        advance_em: f64::from(metrics.advance_width(glyph).unwrap_or(0.0)),
    }
}

/// The width of a line of text on paper, in mm, at an em size in mm.
///
/// Accuracy: exact for PDF; on screen the page's own font decides.
pub fn text_width_mm(text: &str, size_mm: f64, weight: Weight) -> f64 {
    let letters = Letters::of(weight);
    let width_em: f64 = text
        .chars()
        .map(|character| letters.letter(character).advance_em)
        .sum();
    width_em * size_mm
}

/// Breaks a text into lines no wider than a width in mm, at an em size in mm.
///
/// Lines break at spaces and wherever the text has a line end; a word wider than the line is
/// broken within. Every line holds at least one character, however narrow the width. No-break
/// spaces keep words together.
pub fn wrap_text(text: &str, size_mm: f64, weight: Weight, max_width_mm: f64) -> Vec<String> {
    let fits = |line: &str| text_width_mm(line, size_mm, weight) <= max_width_mm;
    text.lines()
        .flat_map(|paragraph| wrap_paragraph(paragraph, &fits))
        .collect()
}

fn wrap_paragraph(paragraph: &str, fits: &impl Fn(&str) -> bool) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in paragraph.split([' ', '\t']).filter(|word| !word.is_empty()) {
        let current = lines.last().map_or("", String::as_str);
        let joined = if current.is_empty() {
            word.to_owned()
        } else {
            format!("{current} {word}")
        };
        if fits(&joined) {
            lines.pop();
            lines.push(joined);
        } else {
            if current.is_empty() {
                lines.pop();
            }
            lines.extend(broken_word(word, fits));
        }
    }
    lines
}

/// A word cut into pieces that fit; in one piece if it fits whole.
fn broken_word(word: &str, fits: &impl Fn(&str) -> bool) -> Vec<String> {
    let mut pieces = vec![String::new()];
    for character in word.chars() {
        let longer = format!("{}{character}", pieces.last().map_or("", String::as_str));
        if longer.chars().count() == 1 || fits(&longer) {
            pieces.pop();
            pieces.push(longer);
        } else {
            pieces.push(character.to_string());
        }
    }
    pieces
}
