//! A body as a STEP file (ISO 10303-21), for CAD: one solid of exact faces, in millimetres.
//!
//! The file follows the application protocol 214, whose schema is named `AUTOMOTIVE_DESIGN`: the
//! oldest that every reader takes and that says all that is needed here.

use std::fmt::{Arguments, Write};

use super::Body;
use super::shell::{Curve, Edge, Face, Shell, Surface, Way};

/// Points nearer than this are one, mm: it stands in the file.
const UNCERTAINTY_MM: f64 = 1e-5;

/// The body as the text of a STEP file.
///
/// `made_on` is the time that stands in its head, as ISO 8601 writes it, such as
/// `2025-04-01T12:00:00`; it may be empty. The same body and time give the same bytes.
///
/// Accuracy: planes, cylinders and arched faces are exact; so are all edges but the rims of
/// pockets, which lie within 0.1 nm of the face and of the pocket's wall.
pub fn write_step(body: &Body, made_on: &str) -> String {
    let mut file = File::new(body, made_on);
    let shell = &body.shell;
    let faces = file.faces(shell);
    let shell = file.add(format_args!("CLOSED_SHELL('',{})", list(&faces)));
    let title = quoted(&body.title);
    let solid = file.add(format_args!("MANIFOLD_SOLID_BREP({title},#{shell})"));
    file.product(&title, solid);
    file.text.push_str("ENDSEC;\nEND-ISO-10303-21;\n");
    file.text
}

struct File {
    text: String,
    last: usize,
}

impl File {
    fn new(body: &Body, made_on: &str) -> Self {
        let mut text = String::with_capacity(400 * (body.shell.edges.len() + 16));
        let (title, made_on) = (quoted(&body.title), quoted(made_on));
        // Writing to a string cannot fail.
        let _ = write!(
            text,
            "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION(('Solid body, lengths in millimetres'),'2;1');\n\
             FILE_NAME({title},{made_on},(''),(''),'Camberwright','Camberwright','');\n\
             FILE_SCHEMA(('AUTOMOTIVE_DESIGN {{ 1 0 10303 214 1 1 1 1 }}'));\nENDSEC;\nDATA;\n"
        );
        Self { text, last: 0 }
    }

    fn add(&mut self, entity: Arguments<'_>) -> usize {
        self.last += 1;
        let _ = writeln!(self.text, "#{}={entity};", self.last);
        self.last
    }

    fn point(&mut self, point: [f64; 3]) -> usize {
        self.add(format_args!("CARTESIAN_POINT('',{})", reals(&point)))
    }

    fn direction(&mut self, direction: [f64; 3]) -> usize {
        self.add(format_args!("DIRECTION('',{})", reals(&direction)))
    }

    fn placement(&mut self, origin: [f64; 3], axis: [f64; 3], zero: [f64; 3]) -> usize {
        let origin = self.point(origin);
        let (axis, zero) = (self.direction(axis), self.direction(zero));
        self.add(format_args!(
            "AXIS2_PLACEMENT_3D('',#{origin},#{axis},#{zero})"
        ))
    }

    fn points(&mut self, points: &[[f64; 3]]) -> String {
        let points: Vec<usize> = points.iter().map(|&point| self.point(point)).collect();
        list(&points)
    }

    fn faces(&mut self, shell: &Shell) -> Vec<usize> {
        let corners: Vec<[usize; 2]> = shell
            .points
            .iter()
            .map(|&point| {
                let place = self.point(point);
                [place, self.add(format_args!("VERTEX_POINT('',#{place})"))]
            })
            .collect();
        let edges: Vec<usize> = shell
            .edges
            .iter()
            .map(|edge| self.edge(edge, shell, &corners))
            .collect();
        shell
            .faces
            .iter()
            .map(|face| self.face(face, &edges))
            .collect()
    }

