mod probe;

use super::*;
use crate::reading::{Amount, Chalk, ChalkTool, Gap, Seen, What};
use instrument::Radius;

const HERON: &str = include_str!("../../../../demo/heron.toml");
const BITTERN: &str = include_str!("../../../../demo/bittern.toml");
const NORTH: &str = include_str!("../../../../demo/north-bench.toml");

fn instrument(text: &str) -> Instrument {
    instrument::read_commission(text, &|_| Err("no files here".into())).expect("it reads")
}

fn heron() -> Instrument {
    instrument(HERON)
}

fn kit() -> Kit {
    bench::read_kit(NORTH).expect("it reads")
}

/// What a text holds for Heron, with the north bench's kit.
fn read(text: &str) -> ReadOut {
    read_readings(text, &heron(), Some(&kit()))
}

/// The same for a text without a fault.
fn sound(text: &str) -> ReadOut {
    let out = read(text);
    assert!(out.faults.is_empty(), "{text}: {}", out.faults);
    out
}

/// The only reading of one line under a short head.
fn one(line: &str) -> (What, f64, String) {
    let text = format!("kind,tool,at,across,from,to,shows,value,resolution\n{line}\n");
    let mut out = sound(&text);
    let reading = out.visits.remove(0).readings.remove(0);
    assert_eq!(reading.line, 2);
    (reading.what, reading.sigma_mm, reading.place)
}

/// The faults of one line under a short head, as shown.
fn faults(line: &str) -> Vec<String> {
    let text = format!("kind,tool,at,across,from,to,shows,value,resolution\n{line}\n");
    let out = read(&text);
    assert!(out.visits.is_empty(), "{line} is taken");
    out.faults.0.iter().map(ToString::to_string).collect()
}

#[test]
fn a_height_stands_where_fret_and_lane_cross() {
    let (what, sigma_mm, place) = one("height,,fret 9,lane 2,,,,0.12,");
    let heron = heron();
    let (x_mm, y_mm) = heron.lanes[1].cross(heron.frets[9]);
    let What::Height {
        set_up: 0,
        at,
        height_mm,
    } = what
    else {
        panic!("{what:?}")
    };
    assert_eq!((at.x_mm, at.y_mm, height_mm), (x_mm, y_mm, 0.12));
    assert_eq!((sigma_mm, place.as_str()), (0.005, "fret 9, lane 2"));
}

#[test]
fn light_is_none_or_at_edges_crown_or_one_edge() {
    let heron = heron();
    let x_mm = heron.fret_x_mm(12);
    let light = |line: &str| {
        let (what, sigma_mm, place) = one(line);
        assert_eq!(place, "fret 12");
        let What::Light {
            gauge,
            x_mm: x,
            half_width_mm,
            seen,
        } = what
        else {
            panic!("{what:?}")
        };
        assert_eq!((x, half_width_mm), (x_mm, heron.outline.half_width(x_mm)));
        (gauge, seen, sigma_mm)
    };
    let twelve = Radius::from_mm(304.8);
    let none = Seen::Nothing { smallest_mm: 0.02 };
    assert_eq!(light("light,12 in,f12,,,,none,,"), (twelve, none, 0.01));
    // The kit's own figure is kept where the maker's is within the tolerance.
    assert_eq!(light("light,304.75,f12,centre,,,None,,").0, twelve);
    let edges = Seen::Edges(Amount::Mm(0.0508));
    assert_eq!(light("light,12 in,f12,,,,edges,2 thou,").1, edges);
    let crown = Seen::Crown(Amount::AtLeast(0.02));
    assert_eq!(
        light("light,12 in,f12,0,,,crown,,0.1"),
        (twelve, crown, 0.05)
    );
    let one_edge = Seen::OneEdge {
        light_mm: 0.1,
        smallest_mm: 0.02,
    };
    assert_eq!(light("light,12 in,f12,,,,bass edge,0.1,").1, one_edge);
    // A straightedge is a flat gauge.
    assert_eq!(light("light,flat,f12,,,,edges,0.4,").0, Radius::FLAT);
}

