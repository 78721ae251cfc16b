//! The cambers laid side by side on the page Camber: each is the one it says, judged as the other
//! ways of the program and the circle's own formula judge it.

use book::{Book, EntryId, Kind};
use camberwright::cambers::{Choice, Choices, Reason, Written, choices, with_law};
use camberwright::known::Known;
use camberwright::view::View;
use drawing::pictures::Pointed;
use instrument::camber::Law;
use trials::drawn;

const DEMOS: [&str; 4] = ["heron", "sandpiper", "bittern", "avocet"];

fn demo(name: &str) -> String {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo");
    std::fs::read_to_string(folder.join(name)).expect("the demo is there")
}

fn view(commission: &str, kit: Option<&str>) -> View {
    let book = Book::open_in_memory().expect("an in-memory book opens");
    let make = |kind, text| book.create(kind, "one", text, "made", 0).expect("is short");
    let id: EntryId = make(Kind::Commission, commission);
    let kit = kit.map(|text| make(Kind::Kit, text));
    book.set_kit(id, kit, 0).expect("both are there");
    View::load(&book, &Known::default(), id, Pointed::default(), None).expect("the book answers")
}

fn laid(view: &View) -> Choices {
    choices(view, view.now.as_ref().expect("the text is sound"))
}

fn demos() -> impl Iterator<Item = View> {
    let kit = demo("north-bench.toml");
    let shelf = DEMOS.map(|name| view(&demo(&format!("{name}.toml")), Some(&kit)));
    shelf.into_iter()
}

fn is_cone(choice: &Choice) -> bool {
    let camber = &choice.figures.instrument.camber;
    camber.law == Law::Cone && camber.fall_away.is_none()
}

#[test]
fn the_present_camber_comes_first_and_no_other_is_like_it() {
    for view in demos() {
        let found = laid(&view).choices;
        assert_eq!(found[0].reason, Reason::Present);
        let present = found[0].radii_mm();
        for other in &found[1..] {
            assert_ne!(other.reason, Reason::Present);
            let (nut, last) = other.radii_mm();
            assert!((nut - present.0).abs() > 0.04 || (last - present.1).abs() > 0.04);
        }
        assert!(found.len() > 4, "three blocks make more than four cambers");
    }
}

#[test]
fn each_is_written_so_that_the_reader_finds_its_radii() {
    for view in demos() {
        for choice in laid(&view).choices {
            let Some(written) = &choice.written else {
                continue;
            };
            let text = with_law(&view.text, written).expect("the text is TOML");
            let none = |_: &str| Err(String::new());
            let read = instrument::read_commission(&text, &none).expect("is sound");
            assert_eq!(read.camber, choice.figures.instrument.camber);
            let comments = |text: &str| text.lines().filter(|line| line.starts_with('#')).count();
            assert_eq!(comments(&text), comments(&view.text), "no remark is lost");
            if choice.reason == Reason::TwoBlocks {
                let named: Vec<f64> = written
                    .values
                    .iter()
                    .map(|(_, value)| quantity::parse_length(value).expect("a length").mm())
                    .collect();
                let (nut, last) = choice.radii_mm();
                assert!((nut - named[0]).abs() < 1e-9 && (last - named[1]).abs() < 1e-9);
            }
        }
    }
}

/// Two ways of the program that share no code: the chooser reckons over places of bends, the map
/// steps every bend from fret to fret.
#[test]
fn the_chooser_and_the_map_of_bends_agree_which_cones_grant_the_bends() {
    for view in demos() {
        let now = view.now.as_ref().expect("the demo is sound");
        let places = play::wished_bend_places(&now.instrument, &now.sheet.strings);
        for choice in laid(&view).choices.iter().filter(|choice| is_cone(choice)) {
            let (nut, last) = choice.radii_mm();
            assert_eq!(
                places.grants(nut, last),
                choice.choked == Some(0),
                "{nut} to {last} mm"
            );
        }
    }
}

/// Sagitta of a circle, s = R − √(R² − (c/2)²): any handbook of geometry.
#[test]
fn the_thinnest_edge_is_the_crown_less_the_sagitta() {
    for view in demos() {
        for choice in laid(&view).choices {
            let instrument = &choice.figures.instrument;
            let edges = (0..=instrument.last_fret()).map(|fret| {
                let x = instrument.fret_x_mm(fret);
                let (radius, half) = (
                    instrument.camber.radius(x).mm(),
                    instrument.outline.half_width(x),
                );
                let sagitta = radius - (radius * radius - half * half).sqrt();
                instrument.wood.crown_thickness_mm - instrument.camber.fall(x) - sagitta
            });
            let thinnest = edges.fold(f64::INFINITY, f64::min);
            assert!((choice.thinnest_edge_mm() - thinnest).abs() < 1e-9);
        }
    }
}

#[test]
fn those_that_grant_more_stand_before_those_that_grant_less() {
    for view in demos() {
        let found = laid(&view).choices;
        for pair in found[1..].windows(2) {
            let grants = |choice: &Choice| (choice.choked, choice.short);
            assert!(grants(&pair[0]) <= grants(&pair[1]));
            if grants(&pair[0]) == grants(&pair[1]) {
                let minutes = |choice: &Choice| choice.minutes().unwrap_or(f64::INFINITY);
                assert!(minutes(&pair[0]) <= minutes(&pair[1]));
            }
        }
    }
}

