//! Plans: what they can tell against published values, the order of the runs, card and notes.

use jiff::SignedDuration;
use thereback::notes::{self, When};
use thereback::plan::{
    Asked, Design, Earlier, Plan, PlanError, Remedy, StepKind, assume, card_html, card_md, draw_up,
    notes_toml, tell, text,
};
use thereback::units::Bearing;

use crate::published_check::{SEVEN_FIGURES, TEN_FIGURES, check};

fn asked() -> Asked {
    Asked {
        resolve: 0.05,
        speeds_m_s: vec![2.37, 1.23],
        water_m: Some(900.0),
        time_s: Some(3.0 * 3600.0),
        wind_from: Bearing::new(225.0),
        wind_m_s: Some(4.6),
        ..Asked::default()
    }
}

/// Two parts at one setting are the two-sample t test: R `power.t.test(n = 20, delta = 1, sd = 1)`, the example of
/// its help page, and R pwr's `pwr.t.test`, as in statsmodels' tests.
#[test]
fn one_setting_is_the_two_sample_test() {
    let scatter = 0.02;
    let design = Design {
        parts: 2,
        settings: 1,
        pooled: 1,
        scatter,
    };
    // A change of one standard deviation, on the log scale.
    let resolve = f64::exp_m1(scatter);
    let power = |n| tell(design, n, resolve, 0.8).map(|t| t.power);
    check(power(20), 0.868_952_8, SEVEN_FIGURES);
    check(power(30), 0.967_708_258_242_517, TEN_FIGURES);
    // The same page: 90 % need 22.02 in each group, so 22 are too few and 23 enough.
    assert!(power(22).unwrap() < 0.9 && power(23).unwrap() >= 0.9);
    assert!(tell(design, 1, resolve, 0.8).is_none());
}

#[test]
fn the_smallest_change_is_told_with_the_chance_wanted() {
    let plan = draw_up(&asked()).unwrap();
    let design = Design {
        parts: 2,
        settings: 2,
        pooled: 2,
        scatter: plan.scatter.share,
    };
    let again = tell(design, plan.double_runs, plan.pooled.smallest, 0.8).unwrap();
    assert!((again.power - 0.8).abs() < 1e-9);
    assert!(plan.pooled.smallest < plan.single.smallest);
}

#[test]
fn the_order_gives_each_part_the_same_mean_time_at_each_setting() {
    for parts in [2, 3] {
        let names = ["a", "b", "c"];
        let plan = draw_up(&Asked {
            parts: names.iter().take(parts).map(ToString::to_string).collect(),
            time_s: None,
            ..asked()
        })
        .unwrap();
        assert!(plan.alternating && plan.double_runs.is_multiple_of(2));
        let mean = |part: usize, setting: usize| {
            let times: Vec<f64> = plan
                .steps
                .iter()
                .filter(|s| matches!(s.kind, StepKind::DoubleRun { part: p, setting: q, .. } if (p, q) == (part, setting)))
                .map(|s| f64::midpoint(s.from_s, s.to_s))
                .collect();
            assert_eq!(times.len(), plan.double_runs);
            times.iter().sum::<f64>() / times.len() as f64
        };
        for setting in 0..2 {
            for part in 1..parts {
                assert!((mean(part, setting) - mean(0, setting)).abs() < 1e-6);
            }
        }
        assert!(
            plan.steps
                .windows(2)
                .all(|w| (w[0].to_s - w[1].from_s).abs() < 1e-9)
        );
    }
}

#[test]
fn a_plan_keeps_to_water_and_time_and_heads_off_the_wind() {
    let plan = draw_up(&asked()).unwrap();
    assert!(plan.suffices && plan.total_s <= 3.0 * 3600.0);
    assert!(plan.leg.length_m <= 900.0 - 2.0 * assume::TURN_ROOM_M);
    assert_eq!(plan.asked.speeds_m_s, [1.23, 2.37], "slowest first");
    let line = plan.line.unwrap();
    assert!((line.wind_off_bow_deg.unwrap().abs() - 45.0).abs() < 1e-9);
    // Where the water dictates the line, out is against the wind.
    let along = draw_up(&Asked {
        axis: Bearing::new(70.0),
        ..asked()
    })
    .unwrap();
    assert!((along.line.unwrap().out.degrees() - 250.0).abs() < 1e-9);
}

#[test]
fn what_would_do_does() {
    let short = Asked {
        resolve: 0.025,
        time_s: Some(2.0 * 3600.0),
        ..asked()
    };
    let plan = draw_up(&short).unwrap();
    assert!(!plan.suffices && plan.in_time);
    let mut seen = 0;
    for remedy in &plan.remedies.list {
        let better = match *remedy {
            Remedy::MoreTime { total_s, .. } => Asked {
                time_s: Some(total_s + 1.0),
                ..short.clone()
            },
            Remedy::LargerChange { smallest } => Asked {
                resolve: smallest * 1.0001,
                ..short.clone()
            },
            Remedy::LessWind { wind_m_s } => Asked {
                wind_m_s: Some(wind_m_s),
                ..short.clone()
            },
            Remedy::QuickerSwap { swap_s } => Asked {
                swap_s: Some(swap_s),
                ..short.clone()
            },
            Remedy::OneSetting { .. } | Remedy::SeveralDays { .. } => continue,
        };
        seen += 1;
        assert!(draw_up(&better).unwrap().suffices, "{remedy:?}");
    }
    assert!(seen >= 3, "{:?}", plan.remedies);
    // Where not even the least fits, the least is shown and said not to fit.
    let none = draw_up(&Asked {
        time_s: Some(1800.0),
        ..asked()
    })
    .unwrap();
    assert!(!none.in_time && !none.suffices && none.double_runs == assume::FEWEST_DOUBLE_RUNS);
    assert!(text(&none).contains("does not suffice"));
}

