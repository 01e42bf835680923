//! Charts of one [`Trial`], drawn with plotters, as SVG; as PNG for those who want pixels.
//!
//! Each chart is a figure that stands alone as a file and lies in a page as it
//! is: it fills the width it is given, carries its own title and text
//! alternative, reads on light and on dark paper, and prints in black. Nothing
//! in it needs a script, a font file or the network. What cannot be drawn (no
//! legs, no speeds, no track) is left out of the list rather than drawn empty.
//!
//! Marks that stand for a leg lie in groups `<g class="tb-leg" data-leg="7">`,
//! for a page to point at.
//!
//! ```text
//! style   inks, dashes, shapes, style sheet     axis    round ticks
//! layout  for a page or for a phone
//! pen     how a pen travels through plotters    clip    lines cut at an edge
//! place   places and rectangles                 labels  room for words
//! sheet   plotters areas in a chart's units     spread  places moved apart
//! svg     from plotters' drawing to a figure    thin    lines thinned to what shows
//! text    words and their width                 marks   shapes, bars, arrows
//! day     the analysis as charts look it up     raster  the figure in pixels
//! ```
//!
//! The classes of the style sheet (`tb-text`, `tb-c1`, …) set `color`; a page may
//! override them. Letters over lines have a halo of the paper's colour, `tb-halo`:
//! a page on other paper than [`LIGHT_PAPER`] and [`DARK_PAPER`] sets its `stroke`.

mod style;

mod layout;

mod pen;

mod place;

mod sheet;

mod svg;

mod text;

mod axis;

mod clip;

mod labels;

mod spread;

mod thin;

mod marks;

mod day;

mod comparison;

mod across;

mod of_day;

mod track;

mod heading;

mod time;

mod gain;
mod power;

#[cfg(feature = "png")]
mod raster;

pub use power::power_chart;
#[cfg(feature = "png")]
pub use raster::{PRINT_DPI, PRINT_WIDTH_MM, Raster, RasterError};

pub use style::{DARK_PAPER, LIGHT_PAPER};

use crate::trial::Trial;
use day::Day;
use layout::Layout;

/// A figure with its words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chart {
    /// Name: letters, digits and hyphens only, fit for a file stem and for ids.
    pub name: String,
    /// Title, a few words.
    pub title: String,
    /// What to see, a sentence or two.
    pub caption: String,
    /// The text alternative: what the figure shows, in numbers.
    pub alt: String,
    /// The figure: a whole SVG document.
    pub svg: String,
    /// The same laid out for a narrow column, to stand beside the other in a page: its words and its style
    /// sheet are those of [`svg`](Self::svg). Empty where there is none.
    pub narrow: String,
}

/// Why a chart could not be drawn.
///
/// None of these depends on the data; they are slips of the program.
#[derive(Debug, thiserror::Error)]
pub enum PlotError {
    /// The drawing library refused.
    #[error("cannot draw a chart: {0}")]
    Draw(#[from] plotters::drawing::DrawingAreaErrorKind<std::io::Error>),
    /// What the drawing library wrote could not be read back.
    #[error("cannot read the drawing of a chart: {0}")]
    Read(#[from] quick_xml::Error),
    /// An element of what the drawing library wrote could not be read back.
    #[error("cannot read a mark in the drawing of a chart: {0}")]
    Mark(#[from] quick_xml::events::attributes::AttrError),
}

/// Draws all charts an analysis has something for, in the order of the report: the comparison, the
/// track, speed against heading for each configuration, speed over time, and what the gain buys. Of several days, the days side
/// by side, and then each day's comparison, track, headings and speed over time.
///
/// The same analysis gives the same bytes.
///
/// # Errors
/// [`PlotError`] where the drawing library fails; no analysis should bring that about.
pub fn charts(analysis: &Trial) -> Result<Vec<Chart>, PlotError> {
    let mut charts = drawn(analysis, Layout::Wide)?;
    for (chart, slim) in charts.iter_mut().zip(drawn(analysis, Layout::Narrow)?) {
        chart.narrow = slim.svg;
    }
    Ok(charts)
}

/// All charts in one layout.
fn drawn(analysis: &Trial, layout: Layout) -> Result<Vec<Chart>, PlotError> {
    let day = Day::of(analysis, layout);
    let mut charts = Vec::new();
    if analysis.days.len() > 1 {
        charts.extend(across::chart(&day)?);
        for one in &analysis.days {
            let own = of_one_day(&Day::of(&day.analysis.only(one.day), layout))?.into_iter();
            charts.extend(own.map(|chart| of_day::of_day(chart, one.day)));
        }
        return Ok(charts);
    }
    charts.extend(comparison::chart(&day)?);
    charts.extend(track::chart(&day)?);
    charts.extend(heading::charts(&day)?);
    charts.extend(time::chart(&day)?);
    charts.extend(time::by_line(&day)?);
    charts.extend(gain::charts(&day)?);
    Ok(charts)
}

/// The charts of one of several days: those that tell something the tables do not.
fn of_one_day(day: &Day) -> Result<Vec<Chart>, PlotError> {
    let mut charts = Vec::new();
    charts.extend(comparison::chart(day)?);
    charts.extend(track::chart(day)?);
    charts.extend(heading::round(day)?);
    charts.extend(time::chart(day)?);
    Ok(charts)
}
