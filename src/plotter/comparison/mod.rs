//! The comparison: speeds of each configuration at each setting, and the change in percent.

mod axes;
mod bars;

mod rows;

mod words;

use crate::plotter::axis;
use crate::plotter::day::Day;
use crate::plotter::marks::{self, Filling};
use crate::plotter::pen::Pen;
use crate::plotter::place::{Area, Pt};
use crate::plotter::sheet::{self, Align, Drawn, Letters, Scale, Sheet};
use crate::plotter::style::{Dash, Ink, Shape, TICK, WIDTH};
use crate::plotter::svg::Head;
use crate::plotter::text;
use crate::plotter::{Chart, PlotError};
use crate::report::rounding::shared_percent_decimals;
pub(crate) use axes::draw_changes;
use axes::draw_grid;
use bars::{VERDICTS, draw_bar};
pub(crate) use bars::{bar, draw_change, on_one_line, value, write_beside};
use rows::{BOLD, Entry, NAMES, Row, RowKind, Run, SAMPLE, SPEEDS};
pub(crate) use words::verdict;

/// Left and right edge of the speeds where the changes follow; wide, and narrow.
const WITH_CHANGES: [[f64; 2]; 2] = [[SPEEDS, 284.0], [10.0, 154.0]];
/// Left and right edge of the speeds alone.
const ALONE: [[f64; 2]; 2] = [[SPEEDS, WIDTH - 30.0], [14.0, 322.0]];
/// Left and right edge of the changes.
const CHANGES: [[f64; 2]; 2] = [[312.0, 486.0], [178.0, 328.0]];
/// Upper edge of the rows.
const TOP: f64 = 30.0;
/// Room for ticks and titles below the rows.
const FOOT: f64 = 46.0;
/// The longest an axis of changes reaches beyond the double runs themselves, in spans of theirs: the
/// interval of two runs can be ten times as long as all that was measured, and would flatten the rest.
const LONGEST_INTERVAL: f64 = 2.5;
/// Room for a tick label of the speeds, and the number of ticks that is plenty.
const TICK_ROOM: f64 = 46.0;
const MOST_TICKS: f64 = 6.0;
/// The least an axis of changes spans, percentage points.
const LEAST_CHANGES: f64 = 4.0;
/// The least an axis of speeds spans, in the unit shown.
const LEAST_SPEEDS: f64 = 0.2;

/// Where everything lies.
struct Plan<'a> {
    speeds: Scale<'a>,
    changes: Option<Scale<'a>>,
    /// Upper and lower edges of what the lines of the grid cross: in a narrow chart not the names.
    bands: Vec<[f64; 2]>,
    decimals: usize,
}

/// The chart; none where no cell of the comparison was measured.
pub(crate) fn chart(day: &Day) -> Result<Option<Chart>, PlotError> {
    let rows = rows::rows(day, TOP);
    let Some(last) = rows.last() else {
        return Ok(None);
    };
    let last_height = match &last.kind {
        RowKind::Entry(entry) => entry.height(day),
        RowKind::Heading(_) => rows::HEADING,
    };
    let bottom = last.top + last_height + 6.0;
    let compares = entries(&rows).any(|entry| entry.change.is_some());
    let head = Head {
        name: "comparison".to_owned(),
        title: if compares {
            "What the change did to the speed".to_owned()
        } else {
            "Speed at each setting".to_owned()
        },
        alt: words::alt(day, &rows),
        legs: std::collections::BTreeMap::new(),
    };
    let svg = sheet::draw(&head, day.layout, bottom + FOOT, |sheet| {
        let plan = plan(sheet, day, &rows, bottom, compares)?;
        draw_axes(sheet, day, &plan)?;
        for row in &rows {
            draw_row(sheet, day, &plan, row)?;
        }
        Ok(())
    })?;
    Ok(Some(Chart {
        name: head.name,
        title: head.title,
        caption: words::caption(day, &rows),
        alt: head.alt,
        svg,
        narrow: String::new(),
    }))
}

fn entries<'r, 'a>(rows: &'r [Row<'a>]) -> impl Iterator<Item = &'r Entry<'a>> {
    rows.iter().filter_map(|row| match &row.kind {
        RowKind::Entry(entry) => Some(entry),
        RowKind::Heading(_) => None,
    })
}

