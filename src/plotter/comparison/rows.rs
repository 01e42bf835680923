//! The rows of the comparison chart: what stands on each, and where.

use super::bars;
use crate::compare::{Cell, Comparison};
use crate::day::DoubleRun;
use crate::plotter::day::{self, Day};
use crate::plotter::style::TICK;
use crate::plotter::text;
use crate::report::rounding::shared_percent_decimals;
use crate::stats::interval::Interval;

/// A row of the chart.
pub(crate) struct Row<'a> {
    /// What it shows.
    pub(crate) kind: RowKind<'a>,
    /// Its upper edge on the sheet.
    pub(crate) top: f64,
}

/// What a row shows.
pub(crate) enum RowKind<'a> {
    /// The name of a setting, over its rows.
    Heading(String),
    /// One configuration at one setting, or pooled over the settings.
    Entry(Entry<'a>),
}

/// One configuration at one setting, or pooled.
pub(crate) struct Entry<'a> {
    /// The configuration's name.
    pub(crate) name: String,
    /// The same as it is written, on one line or two.
    pub(crate) lines: Vec<String>,
    /// What stands at the end of its line in a narrow chart: change and verdict.
    pub(crate) told: String,
    /// Its place in order.
    pub(crate) configuration: usize,
    /// Speed with its interval, m/s; none when pooled.
    pub(crate) speed: Option<Speed>,
    /// Its double runs.
    pub(crate) runs: Vec<Run>,
    /// The comparison with the baseline; none for the baseline itself.
    pub(crate) change: Option<&'a Comparison>,
    /// Whether it is what the others are compared with.
    pub(crate) baseline: bool,
}

/// A speed with its interval, m/s.
pub(crate) struct Speed {
    /// The mean.
    pub(crate) mean: f64,
    /// Its 95 % interval.
    pub(crate) interval: Option<Interval>,
}

/// One double run on a row.
pub(crate) struct Run {
    /// Place of its setting in order.
    pub(crate) setting: usize,
    /// Mean speed, m/s.
    pub(crate) mean: f64,
    /// Against the mean of the baseline at that setting, percent.
    pub(crate) percent: Option<f64>,
}

/// Height of a heading.
pub(crate) const HEADING: f64 = 24.0;
/// Height of an entry.
pub(crate) const ENTRY: f64 = 36.0;
/// What rows of a narrow chart stand further apart by, so that a name keeps off the marks above it.
const APART: f64 = 5.0;
/// Height of a line of a name.
pub(crate) const LINE: f64 = TICK * 1.2;
/// Left edge of the names.
pub(crate) const NAMES: f64 = 6.0;
/// Left edge of the speeds in a wide chart.
pub(crate) const SPEEDS: f64 = 138.0;
/// Length of the sample of a configuration's line.
pub(crate) const SAMPLE: f64 = 24.0;
/// How much wider heavy letters run.
pub(crate) const BOLD: f64 = 1.1;
/// Space between groups.
const GROUP_GAP: f64 = 8.0;

impl Entry<'_> {
    /// Height of its row. In a narrow chart its name stands above its bars.
    pub(crate) fn height(&self, day: &Day) -> f64 {
        if day.layout.is_narrow() {
            self.lines.len() as f64 * LINE + ENTRY + APART
        } else {
            ENTRY
        }
    }

    /// How far below the top of its row its bars lie.
    pub(crate) fn middle(&self, day: &Day) -> f64 {
        if day.layout.is_narrow() {
            self.lines.len() as f64 * LINE + ENTRY / 2.0 - 5.0
        } else {
            ENTRY / 2.0 - 4.0
        }
    }

    /// Breaks its name where it has to, once it is known what stands beside it.
    fn written(mut self, day: &Day, decimals: usize) -> Self {
        self.told = match self.change {
            Some(change) => bars::on_one_line(change, decimals),
            None if self.baseline => "baseline".to_owned(),
            None => String::new(),
        };
        let beside = if day.layout.is_narrow() {
            day.layout.width() - 8.0 - text::width(&self.told, TICK) * BOLD
        } else {
            SPEEDS - 6.0
        };
        let room = beside - NAMES - SAMPLE - 8.0;
        self.lines = text::wrapped(&self.name, TICK, room, 2);
        self
    }
}

