//! Check values computed with 30-digit arithmetic apart from this project, met through the whole
//! way from a commission's text to the sheet and the plan.

use instrument::read_commission;
use play::{Sheet, sheet};

fn sheet_of(text: &str) -> Sheet {
    let instrument = read_commission(text, &|_| Err("no files".into()))
        .unwrap_or_else(|faults| panic!("{faults}\n{text}"));
    sheet(&instrument, None)
}

/// The board of the check values: widths 42.5 and 56.5 (8 past fret 22), L = 635, R 240 to 400.
fn cone_board() -> String {
    board(
        635.0,
        (35.0, 52.0),
        (42.5, 56.5),
        "law = \"cone\"\nnut = 240\nlast_fret = 400",
    )
}

fn board(length: f64, spreads: (f64, f64), widths: (f64, f64), camber: &str) -> String {
    let strings = "{ note = \"E4\", gauge = 0.254 }, ".repeat(6);
    format!(
        "camberwright = 1\ntitle = \"check\"\n[scale]\nlength = {length}\nfrets = 22\n[strings]\n\
         nut_spread = {}\nsaddle_spread = {}\nspacing = \"equal centres\"\nset = [{strings}]\n[board]\n\
         nut_width = {}\nend_width = {}\noverhang = 8\ncrown_thickness = 6\n[camber]\n{camber}\n",
        spreads.0, spreads.1, widths.0, widths.1
    )
}

#[test]
fn frets_of_a_635_mm_scale() {
    let sheet = sheet_of(&cone_board());
    for (fret, x) in [
        (1, 35.639_811_4),
        (5, 159.287_503),
        (12, 317.5),
        (22, 456.809_15),
    ] {
        assert!((sheet.frets[fret].x_mm - x).abs() < 5e-6, "fret {fret}");
    }
}

#[test]
fn edge_drops_apex_and_volume_of_the_cone() {
    let sheet = sheet_of(&cone_board());
    let apex = sheet.camber.apex_x_mm.expect("a cone has one");
    assert!((apex + 685.213_725).abs() < 5e-6);
    for (fret, drop) in [
        (0, 0.942_606_3),
        (1, 0.941_743_7),
        (5, 0.946_892_5),
        (12, 0.966_062_1),
        (17, 0.979_267_6),
        (22, 0.990_313_3),
    ] {
        assert!(
            (sheet.frets[fret].edge_drop_mm - drop).abs() < 5e-8,
            "fret {fret}"
        );
    }
    assert!((sheet.camber.removed_mm3 - 7_356.390_86).abs() < 5e-5);
}

#[test]
fn humps_under_the_outer_lane() {
    // L = 648, spreads 35/52, 22 frets.
    for (camber, hump) in [
        ("law = \"single\"\nradius = 254", 0.0186),
        ("law = \"cone\"\nnut = 254\nlast_fret = 406.4", 0.0046),
        ("law = \"string cone\"\nnut = 254", 0.0),
    ] {
        let sheet = sheet_of(&board(648.0, (35.0, 52.0), (43.0, 57.0), camber));
        assert!(
            (sheet.camber.lane_hump_mm[0] - hump).abs() < 5e-5,
            "{camber}"
        );
        assert!(
            (sheet.camber.lane_hump_mm[5] - hump).abs() < 5e-5,
            "{camber}"
        );
    }
}

#[test]
fn a_beam_along_the_edges_tends_to_317_7_mm() {
    let instrument = read_commission(&cone_board(), &|_| Err("no files".into())).expect("is sound");
    let beam = bench::beam::beam_path(&instrument);
    assert!((beam.along_edges.radius_at_last_fret.mm() - 317.7).abs() < 0.05);
    // The parabola y²/2R gives 0.256 mm; the arc itself 0.25745 mm.
    assert!((beam.along_edges.low_at_edge_mm - 0.25745).abs() < 5e-6);
    assert!((beam.far_to_near_sweep - 400.0 / 240.0).abs() < 1e-12);
}

#[test]
fn a_skewed_fret_sees_about_r_over_cos_squared() {
    let fanned = board(
        635.0,
        (35.0, 52.0),
        (43.0, 57.0),
        "law = \"single\"\nradius = 300",
    )
    .replace("length = 635", "bass = 700\ntreble = 635\nsquare_at = 7");
    let sheet = sheet_of(&fanned);
    for fret in [0, 12, 22] {
        let figures = &sheet.frets[fret];
        let expected = 300.0 / figures.skew_deg.to_radians().cos().powi(2);
        // The section of a cylinder is an ellipse, whose best circle is flatter by a hair.
        assert!(
            (figures.arc.radius_mm / expected - 1.0).abs() < 2e-3,
            "fret {fret}"
        );
        assert!(figures.arc.radius_mm >= 300.0 - 1e-9);
    }
}

#[test]
fn fine_grades_move_no_arch() {
    // Common practice, no source: work at P320 and finer no longer moves the radius. Shown by
    // the volume that changes the arch: all of it goes at the shaping grade.
    let instrument = read_commission(&cone_board(), &|_| Err("no files".into())).expect("is sound");
    let kit = bench::read_kit(
        "camberwright_kit = 1\ntitle = \"k\"\nblocks = [{ radius = \"16 in\" }, { radius = \"12 in\" }]\n\
         beams = [{ length = 460 }]\nabrasives = [\"P80\", \"P120\", \"P320\", \"P600\"]",
    )
    .expect("is sound");
    let wear = bench::effort::WearRate::from_logs(&[], kit.hand);
    let plan = bench::bench_plan(&instrument, &kit, wear);
    let arch: f64 = plan.stages.iter().map(|stage| stage.arch_mm3).sum();
    assert!((arch - 7_356.390_86).abs() < 1e-3);
    for stage in plan
        .stages
        .iter()
        .filter(|stage| bench::grades::only_smooths(stage.grade))
    {
        assert!(
            stage.arch_mm3.abs() < 1e-6 && stage.removed_mm3 > 1000.0,
            "{}",
            stage.key
        );
    }
}
