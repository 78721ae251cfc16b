//! An input at its door, and, where it is sound, some way on into the house.

use bench::effort::WearRate;
use bench::{Kit, bench_plan, read_kit};
use book::{Book, Kind};
use camberwright::{Indoors, edit};
use instrument::{COMMISSION_KEYS, Faults, Instrument, read_commission, scala::read_scala};
use quantity::{
    LengthUnit, Make, Note, parse_force, parse_length, parse_linear_density, parse_note,
    parse_percent, parse_temperature, write_length,
};
use readings::next::Allowed;
use readings::{Ask, read_readings, report};

use super::carried::Shelf;
use super::{Answered, Door, archive, upload};

const HERON: &str = include_str!("../../../../demo/heron.toml");
const KIT: &str = include_str!("../../../../demo/north-bench.toml");
/// A text that values are set in: short, for every input sets one.
const SET_IN: &str = "camberwright = 1\ntitle = \"H\" # a word\n[scale]\nlength = \"635 mm\"\n[strings]\nset = [\n  { note = \"E4\" },\n  { note = \"E2\" },\n]\n[[camber.at]]\nfret = 1\n";
/// Forms that one book takes before the next is begun.
const FORMS_PER_BOOK: usize = 500;

/// So often, one sound input in so many, it goes on into the next room.
const TO_NAMES: u64 = 16;
const TO_SHEET: u64 = 8;
const TO_PLAN: u64 = 64;
const TO_FIGURES: u64 = 256;
const TO_REPORT: u64 = 400;
/// One form in so many, sound or not, goes through the whole server.
const TO_SERVER: u64 = 400;

/// What inputs are read against.
pub struct Bench {
    board: Instrument,
    kit: Kit,
    server: Indoors,
    asked: usize,
    shelf: Shelf,
}

impl Bench {
    /// The demo's board and kit, and a server with both in its book.
    pub fn new() -> Self {
        let sound = "the demo is sound";
        Self {
            board: read_commission(HERON, &no_files).expect(sound),
            kit: read_kit(KIT).expect(sound),
            server: server(),
            asked: 0,
            shelf: Shelf::new(),
        }
    }

    /// Tries an input. `deep` is drawn by chance: it says how far a sound input goes.
    ///
    /// # Errors
    /// What was found wrong with the answer.
    pub fn enter(&mut self, door: Door, input: &[u8], deep: u64) -> Result<Answered, String> {
        // Files and forms that are no UTF-8 are refused before any reader sees them.
        let text = || String::from_utf8_lossy(input);
        match door {
            Door::Commission => self.commission(&text(), deep),
            Door::Kit => self.kit(&text(), deep),
            Door::Readings => self.readings(&text(), deep),
            Door::Scala => scala(&text()),
            Door::Lengths => lengths(&text(), deep),
            Door::Forms => self.form(input, deep),
            Door::Archives => archive::enter(input, deep),
            Door::Carried => self.shelf.enter(input, deep),
            Door::Uploads => self.upload(input, deep),
        }
    }

    fn commission(&self, text: &str, deep: u64) -> Result<Answered, String> {
        let instrument = match read_commission(text, &tuning_file) {
            Ok(instrument) => instrument,
            Err(faults) => return refused(&faults),
        };
        if deep.is_multiple_of(TO_SHEET) {
            let sheet = play::sheet(&instrument, Some(&self.kit));
            if deep.is_multiple_of(TO_FIGURES) {
                figures_only(&format!("{sheet:?}"))?;
            }
        }
        if deep.is_multiple_of(TO_PLAN) {
            let wear = WearRate::from_logs(&[], self.kit.hand);
            let plan = bench_plan(&instrument, &self.kit, wear);
            if deep.is_multiple_of(TO_FIGURES) {
                figures_only(&format!("{plan:?}"))?;
            }
        }
        let kind = 1000 + 16 * (instrument.last_fret() as u64 / 6) + instrument.lanes.len() as u64;
        Ok(Answered { kind, sound: true })
    }

    fn kit(&self, text: &str, deep: u64) -> Result<Answered, String> {
        let kit = match read_kit(text) {
            Ok(kit) => kit,
            Err(faults) => return refused(&faults),
        };
        if deep.is_multiple_of(TO_PLAN) {
            let plan = bench_plan(&self.board, &kit, WearRate::from_logs(&[], kit.hand));
            if deep.is_multiple_of(TO_FIGURES) {
                figures_only(&format!("{plan:?}"))?;
            }
        }
        let kind = 1000 + 16 * kit.blocks.len().min(15) as u64 + kit.gauges.len().min(15) as u64;
        Ok(Answered { kind, sound: true })
    }

