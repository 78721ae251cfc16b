//! The jig for a hand-held router: a drawing to build it by.

use bench::jigs::{DIG_MM, JIG_CAUTIONS, JigSetting, Rail, Sled, SwingArm};
use bench::machine::Carriage;
use instrument::Instrument;

use super::frame::{Look, TEXT_MM, WIDE_MM};
use super::rail_pattern::{place_words, radius, reach};
use crate::{Anchor, Dash, Ink, Item, Path, Point, Scene, Weight, wrap_text};

/// Sheet beside the drawn things, left and right, mm: room for the heights' figures.
const SIDE_MM: f64 = 26.0;

/// Height of a line of words, mm.
const LINE_MM: f64 = 4.6;

/// How thick rails and plate are drawn, mm of wood; neither is prescribed.
const DRAWN_THICK_MM: f64 = 12.0;

/// The axis of a swing arm is drawn when it lies no deeper under the plate than this, mm of wood.
const DEEPEST_AXIS_MM: f64 = 520.0;

/// The jig for one stretch of a board, drawn to scale: from the side, and in the planes of both
/// rails as seen from the nut; below them the figures to set it by, and the cautions.
pub fn jig_drawing(
    instrument: &Instrument,
    setting: &JigSetting,
    carriage: Carriage,
    look: Look,
) -> Scene {
    let title = format!(
        "{}: jig from {} to {}",
        instrument.title,
        place_words(setting.stretch.from_mm, look),
        place_words(setting.stretch.to_mm, look)
    );
    let description = format!(
        "{title}, drawn to scale. {}",
        figures(setting, carriage, look).join(". ")
    );
    let mut scene = Scene::new(WIDE_MM, 0.0, title.clone(), description);
    let at = Point::new(4.0, 6.0);
    let heading = Item::text(at, title, 4.0, Ink::Text).weighted(Weight::Bold);
    scene.layer("words").add(heading);
    let mut foot = 12.0;
    if let Ok(sled) = &setting.sled {
        let view = SideView::new(instrument, setting, carriage, sled, look, foot);
        foot = view.draw(&mut scene);
        foot = draw_end_views(&mut scene, setting, carriage, sled, look, foot);
    }
    scene.height_mm = draw_words(&mut scene, &figures(setting, carriage, look), foot) + 3.0;
    scene
}

/// A length that is nearly nothing: to a ten-thousandth, and never a bare nought.
fn hair(mm: f64, look: Look) -> String {
    const LEAST_SHOWN_MM: f64 = 1e-4;
    if mm < LEAST_SHOWN_MM {
        format!("less than {}", look.length(LEAST_SHOWN_MM, 4))
    } else {
        look.length(mm, 4)
    }
}

/// The jig from the side, nut to the left.
struct SideView<'a> {
    instrument: &'a Instrument,
    setting: &'a JigSetting,
    carriage: Carriage,
    sled: &'a Sled,
    look: Look,
    scale: f64,
    from_x_mm: f64,
    floor_mm: f64,
}

impl<'a> SideView<'a> {
    fn new(
        instrument: &'a Instrument,
        setting: &'a JigSetting,
        carriage: Carriage,
        sled: &'a Sled,
        look: Look,
        top_mm: f64,
    ) -> Self {
        let from = sled.rails[0].x_mm - DRAWN_THICK_MM;
        let to = sled.rails[1].x_mm + DRAWN_THICK_MM;
        let scale = (WIDE_MM - 2.0 * SIDE_MM) / (to - from);
        let highest = sled.rails[0]
            .crown_height_mm
            .max(sled.rails[1].crown_height_mm);
        // Over the plate stand the cutter's name and its centreline.
        let floor_mm = top_mm + 8.0 + scale * (highest + 2.0 * DRAWN_THICK_MM);
        Self {
            instrument,
            setting,
            carriage,
            sled,
            look,
            scale,
            from_x_mm: from,
            floor_mm,
        }
    }

    /// A place along the board and a height over the floor, as a point of the sheet.
    fn point(&self, x: f64, height: f64) -> Point {
        Point::new(
            SIDE_MM + self.scale * (x - self.from_x_mm),
            self.floor_mm - self.scale * height,
        )
    }

    fn block(&self, x: (f64, f64), height: (f64, f64)) -> Path {
        Path::polygon(&[
            self.point(x.0, height.0),
            self.point(x.1, height.0),
            self.point(x.1, height.1),
            self.point(x.0, height.1),
        ])
    }