    fn edge(&mut self, edge: &Edge, shell: &Shell, corners: &[[usize; 2]]) -> usize {
        let [from, to] = edge.ends.map(|end| shell.points[end]);
        let [[first, start], [last, end]] = edge.ends.map(|end| corners[end]);
        let curve = match &edge.curve {
            Curve::Line => {
                let run = [0, 1, 2].map(|i| to[i] - from[i]);
                let length = norm(run);
                let along = self.direction(run.map(|part| part / length));
                let vector = self.add(format_args!("VECTOR('',#{along},1.)"));
                self.add(format_args!("LINE('',#{first},#{vector})"))
            }
            Curve::Circle {
                centre,
                axis,
                zero,
                radius_mm,
            } => {
                let place = self.placement(*centre, *axis, *zero);
                self.add(format_args!("CIRCLE('',#{place},{})", Real(*radius_mm)))
            }
            Curve::Conic { pole, weight } => {
                let length = norm([0, 1, 2].map(|i| to[i] - from[i]));
                let pole = self.point(*pole);
                self.add(format_args!(
                    "(BOUNDED_CURVE()B_SPLINE_CURVE(2,(#{first},#{pole},#{last}),.UNSPECIFIED.,.F.,.F.)\
                     B_SPLINE_CURVE_WITH_KNOTS((3,3),(0.,{}),.UNSPECIFIED.)CURVE()\
                     GEOMETRIC_REPRESENTATION_ITEM()RATIONAL_B_SPLINE_CURVE((1.,{},1.))\
                     REPRESENTATION_ITEM(''))",
                    Real(length),
                    Real(*weight)
                ))
            }
            Curve::Cubics { poles } => {
                let spans = (poles.len() - 2) / 2;
                let poles = self.points(poles);
                let inner = ",2".repeat(spans - 1);
                let knots: Vec<f64> = (0..=spans).map(|knot| knot as f64).collect();
                self.add(format_args!(
                    "B_SPLINE_CURVE_WITH_KNOTS('',3,{poles},.UNSPECIFIED.,.F.,.F.,(4{inner},4),{},\
                     .UNSPECIFIED.)",
                    reals(&knots)
                ))
            }
        };
        self.add(format_args!("EDGE_CURVE('',#{start},#{end},#{curve},.T.)"))
    }

    fn face(&mut self, face: &Face, edges: &[usize]) -> usize {
        let mut bounds = Vec::with_capacity(face.loops.len());
        for (index, ways) in face.loops.iter().enumerate() {
            let ways: Vec<usize> = ways.iter().map(|way| self.way(*way, edges)).collect();
            let ring = self.add(format_args!("EDGE_LOOP('',{})", list(&ways)));
            let kind = if index == 0 {
                "FACE_OUTER_BOUND"
            } else {
                "FACE_BOUND"
            };
            bounds.push(self.add(format_args!("{kind}('',#{ring},.T.)")));
        }
        let surface = self.surface(&face.surface);
        // A cylinder's own normal points away from its axis, into the wood round a pocket.
        let sense = match face.surface {
            Surface::Pocket { .. } => ".F.",
            Surface::Plane { .. } | Surface::Patch { .. } => ".T.",
        };
        self.add(format_args!(
            "ADVANCED_FACE('',{},#{surface},{sense})",
            list(&bounds)
        ))
    }

    fn way(&mut self, way: Way, edges: &[usize]) -> usize {
        let sense = if way.forward { ".T." } else { ".F." };
        self.add(format_args!(
            "ORIENTED_EDGE('',*,*,#{},{sense})",
            edges[way.edge]
        ))
    }

    fn surface(&mut self, surface: &Surface) -> usize {
        match surface {
            Surface::Plane {
                origin,
                normal,
                along,
            } => {
                let place = self.placement(*origin, *normal, *along);
                self.add(format_args!("PLANE('',#{place})"))
            }
            Surface::Pocket { centre, radius_mm } => {
                let place = self.placement(*centre, [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]);
                self.add(format_args!(
                    "CYLINDRICAL_SURFACE('',#{place},{})",
                    Real(*radius_mm)
                ))
            }
            Surface::Patch {
                poles,
                weights,
                size_mm: [length, breadth],
            } => {
                let rows = [self.points(&poles[0]), self.points(&poles[1])];
                let arcs = weights.len() / 2;
                let inner = ",2".repeat(arcs - 1);
                let step = breadth / arcs as f64;
                let knots: Vec<f64> = (0..=arcs).map(|knot| step * knot as f64).collect();
                let weights = reals(weights);
                self.add(format_args!(
                    "(BOUNDED_SURFACE()B_SPLINE_SURFACE(1,2,({},{}),.UNSPECIFIED.,.F.,.F.,.F.)\
                     B_SPLINE_SURFACE_WITH_KNOTS((2,2),(3{inner},3),(0.,{}),{},.UNSPECIFIED.)\
                     GEOMETRIC_REPRESENTATION_ITEM()\
                     RATIONAL_B_SPLINE_SURFACE(({weights},{weights}))REPRESENTATION_ITEM('')SURFACE())",
                    rows[0],
                    rows[1],
                    Real(*length),
                    reals(&knots)
                ))
            }
        }
    }