#[test]
fn a_gap_lies_on_one_line_between_its_ends() {
    let heron = heron();
    let (what, sigma_mm, place) = one("gap,,fret 9,lane 6,,,,0.15,");
    let What::Gap { from, to, at, gap } = what else {
        panic!("{what:?}")
    };
    let lane = heron.lanes[5];
    assert_eq!((from.x_mm, to.x_mm), (0.0, heron.fret_x_mm(22)));
    for spot in [from, to, at] {
        assert!((lane.y_at(spot.x_mm) - spot.y_mm).abs() < 1e-9);
    }
    assert_eq!(
        (gap, sigma_mm, place.as_str()),
        (Gap::Mm(0.15), 0.005, "fret 9, lane 6")
    );
    let (what, ..) = one("gap,,230,treble edge,fret 12,fret 5,none,,");
    let What::Gap { from, to, gap, .. } = what else {
        panic!("{what:?}")
    };
    assert!(from.x_mm < to.x_mm && gap == Gap::None { least_mm: 0.03 });
    assert!((heron.outline.treble.at(from.x_mm) - from.y_mm).abs() < 1e-9);
}

#[test]
fn rock_sagitta_thickness_and_chalk_are_read() {
    let (what, ..) = one("rock,straightedge,f5,centre,f1,f9,,0.2,");
    assert!(matches!(what, What::Rock { hump_mm, .. } if hump_mm == 0.2));
    let (what, sigma_mm, place) = one("sagitta,40 mm,230,,,,,0.8,");
    let dial = What::Sagitta {
        chord_mm: 40.0,
        x_mm: 230.0,
        sagitta_mm: 0.8,
    };
    assert_eq!(
        (what, sigma_mm, place.as_str()),
        (dial, 0.005, "near fret 8")
    );
    let (what, sigma_mm, _) = one("thickness,caliper,nut,-10,,,,5.85,");
    assert!(matches!(what, What::Thickness { thickness_mm, .. } if thickness_mm == 5.85));
    assert_eq!(sigma_mm, 0.01);
    let chalk = |line: &str| match one(line).0 {
        What::Chalk {
            tool,
            chalk,
            layer_mm,
            ..
        } => (tool, chalk, layer_mm),
        what => panic!("{what:?}"),
    };
    let block = ChalkTool::Block(Radius::from_mm(406.4));
    assert_eq!(
        chalk("chalk,16 in,f9,l1,,,stayed,,"),
        (block, Chalk::Stayed, 0.02)
    );
    assert_eq!(
        chalk("chalk,Beam,f9,l1,,,gone,,0.03"),
        (ChalkTool::Beam, Chalk::Gone, 0.03)
    );
}

