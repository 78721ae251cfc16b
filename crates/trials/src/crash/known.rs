//! What the maker of a book was told: the moments of a commission's history, readings, stages.

/// A moment of the commission: its number, and the relief that it asks for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moment {
    /// The number in the book.
    pub revision: i64,
    /// The value that every change sets anew.
    pub relief: String,
}

/// Something that is sent to be stored.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Deed {
    /// One value set.
    Set(String),
    /// The whole text stored, with this value in it.
    Text(String),
    /// One step back.
    Undo,
    /// One step forward.
    Redo,
    /// The batch of readings of that number.
    Readings(usize),
    /// The stage of that number.
    Stage(usize),
}

/// A batch of readings or a stage, with what became of it.
#[derive(Clone, Debug)]
pub struct Sent {
    /// The words that tell it from all others.
    pub mark: String,
    /// How many readings it holds; 1 for a stage.
    pub lines: usize,
    /// Whether it was answered as stored.
    pub acknowledged: bool,
}

/// All that is known of one book.
#[derive(Clone, Debug, Default)]
pub struct Known {
    /// The commission's number, once it was answered.
    pub commission: Option<i64>,
    /// The visit's number.
    pub visit: Option<i64>,
    /// The key of the stage that is logged over and over.
    pub stage: Option<String>,
    /// Moments that undo reaches, the present one last.
    pub line: Vec<Moment>,
    /// Moments that redo reaches, the next one last.
    pub undone: Vec<Moment>,
    /// Every moment that is stored, answered or seen afterwards.
    pub stored: Vec<Moment>,
    /// How many of these were answered.
    pub answered: usize,
    /// Batches of readings.
    pub readings: Vec<Sent>,
    /// Stages.
    pub stages: Vec<Sent>,
    /// What was sent and is not answered.
    pub doubt: Option<Deed>,
    /// A number that no value had before.
    pub count: u64,
}

impl Known {
    /// Whether something was on its way when the program was last killed.
    pub fn is_in_doubt(&self) -> bool {
        self.doubt.is_some()
    }

    /// The moment that the commission is at.
    pub fn now(&self) -> Option<&Moment> {
        self.line.last()
    }

    /// The commission at the moment when it was made.
    pub fn begin(&mut self, commission: i64, first: Moment) {
        self.commission = Some(commission);
        self.line = vec![first.clone()];
        self.stored = vec![first];
        self.answered = 0;
    }

    /// A value that was never sent before, as a length.
    pub fn fresh(&mut self) -> String {
        self.count += 1;
        format!("0.{:07} mm", self.count)
    }

    /// The moments after a deed: the book numbers them one after the other.
    pub fn land(&mut self, deed: &Deed) {
        match deed {
            Deed::Set(relief) | Deed::Text(relief) => {
                let newest = self.stored.last().map_or(0, |moment| moment.revision);
                let moment = Moment {
                    revision: newest + 1,
                    relief: relief.clone(),
                };
                self.undone.clear();
                self.line.push(moment.clone());
                self.stored.push(moment);
            }
            Deed::Undo => self.undone.extend(self.line.pop()),
            Deed::Redo => self.line.extend(self.undone.pop()),
            Deed::Readings(_) | Deed::Stage(_) => {}
        }
    }

    /// Counts a deed as answered.
    pub fn answer(&mut self, deed: &Deed) {
        match deed {
            Deed::Set(_) | Deed::Text(_) => self.answered += 1,
            Deed::Undo | Deed::Redo => {}
            Deed::Readings(at) => self.readings[*at].acknowledged = true,
            Deed::Stage(at) => self.stages[*at].acknowledged = true,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moments_follow_the_deeds() {
        let mut known = Known::default();
        let first = Moment {
            revision: 3,
            relief: "0.15 mm".into(),
        };
        known.begin(2, first.clone());
        known.land(&Deed::Set("a".into()));
        known.land(&Deed::Undo);
        assert_eq!(known.now(), Some(&first));
        known.land(&Deed::Redo);
        assert_eq!(known.now().map(|now| now.revision), Some(4));
        known.land(&Deed::Undo);
        known.land(&Deed::Text("b".into()));
        // A change after a step back begins a new line; its number was never given before.
        assert_eq!(known.now().map(|now| now.revision), Some(5));
        assert!(known.undone.is_empty());
        assert_eq!(known.stored.len(), 3);
    }
}
