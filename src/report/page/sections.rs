//! The sections that show: charts and tables in their order.

use maud::html;

use super::Section;
use super::parts::{Data, Numbers, coded, figure, table};
use crate::plotter::Chart;
use crate::report::{tables, words};
use crate::trial::Trial;

/// The charts, each where it belongs by the word in its name.
pub(super) struct Placed<'a> {
    comparison: Vec<&'a Chart>,
    track: Vec<&'a Chart>,
    heading: Vec<&'a Chart>,
    time: Vec<&'a Chart>,
    /// Of several days, each by itself: the day's number first.
    days: Vec<(usize, &'a Chart)>,
    gain: Vec<&'a Chart>,
    more: Vec<&'a Chart>,
}

impl<'a> Placed<'a> {
    pub(super) fn of(charts: &'a [Chart]) -> Self {
        let mut placed = Self {
            comparison: Vec::new(),
            track: Vec::new(),
            heading: Vec::new(),
            time: Vec::new(),
            days: Vec::new(),
            gain: Vec::new(),
            more: Vec::new(),
        };
        for chart in charts {
            let name = chart.name.as_str();
            if let Some(day) = day_of(name) {
                placed.days.push((day, chart));
                continue;
            }
            // Configuration names may follow, so the word that comes first decides.
            let places = [
                (name.find("comparison"), &mut placed.comparison),
                (name.find("track"), &mut placed.track),
                (name.find("heading"), &mut placed.heading),
                (name.find("time"), &mut placed.time),
                (name.find("gain"), &mut placed.gain),
            ];
            match places
                .into_iter()
                .filter_map(|(at, place)| at.map(|at| (at, place)))
                .min_by_key(|(at, _)| *at)
            {
                Some((_, place)) => place.push(chart),
                None => placed.more.push(chart),
            }
        }
        placed
    }
}

/// The day that a chart's name begins with, as in `day-2-track`.
fn day_of(name: &str) -> Option<usize> {
    let (day, _) = name.strip_prefix("day-")?.split_once('-')?;
    day.parse().ok()
}

/// Each of several days by itself.
pub(super) fn days(
    analysis: &Trial,
    placed: &Placed<'_>,
    numbers: &mut Numbers,
) -> Option<Section> {
    ((analysis.days.len() > 1)).then(|| Section {
        id: "days",
        title: "Day by day",
        body: html! {
            @for day in &analysis.days {
                h3 { "Day " (day.day) ": " (words::day_line(&analysis.only(day.day))) }
                @for answer in words::answers(&analysis.only(day.day)) { p { (answer.sentence()) } }
                p { (words::found(&analysis.only(day.day))) " " (words::wind(&analysis.only(day.day))) }
                @for sentence in words::headings(&analysis.only(day.day)) { p { (sentence) } }
                @for comparison in tables::comparison_tables(&analysis.only(day.day)) { (table(comparison, numbers)) }
                @for (of, chart) in &placed.days {
                    @if *of == day.day { (figure(chart, Some(&LEGS), numbers)) }
                }
            }
        },
    })
}

pub(super) fn comparison(
    analysis: &Trial,
    placed: &Placed<'_>,
    numbers: &mut Numbers,
) -> Option<Section> {
    if analysis.double_runs.is_empty() && placed.comparison.is_empty() {
        return None;
    }
    let compared = !analysis.comparisons.is_empty();
    let cells = tables::cells_table(analysis);
    let grouping = words::grouping(analysis);
    let remarks = remarks(analysis);
    let wind = words::one_wind(analysis);
    Some(Section {
        id: "comparison",
        title: if compared {
            "The comparison"
        } else {
            "What was measured"
        },
        body: html! {
            @for chart in &placed.comparison { (figure(chart, compared.then_some(&BELOW), numbers)) }
            @for days in tables::days_tables(analysis) { (table(days, numbers)) }
            @for sentence in words::across_days(analysis) { p { (sentence) } }
            @for comparison in tables::comparison_tables(analysis) { (table(comparison, numbers)) }
            @if let Some(pairs) = tables::pairs_table(analysis) { (table(pairs, numbers)) }
            @if !remarks.is_empty() {
                ul.notes { @for remark in &remarks { li { (remark) } } }
            }
            @if let Some(wind) = &wind { p { (wind) } }
            @if let Some(grouping) = &grouping { p { (grouping) } }
            @if !cells.rows.is_empty() { (table(cells, numbers)) }
            @if let Some(logs) = tables::recompute_table(analysis) { (table(logs, numbers)) }
        },
    })
}

/// Why figures are missing, a sentence for each reason with the pairs and settings it holds for.
fn remarks(analysis: &Trial) -> Vec<String> {
    let mut found: Vec<(String, String, Vec<String>)> = Vec::new();
    for comparison in &analysis.comparisons {
        let Some(reason) = comparison.reason.as_deref() else {
            continue;
        };
        let reason = words::one_line(reason).trim_end_matches('.').to_owned();
        let pair = words::pair_title(comparison);
        let place = comparison.setting.as_deref().map_or_else(
            || "all settings together".to_owned(),
            |setting| format!("setting {}", words::name(setting)),
        );
        let known = found
            .iter_mut()
            .find(|(other, why, _)| *other == pair && *why == reason);
        match known {
            Some((_, _, places)) => places.push(place),
            None => found.push((pair, reason, vec![place])),
        }
    }
    // What holds for several pairs alike is said once.
    let mut said: Vec<(Vec<String>, String, Vec<String>)> = Vec::new();
    for (pair, reason, places) in found {
        match said
            .iter_mut()
            .find(|(_, why, where_)| *why == reason && *where_ == places)
        {
            Some((pairs, _, _)) => pairs.push(pair),
            None => said.push((vec![pair], reason, places)),
        }
    }
    said.into_iter()
        .map(|(pairs, reason, places)| {
            format!(
                "{}, {}: {reason}.",
                words::capital(&words::list(&pairs)),
                words::list(&places)
            )
        })
        .collect()
}

