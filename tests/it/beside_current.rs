//! Wind and current fitted together, on runs that follow the balance with a known truth.

use std::f64::consts::TAU;

use proptest::prelude::*;
use thereback::trial::balance::speed_along;
use thereback::trial::gauge::{
    Beside, BesideChange, BesideRules, GaugeRules, GaugedRun, KnownWind, TimedRun, beside,
};
use thereback::units::Bearing;

/// A day of four blocks, the second part 4 % faster.
#[derive(Clone, Copy)]
struct Day {
    each: usize,
    windage: f64,
    /// Wind at the beginning, m/s, and its growth to the end as a logarithm.
    wind: f64,
    growth: f64,
    /// Steady current along the axis and amplitude of the tide, m/s.
    current: f64,
    tide: f64,
    /// 1 where the wind blows from ahead of the axis.
    end: f64,
}

const TRUTH: f64 = 0.039_220_713; // ln 1.04
/// Scatter of a run as a share of its speed.
const NOISE: f64 = 0.003;

fn runs(day: Day) -> Vec<TimedRun> {
    let count = 4 * day.each;
    // Errors that sum to nothing over a few runs.
    let errors = [0.9, -1.1, 0.4, -0.6, 1.2, -0.8];
    (0..count)
        .map(|n| {
            let at = 700.0 * n as f64;
            let (configuration, setting) = (n / (2 * day.each), n / day.each % 2);
            let drive = [1.3, 2.3][setting] * [1.0, 1.04][configuration];
            let wind = day.wind * (day.growth * n as f64 / (count - 1) as f64).exp();
            let flow = |t: f64| day.current + day.tide * (TAU * t / 44_714.0 + 0.8).sin();
            let off = |k: usize| 1.0 + NOISE * errors[(n + k) % errors.len()];
            let (along_at, against_at) = (at, at + 300.0);
            let along = speed_along(day.windage, drive, wind, day.end).unwrap() * off(0);
            let against = speed_along(day.windage, drive, wind, -day.end).unwrap() * off(3);
            TimedRun {
                run: GaugedRun {
                    configuration,
                    setting,
                    along: along + flow(along_at),
                    against: against - flow(against_at),
                    se: Some(0.004),
                    axis: Bearing::new(40.0).unwrap(),
                    off_line_deg: 0.0,
                },
                along_at,
                against_at,
            }
        })
        .collect()
}

const TIDAL: Day = Day {
    each: 4,
    windage: 0.02,
    wind: 4.0,
    growth: 0.6,
    current: 0.1,
    tide: 0.35,
    end: 1.0,
};

fn fitted(day: Day, known: KnownWind) -> Beside {
    let (gauge, rules) = (GaugeRules::default(), BesideRules::default());
    beside(&runs(day), known, 0.95, &gauge, &rules).unwrap()
}

fn pooled(found: &Beside) -> BesideChange {
    let all = found.changes.iter().find(|c| c.setting.is_none());
    *all.unwrap()
}

#[test]
fn a_growing_wind_beside_a_tide_is_taken_out_of_the_change() {
    for end in [1.0, -1.0] {
        let day = Day { end, ..TIDAL };
        let found = fitted(day, KnownWind::default());
        let change = pooled(&found).log_estimate;
        // By the plain means the faster part looks slower than it is by more than the interval now says.
        let mean = |n: usize| {
            let run = runs(day)[n].run;
            f64::midpoint(run.along, run.against).ln()
        };
        let block = |of: usize| (of..of + day.each).map(mean).sum::<f64>() / day.each as f64;
        let plain = f64::midpoint(block(8) - block(0), block(12) - block(4));
        assert!(plain < TRUTH - 0.015, "{plain}");
        assert!((change.value - TRUTH).abs() < 0.012, "{change:?}");
        assert!(change.low < TRUTH && TRUTH < change.high, "{change:?}");
        assert!(found.odds_of_wind_alone < -2.0, "{found:?}");
        let [growth, sd] = found.growth_log;
        assert!(
            (growth - day.growth).abs() < 2.0 * sd && sd < 0.7,
            "{found:?}"
        );
        assert_eq!(found.from_ahead > 0.5, end > 0.0, "{found:?}");
    }
}