fn plan<'a>(
    sheet: &Sheet<'a>,
    day: &Day,
    rows: &[Row],
    bottom: f64,
    compares: bool,
) -> Result<Plan<'a>, PlotError> {
    let speeds = entries(rows).flat_map(|entry| {
        let mean = entry.speed.iter().flat_map(|speed| {
            let interval = speed.interval.map(|i| [i.low, i.high]);
            interval.into_iter().flatten().chain([speed.mean])
        });
        mean.chain(entry.runs.iter().map(|run| run.mean))
    });
    let [low, high] = axis::padded(speeds.map(|v| day.speed(v)), 0.08, LEAST_SPEEDS);
    let [wide, narrow] = if compares { WITH_CHANGES } else { ALONE };
    let [left, right] = day.layout.pick(wide, narrow);
    let area = Area::new(left, TOP, right, bottom);
    let [from, to] = change_range(rows);
    let [left, right] = day.layout.pick(CHANGES[0], CHANGES[1]);
    let changes = Area::new(left, TOP, right, bottom);
    Ok(Plan {
        speeds: sheet.scale(area, low..high, 0.0..1.0)?,
        changes: if compares {
            Some(sheet.scale(changes, from..to, 0.0..1.0)?)
        } else {
            None
        },
        bands: bands(day, rows, bottom),
        decimals: shared_percent_decimals(day.analysis.comparisons.iter()),
    })
}

fn bands(day: &Day, rows: &[Row], bottom: f64) -> Vec<[f64; 2]> {
    if !day.layout.is_narrow() {
        return vec![[TOP, bottom]];
    }
    let mut bands: Vec<[f64; 2]> = (rows.iter())
        .filter_map(|row| match &row.kind {
            RowKind::Entry(entry) => {
                let middle = row.top + entry.middle(day);
                Some([middle - BAND, middle + BAND_BELOW])
            }
            RowKind::Heading(_) => None,
        })
        .collect();
    if let Some(last) = bands.last_mut() {
        last[1] = bottom;
    }
    bands
}

/// How far the lines of the grid reach above and below the bars of a row in a narrow chart.
const BAND: f64 = 10.0;
const BAND_BELOW: f64 = 22.0;

/// From the lowest to the highest percent change shown; zero always within.
fn change_range(rows: &[Row]) -> [f64; 2] {
    let marks = entries(rows).flat_map(|entry| {
        let changes = entry.change.into_iter().filter_map(value);
        changes.chain(entry.runs.iter().filter_map(|run| run.percent))
    });
    let [low, high] = axis::padded(marks.chain([0.0]), 0.0, LEAST_CHANGES);
    let reach = LONGEST_INTERVAL * (high - low);
    let ends = entries(rows).flat_map(|entry| {
        let bars = entry.change.into_iter().filter_map(bar);
        bars.flat_map(|[from, to]| [from.max(low - reach), to.min(high + reach)])
    });
    axis::padded(ends.chain([low, high]), 0.06, LEAST_CHANGES)
}

fn draw_axes(sheet: &Sheet, day: &Day, plan: &Plan) -> Drawn {
    let speeds = &plan.speeds;
    let [low, high] = [speeds.area.left, speeds.area.right].map(|x| speeds.value_at(x));
    draw_grid(
        sheet,
        speeds,
        &axis::ticks(
            low,
            high,
            (speeds.area.width() / TICK_ROOM).min(MOST_TICKS),
            false,
        ),
        &format!("speed ({})", day.unit()),
        &plan.bands,
    )?;
    let Some(changes) = &plan.changes else {
        return Ok(());
    };
    draw_changes(sheet, changes, 4.0, &plan.bands)
}

fn draw_row(sheet: &Sheet, day: &Day, plan: &Plan, row: &Row) -> Drawn {
    match &row.kind {
        RowKind::Heading(words) => {
            let room = day
                .layout
                .pick(WITH_CHANGES[0][1], day.layout.width() - 8.0)
                - NAMES;
            let at = Pt::new(NAMES, row.top + rows::HEADING - 7.0);
            sheet.text(
                &text::fitted(words, TICK * BOLD, room),
                at,
                Letters::new(TICK, Align::Start).bold().halo(),
            )
        }
        RowKind::Entry(entry) => draw_entry(sheet, day, plan, row.top, entry),
    }
}

