//! Every threshold in force, as written into the result.

use serde::Serialize;

/// The rules of all stages.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Rules {}