#[test]
fn what_is_wrong_is_said_with_line_value_limit_and_way_out() {
    for (line, said) in [
        (
            "height,,f9,lane 2,,,,NaN,",
            "line 2: value: length \"NaN\" is not a finite number; write the height, such as 0.12 mm",
        ),
        (
            "height,,f9,lane 2,,,,,",
            "line 2: value: value is empty; write the height, such as 0.12 mm",
        ),
        (
            "height,,f9,lane 2,,,,250,",
            "line 2: value: height 250 mm is more than 100 mm either way; check the value and its unit",
        ),
        (
            "height,,f30,lane 2,,,,1,",
            "line 2: at: fret 30 is past the last, fret 22; write fret 1 to fret 22, or a length from the nut",
        ),
        (
            "height,,230,31,,,,1,",
            "line 2: at: the place 230 mm along, 31 mm across lies 6.2862 mm past the treble edge; \
             at most 1 mm is let pass; check the place, and whether it is in millimetres from nut and centreline",
        ),
        (
            "hieght,,f9,lane 2,,,,1,",
            "line 2: kind: kind \"hieght\" is not known; did you mean \"height\"?",
        ),
        (
            "light,14 in,f9,,,,none,,",
            "line 2: tool: gauge of radius 355.6 mm is not in the kit \"North bench\"; \
             add it to the kit's gauges, or check the radius",
        ),
        (
            "light,10 in,f9,,,,edges,0,",
            "line 2: value: light 0 mm is not more than 0 mm; \
             write how much light, such as 0.05 mm, or none under shows when there is none",
        ),
        (
            "light,10 in,f9,,,,edges,-0.05,",
            "line 2: value: light -0.05 mm is not more than 0 mm; \
             write how much light, such as 0.05 mm, or none under shows when there is none",
        ),
        (
            "light,10 in,f9,,,,,,",
            "line 2: shows: shows is empty; write none, edges, crown, treble edge or bass edge",
        ),
        (
            "light,10 in,f9,lane 1,,,none,,",
            "line 2: across: a gauge is laid on the centreline, square across the board; leave across empty",
        ),
        (
            "light,10 in,f9,,,,none,0.1,",
            "line 2: value: a value is given, and shows says there was no light; leave one of the two out",
        ),
        (
            "gap,,fret 9,l1,end,nut,,11,",
            "line 2: value: gap 11 mm is more than 10 mm; check the value and its unit",
        ),
        (
            "gap,,fret 9,l1,fret 12,,,0.1,",
            "line 2: at: 257.4267 mm from the nut does not lie between the ends of the straightedge, \
             317.5 mm and 456.8091 mm; write a place between them, or where the ends lay under from and to",
        ),
        (
            "sagitta,50 mm,f9,,,,,0.8,",
            "line 2: tool: dial with a chord of 50 mm is not in the kit \"North bench\"; \
             add it to the kit's dials, or check the chord",
        ),
        (
            "sagitta,40 mm,f9,,,,,20,",
            "line 2: value: sagitta 20 mm is not under half the chord of 40 mm; check the value and its unit",
        ),
        (
            "thickness,,f9,l1,,,,60,",
            "line 2: value: thickness 60 mm is more than 50 mm; check the value and its unit",
        ),
        (
            "thickness,,f9,l1,,,,6,0.0005",
            "line 2: resolution: resolution 0.0005 mm is outside 0.001 to 5 mm; \
             write what one mark of the tool is, such as 0.01 mm",
        ),
        (
            "chalk,20 in,f9,l1,,,stayed,,",
            "line 2: tool: block of radius 508 mm is not in the kit \"North bench\"; \
             add it to the kit's blocks, or check the radius",
        ),
        (
            "height,,f9,centre,,,,0,5,",
            "line 2: the line has 10 cells, the head has 9 columns; put a cell that holds a separator \
             in quotes, or part cells with semicolons when commas part decimals",
        ),
        (
            "height,,f9,centre",
            "line 2: the line has 4 cells, the head has 9 columns; \
             write every separator, also for empty cells at the line's end",
        ),
        (
            "height,\"probe,f9",
            "line 2: a quote is opened and never closed; \
             write a quote inside a quoted cell twice, as in \"0.010\"\"\"",
        ),
    ] {
        assert_eq!(faults(line), [said], "{line}");
    }
}

#[test]
fn all_faults_of_a_line_are_told_together() {
    let said = faults("light,12 inhc,f30,,,,edge,0.1,9");
    assert_eq!(said.len(), 4, "{said:?}");
    assert!(said[0].starts_with("line 2: tool: length \"12 inhc\" has the unknown unit"));
}

#[test]
fn a_straightedge_must_be_long_enough_and_a_dial_narrow_enough() {
    let bittern = instrument(BITTERN);
    let head = "kind,tool,at,across,value\n";
    let out = read_readings(&format!("{head}gap,,f9,l1,0.1\n"), &bittern, Some(&kit()));
    let said = out.faults.to_string();
    assert!(
        said.starts_with("line 2: to: from and to lie 628."),
        "{said}"
    );
    assert!(said.contains("the kit's longest straightedge is 500 mm; add a longer one"));
    let wide = read_readings(&format!("{head}sagitta,60,f1,,1\n"), &heron(), None);
    let said = wide.faults.to_string();
    assert!(said.starts_with("line 2: tool: chord 60 mm is wider than the board there, 43.5"));
    let tight = read_readings("kind,tool,at,shows\nlight,20,f9,none", &heron(), None);
    assert!(
        tight
            .faults
            .to_string()
            .contains("is not more than half the board's width")
    );
}

