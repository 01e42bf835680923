//! Legs on several headings, full circles, and three configurations at once.

use jiff::Timestamp;
use thereback::day::WindSource;
use thereback::geometry::{Plane, PlanePoint};
use thereback::plotter;
use thereback::report;
use thereback::simulate::{Block, Scenario, lake, simulate};
use thereback::track::{Fix, Position, RecordedTrack, Recording};
use thereback::trial::{Settings, Warning, analyse};
use thereback::units::Bearing;

/// Two lines across one another, in light air and a steady current.
fn crossing(drift: f64, set_deg: f64) -> Scenario {
    let mut day = lake();
    day.wind.speed = 0.8;
    day.wind.growth_per_h = 0.0;
    day.water.drift = drift;
    day.water.set_deg = set_deg;
    day.day.lines_deg = vec![30.0, 120.0];
    day.day.blocks = (0..2)
        .map(|configuration| Block {
            configuration,
            settings: vec![0, 1],
            double_runs: 2,
        })
        .collect();
    day
}

#[test]
fn legs_on_four_headings_tell_a_current() {
    let day = simulate(&crossing(0.3, 100.0), 12);
    let analysis = analyse(&[day.recording("day.gpx")], &Settings::default());
    assert!(!analysis.days[0].headings.is_empty());
    let truth = Bearing::new(day.truth.current.towards_deg).unwrap();
    for fit in &analysis.days[0].headings {
        let toward = Bearing::new(fit.toward_deg).unwrap();
        assert!(fit.shown, "{fit:?}");
        assert!(toward.apart(truth) < 12.0, "{truth} {fit:?}");
        assert!((fit.drift_m_s - 0.3).abs() < 0.06, "{fit:?}");
        assert_eq!(fit.df, fit.legs.len() - 3);
    }
    let charts = plotter::charts(&analysis);
    let page = report::report_html(&analysis, &charts);
    assert!(page.contains("the boat was carried toward"));
    if let Ok(folder) = std::env::var("THEREBACK_SHOW") {
        std::fs::write(format!("{folder}/headings.html"), page).unwrap();
    }
}

#[test]
fn legs_on_one_line_tell_no_harmonic() {
    let day = simulate(&lake(), 41);
    let analysis = analyse(&[day.recording("day.gpx")], &Settings::default());
    assert!(analysis.days[0].headings.is_empty() && analysis.days[0].circles.is_empty());
    assert_ne!(analysis.wind.source, WindSource::Legs);
}

/// A boat that runs straight, turns through `turns` circles and runs straight again, carried toward the
/// east at `drift` m/s: the worked case of IMO MSC/Circ.1053, 3.4.2.5, with numbers of our own.
fn circling(turns: f64, drift: f64) -> Recording {
    const SPEED: f64 = 1.5;
    const RADIUS: f64 = 45.0;
    let plane = Plane::at(Position::new(58.0, 16.0).unwrap());
    let (straight, rate) = (120.0, SPEED / RADIUS);
    let circling = turns * std::f64::consts::TAU / rate;
    let (mut east, mut north) = (0.0, 0.0);
    let mut fixes = Vec::new();
    let mut second = 0.0;
    while second < 2.0 * straight + circling {
        let turned = (second - straight).clamp(0.0, circling) * rate;
        east += SPEED * turned.sin() + drift;
        north += SPEED * turned.cos();
        let position = plane.position(PlanePoint { east, north }).unwrap();
        let time = Timestamp::from_second(1_900_000_000 + second as i64).unwrap();
        fixes.push(Fix::bare(time, position));
        second += 1.0;
    }
    Recording {
        file: "circle.gpx".to_owned(),
        points_met: fixes.len(),
        tracks: vec![RecordedTrack {
            name: None,
            segments: vec![fixes],
        }],
        ..Recording::default()
    }
}

#[test]
fn a_circle_of_two_turns_tells_the_drift() {
    let analysis = analyse(&[circling(2.3, 0.3)], &Settings::default());
    assert_eq!(
        analysis.days[0].circles.len(),
        1,
        "{:?}",
        analysis.days[0].circles
    );
    let circle = &analysis.days[0].circles[0];
    assert!((circle.drift_m_s - 0.3).abs() < 0.005, "{circle:?}");
    let toward = Bearing::new(circle.toward_deg.unwrap()).unwrap();
    let east = Bearing::new(90.0).unwrap();
    assert!(toward.apart(east) < 1.5, "{circle:?}");
    assert!(circle.turns > 1.9);
}

#[test]
fn one_turn_is_no_circle() {
    let analysis = analyse(&[circling(1.2, 0.3)], &Settings::default());
    assert!(analysis.days[0].circles.is_empty());
}

#[test]
fn three_configurations_have_all_their_pairs() {
    let mut day = lake();
    let mut third = day.boat.configurations[1].clone();
    third.drag_factor = 0.8;
    day.boat.configurations.push(third);
    day.day.blocks = (0..3)
        .map(|configuration| Block {
            configuration,
            settings: vec![0, 1],
            double_runs: 3,
        })
        .collect();
    let day = simulate(&day, 21);
    let analysis = analyse(&[day.recording("day.gpx")], &Settings::default());
    let unclear = analysis
        .warnings
        .iter()
        .any(|w| matches!(w, Warning::UnclearGroups { .. }));
    assert!(!unclear, "{:?}", analysis.warnings);
    assert_eq!(analysis.comparisons.len(), 6);
    assert_eq!(analysis.pairs.len(), 9);
    for comparison in &analysis.comparisons {
        let together = comparison.simultaneous.as_ref().unwrap();
        let own = comparison.percent;
        assert!(together.low <= own.low.unwrap() && together.high >= own.high.unwrap());
        let beyond = comparison.no_change_beyond_percent.unwrap();
        assert!(beyond >= own.value.unwrap().abs());
    }
    // All pairs are more than all against the first, so their intervals are wider yet.
    for pair in &analysis.pairs {
        let same = analysis.comparisons.iter().find(|c| {
            c.baseline == pair.baseline && c.changed == pair.changed && c.setting == pair.setting
        });
        if let Some(same) = same {
            let together = same.simultaneous.as_ref().unwrap();
            assert!(pair.simultaneous.low <= together.low);
            assert_eq!(Some(pair.log_ratio), same.log_ratio);
        }
    }
    let differs = |from: &str, to: &str| {
        let mut pairs = analysis.pairs.iter().filter(|p| p.setting.is_none());
        let pair = pairs.find(|p| p.baseline == from && p.changed == to);
        pair.unwrap().log_ratio.value
    };
    // To first order the pairs close: with the wind taken out each is in the same mean wind.
    let gap = differs("A", "B") + differs("B", "C") - differs("A", "C");
    assert!(gap.abs() < 0.003, "{gap}");
}
