//! The comparison: speeds of each configuration at each setting, and the change with its interval.
//!
//! The same figure shows several days, a row for each day and one for all, then without speeds.

use super::chart::{Chart, ChartKind};
use super::marks;
use super::sheet::{Align, Area, Letters, Pen, Pt, Scale, Sheet};
use super::style::{Dash, Ink, NOTE, TEXT, TICK, Width};
use super::{axis, text};

/// Left edge of the names.
const NAMES: f64 = 6.0;
/// Length of the sample of a configuration's line before its name.
const SAMPLE: f64 = 24.0;
/// Left edge of the verdicts in a wide chart.
const VERDICTS: f64 = 500.0;
/// Upper edge of the rows.
const TOP: f64 = 30.0;
/// Room for ticks and titles below the rows.
const FOOT: f64 = 46.0;
/// Height of a heading, of a row's bars, and of a line of a name.
const HEADING: f64 = 24.0;
const ROW: f64 = 36.0;
const LINE: f64 = TICK * 1.2;
/// Space between groups.
const GROUP_GAP: f64 = 8.0;
/// How far the lines of the grid reach above and below the bars of a row in a narrow chart.
const BAND: [f64; 2] = [10.0, 22.0];
/// How much wider heavy letters run.
const BOLD: f64 = 1.1;
/// Half the height of the stroke that marks a mean.
const MEAN: f64 = 7.0;
/// Radius of a double run's mark; those nearer to each other than the other are drawn in two lanes.
const RUN_RADIUS: f64 = 3.2;
const RUN_APART: f64 = 2.2 * RUN_RADIUS;
/// The longest an axis of changes reaches beyond the changes themselves, in spans of theirs: the
/// interval of two runs can be ten times as long as all that was measured, and would flatten the
/// rest.
const LONGEST_INTERVAL: f64 = 2.5;
/// The least an axis of changes spans, percentage points, and one of speeds, in the unit shown.
const LEAST_CHANGES: f64 = 4.0;
const LEAST_SPEEDS: f64 = 0.2;
/// Room for a tick label, and the number of ticks that is plenty.
const TICK_ROOM: f64 = 46.0;
const MOST_TICKS: f64 = 6.0;
/// The least room for a word on either side of no change.
const SIDE: f64 = 48.0;

/// What the chart shows.
#[derive(Debug, Clone, Default)]
pub struct Comparison {
    /// The unit of the speeds.
    pub unit: &'static str,
    /// Names of the settings, slowest first.
    pub settings: Vec<String>,
    /// The rows in groups.
    pub groups: Vec<Group>,
    /// Decimals of the changes.
    pub decimals: usize,
    /// Whether the rows are days.
    pub days: bool,
}

/// Rows under one heading.
#[derive(Debug, Clone)]
pub struct Group {
    /// A setting, or all of them.
    pub heading: String,
    /// Its rows.
    pub rows: Vec<Row>,
}

/// One configuration, or one day, or all days.
#[derive(Debug, Clone, Default)]
pub struct Row {
    /// What it is called.
    pub name: String,
    /// Place of its configuration in order; `None` for all days.
    pub configuration: Option<usize>,
    /// Its speed; `None` where settings or days are pooled.
    pub speed: Option<Estimate>,
    /// Its double runs.
    pub runs: Vec<Run>,
    /// What it changed; `None` for the baseline.
    pub change: Option<Change>,
    /// Whether the others are compared with it.
    pub baseline: bool,
}

/// A value with its 95 % interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The value.
    pub value: f64,
    /// Lower and upper end.
    pub interval: Option<[f64; 2]>,
}

/// One double run.
#[derive(Debug, Clone, Copy)]
pub struct Run {
    /// Place of its setting in order.
    pub setting: usize,
    /// Its speed.
    pub speed: f64,
    /// Against the mean of the baseline at its setting, percent.
    pub percent: Option<f64>,
}

