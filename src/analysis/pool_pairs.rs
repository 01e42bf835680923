//! Three configurations or more over several days: intervals that hold all together.
//!
//! Each pair is pooled over the days that compared it, as the comparisons are (see [`super::pool`]), but
//! each interval at the confidence `1 - (1 - level) / m` for `m` of them (Bonferroni; Dunn 1961, *Journal of the
//! American Statistical Association* 56, 52-64). That holds whatever the estimates have in common: the pairs rest on
//! different days, spreads and degrees of freedom, for which the exact methods of a single day
//! (`together`) have no form. The price is small: of three pairs with large samples the factor on the
//! standard error is 2.39 in place of Tukey's 2.34.

use super::across::DayOfTrial;
use super::compared::{Comparison, LogRatio, Pair, Simultaneous};
use super::pool::{Names, log_ratio};
use super::rules::ComparisonRules;
use crate::stats::between::{BetweenMethod, Finding};
use crate::stats::interval::{Estimate, percent_of_log};
use crate::stats::random_effects::{ErrorMethod, pool};

/// Named with every interval against the first.
const AGAINST_FIRST: &str =
    "Dunn 1961 (Bonferroni): every configuration against the first, over the days";

/// Named with every pair.
const ALL_PAIRS: &str = "Dunn 1961 (Bonferroni): all pairs, over the days";

/// Every pair of three configurations or more that some day compared, per setting and over all settings,
/// pooled over the days; empty for fewer.
pub(super) fn pooled_pairs(
    days: &[DayOfTrial],
    order: &Names<'_>,
    rules: &ComparisonRules,
) -> Vec<Pair> {
    if order.configurations.len() < 3 {
        return Vec::new();
    }
    let settings = order.settings.iter().map(Some).chain([None]);
    let mut out = Vec::new();
    for setting in settings.map(|setting| setting.map(String::as_str)) {
        let mut family = Vec::new();
        for (place, baseline) in order.configurations.iter().enumerate() {
            for changed in order.configurations.iter().skip(place + 1) {
                let own = of_days(days, [baseline, changed], setting);
                if !own.is_empty() {
                    family.push((baseline, changed, own));
                }
            }
        }
        let count = family.len();
        out.extend(family.into_iter().filter_map(|(baseline, changed, own)| {
            let (log_ratio, simultaneous) = joint(&own, count, rules.level, ALL_PAIRS)?;
            Some(Pair {
                baseline: baseline.clone(),
                changed: changed.clone(),
                setting: setting.map(str::to_owned),
                percent: percent_of_log(log_ratio.value)?,
                log_ratio,
                simultaneous,
            })
        }));
    }
    out
}

/// Gives each pooled comparison with the first configuration the interval that holds together with the
/// others of its setting, where there are two or more of them.
pub(super) fn against_first_over_days(
    comparisons: &mut [Comparison],
    days: &[DayOfTrial],
    rules: &ComparisonRules,
) {
    let settings: Vec<Option<String>> = (comparisons.iter())
        .filter(|c| c.log_ratio.is_some())
        .map(|c| c.setting.clone())
        .collect();
    for comparison in comparisons {
        let family = settings.iter().filter(|s| **s == comparison.setting);
        let count = family.count();
        if count < 2 || comparison.log_ratio.is_none() {
            continue;
        }
        let names = [&comparison.baseline, &comparison.changed];
        let own = of_days(days, names, comparison.setting.as_deref());
        let found = joint(&own, count, rules.level, AGAINST_FIRST);
        comparison.simultaneous = found.map(|(_, simultaneous)| simultaneous);
    }
}

/// What each day says of a pair, the second less the first; days that do not tell are left out.
fn of_days(
    days: &[DayOfTrial],
    [baseline, changed]: [&String; 2],
    setting: Option<&str>,
) -> Vec<LogRatio> {
    let told = |day: &DayOfTrial| -> Option<LogRatio> {
        let against_first = (day.analysis.comparisons.iter())
            .filter(|c| c.setting.as_deref() == setting)
            .filter_map(|c| Some(([&c.baseline, &c.changed], c.log_ratio?)));
        let others = (day.analysis.pairs.iter())
            .filter(|p| p.setting.as_deref() == setting)
            .map(|p| ([&p.baseline, &p.changed], p.log_ratio));
        against_first.chain(others).find_map(|(names, log)| {
            if names == [baseline, changed] {
                Some(log)
            } else if names == [changed, baseline] {
                Some(LogRatio {
                    value: -log.value,
                    ..log
                })
            } else {
                None
            }
        })
    };
    let known = days.iter().filter_map(told);
    known.filter(|log| log.se > 0.0).collect()
}

