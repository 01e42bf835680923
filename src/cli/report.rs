//! `thereback report`: the whole job.

use anyhow::Result;
use thereback::report::OutputFile;
use thereback::{plotter, report};

use super::args::ReportArgs;
use super::inputs::{Analysed, analysed};
use super::{Outcome, notes_file, output, say};

pub(crate) fn run(args: &ReportArgs) -> Result<Outcome> {
    let place = notes_file::place(&args.output)?;
    if let (None, Some(edited)) = (&args.trial.notes, place.kept.first()) {
        let edited = args.output.join(edited);
        let edited = edited.display();
        say::warning(format!(
            "`{edited}` was edited, but nothing in it is used\nhint: add `--notes {edited}` to use it"
        ));
    }
    let Some(Analysed { analysis, given }) = analysed(&args.trial)? else {
        return Ok(Outcome::BadInput);
    };
    let charts = plotter::charts(&analysis);
    let mut files = report::files(&analysis, &charts, args.charts.form())?;
    let understood = report::data::notes_toml(&analysis, &given);
    files.push(OutputFile {
        path: place.name.clone(),
        bytes: notes_file::stamped(&understood).into_bytes(),
    });
    output::write(&args.output, &files, &args.trial.tracks)?;

    say::text(&format!(
        "{}\nReport: {}\nNotes:  {}\n",
        report::summary(&analysis),
        args.output.join("report.html").display(),
        args.output.join(&place.name).display(),
    ))?;
    if !place.kept.is_empty() {
        say::note(format!(
            "`{}` was edited and stays as it is; the notes as understood now are in `{}`",
            args.output.join(place.kept.join("` and `")).display(),
            args.output.join(&place.name).display(),
        ));
    }
    Ok(if analysis.double_runs.is_empty() {
        Outcome::NothingToMeasure
    } else {
        Outcome::Found
    })
}
