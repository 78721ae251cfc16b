//! A kit as plain values, and its text.

use crate::commission::{line, number};

/// A radius block; lengths in mm, and no radius is a flat face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BlockLine {
    /// Radius of its face.
    pub radius: Option<f64>,
    /// Its length.
    pub length: f64,
    /// Its width.
    pub width: f64,
}

/// A kit as plain values.
#[derive(Clone, Debug, PartialEq)]
pub struct KitText {
    /// Radius blocks.
    pub blocks: Vec<BlockLine>,
    /// Lengths of the beams, mm.
    pub beams: Vec<f64>,
    /// Radii of the gauges, mm.
    pub gauges: Vec<f64>,
    /// Names of the grades.
    pub abrasives: Vec<&'static str>,
}

impl KitText {
    /// The same kit with every length `by` times as long. Grains are what they are.
    pub fn scaled(&self, by: f64) -> Self {
        let mut other = self.clone();
        for block in &mut other.blocks {
            block.radius = block.radius.map(|radius| radius * by);
            block.length *= by;
            block.width *= by;
        }
        other.beams.iter_mut().for_each(|length| *length *= by);
        other.gauges.iter_mut().for_each(|radius| *radius *= by);
        other
    }

    /// The same kit with one block more.
    pub fn with_block(&self, block: BlockLine) -> Self {
        let mut other = self.clone();
        other.blocks.push(block);
        other
    }

    /// The text of its file.
    pub fn to_toml(&self) -> String {
        let mut text = String::from("camberwright_kit = 1\ntitle = \"Trial bench\"\n");
        let block = |block: &BlockLine| {
            let radius = block.radius.map_or("\"flat\"".into(), number);
            let (length, width) = (number(block.length), number(block.width));
            format!("  {{ radius = {radius}, length = {length}, width = {width} }},\n")
        };
        let blocks: String = self.blocks.iter().map(block).collect();
        line(&mut text, "blocks", format!("[\n{blocks}]"));
        let beam = |length: &f64| format!("{{ length = {} }}", number(*length));
        let beams: Vec<String> = self.beams.iter().map(beam).collect();
        line(&mut text, "beams", format!("[{}]", beams.join(", ")));
        let gauges: Vec<String> = self.gauges.iter().map(|radius| number(*radius)).collect();
        line(&mut text, "gauges", format!("[{}]", gauges.join(", ")));
        let grades: Vec<String> = self
            .abrasives
            .iter()
            .map(|name| format!("\"{name}\""))
            .collect();
        line(&mut text, "abrasives", format!("[{}]", grades.join(", ")));
        text
    }
}
