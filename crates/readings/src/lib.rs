//! What measured values prove about the wood.