/// What the gain buys: answers, charts, tables, what they rest on, what is missing, cautions.
pub(super) fn gain(
    analysis: &Trial,
    placed: &Placed<'_>,
    numbers: &mut Numbers,
) -> Option<Section> {
    if !words::has_gain(analysis) || analysis.double_runs.is_empty() {
        return None;
    }
    let paragraphs = [words::gain(analysis), words::gain_basis(analysis)];
    let [answers, basis] = paragraphs;
    let missing = words::gain_missing(analysis);
    let cautions = words::gain_cautions(analysis);
    Some(Section {
        id: "gain",
        title: if analysis.configurations.len() > 1 {
            "What the gain buys"
        } else {
            "Speed, draw and reach"
        },
        body: html! {
            @if !answers.is_empty() { ul.notes { @for line in &answers { li { (line) } } } }
            @for chart in &placed.gain { (figure(chart, Some(&GAIN), numbers)) }
            span #gain-figures {}
            @for gained in tables::gain_tables(analysis) { (table(gained, numbers)) }
            @for line in &cautions { p.remark { (line) } }
            @if !basis.is_empty() {
                h3 { "What these figures rest on" }
                ul.notes { @for line in &basis { li { (line) } } }
            }
            @if !missing.is_empty() {
                h3 { "What is missing, and what it takes" }
                ul.notes { @for line in &missing { li { (coded(line)) } } }
            }
        },
    })
}

/// The figures of the charts of what the gain buys.
const GAIN: Data = Data {
    anchor: "gain-figures",
    words: "the tables below",
};

/// The figures of the chart of the comparison.
const BELOW: Data = Data {
    anchor: "table-1",
    words: "the table below",
};

/// The figures of the charts of legs.
const LEGS: Data = Data {
    anchor: "legs",
    words: "the table of legs",
};

pub(super) fn track(
    analysis: &Trial,
    placed: &Placed<'_>,
    numbers: &mut Numbers,
) -> Option<Section> {
    charts("track", "The track", analysis, &placed.track, numbers)
}

pub(super) fn heading(
    analysis: &Trial,
    placed: &Placed<'_>,
    numbers: &mut Numbers,
) -> Option<Section> {
    let told = words::headings(analysis);
    let section = charts(
        "heading",
        "Speed against heading",
        analysis,
        &placed.heading,
        numbers,
    );
    section.map(|section| Section {
        body: html! {
            @if let [only] = told.as_slice() { p { (only) } } @else if !told.is_empty() {
                ul.notes { @for sentence in &told { li { (sentence) } } }
            }
            (section.body)
        },
        ..section
    })
}

pub(super) fn time(
    analysis: &Trial,
    placed: &Placed<'_>,
    numbers: &mut Numbers,
) -> Option<Section> {
    charts("time", "Speed over time", analysis, &placed.time, numbers)
}

pub(super) fn more(
    analysis: &Trial,
    placed: &Placed<'_>,
    numbers: &mut Numbers,
) -> Option<Section> {
    charts("more", "More charts", analysis, &placed.more, numbers)
}

fn charts(
    id: &'static str,
    title: &'static str,
    analysis: &Trial,
    charts: &[&Chart],
    numbers: &mut Numbers,
) -> Option<Section> {
    let data = (!analysis.legs.is_empty()).then_some(&LEGS);
    (!charts.is_empty()).then(|| Section {
        id,
        title,
        body: html! { @for chart in charts { (figure(chart, data, numbers)) } },
    })
}

pub(super) fn double_runs(analysis: &Trial, numbers: &mut Numbers) -> Option<Section> {
    (!analysis.double_runs.is_empty()).then(|| Section {
        id: "double-runs",
        title: "Double runs",
        body: html! {
            p {
                "Two legs there and back on one line. The mean of their speeds is close to the boat’s own; half of what they differ by is the drift along the line, wind and current together. Where that drift stays alike from run to run, the day was steady. The sign ± gives the standard error from the scatter within the two legs alone. Runs of the same thing differ by more than that, and the comparison goes by how much they really did."
            }
            (table(tables::double_runs_table(analysis), numbers))
        },
    })
}

pub(super) fn legs(analysis: &Trial, numbers: &mut Numbers) -> Option<Section> {
    (!analysis.legs.is_empty()).then(|| Section {
        id: "legs",
        title: "Legs",
        body: html! {
            p {
                "Every stretch on one steady heading. “Held” is the range the speed kept to, averaged over ten seconds, with the slowest and the fastest tenth left out: what one reads off the plotter underway. The sign ± gives the standard error. Wind is where it stood, seen from the helm."
            }
            (table(tables::legs_table_wide(analysis), numbers))
        },
    })
}
