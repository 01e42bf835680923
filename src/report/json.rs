//! `result.json`: the analysis as its types serialise.

use super::ReportError;
use crate::trial::Trial;

/// The whole result, SI units, indented, with a final line feed.
///
/// What is not a finite number becomes `null`, as JSON knows no other.
///
/// # Errors
/// [`ReportError::Json`] where a value cannot be serialised; the types of the result all can.
pub fn result_json(analysis: &Trial) -> Result<Vec<u8>, ReportError> {
    pretty(analysis)
}

/// The legs alone, the array that stands under `legs` in `result.json`.
///
/// # Errors
/// As [`result_json`].
pub fn legs_json(analysis: &Trial) -> Result<Vec<u8>, ReportError> {
    pretty(&analysis.legs)
}

/// Any value, indented, with a final line feed.
pub(super) fn pretty(value: &impl serde::Serialize) -> Result<Vec<u8>, ReportError> {
    let mut bytes = serde_json::to_vec_pretty(value).map_err(ReportError::Json)?;
    bytes.push(b'\n');
    Ok(bytes)
}
