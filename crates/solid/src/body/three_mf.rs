//! Triangles as a 3MF package (core specification 1.x): for printers, with the unit in the file.

use std::fmt::Write;

use super::{BodyError, Mesh};
use crate::package::package;

const TYPES: &str = concat!(
    r#"<?xml version="1.0" encoding="UTF-8"?>"#,
    "\n",
    r#"<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">"#,
    r#"<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>"#,
    r#"<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>"#,
    "</Types>\n"
);

const RELATIONS: &str = concat!(
    r#"<?xml version="1.0" encoding="UTF-8"?>"#,
    "\n",
    r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">"#,
    r#"<Relationship Target="/3D/3dmodel.model" Id="body" "#,
    r#"Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>"#,
    "</Relationships>\n"
);

/// The mesh as a 3MF package, in millimetres. The same mesh and title give the same bytes.
///
/// Accuracy: numbers are written to a millionth of a millimetre.
///
/// Errors: when the package grows past what its format holds.
pub fn write_three_mf(mesh: &Mesh, title: &str) -> Result<Vec<u8>, BodyError> {
    let model = model(mesh, title);
    let files = [
        ("[Content_Types].xml", TYPES),
        ("_rels/.rels", RELATIONS),
        ("3D/3dmodel.model", &model),
    ];
    package(&files.map(|(name, text)| (name, text.as_bytes()))).map_err(BodyError::Package)
}

fn model(mesh: &Mesh, title: &str) -> String {
    let mut text = String::with_capacity(60 * mesh.points.len() + 40 * mesh.triangles.len() + 800);
    let title = escaped(title);
    // Writing to a string cannot fail.
    let _ = write!(
        text,
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <model unit=\"millimeter\" xml:lang=\"en\" \
         xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\">\n\
         <metadata name=\"Title\">{title}</metadata>\n<resources>\n\
         <object id=\"1\" type=\"model\" name=\"{title}\">\n<mesh>\n<vertices>\n"
    );
    for [x, y, z] in &mesh.points {
        let _ = writeln!(text, "<vertex x=\"{x:.6}\" y=\"{y:.6}\" z=\"{z:.6}\"/>");
    }
    text.push_str("</vertices>\n<triangles>\n");
    for [a, b, c] in &mesh.triangles {
        let _ = writeln!(text, "<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>");
    }
    text.push_str(
        "</triangles>\n</mesh>\n</object>\n</resources>\n<build>\n<item objectid=\"1\"/>\n</build>\n</model>\n",
    );
    text
}

/// A text inside XML; what XML cannot hold is left away.
fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            letter if letter.is_control() || ('\u{fffe}'..='\u{ffff}').contains(&letter) => {}
            letter => escaped.push(letter),
        }
    }
    escaped
}
