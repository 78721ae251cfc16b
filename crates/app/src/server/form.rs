//! The fields of a form, by name.

use ::book::{EntryId, RevisionId};
use drawing::Paper;
use drawing::pictures::Pointed;

use super::answer::Trouble;
use crate::pages::PageName;

/// The fields of a form or of an address, in the order in which they came.
pub(super) struct Fields(pub Vec<(String, String)>);

impl Fields {
    /// The first field of that name.
    pub fn get(&self, name: &str) -> Option<&str> {
        self.0
            .iter()
            .find(|(key, _)| key == name)
            .map(|(_, value)| value.as_str())
    }

    /// The field of that name, or a word on what is missing.
    pub fn need(&self, name: &str) -> Result<&str, Trouble> {
        self.get(name)
            .ok_or_else(|| Trouble::Bad(format!("the form lacks the field \"{name}\"")))
    }

    /// The moment on which the form builds.
    pub fn based_on(&self) -> Result<RevisionId, Trouble> {
        let number = self.need("based_on")?.parse();
        number
            .map(RevisionId)
            .map_err(|_| Trouble::Bad("the form does not say on which moment it builds".into()))
    }

    /// An entry's number under a name.
    pub fn entry(&self, name: &str) -> Result<EntryId, Trouble> {
        let number = self.need(name)?.parse();
        number
            .map(EntryId)
            .map_err(|_| Trouble::Bad(format!("\"{name}\" is no number of an entry")))
    }

    /// The place pointed at; the nut and the highest string when none is named.
    pub fn pointed(&self) -> Pointed {
        let number = |name: &str| {
            self.get(name)
                .and_then(|text| text.parse().ok())
                .unwrap_or(0)
        };
        Pointed {
            fret: number("fret"),
            lane: number("lane"),
        }
    }

    /// The paper asked for; A4 when none is named.
    pub fn paper(&self) -> Paper {
        match self.get("paper") {
            Some("letter") => Paper::Letter,
            _ => Paper::A4,
        }
    }

    /// The page to come back to.
    pub fn page(&self) -> PageName {
        self.get("page")
            .and_then(PageName::from_address)
            .unwrap_or(PageName::Camber)
    }
}
