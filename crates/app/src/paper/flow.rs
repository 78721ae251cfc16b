//! Words and pictures flowing down sheets of paper: what every paper of the bench is set with.

use drawing::{
    Anchor, Ink, Item, Page, Paper, Path, Point, Scene, Weight, text_width_mm, wrap_text,
};

/// Margin around the sheet, mm.
pub(super) const MARGIN_MM: f64 = 14.0;
/// Size of running words, mm.
pub(super) const WORDS_MM: f64 = 3.1;
/// From line to line, mm.
pub(super) const LINE_MM: f64 = 4.3;

/// Words and pictures flowing down sheets of paper.
pub(super) struct Flow {
    paper: Paper,
    title: String,
    what: &'static str,
    pages: Vec<Scene>,
    pub y: f64,
    /// Where words begin, mm from the sheet's left edge.
    left_mm: f64,
    /// How wide words and pictures run, mm.
    width_mm: f64,
    /// Where the sheet is full, mm from its top; endless while a block is kept together.
    full_mm: f64,
}

/// Size of the title, mm.
const TITLE_MM: f64 = 6.0;
/// Clear width between two columns, mm.
const BETWEEN_MM: f64 = 6.0;
/// Size of the note beside a picture, and from line to line, mm.
const NOTE_MM: (f64, f64) = (2.3, 3.2);

impl Flow {
    pub fn new(paper: Paper, title: &str, what: &'static str) -> Self {
        let mut flow = Self {
            paper,
            title: title.to_owned(),
            what,
            pages: Vec::new(),
            y: 0.0,
            left_mm: MARGIN_MM,
            width_mm: paper.width_mm() - 2.0 * MARGIN_MM,
            full_mm: paper.height_mm() - MARGIN_MM - 4.0,
        };
        flow.new_page();
        flow
    }

    fn new_page(&mut self) {
        let name = format!("Sheet {}", self.pages.len() + 1);
        self.pages.push(Scene::new(
            self.paper.width_mm(),
            self.paper.height_mm(),
            name,
            self.what,
        ));
        self.y = MARGIN_MM;
    }

    pub fn page(&mut self) -> &mut Scene {
        if self.pages.is_empty() {
            self.new_page();
        }
        let last = self.pages.len() - 1;
        &mut self.pages[last]
    }

    pub fn width(&self) -> f64 {
        self.width_mm
    }

    /// Where words begin, mm from the sheet's left edge.
    pub fn left(&self) -> f64 {
        self.left_mm
    }

    /// Begins a new sheet when less than `height_mm` is left on this one.
    pub fn room(&mut self, height_mm: f64) {
        if self.y + height_mm > self.full_mm && self.y > MARGIN_MM + 1.0 {
            self.new_page();
        }
    }

    /// Draws a block on one sheet, unless it is longer than a sheet.
    pub fn together(&mut self, draw: impl Fn(&mut Self)) {
        let height = self.height_of(self.width_mm, &draw);
        if height > self.sheet_mm() {
            draw(self);
            return;
        }
        self.room(height);
        self.unbroken(|flow| draw(flow));
    }

    /// Draws two blocks beside one another on one sheet; one after the other where either would
    /// be longer than a sheet.
    pub fn side_by_side(&mut self, first: impl Fn(&mut Self), second: impl Fn(&mut Self)) {
        let (left, width) = (self.left_mm, self.width_mm);
        let half = 0.5 * (width - BETWEEN_MM);
        let height = self
            .height_of(half, &first)
            .max(self.height_of(half, &second));
        if height > self.sheet_mm() {
            first(self);
            second(self);
            return;
        }
        self.room(height);
        let top = self.y;
        self.width_mm = half;
        self.unbroken(|flow| first(flow));
        let foot = self.y;
        self.y = top;
        self.left_mm = left + half + BETWEEN_MM;
        self.unbroken(|flow| second(flow));
        self.y = self.y.max(foot);
        (self.left_mm, self.width_mm) = (left, width);
    }

    /// How much of a sheet can be filled, mm.
    fn sheet_mm(&self) -> f64 {
        self.full_mm - MARGIN_MM
    }

    fn unbroken(&mut self, draw: impl Fn(&mut Self)) {
        let full = std::mem::replace(&mut self.full_mm, f64::INFINITY);
        draw(self);
        self.full_mm = full;
    }

    /// The height of a block, found by drawing it on a sheet without end.
    fn height_of(&self, width_mm: f64, draw: impl Fn(&mut Self)) -> f64 {
        let mut endless = Self::new(self.paper, "", "");
        endless.width_mm = width_mm;
        endless.full_mm = f64::INFINITY;
        draw(&mut endless);
        endless.y - MARGIN_MM
    }

    pub fn wrapped(&self, text: &str, indent: f64) -> Vec<String> {
        wrap_text(text, WORDS_MM, Weight::Regular, self.width() - indent)
    }

    pub fn line(&mut self, text: &str, size_mm: f64, weight: Weight, indent: f64) {
        self.y += size_mm * 1.4;
        let at = Point::new(self.left_mm + indent, self.y);
        self.page()
            .layer("words")
            .add(Item::text(at, text, size_mm, Ink::Text).weighted(weight));
    }

    pub fn title(&mut self, text: &str) {
        for line in wrap_text(text, TITLE_MM, Weight::Bold, self.width_mm) {
            self.line(&line, TITLE_MM, Weight::Bold, 0.0);
        }
        self.y += 2.0;
    }

    pub fn heading(&mut self, text: &str) {
        self.room(24.0);
        self.y += 4.0;
        self.line(text, 4.2, Weight::Bold, 0.0);
        self.y += 1.0;
    }

