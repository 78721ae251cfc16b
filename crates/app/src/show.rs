//! Numbers for people: always with a unit, and with the difference to what they were.

pub use instrument::fret_name;
use instrument::{Instrument, Radius};
use maud::{Markup, html};
use quantity::{Length, LengthUnit, show_at_the_bench};
use readings::Spot;
use readings::place::place_words;

/// How lengths are shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Units {
    /// The unit of lengths.
    pub length: LengthUnit,
}

impl Units {
    /// The unit by its name in the book's settings and in forms.
    pub fn from_name(name: &str) -> Self {
        let length = match name {
            "inch" => LengthUnit::DecimalInch,
            "fraction" => LengthUnit::FractionInch,
            _ => LengthUnit::Millimetre,
        };
        Self { length }
    }

    /// The name by which [`Units::from_name`] finds it again.
    pub fn name(self) -> &'static str {
        match self.length {
            LengthUnit::Millimetre => "mm",
            LengthUnit::DecimalInch => "inch",
            LengthUnit::FractionInch => "fraction",
        }
    }

    /// The unit in a word, for a heading over many lengths.
    pub fn length_word(self) -> &'static str {
        match self.length {
            LengthUnit::Millimetre => "mm",
            LengthUnit::DecimalInch => "inches",
            LengthUnit::FractionInch => "fractions of an inch",
        }
    }

    /// A length in mm, to so many decimals of a millimetre.
    pub fn length(self, mm: f64, decimals: usize) -> String {
        if !mm.is_finite() {
            return "none".into();
        }
        let shown = show_at_the_bench(Length::from_mm(mm), self.length, decimals);
        // A true minus on pages and paper; the terminal and files keep the hyphen.
        shown.replace('-', "−")
    }

    /// A radius, or `flat`.
    pub fn radius(self, radius: Radius) -> String {
        radius
            .finite_mm()
            .map_or("flat".into(), |mm| self.length(mm, 1))
    }
}

/// A length with the whole figure behind it: the title carries the unrounded millimetres.
pub fn length(units: Units, mm: f64, decimals: usize) -> Markup {
    html! { span.number title=(format!("{mm} mm")) { (units.length(mm, decimals)) } }
}

/// The difference to what a figure was, when it shows at that rounding.
pub fn change(units: Units, now_mm: f64, was_mm: Option<f64>, decimals: usize) -> Markup {
    let difference = was_mm.map_or(0.0, |was| now_mm - was);
    let shows = difference.is_finite() && difference.abs() >= 0.5 * 10f64.powi(-(decimals as i32));
    let sign = if difference > 0.0 { "+" } else { "−" };
    html! {
        @if shows {
            " " span.change { (sign) (units.length(difference.abs(), decimals)) }
        }
    }
}

/// The difference of a plain number with a unit of its own.
pub fn change_of(now: f64, was: Option<f64>, decimals: usize, unit: &str) -> Markup {
    let difference = was.map_or(0.0, |was| now - was);
    let shows = difference.is_finite() && difference.abs() >= 0.5 * 10f64.powi(-(decimals as i32));
    let sign = if difference > 0.0 { "+" } else { "−" };
    html! {
        @if shows {
            " " span.change { (sign) (format!("{:.decimals$} {unit}", difference.abs())) }
        }
    }
}

/// Volume in mm³ without decimals, or in cm³ when large.
pub fn volume(mm3: f64) -> String {
    if mm3.abs() >= 10_000.0 {
        format!("{:.2} cm³", mm3 / 1000.0)
    } else {
        format!("{mm3:.0} mm³")
    }
}

/// An estimated time in words.
pub fn minutes(minutes: f64) -> String {
    if minutes < 1.0 {
        "under 1 min".into()
    } else if minutes < 100.0 {
        format!("about {minutes:.0} min")
    } else {
        format!("about {:.1} h", minutes / 60.0)
    }
}

/// A moment (seconds since 1970) as local date and time.
pub fn moment(at: i64) -> String {
    jiff::Timestamp::from_second(at)
        .map(|stamp| {
            stamp
                .to_zoned_datetime(jiff::tz::TimeZone::system())
                .strftime("%Y-%m-%d %H:%M")
                .to_string()
        })
        .unwrap_or_else(|_| "no date".into())
}

/// Now, in seconds since 1970.
pub fn now() -> i64 {
    std::time::SystemTime::now()
        .duration_since(std::time::UNIX_EPOCH)
        .map_or(0, |past| i64::try_from(past.as_secs()).unwrap_or(i64::MAX))
}

/// Today's local date, as visits bear it.
pub fn today() -> String {
    let words = moment(now());
    words.split(' ').next().unwrap_or_default().to_owned()
}

/// A place with the preposition that fits it: `at fret 9, lane 2`, but `near fret 9, lane 2`.
pub fn at(place: &str) -> String {
    if let Some(rest) = place.strip_prefix("near nut") {
        format!("near the nut{rest}")
    } else if place.starts_with("near ") {
        place.to_owned()
    } else if place.starts_with("nut") {
        format!("at the {place}")
    } else {
        format!("at {place}")
    }
}

/// A key's path as people say it: `camber.at[2].radius` is `camber, at 2, radius`.
pub fn spoken_place(path: &str) -> String {
    let path = path.replace("strings.set[", "string[");
    let spoken = path.replace('_', " ").replace('.', ", ");
    spoken.replace('[', " ").replace(']', "")
}

/// The maker's words for a spot, with the preposition that fits them.
pub fn spot_words(instrument: &Instrument, spot: Spot) -> String {
    at(&place_words(instrument, spot))
}
