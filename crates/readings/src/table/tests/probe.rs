//! Tests of a height probe's file, and of heights in bulk.

use std::fmt::Write;

use super::*;

/// A probe's heights, whatever way they are kept: line, x, y and z.
fn heights(out: &ReadOut) -> Vec<(usize, f64, f64, f64)> {
    let visit = &out.visits[0];
    let single = visit.readings.iter().map(|reading| match reading.what {
        What::Height { at, height_mm, .. } => (reading.line, at.x_mm, at.y_mm, height_mm),
        _ => panic!("a height"),
    });
    let cloud = visit.clouds.iter().flat_map(|cloud| {
        (0..cloud.x_mm.len()).map(|i| {
            let line = cloud.lines[i] as usize;
            (line, cloud.x_mm[i], cloud.y_mm[i], cloud.height_mm[i])
        })
    });
    single.chain(cloud).collect()
}

#[test]
fn a_probes_file_is_known_by_its_head_or_by_bare_numbers() {
    for text in [
        "x_mm,y_mm,z_mm\n230.5,-3.25,0.125\n",
        "n,X [mm],Y [mm],Z [mm],t\n#1,1,1,1,1\n7,230.5,-3.25,0.125,12:00\n",
        "z (µm);x (cm);y/mm\r\n125;23,05;-3,25\r\n",
        "\u{feff}# probe\n\n\"z\",\"x (mm)\",\"y\"\n\"0.125\",\"230.5\",\"-3.25\"\n",
        "x\ty\tz\tok\n230.5\t-3.25\t.125\t\"y\nes\"\n",
        "230.5,-3.25,0.125\n",
        "230,5;-3,25;0,125;9\r\n",
        " 230.5   -3.25 1.25e-1\t\n",
        "230.5, -3.25 , +0.125",
        "x,y,z\n230.5 mm,-3.25, 0.125 mm\n",
    ] {
        let out = sound(text);
        let found: Vec<_> = heights(&out)
            .into_iter()
            .map(|(_, x, y, z)| (x, y, z))
            .collect();
        assert_eq!(found, [(230.5, -3.25, 0.125)], "{text}");
        let visit = &out.visits[0];
        assert_eq!(
            (visit.name.as_str(), &visit.set_ups[..]),
            ("1", &["1".into()][..])
        );
        assert_eq!(visit.readings[0].sigma_mm, 0.005);
    }
}

#[test]
fn what_a_probes_file_leaves_open_is_noted() {
    for (text, notes) in [
        (
            "x,y,z\n1,1,1\n",
            vec!["no unit is stated in the head: millimetres are taken"],
        ),
        (
            "x,y,z_mm\n1,1,1\n",
            vec!["no unit is stated for x and y: millimetres are taken"],
        ),
        (
            "x_mm,y_mm,z_mm,t,\n1,1,1,1,\n",
            vec!["columns \"t\" are left out"],
        ),
        (
            "1,1,1,1\n",
            vec![
                "the file has no head: x, y and z in millimetres are taken",
                "the fourth number of each line is left out",
            ],
        ),
    ] {
        assert_eq!(sound(text).notes, notes, "{text}");
    }
}

#[test]
fn a_probes_bad_lines_are_faults_and_the_sound_ones_stay() {
    let text = "x_mm,y_mm,z_mm\n1,1,1\nnan,1,1\n1,,1\n1,1,200\n1,80,1\n2,2,two\n3,3\n4,4,4\n5,5,5\r6,6,6\n1,\"2\n";
    let out = read(text);
    let lines: Vec<usize> = heights(&out).iter().map(|height| height.0).collect();
    assert_eq!(lines, [2, 9]);
    let said: Vec<_> = out
        .faults
        .0
        .iter()
        .map(|fault| (fault.line, fault.place.as_str()))
        .collect();
    let expected = [
        (3, "x"),
        (4, "y"),
        (5, "z"),
        (6, "x"),
        (7, "z"),
        (8, "z"),
        (10, "z"),
        (11, ""),
    ];
    assert_eq!(said, expected.map(|(line, place)| (Some(line), place)));
    assert_eq!(
        out.faults.0[2].to_string(),
        "line 5: z: height 200 mm is more than 100 mm either way; check the value and its unit"
    );
    assert_eq!(out.faults.0[1].message, "y is empty");
}

/// A table of so many heights, every fifth with a coarser resolution.
fn table_of(count: usize) -> String {
    let mut text = String::from("kind,at,across,value,resolution,note\n");
    for index in 0..count {
        let resolution = if index % 5 == 4 { "0.1" } else { "" };
        let _ = writeln!(text, "height,{},0,0.{index},{resolution},n", index % 400);
    }
    text
}

#[test]
fn many_heights_of_one_set_up_are_kept_in_columns() {
    let few = sound(&table_of(400));
    assert_eq!(
        (few.visits[0].readings.len(), few.visits[0].clouds.len()),
        (400, 0)
    );
    let many = sound(&table_of(401));
    let visit = &many.visits[0];
    assert_eq!((visit.readings.len(), visit.count()), (0, 401));
    let sizes: Vec<_> = visit
        .clouds
        .iter()
        .map(|cloud| (cloud.set_up, cloud.x_mm.len(), cloud.sigma_mm))
        .collect();
    assert_eq!(sizes, [(0, 321, 0.005), (0, 80, 0.05)]);
    assert_eq!(visit.clouds[1].lines[..2], [6, 11]);
    let lost = "notes of heights are not kept where a set-up has more than 400: 401 are left out";
    assert!(many.notes.contains(&lost.to_owned()));
    let probe = sound(&"1,1,1\n".repeat(401));
    assert_eq!(probe.visits[0].clouds[0].lines[400], 401);
    let few = sound(&"1,1,1\n".repeat(400));
    assert_eq!(few.visits[0].readings.len(), 400);
}

#[test]
fn a_slow_line_and_a_quick_line_are_the_same_height() {
    let (mut quick, mut slow) = (
        String::from("x_mm,y_mm,z_in\n"),
        String::from("x_mm,y_mm,z_in\n"),
    );
    let mut chance = Chance(1);
    for _ in 0..2000 {
        let mut figure = |most: u64| (chance.next() % most) as f64 / 1000.0;
        let (x, y, z) = (figure(450_000), figure(20_000) - 10.0, figure(2000) - 1.0);
        let _ = writeln!(quick, "{x},{y},{z}");
        let _ = writeln!(slow, "\"{x}\",\"{y} mm\",\"{z}\"");
    }
    assert_eq!(sound(&quick), sound(&slow));
}
