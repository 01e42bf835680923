//! `thereback legs`: only what was found.

use anyhow::Result;
use thereback::analysis::{Analysis, Warning};
use thereback::report;

use super::args::{Format, LegsArgs};
use super::inputs::{Analysed, analysed};
use super::{Outcome, say};

pub(crate) fn run(args: &LegsArgs) -> Result<Outcome> {
    let Some(Analysed { analysis, .. }) = analysed(&args.trial)? else {
        return Ok(Outcome::BadInput);
    };
    warn(&analysis);
    match args.format {
        Format::Table => say::text(&report::legs_table(&analysis))?,
        Format::Csv => say::data(&report::legs_csv(&analysis)?)?,
        Format::Json => say::data(&report::legs_json(&analysis)?)?,
        Format::Gpx => say::data(&report::legs_gpx(&analysis)?)?,
    }
    if analysis.legs.is_empty() {
        say::warning(
            "no leg was found: nowhere did the boat hold one heading for long\n\
             hint: is this the track of the trial? run each way for three minutes or more",
        );
        return Ok(Outcome::NothingToMeasure);
    }
    Ok(Outcome::Found)
}

/// Warnings that concern the legs; those on the comparison are the report's.
fn warn(analysis: &Analysis) {
    for warning in &analysis.warnings {
        if matches!(
            warning,
            Warning::Notes { .. } | Warning::File { .. } | Warning::NoWind { .. }
        ) {
            say::warning(warning.text_in(analysis.units));
        }
    }
}