    fn readings(&self, text: &str, deep: u64) -> Result<Answered, String> {
        let out = read_readings(text, &self.board, Some(&self.kit));
        if out.visits.is_empty() && out.faults.is_empty() && out.notes.is_empty() {
            return Err("nothing was read, and nothing is said of it".into());
        }
        if deep.is_multiple_of(TO_REPORT) {
            for visit in &out.visits {
                let ask = Ask {
                    instrument: &self.board,
                    bench: None,
                    visit,
                    allowed: Allowed::default(),
                    tolerance_mm: None,
                };
                if let Err(error) = report(&ask)
                    && error.to_string().trim().is_empty()
                {
                    return Err("a report is refused without a word".into());
                }
            }
        }
        if !out.faults.is_empty() {
            return refused(&out.faults);
        }
        let kinds = out.visits.iter().flat_map(|visit| &visit.readings);
        let kinds = kinds.fold(1000, |sum, reading| heard(sum, reading.what.kind()));
        let kind = heard(kinds ^ out.count().min(20) as u64, &out.notes.join("\n"));
        Ok(Answered { kind, sound: true })
    }

    fn form(&mut self, input: &[u8], deep: u64) -> Result<Answered, String> {
        let end = input.iter().position(|byte| *byte == b'\n');
        let (head, form) = input.split_at(end.unwrap_or(input.len()));
        let form = form.get(1..).unwrap_or_default();
        let mut kind = 7;
        let fields = self.server.fields(form);
        if let Some(fields) = &fields {
            kind = edits(fields);
        }
        if deep.is_multiple_of(TO_SERVER) {
            let status = self.ask(&String::from_utf8_lossy(head), form)?;
            kind = heard(kind ^ u64::from(status), &String::from_utf8_lossy(head));
        }
        let sound = fields.is_some();
        Ok(Answered { kind, sound })
    }

    fn upload(&mut self, input: &[u8], deep: u64) -> Result<Answered, String> {
        let answered = upload::enter(&self.server, input)?;
        if deep.is_multiple_of(TO_SERVER) {
            self.one_more_asked();
            let (kind, form) = upload::halves(input);
            let answer = self.server.send_as("/book/bring", &kind, form);
            let kind = answered.kind ^ u64::from(status_of(answer)?);
            return Ok(Answered { kind, ..answered });
        }
        Ok(answered)
    }

    fn one_more_asked(&mut self) {
        self.asked += 1;
        if self.asked.is_multiple_of(FORMS_PER_BOOK) {
            self.server = server();
        }
    }

    /// Sends the form to the whole server; a trouble of its own is one here.
    fn ask(&mut self, head: &str, form: &[u8]) -> Result<u16, String> {
        self.one_more_asked();
        let plain = |text: &str| text.replace(|letter: char| !letter.is_ascii_graphic(), "");
        let answer = match head.strip_prefix('?') {
            Some(page) => {
                let query = plain(&String::from_utf8_lossy(form));
                let address = format!("/commission/2/{}?{query}", plain(page));
                self.server.get(&address)
            }
            // The bench is never opened to the network here.
            None if head.starts_with("/tablet") => None,
            None if head.starts_with('/') => self.server.send(&plain(head), form),
            None => self
                .server
                .send(&format!("/commission/2/{}", plain(head)), form),
        };
        status_of(answer)
    }
}

/// The status of an answer; a trouble of the server's own is a find.
fn status_of(answer: Option<(u16, Vec<u8>)>) -> Result<u16, String> {
    match answer {
        None => Ok(0),
        Some((status, _)) if status < 500 => Ok(status),
        Some((status, body)) => Err(format!(
            "answered {status}: {}",
            String::from_utf8_lossy(&body)
                .chars()
                .rev()
                .take(300)
                .collect::<String>()
        )),
    }
}

fn no_files(_name: &str) -> Result<String, String> {
    Err("there are no files here".into())
}

/// A commission may name one tuning file.
fn tuning_file(name: &str) -> Result<String, String> {
    match name.len() % 2 {
        0 => Ok("just\n2\n3/2\n2/1\n".into()),
        _ => no_files(name),
    }
}

fn server() -> Indoors {
    let sound = "an in-memory book takes the demo";
    let book = Book::open_in_memory().expect(sound);
    let kit = book.create(Kind::Kit, "kit", KIT, "made", 0).expect(sound);
    let board = book
        .create(Kind::Commission, "Heron", HERON, "made", 0)
        .expect(sound);
    book.set_kit(board, Some(kit), 0).expect(sound);
    let visit = book.add_visit(board, "first", "", "", 0).expect(sound);
    let readings = book::NewReadings {
        visit,
        text: "kind,at,across,value\nheight,fret 3,centre,0.1 mm\n",
        source: "typed",
        sent_key: None,
        at: 0,
    };
    book.add_readings(&readings).expect(sound);
    Indoors::new(book).expect("the system lets a server run")
}

fn scala(text: &str) -> Result<Answered, String> {
    match read_scala(text) {
        Ok(tuning) => {
            let last = tuning.cents(tuning.steps());
            match last.is_finite() && last > 0.0 {
                true => Ok(Answered {
                    kind: 1000 + tuning.steps().min(64) as u64,
                    sound: true,
                }),
                false => Err(format!("a tuning that ends at {last} cents")),
            }
        }
        Err(fault) => said(&fault.message, 1),
    }
}