/// A change against the baseline.
#[derive(Debug, Clone)]
pub struct Change {
    /// Percent.
    pub percent: Option<Estimate>,
    /// The baseline.
    pub against: String,
    /// The verdict in words; empty for a single day's share.
    pub verdict: &'static str,
    /// Whether the interval rests on how far double runs usually differ, for want of a second one.
    pub usual: bool,
    /// Decimals that the change deserves by itself.
    pub decimals: usize,
}

impl Comparison {
    fn rows(&self) -> impl Iterator<Item = &Row> {
        self.groups.iter().flat_map(|group| &group.rows)
    }

    fn changes(&self) -> impl Iterator<Item = &Change> {
        self.rows().filter_map(|row| row.change.as_ref())
    }

    fn has_speeds(&self) -> bool {
        self.rows().any(|row| row.speed.is_some())
    }

    fn has_changes(&self) -> bool {
        self.changes().next().is_some()
    }
}

/// The chart; none where nothing was measured.
pub fn chart(input: &Comparison) -> Option<Chart> {
    input.rows().next()?;
    let (kind, title) = match (input.days, input.has_changes()) {
        (true, _) => (
            ChartKind::Days,
            "What the change did to the speed, day by day",
        ),
        (false, true) => (ChartKind::Comparison, "What the change did to the speed"),
        (false, false) => (ChartKind::Comparison, "Speed at each setting"),
    };
    let words = [title.to_owned(), caption(input), alt(input)];
    Some(Chart::new(kind, words, |sheet| draw(sheet, input)))
}

/// A row with where it lies.
struct Placed<'a> {
    row: &'a Row,
    /// Its name, on one line or two.
    name: Vec<String>,
    /// The base line of the first, and the height of the bars.
    first: f64,
    middle: f64,
}

/// Where everything lies.
struct Layout<'a> {
    headings: Vec<(&'a str, f64)>,
    rows: Vec<Placed<'a>>,
    bottom: f64,
    speeds: Option<Scale>,
    changes: Option<Scale>,
}

/// Draws it and returns its height.
fn draw(sheet: &mut Sheet, input: &Comparison) -> f64 {
    let layout = layout(sheet.layout(), input);
    draw_axes(sheet, input, &layout);
    for (heading, y) in &layout.headings {
        let words = text::fitted(heading, TICK * BOLD, sheet.width() - NAMES - 8.0);
        let letters = Letters::new(TICK, Align::Start).bold().halo();
        sheet.text(&words, Pt::new(NAMES, *y), letters);
    }
    for placed in &layout.rows {
        draw_name(sheet, placed, input);
        draw_row(sheet, placed, &layout);
        write_change(sheet, placed, input.decimals);
    }
    layout.bottom + FOOT
}

fn layout(width: Width, input: &Comparison) -> Layout<'_> {
    let (has_speeds, has_changes) = (input.has_speeds(), input.has_changes());
    let (speed_sides, change_sides) = match (has_speeds, has_changes) {
        (true, true) => (
            width.pick([138.0, 284.0], [10.0, 154.0]),
            width.pick([312.0, 486.0], [178.0, 328.0]),
        ),
        (true, false) => (width.pick([138.0, 570.0], [14.0, 322.0]), [0.0; 2]),
        (false, _) => ([0.0; 2], width.pick([138.0, 486.0], [14.0, 326.0])),
    };
    let mut headings = Vec::new();
    let mut rows = Vec::new();
    let mut y = TOP;
    for group in &input.groups {
        headings.push((group.heading.as_str(), y + HEADING - 7.0));
        y += HEADING;
        for row in &group.rows {
            let sample = if input.days { 0.0 } else { SAMPLE + 7.0 };
            let beside = width.pick(
                132.0,
                332.0 - text::width(&change_words(row, input.decimals), TICK) * BOLD,
            );
            let name = text::wrapped(&row.name, TICK, beside - NAMES - sample - 1.0, 2);
            let lines = name.len() as f64;
            // The name lies beside the bars, or above them.
            let (first, middle, height) = match width {
                Width::Wide => {
                    let middle = y + ROW / 2.0 - 4.0;
                    let first = middle + TICK * 0.35 - (lines - 1.0) * LINE / 2.0;
                    (first, middle, ROW)
                }
                Width::Narrow => {
                    let above = lines * LINE;
                    (y + TICK, y + above + ROW / 2.0 - 5.0, above + ROW + 5.0)
                }
            };
            rows.push(Placed {
                row,
                name,
                first,
                middle,
            });
            y += height;
        }
        y += GROUP_GAP;
    }
    let bottom = y - GROUP_GAP + 6.0;
    let scale =
        |[left, right]: [f64; 2], range| Scale::level(Area::new(left, TOP, right, bottom), range);
    Layout {
        headings,
        rows,
        bottom,
        speeds: has_speeds.then(|| scale(speed_sides, speed_range(input))),
        changes: has_changes.then(|| scale(change_sides, change_range(input))),
    }
}

