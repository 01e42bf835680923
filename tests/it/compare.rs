//! The comparison: published values in the limit of flat priors, what it must be indifferent to,
//! and what it must see.

use proptest::prelude::*;

use thereback::compare::{
    Adjustment, CompareRules, Conditions, Contrast, Estimate, Normal, NotAdjusted, Posterior,
    RunRow, Trend, fit,
};
use thereback::stats::distribution::t_critical;
use thereback::units::{Bearing, Current};

use crate::published_check::check_within;
use crate::published_data::{NORRIS, x_and_y};

/// Bounds over a grid of scatters, as a share of their distance from the middle.
const BY_GRID: f64 = 0.015;

fn row(configuration: usize, setting: usize, speed: f64, at: f64) -> RunRow {
    RunRow {
        configuration,
        setting,
        line: 0,
        day: 0,
        axis: Bearing::new(0.0).unwrap(),
        speed,
        half_difference: 0.0,
        se: None,
        at,
        apart: 0.0,
        wind: None,
        water_speed: None,
    }
}

/// Priors that say nothing, and no terms but cells and, by its spread, the trend.
fn flat(trend_sd: f64) -> CompareRules {
    let none = Normal { mean: 0.0, sd: 0.0 };
    let rate = Normal {
        mean: 0.0,
        sd: trend_sd,
    };
    let trend = Trend {
        share: 1.0 / 3.0,
        rate,
    };
    CompareRules {
        interaction_sd: 0.0,
        scatter_df: 0.0,
        scatter_power: 0.0,
        bad_run_share: 0.0,
        lever_sds: [0.0, 0.0],
        trends: [trend; 3],
        hidden_wander_sd: 0.0,
        wind_slope: none,
        ..CompareRules::default()
    }
}

fn still() -> Conditions {
    Conditions {
        current: Some(Current::None),
        ..Conditions::default()
    }
}

fn posterior(rows: &[RunRow]) -> Posterior {
    fit(rows, &Conditions::default(), &CompareRules::default()).unwrap()
}

fn estimate(posterior: &Posterior, contrast: Option<Contrast>) -> Estimate {
    posterior.contrast(&contrast.unwrap()).unwrap()
}

fn change(rows: &[RunRow]) -> Estimate {
    let found = posterior(rows);
    estimate(&found, found.change(1, 0, None))
}

/// NIST `StRD`, Linear Regression, Norris, certified: slope 1.00211681802045, its standard error
/// 0.429796848199937E-03, 34 degrees of freedom. The trend of the logarithm of speed is that
/// slope.
#[test]
fn a_trend_is_the_certified_slope() {
    let (x, y) = x_and_y(NORRIS);
    let rows: Vec<RunRow> = (x.iter().zip(&y))
        .map(|(x, y)| row(0, 0, (y / 1000.0).exp(), x * 3600.0))
        .collect();
    let found = fit(&rows, &still(), &flat(0.1)).unwrap();
    let slope = estimate(&found, found.trend(0));
    check_within(Some(1000.0 * slope.value), 1.002_116_818_020_45, 2e-6);
    let half = t_critical(0.95, 34.0).unwrap() * 0.429_796_848_199_937e-3;
    check_within(Some(500.0 * (slope.high - slope.low) / half), 1.0, BY_GRID);
}

/// NIST `StRD`, Trial of Variance, `SiRstv`: five instruments, certified residual standard
/// deviation 1.04076068334656E-01 with 20 degrees of freedom.
const SI_RSTV: [[f64; 5]; 5] = [
    [196.3052, 196.1240, 196.1890, 196.2569, 196.3403],
    [196.3042, 196.3825, 196.1669, 196.3257, 196.0422],
    [196.1303, 196.2005, 196.2889, 196.0343, 196.1811],
    [196.2795, 196.1748, 196.1494, 196.1485, 195.9885],
    [196.2119, 196.1051, 196.1850, 196.0052, 196.2090],
];

fn instruments() -> (Posterior, f64) {
    let run = |(j, values): (usize, &[f64; 5])| {
        let one = move |(i, v): (usize, &f64)| {
            row(
                j,
                0,
                ((v - 196.0) / 10.0).exp(),
                9000.0 * (5 * i + j) as f64,
            )
        };
        values.iter().enumerate().map(one).collect::<Vec<_>>()
    };
    let rows: Vec<RunRow> = SI_RSTV.iter().enumerate().flat_map(run).collect();
    let se = 1.040_760_683_346_56e-2 * (2.0_f64 / 5.0).sqrt();
    (fit(&rows, &still(), &flat(0.0)).unwrap(), se)
}

