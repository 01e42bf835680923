//! From one trial to the files of a write-up, as bytes: nothing here touches the disk.
//!
//! Every output reads the trial and nothing else, so they cannot disagree.
//!
//! ```text
//! words      every sentence, written once     tables     the tables, their figures rounded
//! rounding   figures                          clock      times
//! article    what is shown to others          appendix   what it rests on
//! summary    what the person on board needs   document   typed parts -> HTML, Markdown, text
//! data       CSV, JSON, GPX, GeoJSON
//! ```

mod appendix;
mod article;
mod clock;
pub mod data;
pub mod document;
pub use crate::rounding;
mod summary;
mod tables;
pub mod words;

pub use self::summary::{legs_text, summary};

pub use self::article::article;

use self::document::Dress;
use crate::plotter::Chart;
#[cfg(feature = "png")]
use crate::plotter::{Raster, RasterError};
use crate::trial::Trial;

/// One file of the write-up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutputFile {
    /// Where it goes, below the output folder: relative, `/` between parts, letters, digits, `.`, `-` and `_` only.
    pub path: String,
    /// What goes there.
    pub bytes: Vec<u8>,
}

/// Why a file of the write-up could not be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ReportError {
    /// A table could not be written as CSV.
    #[error("cannot write a table as CSV\nhint: is there memory left?")]
    Csv(#[source] ::csv::Error),
    /// The result could not be written as JSON.
    #[error("cannot write the result as JSON\nhint: this is a fault of the program")]
    Json(#[source] serde_json::Error),
    /// A chart could not be drawn in pixels.
    #[cfg(feature = "png")]
    #[error(transparent)]
    Raster(#[from] RasterError),
}

/// The form in which the charts are written as files; in the page they are always SVG.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ChartForm {
    /// Lines and letters that stay sharp at any size.
    #[default]
    Svg,
    /// Pixels at print resolution.
    #[cfg(feature = "png")]
    Png,
}

impl ChartForm {
    /// The ending of the files' names.
    fn ending(self) -> &'static str {
        match self {
            Self::Svg => "svg",
            #[cfg(feature = "png")]
            Self::Png => "png",
        }
    }
}

/// All files of the write-up but the notes: the article with its appendix as a page, the article alone as
/// Markdown, the charts, the tables, the legs and the result.
///
/// # Errors
/// [`ReportError`], as for each file alone.
pub fn files(
    trial: &Trial,
    charts: &[Chart],
    form: ChartForm,
) -> Result<Vec<OutputFile>, ReportError> {
    let file = |path: &str, bytes: Vec<u8>| OutputFile {
        path: path.to_owned(),
        bytes,
    };
    let mut document = article(trial, charts, form);
    let text = document.to_markdown();
    document.parts.extend(appendix::appendix(trial, charts));
    let page = document.to_html(&Dress::REPORT);
    let mut files = vec![
        file("report.html", page.into_bytes()),
        file("report.md", text.into_bytes()),
    ];
    #[cfg(feature = "png")]
    // The fonts are read only where pixels are asked for.
    let raster = (form == ChartForm::Png).then(Raster::new);
    for chart in charts {
        #[cfg(feature = "png")]
        let bytes = match &raster {
            None => chart.svg().into_bytes(),
            Some(raster) => raster.png(chart)?,
        };
        #[cfg(not(feature = "png"))]
        let bytes = chart.svg().into_bytes();
        files.push(file(&chart_path(chart, form), bytes));
    }
    files.extend([
        file("legs.csv", data::legs_csv(trial)?),
        file("double_runs.csv", data::double_runs_csv(trial)?),
        file("comparison.csv", data::comparison_csv(trial)?),
        file("legs.gpx", data::legs_gpx(trial)),
        file("result.json", data::result_json(trial)?),
    ]);
    files.extend(article::photo(trial).map(|photo| file(&photo.path, photo.bytes.to_vec())));
    files.extend(data::power_csv(trial)?.map(|bytes| file("power.csv", bytes)));
    Ok(files)
}

/// `report.html`: the article, then the appendix.
pub fn report_html(trial: &Trial, charts: &[Chart]) -> String {
    let mut document = article(trial, charts, ChartForm::Svg);
    document.parts.extend(appendix::appendix(trial, charts));
    document.to_html(&Dress::REPORT)
}

/// Where a chart's file is, beside the document.
fn chart_path(chart: &Chart, form: ChartForm) -> String {
    format!("charts/{}.{}", chart.file_name, form.ending())
}
