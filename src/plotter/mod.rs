//! Charts of a trial as SVG; as PNG for those who want pixels.
//!
//! [`charts`] draws all that a result has something for. Each chart has a [`ChartKind`], a function
//! of its own that takes a plain struct of what it shows, and two layouts, for a page and for a
//! phone, drawn by the same code. What cannot be drawn (no legs, no speeds, no track) is left out
//! of the list rather than drawn empty. Drawing cannot fail.
//!
//! Marks that stand for a leg lie in groups `<g class="tb-leg" data-leg="7">`, for a page to point
//! at. The classes of the style sheet (`tb-text`, `tb-c1`, ...) set `color`; a page may override
//! them. Letters over lines have a halo of the paper's colour, `tb-halo`: a page on other paper
//! than [`LIGHT_PAPER`] and [`DARK_PAPER`] sets its `stroke`.
//!
//! ```text
//! inputs           from the result to what the charts show
//! comparison  track_map  speed_over_time  heading  heading_round  relation     the charts
//! chart            a finished figure with its words      raster  the same in pixels
//! sheet            places, pens and marks of SVG         style   inks, dashes, shapes, style sheet
//! axis  key  labels  marks  lines  text                  what charts are made of
//! ```

mod axis;
mod chart;
mod inputs;
mod key;
mod labels;
mod lines;
mod marks;
#[cfg(feature = "png")]
mod raster;
mod sheet;
mod style;
mod text;

pub mod comparison;
pub mod heading;
pub mod heading_round;
pub mod relation;
pub mod speed_over_time;
pub mod track_map;

pub use chart::{Chart, ChartKind};
#[cfg(feature = "png")]
pub use raster::{PRINT_DPI, PRINT_WIDTH_MM, Raster, RasterError};
pub use sheet::Drawing;
pub use style::{DARK_PAPER, LIGHT_PAPER, Width, style_sheet};

use crate::trial::Trial;
use inputs::Inputs;

/// Draws all charts a result has something for, in the order of the report: the comparison, of
/// several days what each showed, then for each day the track, speed against heading and speed over
/// time, and what the gain buys.
///
/// The same result gives the same bytes.
pub fn charts(trial: &Trial) -> Vec<Chart> {
    let inputs = Inputs::of(trial);
    let mut charts: Vec<Chart> = Vec::new();
    charts.extend(comparison::chart(&inputs.comparison()));
    charts.extend(comparison::chart(&inputs.days_compared()));
    for day in &trial.days {
        let headings = inputs.speed_against_heading(day);
        let own = [
            inputs.track_map(day).and_then(|map| track_map::chart(&map)),
            heading::chart(&headings),
            heading_round::chart(&headings),
            speed_over_time::chart(&inputs.speed_over_time(day)),
        ];
        let own = own.into_iter().flatten();
        charts.extend(own.map(|chart| chart.of_day(day.day, trial.days.len() > 1)));
    }
    let gain = [inputs.speed_at_setting(), inputs.energy_at_speed()];
    let shown = gain.iter().filter(|relation| !relation.series.is_empty());
    charts.extend(shown.map(relation::chart));
    charts
}