/// With flat priors a change is Student's t of the analysis of variance.
#[test]
fn a_change_is_students_t() {
    let (found, se) = instruments();
    let mean = |j: usize| SI_RSTV[j].iter().sum::<f64>() / 50.0;
    for changed in 1..5 {
        let one = estimate(&found, found.change(changed, 0, Some(0)));
        assert!(
            (one.value - (mean(changed) - mean(0))).abs() < 2e-5,
            "{one:?}"
        );
        let half = t_critical(0.95, 20.0).unwrap() * se;
        check_within(Some((one.high - one.low) / 2.0 / half), 1.0, BY_GRID);
    }
}

/// Upper 5 % points: of the studentized range, five groups and 20 degrees of freedom, 4.23 (Harter
/// 1960, *Annals of Mathematical Statistics* 31, 1122-1147); of Dunnett's two-sided comparisons of
/// four groups with one, 20 degrees of freedom, 2.65 (1964, *Biometrics* 20, 482-491); both from
/// memory.
#[test]
fn intervals_together_are_the_tables() {
    let (found, se) = instruments();
    let pairs: Vec<Contrast> = (0..5)
        .flat_map(|a| (a + 1..5).map(move |b| (a, b)))
        .map(|(a, b)| found.change(b, a, None).unwrap())
        .collect();
    let with_first: Vec<Contrast> = (1..5).map(|b| found.change(b, 0, None).unwrap()).collect();
    for (family, critical) in [(pairs, 4.23 / 2_f64.sqrt()), (with_first, 2.65)] {
        for one in found.together(&family).unwrap() {
            check_within(
                Some((one.high - one.low) / 2.0 / (critical * se)),
                1.0,
                BY_GRID,
            );
        }
    }
}

/// Three runs of each of two parts at two settings: 4 % faster, with a scatter of some tenths of a
/// percent.
fn day() -> Vec<RunRow> {
    let off = [
        0.3, -0.4, 0.1, 0.2, -0.1, -0.2, 0.4, 0.0, -0.3, 0.1, -0.2, 0.2,
    ];
    (off.iter().enumerate())
        .map(|(i, off)| {
            let (j, k) = (i / 6, i / 3 % 2);
            let speed = [1.2, 1.9][k] * (1.0 + 0.04 * j as f64) * (1.0 + off / 100.0);
            RunRow {
                half_difference: 0.03 + 0.002 * off,
                apart: 300.0,
                ..row(j, k, speed, 700.0 * i as f64 + 900.0 * j as f64)
            }
        })
        .collect()
}

#[test]
fn a_change_is_found() {
    let found = change(&day());
    assert!(
        found.low > 0.02 && found.high < 0.065 && found.p < 0.001 && !found.few,
        "{found:?}"
    );
}

#[test]
fn order_names_and_units_do_not_matter() {
    let rows = day();
    let plain = change(&rows);
    let near = |a: Estimate, b: Estimate, sign: f64| {
        assert!((a.value - sign * b.value).abs() < 1e-8, "{a:?} {b:?}");
        assert!(
            (a.high - a.low - b.high + b.low).abs() < 1e-7,
            "{a:?} {b:?}"
        );
    };
    let mut turned = rows.clone();
    turned.reverse();
    near(change(&turned), plain, 1.0);
    let mut renamed = rows.clone();
    for r in &mut renamed {
        r.configuration = 7 - 7 * r.configuration;
        r.setting += 3;
    }
    let found = posterior(&renamed);
    near(estimate(&found, found.change(7, 0, None)), plain, -1.0);
    near(estimate(&found, found.change(0, 7, None)), plain, 1.0);
    let faster: Vec<RunRow> = (rows.iter())
        .map(|r| RunRow {
            speed: 1.7 * r.speed,
            half_difference: 1.7 * r.half_difference,
            apart: 0.0,
            ..*r
        })
        .collect();
    let level: Vec<RunRow> = rows.iter().map(|r| RunRow { apart: 0.0, ..*r }).collect();
    let in_still = |rows: &[RunRow]| {
        let found = fit(rows, &still(), &CompareRules::default()).unwrap();
        estimate(&found, found.change(1, 0, None))
    };
    near(in_still(&faster), in_still(&level), 1.0);
}