#[test]
fn without_a_kit_no_tool_is_missing() {
    let text = "kind,tool,at,across,shows,value\n\
                light,14 in,f9,,none,\nsagitta,30 mm,f9,,,0.4\nchalk,beam,f9,l1,gone,\ngap,,f9,l1,none,\n";
    let out = read_readings(text, &heron(), None);
    assert!(out.faults.is_empty(), "{}", out.faults);
    assert_eq!(out.count(), 4);
    let bare = bench::read_kit("camberwright_kit = 1\ntitle = \"Bare\"").expect("it reads");
    let out = read_readings(text, &heron(), Some(&bare));
    let columns: Vec<_> = out
        .faults
        .0
        .iter()
        .map(|fault| (fault.line, fault.place.as_str()))
        .collect();
    assert_eq!(columns, [(Some(2), "tool"), (Some(4), "tool")]);
}

#[test]
fn heads_name_columns_in_any_order_and_unit() {
    for (head, cell) in [
        ("value (in)", "0.01"),
        ("value_mm", "0.254"),
        ("Value [thou]", "10"),
        ("value", "0.010\""),
        ("value [thou]", "0.254 mm"),
    ] {
        let out = sound(&format!("{head},Across,kind,AT\n{cell},l1,Thickness,f9\n"));
        let What::Thickness { thickness_mm, .. } = out.visits[0].readings[0].what else {
            panic!("a thickness")
        };
        assert_eq!(thickness_mm, 0.254, "{head} {cell}");
        assert!(out.notes.is_empty());
    }
    let bare = sound("kind,at,across,value\nthickness,f9,l1,5\nthickness,f9,l2,5 mm");
    assert_eq!(
        bare.notes,
        ["no unit is stated in the head: millimetres are taken"]
    );
    // A resolution goes by the value's unit, a place by its own.
    let out = sound("kind,at [in],across,value [thou],resolution\nheight,9,l1,10,1\n");
    assert_eq!(out.visits[0].readings[0].sigma_mm, 0.0127);
    assert!(matches!(out.visits[0].readings[0].what, What::Height { at, .. } if at.x_mm == 228.6));
}

#[test]
fn heads_that_are_wrong_are_faults() {
    for (head, said) in [
        (
            "kind,at,valeu",
            "line 1: valeu: column \"valeu\" is not known; did you mean \"value\"?",
        ),
        (
            "kind,at,At,value",
            "line 1: at: column \"at\" stands twice in the head; leave one of them out",
        ),
        (
            "kind,value (furlong)",
            "line 1: value: unit \"furlong\" of the column is not known; write mm, cm, m, µm, in, thou or ft",
        ),
        (
            "at,across,value",
            "line 1: the head has no column \"kind\"; begin with visit,date,stage,kind,tool,at,across,\
             from,to,shows,value,resolution,set_up,note; the file of a height probe has columns x, y and z",
        ),
        (
            "x,y,z,x",
            "line 1: x: column \"x\" stands twice in the head; leave one of them out",
        ),
        (
            "x,y,z (ell)",
            "line 1: z: unit \"ell\" of the column is not known; write mm, cm, m, µm, in, thou or ft",
        ),
    ] {
        let out = read(head);
        assert_eq!(out.faults.to_string(), said);
    }
    for empty in ["", "\u{feff}", "\r\n\n", "# nothing\n,,,\n"] {
        let out = read(empty);
        assert_eq!(out.faults.0[0].message, "the text holds no readings");
    }
    assert_eq!(
        read("kind,at\n").notes,
        ["no reading stands under the head"]
    );
}

#[test]
fn marks_of_other_programs_are_read_past() {
    let text = "\u{feff}# from the bench\r\n\r\nkind;at;across;value;note\r\n\
                height;230,125;-3,5;0,125;\"a; b\"\r\n;;;;\r\n# told\r\nheight;f9;l1;1,125 mm;x;;\r\n";
    let out = sound(text);
    let readings = &out.visits[0].readings;
    let What::Height { at, height_mm, .. } = readings[0].what else {
        panic!("a height")
    };
    assert_eq!((at.x_mm, at.y_mm, height_mm), (230.125, -3.5, 0.125));
    assert_eq!((readings[0].line, readings[0].note.as_str()), (4, "a; b"));
    assert!(matches!(readings[1].what, What::Height { height_mm, .. } if height_mm == 1.125));
    assert_eq!(readings[1].line, 7);
    let quoted = sound("kind,at,across,value\nheight,f9,l1,\"0,5\"\n");
    assert!(
        matches!(quoted.visits[0].readings[0].what, What::Height { height_mm, .. } if height_mm == 0.5)
    );
    let tabs = sound("kind\tat\tacross\tvalue\nheight\tf9\tl1\t0,5\n");
    assert_eq!(tabs.count(), 1);
}