#[test]
fn every_setting_is_compared_and_its_speeds_follow_from_the_change() {
    let found = fitted(TIDAL, KnownWind::default());
    let settings: Vec<Option<usize>> = found.changes.iter().map(|c| c.setting).collect();
    assert_eq!(settings, [Some(0), Some(1), None]);
    for change in &found.changes {
        let estimate = change.log_estimate;
        assert!(change.doubt > 0.0 && change.doubt < estimate.se);
        assert_eq!(change.speeds.is_some(), change.setting.is_some());
        if let Some([baseline, changed]) = change.speeds {
            assert!(((changed / baseline).ln() - estimate.value).abs() < 1e-9);
        }
    }
}

#[test]
fn without_a_current_wind_alone_is_more_probable() {
    let still = Day {
        current: 0.0,
        tide: 0.0,
        ..TIDAL
    };
    let found = fitted(still, KnownWind::default());
    assert!(found.odds_of_wind_alone > 1.0, "{found:?}");
    let change = pooled(&found).log_estimate;
    assert!(change.low < TRUTH && TRUTH < change.high, "{change:?}");
}

#[test]
fn what_is_told_of_the_wind_is_believed_within_its_error() {
    let told = |along_m_s, ahead| KnownWind {
        along_m_s: Some(along_m_s),
        from_ahead: Some(ahead),
    };
    let [little, much] = [4.0, 8.0].map(|wind| fitted(TIDAL, told(wind, true)).wind);
    assert!(little < much && much < 8.0, "{little} {much}");
    // Told to come from one end, it is not looked for at the other.
    let astern = Day { end: -1.0, ..TIDAL };
    assert!((fitted(TIDAL, told(5.0, true)).from_ahead - 1.0).abs() < 1e-12);
    assert!(fitted(astern, told(5.0, false)).from_ahead.abs() < 1e-12);
}

#[test]
fn runs_that_do_not_support_it_are_refused() {
    let (gauge, rules) = (GaugeRules::default(), BesideRules::default());
    let asked = |runs: &[TimedRun]| beside(runs, KnownWind::default(), 0.95, &gauge, &rules);
    let all = runs(TIDAL);
    assert_eq!(asked(&[]), None);
    assert_eq!(asked(&all[..5]), None, "too few");
    let mut turned = all.clone();
    turned[3].run.axis = Bearing::new(100.0).unwrap();
    assert_eq!(asked(&turned), None, "several lines");
    let at_once: Vec<TimedRun> = (all.iter())
        .map(|run| TimedRun {
            along_at: 0.0,
            against_at: 0.0,
            ..*run
        })
        .collect();
    assert_eq!(asked(&at_once), None, "no time passes");
    let many = Day { each: 16, ..TIDAL };
    assert_eq!(asked(&runs(many)), None, "too many");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Whatever the runs, every number told is finite and the interval holds its value.
    #[test]
    fn any_runs_give_finite_numbers_or_none(
        speeds in prop::collection::vec((0.01_f64..30.0, 0.01_f64..30.0, 0_usize..3, 0_usize..3), 6..14),
        step in 1.0_f64..90_000.0,
        along in prop::option::of(0.0_f64..60.0),
        ahead in prop::option::of(any::<bool>()),
    ) {
        let runs: Vec<TimedRun> = speeds
            .iter()
            .enumerate()
            .map(|(n, (along, against, configuration, setting))| TimedRun {
                run: GaugedRun {
                    configuration: *configuration,
                    setting: *setting,
                    along: *along,
                    against: *against,
                    se: None,
                    axis: Bearing::new(1.0).unwrap(),
                    off_line_deg: 0.0,
                },
                along_at: step * n as f64,
                against_at: step * (n as f64 + 0.4),
            })
            .collect();
        let known = KnownWind { along_m_s: along, from_ahead: ahead };
        let (gauge, rules) = (GaugeRules::default(), BesideRules::default());
        if let Some(found) = beside(&runs, known, 0.95, &gauge, &rules) {
            prop_assert!(found.windage > 0.0 && found.windage.is_finite());
            prop_assert!(found.wind > 0.0 && found.wind.is_finite());
            prop_assert!(found.windage_log_sd.is_finite() && found.growth_log.iter().all(|g| g.is_finite()));
            prop_assert!((0.0..=1.0 + 1e-9).contains(&found.from_ahead));
            prop_assert!(found.odds_of_wind_alone.is_finite());
            for change in &found.changes {
                let e = change.log_estimate;
                prop_assert!(e.low <= e.value && e.value <= e.high && change.doubt >= 0.0);
            }
        }
    }
}
