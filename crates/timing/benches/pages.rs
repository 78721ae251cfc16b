//! A whole page after a change, server side: reading the text, all figures now beside those that
//! the page before had shown, all pictures, the markup. Goals: under 5 ms median, under 10 ms for
//! the 99th of 100.

// A benchmark is run for the table that it prints.
#![allow(clippy::print_stdout)]

use book::{Book, Change, EntryId, Kind};
use camberwright::demo;
use camberwright::known::Known;
use camberwright::pages::{Asked, PageName, commission_page};
use camberwright::view::View;
use drawing::pictures::Pointed;
use timing::{Timings, line};

const RUNS: usize = 1000;

fn main() {
    let goal = "5 ms, 10 ms";
    for text in &demo::COMMISSIONS {
        let mut shelf = Shelf::new(text.text);
        for page in PageName::ALL {
            let timings = Timings::after(RUNS, &mut shelf, Shelf::change, |shelf| shelf.page(page));
            println!(
                "{}",
                line(
                    &format!("page {} of {}", page.address(), text.file),
                    &timings,
                    goal
                )
            );
        }
    }
    parts();
}

/// A book in memory with the demo kit and one commission, which is changed again and again.
struct Shelf {
    book: Book,
    known: Known,
    id: EntryId,
    text: &'static str,
    changes: usize,
}

impl Shelf {
    fn new(text: &'static str) -> Self {
        let sound = "an in-memory book takes the demo";
        let book = Book::open_in_memory().expect(sound);
        let kit = book
            .create(Kind::Kit, "kit", demo::KIT.text, "made", 0)
            .expect(sound);
        let id = book
            .create(Kind::Commission, "c", text, "made", 0)
            .expect(sound);
        book.set_kit(id, Some(kit), 0).expect(sound);
        Self {
            book,
            known: Known::default(),
            id,
            text,
            changes: 0,
        }
    }

    /// A change that all pages rest on, to what was never there before: a little more board past
    /// the last fret.
    fn change(&mut self) {
        self.changes += 1;
        let overhang_mm = 8.0 + 1e-4 * self.changes as f64;
        let line = |line: &str| match line.split_once(" = ") {
            Some(("overhang", _)) => format!("overhang = {overhang_mm:.4}\n"),
            _ => format!("{line}\n"),
        };
        let text: String = self.text.lines().map(line).collect();
        let based_on = self.book.entry(self.id).expect("is there").revision;
        let change = Change {
            id: self.id,
            based_on,
            title: "c",
            text: &text,
            what: "overhang",
            at: 1,
        };
        self.book.change(&change).expect("is stored");
    }

    fn page(&self, page: PageName) -> String {
        let pointed = Pointed { fret: 9, lane: 1 };
        let view = View::load(&self.book, &self.known, self.id, pointed, None);
        let view = view.unwrap_or_else(|error| panic!("the demo is sound: {error}"));
        assert!(!view.stale, "the change is sound");
        commission_page(&view, page, &Asked::default()).into_string()
    }
}

/// Where the time goes.
fn parts() {
    let no_files = |_: &str| Err("none".to_owned());
    let text = demo::COMMISSIONS[0].text;
    let instrument = instrument::read_commission(text, &no_files).expect("the demo is sound");
    let kit = bench::read_kit(demo::KIT.text).expect("the demo is sound");
    let wear = bench::effort::WearRate::from_logs(&[], kit.hand);
    let reading = Timings::of(RUNS, || instrument::read_commission(text, &no_files));
    println!("{}", line("reading a commission", &reading, "none"));
    println!(
        "{}",
        line(
            "its sheet",
            &Timings::of(RUNS, || play::sheet(&instrument, Some(&kit))),
            "none"
        )
    );
    let planning = Timings::of(RUNS, || bench::bench_plan(&instrument, &kit, wear));
    println!("{}", line("its bench plan", &planning, "none"));
    let plan = bench::bench_plan(&instrument, &kit, wear);
    let chalk = Timings::of(RUNS, || {
        drawing::pictures::touch_strip(
            &instrument,
            &plan.stages[3],
            drawing::pictures::Look::default(),
        )
    });
    println!(
        "{}",
        line("chalk of one stage, five moments", &chalk, "none")
    );
    let paper = Timings::of(100, || {
        let units = camberwright::show::Units::default();
        camberwright::paper::bench_plan_pdf(&instrument, &plan, units, drawing::Paper::A4)
    });
    println!(
        "{}",
        line("the bench plan on A4", &paper, "200 ms (all patterns)")
    );
}
