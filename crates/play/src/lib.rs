//! Strings and the sheet: every figure of a commission gathered into one value.