#[test]
fn lines_of_a_visit_belong_together() {
    let text = "visit,date,stage,kind,at,across,value,set_up\n\
                rough,,,height,f1,l1,0.1,b\n\
                ,2026-03-01,,height,f1,l1,0.1,\n\
                rough,2026-03-02,,height,f2,l1,0.1,a\n\
                rough,,block 16 in,height,f3,l1,0.1,b\n\
                rough,2026-03-03,,height,f4,l1,0.1,b\n";
    let out = read(text);
    let [rough, first] = &out.visits[..] else {
        panic!("two visits")
    };
    assert_eq!(
        (rough.name.as_str(), rough.date.as_str()),
        ("rough", "2026-03-02")
    );
    assert_eq!(
        (rough.stage.as_str(), &rough.set_ups[..]),
        ("block 16 in", &["b".into(), "a".into()][..])
    );
    let set_ups: Vec<_> = rough
        .readings
        .iter()
        .map(|reading| match reading.what {
            What::Height { set_up, .. } => (reading.line, set_up),
            _ => panic!("a height"),
        })
        .collect();
    assert_eq!(set_ups, [(2, 0), (4, 1), (5, 0)]);
    assert_eq!(
        (first.name.as_str(), &first.set_ups[..]),
        ("1", &["1".into()][..])
    );
    assert_eq!(
        out.faults.to_string(),
        "line 6: date: date \"2026-03-03\" of visit rough contradicts \"2026-03-02\" in an earlier \
         line; give the visit one date, or the line another visit"
    );
}

#[test]
fn what_a_kind_has_no_use_for_is_noted() {
    let out = sound(
        "kind,at,across,value (mm),from,set_up\nthickness,f9,l1,5,nut,a\nthickness,f8,l1,5,nut,\n",
    );
    assert_eq!(
        out.notes,
        [
            "thickness has no use for from: it is left out on 2 lines",
            "thickness has no use for set_up: it is left out on 1 line",
        ]
    );
}

#[test]
fn a_line_written_is_read_back() {
    let heights = |note: &str, visit: &str| Row {
        visit: visit.into(),
        date: "2026-03-01".into(),
        stage: "block 16 in, P80".into(),
        kind: "height".into(),
        at: "230".into(),
        across: "bass edge".into(),
        value: "0.010\"".into(),
        resolution: "1 thou".into(),
        set_up: "a;b".into(),
        note: note.into(),
        ..Row::default()
    };
    for (note, visit) in [
        ("plain", "1"),
        ("a \"quoted\" word, and, commas", "#1"),
        ("two\nlines\r\nand \"\"three\"\"\n", "rough; wood"),
        (" blanks around \t", "visit \"2\""),
        ("\"", ","),
        ("# no comment", "\u{feff}1"),
        ("ends with a quote\"", "é"),
        ("\r", "\u{a0}x"),
    ] {
        let row = heights(note, visit);
        let out = sound(&format!("{HEAD}\n{}", write_line(&row)));
        let read = &out.visits[0];
        assert_eq!(read.name, visit.trim());
        assert_eq!((&read.date, &read.stage), (&row.date, &row.stage));
        assert_eq!(
            (read.set_ups[0].as_str(), read.readings[0].note.as_str()),
            ("a;b", note)
        );
        assert_eq!(read.readings[0].sigma_mm, 0.0127);
        assert_eq!(read.readings[0].place, "near fret 8, bass edge");
    }
    let light = Row {
        kind: "light".into(),
        tool: "10 in".into(),
        at: "fret 9".into(),
        shows: "treble edge".into(),
        value: "0.1 mm".into(),
        ..Row::default()
    };
    assert_eq!(
        write_line(&light),
        ",,,light,10 in,fret 9,,,,treble edge,0.1 mm,,,"
    );
    assert_eq!(sound(&format!("{HEAD}\n{}", write_line(&light))).count(), 1);
}