    /// Draws the view; gives the height on the sheet where it ends, mm.
    fn draw(&self, scene: &mut Scene) -> f64 {
        self.draw_board(scene);
        self.draw_rails(scene);
        self.draw_plate(scene);
        self.draw_cutter(scene);
        let below = self.draw_lengths(scene);
        self.draw_axis(scene).max(below)
    }

    fn draw_board(&self, scene: &mut Scene) {
        let (from, to) = self.instrument.outline.reach();
        let bed = self.carriage.bed_mm;
        let crown = self.instrument.wood.crown_thickness_mm;
        let bench = Path::line(
            self.point(self.from_x_mm, 0.0),
            self.point(self.sled.rails[1].x_mm + DRAWN_THICK_MM, 0.0),
        );
        scene
            .layer("floor")
            .add(Item::stroked(bench, Ink::Line, 0.6));
        let support = Item::stroked(self.block((from, to), (0.0, bed)), Ink::FaintLine, 0.3);
        scene.layer("floor").add(support.labelled("bed"));
        let camber = &self.instrument.camber;
        let mut points = vec![self.point(to, bed), self.point(from, bed)];
        let mut xs = vec![from];
        xs.extend(camber.breaks().into_iter().filter(|x| *x > from && *x < to));
        xs.push(to);
        xs.sort_by(f64::total_cmp);
        points.extend(
            xs.iter()
                .map(|x| self.point(*x, bed + crown - camber.fall(*x))),
        );
        let board = Path::polygon(&points);
        scene
            .layer("wood")
            .add(Item::filled(board.clone(), Ink::Wood));
        scene
            .layer("wood")
            .add(Item::stroked(board, Ink::WoodEdge, 0.3).labelled("board"));
        // This stretch stands out where there are others.
        let stretch = &self.setting.stretch;
        let at = |x: f64| self.point(x, bed + crown - camber.fall(x));
        let line = Path::line(at(stretch.from_mm), at(stretch.to_mm));
        scene
            .layer("wood")
            .add(Item::stroked(line, Ink::Accent, 0.6));
    }

    fn draw_rails(&self, scene: &mut Scene) {
        for (rail, outward, anchor) in [
            (&self.sled.rails[0], -1.0, Anchor::Start),
            (&self.sled.rails[1], 1.0, Anchor::End),
        ] {
            let x = (rail.x_mm, rail.x_mm + outward * DRAWN_THICK_MM);
            let path = self.block(x, (0.0, rail.crown_height_mm));
            let layer = scene.layer("rails");
            layer.add(Item::filled(path.clone(), Ink::SecondFill));
            layer.add(Item::stroked(path, Ink::Second, 0.35).labelled("rail"));
            let from = self.point(x.1, 0.0);
            let to = self.point(x.1, rail.crown_height_mm);
            let aside = 5.0 * outward;
            let path = |shift: f64, low: f64, high: f64| {
                Path::line(
                    Point::new(from.x + shift, low),
                    Point::new(from.x + shift, high),
                )
            };
            let layer = scene.layer("dimensions");
            layer.add(Item::stroked(
                path(aside, from.y, to.y),
                Ink::FaintText,
                0.25,
            ));
            for y in [from.y, to.y] {
                let tick = Path::line(
                    Point::new(from.x + aside - 1.2, y),
                    Point::new(from.x + aside + 1.2, y),
                );
                layer.add(Item::stroked(tick, Ink::FaintText, 0.25));
            }
            // Over the plate's corner, where the longest figure has room.
            let words = self.look.length(rail.crown_height_mm, 2);
            let corner = 0.5 * WIDE_MM + outward * (0.5 * WIDE_MM - 4.0);
            let at = Point::new(corner, to.y - self.scale * DRAWN_THICK_MM - 2.0);
            layer.add(Item::text(at, words, TEXT_MM, Ink::Text).anchored(anchor));
        }
    }

    /// The plate's underside at a place, upright: straight from rail to rail.
    fn plate_height(&self, x: f64) -> f64 {
        let [near, far] = &self.sled.rails;
        let share = (x - near.x_mm) / (far.x_mm - near.x_mm);
        near.crown_height_mm + share * (far.crown_height_mm - near.crown_height_mm)
    }

