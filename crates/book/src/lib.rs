//! The store of everything: commissions, kits, stages done, and the history of every change.