#[test]
fn one_run_a_cell_gives_an_interval() {
    let rows = [row(0, 0, 1.5, 0.0), row(1, 0, 1.56, 900.0)];
    let found = change(&rows);
    assert!(
        found.few && found.low < 0.039 && found.high > 0.039,
        "{found:?}"
    );
    assert!(found.high - found.low > change(&day()).high - change(&day()).low);
    let alone = posterior(&rows[..1]);
    assert_eq!(alone.change(1, 0, None), None);
    assert!(alone.level(0, 0).is_some());
    assert_eq!(alone.adjustment(), Adjustment::None(NotAdjusted::OneRun));
}

#[test]
fn settings_run_with_one_part_only_are_not_compared() {
    let found = posterior(&[
        row(0, 0, 1.2, 0.0),
        row(0, 0, 1.2, 600.0),
        row(1, 1, 2.1, 2000.0),
        row(1, 1, 2.1, 2600.0),
    ]);
    assert_eq!(found.change(1, 0, None), None);
    assert_eq!(found.change(1, 0, Some(1)), None);
}

/// A battery that loses 3 % of speed an hour: old then new leaves it in the interval, old, new,
/// old takes it out.
#[test]
fn a_trend_is_in_the_interval_or_out_of_the_answer() {
    let sagging = |order: &[usize], runs: usize| -> Vec<RunRow> {
        let each = order.iter().flat_map(|j| std::iter::repeat_n(*j, runs));
        each.enumerate()
            .map(|(i, j)| {
                let at = 800.0 * i as f64;
                let off = [0.001, -0.001, 0.0005][i % 3];
                row(j, 0, 1.5 * (off - 0.03 * at / 3600.0).exp(), at)
            })
            .collect()
    };
    let (without, with) = (
        change(&sagging(&[0, 1], 6)),
        change(&sagging(&[0, 1, 0], 4)),
    );
    assert!(without.low < 0.0 && without.high > 0.0, "{without:?}");
    assert!(with.low < 0.0 && with.high > 0.0, "{with:?}");
    assert!(with.high - with.low < 0.8 * (without.high - without.low));
    let found = posterior(&sagging(&[0, 1], 6));
    assert!(found.failing_trend() > 0.5);
    let moved = estimate(&found, found.moved_by_trend(1, 0, None));
    assert!(moved.value < -0.02, "{moved:?}");
}

#[test]
fn one_bad_run_is_seen_and_does_little() {
    let mut rows = day();
    let sound = change(&rows);
    rows[4].speed *= 0.92;
    let found = posterior(&rows);
    let spoilt = change(&rows);
    assert!(found.bad_runs()[4] > 0.9);
    assert!(
        (spoilt.value - sound.value).abs() < 0.01,
        "{sound:?} {spoilt:?}"
    );
    let trusting = CompareRules {
        bad_run_share: 0.0,
        ..CompareRules::default()
    };
    let trusted = fit(&rows, &Conditions::default(), &trusting).unwrap();
    let trusted = estimate(&trusted, trusted.change(1, 0, None));
    assert!(
        spoilt.high - spoilt.low < 0.8 * (trusted.high - trusted.low),
        "{spoilt:?} {trusted:?}"
    );
}

/// A tide that turns during the day, at 2 m/s: what it leaves in the means goes out, and it is not
/// taken for a wind.
#[test]
fn a_tide_is_taken_out() {
    let tide = |t: f64| 0.5 * (t / 8000.0).sin();
    let rows: Vec<RunRow> = (0..12)
        .map(|i| {
            let (along, against) = (800.0 * f64::from(i), 800.0 * f64::from(i) + 400.0);
            let speed = 2.0 + (tide(along) - tide(against)) / 2.0;
            RunRow {
                half_difference: f64::midpoint(tide(along), tide(against)),
                apart: 400.0,
                ..row(usize::from(i > 5), 0, speed, along + 200.0)
            }
        })
        .collect();
    let plain: f64 = (rows[6..].iter().map(|r| r.speed.ln()).sum::<f64>()
        - rows[..6].iter().map(|r| r.speed.ln()).sum::<f64>())
        / 6.0;
    let found = posterior(&rows);
    let seen = found.adjustment();
    assert!(
        matches!(seen, Adjustment::Current { share } if share > 0.8),
        "{seen:?}"
    );
    let estimate = change(&rows);
    assert!(
        plain.abs() > 0.001 && estimate.value.abs() < plain.abs() / 4.0,
        "{plain} {estimate:?}"
    );
    assert!(estimate.low < 0.0 && estimate.high > 0.0);
}

