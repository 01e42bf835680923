//! The comparisons of several days pooled into one for each pair and setting.
//!
//! Days are independent: each has its own wind, its own gauge, its own scatter. What is pooled is the
//! difference of mean logarithms, with the standard error the day's own comparison gave it. The
//! pooled value has the variance between days in its weights and its error (`stats::random_effects`):
//! Paule & Mandel's variance, and the wider of the modified Hartung-Knapp and the normal form, which
//! our own simulated sets favour for two to six days whose errors are estimates themselves.

use super::across::{AcrossDays, DayOfTrial, DayShare, PlainPooling};
use super::compared::{Comparison, Difference, LogRatio, Percent};
use super::comparisons::{told, verdict};
use super::rules::ComparisonRules;
use crate::stats::between::{BetweenMethod, Finding};
use crate::stats::interval::{Estimate, Interval, percent_of_log};
use crate::stats::random_effects::{ErrorMethod, Pooled, pool};

/// Every pair that some day compared, per setting and over all settings, pooled over the days.
pub(super) fn pooled(
    days: &[DayOfTrial],
    order: &Names<'_>,
    rules: &ComparisonRules,
) -> Vec<Comparison> {
    let Some((baseline, changed)) = order.configurations.split_first() else {
        return Vec::new();
    };
    let mut out = Vec::new();
    for changed in changed {
        let settings = order.settings.iter().map(Some).chain([None]);
        out.extend(settings.filter_map(|setting| {
            let own = of(days, baseline, changed, setting.map(String::as_str));
            one(&own, rules)
        }));
    }
    out
}

/// Names in the order in which the days are put together.
pub(super) struct Names<'a> {
    /// Configurations, the baseline first.
    pub configurations: &'a [String],
    /// Settings, slowest first.
    pub settings: &'a [String],
}

/// A comparison of one day.
#[derive(Clone, Copy)]
struct OfDay<'a> {
    day: usize,
    comparison: &'a Comparison,
}

fn of<'a>(
    days: &'a [DayOfTrial],
    baseline: &str,
    changed: &str,
    setting: Option<&str>,
) -> Vec<OfDay<'a>> {
    days.iter()
        .filter_map(|day| {
            let comparison = day.analysis.comparisons.iter().find(|c| {
                c.baseline == baseline && c.changed == changed && c.setting.as_deref() == setting
            })?;
            Some(OfDay {
                day: day.day,
                comparison,
            })
        })
        .collect()
}