fn draw_entry(sheet: &Sheet, day: &Day, plan: &Plan, top: f64, entry: &Entry) -> Drawn {
    let pen = Pen::new(Ink::Configuration(entry.configuration));
    let middle = top + entry.middle(day);
    let strip = middle + 12.0;
    let narrow = day.layout.is_narrow();
    // The name stands beside the bars, or above them; its sample at the middle of its lines, or at the first.
    let first = if narrow {
        top + TICK
    } else {
        middle + TICK * 0.35 - (entry.lines.len() as f64 - 1.0) * rows::LINE / 2.0
    };
    let sample = if narrow { first - TICK * 0.35 } else { middle };
    sheet.line(
        Pt::new(NAMES, sample),
        Pt::new(NAMES + SAMPLE, sample),
        pen.wide(2.2).dashed(Dash::of(entry.configuration)),
    )?;
    for (k, line) in entry.lines.iter().enumerate() {
        let at = Pt::new(NAMES + SAMPLE + 7.0, first + k as f64 * rows::LINE);
        sheet.text(line, at, Letters::new(TICK, Align::Start))?;
    }
    if narrow {
        let letters = Letters::new(TICK, Align::End);
        let letters = if entry.change.is_some() {
            letters.bold()
        } else {
            letters.muted()
        };
        sheet.text(
            &entry.told,
            Pt::new(day.layout.width() - 8.0, first),
            letters,
        )?;
    }
    if entry.speed.is_some() {
        let at = |run: &Run| Some(plan.speeds.x(day.speed(run.mean)));
        draw_runs(sheet, &entry.runs, at, strip, pen)?;
    }
    if let Some(changes) = &plan.changes {
        let at = |run: &Run| Some(changes.x(run.percent?));
        draw_runs(sheet, &entry.runs, at, strip, pen)?;
    }
    if let Some(speed) = &entry.speed {
        let interval = speed
            .interval
            .map(|i| [i.low, i.high].map(|v| day.speed(v)));
        let mean = day.speed(speed.mean);
        draw_bar(sheet, &plan.speeds, middle, mean, interval, pen.wide(2.4))?;
    }
    let Some(changes) = &plan.changes else {
        return Ok(());
    };
    match entry.change {
        Some(change) => {
            draw_change(sheet, changes, middle, change, pen)?;
            if narrow {
                return Ok(());
            }
            bars::write_beside(sheet, middle, change, plan.decimals)
        }
        None if entry.baseline && !narrow => sheet.text(
            "baseline",
            Pt::new(VERDICTS, middle + TICK * 0.35),
            Letters::new(TICK, Align::Start).muted(),
        ),
        None => Ok(()),
    }
}

/// Radius of a double run's mark.
const RUN_RADIUS: f64 = 3.2;
/// Marks nearer to each other than this are drawn one below the other.
const RUN_APART: f64 = 2.2 * RUN_RADIUS;

/// The double runs of a row, those that would hide each other in two lanes.
fn draw_runs(
    sheet: &Sheet,
    runs: &[Run],
    place: impl Fn(&Run) -> Option<f64>,
    strip: f64,
    pen: Pen,
) -> Drawn {
    let mut placed: Vec<(f64, &Run)> = runs
        .iter()
        .filter_map(|run| Some((place(run)?, run)))
        .collect();
    placed.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut ends = [f64::NEG_INFINITY; 2];
    for (x, run) in placed {
        let [upper, lower] = ends;
        // Where neither lane is free, the one that has been free for longer.
        let below = x - upper < RUN_APART && upper >= lower;
        ends = if below { [upper, x] } else { [x, lower] };
        let at = Pt::new(x, if below { strip + RUN_APART } else { strip });
        let (shape, filling) = (Shape::of(run.setting), Filling::of(run.setting));
        marks::mark(sheet, shape, filling, at, RUN_RADIUS, pen)?;
    }
    Ok(())
}