    fn draw_plate(&self, scene: &mut Scene) {
        let [near, far] = &self.sled.rails;
        let ends = [near.x_mm - DRAWN_THICK_MM, far.x_mm + DRAWN_THICK_MM];
        let under = ends.map(|x| self.point(x, self.plate_height(x)));
        let over = ends.map(|x| self.point(x, self.plate_height(x) + DRAWN_THICK_MM));
        let path = Path::polygon(&[under[0], under[1], over[1], over[0]]);
        let layer = scene.layer("plate");
        layer.add(Item::filled(path.clone(), Ink::AccentFill));
        layer.add(Item::stroked(path, Ink::Accent, 0.35).labelled("carriage plate"));
    }

    fn draw_cutter(&self, scene: &mut Scene) {
        let x = 0.5 * (self.setting.travel_mm.0 + self.setting.travel_mm.1);
        let half = 0.5 * self.carriage.cutter_mm;
        let top = self.plate_height(x);
        let below = self.carriage.below_mm;
        let path = self.block((x - half, x + half), (top - below, top));
        let layer = scene.layer("cutter");
        layer.add(Item::path(
            path,
            Some(crate::Stroke::new(Ink::Line, 0.3)),
            Some(Ink::Paper),
        ));
        let centre = Path::line(
            self.point(x, top - below),
            Point::new(
                self.point(x, 0.0).x,
                self.point(x, top + DRAWN_THICK_MM).y - 7.0,
            ),
        );
        layer.add(Item::stroked(centre, Ink::Line, 0.2).dashed(Dash::Chain));
        let words = format!(
            "cutter {}, {} below the plate",
            self.look.length(self.carriage.cutter_mm, 2),
            self.look.length(below, 2)
        );
        let at = Point::new(
            self.point(x, 0.0).x,
            self.point(x, top + DRAWN_THICK_MM).y - 8.2,
        );
        layer.add(Item::text(at, words, TEXT_MM, Ink::Text).anchored(Anchor::Middle));
    }

    /// How far the rails stand beyond the board, and from plane to plane.
    fn draw_lengths(&self, scene: &mut Scene) -> f64 {
        let [near, far] = &self.sled.rails;
        let (from, to) = self.instrument.outline.reach();
        let row = self.floor_mm + 5.0;
        for (start, end, y) in [
            (near.x_mm, from, row),
            (from, to, row),
            (to, far.x_mm, row),
            (near.x_mm, far.x_mm, row + 8.0),
        ] {
            let words = self.look.length(end - start, 1);
            let ends = [start, end].map(|x| self.point(x, 0.0).x);
            draw_width(scene, ends, y, &words);
        }
        row + 8.0 + 5.5
    }

    /// The swing arm's axis with its pivots, where it lies within reach of the sheet.
    fn draw_axis(&self, scene: &mut Scene) -> f64 {
        let Ok(arm) = &self.setting.arm else {
            return 0.0;
        };
        let deepest = arm
            .pivots
            .iter()
            .fold(0.0, |most, pivot| pivot.to_plate_mm.max(most));
        if deepest > DEEPEST_AXIS_MM {
            return 0.0;
        }
        let ends = arm
            .pivots
            .map(|pivot| self.point(pivot.x_mm, pivot.height_mm));
        let layer = scene.layer("axis");
        let axis = Path::line(ends[0], ends[1]);
        layer.add(Item::stroked(axis, Ink::Third, 0.35).dashed(Dash::Chain));
        for ((pivot, at), (anchor, aside)) in arm
            .pivots
            .iter()
            .zip(ends)
            .zip([(Anchor::Start, 2.0), (Anchor::End, -2.0)])
        {
            layer.add(Item::stroked(Path::circle(at, 1.2), Ink::Third, 0.35));
            let up = self.point(pivot.x_mm, pivot.height_mm + pivot.to_surface_mm);
            let line = Path::line(Point::new(at.x, at.y - 1.2), up);
            layer.add(Item::stroked(line, Ink::Third, 0.25).dashed(Dash::Dashed));
            let words = format!("arm {}", self.look.length(pivot.to_surface_mm, 2));
            let place = Point::new(at.x + aside, self.floor_mm + 0.55 * (at.y - self.floor_mm));
            // A short arm's words would lie on the lengths under the floor.
            let place = Point::new(place.x, place.y.max(self.floor_mm + 20.0));
            layer.add(Item::text(place, words, TEXT_MM, Ink::Third).anchored(anchor));
        }
        ends[0].y.max(ends[1].y) + 4.0
    }
}