#[test]
fn the_tightest_that_grants_the_bends_does_so_and_a_little_tighter_does_not() {
    let mut seen = 0;
    for view in demos() {
        let now = view.now.as_ref().expect("the demo is sound");
        let places = play::wished_bend_places(&now.instrument, &now.sheet.strings);
        for choice in laid(&view).choices {
            let (nut, last) = choice.radii_mm();
            if choice.reason == Reason::Tightest {
                assert!(places.grants(nut, last));
                assert!(last - 1.1 < nut || !places.grants(nut, last - 1.1));
                seen += 1;
            }
        }
    }
    assert!(seen > 0);
}

#[test]
fn without_a_kit_only_what_needs_no_block_is_laid_beside_it() {
    let found = laid(&view(&demo("heron.toml"), None)).choices;
    assert!(found.iter().all(|choice| choice.minutes().is_none()));
    let reasons: Vec<Reason> = found.iter().map(|choice| choice.reason).collect();
    assert!(!reasons.contains(&Reason::OneBlock) && !reasons.contains(&Reason::TwoBlocks));
    assert!(reasons.contains(&Reason::Strings));
}

#[test]
fn a_camber_that_the_board_cannot_bear_is_left_out_and_counted() {
    let kit = demo("north-bench.toml");
    let with_fillet_block = kit.replacen(
        "{ radius =",
        "{ radius = \"30 mm\", length = \"200 mm\" },\n  { radius =",
        1,
    );
    assert_ne!(kit, with_fillet_block);
    let found = |kit| laid(&view(&demo("heron.toml"), Some(kit)));
    let (few, many) = (found(&kit), found(&with_fillet_block));
    assert_eq!(few.unbearable, 0);
    // An arch of 30 mm drops 8.8 mm over half the nut's 42.5 mm: the crown is 6 mm thick.
    assert_eq!(
        many.unbearable, 4,
        "by itself, and to each of the three others"
    );
    assert_eq!(few.choices.len(), many.choices.len());
}

#[test]
fn of_more_blocks_than_can_be_paired_the_flattest_are_counted() {
    let kit = demo("north-bench.toml");
    let many: String = (0..15)
        .map(|more| {
            format!(
                "{{ radius = \"{} mm\", length = \"200 mm\" }},\n  ",
                900 + more
            )
        })
        .collect();
    let found = |kit: &str| laid(&view(&demo("heron.toml"), Some(kit)));
    let crowded = kit.replacen("{ radius =", &format!("{many}{{ radius ="), 1);
    assert_eq!(found(&kit).unpaired, 0);
    let crowded = found(&crowded);
    assert_eq!(
        crowded.unpaired, 2,
        "three radii of the kit, and fifteen more"
    );
    let one = crowded
        .choices
        .iter()
        .filter(|choice| choice.reason == Reason::OneBlock);
    let flattest = one.fold(0.0, |most: f64, choice| most.max(choice.radii_mm().0));
    assert_eq!(flattest, 912.0);
}

#[test]
fn whatever_is_shown_of_any_board_can_be_taken() {
    let mut shown = 0;
    for seed in 0..60 {
        let (board, kit) = drawn(seed);
        let view = view(&board.to_toml(), Some(&kit.to_toml()));
        if view.stale || view.now.is_none() {
            continue;
        }
        for choice in laid(&view).choices {
            let edge = choice.thinnest_edge_mm();
            assert!(edge.is_finite() && edge > 0.0, "seed {seed}: {edge} mm");
            shown += 1;
        }
    }
    assert!(shown > 200, "{shown} shown");
}

/// What the plan advises where a block stops short of the board's end must make it reach the end.
#[test]
fn a_last_radius_that_the_plan_names_lets_the_block_reach_the_boards_end() {
    let kit = bench::read_kit(&demo("north-bench.toml")).expect("the demo is sound");
    let wear = bench::effort::WearRate::from_logs(&[], kit.hand);
    let advice = |nut: &str, last: &str| {
        let written = Written::cone(nut.into(), last.into());
        let text = with_law(&demo("heron.toml"), &written).expect("the text is TOML");
        let none = |_: &str| Err(String::new());
        let instrument = instrument::read_commission(&text, &none).expect("is sound");
        let plan = bench::bench_plan(&instrument, &kit, wear);
        let caution = plan
            .cautions
            .iter()
            .find(|caution| caution.code == "block_ends_short");
        caution.map(|caution| {
            let (_, from) = caution.message.split_once("with ").expect("names a radius");
            let (radius, _) = from.split_once(" mm").expect("in millimetres");
            format!("{radius} mm")
        })
    };
    let mut advised = 0;
    for nut_mm in (180..=300).step_by(7) {
        let nut = format!("{nut_mm} mm");
        for block in ["12 in", "16 in"] {
            let Some(better) = advice(&nut, block) else {
                continue;
            };
            assert_eq!(advice(&nut, &better), None, "{nut} to {better}");
            advised += 1;
        }
    }
    assert!(advised > 10, "{advised} advised");
}
