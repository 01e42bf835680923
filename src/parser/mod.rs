//! parser
