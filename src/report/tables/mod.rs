//! The tables of the write-up, their figures rounded; the page and the terminal set them.

mod comparisons;
mod days;
mod gain;
mod legs;
mod runs;

pub(crate) use comparisons::{cells_table, comparison_tables};
pub(crate) use days::{days_tables, pairs_table, recompute_table};
pub(crate) use gain::{gain_tables, watt_hours};
pub(crate) use legs::{legs_table_narrow, legs_table_of_days, legs_table_wide};
pub(crate) use runs::double_runs_table;

use super::rounding::UNKNOWN;
use super::words::{name, one_line, shortened};
use crate::segmenter::WindLabel;

/// The wind off the bow in the trade's words.
pub(crate) fn wind_label(label: WindLabel) -> &'static str {
    match label {
        WindLabel::Ahead => "ahead",
        WindLabel::StarboardBow => "starboard bow",
        WindLabel::StarboardBeam => "starboard beam",
        WindLabel::StarboardQuarter => "starboard quarter",
        WindLabel::Astern => "astern",
        WindLabel::PortQuarter => "port quarter",
        WindLabel::PortBeam => "port beam",
        WindLabel::PortBow => "port bow",
    }
}

fn known(text: Option<&str>) -> String {
    text.map_or_else(|| UNKNOWN.to_owned(), name)
}

/// Reasons longer than this are cut in tables.
const LONGEST_REASON: usize = 160;

fn left_out(included: bool, reason: Option<&str>) -> String {
    match (included, reason) {
        (true, _) => String::new(),
        (false, Some(reason)) => shortened(&one_line(reason), LONGEST_REASON),
        (false, None) => "no reason given".to_owned(),
    }
}
