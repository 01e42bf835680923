//! From a log to an [`Trial`], without the pipeline: plain means, and intervals of a fixed width.

use jiff::Timestamp;
use thereback::compare::{Cell, Comparison, Difference, Percent, Verdict};
use thereback::day::{CourseLine, DoubleRun, Trail, Wind, WindSource};
use thereback::stats::interval::Interval;
use thereback::trial::{
    Configuration, Day, GroupSource, Setting, Settings, TrackSummary, Trial, Zone, ZoneSource,
    analyse,
};
use thereback::units::SpeedUnit;

use crate::charts_log::Log;

impl Log {
    /// The analysis of the day: consecutive legs of one cell are paired, cells averaged and compared.
    pub(crate) fn end(mut self) -> Trial {
        let mut double_runs: Vec<DoubleRun> = Vec::new();
        let in_cells: Vec<usize> = (0..self.legs.len())
            .filter(|i| self.legs[*i].configuration.is_some())
            .collect();
        for pair in in_cells.chunks_exact(2) {
            let number = double_runs.len() + 1;
            let [a, b] = [&self.legs[pair[0]], &self.legs[pair[1]]];
            let [one, two] = [a.speed_m_s.unwrap(), b.speed_m_s.unwrap()];
            double_runs.push(DoubleRun {
                double_run: number,
                day: 1,
                legs: [a.leg, b.leg],
                line: 1,
                axis_deg: a.course_deg % 180.0,
                at: a.end,
                mean_m_s: f64::midpoint(one, two),
                mean_se_m_s: Some(0.004 * one),
                root_mean_square_m_s: (f64::midpoint(one * one, two * two)).sqrt(),
                half_difference_m_s: (one - two) / 2.0,
                configuration: a.configuration.clone().unwrap(),
                setting: a.setting.clone().unwrap(),
            });
            for i in pair {
                self.legs[*i].double_run = Some(number);
            }
        }
        self.assemble(double_runs)
    }

    #[allow(clippy::too_many_lines, reason = "one trial, field by field")]
    fn assemble(self, double_runs: Vec<DoubleRun>) -> Trial {
        let configurations = distinct(double_runs.iter().map(|r| &r.configuration));
        let mut settings = distinct(double_runs.iter().map(|r| &r.setting));
        let speed_at = |setting: &String| mean(&speeds(&double_runs, None, Some(setting)));
        settings.sort_by(|a, b| speed_at(a).total_cmp(&speed_at(b)));
        let mut cells = Vec::new();
        for setting in &settings {
            for configuration in &configurations {
                cells.extend(cell(&double_runs, configuration, setting));
            }
        }
        let comparisons = comparisons(&configurations, &settings, &cells);
        let first = double_runs
            .first()
            .and_then(|r| self.legs.get(r.legs[0] - 1));
        let lines = first.map(|leg| CourseLine {
            line: 1,
            axis_deg: leg.course_deg % 180.0,
            from: leg.start_position,
            to: leg.end_position,
            length_m: leg.length_m,
            legs: self
                .legs
                .iter()
                .filter(|l| l.line.is_some())
                .map(|l| l.leg)
                .collect(),
        });
        let times = |name: &String| -> Vec<Timestamp> {
            let own = double_runs.iter().filter(|r| r.configuration == *name);
            own.map(|r| r.at).collect()
        };
        let wind = Wind {
            from_deg: self.wind_from,
            from_se_deg: self.wind_from.map(|_| 6.0),
            speed_m_s: self.wind_from.map(|_| 4.6),
            source: if self.wind_from.is_some() {
                WindSource::Drift
            } else {
                WindSource::None
            },
            remark: None,
        };
        Trial {
            title: None,
            units: SpeedUnit::Knots,
            timezone: Zone {
                name: "Europe/Stockholm".to_owned(),
                source: ZoneSource::Position,
            },
            tracks: vec![TrackSummary {
                file: "day.gpx".to_owned(),
                day: 1,
                fixes_read: 0,
                fixes_used: 0,
                set_aside: Vec::new(),
                remarks: Vec::new(),
                from: None,
                to: None,
                interval_s: Some(1.0),
            }],
            wind: wind.clone(),
            days: vec![Day {
                day: 1,
                from: None,
                to: None,
                wind,
                reading: None,
                wind_covariate: None,
                headings: Vec::new(),
                circles: Vec::new(),
                idle: self.idle,
                settling_distance_m: Some(14.0),
                trail: Trail {
                    stops: Vec::new(),
                    plane: Some(self.plane),
                    runs: self.runs,
                    speeds: self.speeds,
                },
            }],
            lines: lines.into_iter().collect(),
            configurations: configurations
                .iter()
                .map(|name| Configuration {
                    name: name.clone(),
                    from: times(name)[0],
                    to: *times(name).last().unwrap(),
                    source: GroupSource::Track,
                    confidence: None,
                })
                .collect(),
            settings: settings
                .iter()
                .map(|name| Setting {
                    name: name.clone(),
                    percent: None,
                    source: GroupSource::Track,
                    confidence: None,
                })
                .collect(),
            cells,
            comparisons,
            double_runs,
            legs: self.legs,
            warnings: Vec::new(),
            ..analyse(&[], &Settings::default())
        }
    }
}