/// The text as every quantity there is; what is read must be sound, and read again as it is written.
fn lengths(text: &str, deep: u64) -> Result<Answered, String> {
    let mut kind = 3;
    let mut sound = false;
    let mut told = |words: Result<(), String>| match words {
        Ok(()) => {
            sound = true;
            kind = heard(kind, "sound");
        }
        Err(words) => kind = heard(kind, &words),
    };
    let length = parse_length(text);
    told(length.as_ref().map(drop).map_err(ToString::to_string));
    told(
        parse_force(text)
            .map(drop)
            .map_err(|error| error.to_string()),
    );
    told(
        parse_linear_density(text)
            .map(drop)
            .map_err(|error| error.to_string()),
    );
    told(
        parse_percent(text)
            .map(drop)
            .map_err(|error| error.to_string()),
    );
    told(
        parse_temperature(text)
            .map(drop)
            .map_err(|error| error.to_string()),
    );
    let note: Result<Note, _> = parse_note(text);
    told(note.as_ref().map(drop).map_err(ToString::to_string));
    // A name that is none is compared with all that there are: that takes longer than the rest.
    if deep.is_multiple_of(TO_NAMES) {
        told(
            Make::parse(text)
                .map(drop)
                .map_err(|error| error.to_string()),
        );
        quantity::nearest_wood_name(text);
        quantity::nearest_grade_name(text);
    }
    if let Ok(length) = length {
        for unit in [
            LengthUnit::Millimetre,
            LengthUnit::DecimalInch,
            LengthUnit::FractionInch,
        ] {
            let written = write_length(length, unit);
            let back = parse_length(&written).map_err(|error| format!("{written}: {error}"))?;
            // A number under the least normal one has fewer digits than twelve.
            let room = length.mm().abs() * 1e-12 + f64::MIN_POSITIVE;
            if (back.mm() - length.mm()).abs() > room {
                return Err(format!("{written} is read as {} mm", back.mm()));
            }
        }
    }
    if let Ok(note) = note
        && parse_note(&note.to_string()).as_ref() != Ok(&note)
    {
        return Err(format!("{note} is not read as it was written"));
    }
    edit::stepped(text, edit::Direction::Up);
    Ok(Answered { kind, sound })
}

/// What the pages do with a value's path and text, and what of it shows afterwards.
fn edits(fields: &[(String, String)]) -> u64 {
    let field = |name: &str| {
        fields
            .iter()
            .find(|(key, _)| key == name)
            .map(|(_, value)| value)
    };
    let (Some(path), value) = (field("path"), field("value")) else {
        return 11;
    };
    let typed = value.map_or("", String::as_str);
    let set = edit::set(SET_IN, &COMMISSION_KEYS, path, typed);
    let taken = edit::take_away(SET_IN, path);
    let added = edit::add(SET_IN, &COMMISSION_KEYS, path, typed);
    edit::stepped(typed, edit::Direction::Down);
    let outcomes = [&set, &taken, &added].map(|outcome| match outcome {
        Ok(text) => {
            let shown = edit::shown(text, path);
            1 + u64::from(shown.is_some())
        }
        Err(_) => 0,
    });
    outcomes
        .iter()
        .fold(heard(13, path), |sum, one| sum.rotate_left(2) ^ one)
}

/// Faults must say something; their words make the kind of answer.
fn refused(faults: &Faults) -> Result<Answered, String> {
    if faults.0.is_empty() {
        return Err("refused without a fault".into());
    }
    if faults.0.iter().any(|fault| fault.message.trim().is_empty()) {
        return Err("a fault says nothing".into());
    }
    let first = faults.0.iter().take(3);
    let kind = first.fold(faults.0.len().min(5) as u64, |sum, fault| {
        heard(heard(sum, &fault.place), &fault.message)
    });
    Ok(Answered { kind, sound: false })
}

pub(super) fn said(words: &str, start: u64) -> Result<Answered, String> {
    if words.trim().is_empty() {
        return Err("refused without a word".into());
    }
    let kind = heard(start, words);
    Ok(Answered { kind, sound: false })
}

/// So much of an answer's words tells it from others, bytes.
const HEARD_BYTES: usize = 40;

/// Words added to a number that stands for them, without what was quoted from the input and
/// without figures (FNV-1a, 64 bits; constants from memory).
pub(super) fn heard(start: u64, words: &str) -> u64 {
    let mut hash = start ^ 0xcbf2_9ce4_8422_2325;
    let mut quoted = false;
    for letter in words.bytes().take(HEARD_BYTES) {
        match letter {
            b'"' | b'`' => quoted = !quoted,
            b'0'..=b'9' => {}
            _ if quoted => {}
            _ => hash = (hash ^ u64::from(letter)).wrapping_mul(0x0100_0000_01b3),
        }
    }
    hash
}

fn figures_only(said: &str) -> Result<(), String> {
    match said.find("NaN") {
        Some(at) => {
            let before: String = said[..at].chars().rev().take(60).collect();
            let before: String = before.chars().rev().collect();
            Err(format!("a figure is not a number: {before}NaN"))
        }
        None => Ok(()),
    }
}
