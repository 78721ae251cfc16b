//! Pictures as scenes in millimetres, and the writers that put them on screen and paper.