/// A small generator of chance (G. Marsaglia, "Xorshift RNGs", Journal of Statistical Software 8
/// (2003), doi 10.18637/jss.v008.i14).
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }
}

#[test]
fn no_text_makes_it_panic() {
    const PIECES: [&str; 56] = [
        "\n",
        "\r\n",
        "\r",
        ",",
        ";",
        "\t",
        " ",
        "\"",
        "\"\"",
        "#",
        "x",
        "y",
        "z",
        "kind",
        "at",
        "across",
        "value",
        "shows",
        "tool",
        "from",
        "to",
        "set_up",
        "note",
        "visit",
        "date",
        "resolution",
        "height",
        "light",
        "gap",
        "rock",
        "sagitta",
        "thickness",
        "chalk",
        "none",
        "edges",
        "stayed",
        "beam",
        "flat",
        "fret 9",
        "f99999999999999999999",
        "lane 2",
        "l0",
        "centre",
        "treble edge",
        "nut",
        "end",
        "-",
        "1",
        "0.5",
        "1e999",
        "-1e-9",
        "nan",
        "12 in",
        "½",
        "é\u{301}µ",
        "\u{0}",
    ];
    const HEADS: [&str; 5] = [
        "",
        "kind,tool,at,across,from,to,shows,value,resolution,set_up,note\n",
        "kind;at;across;value (in)\n",
        "x,y,z\n",
        "1 2 3\n",
    ];
    let (instruments, kit) = ([heron(), instrument(BITTERN)], kit());
    let (mut chance, mut taken, mut refused) = (Chance(0x2545_f491_4f6c_dd1d), 0, 0);
    for round in 0..20_000 {
        let mut text = HEADS[round % HEADS.len()].to_owned();
        for _ in 0..chance.next() % 40 {
            text.push_str(PIECES[(chance.next() % PIECES.len() as u64) as usize]);
            if chance.next() % 2 == 0 {
                text.push_str([",", ";", "\n"][(chance.next() % 3) as usize]);
            }
        }
        let kit = (round % 3 == 0).then_some(&kit);
        let out = read_readings(&text, &instruments[round % 2], kit);
        taken += out.count();
        refused += out.faults.0.len();
        for reading in out.visits.iter().flat_map(|visit| &visit.readings) {
            assert!(reading.sigma_mm > 0.0 && reading.sigma_mm.is_finite());
        }
    }
    assert!(taken > 1000 && refused > 10_000, "{taken} and {refused}");
}

#[test]
fn a_million_bad_lines_are_counted_and_not_kept() {
    for (text, each) in [
        (
            "kind,at,across,value\n".to_owned() + &"height,f99,l1,x\n".repeat(1_000_000),
            2,
        ),
        ("x,y,z\n".to_owned() + &"1,1,x\n".repeat(1_000_000), 1),
    ] {
        let out = read(&text);
        assert_eq!(out.faults.0.len(), 101);
        let others = format!("{} more faults are not listed", each * 1_000_000 - 100);
        assert_eq!(out.faults.0[100].message, others);
        assert_eq!(out.faults.0[100].line, None);
    }
}

/// The page for the maker, whose examples are read here.
const PAGE: &str = include_str!("../../../../docs/formats/readings.md");

#[test]
fn examples_of_the_page_read_without_a_fault() {
    let blocks: Vec<&str> = PAGE
        .split("```csv\n")
        .skip(1)
        .filter_map(|rest| rest.split("```").next())
        .collect();
    assert!(blocks.len() >= 4);
    for block in blocks {
        assert!(sound(block).count() > 0);
    }
}

#[test]
fn the_page_describes_every_column_and_kind() {
    for name in HEAD
        .split(',')
        .chain(UNUSED_BY.iter().map(|(kind, _)| *kind))
    {
        let row = format!("\n| `{name}` | ");
        assert_eq!(PAGE.matches(&row).count(), 1, "{name}");
    }
}
