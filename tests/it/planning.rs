//! Plans: what they can tell against published values, the order of the runs, card and notes.

use jiff::SignedDuration;
use thereback::notes::{self, When};
use thereback::plan::{
    Earlier, EarlierError, Plan, PlanError, Remedy, Request, StepKind, assumptions as assume,
    card_html, card_md, draw_up, notes_toml, text,
};
use thereback::units::Bearing;

fn request() -> Request {
    Request {
        resolve: 0.05,
        speeds_m_s: vec![2.37, 1.23],
        water_m: Some(900.0),
        time_s: Some(3.0 * 3600.0),
        wind_from: Bearing::new(225.0),
        wind_m_s: Some(4.6),
        ..Request::default()
    }
}

#[test]
fn more_runs_and_larger_changes_are_shown_more_often() {
    let plan = draw_up(&request()).unwrap();
    let power = plan.pooled;
    assert!((power.of(power.smallest(0.8)) - 0.8).abs() < 1e-3);
    assert!(power.of(0.0) < 0.05 && power.of(0.5) > 0.999);
    let finer = draw_up(&Request {
        resolve: 0.6 * power.smallest(0.8),
        time_s: None,
        ..request()
    })
    .unwrap();
    assert!(finer.double_runs > plan.double_runs);
    assert!(finer.pooled.half_width < power.half_width);
}