/// A wind that grows between the parts, by the balance: mean and half difference of a boat of 1.5
/// m/s.
fn growing(logged: bool) -> Vec<RunRow> {
    (0..12)
        .map(|i| {
            let wind = 3.0 + 0.2 * f64::from(i);
            let x = wind / 1.5;
            let off = [0.001, -0.001, 0.0005][i as usize % 3];
            RunRow {
                half_difference: -1.5 * 0.006 * (1.0 + x * x),
                wind: logged.then_some([wind, 0.0]),
                ..row(
                    usize::from(i > 5),
                    0,
                    1.5 * (off - 0.006 * (2.0 * x - 1.0)).exp(),
                    700.0 * f64::from(i),
                )
            }
        })
        .collect()
}

#[test]
fn a_growing_wind_is_taken_out() {
    for logged in [false, true] {
        let rows = growing(logged);
        let found = change(&rows);
        assert!(
            found.value.abs() < 0.006 && found.low < 0.0 && found.high > 0.0,
            "{found:?}"
        );
        let seen = posterior(&rows);
        let moved = estimate(&seen, seen.moved_by_wind(1, 0, None));
        assert!(moved.value < 0.0, "{moved:?}");
        let wanted = if logged {
            seen.adjustment() == Adjustment::Logged
        } else {
            matches!(seen.adjustment(), Adjustment::Wind { .. })
        };
        assert!(wanted, "{:?}", seen.adjustment());
    }
}

#[test]
fn speeds_in_other_winds_are_in_order() {
    let rows = growing(false);
    let stated = Conditions {
        current: Some(Current::None),
        wind_speed: Some(4.0),
        wind_from: Bearing::new(0.0),
        wind_se_deg: Some(10.0),
    };
    let found = fit(&rows, &stated, &CompareRules::default()).unwrap();
    assert_eq!(found.adjustment(), Adjustment::StillWater);
    assert_eq!(found.agrees_with_wind(), Some(true));
    assert!(
        found
            .wind_behind()
            .is_some_and(|[low, high]| low < 4.0 && high > 4.0)
    );
    let speed = |contrast| estimate(&found, contrast).value.exp();
    let level = speed(found.level(0, 0));
    let calm = speed(found.calm(0, 0));
    let [against, with] = [4.0, -4.0].map(|wind| speed(found.in_wind(0, 0, wind)));
    assert!(
        against < level && level < calm && calm < with,
        "{against} {level} {calm} {with}"
    );
    assert!((calm / 1.5 - 1.0).abs() < 0.02, "{calm}");
}

#[test]
fn water_that_is_said_to_run_or_to_stand_is_believed() {
    let rows = growing(false);
    let said = |current| {
        let conditions = Conditions {
            current: Some(current),
            ..Conditions::default()
        };
        fit(&rows, &conditions, &CompareRules::default())
            .unwrap()
            .adjustment()
    };
    assert_eq!(said(Current::None), Adjustment::StillWater);
    assert_eq!(said(Current::River), Adjustment::Current { share: 1.0 });
}

/// Days that agree: four tell the change of any day better than two do.
#[test]
fn further_days_narrow_the_change() {
    let first = day();
    let days = |count: usize| -> Vec<RunRow> {
        let on = |d: usize| {
            first.iter().map(move |r| RunRow {
                day: d,
                speed: (1.0 - 0.03 * d as f64) * r.speed,
                at: r.at + 1e6 * d as f64,
                ..*r
            })
        };
        (0..count).flat_map(on).collect()
    };
    let both = days(2);
    let (two, four) = (change(&both), change(&days(4)));
    assert!(
        four.high - four.low < 0.8 * (two.high - two.low),
        "{two:?} {four:?}"
    );
    let found = posterior(&both);
    assert!(estimate(&found, found.change_on(1, 1, 0, Some(0))).value > 0.0);
    assert_eq!(found.change_on(2, 1, 0, None), None);
}

