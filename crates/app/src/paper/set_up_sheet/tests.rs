//! The sheet in every unit; the command line, which writes millimetres, is tested from outside.

use drawing::Paper;
use instrument::{Instrument, read_commission};
use play::{On, playing, sheet};
use quantity::LengthUnit;

use super::set_up_sheet_pdf;
use crate::chances::{Trial, account};
use crate::demo::COMMISSIONS;
use crate::record::PlayFigures;
use crate::show::Units;

const FEW: Trial = Trial {
    seed: 1,
    necks: 160,
};

fn instrument(text: &str) -> Instrument {
    let no_files = |name: &str| Err(format!("no file {name}"));
    read_commission(text, &no_files).expect("the commission is sound")
}

fn pdf(text: &str, length: LengthUnit, paper: Paper) -> Vec<u8> {
    let instrument = instrument(text);
    let sheet = sheet(&instrument, None);
    let playing = playing(&instrument, &sheet.strings, On::Frets);
    let figures = PlayFigures {
        levelling: &playing.levelling(),
        frontier: &[],
        chances: &account(&playing, FEW),
        playing: &playing,
        sheet: &sheet,
        visit: None,
    };
    set_up_sheet_pdf(&figures, Units { length }, paper).expect("can be written")
}

const UNITS: [LengthUnit; 3] = [
    LengthUnit::Millimetre,
    LengthUnit::DecimalInch,
    LengthUnit::FractionInch,
];

/// How many sheets a document has, by the type of its page objects (ISO 32000-1, 7.7.3.3).
fn count_sheets(pdf: &[u8]) -> usize {
    let kind = b"/Type/Page";
    let is_page = |at: usize| pdf.get(at + kind.len()).is_none_or(|next| *next != b's');
    let places = pdf.windows(kind.len()).enumerate();
    places
        .filter(|(at, bytes)| bytes == kind && is_page(*at))
        .count()
}

fn check_demo(text: &str) {
    for length in UNITS {
        for paper in [Paper::A4, Paper::Letter] {
            let first = pdf(text, length, paper);
            assert_eq!(count_sheets(&first), 3, "{length:?} on {paper:?}");
            assert!(first == pdf(text, length, paper), "{length:?} on {paper:?}");
        }
    }
}

#[test]
fn every_unit_goes_on_three_sheets_the_same_twice() {
    COMMISSIONS.iter().for_each(|demo| check_demo(demo.text));
}

#[test]
fn units_differ_on_paper() {
    let pdfs = UNITS.map(|length| pdf(COMMISSIONS[0].text, length, Paper::A4));
    assert!(pdfs[0] != pdfs[1] && pdfs[1] != pdfs[2] && pdfs[0] != pdfs[2]);
}

#[test]
fn the_most_strings_over_the_most_frets_have_a_sheet() {
    let string = "{ note = \"E4\", gauge = \"0.010 in\", make = \"plain steel\" },";
    let text = format!(
        "camberwright = 1\ntitle = \"Most\"\n[scale]\nlength = \"635 mm\"\nfrets = 120\n\
         tuning = \"60 equal\"\n[strings]\nnut_spread = \"35 mm\"\n\
         saddle_spread = \"52 mm\"\nset = [{}]\n[board]\nnut_width = \"42 mm\"\n\
         end_width = \"60 mm\"\noverhang = \"8 mm\"\ncrown_thickness = \"6 mm\"\n[camber]\nlaw = \"single\"\n\
         radius = \"flat\"\n[frets]\ncrown_height = \"1.2 mm\"\ncrown_width = \"2.4 mm\"\n\
         tang_depth = \"1.6 mm\"\nslot_width = \"0.55 mm\"\n",
        string.repeat(24)
    );
    let sheets = count_sheets(&pdf(&text, LengthUnit::DecimalInch, Paper::Letter));
    assert!((3..=7).contains(&sheets), "{sheets} sheets");
}
