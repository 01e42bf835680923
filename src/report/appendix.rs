//! The appendix: what the article rests on, folded on screen and printed only where it is open.

use super::document::{Figure, Part, Section};
use super::tables::{
    cells_table, double_runs_table, gain_tables, legs_table, pairs_table, recalculation_table,
};
use super::words;
use crate::plotter::{Chart, ChartKind};
use crate::trial::Trial;

/// All sections that have something to show, after a heading.
pub(super) fn appendix(trial: &Trial, charts: &[Chart]) -> Vec<Part> {
    let several = trial.days.len() > 1;
    let figures = |kinds: &[ChartKind]| -> Vec<Part> {
        let own = charts.iter().filter(|chart| kinds.contains(&chart.kind));
        own.map(|chart| Part::Figure(Figure::of(chart, String::new())))
            .collect()
    };
    let paragraphs =
        |lines: Vec<String>| lines.into_iter().map(Part::paragraph).collect::<Vec<_>>();

    let mut by_day = Vec::new();
    if several {
        by_day.extend(figures(&[ChartKind::SpeedOverTime]));
    }
    let mut heading = paragraphs(words::headings(trial));
    heading.extend(figures(&[
        ChartKind::SpeedAgainstHeading,
        ChartKind::HeadingRound,
    ]));
    let runs = !trial.double_runs.is_empty();
    let legs = (!trial.legs.is_empty()).then(|| Part::Table(legs_table(trial, true)));
    let mut weather = vec![Part::paragraph(words::wind(trial))];
    weather.extend(words::adjustment(trial).map(Part::paragraph));
    let mut method: Vec<Part> = Vec::new();
    for (title, text) in words::method(trial) {
        method.extend([Part::Subheading(title.to_owned()), Part::paragraph(text)]);
    }
    method.push(Part::Subheading("Sources".to_owned()));
    method.extend(Part::bullets(words::sources()));
    let mut numbers: Vec<Part> = Vec::new();
    numbers.extend(pairs_table(trial).map(Part::Table));
    if runs {
        numbers.push(Part::Table(cells_table(trial)));
    }
    numbers.extend(recalculation_table(trial).map(Part::Table));

    let sections = [
        ("days", "Day by day", by_day),
        ("track", "The track", figures(&[ChartKind::TrackMap])),
        ("heading", "Speed against heading", heading),
        ("gain", gain_title(trial), gain(trial, figures)),
        (
            "double-runs",
            "Double runs",
            runs.then(|| Part::Table(double_runs_table(trial)))
                .into_iter()
                .collect(),
        ),
        ("legs", "Legs", legs.into_iter().collect()),
        ("wind", "Wind and current", weather),
        ("method", "How it was measured", method),
        (
            "assumptions",
            "What it takes for granted",
            Part::bullets(words::assumptions()).into_iter().collect(),
        ),
        (
            "set-aside",
            "What was set aside",
            Part::bullets(words::set_aside(trial)).into_iter().collect(),
        ),
        ("numbers", "Numbers to calculate it again", numbers),
    ];
    let folded = sections.into_iter().filter(|(.., parts)| !parts.is_empty());
    let folded = folded.map(|(id, title, parts)| {
        Part::Folded(Section {
            id,
            title: title.to_owned(),
            parts,
        })
    });
    std::iter::once(Part::heading("Appendix"))
        .chain(folded)
        .collect()
}

fn gain_title(trial: &Trial) -> &'static str {
    if trial.comparisons.is_empty() {
        "Speed, draw and distance"
    } else {
        "What the gain buys"
    }
}

/// What the gain buys: sentences, charts, tables, what they rest on, cautions.
fn gain(trial: &Trial, figures: impl Fn(&[ChartKind]) -> Vec<Part>) -> Vec<Part> {
    if !words::has_gain(trial) {
        return Vec::new();
    }
    let mut parts: Vec<Part> = Part::bullets(words::gain(trial)).into_iter().collect();
    parts.extend(
        words::gain_cautions(trial)
            .into_iter()
            .map(|line| Part::Note(line.into())),
    );
    parts.extend(figures(&[
        ChartKind::SpeedAtSetting,
        ChartKind::EnergyAtSpeed,
    ]));
    parts.extend(gain_tables(trial).into_iter().map(Part::Table));
    if let Some(basis) = Part::bullets(words::gain_basis(trial)) {
        parts.extend([
            Part::Subheading("What these figures rest on".to_owned()),
            basis,
        ]);
    }
    parts
}
