//! Words of the pages Fretwork and Play.

use super::Words;

/// The fret to seat.
pub static SEAT_FIRST: Words = Words {
    name: "Seat first",
    means: "a fret that stands proud of both neighbours",
    why: "A fret that is not home must be pressed, not filed: filed, it would sink later and leave a low fret.",
    how: "Each fret top against the straight line between its neighbours' tops.",
    sure: "As sure as the readings of the tops; without readings the tops are as planned.",
    computation: "fretwork",
};
/// What comes off the tops.
pub static FILE_OFF: Words = Words {
    name: "File off at most",
    means: "the least that frees the asked set-up of buzz",
    why: "Crowns are thin: what is filed off is gone, and a fret can be levelled only a few times.",
    how: "A linear programme takes the least from all tops together that leaves the asked air under every plucked string, and every crown its least height.",
    sure: "As sure as the tops; what wear and humidity add is not in it.",
    computation: "fretwork",
};
/// How firmly the tang holds.
pub static TANG_IN_SLOT: Words = Words {
    name: "Tang in its slot",
    means: "from tang, barbs and slot as given",
    why: "Loose frets lift; tight ones bend the neck backward as they are driven.",
    how: "The barbs' width less the slot's.",
    sure: "Exact for the sizes as given: measure your wire, for batches differ.",
    computation: "slots-and-wire",
};
/// The wire's own radius.
pub static BEND_THE_WIRE: Words = Words {
    name: "Bend the wire",
    means: "of each fret's own radius: a little tighter holds the ends down",
    why: "Wire flatter than the board springs up at its ends.",
    how: "The share in the commission, times the arc's radius at each fret.",
    sure: "The share is common practice, without a source.",
    computation: "slots-and-wire",
};
/// The least air under a plucked string.
pub static LEAST_AIR: Words = Words {
    name: "Least air",
    means: "over the frets ahead, at the place where there is least",
    why: "Below nothing it buzzes for this player. It names the string, the stop and the fret to look at.",
    how: "The plucked string's deepest swing (d'Alembert's solution of the ideal string) over the fret tops of the surface chosen above, for every string and stop.",
    sure: "On the safe side: a real string never swings deeper. On the wood as read it carries the readings' doubt, shown as a chance of contact.",
    computation: "buzz",
};
/// The bend that chokes first.
pub static FIRST_BEND_TO_END: Words = Words {
    name: "First bend to end",
    means: "the bend that chokes on a fret ahead before all others",
    why: "It tells whether the wish is granted everywhere, and where the camber is too tight.",
    how: "The string is pushed along its fret until its straight line to the saddle meets a fret top; the cents follow from its stretch.",
    sure: "The stretch of wound strings is the weakest link: some parts in ten. Measure yours, and write it into the commission.",
    computation: "bends",
};
/// How low the set-up can go.
pub static LOWEST_ACTION: Words = Words {
    name: "Lowest action free of buzz",
    means: "mean of all strings over the middle fret, at the best relief",
    why: "It is the room there is: an action wished below it will buzz however it is set.",
    how: "A linear programme over relief, nut and saddle lowers all strings together while every plucked string keeps the asked air.",
    sure: "On the safe side, as the air is; it moves with every fret top.",
    computation: "lowest-set-up",
};
/// The note farthest off.
pub static OUT_OF_TUNE: Words = Words {
    name: "Farthest out of tune",
    means: "with the saddle set back for each string and the nut left alone",
    why: "A string pressed to a fret is stretched, and sounds sharp; set-backs at saddle and nut take most of it back.",
    how: "The pressed string's length and stretch at every fret give its cents; the set-back is the one with the least squares of error over all frets.",
    sure: "To about a cent for plain strings; for wound ones as sure as their stretch.",
    computation: "tuning",
};
