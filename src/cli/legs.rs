//! `thereback legs`: only what was found.

use anyhow::Result;
use thereback::report::{data, legs_text};
use thereback::trial::{Trial, Warning};

use super::args::{Format, LegsArgs};
use super::inputs::{Analysed, analysed};
use super::{Outcome, say};

pub(crate) fn run(args: &LegsArgs) -> Result<Outcome> {
    let Some(Analysed {
        analysis: trial, ..
    }) = analysed(&args.trial)?
    else {
        return Ok(Outcome::BadInput);
    };
    warn(&trial);
    match args.format {
        Format::Table => say::text(&legs_text(&trial))?,
        Format::Csv => say::data(&data::legs_csv(&trial)?)?,
        Format::Json => say::data(&data::legs_json(&trial)?)?,
        Format::Gpx => say::data(&data::legs_gpx(&trial))?,
        Format::Geojson => say::data(&data::legs_geojson(&trial)?)?,
    }
    if trial.legs.is_empty() {
        say::warning(
            "no leg was found: nowhere did the boat hold one heading for long\n\
             hint: is this the track of the trial? run each way for three minutes or more",
        );
        return Ok(Outcome::NothingToMeasure);
    }
    Ok(Outcome::Found)
}

/// Warnings that concern the legs; those on the comparison are the report's.
fn warn(trial: &Trial) {
    for warning in &trial.warnings {
        if matches!(
            warning,
            // Said of every day of a season the wind would drown the rest.
            Warning::Notes { .. } | Warning::File { .. } | Warning::NoWind { .. }
        ) {
            say::warning(warning.text_in(trial.units));
        }
    }
}