/// One comparison from those of the days; `None` where no day has it.
fn one(own: &[OfDay<'_>], rules: &ComparisonRules) -> Option<Comparison> {
    let telling: Vec<(OfDay<'_>, Finding)> = own
        .iter()
        .filter_map(|day| Some((*day, finding(day.comparison)?)))
        .collect();
    match telling.as_slice() {
        [] => own.first().map(|day| alone(*day, own.len())),
        [(only, _)] => Some(alone(*only, own.len())),
        several => together(several, own.len(), rules),
    }
}

fn finding(comparison: &Comparison) -> Option<Finding> {
    let log = comparison.log_ratio?;
    (log.se > 0.0).then_some(Finding {
        value: log.value,
        variance: log.se * log.se,
    })
}

/// The comparison of the only day that tells.
fn alone(day: OfDay<'_>, of: usize) -> Comparison {
    let mut comparison = day.comparison.clone();
    if of > 1 {
        let why = format!(
            "day {} alone tells how far two runs of the same thing differ, so nothing is pooled",
            day.day
        );
        comparison.reason = Some(match comparison.reason {
            Some(reason) if comparison.log_ratio.is_none() => reason,
            _ => why,
        });
    }
    comparison
}

fn together(
    telling: &[(OfDay<'_>, Finding)],
    of: usize,
    rules: &ComparisonRules,
) -> Option<Comparison> {
    let findings: Vec<Finding> = telling.iter().map(|(_, f)| *f).collect();
    let level = rules.level;
    let found = pool(
        &findings,
        BetweenMethod::PauleMandel,
        ErrorMethod::Wider,
        level,
    )?;
    let classic = pool(
        &findings,
        BetweenMethod::DerSimonianLaird,
        ErrorMethod::Normal,
        level,
    );
    let first = telling.first()?.0.comparison;
    let log = found.estimate;
    let speeds = speeds(telling, &found.weights, log.value);
    let percent = log.percent_of_log();
    let runs = |side: usize| {
        telling
            .iter()
            .map(|(d, _)| d.comparison.double_runs[side])
            .sum()
    };
    Some(Comparison {
        baseline: first.baseline.clone(),
        changed: first.changed.clone(),
        setting: first.setting.clone(),
        double_runs: [runs(0), runs(1)],
        baseline_m_s: speeds.map(|s| s[0]),
        changed_m_s: speeds.map(|s| s[1]),
        difference_m_s: speeds.map(|s| difference(s, &log)).unwrap_or_default(),
        percent: percent.map_or_else(Percent::default, told),
        log_ratio: Some(log_ratio(&log)),
        no_change_beyond_percent: super::comparisons::no_change_beyond(&log, rules),
        across_days: Some(across(telling, &found, classic.as_ref())),
        p_value: log.p_against(0.0),
        verdict: verdict(percent),
        reason: (telling.len() < of).then(|| {
            format!(
                "{} of {of} days tell how far two runs of the same thing differ; the others are not pooled",
                telling.len()
            )
        }),
        ..Comparison::default()
    })
}

/// As the result has it: no degrees of freedom where the normal distribution stands.
pub(super) fn log_ratio(log: &Estimate) -> LogRatio {
    LogRatio {
        value: log.value,
        se: log.se,
        df: Some(log.df).filter(|df| df.is_finite()),
    }
}

/// Speed of the baseline, the geometric mean of the days' by their shares, and of the changed one.
fn speeds(telling: &[(OfDay<'_>, Finding)], weights: &[f64], log_ratio: f64) -> Option<[f64; 2]> {
    let logs = telling.iter().zip(weights);
    let baseline = logs
        .map(|((day, _), weight)| Some(day.comparison.baseline_m_s?.ln() * weight))
        .sum::<Option<f64>>()?;
    Some([baseline.exp(), (baseline + log_ratio).exp()])
}

fn difference([baseline, changed]: [f64; 2], log: &Estimate) -> Difference {
    Difference {
        value: Some(changed - baseline),
        // To first order: the ratio's error as a share of the speed.
        se: Some(log.se * changed),
        df: Some(log.df).filter(|df| df.is_finite()),
        low: Some(baseline * log.low.exp_m1()),
        high: Some(baseline * log.high.exp_m1()),
    }
}

fn across(
    telling: &[(OfDay<'_>, Finding)],
    found: &Pooled,
    classic: Option<&Pooled>,
) -> AcrossDays {
    let days = telling
        .iter()
        .zip(&found.weights)
        .map(|((day, _), weight)| DayShare {
            day: day.day,
            percent: day.comparison.percent,
            weight: *weight,
        })
        .collect();
    let interval = |log: Interval| {
        Some(Interval {
            low: percent_of_log(log.low)?,
            high: percent_of_log(log.high)?,
        })
    };
    AcrossDays {
        days,
        tau_percent: 100.0 * found.tau,
        q: found.heterogeneity.q,
        q_df: found.heterogeneity.df,
        q_p_value: found.heterogeneity.p,
        i_squared: found.i_squared,
        prediction_percent: found.prediction.and_then(interval),
        der_simonian_laird: classic.and_then(|c| {
            Some(PlainPooling {
                percent: told(c.estimate.percent_of_log()?),
                tau_percent: 100.0 * c.tau,
            })
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis::{Settings, analyse};

    /// A trial without recordings that compared `B` with `A`, with this result.
    fn day(number: usize, value: f64, variance: f64) -> DayOfTrial {
        let mut analysis = analyse(&[], &Settings::default());
        let log = Estimate::new(value, variance.sqrt(), f64::INFINITY, 0.95);
        analysis.comparisons = vec![Comparison {
            baseline: "A".to_owned(),
            changed: "B".to_owned(),
            double_runs: [3, 3],
            log_ratio: log.as_ref().map(log_ratio),
            ..Comparison::default()
        }];
        DayOfTrial {
            day: number,
            analysis,
        }
    }

    fn pooled_days(days: &[DayOfTrial]) -> Vec<Comparison> {
        let names = ["A".to_owned(), "B".to_owned()];
        let order = Names {
            configurations: &names,
            settings: &[],
        };
        pooled(days, &order, &ComparisonRules::default())
    }

    /// The six trials of `DerSimonian` & Kacker (2007), *Contemporary Clinical Trials* 28, 105-114, tables 3
    /// and 4, as if each were a day's logarithm of a ratio: by their method and normal errors
    /// mean -0.3240, standard error 0.1540, τ 0.2323; by Paule & Mandel mean -0.3811, τ 0.3681, and standard
    /// error 0.2060 with normal errors, which is the wider form here.
    #[test]
    fn published_trials_pool_as_days() {
        let treated: [(f64, f64); 6] = [
            (5.0, 156.0),
            (5.0, 303.0),
            (12.0, 565.0),
            (69.0, 1570.0),
            (9.0, 103.0),
            (313.0, 4659.0),
        ];
        let control: [(f64, f64); 6] = [
            (8.0, 74.0),
            (17.0, 303.0),
            (9.0, 477.0),
            (94.0, 1565.0),
            (11.0, 105.0),
            (352.0, 4650.0),
        ];
        let odds = |(events, of): (f64, f64)| events / (of - events);
        let inverse = |(events, of): (f64, f64)| 1.0 / events + 1.0 / (of - events);
        let days: Vec<DayOfTrial> = (1..)
            .zip(treated.iter().zip(&control))
            .map(|(number, (t, c))| {
                day(
                    number,
                    (odds(*t) / odds(*c)).ln(),
                    inverse(*t) + inverse(*c),
                )
            })
            .collect();
        let found = pooled_days(&days);
        let near = |value: f64, wanted: f64| (value - wanted).abs() < 6e-5;
        let told = found.first().and_then(|c| {
            let across = c.across_days.as_ref()?;
            let log = c.log_ratio?;
            let classic = across.der_simonian_laird.as_ref()?;
            let classic_log = |percent: Option<f64>| Some((percent? / 100.0).ln_1p());
            let half = classic_log(classic.percent.high)? - classic_log(classic.percent.low)?;
            Some([
                near(log.value, -0.3811),
                near(across.tau_percent / 100.0, 0.3681),
                log.se >= 0.2060 - 6e-5,
                near(classic_log(classic.percent.value)?, -0.3240),
                near(classic.tau_percent / 100.0, 0.2323),
                near(half / 2.0 / 1.959_964, 0.1540),
                near(across.q, 9.677_867),
                (across.days.len(), across.q_df) == (6, 5.0),
            ])
        });
        assert_eq!(told, Some([true; 8]), "{found:?}");
    }

    #[test]
    fn a_lone_day_that_tells_stands_for_itself() {
        let mut days = vec![day(1, 0.02, 1e-4), day(2, 0.03, 1e-4)];
        if let Some(comparison) = days
            .get_mut(1)
            .and_then(|d| d.analysis.comparisons.first_mut())
        {
            comparison.log_ratio = None;
        }
        let found = pooled_days(&days);
        let one = found.first();
        assert!(one.is_some_and(|c| c.across_days.is_none() && c.reason.is_some()));
        assert_eq!(one.and_then(|c| c.log_ratio).map(|l| l.value), Some(0.02));
        assert!(pooled_days(&[]).is_empty());
    }
}
