//! The answer: cells, comparisons and pairs as contrasts of one posterior.

use super::comparison::{
    AcrossDays, BadRun, Cell, Comparison, DayShare, Difference, Doubt, DoubtKind, FitSummary,
    LogRatio, Pair, Percent, Simultaneous, Verdict,
};
use super::rows::RunsOfTrial;
use super::{Adjustment, CompareRules, Conditions, Contrast, Estimate, Posterior, RunRow, fit};
use crate::day::DoubleRun;
use crate::stats::interval::{Interval, percent_of_log};
use crate::stats::regression::fit_line;
use crate::stats::summary::mean;

/// What is compared, and by what.
#[derive(Clone, Copy)]
pub(crate) struct Question<'a> {
    pub(crate) trial: RunsOfTrial<'a>,
    pub(crate) runs: &'a [DoubleRun],
    pub(crate) conditions: Conditions,
    pub(crate) rules: &'a CompareRules,
    /// The smallest change worth knowing, percent, where the person named one.
    pub(crate) resolve_percent: Option<f64>,
}

/// The posterior of a trial, and what it answers.
pub(crate) struct Answer<'a> {
    question: Question<'a>,
    rows: Vec<RunRow>,
    /// Number of the double run of each row.
    numbers: Vec<usize>,
    posterior: Option<Posterior>,
}

impl<'a> Answer<'a> {
    pub(crate) fn of(question: Question<'a>) -> Self {
        let (numbers, rows): (Vec<usize>, Vec<RunRow>) =
            question.trial.rows(question.runs).into_iter().unzip();
        let posterior = fit(&rows, &question.conditions, question.rules);
        Self {
            question,
            rows,
            numbers,
            posterior,
        }
    }

    /// The numbers of the rows; none where a row is of several double runs.
    fn numbers(&self) -> &[usize] {
        let is_thinned = self.numbers.len() < self.question.runs.len();
        if is_thinned { &[] } else { &self.numbers }
    }

    fn runs_of(&self, configuration: usize) -> impl Iterator<Item = &DoubleRun> {
        let name = self.question.trial.configurations.get(configuration);
        let own = move |run: &&DoubleRun| Some(&run.configuration) == name;
        self.question.runs.iter().filter(own)
    }

    fn configuration(&self, place: usize) -> String {
        let names = self.question.trial.configurations;
        names.get(place).cloned().unwrap_or_default()
    }

    fn setting(&self, place: usize) -> String {
        let names = self.question.trial.settings;
        names.get(place).cloned().unwrap_or_default()
    }

    /// One entry for each configuration at each setting that was run.
    pub(crate) fn cells(&self) -> Vec<Cell> {
        let Some(posterior) = &self.posterior else {
            return Vec::new();
        };
        let mut out = Vec::new();
        for j in posterior.configurations() {
            for k in posterior.settings() {
                out.extend(self.cell(posterior, j, k));
            }
        }
        out
    }

    fn cell(&self, posterior: &Posterior, j: usize, k: usize) -> Option<Cell> {
        let level = posterior.contrast(&posterior.level(j, k)?)?;
        let (configuration, setting) = (self.configuration(j), self.setting(k));
        let own: Vec<&DoubleRun> = (self.question.runs.iter())
            .filter(|run| (&run.configuration, &run.setting) == (&configuration, &setting))
            .collect();
        let logs: Vec<f64> = own.iter().map(|run| run.mean_m_s.ln()).collect();
        let halves: Vec<f64> = own.iter().map(|run| run.half_difference_m_s).collect();
        let hours: Vec<f64> = own
            .iter()
            .map(|run| run.at.as_second() as f64 / 3600.0)
            .collect();
        let one_day = own.windows(2).all(|pair| pair[0].day == pair[1].day);
        let trend = fit_line(&hours, &halves).filter(|_| own.len() > 2 && one_day);
        Some(Cell {
            configuration,
            setting,
            double_runs: own.iter().map(|run| run.double_run).collect(),
            mean_m_s: level.value.exp(),
            mean_interval_m_s: Some(Interval {
                low: level.low.exp(),
                high: level.high.exp(),
            }),
            as_measured_m_s: mean(&logs)?.exp(),
            half_difference_m_s: mean(&halves)?,
            half_difference_per_hour_m_s: trend.map(|line| line.slope),
        })
    }

