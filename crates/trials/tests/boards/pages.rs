//! Pages and paper of random boards: each can be made, and shows no figure that is none.

use book::{Book, EntryId, Kind};
use camberwright::known::Known;
use camberwright::pages::{Asked, PageName, commission_page};
use camberwright::paper::bench_plan_pdf;
use camberwright::view::View;
use drawing::Paper;
use drawing::pictures::Pointed;
use trials::{Chance, Mutation, drawn, mutate};

fn shelf(commission: &str, kit: &str) -> (Book, EntryId) {
    let book = Book::open_in_memory().expect("an in-memory book opens");
    let kit = book
        .create(Kind::Kit, "kit", kit, "made", 0)
        .expect("is short");
    let id = book
        .create(Kind::Commission, "board", commission, "made", 0)
        .expect("is short");
    book.set_kit(id, Some(kit), 0).expect("both are there");
    (book, id)
}

fn pages(book: &Book, id: EntryId, seed: u64) -> Vec<String> {
    PageName::ALL
        .into_iter()
        .map(|page| {
            let pointed = Pointed {
                fret: seed as usize % 30,
                lane: seed as usize % 7,
            };
            let view =
                View::load(book, &Known::default(), id, pointed, None).expect("the book answers");
            commission_page(&view, page, &Asked::default()).into_string()
        })
        .collect()
}

#[test]
fn every_page_of_every_board_shows_figures_only() {
    for seed in 1_000..1_060 {
        let (board, kit) = drawn(seed);
        let (book, id) = shelf(&board.to_toml(), &kit.to_toml());
        for page in pages(&book, id, seed) {
            assert!(page.contains("<h1"), "seed {seed}");
            for none in [">NaN", "NaN mm", "inf mm", "=\"NaN"] {
                assert!(!page.contains(none), "seed {seed}: {none} in a page");
            }
        }
    }
}

#[test]
fn a_text_with_faults_still_has_every_page() {
    let mut chance = Chance::new(7);
    for seed in 0..60 {
        let (board, kit) = drawn(seed);
        let kinds = [
            Mutation::Bytes,
            Mutation::Numbers,
            Mutation::Keys,
            Mutation::Lines,
            Mutation::Nesting,
        ];
        let kind = kinds[seed as usize % kinds.len()];
        let text = mutate(&board.to_toml(), kind, &mut chance);
        let (book, id) = shelf(&text, &kit.to_toml());
        for page in pages(&book, id, seed) {
            assert!(page.contains("<main"), "seed {seed}");
        }
    }
}

#[test]
fn the_plan_goes_on_paper_whatever_the_board() {
    for seed in 2_000..2_020 {
        let (board, kit) = drawn(seed);
        let (book, id) = shelf(&board.to_toml(), &kit.to_toml());
        let view = View::load(&book, &Known::default(), id, Pointed::default(), None)
            .expect("the book answers");
        let Some((now, plan)) = view
            .now
            .as_ref()
            .and_then(|now| Some((now, now.plan.as_ref()?)))
        else {
            continue;
        };
        for paper in [Paper::A4, Paper::Letter] {
            let bytes =
                bench_plan_pdf(&now.instrument, plan, view.units, paper).expect("can be written");
            assert!(bytes.starts_with(b"%PDF-"), "seed {seed}");
        }
    }
}
