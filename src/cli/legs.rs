//! `thereback legs`: only what was found.

use anyhow::Result;
use thereback::analysis::{Analysis, Warning};
use thereback::report::days;

use super::args::{Format, LegsArgs};
use super::inputs::analysed_days;
use super::{Outcome, say};

pub(crate) fn run(args: &LegsArgs) -> Result<Outcome> {
    let with_trails = matches!(args.format, Format::Gpx | Format::Geojson);
    let analyses = analysed_days(&args.trial, with_trails)?;
    if analyses.is_empty() {
        return Ok(Outcome::BadInput);
    }
    warn(&analyses);
    match args.format {
        Format::Table => say::text(&days::table(&analyses))?,
        Format::Csv => say::data(&days::csv(&analyses)?)?,
        Format::Json => say::data(&days::json(&analyses)?)?,
        Format::Gpx => say::data(&days::gpx(&analyses)?)?,
        Format::Geojson => say::data(&days::geojson(&analyses)?)?,
    }
    if analyses.iter().all(|day| day.legs.is_empty()) {
        say::warning(
            "no leg was found: nowhere did the boat hold one heading for long\n\
             hint: is this the track of the trial? run each way for three minutes or more",
        );
        return Ok(Outcome::NothingToMeasure);
    }
    Ok(Outcome::Found)
}

/// Warnings that concern the legs; those on the comparison are the report's.
fn warn(analyses: &[Analysis]) {
    let one_day = analyses.len() == 1;
    for warning in analyses.iter().flat_map(|day| &day.warnings) {
        let told = match warning {
            Warning::Notes { .. } | Warning::File { .. } => true,
            // Said of every day of a season it would drown the rest.
            Warning::NoWind { .. } => one_day,
            _ => false,
        };
        if told {
            say::warning(warning.text_in(analyses[0].units));
        }
    }
}
