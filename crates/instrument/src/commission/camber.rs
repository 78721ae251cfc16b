//! The table `[camber]`: the law and its radii, the fall-away.

use crate::arc::Radius;
use crate::camber::{Camber, FallAway, Knot, Law, PastLastKnot, string_cone_knots};
use crate::commission::keys::STATION;
use crate::format::{Desk, Given};
use crate::scale::CrossLine;

/// What the camber needs to know of the board's layout.
pub(super) struct Place<'a> {
    pub frets: &'a [CrossLine],
    pub end_x_mm: f64,
    pub lanes_apex_x_mm: Option<f64>,
}

pub(super) fn read(desk: &Desk<'_>, place: &Place<'_>) -> Option<Camber> {
    let fall_away = fall_away(desk, place);
    let law = desk.choice("law")?.value;
    note_needless_radii(desk, law);
    let last = place.frets.last()?.x_mm;
    let (law, knots, end) = match law {
        "single" => (Law::Single, single(desk)?, PastLastKnot::Held),
        "cone" => (Law::Cone, cone(desk, last)?, PastLastKnot::RunsOn),
        "string cone" => (
            Law::StringCone,
            string_cone(desk, place)?,
            PastLastKnot::RunsOn,
        ),
        _ => {
            let (knots, end) = stations(desk, place)?;
            (Law::Stations, knots, end)
        }
    };
    Some(Camber::new(law, knots, end, fall_away?))
}

fn note_needless_radii(desk: &Desk<'_>, law: &str) {
    let wanted: &[&str] = match law {
        "single" => &["radius"],
        "cone" => &["nut", "last_fret"],
        "string cone" => &["nut"],
        _ => &["at"],
    };
    for name in ["radius", "nut", "last_fret", "at"] {
        if desk.has(name) && !wanted.contains(&name) {
            desk.fault(
                name,
                format!("law \"{law}\" does not use `{name}`"),
                format!("take it away; this law needs `{}`", wanted.join("` and `")),
            );
        }
    }
}

fn needed(desk: &Desk<'_>, law: &str, name: &str) -> Option<Given<Radius>> {
    if !desk.has(name) {
        desk.fault(
            name,
            format!("law \"{law}\" needs `{name}`"),
            "add it, for example \"16 in\"",
        );
        return None;
    }
    desk.radius(name)
}

fn curved(desk: &Desk<'_>, given: &Given<Radius>) -> Option<Radius> {
    if given.value.is_flat() {
        desk.fault_at(
            given,
            "a radius that runs from or to flat has no straight law",
            "use law \"single\" with radius = \"flat\", or a large radius such as \"5000 mm\"",
        );
        return None;
    }
    Some(given.value)
}

fn single(desk: &Desk<'_>) -> Option<Vec<Knot>> {
    let radius = needed(desk, "single", "radius")?.value;
    Some(vec![Knot { x_mm: 0.0, radius }])
}

fn cone(desk: &Desk<'_>, last_fret_x_mm: f64) -> Option<Vec<Knot>> {
    let (nut, last) = (
        needed(desk, "cone", "nut"),
        needed(desk, "cone", "last_fret"),
    );
    let (nut, last) = (curved(desk, &nut?)?, curved(desk, &last?)?);
    Some(vec![
        Knot {
            x_mm: 0.0,
            radius: nut,
        },
        Knot {
            x_mm: last_fret_x_mm,
            radius: last,
        },
    ])
}

fn string_cone(desk: &Desk<'_>, place: &Place<'_>) -> Option<Vec<Knot>> {
    let given = needed(desk, "string cone", "nut")?;
    let nut = curved(desk, &given)?;
    let last = place.frets.last()?.x_mm;
    if place
        .lanes_apex_x_mm
        .is_some_and(|apex| (0.0..=place.end_x_mm).contains(&apex))
    {
        desk.fault_at(
            &given,
            "the lanes meet on the board, so that no cone has them as rulings",
            "check nut_spread and saddle_spread",
        );
        return None;
    }
    Some(string_cone_knots(nut, place.lanes_apex_x_mm, last))
}

fn stations(desk: &Desk<'_>, place: &Place<'_>) -> Option<(Vec<Knot>, PastLastKnot)> {
    if !desk.has("at") {
        desk.fault(
            "at",
            "law \"stations\" needs its stations",
            "write at = [{ fret = 0, radius = \"10 in\" }, { fret = 22, radius = \"16 in\" }]",
        );
        return None;
    }
    let mut knots: Vec<(i64, Knot)> = Vec::new();
    let mut sound = true;
    for entry in desk.list("at")? {
        let Some(station) = entry.table(&STATION) else {
            continue;
        };
        match read_station(&station, place, knots.last().map(|(fret, _)| *fret)) {
            Some(knot) => knots.push(knot),
            None => sound = false,
        }
    }
    if knots.len() < 2 && sound {
        let found = knots.len();
        desk.fault(
            "at",
            format!("{found} station is too few"),
            "name at least two, or use \"single\"",
        );
    }
    let reaches_last = knots.last()?.0 as usize == place.frets.len() - 1;
    let end = if reaches_last {
        PastLastKnot::RunsOn
    } else {
        PastLastKnot::Held
    };
    (sound && knots.len() > 1).then(|| (knots.into_iter().map(|(_, knot)| knot).collect(), end))
}

fn read_station(station: &Desk<'_>, place: &Place<'_>, before: Option<i64>) -> Option<(i64, Knot)> {
    let (fret, radius) = (station.whole("fret"), station.radius("radius"));
    let (fret, radius) = (fret?, curved(station, &radius?)?);
    if let Some(before) = before.filter(|before| fret.value <= *before) {
        station.fault_at(
            &fret,
            format!(
                "station at fret {} comes after the one at fret {before}",
                fret.value
            ),
            "put stations in order along the board, each fret once",
        );
        return None;
    }
    let Some(line) = place.frets.get(fret.value as usize) else {
        let last = place.frets.len() - 1;
        station.fault_at(
            &fret,
            format!("there is no fret {}", fret.value),
            format!("the last fret is {last}"),
        );
        return None;
    };
    Some((
        fret.value,
        Knot {
            x_mm: line.x_mm,
            radius,
        },
    ))
}

/// `Some(None)` when no fall-away is asked for, nothing when it is wrong.
fn fall_away(desk: &Desk<'_>, place: &Place<'_>) -> Option<Option<FallAway>> {
    if !desk.has("fall_away") {
        return Some(None);
    }
    let table = desk.table("fall_away")?;
    let (fret, depth) = (table.whole("from_fret"), table.length("depth"));
    let (fret, depth) = (fret?, depth?);
    let last = place.frets.len() - 1;
    let Some(line) = place.frets.get(fret.value as usize) else {
        table.fault_at(
            &fret,
            format!("there is no fret {}", fret.value),
            format!("the last fret is {last}"),
        );
        return None;
    };
    let room = place.end_x_mm - line.x_mm;
    if room <= 0.0 {
        table.fault_at(
            &fret,
            format!(
                "fret {} is the board's end: nothing is left to fall away",
                fret.value
            ),
            "begin at an earlier fret, or give the board an overhang",
        );
        return None;
    }
    if depth.value.mm() == 0.0 {
        return Some(None);
    }
    Some(Some(FallAway {
        from_fret: fret.value as usize,
        from_x_mm: line.x_mm,
        end_x_mm: place.end_x_mm,
        depth_mm: depth.value.mm(),
    }))
}
