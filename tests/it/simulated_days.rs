//! Rates over many simulated days of many waters, boats and recording styles.
//!
//! `THEREBACK_DAYS=400 cargo test --release simulated -- --nocapture` prints them for more days.

use thereback::analysis::{Settings, analyse};
use thereback::rehearse::{simulate, varied_scenario};

use crate::judge::Score;

#[test]
fn simulated_days_are_read_right() {
    let days = std::env::var("THEREBACK_DAYS")
        .ok()
        .and_then(|n| n.parse().ok())
        .unwrap_or(60);
    let mut score = Score::default();
    for number in 0..days {
        let day = simulate(&varied_scenario(number), number);
        let analysis = analyse(&[day.recording("day.gpx")], &settings());
        score.judge(&day, &analysis);
    }
    eprintln!("{}", score.table());
    for remark in &score.remarks {
        eprintln!("{remark}");
    }
}

#[test]
#[ignore = "prints one day"]
fn one_day() {
    let number: u64 = std::env::var("DAY").unwrap().parse().unwrap();
    let scenario = varied_scenario(number);
    let day = simulate(&scenario, number);
    let analysis = analyse(&[day.recording("day.gpx")], &settings());
    eprintln!(
        "{:?}\n{:?}\n{:?}",
        scenario.recorder, scenario.helm, scenario.day
    );
    let zero = day.truth.legs[0].start;
    let s = |t: jiff::Timestamp| t.duration_since(zero).as_secs_f64();
    let mut rows: Vec<(f64, String)> = Vec::new();
    for l in &day.truth.legs {
        rows.push((s(l.start), format!("TRUE  {:7.0} {:7.0} {:7.0} crs {:5.1} v {:.2} len {:5.0} trial {} c{} s{:?} dr {:?} {}", s(l.start), s(l.settled), s(l.end), l.course_deg, l.speed_m_s, l.length_m, l.trial, l.configuration, l.setting, l.double_run, if l.broken_off {"BROKEN"} else {""})));
    }
    for l in &analysis.legs {
        rows.push((s(l.start), format!("found {:7.0} {:7.0} {:7.0} crs {:5.1} v {:.2} len {:5.0} line {:?} dr {:?} {:?} {:?} rms {:.1} {:?}", s(l.start), l.steady_from.map_or(0.0, s), s(l.end), l.course_deg, l.speed_m_s.unwrap_or(0.0), l.length_m, l.line, l.double_run, l.configuration, l.setting, l.cross_track_rms_m, l.reason)));
    }
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    for r in rows {
        eprintln!("{}", r.1);
    }
    eprintln!("settling {:?}", analysis.settling_distance_m);
    for i in &analysis.idle {
        eprintln!(
            "idle {:.0} {:.0} to {:.0} at {:.2} used {}",
            s(i.start),
            s(i.end),
            i.toward_deg,
            i.speed_m_s,
            i.used
        );
    }
    eprintln!(
        "wind {:?} true {:?} current {:?} idle {:?}",
        analysis.wind, day.truth.wind, day.truth.current, day.truth.idle_drift
    );
    if let Ok(p) = std::env::var("SVG_FROM") {
        let from: f64 = p.parse().unwrap();
        let to: f64 = std::env::var("SVG_TO").unwrap().parse().unwrap();
        let plane = analysis.trail.plane.unwrap();
        for run in &analysis.trail.runs {
            for p in run {
                let t = s(p.time);
                if t >= from && t <= to {
                    eprintln!("P {t:.1} {:.1} {:.1}", p.east_m, p.north_m);
                }
            }
        }
        let _ = plane;
    }
}

fn settings() -> Settings {
    let mut s = Settings::default();
    for pair in std::env::var("RULES")
        .unwrap_or_default()
        .split(',')
        .filter(|p| !p.is_empty())
    {
        let (name, value) = pair.split_once('=').unwrap();
        let v: f64 = value.parse().unwrap();
        let st = &mut s.rules.segment.stretch;
        match name {
            "rough" => st.misfit_per_roughness = v,
            "over" => s.rules.segment.reversal.overlap_share = v,
            "other" => s.rules.segment.double_run.drift_scatter = v,
            "cur" => s.rules.wind.current_ratio = v,
            "heading" => st.same_heading_deg = v,
            "scale" => st.misfit_scale_m = v,
            "price" => st.piece_price = v,
            "rms" => st.straight_rms_m = v,
            "sample" => st.sample_s = v,
            "window" => st.end_window_s = v,
            "tl" => st.turn_longest_s = v,
            "turn" => st.turn_deg = v,
            "dep" => st.departure_m = v,
            _ => panic!("{name}"),
        }
    }
    s
}