/// A length along the sheet with its figure under it.
fn draw_width(scene: &mut Scene, x: [f64; 2], y: f64, words: &str) {
    draw_span(scene, x, y);
    let at = Point::new(0.5 * (x[0] + x[1]), y + 4.2);
    let item = Item::text(at, words, TEXT_MM, Ink::Text).anchored(Anchor::Middle);
    scene.layer("dimensions").add(item);
}

/// A line along the sheet with a tick at both ends.
fn draw_span(scene: &mut Scene, x: [f64; 2], y: f64) {
    let layer = scene.layer("dimensions");
    let line = Path::line(Point::new(x[0], y), Point::new(x[1], y));
    layer.add(Item::stroked(line, Ink::FaintText, 0.25));
    for end in x {
        let tick = Path::line(Point::new(end, y - 1.2), Point::new(end, y + 1.2));
        layer.add(Item::stroked(tick, Ink::FaintText, 0.25));
    }
}

/// A rail in its plane as seen from the nut, the plate lying on it at three angles.
struct EndView<'a> {
    setting: &'a JigSetting,
    carriage: Carriage,
    rail: &'a Rail,
    /// Angles of the arc at the treble and the bass stop; on a flat board distances, mm.
    leans: [f64; 2],
    scale: f64,
    middle_mm: f64,
    floor_mm: f64,
}

/// Both rails side by side, to one scale; gives the height on the sheet where they end, mm.
fn draw_end_views(
    scene: &mut Scene,
    setting: &JigSetting,
    carriage: Carriage,
    sled: &Sled,
    look: Look,
    top_mm: f64,
) -> f64 {
    let widest = sled
        .rails
        .iter()
        .flat_map(|rail| rail.stops_mm)
        .map(|stop| stop.0.abs())
        .fold(0.0, f64::max);
    let half = widest + carriage.base_mm + DRAWN_THICK_MM;
    let scale = 0.5 * (0.5 * WIDE_MM - 6.0) / half;
    // A plate at its stop stands up by its half width times the sine of its lean.
    let lean = sled.swing[0].max(sled.swing[1]).sin();
    let highest = sled
        .rails
        .iter()
        .map(|rail| rail.crown_height_mm)
        .fold(0.0, f64::max);
    let floor = top_mm + 10.0 + scale * (highest + half * lean + 2.0 * DRAWN_THICK_MM);
    for (index, rail) in sled.rails.iter().enumerate() {
        let leans = if setting.stretch.is_flat() {
            rail.stops_mm.map(|stop| stop.0.abs())
        } else {
            sled.swing
        };
        let view = EndView {
            setting,
            carriage,
            rail,
            leans,
            scale,
            middle_mm: WIDE_MM * if index == 0 { 0.25 } else { 0.75 },
            floor_mm: floor,
        };
        view.draw(
            scene,
            look,
            ["rail before the nut", "rail past the board"][index],
            top_mm,
        );
    }
    floor + 16.0
}

