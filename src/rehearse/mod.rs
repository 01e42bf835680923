//! rehearse
