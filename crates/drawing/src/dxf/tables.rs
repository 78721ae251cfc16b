//! What every DXF file of R2000 must hold besides its drawing: header, tables, blocks, objects.

use super::tags::{Handle, Tags};
use crate::path::Point;
use crate::scene::{Dash, Scene, Weight};

/// The two block records that every drawing has.
pub(super) struct Spaces {
    /// What is drawn belongs to this one.
    pub model: Handle,
    /// The sheet of the other program; empty.
    pub paper: Handle,
}

/// Broken lines, under names of our own.
const DASHES: [Dash; 3] = [Dash::Dashed, Dash::Dotted, Dash::Chain];

/// The longest layer name that is kept whole; the format allows 255 characters.
const LONGEST_NAME: usize = 200;

/// The line type of a broken line, defined for a line 1 mm wide.
pub(super) const fn line_type_name(dash: Dash) -> &'static str {
    match dash {
        Dash::Dashed => "DASHED",
        Dash::Dotted => "DOTTED",
        Dash::Chain => "CHAIN",
    }
}

/// The text style of a weight.
pub(super) const fn style_name(weight: Weight) -> &'static str {
    match weight {
        Weight::Regular => "Standard",
        Weight::Bold => "Bold",
    }
}

/// A name for each layer of a scene that DXF allows and no other layer has.
pub(super) fn layer_names(scene: &Scene) -> Vec<String> {
    // The first is the layer every file has; a layer of the second name would not be printed.
    let mut taken = vec!["0".to_owned(), "defpoints".to_owned()];
    let safe = |character: char| {
        let is_safe = character.is_ascii_alphanumeric() || "-_".contains(character);
        if is_safe { character } else { '-' }
    };
    let mut names = Vec::with_capacity(scene.layers.len());
    for layer in &scene.layers {
        let name: String = layer.name.chars().take(LONGEST_NAME).map(safe).collect();
        let name = if name.is_empty() {
            "layer".to_owned()
        } else {
            name
        };
        let numbered = (2_usize..).map(|number| format!("{name}-{number}"));
        // Names are compared without regard to capitals.
        let is_free = |name: &String| !taken.contains(&name.to_ascii_lowercase());
        let free = std::iter::once(name.clone()).chain(numbered).find(is_free);
        let name = free.unwrap_or(name);
        taken.push(name.to_ascii_lowercase());
        names.push(name);
    }
    names
}

/// The header. It comes first in the file and is written last, when extent and handles are known.
pub(super) fn write_header(scene: &Scene, reached: Option<(Point, Point)>, body: &Tags) -> String {
    let sheet = (
        Point::default(),
        Point::new(scene.width_mm, scene.height_mm),
    );
    let (low, high) = reached.unwrap_or(sheet);
    let mut tags = Tags::new();
    let variable = |tags: &mut Tags, name: &str| tags.text(9, name);
    tags.open_section("HEADER");
    variable(&mut tags, "$ACADVER");
    tags.text(1, "AC1015");
    variable(&mut tags, "$DWGCODEPAGE");
    tags.text(3, "ANSI_1252");
    for (name, corner) in [("$EXTMIN", low), ("$EXTMAX", high)] {
        variable(&mut tags, name);
        tags.point(10, corner);
    }
    for (name, corner) in [("$LIMMIN", sheet.0), ("$LIMMAX", sheet.1)] {
        variable(&mut tags, name);
        tags.real(10, corner.x);
        tags.real(20, corner.y);
    }
    for name in ["$LTSCALE", "$CELTSCALE"] {
        variable(&mut tags, name);
        tags.real(40, 1.0);
    }
    // 4: millimetres; 1: metric line types.
    for (name, value) in [("$INSUNITS", 4), ("$MEASUREMENT", 1)] {
        variable(&mut tags, name);
        tags.whole(70, value);
    }
    variable(&mut tags, "$HANDSEED");
    tags.handle(5, body.next_handle());
    tags.close_section();
    tags.open_section("CLASSES");
    tags.close_section();
    tags.into_text()
}

/// The tables, in the order of the format's description.
pub(super) fn write_tables(tags: &mut Tags, layers: &[String]) -> Spaces {
    tags.open_section("TABLES");
    write_view_port(tags);
    write_line_types(tags);
    write_layers(tags, layers);
    write_styles(tags);
    for name in ["VIEW", "UCS"] {
        open_table(tags, name, 0);
        close_table(tags);
    }
    let table = open_table(tags, "APPID", 1);
    symbol(tags, "APPID", table, "AcDbRegAppTableRecord", "ACAD");
    tags.whole(70, 0);
    close_table(tags);
    write_dimension_style(tags);
    let table = open_table(tags, "BLOCK_RECORD", 2);
    let [model, paper] = ["*Model_Space", "*Paper_Space"]
        .map(|name| symbol(tags, "BLOCK_RECORD", table, "AcDbBlockTableRecord", name));
    close_table(tags);
    tags.close_section();
    Spaces { model, paper }
}

fn open_table(tags: &mut Tags, name: &str, entries: usize) -> Handle {
    tags.text(0, "TABLE");
    tags.text(2, name);
    let handle = tags.table_handle();
    tags.text(100, "AcDbSymbolTable");
    tags.whole(70, entries);
    handle
}

fn close_table(tags: &mut Tags) {
    tags.text(0, "ENDTAB");
}

/// Begins an entry of a table.
fn symbol(tags: &mut Tags, kind: &str, table: Handle, class: &str, name: &str) -> Handle {
    let handle = tags.record(kind, table);
    describe(tags, class, name);
    handle
}

