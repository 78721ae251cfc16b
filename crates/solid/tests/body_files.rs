//! Bodies as files: STEP, STL, 3MF.

use std::io::Read;

use instrument::read_commission;
use solid::body::{
    BoardParts, Body, Mesh, Part, board_body, mesh, write_step, write_stl, write_three_mf,
};

fn bittern() -> Body {
    let text = include_str!("../../../demo/bittern.toml");
    let text = text.replace("title = \"Bittern\"", "title = \"O'Bittern <ü> & 1\"");
    let instrument = read_commission(&text, &|_| Err("no files".into())).expect("sound");
    let parts = BoardParts {
        slots: Part::Cut,
        rebate: Part::Cut,
        dots: Part::Cut,
    };
    board_body(&instrument, parts).expect("a sound body")
}

/// The volume within triangles: a sixth of the sum of the corners' triple products.
fn enclosed_mm3(triangles: impl Iterator<Item = [[f64; 3]; 3]>) -> f64 {
    let triple = |[a, b, c]: [[f64; 3]; 3]| {
        a[0] * (b[1] * c[2] - b[2] * c[1])
            + a[1] * (b[2] * c[0] - b[0] * c[2])
            + a[2] * (b[0] * c[1] - b[1] * c[0])
    };
    triangles.map(triple).sum::<f64>() / 6.0
}

fn corners(mesh: &Mesh) -> impl Iterator<Item = [[f64; 3]; 3]> + '_ {
    let triangles = mesh.triangles.iter();
    triangles.map(|triangle| triangle.map(|corner| mesh.points[corner as usize]))
}

#[test]
fn the_same_body_gives_the_same_bytes() {
    let (one, other) = (bittern(), bittern());
    assert_eq!(
        write_step(&one, "2025-04-01"),
        write_step(&other, "2025-04-01")
    );
    let meshes = [&one, &other].map(|body| mesh(body, 0.01).expect("a sound mesh"));
    assert_eq!(meshes[0], meshes[1]);
    let [one, other] = meshes.map(|mesh| write_three_mf(&mesh, "Bittern").expect("a package"));
    assert_eq!(one, other);
}

#[test]
fn every_entity_of_a_step_file_stands_once_before_it_is_named() {
    let text = write_step(&bittern(), "");
    let mut last = 0;
    for line in text.lines().filter(|line| line.starts_with('#')) {
        let (number, entity) = line[1..].split_once('=').expect("an entity");
        let number: usize = number.parse().expect("a number");
        assert_eq!(number, last + 1);
        last = number;
        for named in entity.split('#').skip(1) {
            let digits: String = named.chars().take_while(char::is_ascii_digit).collect();
            assert!(
                digits.parse::<usize>().expect("a number") < number,
                "{line}"
            );
        }
    }
    assert!(last > 1000);
    assert_eq!(text.matches("MANIFOLD_SOLID_BREP(").count(), 1);
    assert_eq!(text.matches("CLOSED_SHELL(").count(), 1);
    assert!(text.contains("FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'))"));
    // ISO 10303-21: quotes doubled, other alphabets in hexadecimal, nothing but plain ASCII.
    assert!(text.contains("'O''Bittern <\\X2\\00FC\\X0\\> & 1 board'"));
    assert!(text.is_ascii());
}

#[test]
fn no_cone_is_written_because_the_camber_is_none() {
    let text = write_step(&bittern(), "");
    assert!(!text.contains("CONICAL_SURFACE"));
    assert!(text.contains("RATIONAL_B_SPLINE_SURFACE"));
}

#[test]
fn triangles_come_nearer_to_the_body_with_the_tolerance() {
    let body = bittern();
    for chord_mm in [1.0, 0.1, 0.01, 0.001, 0.0005] {
        let mesh = mesh(&body, chord_mm).expect("a sound mesh");
        assert!(mesh.off_mm <= chord_mm, "{} of {chord_mm}", mesh.off_mm);
        assert!(
            mesh.off_mm > 0.1 * chord_mm.min(0.5),
            "finer than asked: {}",
            mesh.off_mm
        );
        let away = (enclosed_mm3(corners(&mesh)) - body.volume_mm3()).abs();
        // No more than the tolerance over the whole face of about 500 by 60 mm and its pockets.
        assert!(away < chord_mm * 40_000.0, "{away} at {chord_mm}");
    }
}

#[test]
fn an_stl_file_holds_the_same_volume() {
    let mesh = mesh(&bittern(), 0.01).expect("a sound mesh");
    let bytes = write_stl(&mesh, "solid ü");
    assert_eq!(bytes.len(), 84 + 50 * mesh.triangles.len());
    assert!(bytes.starts_with(b"Lengths in mm. solid ?"));
    let number =
        |bytes: &[u8]| f64::from(f32::from_le_bytes([bytes[0], bytes[1], bytes[2], bytes[3]]));
    let read = bytes[84..].chunks_exact(50).map(|facet| {
        let vector = |at: usize| [0, 4, 8].map(|i| number(&facet[at + i..]));
        [vector(12), vector(24), vector(36)]
    });
    let away = enclosed_mm3(read) / enclosed_mm3(corners(&mesh)) - 1.0;
    assert!(away.abs() < 1e-6, "{away:e}");
}

#[test]
fn a_package_unpacks_to_its_model() {
    let mesh = mesh(&bittern(), 0.1).expect("a sound mesh");
    let bytes = write_three_mf(&mesh, "O'Bittern <ü> & 1").expect("a package");
    let short = |at: usize| usize::from(u16::from_le_bytes([bytes[at], bytes[at + 1]]));
    let long = |at: usize| short(at) + (short(at + 2) << 16);
    let (mut at, mut files) = (0, Vec::new());
    while bytes[at..].starts_with(b"PK\x03\x04") {
        let (packed, size, name) = (long(at + 18), long(at + 22), short(at + 26));
        let start = at + 30 + name;
        let mut text = String::new();
        flate2::read::DeflateDecoder::new(&bytes[start..start + packed])
            .read_to_string(&mut text)
            .expect("it unpacks");
        assert_eq!(text.len(), size);
        files.push((bytes[at + 30..start].to_vec(), text));
        at = start + packed;
    }
    let names: Vec<&[u8]> = files.iter().map(|file| file.0.as_slice()).collect();
    assert_eq!(
        names,
        [
            &b"[Content_Types].xml"[..],
            &b"_rels/.rels"[..],
            &b"3D/3dmodel.model"[..]
        ]
    );
    let model = &files[2].1;
    assert!(model.contains("unit=\"millimeter\""));
    assert!(model.contains("O'Bittern &lt;ü&gt; &amp; 1"));
    assert_eq!(model.matches("<triangle ").count(), mesh.triangles.len());
    assert_eq!(model.matches("<vertex ").count(), mesh.points.len());
}
