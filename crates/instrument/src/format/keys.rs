//! The description of a file format: tables of keys, each with its kind, range and meaning.

/// A table of a file: the keys that it may hold.
#[derive(Debug)]
pub struct Table {
    /// What the table describes, in one sentence.
    pub meaning: &'static str,
    /// Its keys, in the order in which a person would write them.
    pub keys: &'static [Key],
}

impl Table {
    /// The key of that name.
    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|key| key.name == name)
    }
}

/// One key of a table.
#[derive(Debug)]
pub struct Key {
    /// The name, as written in the file.
    pub name: &'static str,
    /// What values it takes.
    pub kind: Kind,
    /// Whether it must be there.
    pub need: Need,
    /// What it means for the maker, in one sentence.
    pub meaning: &'static str,
}

/// Whether a key must be there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// The file is not complete without it.
    Required,
    /// It may be left out; the text says what holds then.
    Otherwise(&'static str),
}

/// What values a key takes. Ranges are closed.
#[derive(Debug)]
pub enum Kind {
    /// A length, as text with a unit or as a bare number of millimetres.
    Length {
        /// Least value, mm.
        least_mm: f64,
        /// Greatest value, mm.
        most_mm: f64,
    },
    /// A radius of camber: a length, or the word `flat`.
    Radius,
    /// A force, as text with a unit or as a bare number of newtons.
    Force {
        /// Least value, N.
        least_n: f64,
        /// Greatest value, N.
        most_n: f64,
    },
    /// A number without a unit, or with the one that the meaning names.
    Number {
        /// Least value.
        least: f64,
        /// Greatest value.
        most: f64,
    },
    /// A whole number.
    Whole {
        /// Least value.
        least: i64,
        /// Greatest value.
        most: i64,
    },
    /// A share in percent, as `45 %` or a bare number.
    Percent,
    /// A temperature, as `20 °C` or a bare number of degrees Celsius.
    Temperature,
    /// A weight per length, as `0.0004 kg/m` or `2.2e-5 lb/in`.
    LinearDensity,
    /// A pitch, as `E4`.
    Note,
    /// Free text.
    Text,
    /// One of a few words.
    Choice(&'static [&'static str]),
    /// Usually one of a few words; the reader of the key knows others that mean the same.
    Usual(&'static [&'static str]),
    /// `true` or `false`.
    Flag,
    /// A table within the table.
    Table(&'static Table),
    /// A list of values of one kind.
    List(&'static Kind),
    /// Any of several kinds.
    Any(&'static [Kind]),
}

impl Key {
    /// A key without which the file is not complete.
    pub const fn required(name: &'static str, kind: Kind, meaning: &'static str) -> Self {
        Self {
            name,
            kind,
            need: Need::Required,
            meaning,
        }
    }

    /// A key that may be left out, with what holds then.
    pub const fn otherwise(
        name: &'static str,
        kind: Kind,
        default: &'static str,
        meaning: &'static str,
    ) -> Self {
        Self {
            name,
            kind,
            need: Need::Otherwise(default),
            meaning,
        }
    }
}

impl Kind {
    /// A length between two bounds, mm.
    pub const fn length(least_mm: f64, most_mm: f64) -> Self {
        Self::Length { least_mm, most_mm }
    }

    /// A number between two bounds.
    pub const fn number(least: f64, most: f64) -> Self {
        Self::Number { least, most }
    }
}
