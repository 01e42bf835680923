//! SVG charts of one [`Analysis`], drawn with plotters.
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
//! style  inks, dashes, shapes, the style sheet     axis    round ticks
//! pen    how a pen travels through plotters        labels  room for words
//! sheet  plotters areas in the chart's own units   marks   shapes, bars, arrows
//! svg    from plotters' drawing to the figure      text    words and their width
//! ```

mod style;

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

mod track;

mod heading;

mod time;

pub use style::{DARK_PAPER, LIGHT_PAPER};

use crate::analysis::Analysis;
use day::Day;

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
/// track, speed against heading for each configuration, speed over time.
///
/// The same analysis gives the same bytes.
///
/// # Errors
/// [`PlotError`] where the drawing library fails; no analysis should bring that about.
pub fn charts(analysis: &Analysis) -> Result<Vec<Chart>, PlotError> {
    let day = Day::of(analysis);
    let mut charts = Vec::new();
    charts.extend(comparison::chart(&day)?);
    charts.extend(track::chart(&day)?);
    charts.extend(heading::charts(&day)?);
    charts.extend(time::chart(&day)?);
    Ok(charts)
}
