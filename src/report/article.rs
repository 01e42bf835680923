//! The article: what is shown to others, on two printed pages.
//!
//! It says only what a reader needs: what was changed, by how much, how sure, what could be wrong, what
//! the weather was, what it saves. What the person on board should correct or do next time is in the
//! [`summary`](super::summary).

use super::document::{Document, Figure, Part, Picture, Text};
use super::tables::{cells_table, comparison_table};
use super::words;
use super::{ChartForm, chart_path};
use crate::compare::Verdict;
use crate::plotter::{Chart, ChartKind};
use crate::trial::Trial;

/// The most doubts an article has room for: the gravest.
const MOST_DOUBTS: usize = 2;

/// The article without the appendix.
pub fn article(trial: &Trial, charts: &[Chart], form: ChartForm) -> Document {
    let answers = words::answers(trial);
    let mut parts: Vec<Part> = answers.iter().flat_map(words::Answer::parts).collect();
    parts.extend(meaning(trial));
    let comparison = figure(charts, ChartKind::Comparison, form)
        .or_else(|| figure(charts, ChartKind::Days, form));
    parts.extend(comparison);
    let cells = || Some(cells_table(trial)).filter(|table| !table.rows.is_empty());
    parts.extend(comparison_table(trial).or_else(cells).map(Part::Table));
    parts.extend(own_words(trial));
    let doubts = words::doubts(trial, MOST_DOUBTS);
    if !doubts.is_empty() {
        parts.push(Part::heading("What could be wrong"));
        parts.extend(Part::bullets(doubts));
    }
    if !trial.double_runs.is_empty() {
        parts.push(Part::heading("How it was done"));
        parts.push(Part::paragraph(words::in_short(trial).join(" ")));
        parts.push(Part::Note(words::TO_REPEAT.into()));
    }
    let facts = words::noted(trial);
    if !facts.is_empty() {
        parts.push(Part::Facts(
            facts
                .into_iter()
                .map(|(what, text)| (what.to_owned(), text.into()))
                .collect(),
        ));
    }
    let over_time =
        figure(charts, ChartKind::SpeedOverTime, form).filter(|_| trial.days.len() == 1);
    parts.extend(over_time);
    Document {
        kicker: words::kicker(trial).into(),
        title: words::title(trial),
        description: answers
            .first()
            .map_or_else(String::new, words::Answer::sentence),
        parts,
        colophon: Text::from(concat!(
            "Made with thereback ",
            env!("CARGO_PKG_VERSION"),
            " from the recorded track; result.json has every figure."
        )),
    }
}

/// The person's own words, and their photograph.
fn own_words(trial: &Trial) -> Vec<Part> {
    let paragraphs = trial.story.text.iter();
    let mut parts: Vec<Part> = paragraphs
        .map(|text| Part::paragraph(words::one_line(text)))
        .collect();
    parts.extend(photo(trial).map(Part::Picture));
    parts
}

/// The photograph that the notes name, where it could be read.
pub(super) fn photo(trial: &Trial) -> Option<Picture> {
    let image = trial.story.photo.as_ref()?.image.as_ref()?;
    let ending = if image.media_type == "image/png" {
        "png"
    } else {
        "jpg"
    };
    Some(Picture {
        media_type: image.media_type,
        bytes: image.bytes.clone(),
        path: format!("photo.{ending}"),
        caption: words::photo_caption(&trial.story),
    })
}

/// What the change means on the water, each figure about a charge with its caution.
fn meaning(trial: &Trial) -> Vec<Part> {
    let compared = words::headline_comparisons(trial);
    let several = trial.configurations.len() > 2;
    let mut lines: Vec<String> = compared
        .iter()
        .filter_map(|c| {
            let worth = words::worth(trial, c)?;
            Some(if several {
                format!("{}: {worth}", words::capital(&words::pair_title(c)))
            } else {
                worth
            })
        })
        .collect();
    let savings = words::savings(trial);
    let has_distance = !savings.is_empty();
    lines.extend(savings);
    let mut parts: Vec<Part> = if several {
        Part::bullets(lines).into_iter().collect()
    } else {
        (!lines.is_empty())
            .then(|| Part::paragraph(lines.join(" ")))
            .into_iter()
            .collect()
    };
    let faster = compared.iter().any(|c| c.verdict == Verdict::Faster);
    if has_distance {
        parts.push(Part::Note(words::DISTANCES.into()));
    } else if faster && trial.gain.power.cells.is_empty() {
        parts.push(Part::Note(words::MORE_LOAD.into()));
    }
    if !compared.is_empty() {
        parts.extend(words::over_limit(trial).map(|line| Part::Caution(line.into())));
    }
    parts.extend(words::home_out_of_reach(trial).map(|line| Part::Caution(line.into())));
    parts
}

/// The first chart of a kind.
fn figure(charts: &[Chart], kind: ChartKind, form: ChartForm) -> Option<Part> {
    let chart = charts.iter().find(|chart| chart.kind == kind)?;
    Some(Part::Figure(Figure::of(chart, chart_path(chart, form))))
}
