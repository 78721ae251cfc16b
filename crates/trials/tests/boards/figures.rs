//! The figures of a sheet as a list of names and values, with their dimension in lengths.

use play::Sheet;

/// One figure: its name, its value, and by which power of a length it grows.
pub struct Figure {
    pub name: String,
    pub value: f64,
    pub power: i32,
}

/// Every figure that has no side: the same for both hands. Radii are listed as curvatures, so
/// that a flat board is zero.
pub fn sideless(sheet: &Sheet) -> Vec<Figure> {
    let mut list = Vec::new();
    for fret in &sheet.frets {
        let mut add = |name: &str, value: f64, power: i32| {
            list.push(Figure {
                name: format!("fret {} {name}", fret.fret),
                value,
                power,
            });
        };
        add("cents", fret.cents, 0);
        add("x", fret.x_mm, 1);
        add("step", fret.step_mm.unwrap_or(0.0), 1);
        add("width", fret.width_mm, 1);
        add("curvature", 1.0 / fret.radius.mm(), -1);
        add("edge drop", fret.edge_drop_mm, 1);
        add("edge thickness", fret.edge_thickness_mm, 1);
        add("least margin", fret.margin_mm(), 1);
        add("arc length", fret.arc.length_mm, 1);
        add("arc curvature", 1.0 / fret.arc.radius_mm, -1);
        add("arc chord", fret.arc.chord_mm, 1);
        add("slot depth", fret.slot_depth_mm, 1);
        add("wood under slot", fret.wood_under_slot_mm, 1);
        add("slot length", fret.slot_length_mm, 1);
        add("wire", fret.wire_mm, 1);
        add("bend curvature", 1.0 / fret.bend_radius_mm, -1);
        if let Some(gauge) = &fret.gauge {
            add("gauge light", gauge.light_mm, 1);
        }
    }
    let mut add = |name: &str, value: f64, power: i32| {
        list.push(Figure {
            name: name.into(),
            value,
            power,
        })
    };
    add(
        "lanes' apex",
        sheet.camber.lanes_apex_x_mm.unwrap_or(0.0),
        1,
    );
    add("removed", sheet.camber.removed_mm3, 3);
    add("fall away", sheet.camber.fall_away_mm3, 3);
    add("wire in all", sheet.wire.total_mm, 1);
    list
}