#[test]
fn impossible_rows_are_refused() {
    let sound = row(0, 0, 1.5, 0.0);
    for bad in [
        RunRow {
            speed: f64::INFINITY,
            ..sound
        },
        RunRow {
            speed: 0.0,
            ..sound
        },
        RunRow {
            speed: f64::NAN,
            ..sound
        },
        RunRow {
            half_difference: f64::NAN,
            ..sound
        },
        RunRow {
            se: Some(-1.0),
            ..sound
        },
        RunRow {
            at: f64::NEG_INFINITY,
            ..sound
        },
        RunRow {
            apart: f64::NAN,
            ..sound
        },
        RunRow {
            wind: Some([f64::NAN, 0.0]),
            ..sound
        },
        RunRow {
            water_speed: Some(0.0),
            ..sound
        },
    ] {
        assert!(
            fit(
                &[sound, bad],
                &Conditions::default(),
                &CompareRules::default()
            )
            .is_none()
        );
    }
    assert!(fit(&[], &Conditions::default(), &CompareRules::default()).is_none());
}

/// Runs all alike still have an answer: no change, with an interval about it.
#[test]
fn equal_runs_are_no_change() {
    let rows: Vec<RunRow> = (0..8).map(|i| row(i / 4, 0, 1.5, 0.0)).collect();
    let found = change(&rows);
    assert!(
        found.value.abs() < 1e-9 && found.low < 0.0 && found.high > 0.0,
        "{found:?}"
    );
}

fn any_number() -> impl Strategy<Value = f64> {
    let odd = prop_oneof![any::<f64>(), Just(0.0), Just(1e300), Just(1e-300)];
    prop_oneof![1 => -5.0..5.0, 1 => odd]
}

prop_compose! {
    fn any_row()(
        names in prop::array::uniform4(0_usize..3),
        axis in 0.0..360.0,
        numbers in prop::array::uniform5(any_number()),
        speed in prop_oneof![4 => 0.1..5.0, 1 => any_number()],
        known in any::<[bool; 3]>(),
    ) -> RunRow {
        let [configuration, setting, line, day] = names;
        let [half_difference, at, apart, a, b] = numbers;
        RunRow {
            configuration, setting, line, day,
            axis: Bearing::new(axis).unwrap(),
            speed, half_difference, at, apart,
            se: known[0].then_some(a.abs()),
            wind: known[1].then_some([a, b]),
            water_speed: known[2].then_some(b.abs()),
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn nothing_panics(
        rows in prop::collection::vec(any_row(), 0..10),
        wind_speed in prop::option::of(any_number()),
    ) {
        let wind_from = Bearing::new(40.0);
        let conditions = Conditions { wind_speed, wind_from, ..Conditions::default() };
        let Some(found) = fit(&rows, &conditions, &CompareRules::default()) else { return Ok(()) };
        let _ = (found.adjustment(), found.bad_runs(), found.wind_behind(), found.scatter());
        let mut asked = Vec::new();
        for j in found.configurations() {
            asked.extend(found.change(j, 0, None));
            for k in found.settings() {
                asked.extend(found.level(j, k));
                asked.extend(found.in_wind(j, k, 3.0));
                asked.extend(found.moved_by_wind(j, 0, Some(k)));
            }
        }
        for one in asked.iter().filter_map(|c| found.contrast(c)) {
            prop_assert!(one.low <= one.high && one.se >= 0.0);
        }
        let _ = found.together(&asked);
    }
}

/// A direction is contradicted only where the runs are sure: not across the line, not by runs whose
/// directions hardly differ.
#[test]
fn a_stated_direction_is_contradicted_only_when_that_is_sure() {
    let agrees = |from: f64, half_difference: f64| {
        let rows: Vec<RunRow> = (0..6)
            .map(|i| RunRow {
                half_difference,
                ..row(i / 3, 0, 1.5, 700.0 * i as f64)
            })
            .collect();
        let conditions = Conditions {
            wind_from: Bearing::new(from),
            ..Conditions::default()
        };
        let found = fit(&rows, &conditions, &CompareRules::default()).unwrap();
        found.agrees_with_wind()
    };
    assert_eq!(agrees(180.0, 0.1), Some(true));
    assert_eq!(agrees(0.0, 0.1), Some(false));
    assert_eq!(agrees(89.0, 0.1), None);
    assert_eq!(agrees(0.0, 0.0001), None);
}
