//! Words of the pages Wish, Board and Camber.

use super::Words;

/// The pull of all strings.
pub static STRINGS_TOGETHER: Words = Words {
    name: "Strings together",
    means: "the load on the neck at pitch; known when every string's weight is",
    why: "It bends the neck, and the relief with it. A set that pulls much harder or softer than the one a neck was built for moves the action.",
    how: "Each string's pull is its weight for a length times (2 × length × pitch)², after Mersenne's law; the weights come from published tables, each with its source below, or from the commission.",
    sure: "As sure as the weights: tables of different makers differ by a few parts in a hundred for the same gauge.",
    computation: "strings",
};
/// The action asked for.
pub static ACTION_WISHED: Words = Words {
    name: "Action wished",
    means: "treble and bass over fret 12, fret top to string",
    why: "It is what the player feels first: low is light under the hand and leaves less air for a swinging string.",
    how: "Taken from the commission as typed. The action of the strings between runs straight from the one to the other.",
    sure: "Exact: it is a wish.",
    computation: "set-up",
};
/// The air that the planned surface leaves.
pub static LEAST_AIR_PLANNED: Words = Words {
    name: "Least air as planned",
    means: "between a plucked string and the frets ahead, at the place where there is least",
    why: "Below nothing it buzzes for this player; a little air over nothing is what hands and weather need.",
    how: "The plucked string's deepest swing (d'Alembert's solution of the ideal string) is laid over the fret tops of the planned board, for every string and every stop.",
    sure: "On the safe side: a real string loses height as it rings, and never swings deeper than the ideal one. It knows nothing yet of your wood; the page Play does.",
    computation: "buzz",
};
/// The bend asked for.
pub static BEND_WISHED: Words = Words {
    name: "Bend wished",
    means: "how far every string is to be bent everywhere, 100 cents to a semitone",
    why: "A bent string is pushed across the camber onto lower ground; on a tight arch it chokes on the frets ahead.",
    how: "Taken from the commission as typed. The page Camber shows which cambers grant it.",
    sure: "Exact: it is a wish.",
    computation: "bends",
};
/// Outer string to edge.
pub static LEAST_MARGIN: Words = Words {
    name: "Least margin",
    means: "from an outer string's centre to the board's edge",
    why: "With too little of it an outer string slips off the fret's end under a vibrato.",
    how: "The lane runs straight from nut to saddle; its distance to the edge is taken at every fret and the least is shown.",
    sure: "Exact for the outline as given. How much is enough is common practice, without a source.",
    computation: "lanes-and-outline",
};
/// Thickness at the edge.
pub static THINNEST_EDGE: Words = Words {
    name: "Thinnest edge",
    means: "finished thickness at the edge, at frets",
    why: "Slots and binding need wood there, and the camber takes the most from the edges.",
    how: "The crown's thickness less the arch's drop, R − √(R² − w²) for the radius R and half the width w, less the fall-away.",
    sure: "Exact for the camber as planned; what your wood really has stands on the page Readings.",
    computation: "camber",
};
/// Wood left under slots.
pub static WOOD_UNDER_SLOTS: Words = Words {
    name: "Wood under slots",
    means: "least wood left under any slot",
    why: "A slot that goes nearly through lets the board break or bend at that fret.",
    how: "The slot is as deep as the tang and the air under it; what is left below its lowest place is taken at every fret.",
    sure: "Exact for the sizes as given. How much is enough is common practice, without a source.",
    computation: "slots-and-wire",
};
/// Where the board ends.
pub static BOARDS_END: Words = Words {
    name: "Board's end",
    means: "from the nut on the centreline",
    why: "The length of wood to cut, and where the body begins to matter.",
    how: "The last fret's place on the scale and the wood past it.",
    sure: "Exact.",
    computation: "frets-and-scale",
};
/// Edge under the crown, at the nut.
pub static EDGE_DROP_AT_NUT: Words = Words {
    name: "Edge drop at the nut",
    means: "how far the edge lies under the crown",
    why: "It is what a straightedge and a feeler show, and how much wood leaves the edges.",
    how: "R − √(R² − w²) for the radius R and half the width w at the nut.",
    sure: "Exact for the camber as planned.",
    computation: "camber",
};
/// Edge under the crown, at the last fret.
pub static EDGE_DROP_AT_LAST_FRET: Words = Words {
    name: "Edge drop at the last fret",
    means: "the same there; equal drops keep the edge even",
    why: "With equal drops the edge keeps its thickness from end to end, which is easy to bind and pleasant to look at.",
    how: "R − √(R² − w²) for the radius R and half the width w at the last fret.",
    sure: "Exact for the camber as planned.",
    computation: "camber",
};
/// What comes off a flat blank.
pub static WOOD_ABOVE_CAMBER: Words = Words {
    name: "Wood above the camber",
    means: "what comes off a flat blank",
    why: "It is the work ahead, and the dust.",
    how: "The area between the chord and the arc at every place, added up along the board.",
    sure: "Exact for a blank that is flat at the crown's height; yours stands higher by the allowance of the bench plan.",
    computation: "camber",
};
/// The surface under a string against a straight line.
pub static GREATEST_HUMP: Words = Words {
    name: "Greatest hump under a string",
    means: "surface over the straight line from nut to last fret; small on any sensible camber",
    why: "A hump under a string's path costs action. A cone's is hardly more than a hundredth of a millimetre: it is not what a compound camber is for.",
    how: "The surface's height along each lane, less the straight line between its ends; the greatest of all lanes is shown with its sign.",
    sure: "Exact for the camber as planned.",
    computation: "camber",
};
/// Where the cone comes to a point.
pub static APEX_OF_CONE: Words = Words {
    name: "Apex of the cone",
    means: "every straight line in the surface runs through it",
    why: "The beam must swing about it: pushed parallel to the centreline it would cut the cone's edges away.",
    how: "Where the radius, run on straight along the board, would be nothing.",
    sure: "Exact for a cone; a board of one radius has none.",
    computation: "beam",
};
/// Where the strings come to a point.
pub static LANES_MEET: Words = Words {
    name: "Lanes meet at",
    means: "with the apex here the strings run along the surface's own lines",
    why: "It tells how near the camber is to the cone of the strings, whose hump is nothing.",
    how: "Where the outer lanes, run on straight past the nut, would cross.",
    sure: "Exact for the spreads as given.",
    computation: "camber",
};
