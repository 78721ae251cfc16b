//! Checks of the house.
