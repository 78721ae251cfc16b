//! Writing one reading as one line of the table.

/// One line of the table as it is typed: every column in plain text, empty where nothing is said.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Row {
    /// Name of the visit to the bench.
    pub visit: String,
    /// Its date.
    pub date: String,
    /// The key of the stage after which it was read.
    pub stage: String,
    /// What was measured: `height`, `light`, `gap`, `rock`, `sagitta`, `thickness` or `chalk`.
    pub kind: String,
    /// The tool: a radius, a dial's chord, `flat` or `beam`.
    pub tool: String,
    /// The place along the board.
    pub at: String,
    /// The place across the board.
    pub across: String,
    /// Where a straightedge touches toward the nut.
    pub from: String,
    /// Where it touches toward the board's end.
    pub to: String,
    /// What was seen.
    pub shows: String,
    /// How much.
    pub value: String,
    /// What one mark of the tool is.
    pub resolution: String,
    /// Name of the probe's set-up.
    pub set_up: String,
    /// The maker's note.
    pub note: String,
}

/// The row as one line under [`super::HEAD`], with quotes where they are needed and no line end;
/// [`super::read_readings`] gives every cell back.
pub fn write_line(row: &Row) -> String {
    let cells = [
        &row.visit,
        &row.date,
        &row.stage,
        &row.kind,
        &row.tool,
        &row.at,
        &row.across,
        &row.from,
        &row.to,
        &row.shows,
        &row.value,
        &row.resolution,
        &row.set_up,
        &row.note,
    ];
    cells.map(|cell| quoted(cell)).join(",")
}

/// The cell as it stands in a line. A `#` in front would make a comment of the line.
fn quoted(cell: &str) -> String {
    let plain = cell.trim() == cell
        && !cell.starts_with('#')
        && !cell.contains([',', ';', '\t', '"', '\r', '\n']);
    if plain {
        cell.to_owned()
    } else {
        format!("\"{}\"", cell.replace('"', "\"\""))
    }
}