/// One of `count` estimates with its interval of joint confidence `level`.
fn joint(
    own: &[LogRatio],
    count: usize,
    level: f64,
    method: &'static str,
) -> Option<(LogRatio, Simultaneous)> {
    let single = 1.0 - (1.0 - level) / count.max(1) as f64;
    let estimate = match own {
        [] => return None,
        [only] => {
            let df = only.df.unwrap_or(f64::INFINITY);
            Estimate::new(only.value, only.se, df, single)?
        }
        several => {
            let findings: Vec<Finding> = several
                .iter()
                .map(|log| Finding {
                    value: log.value,
                    variance: log.se * log.se,
                })
                .collect();
            let method = (BetweenMethod::PauleMandel, ErrorMethod::Wider);
            pool(&findings, method.0, method.1, single)?.estimate
        }
    };
    let simultaneous = Simultaneous {
        low: percent_of_log(estimate.low)?,
        high: percent_of_log(estimate.high)?,
        p_value: (estimate.p_against(0.0)? * count as f64).clamp(0.0, 1.0),
        method,
    };
    Some((log_ratio(&estimate), simultaneous))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis::{Settings, analyse};

    fn log(value: f64, se: f64) -> LogRatio {
        LogRatio {
            value,
            se,
            df: None,
        }
    }

    /// A day that compared these pairs of `A`, `B` and `C`.
    fn day(number: usize, pairs: &[(&str, &str, f64)]) -> DayOfTrial {
        let mut analysis = analyse(&[], &Settings::default());
        for (baseline, changed, value) in pairs {
            analysis.comparisons.push(Comparison {
                baseline: (*baseline).to_owned(),
                changed: (*changed).to_owned(),
                log_ratio: Some(log(*value, 0.01)),
                ..Comparison::default()
            });
        }
        DayOfTrial {
            day: number,
            analysis,
        }
    }

    fn pairs(days: &[DayOfTrial]) -> Vec<Pair> {
        let names = ["A", "B", "C"].map(str::to_owned);
        let order = Names {
            configurations: &names,
            settings: &[],
        };
        pooled_pairs(days, &order, &ComparisonRules::default())
    }

    #[test]
    fn every_pair_is_pooled_whichever_was_first() {
        let days = [
            day(1, &[("A", "B", 0.03), ("A", "C", 0.05)]),
            day(2, &[("B", "A", -0.03)]),
            day(3, &[("C", "B", -0.02)]),
        ];
        let found = pairs(&days);
        let names: Vec<String> = (found.iter())
            .map(|p| format!("{}{}", p.baseline, p.changed))
            .collect();
        assert_eq!(names, ["AB", "AC", "BC"]);
        let values: Vec<f64> = found.iter().map(|p| p.log_ratio.value).collect();
        for (value, wanted) in values.iter().zip([0.03, 0.05, 0.02]) {
            assert!((value - wanted).abs() < 1e-12, "{values:?}");
        }
        // Two days that agree weigh as √½, with Dunn's 2.394 for three intervals of large samples.
        let half = |p: &Pair| ((p.simultaneous.high / 100.0).ln_1p() - p.log_ratio.value) / 0.01;
        let halves: Vec<f64> = found.iter().map(half).collect();
        for (half, wanted) in halves.iter().zip([2.394 / 2_f64.sqrt(), 2.394, 2.394]) {
            assert!((half - wanted).abs() < 1e-3, "{halves:?}");
        }
    }

    #[test]
    fn comparisons_with_the_first_are_joined_by_their_number() {
        let days = [day(1, &[("A", "B", 0.03), ("A", "C", 0.05)])];
        let mut comparisons = days
            .first()
            .map_or_else(Vec::new, |d| d.analysis.comparisons.clone());
        against_first_over_days(&mut comparisons, &days, &ComparisonRules::default());
        let high = |c: &Comparison| Some((c.simultaneous.as_ref()?.high / 100.0).ln_1p());
        let highs: Vec<Option<f64>> = comparisons.iter().map(high).collect();
        // The normal quantile at 0.9875 is 2.2414 (tables of the normal distribution).
        for (high, value) in highs.iter().zip([0.03, 0.05]) {
            assert!(
                high.is_some_and(|h| (h - value - 0.022_414).abs() < 1e-6),
                "{highs:?}"
            );
        }
    }

    #[test]
    fn two_configurations_are_no_family() {
        let names = ["A", "B"].map(str::to_owned);
        let order = Names {
            configurations: &names,
            settings: &[],
        };
        let days = [day(1, &[("A", "B", 0.03)]), day(2, &[("A", "B", 0.03)])];
        assert!(pooled_pairs(&days, &order, &ComparisonRules::default()).is_empty());
    }
}
