//! Words of the pages Bench plan and Readings.

use super::Words;

/// Thickness before the first stage.
pub static BLANK_TO_BEGIN_WITH: Words = Words {
    name: "Begin with the blank at",
    means: "flat and even; the grades find their scratches on the way down",
    why: "Too thin, and the last scratches are still there when the crown is down to its thickness; too thick, and you sand for nothing.",
    how: "The finished crown, and for every grade three grains of the coarser grade before it, so that its scratches go.",
    sure: "Grain sizes are published (FEPA, ISO 6344); how deep scratches go is common practice, without a source.",
    computation: "grades-and-allowances",
};
/// Thickness when all is done.
pub static FINISHED_CROWN: Words = Words {
    name: "Finished crown",
    means: "thickness on the centreline",
    why: "Nothing may be taken below it: the plan never does.",
    how: "Taken from the commission as typed.",
    sure: "Exact.",
    computation: "grades-and-allowances",
};
/// Wood that blocks cannot reach.
pub static BLOCKS_LEAVE: Words = Words {
    name: "Blocks leave at most",
    means: "at the edges, just past a zone's end: the beam takes it",
    why: "It says how much is left for the long beam, and whether another block would be worth having.",
    how: "Each block goes where its own radius is not tighter than the camber's; what stands over the camber after all of them is searched for its greatest height.",
    sure: "Exact for blocks of the radius that is stamped on them. A worn block is another block: try it with a gauge.",
    computation: "blocks-and-zones",
};
/// Wood that blocks cannot reach, in all.
pub static BLOCKS_LEAVE_IN_ALL: Words = Words {
    name: "and in all",
    means: "wood above the camber after the blocks",
    why: "It is the beam's work, in wood.",
    how: "The height that blocks leave, added up over the board.",
    sure: "As sure as the greatest height beside it.",
    computation: "blocks-and-zones",
};
/// Time of all stages.
pub static RUBBING_TIME: Words = Words {
    name: "Rubbing time",
    means: "all stages together, without looking, chalking and changing paper",
    why: "To know whether it is an hour or a day before you begin.",
    how: "The wood of each stage by the wear rate: so much wood for each newton and metre of rubbing (Archard's law of wear).",
    sure: "Rough until you log your own stages: the default rate may be wrong by half or double; your own log replaces it.",
    computation: "effort",
};
/// Whether the stage is done.
pub static STAGE_VERDICT: Words = Words {
    name: "This stage is",
    means: "done when the wood surely lies within what is let pass; to be read on when it does so as found, and not surely",
    why: "To stop in time. What is sanded past done is gone from the crown.",
    how: "The measured surface with its uncertainty against the highest camber that lies inside the wood; done means 95 % of what the wood may be lies within what is let pass.",
    sure: "It errs on the side of measuring once more.",
    computation: "next-step",
};
/// The departure as measured.
pub static STANDS_OUT: Words = Words {
    name: "It stands out of the camber by",
    means: "over the highest planned camber that lies inside the wood",
    why: "It is what there is to take off, and where.",
    how: "All readings together become one surface by weighted least squares; the planned camber is laid as high as it goes inside it.",
    sure: "The most likely value; the figure beside it says how far it may be off.",
    computation: "next-step",
};
/// The departure's upper bound.
pub static MAY_STAND_OUT: Words = Words {
    name: "It may stand out by",
    means: "at most, with 95 % confidence",
    why: "It is this figure, and not the likeliest, that decides whether the stage is done.",
    how: "The likeliest departure and its spread at every place, from the covariance of the fit.",
    sure: "In trials with made-up boards the true value lay below it 95 times in 100.",
    computation: "next-step",
};
/// The tolerance of the stage.
pub static LET_PASS: Words = Words {
    name: "Let pass",
    means: "what may be left standing when this stage is done",
    why: "The next grade takes it without a thought; to hunt it with this one costs crown.",
    how: "The grain of the grade at work, a third of what the next grade takes off.",
    sure: "Grain sizes are published (FEPA, ISO 6344); the share is common practice, without a source.",
    computation: "next-step",
};
/// What the next step takes.
pub static TAKE_OFF_AT_MOST: Words = Words {
    name: "Take off at most",
    means: "down to the surface that surely lies inside the wood",
    why: "Any more and there may be no camber left in the wood at this thickness.",
    how: "The measured surface less the highest camber that lies inside it even where the readings leave room for doubt.",
    sure: "On the safe side by 95 %; more readings allow more.",
    computation: "next-step",
};