    /// Each configuration against the first, per setting and pooled.
    pub(crate) fn comparisons(&self) -> Vec<Comparison> {
        let Some(posterior) = &self.posterior else {
            return Vec::new();
        };
        let configurations = posterior.configurations();
        let Some((baseline, others)) = configurations.split_first() else {
            return Vec::new();
        };
        let settings = || posterior.settings().into_iter().map(Some).chain([None]);
        let mut out: Vec<Comparison> = others
            .iter()
            .flat_map(|j| settings().map(move |k| (*j, k)))
            .filter_map(|(j, k)| self.comparison(posterior, [*baseline, j], k))
            .collect();
        if others.len() > 1 {
            for k in settings() {
                let pairs: Vec<[usize; 2]> = others.iter().map(|j| [*baseline, *j]).collect();
                for (pair, _, joint) in together(posterior, &pairs, k) {
                    let own = [self.configuration(pair[0]), self.configuration(pair[1])];
                    let setting = k.map(|k| self.setting(k));
                    let found = out.iter_mut().find(|c| {
                        (&c.baseline, &c.changed) == (&own[0], &own[1]) && c.setting == setting
                    });
                    if let Some(found) = found {
                        found.simultaneous = joint;
                    }
                }
            }
        }
        out
    }

    /// Every pair of three configurations or more, per setting and pooled, with intervals that
    /// hold together; empty for fewer.
    pub(crate) fn pairs(&self) -> Vec<Pair> {
        let Some(posterior) = &self.posterior else {
            return Vec::new();
        };
        let all = posterior.configurations();
        if all.len() < 3 {
            return Vec::new();
        }
        let pairs: Vec<[usize; 2]> = (all.iter().enumerate())
            .flat_map(|(place, i)| all.iter().skip(place + 1).map(move |j| [*i, *j]))
            .collect();
        let settings = posterior.settings().into_iter().map(Some).chain([None]);
        settings
            .flat_map(|k| {
                let found = together(posterior, &pairs, k).into_iter();
                found.filter_map(move |(pair, alone, joint)| {
                    Some(Pair {
                        baseline: self.configuration(pair[0]),
                        changed: self.configuration(pair[1]),
                        setting: k.map(|k| self.setting(k)),
                        percent: percent_of_log(alone.value)?,
                        log_ratio: log_ratio(&alone),
                        simultaneous: joint?,
                    })
                })
            })
            .collect()
    }

    fn comparison(
        &self,
        posterior: &Posterior,
        [baseline, changed]: [usize; 2],
        setting: Option<usize>,
    ) -> Option<Comparison> {
        let contrast = posterior.change(changed, baseline, setting)?;
        let found = posterior.contrast(&contrast)?;
        // Neighbours that are one row are still two double runs.
        let single = |j: &usize| self.runs_of(*j).count() < 2;
        let few = found.few && [baseline, changed].iter().any(single);
        let log = Estimate { few, ..found };
        let percent = percent(&log);
        let level = |j| {
            Some(
                posterior
                    .contrast(&posterior.level(j, setting?)?)?
                    .value
                    .exp(),
            )
        };
        let speeds = level(baseline).zip(level(changed));
        let has = |j, k| {
            let mut rows = self.rows.iter();
            rows.any(|row| (row.configuration, row.setting) == (j, k))
        };
        let shared =
            |k: usize| setting.is_none_or(|own| own == k) && has(baseline, k) && has(changed, k);
        let count = |j: usize| {
            let settings = (0..self.question.trial.settings.len()).filter(|k| shared(*k));
            let settings: Vec<String> = settings.map(|k| self.setting(k)).collect();
            let own = self.runs_of(j);
            own.filter(|run| settings.contains(&run.setting)).count()
        };
        Some(Comparison {
            baseline: self.configuration(baseline),
            changed: self.configuration(changed),
            setting: setting.map(|k| self.setting(k)),
            double_runs: [count(baseline), count(changed)],
            baseline_m_s: speeds.map(|s| s.0),
            changed_m_s: speeds.map(|s| s.1),
            difference_m_s: speeds.map_or_else(Difference::default, |(one, other)| Difference {
                value: Some(other - one),
                // To first order: the ratio's error as a share of the speed.
                se: Some(log.se * other),
                df: None,
                low: Some(one * log.low.exp_m1()),
                high: Some(one * log.high.exp_m1()),
            }),
            percent,
            log_ratio: Some(log_ratio(&log)),
            simultaneous: None,
            no_change_beyond_percent: largest(&percent),
            across_days: self.across_days(posterior, [baseline, changed], setting),
            as_measured_percent: posterior
                .apart([changed, baseline], setting, |row| row.speed.ln())
                .and_then(percent_of_log),
            p_value: Some(log.p),
            verdict: verdict(&log, &percent, self.question.resolve_percent),
            doubts: self.doubts(posterior, [baseline, changed], setting, &contrast),
            reason: log.few.then(|| {
                "one of them has a single double run, so the interval rests on how far double runs \
                 usually differ"
                    .to_owned()
            }),
        })
    }