    /// A heading is kept with its picture.
    pub fn headed_picture(&mut self, text: &str, scene: &Scene) {
        self.room(14.0 + self.width() / scene.width_mm * scene.height_mm);
        self.heading(text);
        self.picture(scene);
    }

    pub fn words(&mut self, text: &str, indent: f64) {
        for line in self.wrapped(text, indent) {
            self.room(LINE_MM);
            self.y += LINE_MM;
            let at = Point::new(self.left_mm + indent, self.y);
            self.page()
                .layer("words")
                .add(Item::text(at, line, WORDS_MM, Ink::Text));
        }
    }

    pub fn named(&mut self, name: &str, text: &str, indent: f64) {
        let at = Point::new(self.left_mm, self.y + LINE_MM);
        self.page()
            .layer("words")
            .add(Item::text(at, name, WORDS_MM, Ink::Text).weighted(Weight::Bold));
        self.words(text, indent);
    }

    pub fn columns(&mut self, starts: &[f64], cells: &[&str], weight: Weight) {
        self.room(LINE_MM);
        self.y += LINE_MM;
        for (start, cell) in starts.iter().zip(cells) {
            let at = Point::new(self.left_mm + start, self.y);
            self.page()
                .layer("words")
                .add(Item::text(at, *cell, 2.9, Ink::Text).weighted(weight));
        }
    }

    pub fn tick_box(&mut self) {
        let (left, top) = (self.left_mm, self.y + 1.4);
        let item = Item::stroked(Path::rect(left, top, 5.5, 5.5), Ink::Line, 0.4);
        self.page().layer("boxes").add(item);
    }

    pub fn rule(&mut self) {
        self.y += 2.5;
        let (left, right, y) = (self.left_mm, self.left_mm + self.width_mm, self.y);
        let line = Path::line(Point::new(left, y), Point::new(right, y));
        self.page()
            .layer("rules")
            .add(Item::stroked(line, Ink::FaintLine, 0.25));
    }

    pub fn picture(&mut self, scene: &Scene) {
        let scale = self.width() / scene.width_mm;
        self.room(scale * scene.height_mm + 2.0);
        let items = scene.placed(Point::new(self.left_mm, self.y + 2.0), scale);
        self.page().layer("pictures").items.extend(items);
        self.y += scale * scene.height_mm + 3.0;
    }

    /// A picture as wide as the sheet, and under it what it shows, and fainter what it rests on.
    pub fn wide_picture(&mut self, scene: &Scene, notes: [&str; 2]) {
        let (size, line) = NOTE_MM;
        let scale = self.width_mm / scene.width_mm;
        let lines = notes.map(|note| wrap_text(note, size, Weight::Regular, self.width_mm));
        let count: usize = lines.iter().map(Vec::len).sum();
        self.room(scale * scene.height_mm + line * (count as f64 + 1.0));
        let items = scene.placed(Point::new(self.left_mm, self.y + 1.5), scale);
        self.page().layer("pictures").items.extend(items);
        self.y += 1.5 + scale * scene.height_mm;
        for (lines, ink) in lines.into_iter().zip([Ink::Text, Ink::FaintText]) {
            for words in lines {
                self.y += line;
                let words = Item::text(Point::new(self.left_mm, self.y), words, size, ink);
                self.page().layer("words").add(words);
            }
        }
        self.y += 0.5 * line;
    }

    /// A picture whose width is a share of the sheet's height, and beside it what it shows, and
    /// fainter what it rests on. Taking the height, a low and wide sheet holds what a high one does.
    pub fn noted_picture(&mut self, scene: &Scene, share: f64, notes: [&str; 2]) {
        let width = (share * self.paper.height_mm()).min(0.8 * self.width_mm);
        let scale = width / scene.width_mm;
        let height = scale * scene.height_mm;
        self.room(height + 3.0);
        let top = self.y + 1.5;
        let items = scene.placed(Point::new(self.left_mm, top), scale);
        self.page().layer("pictures").items.extend(items);
        let beside = self.width_mm - width - 4.0;
        let left = self.left_mm + width + 4.0;
        let (size, line) = NOTE_MM;
        let mut y = top + 1.0;
        for (note, ink) in notes.into_iter().zip([Ink::Text, Ink::FaintText]) {
            for words in wrap_text(note, size, Weight::Regular, beside) {
                y += line;
                let words = Item::text(Point::new(left, y), words, size, ink);
                self.page().layer("words").add(words);
            }
            y += 0.5 * line;
        }
        self.y = (top + height).max(y) + 1.0;
    }

    /// The sheets; at the foot of each stands whose it is, what it is, and its number.
    pub fn finish(mut self) -> Vec<Page> {
        let count = self.pages.len();
        let (width_mm, height_mm) = (self.paper.width_mm(), self.paper.height_mm());
        for (index, scene) in self.pages.iter_mut().enumerate() {
            let sheet = format!(
                "{} · sheet {} of {count}",
                self.what.to_lowercase(),
                index + 1
            );
            let foot = format!("{} · {sheet}", self.title);
            let fits = text_width_mm(&foot, 2.6, Weight::Regular) < width_mm - 2.0 * MARGIN_MM;
            let foot = if fits { foot } else { sheet };
            let at = Point::new(width_mm - MARGIN_MM, height_mm - 8.0);
            scene
                .layer("foot")
                .add(Item::text(at, foot, 2.6, Ink::FaintText).anchored(Anchor::End));
        }
        self.pages
            .into_iter()
            .map(|scene| Page {
                width_mm,
                height_mm,
                scene,
            })
            .collect()
    }
}