#[test]
fn bad_requests_are_told_with_a_hint() {
    let cases = [
        Asked {
            speeds_m_s: vec![],
            ..asked()
        },
        Asked {
            speeds_m_s: vec![f64::NAN],
            ..asked()
        },
        Asked {
            speeds_m_s: vec![1.0; 7],
            ..asked()
        },
        Asked {
            resolve: 0.0,
            ..asked()
        },
        Asked {
            resolve: 1.5,
            ..asked()
        },
        Asked {
            power: 1.0,
            ..asked()
        },
        Asked {
            water_m: Some(100.0),
            ..asked()
        },
        Asked {
            time_s: Some(-1.0),
            ..asked()
        },
        Asked {
            wind_m_s: Some(40.0),
            ..asked()
        },
        Asked {
            mass_kg: Some(0.0),
            ..asked()
        },
        Asked {
            draws_w: vec![100.0],
            ..asked()
        },
        Asked {
            parts: vec!["a".into()],
            ..asked()
        },
        Asked {
            parts: vec!["a".into(), "a".into()],
            ..asked()
        },
        Asked {
            parts: vec!["a".into(), " ".into()],
            ..asked()
        },
    ];
    for case in cases {
        let error = draw_up(&case).unwrap_err();
        let told = error.to_string();
        assert!(
            told.contains("\nhint: ") && !told.contains("NaN \n"),
            "{told}"
        );
    }
    assert!(matches!(
        Earlier::read("{}", "x"),
        Err(PlanError::NoResult(_))
    ));
    assert!(matches!(Plan::read("{}"), Err(PlanError::NoPlan(_))));
}

#[test]
fn an_earlier_result_gives_scatter_speeds_and_settling() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/output/lake_trim/result.json");
    let Ok(result) = std::fs::read_to_string(path) else {
        return;
    };
    let earlier = Earlier::read(&result, "result.json").unwrap();
    assert!((0.002..0.05).contains(&earlier.scatter), "{earlier:?}");
    assert_eq!(earlier.speeds_m_s.len(), 2);
    let plan = draw_up(&Asked {
        resolve: 0.05,
        earlier: Some(earlier.clone()),
        ..Asked::default()
    })
    .unwrap();
    assert_eq!(plan.asked.speeds_m_s, earlier.speeds_m_s);
    // A boat that loses little in a turn tells no settling distance.
    let settling = earlier.settling_m.unwrap_or(plan.settling_m);
    assert!((plan.settling_m - settling).abs() < 1e-9);
}

#[test]
fn a_plan_comes_back_from_its_file() {
    let plan = draw_up(&Asked {
        start: Some(jiff::civil::time(9, 30, 0, 0)),
        ..asked()
    })
    .unwrap();
    let again = Plan::read(&plan.json()).unwrap();
    assert_eq!(again.json(), plan.json());
    assert_eq!(draw_up(&plan.asked).unwrap(), again);
}

#[test]
fn the_notes_are_read_back() {
    for start in [None, Some(jiff::civil::time(23, 30, 0, 0))] {
        let plan = draw_up(&Asked {
            start,
            parts: vec!["old \"three\\blade\"".into(), "new\n= [part]".into()],
            title: Some("tab\there".into()),
            ..asked()
        })
        .unwrap();
        let read = notes::read(&notes_toml(&plan), "notes.toml").unwrap();
        assert_eq!(read.title.as_deref().map(str::is_empty), Some(false));
        assert_eq!(read.settings.len(), 2);
        // Every part as often as it is fitted, the later ones at the middle of their swaps.
        let swaps = plan
            .steps
            .iter()
            .filter(|step| matches!(step.kind, StepKind::Swap { .. }));
        let expected: Vec<Option<When>> = [None]
            .into_iter()
            .chain(swaps.map(|swap| {
                let minutes = ((swap.from_s + swap.to_s) / 120.0).round() as i64;
                let from = start?.wrapping_add(SignedDuration::from_mins(minutes));
                Some(When::Clock(from))
            }))
            .collect();
        let from: Vec<Option<When>> = read.configurations.iter().map(|c| c.from.clone()).collect();
        assert_eq!(from, expected);
        assert_eq!(from.len(), 3);
        assert_eq!(read.configurations[1].name, "new\n= [part]");
        // A forecast is not a measured wind.
        assert_eq!(read.wind.from, None);
    }
}

#[test]
fn the_card_is_one_page_with_a_row_for_everything_done() {
    let plan = draw_up(&Asked {
        title: Some("<b>bold</b> & | *pipe*".into()),
        ..asked()
    })
    .unwrap();
    let html = card_html(&plan);
    assert_eq!(html.matches("<tr").count(), plan.steps.len() + 1);
    assert_eq!(
        html.matches("<th scope=\"row\"").count(),
        plan.all_double_runs()
    );
    for banned in ["<script", "http://", "https://", "<b>bold"] {
        assert!(!html.contains(banned), "{banned}");
    }
    for part in [
        "disconnect the battery",
        "COLREG",
        "One fix a second",
        "@page",
    ] {
        assert!(html.contains(part), "{part}");
    }
    let md = card_md(&plan);
    let rows = md.lines().filter(|line| line.starts_with('|')).count();
    assert_eq!(rows, plan.steps.len() + 2);
    assert!(
        md.lines()
            .filter(|l| l.starts_with('|'))
            .all(|l| l.matches('|').count() == 8)
    );
    assert!(md.contains("disconnect the battery") && md.contains("\\*pipe\\*"));
}