    fn across_days(
        &self,
        posterior: &Posterior,
        [baseline, changed]: [usize; 2],
        setting: Option<usize>,
    ) -> Option<AcrossDays> {
        let mut days: Vec<usize> = self.rows.iter().map(|row| row.day).collect();
        days.sort_unstable();
        days.dedup();
        let several = days.len() > 1;
        let days: Vec<DayShare> = (days.into_iter())
            .filter_map(|day| {
                let contrast = posterior.change_on(day, changed, baseline, setting)?;
                Some(DayShare {
                    day,
                    percent: percent(&posterior.contrast(&contrast)?),
                })
            })
            .collect();
        (several && !days.is_empty()).then_some(AcrossDays { days })
    }

    fn fit_summary(&self) -> Option<FitSummary> {
        let posterior = self.posterior.as_ref()?;
        let first = self.rows.first()?;
        let one_day = self.rows.iter().all(|row| row.day == first.day);
        let trend = posterior.trend(first.day).filter(|_| one_day);
        let bad = self.numbers().iter().zip(posterior.bad_runs());
        let stated: Vec<f64> = (self.rows.iter())
            .filter_map(|row| Some(self.question.conditions.wind_at(row)?[0].abs()))
            .collect();
        Some(FitSummary {
            scatter_percent: 100.0 * posterior.scatter(),
            trend_percent_per_hour: trend.and_then(|t| Some(percent(&posterior.contrast(&t)?))),
            failing_trend_probability: posterior.failing_trend(),
            bad_runs: bad
                .map(|(number, probability)| BadRun {
                    double_run: *number,
                    probability,
                })
                .filter(|run| run.probability >= WORTH_NAMING)
                .collect(),
            wind_along_m_s: posterior.wind_behind(),
            wind_makes_half_differences: matches!(
                posterior.adjustment(),
                Adjustment::Wind { .. } | Adjustment::StillWater
            ),
            agrees_with_wind: posterior.agrees_with_wind(),
            stated_along_m_s: mean(&stated),
        })
    }

    /// What could move the change most, the gravest first.
    fn doubts(
        &self,
        posterior: &Posterior,
        [baseline, changed]: [usize; 2],
        setting: Option<usize>,
        contrast: &Contrast,
    ) -> Vec<Doubt> {
        let mut out = Vec::new();
        let mut of_contrast = |kind, contrast: Option<Contrast>| {
            let Some(moved) = contrast.and_then(|c| posterior.contrast(&c)) else {
                return;
            };
            out.push(Doubt {
                kind,
                taken_out_percent: percent_of_log(moved.value),
                could_move_percent: 100.0 * (moved.high - moved.low) / 2.0,
            });
        };
        let by_time = posterior.moved_by_trend(changed, baseline, setting);
        of_contrast(DoubtKind::Time, by_time);
        let by_wind = posterior.moved_by_wind(changed, baseline, setting);
        of_contrast(DoubtKind::Wind, by_wind);
        out.extend(self.run_that_moves_most(posterior, contrast));
        out.sort_by(|a, b| b.could_move_percent.total_cmp(&a.could_move_percent));
        out.retain(|doubt| doubt.could_move_percent >= LEAST_DOUBT_PERCENT);
        out.truncate(MOST_DOUBTS);
        out
    }