fn distinct<'a>(names: impl Iterator<Item = &'a String>) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for name in names {
        if !found.contains(name) {
            found.push(name.clone());
        }
    }
    found
}

fn speeds(
    runs: &[DoubleRun],
    configuration: Option<&String>,
    setting: Option<&String>,
) -> Vec<f64> {
    runs.iter()
        .filter(|r| configuration.is_none_or(|c| *c == r.configuration))
        .filter(|r| setting.is_none_or(|s| *s == r.setting))
        .map(|r| r.mean_m_s)
        .collect()
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len().max(1) as f64
}

/// A cell; its interval is a plain ±0.8 %, there being nothing to measure.
fn cell(runs: &[DoubleRun], configuration: &String, setting: &String) -> Option<Cell> {
    let belongs = |r: &&DoubleRun| r.configuration == *configuration && r.setting == *setting;
    let numbers: Vec<usize> = runs.iter().filter(belongs).map(|r| r.double_run).collect();
    if numbers.is_empty() {
        return None;
    }
    let mean = mean(&speeds(runs, Some(configuration), Some(setting)));
    Some(Cell {
        configuration: configuration.clone(),
        setting: setting.clone(),
        mean_interval_m_s: (numbers.len() > 1).then_some(Interval {
            low: mean * 0.992,
            high: mean * 1.008,
        }),
        double_runs: numbers,
        mean_m_s: mean,
        as_measured_m_s: mean,
        half_difference_m_s: 0.1,
        half_difference_per_hour_m_s: None,
    })
}

fn comparisons(configurations: &[String], settings: &[String], cells: &[Cell]) -> Vec<Comparison> {
    let Some((baseline, others)) = configurations.split_first() else {
        return Vec::new();
    };
    let find = |configuration: &String, setting: &String| {
        cells
            .iter()
            .find(|c| c.configuration == *configuration && c.setting == *setting)
    };
    let mut all = Vec::new();
    for changed in others {
        let mut ratios = Vec::new();
        for setting in settings {
            if let (Some(a), Some(b)) = (find(baseline, setting), find(changed, setting)) {
                ratios.push(b.mean_m_s / a.mean_m_s);
                all.push(comparison(baseline, a, b));
            }
        }
        if !ratios.is_empty() {
            all.push(Comparison {
                baseline: baseline.clone(),
                changed: changed.clone(),
                setting: None,
                double_runs: [6, 6],
                baseline_m_s: None,
                changed_m_s: None,
                difference_m_s: Difference::default(),
                percent: percent(100.0 * (mean(&ratios) - 1.0), 0.9),
                p_value: None,
                verdict: verdict(100.0 * (mean(&ratios) - 1.0), 0.9),
                ..Comparison::default()
            });
        }
    }
    all
}

fn comparison(baseline: &str, a: &Cell, b: &Cell) -> Comparison {
    let change = 100.0 * (b.mean_m_s / a.mean_m_s - 1.0);
    let few = a.double_runs.len() < 2 || b.double_runs.len() < 2;
    Comparison {
        baseline: baseline.to_owned(),
        changed: b.configuration.clone(),
        setting: Some(b.setting.clone()),
        double_runs: [a.double_runs.len(), b.double_runs.len()],
        baseline_m_s: Some(a.mean_m_s),
        changed_m_s: Some(b.mean_m_s),
        difference_m_s: Difference::default(),
        percent: percent(change, if few { 4.0 } else { 1.4 }),
        p_value: None,
        verdict: if few {
            Verdict::TooFewRuns
        } else {
            verdict(change, 1.4)
        },
        ..Comparison::default()
    }
}

fn percent(change: f64, reach: f64) -> Percent {
    Percent {
        value: Some(change),
        low: Some(change - reach),
        high: Some(change + reach),
    }
}

fn verdict(change: f64, reach: f64) -> Verdict {
    if change > reach {
        Verdict::Faster
    } else if change < -reach {
        Verdict::Slower
    } else {
        Verdict::NotShown
    }
}
