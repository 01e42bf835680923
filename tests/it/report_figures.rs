//! Cells and comparisons of the invented day, reckoned from its double runs.

use statrs::distribution::{ContinuousCDF, StudentsT};
use thereback::compare::{Cell, Comparison, Difference, Percent, Verdict};
use thereback::day::DoubleRun;
use thereback::stats::interval::Interval;

use super::report_fixture::{Day, RUNS_PER_CELL};

fn logs(day: &Day, configuration: &str, setting: &str) -> Vec<f64> {
    day.runs
        .iter()
        .filter(|r| r.configuration == configuration && r.setting == setting)
        .map(|r| r.mean_m_s.ln())
        .collect()
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Scatter pooled over all cells, and its degrees of freedom.
fn pooled(day: &Day, configurations: [&str; 2], settings: [&str; 2]) -> (f64, f64) {
    let mut squares = 0.0;
    let mut df = 0.0;
    for c in configurations {
        for s in settings {
            let logs = logs(day, c, s);
            let mean = mean(&logs);
            squares += logs.iter().map(|l| (l - mean).powi(2)).sum::<f64>();
            df += logs.len() as f64 - 1.0;
        }
    }
    ((squares / df).sqrt(), df)
}

fn quantile(df: f64) -> f64 {
    StudentsT::new(0.0, 1.0, df).unwrap().inverse_cdf(0.975)
}

pub(crate) fn cells(day: &Day, configurations: [&str; 2], settings: [&str; 2]) -> Vec<Cell> {
    let (sd, df) = pooled(day, configurations, settings);
    let mut cells = Vec::new();
    for c in configurations {
        for s in settings {
            let runs: Vec<&DoubleRun> = day
                .runs
                .iter()
                .filter(|r| r.configuration == c && r.setting == s)
                .collect();
            let log = mean(&logs(day, c, s));
            let half = quantile(df) * sd / (runs.len() as f64).sqrt();
            cells.push(Cell {
                configuration: c.to_owned(),
                setting: s.to_owned(),
                double_runs: runs.iter().map(|r| r.double_run).collect(),
                mean_m_s: log.exp(),
                mean_interval_m_s: Some(Interval {
                    low: (log - half).exp(),
                    high: (log + half).exp(),
                }),
                as_measured_m_s: log.exp() * 1.001,
                half_difference_m_s: mean(
                    &runs
                        .iter()
                        .map(|r| r.half_difference_m_s)
                        .collect::<Vec<_>>(),
                ),
                half_difference_per_hour_m_s: Some(-0.02),
            });
        }
    }
    cells
}

pub(crate) fn comparisons(day: &Day, [a, b]: [&str; 2], settings: [&str; 2]) -> Vec<Comparison> {
    let (sd, df) = pooled(day, [a, b], settings);
    let t = quantile(df);
    let mut out = Vec::new();
    let mut changes = Vec::new();
    for s in settings {
        let (one, two) = (mean(&logs(day, a, s)), mean(&logs(day, b, s)));
        let se = sd * (2.0 / RUNS_PER_CELL as f64).sqrt();
        changes.push(two - one);
        let percent = |log: f64| Some(100.0 * (log.exp() - 1.0));
        let base = one.exp();
        out.push(Comparison {
            baseline: a.to_owned(),
            changed: b.to_owned(),
            setting: Some(s.to_owned()),
            double_runs: [RUNS_PER_CELL; 2],
            baseline_m_s: Some(base),
            changed_m_s: Some(two.exp()),
            difference_m_s: Difference {
                value: Some(two.exp() - base),
                se: Some(se * base),
                df: Some(df),
                low: Some(base * ((two - one - t * se).exp() - 1.0)),
                high: Some(base * ((two - one + t * se).exp() - 1.0)),
            },
            percent: Percent {
                value: percent(two - one),
                low: percent(two - one - t * se),
                high: percent(two - one + t * se),
            },
            p_value: Some(0.000_02),
            verdict: Verdict::Faster,
            reason: None,
            ..Comparison::default()
        });
    }
    let change = mean(&changes);
    let half = t * sd * (1.0 / RUNS_PER_CELL as f64).sqrt();
    let percent = |log: f64| Some(100.0 * (log.exp() - 1.0));
    out.push(Comparison {
        baseline: a.to_owned(),
        changed: b.to_owned(),
        setting: None,
        double_runs: [2 * RUNS_PER_CELL; 2],
        baseline_m_s: None,
        changed_m_s: None,
        difference_m_s: Difference::default(),
        percent: Percent {
            value: percent(change),
            low: percent(change - half),
            high: percent(change + half),
        },
        p_value: Some(0.000_001),
        verdict: Verdict::Faster,
        reason: None,
        ..Comparison::default()
    });
    out
}