fn describe(tags: &mut Tags, class: &str, name: &str) {
    tags.text(100, "AcDbSymbolTableRecord");
    tags.text(100, class);
    tags.text(2, name);
}

/// One view of the model from above, as large as a sheet of A4 lying.
fn write_view_port(tags: &mut Tags) {
    let table = open_table(tags, "VPORT", 1);
    symbol(tags, "VPORT", table, "AcDbViewportTableRecord", "*ACTIVE");
    tags.whole(70, 0);
    // Lower left and upper right corner of the window, its middle, snap, grid.
    let corners = [
        (10, 0.0, 0.0),
        (11, 1.0, 1.0),
        (12, 148.5, 105.0),
        (13, 0.0, 0.0),
        (14, 10.0, 10.0),
        (15, 10.0, 10.0),
    ];
    for (code, x, y) in corners {
        tags.real(code, x);
        tags.real(code + 10, y);
    }
    tags.axis(16);
    tags.point(17, Point::default());
    // Height of the view, its sides' ratio, lens.
    for (code, value) in [(40, 210.0), (41, 297.0 / 210.0), (42, 50.0)] {
        tags.real(code, value);
    }
    close_table(tags);
}

fn write_line_types(tags: &mut Tags) {
    let table = open_table(tags, "LTYPE", 3 + DASHES.len());
    for (name, words) in [
        ("ByBlock", ""),
        ("ByLayer", ""),
        ("Continuous", "Unbroken line"),
    ] {
        line_type(tags, table, name, words, &[]);
    }
    for dash in DASHES {
        let words = match dash {
            Dash::Dashed => "Dashes",
            Dash::Dotted => "Dots",
            Dash::Chain => "Long dashes and dots, for centrelines",
        };
        line_type(
            tags,
            table,
            line_type_name(dash),
            words,
            &dash.lengths_mm(1.0),
        );
    }
    close_table(tags);
}

/// A line type; lengths drawn and left out in turn, in mm.
fn line_type(tags: &mut Tags, table: Handle, name: &str, words: &str, lengths_mm: &[f64]) {
    symbol(tags, "LTYPE", table, "AcDbLinetypeTableRecord", name);
    tags.whole(70, 0);
    tags.text(3, words);
    // 65, the letter A: the pattern is fitted to the line's ends.
    tags.whole(72, 65);
    tags.whole(73, lengths_mm.len());
    tags.real(40, lengths_mm.iter().sum());
    for (index, length_mm) in lengths_mm.iter().enumerate() {
        // Lengths left out are negative.
        let sign = if index % 2 == 0 { 1.0 } else { -1.0 };
        tags.real(49, sign * length_mm);
        tags.whole(74, 0);
    }
}

fn write_layers(tags: &mut Tags, layers: &[String]) {
    let table = open_table(tags, "LAYER", 1 + layers.len());
    for name in std::iter::once("0").chain(layers.iter().map(String::as_str)) {
        symbol(tags, "LAYER", table, "AcDbLayerTableRecord", name);
        tags.whole(70, 0);
        // 7: black on a light ground and white on a dark one.
        tags.whole(62, 7);
        tags.text(6, "Continuous");
    }
    close_table(tags);
}

fn write_styles(tags: &mut Tags) {
    let fonts = [
        (Weight::Regular, "DejaVuSans.ttf"),
        (Weight::Bold, "DejaVuSans-Bold.ttf"),
    ];
    let table = open_table(tags, "STYLE", fonts.len());
    for (weight, font) in fonts {
        let name = style_name(weight);
        symbol(tags, "STYLE", table, "AcDbTextStyleTableRecord", name);
        tags.whole(70, 0);
        // Height (0: each text has its own), width, slant.
        for (code, value) in [(40, 0.0), (41, 1.0), (50, 0.0)] {
            tags.real(code, value);
        }
        tags.whole(71, 0);
        tags.real(42, 2.5);
        tags.text(3, font);
        tags.text(4, "");
    }
    close_table(tags);
}

fn write_dimension_style(tags: &mut Tags) {
    let table = open_table(tags, "DIMSTYLE", 1);
    tags.text(100, "AcDbDimStyleTable");
    tags.whole(71, 0);
    tags.record_under(105, "DIMSTYLE", table);
    describe(tags, "AcDbDimStyleTableRecord", "Standard");
    tags.whole(70, 0);
    close_table(tags);
}

/// The two spaces as blocks without content of their own.
pub(super) fn write_blocks(tags: &mut Tags, spaces: &Spaces) {
    tags.open_section("BLOCKS");
    for (owner, name) in [
        (spaces.model, "*Model_Space"),
        (spaces.paper, "*Paper_Space"),
    ] {
        let entity = |tags: &mut Tags, kind: &str, class: &str| {
            tags.record(kind, owner);
            tags.text(100, "AcDbEntity");
            tags.text(8, "0");
            tags.text(100, class);
        };
        entity(tags, "BLOCK", "AcDbBlockBegin");
        tags.text(2, name);
        tags.whole(70, 0);
        tags.point(10, Point::default());
        tags.text(3, name);
        tags.text(1, "");
        entity(tags, "ENDBLK", "AcDbBlockEnd");
    }
    tags.close_section();
}

/// The root dictionary, and in it the dictionary of groups, which is empty.
pub(super) fn write_objects(tags: &mut Tags) {
    tags.open_section("OBJECTS");
    let root = tags.record("DICTIONARY", Handle::NONE);
    tags.text(100, "AcDbDictionary");
    tags.whole(281, 1);
    tags.text(3, "ACAD_GROUP");
    tags.handle(350, tags.next_handle());
    tags.record("DICTIONARY", root);
    tags.text(100, "AcDbDictionary");
    tags.whole(281, 1);
    tags.close_section();
}
