//! Lengths, forces and pitches as a maker types and reads them, and tables of materials.