fn speed_range(input: &Comparison) -> [f64; 2] {
    let rows = input.rows().filter(|row| row.speed.is_some());
    let values = rows.flat_map(|row| {
        let means = row.speed.iter().flat_map(|speed| {
            let ends = speed.interval.into_iter().flatten();
            ends.chain([speed.value])
        });
        means.chain(row.runs.iter().map(|run| run.speed))
    });
    axis::padded(values, 0.08, LEAST_SPEEDS)
}

/// From the lowest to the highest change shown; zero always within.
fn change_range(input: &Comparison) -> [f64; 2] {
    let changes = || input.changes().filter_map(|change| change.percent);
    let runs = input.rows().flat_map(|row| &row.runs);
    let marks = changes()
        .map(|percent| percent.value)
        .chain(runs.filter_map(|run| run.percent));
    let [low, high] = axis::padded(marks.chain([0.0]), 0.0, LEAST_CHANGES);
    let reach = LONGEST_INTERVAL * (high - low);
    let ends = changes()
        .filter_map(|percent| percent.interval)
        .flat_map(|[from, to]| [from.max(low - reach), to.min(high + reach)]);
    axis::padded(ends.chain([low, high]), 0.06, LEAST_CHANGES)
}

fn draw_axes(sheet: &mut Sheet, input: &Comparison, layout: &Layout) {
    // Upper and lower edges of what the lines of the grid cross: in a narrow chart not the names.
    let mut bands: Vec<[f64; 2]> = match sheet.layout() {
        Width::Wide => vec![[TOP, layout.bottom]],
        Width::Narrow => (layout.rows.iter())
            .map(|placed| [placed.middle - BAND[0], placed.middle + BAND[1]])
            .collect(),
    };
    if let Some(last) = bands.last_mut() {
        last[1] = layout.bottom;
    }
    if let Some(speeds) = &layout.speeds {
        draw_axis(
            sheet,
            speeds,
            &format!("speed ({})", input.unit),
            false,
            &bands,
        );
    }
    let Some(changes) = &layout.changes else {
        return;
    };
    draw_axis(sheet, changes, "change in speed (%)", true, &bands);
    let (zero, area) = (changes.x(0.0), changes.area);
    for [top, bottom] in bands {
        let pen = Pen::new(Ink::Text).wide(1.2);
        sheet.line(Pt::new(zero, top), Pt::new(zero, bottom), pen);
    }
    let at = Pt::new(zero, area.top - 8.0);
    if zero - area.left > SIDE {
        let letters = Letters::new(NOTE, Align::End).muted();
        sheet.text("slower", at.by(-7.0, 0.0), letters);
    }
    if area.right - zero > SIDE {
        let letters = Letters::new(NOTE, Align::Start).muted();
        sheet.text("faster", at.by(7.0, 0.0), letters);
    }
}

fn draw_axis(sheet: &mut Sheet, scale: &Scale, title: &str, signed: bool, bands: &[[f64; 2]]) {
    let [low, high] = scale.across;
    let most = (scale.area.width() / TICK_ROOM).min(MOST_TICKS);
    let ticks = axis::ticks(low, high, most as usize, signed);
    for tick in &ticks {
        let x = scale.x(tick.at);
        for [top, bottom] in bands {
            sheet.line(Pt::new(x, *top), Pt::new(x, *bottom), Pen::new(Ink::Grid));
        }
    }
    axis::draw_foot(sheet, scale, &ticks);
    axis::draw_foot_title(sheet, scale.area, axis::FOOT, title);
}