    /// The double run without which the change would differ most.
    fn run_that_moves_most(&self, posterior: &Posterior, contrast: &Contrast) -> Option<Doubt> {
        let each = posterior.moved_without_each(contrast).into_iter();
        let (place, by) = each
            .enumerate()
            .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
        Some(Doubt {
            kind: DoubtKind::DoubleRun(self.numbers().get(place).copied()?),
            taken_out_percent: None,
            could_move_percent: 100.0 * by.abs(),
        })
    }
}

/// A run is named where this probable or more that something went wrong in it: one in ten.
const WORTH_NAMING: f64 = 0.1;

/// Doubts shown beside a headline.
const MOST_DOUBTS: usize = 2;

/// A doubt smaller than this is none, percentage points: below the last digit that is shown.
const LEAST_DOUBT_PERCENT: f64 = 0.05;

/// The changes of several pairs at a setting, each alone, and so that all hold together.
fn together(
    posterior: &Posterior,
    pairs: &[[usize; 2]],
    setting: Option<usize>,
) -> Vec<([usize; 2], Estimate, Option<Simultaneous>)> {
    let asked: Vec<([usize; 2], Contrast)> = pairs
        .iter()
        .filter_map(|[i, j]| Some(([*i, *j], posterior.change(*j, *i, setting)?)))
        .collect();
    let contrasts: Vec<Contrast> = asked.iter().map(|(_, c)| c.clone()).collect();
    let joint = posterior.together(&contrasts).unwrap_or_default();
    asked
        .into_iter()
        .zip(joint)
        .filter_map(|((pair, contrast), joint)| {
            let alone = posterior.contrast(&contrast)?;
            let bounds = percent_of_log(joint.low).zip(percent_of_log(joint.high));
            let simultaneous = bounds.map(|(low, high)| Simultaneous {
                low,
                high,
                p_value: joint.p,
            });
            Some((pair, alone, simultaneous))
        })
        .collect()
}

fn log_ratio(log: &Estimate) -> LogRatio {
    LogRatio {
        value: log.value,
        se: log.se,
    }
}

fn percent(log: &Estimate) -> Percent {
    Percent {
        value: percent_of_log(log.value),
        low: percent_of_log(log.low),
        high: percent_of_log(log.high),
    }
}

/// The end of the interval farther from zero, percent.
fn largest(percent: &Percent) -> Option<f64> {
    let (low, high) = percent.low.zip(percent.high)?;
    Some(low.abs().max(high.abs()))
}

fn verdict(log: &Estimate, percent: &Percent, worth_knowing: Option<f64>) -> Verdict {
    if log.few {
        Verdict::TooFewRuns
    } else if log.low > 0.0 {
        Verdict::Faster
    } else if log.high < 0.0 {
        Verdict::Slower
    } else if worth_knowing
        .zip(largest(percent))
        .is_some_and(|(x, most)| most <= x)
    {
        Verdict::NoLargerDifference
    } else {
        Verdict::NotShown
    }
}

/// The figures of an answer, for the result.
pub(crate) struct Compared {
    pub(crate) posterior: Option<Posterior>,
    pub(crate) cells: Vec<Cell>,
    pub(crate) comparisons: Vec<Comparison>,
    pub(crate) pairs: Vec<Pair>,
    pub(crate) fit: Option<FitSummary>,
}

impl From<Answer<'_>> for Compared {
    fn from(answer: Answer<'_>) -> Self {
        Self {
            cells: answer.cells(),
            comparisons: answer.comparisons(),
            pairs: answer.pairs(),
            fit: answer.fit_summary(),
            posterior: answer.posterior,
        }
    }
}