impl EndView<'_> {
    fn point(&self, y: f64, height: f64) -> Point {
        Point::new(
            self.middle_mm - self.scale * y,
            self.floor_mm - self.scale * height,
        )
    }

    fn draw(&self, scene: &mut Scene, look: Look, name: &str, top_mm: f64) {
        let (bass, treble) = reach(self.rail);
        let mut points: Vec<Point> = self
            .rail
            .profile_mm
            .iter()
            .map(|at| self.point(at.0, at.1))
            .collect();
        points.push(self.point(treble, 0.0));
        points.push(self.point(bass, 0.0));
        let outline = Path::polygon(&points);
        let layer = scene.layer("rails");
        layer.add(Item::filled(outline.clone(), Ink::SecondFill));
        layer.add(Item::stroked(outline, Ink::Second, 0.35));
        self.draw_arch(scene);
        for across in [self.leans[0], 0.0, -self.leans[1]] {
            self.draw_plate(scene, across);
        }
        for (stop, anchor, aside) in [
            (self.rail.stops_mm[0].0, Anchor::End, -1.0),
            (self.rail.stops_mm[1].0, Anchor::Start, 1.0),
        ] {
            let ends = [self.point(stop, 0.0).x, self.middle_mm];
            let y = self.floor_mm + 4.0;
            draw_span(scene, ends, y);
            // Away from the middle, so that two narrow stops leave each other room.
            let at = Point::new(self.middle_mm + aside, y + 4.2);
            let words = look.length(stop.abs(), 2);
            let item = Item::text(at, words, TEXT_MM, Ink::Text).anchored(anchor);
            scene.layer("dimensions").add(item);
        }
        let words = format!(
            "{name}: {}; treble at the left",
            radius(self.rail.circle_radius_mm, look)
        );
        let at = Point::new(self.middle_mm, top_mm + 4.5);
        let item = Item::text(at, words, TEXT_MM, Ink::Text).anchored(Anchor::Middle);
        scene.layer("words").add(item);
        let at = Point::new(self.middle_mm, self.floor_mm + 12.4);
        let words = "stops, from the centreline";
        let item = Item::text(at, words, TEXT_MM, Ink::FaintText).anchored(Anchor::Middle);
        scene.layer("words").add(item);
    }

    /// Height over the floor in the rail's plane of what lies so far over the surface that runs
    /// on to it.
    fn over(&self, across: f64, over_mm: f64) -> (f64, f64) {
        let line = self.setting.stretch.ruling(across);
        let (y, z) = line.over(self.rail.x_mm, over_mm);
        let crown = self.setting.stretch.ruling(0.0);
        let floor =
            crown.over(self.rail.x_mm, self.carriage.below_mm).1 - self.rail.crown_height_mm;
        (y, z - floor)
    }

    /// The board's arch as it runs on to this plane: there the cutter's end would go.
    fn draw_arch(&self, scene: &mut Scene) {
        let points: Vec<Point> = (0..=24)
            .map(|place| f64::from(place) / 24.0)
            .map(|share| -self.leans[1] + share * (self.leans[0] + self.leans[1]))
            .map(|across| self.over(across, 0.0))
            .map(|(y, height)| self.point(y, height))
            .collect();
        let arch = Item::stroked(Path::polyline(&points), Ink::WoodEdge, 0.35).dashed(Dash::Dashed);
        scene.layer("rails").add(arch);
    }

    fn draw_plate(&self, scene: &mut Scene, across: f64) {
        let lean = if self.setting.stretch.is_flat() {
            0.0
        } else {
            across
        };
        let touch = self.over(across, self.carriage.below_mm);
        // Along the plate toward the treble side, and out of it.
        let at = |aside: f64, out: f64| {
            self.point(
                touch.0 + aside * lean.cos() + out * lean.sin(),
                touch.1 - aside * lean.sin() + out * lean.cos(),
            )
        };
        let base = self.carriage.base_mm;
        let plate = [
            (-base, 0.0),
            (base, 0.0),
            (base, DRAWN_THICK_MM),
            (-base, DRAWN_THICK_MM),
        ];
        let half = 0.5 * self.carriage.cutter_mm;
        let below = -self.carriage.below_mm;
        let cutter = [(-half, 0.0), (half, 0.0), (half, below), (-half, below)];
        for (name, corners) in [("plate", plate), ("cutter", cutter)] {
            let path = Path::polygon(&corners.map(|(aside, out)| at(aside, out)));
            let item = Item::stroked(path, Ink::Accent, 0.3);
            let item = if across == 0.0 {
                item
            } else {
                item.dashed(Dash::Dashed)
            };
            scene.layer(name).add(item);
        }
    }
}

/// The figures to set the jig by, a sentence each.
fn figures(setting: &JigSetting, carriage: Carriage, look: Look) -> Vec<String> {
    let mut lines = vec![format!(
        "cutter's centre from {} to {}, no further",
        place_words(setting.travel_mm.0, look),
        place_words(setting.travel_mm.1, look)
    )];
    let deepest = setting.digs_mm[0].max(setting.digs_mm[1]);
    if deepest > DIG_MM {
        lines.push(format!(
            "that is half a cutter short of the joint, over which it would dig {}: the beam takes \
             the rest",
            look.length(deepest, 3)
        ));
    }
    match &setting.sled {
        Ok(sled) => sled_figures(sled, look, &mut lines),
        Err(fault) => lines.push(format!("no sled: {fault}")),
    }
    match &setting.facets {
        Ok(facets) if facets.step_angle == 0.0 => lines.push(format!(
            "{} passes, {} apart; on a flat board they leave no ridges",
            facets.passes,
            look.length(facets.step_mm[0], 2)
        )),
        Ok(facets) => {
            lines.push(format!(
                "{} passes, {} apart at the stretch's nut end and {} at its far end",
                facets.passes,
                look.length(facets.step_mm[0], 2),
                look.length(facets.step_mm[1], 2)
            ));
            lines.push(format!(
                "a flat cutter leaves ridges of {} and {} there, and never cuts under the arch",
                look.length(facets.ridge_mm[0], 3),
                look.length(facets.ridge_mm[1], 3)
            ));
        }
        Err(fault) => lines.push(format!("no passes: {fault}")),
    }
    match &setting.arm {
        Ok(arm) => arm_figures(arm, carriage, look, &mut lines),
        Err(fault) => lines.push(format!("no swing arm: {fault}")),
    }
    lines
}

