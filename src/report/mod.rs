//! From one [`Trial`] to the files of a write-up, as bytes: nothing here touches the disk.
//!
//! Every output reads the analysis and nothing else, so they cannot disagree:
//! the page, the text to paste, the tables in CSV, the legs as GPX, the result as JSON, and the
//! summary for the terminal. Sentences shared by them stand in [`words`],
//! the rounding of figures in [`rounding`].

mod clock;
mod csv;
pub mod days;
mod geojson;
mod gpx;
mod json;
mod leg_points;
mod markdown;
mod page;
pub mod rounding;
mod summary;
pub(crate) mod table;
mod tables;
pub mod words;

pub use self::csv::{comparison_csv, double_runs_csv, legs_csv, power_csv};
pub use self::geojson::legs_geojson;
pub use self::gpx::legs_gpx;
pub use self::json::{legs_json, result_json};
pub use self::markdown::report_md;
pub use self::page::report_html;
pub(crate) use self::page::{Head, Numbers, STYLE as PAGE_STYLE, figure, head, table};
pub use self::summary::{legs_table, summary};

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
    /// The legs could not be written as GPX.
    #[error("cannot write the legs as GPX\nhint: this is a fault of the program")]
    Gpx(#[source] Box<::gpx::errors::GpxError>),
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

/// All files of the write-up but the notes: the page, its charts, the tables, the legs and the result.
///
/// # Errors
/// [`ReportError`], as for each file alone.
pub fn files(
    analysis: &Trial,
    charts: &[Chart],
    form: ChartForm,
) -> Result<Vec<OutputFile>, ReportError> {
    let page = report_html(analysis, charts);
    let text = report_md(analysis, charts, form);
    let mut files: Vec<OutputFile> = [("report.html", page), ("report.md", text)]
        .into_iter()
        .map(|(path, text)| OutputFile {
            path: path.to_owned(),
            bytes: text.into_bytes(),
        })
        .collect();
    // The fonts are read only where pixels are asked for.
    #[cfg(feature = "png")]
    let raster = (form == ChartForm::Png).then(Raster::new);
    for (chart, path) in charts.iter().zip(chart_paths(charts, form)) {
        #[cfg(feature = "png")]
        let bytes = match &raster {
            None => chart.svg.clone().into_bytes(),
            Some(raster) => raster.png(chart)?,
        };
        #[cfg(not(feature = "png"))]
        let bytes = chart.svg.clone().into_bytes();
        files.push(OutputFile { path, bytes });
    }
    let data = [
        ("legs.csv", legs_csv(analysis)?),
        ("double_runs.csv", double_runs_csv(analysis)?),
        ("comparison.csv", comparison_csv(analysis)?),
        ("legs.gpx", legs_gpx(analysis)?),
        ("result.json", result_json(analysis)?),
    ];
    files.extend(data.map(|(path, bytes)| OutputFile {
        path: path.to_owned(),
        bytes,
    }));
    files.extend(power_csv(analysis)?.map(|bytes| OutputFile {
        path: "power.csv".to_owned(),
        bytes,
    }));
    Ok(files)
}

/// A path for each chart, unlike any other even where case does not count.
fn chart_paths(charts: &[Chart], form: ChartForm) -> Vec<String> {
    let mut paths: Vec<String> = Vec::with_capacity(charts.len());
    for chart in charts {
        let stem = safe_stem(&chart.name);
        let mut path = format!("charts/{stem}.{}", form.ending());
        let mut number = 2;
        while paths.contains(&path) {
            path = format!("charts/{stem}-{number}.{}", form.ending());
            number += 1;
        }
        paths.push(path);
    }
    paths
}

/// Longest stem of a file's name.
const LONGEST_STEM: usize = 60;

/// Names that one family of systems keeps for devices (from memory).
const KEPT_NAMES: [&str; 6] = ["con", "prn", "aux", "nul", "com1", "lpt1"];

/// A stem of small letters, digits and single hyphens.
fn safe_stem(name: &str) -> String {
    let mut stem = String::new();
    for c in name.chars().take(LONGEST_STEM) {
        if c.is_ascii_alphanumeric() {
            stem.push(c.to_ascii_lowercase());
        } else if !stem.is_empty() && !stem.ends_with('-') {
            stem.push('-');
        }
    }
    let stem = stem.trim_end_matches('-');
    if stem.is_empty() || KEPT_NAMES.contains(&stem) {
        format!("chart{}{stem}", if stem.is_empty() { "" } else { "-" })
    } else {
        stem.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chart(name: &str) -> Chart {
        Chart {
            name: name.to_owned(),
            title: String::new(),
            caption: String::new(),
            alt: String::new(),
            svg: String::new(),
            narrow: String::new(),
        }
    }

    #[test]
    fn chart_paths_are_safe_and_unlike() {
        let charts = [
            "track",
            "../../etc/passwd",
            "Track",
            "",
            "con",
            "heading å=β <b>",
        ]
        .map(chart);
        assert_eq!(
            chart_paths(&charts, ChartForm::Svg),
            [
                "charts/track.svg",
                "charts/etc-passwd.svg",
                "charts/track-2.svg",
                "charts/chart.svg",
                "charts/chart-con.svg",
                "charts/heading-b.svg",
            ]
        );
    }
}
