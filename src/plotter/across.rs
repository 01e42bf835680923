//! Several days: the change each day showed, and that of all days, one below the other.

use jiff::fmt::strtime;

use super::axis;
use super::comparison::{
    bar, draw_change, draw_changes, on_one_line, value, verdict, write_beside,
};
use super::day::Day;
use super::pen::Pen;
use super::place::{Area, Pt};
use super::sheet::{self, Align, Drawn, Letters, Scale, Sheet};
use super::style::{Dash, Ink, TICK};
use super::svg::Head;
use super::text;
use super::{Chart, PlotError};
use crate::compare::Comparison;
use crate::report::rounding::{percent_decimals, shared_percent_decimals};
use crate::trial;

/// Left edge of the names.
const NAMES: f64 = 6.0;
/// Left and right edge of the changes; wide, and narrow.
const CHANGES: [[f64; 2]; 2] = [[168.0, 480.0], [14.0, 326.0]];
/// Upper edge of the rows.
const TOP: f64 = 30.0;
/// Room for ticks and title below the rows.
const FOOT: f64 = 46.0;
/// Height of a heading, of a day's row, of the pooled row.
const HEADING: f64 = 26.0;
const ENTRY: f64 = 36.0;
/// What a row is taller by in a narrow chart, where names stand above the bars.
const NAME_LINE: f64 = 14.0;
/// The least the axis spans, percentage points.
const LEAST: f64 = 4.0;
/// The longest the axis reaches beyond the values themselves, in spans of theirs.
const LONGEST: f64 = 2.5;
/// A row of the chart.
enum Row<'a> {
    Heading(String),
    Day {
        name: String,
        change: Box<Comparison>,
    },
    Pooled(&'a Comparison),
}

/// The chart; none for a single day, or where nothing was compared.
pub(crate) fn chart(day: &Day) -> Result<Option<Chart>, PlotError> {
    let rows = rows(day);
    let shown = rows.iter().filter_map(change).filter_map(value).count();
    if shown == 0 {
        return Ok(None);
    }
    let bottom = TOP + rows.iter().map(|row| height(day, row)).sum::<f64>() + 4.0;
    let head = Head {
        name: "comparison-days".to_owned(),
        title: "What the change did to the speed, day by day".to_owned(),
        alt: alt(&rows),
        legs: std::collections::BTreeMap::new(),
    };
    let svg = sheet::draw(&head, day.layout, bottom + FOOT, |sheet| {
        let [low, high] = range(&rows);
        let [left, right] = day.layout.pick(CHANGES[0], CHANGES[1]);
        let area = Area::new(left, TOP, right, bottom);
        let scale = sheet.scale(area, low..high, 0.0..1.0)?;
        draw_changes(sheet, &scale, 6.0, &bands(day, &rows, bottom))?;
        let decimals = shared_percent_decimals(rows.iter().filter_map(change));
        let mut top = TOP;
        for row in &rows {
            draw_row(sheet, day, &scale, top, row, decimals)?;
            top += height(day, row);
        }
        Ok(())
    })?;
    Ok(Some(Chart {
        name: head.name,
        title: head.title,
        caption: "Each day by itself, and below them all days by one model. Upright strokes are changes in percent, bars their 95\u{a0}% intervals. The interval of all days allows for days that truly differ.".to_owned(),
        alt: head.alt,
        svg,
        narrow: String::new(),
    }))
}

fn rows<'a>(day: &Day<'a>) -> Vec<Row<'a>> {
    let days = &day.analysis.days;
    let comparisons = &day.analysis.comparisons;
    let one_pair = comparisons
        .iter()
        .all(|c| comparisons.first().is_some_and(|f| f.changed == c.changed));
    let mut rows = Vec::new();
    for pooled in comparisons {
        let of_days: Vec<Row> = days
            .iter()
            .filter_map(|one| Some((one, own(day.analysis, one.day, pooled)?)))
            .map(|(one, change)| Row::Day {
                name: name(day, one),
                change: Box::new(change),
            })
            .collect();
        let setting = pooled.setting.as_deref().map_or_else(
            || "all settings together".to_owned(),
            |setting| format!("setting {}", text::clean(setting)),
        );
        rows.push(Row::Heading(if one_pair {
            setting
        } else {
            format!("{}, {setting}", text::clean(&pooled.changed))
        }));
        rows.extend(of_days);
        if pooled.across_days.is_some() {
            rows.push(Row::Pooled(pooled));
        }
    }
    // With one setting the line over all of them says the same again.
    let one_setting = comparisons
        .iter()
        .filter(|c| c.setting.is_some())
        .all(|c| Some(&c.setting) == comparisons.first().map(|f| &f.setting));
    if one_setting {
        let end = rows
            .iter()
            .position(|row| matches!(row, Row::Heading(words) if words.ends_with("together")));
        if let Some(end) = end.filter(|_| one_pair) {
            rows.truncate(end);
        }
    }
    rows
}