fn sled_figures(sled: &Sled, look: Look, lines: &mut Vec<String>) {
    for (rail, name) in sled
        .rails
        .iter()
        .zip(["rail before the nut", "rail past the board"])
    {
        let departs = if rail.circle_radius_mm.is_finite() {
            format!(", its profile departs by {}", hair(rail.departure_mm, look))
        } else {
            String::new()
        };
        lines.push(format!(
            "{name}: {}{departs}; crown {} over the floor",
            radius(rail.circle_radius_mm, look),
            look.length(rail.crown_height_mm, 2)
        ));
    }
    let plate = format!(
        "carriage plate at least {} long",
        look.length(sled.plate_length_mm, 0)
    );
    lines.push(if sled.swing == [0.0; 2] {
        format!("the plate slides across level, from stop to stop; {plate}")
    } else {
        format!(
            "swing: {:.2}° to the treble and {:.2}° to the bass side, there the stops; {plate}",
            sled.swing[0].to_degrees(),
            sled.swing[1].to_degrees()
        )
    });
}

fn arm_figures(arm: &SwingArm, carriage: Carriage, look: Look, lines: &mut Vec<String>) {
    for (pivot, name) in arm.pivots.iter().zip(["before the nut", "past the board"]) {
        let side = if pivot.height_mm < 0.0 {
            "under"
        } else {
            "over"
        };
        lines.push(format!(
            "swing arm, pivot {name}: {} {side} the floor; {} from pivot to cutter's end, {} to the \
             plate",
            look.length(pivot.height_mm.abs(), 2),
            look.length(pivot.to_surface_mm, 2),
            look.length(pivot.to_plate_mm, 2)
        ));
    }
    lines.push(format!(
        "the arm swings {:.2}° to the treble and {:.2}° to the bass side; its cone stands at most {} \
         over and {} under the camber",
        arm.swing[0].to_degrees(),
        arm.swing[1].to_degrees(),
        hair(arm.departure.over_mm, look),
        hair(arm.departure.below_mm, look)
    ));
    if arm.raise_bed_mm > 0.0 {
        lines.push(format!(
            "for the arm the bed must stand {} higher than {}, or the pivots hang beside the bench",
            look.length(arm.raise_bed_mm, 1),
            look.length(carriage.bed_mm, 1)
        ));
    }
}

/// Figures at the left, cautions at the right; gives the height on the sheet where they end, mm.
fn draw_words(scene: &mut Scene, figures: &[String], top_mm: f64) -> f64 {
    let wide = 0.5 * WIDE_MM - 8.0;
    let cautions: Vec<String> = JIG_CAUTIONS.iter().map(|line| (*line).to_owned()).collect();
    let columns = [
        ("To set it by", 4.0, figures, Ink::Text),
        (
            "Before you switch it on",
            0.5 * WIDE_MM + 4.0,
            &cautions,
            Ink::Caution,
        ),
    ];
    let mut foot = top_mm;
    for (heading, left, paragraphs, ink) in columns {
        let mut y = top_mm + 5.0;
        let at = Point::new(left, y);
        let item = Item::text(at, heading, TEXT_MM, ink).weighted(Weight::Bold);
        scene.layer("words").add(item);
        for paragraph in paragraphs {
            let lines = wrap_text(paragraph, TEXT_MM, Weight::Regular, wide);
            for (row, line) in lines.into_iter().enumerate() {
                y += if row == 0 {
                    LINE_MM + 0.8
                } else {
                    LINE_MM - 0.4
                };
                let item = Item::text(Point::new(left, y), line, TEXT_MM, Ink::Text);
                scene.layer("words").add(item);
            }
        }
        foot = foot.max(y);
    }
    foot
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hair_is_never_shown_as_nought() {
        let look = Look::default();
        assert_eq!(hair(2e-5, look), "less than 0.0001 mm");
        assert_eq!(hair(0.000_23, look), "0.0002 mm");
    }
}