fn pen(row: &Row) -> Pen {
    Pen::new(row.configuration.map_or(Ink::Text, Ink::Configuration))
}

fn draw_name(sheet: &mut Sheet, placed: &Placed, input: &Comparison) {
    let row = placed.row;
    let mut left = NAMES;
    if let Some(place) = row.configuration.filter(|_| !input.days) {
        // At the middle of the name's lines, or at the first.
        let y = (sheet.layout()).pick(placed.middle, placed.first - TICK * 0.35);
        let (from, to) = (Pt::new(left, y), Pt::new(left + SAMPLE, y));
        sheet.line(from, to, pen(row).wide(2.2).dashed(Dash::of(place)));
        left += SAMPLE + 7.0;
    }
    let letters = Letters::new(TICK, Align::Start);
    let letters = if row.configuration.is_none() {
        letters.bold()
    } else {
        letters
    };
    for (k, line) in placed.name.iter().enumerate() {
        sheet.text(line, Pt::new(left, placed.first + k as f64 * LINE), letters);
    }
}

fn draw_row(sheet: &mut Sheet, placed: &Placed, layout: &Layout) {
    let (row, y) = (placed.row, placed.middle);
    if let (Some(scale), Some(speed)) = (&layout.speeds, row.speed) {
        draw_runs(sheet, row, y, |run| Some(scale.x(run.speed)));
        draw_estimate(sheet, scale, y, speed, pen(row).wide(2.4));
    }
    let Some(scale) = &layout.changes else {
        return;
    };
    draw_runs(sheet, row, y, |run| Some(scale.x(run.percent?)));
    if let Some(change) = &row.change
        && let Some(percent) = change.percent
    {
        let dash = if change.usual {
            Dash::Dotted
        } else {
            Dash::Solid
        };
        draw_estimate(sheet, scale, y, percent, pen(row).wide(2.4).dashed(dash));
    }
}

/// The double runs of a row under its bar, those that would hide each other in two lanes.
fn draw_runs(sheet: &mut Sheet, row: &Row, middle: f64, place: impl Fn(&Run) -> Option<f64>) {
    let mut placed: Vec<(f64, &Run)> = (row.runs.iter())
        .filter_map(|run| Some((place(run)?, run)))
        .collect();
    placed.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut ends = [f64::NEG_INFINITY; 2];
    for (x, run) in placed {
        let [upper, lower] = ends;
        // Where neither lane is free, the one that has been free for longer.
        let below = x - upper < RUN_APART && upper >= lower;
        ends = if below { [upper, x] } else { [x, lower] };
        let lane = if below { RUN_APART } else { 0.0 };
        let at = Pt::new(x, middle + 12.0 + lane);
        marks::mark(sheet, run.setting, at, RUN_RADIUS, pen(row));
    }
}

/// A mean with its interval.
fn draw_estimate(sheet: &mut Sheet, scale: &Scale, y: f64, estimate: Estimate, pen: Pen) {
    if let Some(interval) = estimate.interval {
        let room = [scale.area.left, scale.area.right];
        marks::level_bar(sheet, interval.map(|v| scale.x(v)), room, y, pen);
    }
    let at = Pt::new(scale.x(estimate.value), y);
    let mean = Pen::new(pen.ink).wide(3.2);
    sheet.line(at.by(0.0, -MEAN), at.by(0.0, MEAN), mean);
}