/// The comparison of one day that stands for a pooled one.
fn own(trial: &trial::Trial, day: usize, pooled: &Comparison) -> Option<Comparison> {
    trial.only(day).comparisons.into_iter().find(|c| {
        c.baseline == pooled.baseline && c.changed == pooled.changed && c.setting == pooled.setting
    })
}

/// `day 2, 5 Jun`.
fn name(day: &Day, one: &trial::Day) -> String {
    let date = one
        .from
        .and_then(|at| strtime::format("%-d %b", &at.to_zoned_datetime(day.zone.clone())).ok());
    match date {
        Some(date) => format!("day {}, {date}", one.day),
        None => format!("day {}", one.day),
    }
}

fn change<'r>(row: &'r Row<'_>) -> Option<&'r Comparison> {
    match row {
        Row::Heading(_) => None,
        Row::Day { change, .. } => Some(change),
        Row::Pooled(change) => Some(change),
    }
}

fn height(day: &Day, row: &Row) -> f64 {
    match row {
        Row::Heading(_) => HEADING,
        Row::Day { .. } | Row::Pooled(_) => ENTRY + day.layout.pick(0.0, NAME_LINE),
    }
}

fn range(rows: &[Row]) -> [f64; 2] {
    let values = rows.iter().filter_map(change).filter_map(value);
    let [low, high] = axis::padded(values.chain([0.0]), 0.0, LEAST);
    let reach = LONGEST * (high - low);
    let ends = rows.iter().filter_map(change).filter_map(bar);
    let ends = ends.flat_map(|[from, to]| [from.max(low - reach), to.min(high + reach)]);
    axis::padded(ends.chain([low, high]), 0.06, LEAST)
}

/// Upper and lower edges of what the lines of the grid cross: in a narrow chart not the names.
fn bands(day: &Day, rows: &[Row], bottom: f64) -> Vec<[f64; 2]> {
    if !day.layout.is_narrow() {
        return vec![[TOP, bottom]];
    }
    let mut top = TOP;
    let mut bands = Vec::new();
    for row in rows {
        if change(row).is_some() {
            bands.push([top + NAME_LINE + 2.0, top + height(day, row) - 4.0]);
        }
        top += height(day, row);
    }
    if let Some(last) = bands.last_mut() {
        last[1] = bottom;
    }
    bands
}

fn draw_row(
    sheet: &Sheet,
    day: &Day,
    scale: &Scale,
    top: f64,
    row: &Row,
    decimals: usize,
) -> Drawn {
    let narrow = day.layout.is_narrow();
    let middle = top + ENTRY / 2.0 - 2.0 + day.layout.pick(0.0, NAME_LINE);
    let room = day.layout.pick(CHANGES[0][0], 170.0) - NAMES - 10.0;
    // Beside the bar, or above it.
    let line = if narrow {
        top + TICK
    } else {
        middle + TICK * 0.35
    };
    let at = Pt::new(NAMES, line);
    let words = Letters::new(TICK, Align::Start);
    let words = if narrow { words.halo() } else { words };
    let tell = |change: &Comparison| {
        if narrow {
            let at = Pt::new(day.layout.width() - 8.0, line);
            let letters = Letters::new(TICK, Align::End).bold().halo();
            sheet.text(&on_one_line(change, decimals), at, letters)
        } else {
            write_beside(sheet, middle, change, decimals)
        }
    };
    match row {
        Row::Heading(title) => sheet.text(
            &text::fitted(title, TICK * 1.1, day.layout.width() - NAMES),
            Pt::new(NAMES, top + HEADING - 7.0),
            words.bold().halo(),
        ),
        Row::Day { name, change } => {
            let pen = pen(day, change);
            sheet.text(&text::fitted(name, TICK, room), at, words)?;
            draw_change(sheet, scale, middle, change, pen)?;
            tell(change)
        }
        Row::Pooled(change) => {
            sheet.text("all days", at, words.bold())?;
            draw_change(sheet, scale, middle, change, Pen::new(Ink::Text))?;
            tell(change)
        }
    }
}

fn pen(day: &Day, change: &Comparison) -> Pen {
    let place = day.configuration(&change.changed);
    Pen::new(Ink::Configuration(place)).dashed(Dash::Solid)
}

fn alt(rows: &[Row]) -> String {
    let said = |change: &Comparison| {
        let decimals = percent_decimals(&change.percent);
        match (value(change), bar(change)) {
            (Some(value), Some([low, high])) => format!(
                "{}\u{a0}% (95\u{a0}% interval {} to {}\u{a0}%), {}",
                text::signed(value, decimals),
                text::signed(low, decimals),
                text::signed(high, decimals),
                verdict(change.verdict)
            ),
            (Some(value), None) => format!("{}\u{a0}%, no interval", text::signed(value, decimals)),
            _ => verdict(change.verdict).to_owned(),
        }
    };
    let sentences: Vec<String> = rows
        .iter()
        .map(|row| match row {
            Row::Heading(words) => format!("{}:", text::capital(words)),
            Row::Day { name, change, .. } => format!("{name}: {}.", said(change)),
            Row::Pooled(change) => format!("all days: {}.", said(change)),
        })
        .collect();
    sentences.join(" ")
}