    /// What the protocol wants round a shape: a product, its units, and how exact its points are.
    fn product(&mut self, title: &str, solid: usize) {
        let application = self.add(format_args!(
            "APPLICATION_CONTEXT('core data for automotive mechanical design processes')"
        ));
        self.add(format_args!(
            "APPLICATION_PROTOCOL_DEFINITION('international standard','automotive_design',2000,#{application})"
        ));
        let context = self.add(format_args!(
            "PRODUCT_CONTEXT('',#{application},'mechanical')"
        ));
        let product = self.add(format_args!("PRODUCT({title},{title},'',(#{context}))"));
        self.add(format_args!(
            "PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,(#{product}))"
        ));
        let formation = self.add(format_args!(
            "PRODUCT_DEFINITION_FORMATION('','',#{product})"
        ));
        let design = self.add(format_args!(
            "PRODUCT_DEFINITION_CONTEXT('part definition',#{application},'design')"
        ));
        let definition = self.add(format_args!(
            "PRODUCT_DEFINITION('design','',#{formation},#{design})"
        ));
        let shape = self.add(format_args!(
            "PRODUCT_DEFINITION_SHAPE('','',#{definition})"
        ));
        let length = self.add(format_args!(
            "(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))"
        ));
        let angle = self.add(format_args!(
            "(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.))"
        ));
        let solid_angle = self.add(format_args!(
            "(NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT())"
        ));
        let uncertainty = self.add(format_args!(
            "UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE({}),#{length},'distance_accuracy_value','')",
            Real(UNCERTAINTY_MM)
        ));
        let space = self.add(format_args!(
            "(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT((#{uncertainty}))\
             GLOBAL_UNIT_ASSIGNED_CONTEXT((#{length},#{angle},#{solid_angle}))REPRESENTATION_CONTEXT('',''))"
        ));
        let place = self.placement([0.0; 3], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]);
        let representation = self.add(format_args!(
            "ADVANCED_BREP_SHAPE_REPRESENTATION({title},(#{place},#{solid}),#{space})"
        ));
        self.add(format_args!(
            "SHAPE_DEFINITION_REPRESENTATION(#{shape},#{representation})"
        ));
    }
}

fn norm(vector: [f64; 3]) -> f64 {
    vector[0].hypot(vector[1]).hypot(vector[2])
}

fn list(entities: &[usize]) -> String {
    let mut text = String::with_capacity(8 * entities.len() + 2);
    for (index, entity) in entities.iter().enumerate() {
        let _ = write!(text, "{}#{entity}", if index == 0 { '(' } else { ',' });
    }
    text.push(')');
    text
}

fn reals(numbers: &[f64]) -> String {
    let mut text = String::with_capacity(20 * numbers.len() + 2);
    for (index, number) in numbers.iter().enumerate() {
        let _ = write!(
            text,
            "{}{}",
            if index == 0 { '(' } else { ',' },
            Real(*number)
        );
    }
    text.push(')');
    text
}

/// A number as the standard writes it: a point always, an upper E before the power of ten.
struct Real(f64);

impl std::fmt::Display for Real {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // No minus before a zero.
        let number = self.0 + 0.0;
        let size = number.abs();
        if size != 0.0 && !(1e-4..1e15).contains(&size) {
            let text = format!("{number:E}");
            let (mantissa, power) = text.split_once('E').unwrap_or((&text, "0"));
            let point = if mantissa.contains('.') { "" } else { "." };
            return write!(formatter, "{mantissa}{point}E{power}");
        }
        let point = if number.fract() == 0.0 { "." } else { "" };
        write!(formatter, "{number}{point}")
    }
}

/// A text as the standard writes it: quotes and backslashes doubled, other alphabets in
/// hexadecimal (ISO 10303-21, 6.4.3).
fn quoted(text: &str) -> String {
    let mut quoted = String::with_capacity(text.len() + 2);
    quoted.push('\'');
    for letter in text.chars() {
        match letter {
            '\'' => quoted.push_str("''"),
            '\\' => quoted.push_str("\\\\"),
            ' '..='~' => quoted.push(letter),
            '\0'..='\u{ffff}' => {
                let _ = write!(quoted, "\\X2\\{:04X}\\X0\\", letter as u32);
            }
            _ => {
                let _ = write!(quoted, "\\X4\\{:08X}\\X0\\", letter as u32);
            }
        }
    }
    quoted.push('\'');
    quoted
}