/// All rows, from `top` down: one group for each setting, then the settings pooled.
pub(crate) fn rows<'a>(day: &Day<'a>, top: f64) -> Vec<Row<'a>> {
    let mut rows = Vec::new();
    let mut next = top;
    let decimals = shared_percent_decimals(day.analysis.comparisons.iter());
    let mut group = |heading: String, entries: Vec<Entry<'a>>| {
        if entries.is_empty() {
            return;
        }
        if !rows.is_empty() {
            next += GROUP_GAP;
        }
        rows.push(Row {
            kind: RowKind::Heading(heading),
            top: next,
        });
        next += HEADING;
        for entry in entries {
            let entry = entry.written(day, decimals);
            let height = entry.height(day);
            rows.push(Row {
                kind: RowKind::Entry(entry),
                top: next,
            });
            next += height;
        }
    };
    for (place, setting) in day.settings.iter().enumerate() {
        group(heading(day, place, setting), at_setting(day, setting));
    }
    if day.settings.len() > 1 {
        group("all settings".to_owned(), pooled(day));
    }
    rows
}

fn heading(day: &Day, place: usize, setting: &str) -> String {
    let percent = day.analysis.settings.get(place).and_then(|s| s.percent);
    let name = text::clean(setting);
    match percent {
        Some(percent) if day::drawable(percent) => format!("setting {name} ({percent:.0}\u{a0}%)"),
        _ => format!("setting {name}"),
    }
}

fn at_setting<'a>(day: &Day<'a>, setting: &str) -> Vec<Entry<'a>> {
    let cells = day.cells().filter(|cell| cell.setting == setting);
    let mut entries: Vec<Entry> = cells
        .map(|cell| Entry {
            name: cell.configuration.clone(),
            lines: Vec::new(),
            told: String::new(),
            configuration: day.configuration(&cell.configuration),
            speed: Some(Speed {
                mean: cell.mean_m_s,
                interval: day::drawable_interval(cell.mean_interval_m_s),
            }),
            runs: runs(day, cell, setting),
            change: change(day, &cell.configuration, Some(setting)),
            baseline: is_baseline(day, &cell.configuration),
        })
        .collect();
    entries.sort_by_key(|entry| entry.configuration);
    entries
}

fn pooled<'a>(day: &Day<'a>) -> Vec<Entry<'a>> {
    let pooled = day
        .analysis
        .comparisons
        .iter()
        .filter(|c| c.setting.is_none());
    pooled
        .map(|comparison| Entry {
            name: comparison.changed.clone(),
            lines: Vec::new(),
            told: String::new(),
            configuration: day.configuration(&comparison.changed),
            speed: None,
            runs: day
                .cells()
                .filter(|cell| cell.configuration == comparison.changed)
                .flat_map(|cell| runs(day, cell, &cell.setting))
                .filter(|run| run.percent.is_some())
                .collect(),
            change: Some(comparison),
            baseline: false,
        })
        .collect()
}

fn change<'a>(day: &Day<'a>, configuration: &str, setting: Option<&str>) -> Option<&'a Comparison> {
    let mut all = day.analysis.comparisons.iter();
    all.find(|c| c.changed == configuration && c.setting.as_deref() == setting)
}

fn is_baseline(day: &Day, configuration: &str) -> bool {
    let all = &day.analysis.comparisons;
    all.iter().any(|c| c.baseline == configuration)
}

fn runs(day: &Day, cell: &Cell, setting: &str) -> Vec<Run> {
    let base = baseline_mean(day, setting);
    let belongs = |run: &&DoubleRun| cell.double_runs.contains(&run.double_run);
    day.analysis
        .double_runs
        .iter()
        .filter(belongs)
        .filter(|run| day::drawable(run.mean_m_s))
        .map(|run| Run {
            setting: day.setting(setting),
            mean: run.mean_m_s,
            percent: base
                .map(|base| 100.0 * (run.mean_m_s / base - 1.0))
                .filter(|percent| day::drawable(*percent)),
        })
        .collect()
}

/// Mean speed of the baseline at a setting, m/s; none where it was not run.
fn baseline_mean(day: &Day, setting: &str) -> Option<f64> {
    day.cells()
        .find(|cell| cell.setting == setting && is_baseline(day, &cell.configuration))
        .map(|cell| cell.mean_m_s)
}