#[test]
fn the_order_gives_each_part_the_same_mean_time_at_each_setting() {
    for parts in [2, 3] {
        let names = ["a", "b", "c"];
        let plan = draw_up(&Request {
            parts: names.iter().take(parts).map(ToString::to_string).collect(),
            time_s: None,
            ..request()
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
    let plan = draw_up(&request()).unwrap();
    assert!(plan.suffices && plan.total_s <= 3.0 * 3600.0);
    assert!(plan.leg.length_m <= 900.0 - 2.0 * assume::TURN_ROOM_M);
    assert_eq!(plan.request.speeds_m_s, [1.23, 2.37], "slowest first");
    let line = plan.line.unwrap();
    assert!((line.wind_off_bow_deg.unwrap().abs() - 45.0).abs() < 1e-9);
    // Where the water dictates the line, out is against the wind.
    let along = draw_up(&Request {
        axis: Bearing::new(70.0),
        ..request()
    })
    .unwrap();
    assert!((along.line.unwrap().out.degrees() - 250.0).abs() < 1e-9);
}

#[test]
fn what_would_do_does() {
    let short = Request {
        resolve: 0.012,
        time_s: Some(2.0 * 3600.0),
        ..request()
    };
    let plan = draw_up(&short).unwrap();
    assert!(!plan.suffices && plan.in_time);
    let mut seen = 0;
    for remedy in &plan.remedies {
        let better = match *remedy {
            Remedy::MoreTime { total_s, .. } => Request {
                time_s: Some(total_s + 1.0),
                ..short.clone()
            },
            Remedy::LargerChange { smallest } => Request {
                resolve: smallest * 1.0001,
                ..short.clone()
            },
            Remedy::LessWind { wind_m_s } => Request {
                wind_m_s: Some(wind_m_s),
                ..short.clone()
            },
            Remedy::QuickerSwap { swap_s } => Request {
                swap_s: Some(swap_s),
                ..short.clone()
            },
            Remedy::OneSetting { .. } | Remedy::SeveralDays => continue,
        };
        seen += 1;
        assert!(draw_up(&better).unwrap().suffices, "{remedy:?}");
    }
    assert!(seen >= 2, "{:?}", plan.remedies);
    // Where not even the least fits, the least is shown and said not to fit.
    let none = draw_up(&Request {
        time_s: Some(1800.0),
        ..request()
    })
    .unwrap();
    assert!(!none.in_time && !none.suffices && none.double_runs == assume::FEWEST_DOUBLE_RUNS);
    assert!(text(&none).contains("does not suffice"));
}

#[test]
#[allow(clippy::too_many_lines, reason = "one case after another")]
fn bad_requests_are_refused_with_a_hint() {
    let cases = [
        Request {
            speeds_m_s: vec![],
            ..request()
        },
        Request {
            speeds_m_s: vec![f64::NAN],
            ..request()
        },
        Request {
            speeds_m_s: vec![1.0; 7],
            ..request()
        },
        Request {
            resolve: 0.0,
            ..request()
        },
        Request {
            resolve: 1.5,
            ..request()
        },
        Request {
            power: 1.0,
            ..request()
        },
        Request {
            water_m: Some(100.0),
            ..request()
        },
        Request {
            time_s: Some(-1.0),
            ..request()
        },
        Request {
            wind_m_s: Some(40.0),
            ..request()
        },
        Request {
            mass_kg: Some(0.0),
            ..request()
        },
        Request {
            draws_w: vec![100.0],
            ..request()
        },
        Request {
            parts: vec!["a".into()],
            ..request()
        },
        Request {
            parts: vec!["a".into(), "a".into()],
            ..request()
        },
        Request {
            parts: vec!["a".into(), " ".into()],
            ..request()
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
    let equal = Request {
        speeds_m_s: vec![1.2, 1.22],
        ..request()
    };
    assert!(matches!(
        draw_up(&equal),
        Err(PlanError::EqualSettings { .. })
    ));
    let flat = Request {
        draws_w: vec![200.0, 500.0],
        battery_wh: Some(100.0),
        ..request()
    };
    assert!(matches!(draw_up(&flat), Err(PlanError::Battery { .. })));
    // Room for a leg of 90 s, but not for three approaches.
    let short = Request {
        speeds_m_s: vec![0.4],
        water_m: Some(130.0),
        ..request()
    };
    assert!(matches!(draw_up(&short), Err(PlanError::Water { .. })));
    let legs = r#""legs": [], "double_runs""#;
    for (runs, key) in [
        ("[]", "`double_runs`"),
        (
            r#"[{"mean_m_s": null, "configuration": "A", "setting": "1"}]"#,
            "`double_runs[].mean_m_s`",
        ),
    ] {
        let error = Earlier::read(&format!("{{{legs}: {runs}}}"), "x").unwrap_err();
        assert!(error.to_string().contains(key), "{error}");
    }
    assert!(matches!(
        Earlier::read("{}", "x"),
        Err(EarlierError::NoResult(_))
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
    let plan = draw_up(&Request {
        resolve: 0.05,
        earlier: Some(earlier.clone()),
        ..Request::default()
    })
    .unwrap();
    assert_eq!(plan.request.speeds_m_s, earlier.speeds_m_s);
    // A boat that loses little in a turn tells no settling distance.
    let settling = earlier.settling_m.unwrap_or(plan.settling_m);
    assert!((plan.settling_m - settling).abs() < 1e-9);
}

#[test]
fn a_plan_comes_back_from_its_file() {
    let plan = draw_up(&Request {
        start: Some(jiff::civil::time(9, 30, 0, 0)),
        ..request()
    })
    .unwrap();
    let again = Plan::read(&plan.json()).unwrap();
    assert_eq!(again.json(), plan.json());
    assert_eq!(draw_up(&plan.request).unwrap(), again);
}

#[test]
fn the_notes_are_read_back() {
    for start in [None, Some(jiff::civil::time(23, 30, 0, 0))] {
        let plan = draw_up(&Request {
            start,
            parts: vec!["old \"three\\blade\"".into(), "new\n= [part]".into()],
            title: Some("tab\there".into()),
            ..request()
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
    let plan = draw_up(&Request {
        title: Some("<b>bold</b> & | *pipe*".into()),
        ..request()
    })
    .unwrap();
    let html = card_html(&plan);
    assert_eq!(html.matches("<tr").count(), plan.steps.len() + 1);
    for banned in ["<script", "http://", "https://", "<b>bold"] {
        assert!(!html.contains(banned), "{banned}");
    }
    let md = card_md(&plan);
    for part in [
        "battery disconnected",
        "made fast or anchored",
        "volts",
        "amps",
        "rev/min",
        "COLREG",
        "One fix a second",
        "clear water to leeward",
    ] {
        assert!(html.contains(part) && md.contains(part), "{part}");
    }
    assert!(html.contains("@page"));
    let rows = || md.lines().filter(|line| line.starts_with('|'));
    assert_eq!(rows().count(), plan.steps.len() + 2);
    assert!(rows().all(|l| l.matches('|').count() == 11), "{md}");
    assert!(md.contains("\\*pipe\\*"));
}

#[test]
fn wind_from_force_five_is_cautioned_against() {
    let windy = |wind_m_s| {
        let windy = Request {
            resolve: 0.2,
            wind_m_s: Some(wind_m_s),
            ..request()
        };
        draw_up(&windy).map(|plan| text(&plan).replace('\n', " "))
    };
    let caution = "small-craft warnings";
    assert!(!windy(7.9).unwrap().contains(caution));
    assert!(windy(8.1).unwrap().contains("force 5"));
    assert!(
        card_md(
            &draw_up(&Request {
                wind_m_s: Some(11.0),
                resolve: 0.3,
                ..request()
            })
            .unwrap()
        )
        .contains(caution)
    );
    assert!(matches!(windy(14.0), Err(PlanError::Wind(_))));
}