/// A change and its verdict beside its bar, or at the end of its name's line.
fn write_change(sheet: &mut Sheet, placed: &Placed, decimals: usize) {
    let row = placed.row;
    if sheet.layout() == Width::Narrow {
        let letters = Letters::new(TICK, Align::End);
        let letters = match row.change {
            Some(_) => letters.bold(),
            None => letters.muted(),
        };
        let at = Pt::new(sheet.width() - 8.0, placed.first);
        sheet.text(&change_words(row, decimals), at, letters);
        return;
    }
    let at = Pt::new(VERDICTS, placed.middle);
    let small = Letters::new(TICK, Align::Start);
    let Some(change) = &row.change else {
        sheet.text(
            &change_words(row, decimals),
            at.by(0.0, TICK * 0.35),
            small.muted(),
        );
        return;
    };
    if let Some(number) = number(change, decimals) {
        let letters = Letters::new(TEXT, Align::Start).bold();
        sheet.text(&number, at.by(0.0, -1.0), letters);
    }
    sheet.text(change.verdict, at.by(0.0, TICK + 3.0), small);
}

/// A change and its verdict on one line: `+5.8 %, faster`.
fn change_words(row: &Row, decimals: usize) -> String {
    match &row.change {
        Some(change) => match number(change, decimals) {
            Some(number) if change.verdict.is_empty() => number,
            Some(number) => format!("{number}, {}", change.verdict),
            None => change.verdict.to_owned(),
        },
        None if row.baseline => "baseline".to_owned(),
        None => String::new(),
    }
}

fn number(change: &Change, decimals: usize) -> Option<String> {
    let percent = change.percent?;
    Some(format!("{}\u{a0}%", text::signed(percent.value, decimals)))
}

fn caption(input: &Comparison) -> String {
    if input.days {
        return "Each day by itself, and below them all days by one model. Upright strokes are \
            changes in percent, bars their 95\u{a0}% intervals. The interval of all days allows \
            for days that truly differ."
            .to_owned();
    }
    let marks = if input.settings.len() > 1 {
        format!(" ({})", text::shapes(&input.settings))
    } else {
        String::new()
    };
    let has_bar = |row: &Row| {
        let percent = row.change.as_ref().and_then(|change| change.percent);
        let mut estimates = [row.speed, percent].into_iter().flatten();
        estimates.any(|estimate| estimate.interval.is_some())
    };
    let bars = if input.rows().any(has_bar) {
        ", bars their 95\u{a0}% intervals"
    } else {
        ""
    };
    let mut words =
        format!("Strokes are means{bars}; the small marks are the double runs as measured{marks}.");
    if input.has_changes() {
        words.push_str(" A change whose bar keeps clear of zero is more than chance.");
    }
    if input.changes().any(|change| change.usual) {
        words.push_str(
            " A dotted bar rests on how far double runs usually differ: there is a single one.",
        );
    }
    words
}

fn alt(input: &Comparison) -> String {
    let mut sentences = Vec::new();
    for group in &input.groups {
        sentences.push(format!("{}:", text::capital(&group.heading)));
        sentences.extend(group.rows.iter().map(|row| row_alt(input, row)));
    }
    sentences.join(" ")
}

fn row_alt(input: &Comparison, row: &Row) -> String {
    let mut parts = vec![text::clean(&row.name)];
    if let Some(speed) = row.speed {
        let shown = |v: f64| text::with_unit(v, 2, input.unit);
        parts.push(match speed.interval {
            Some([low, high]) => format!(
                "{} (95\u{a0}% interval {} to {})",
                shown(speed.value),
                shown(low),
                shown(high)
            ),
            None => shown(speed.value),
        });
        parts.push(text::count(row.runs.len(), "double run"));
    }
    match &row.change {
        Some(change) => parts.push(change_alt(change)),
        None if row.baseline => parts.push("the baseline".to_owned()),
        None => {}
    }
    format!("{}.", parts.join(", "))
}

fn change_alt(change: &Change) -> String {
    let Some(percent) = change.percent else {
        return change.verdict.to_owned();
    };
    let signed = |v: f64| text::signed(v, change.decimals);
    let interval = match percent.interval {
        Some([low, high]) => format!(
            " (95\u{a0}% interval {} to {}\u{a0}%)",
            signed(low),
            signed(high)
        ),
        None => ", no interval".to_owned(),
    };
    let colon = if change.verdict.is_empty() { "" } else { ": " };
    format!(
        "{}\u{a0}% against {}{interval}{colon}{}",
        signed(percent.value),
        text::clean(&change.against),
        change.verdict
    )
}
