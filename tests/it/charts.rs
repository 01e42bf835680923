//! The charts: sound as documents, complete, the same each time, and never brought down by a day.

use std::collections::BTreeSet;
use std::path::Path;

use quick_xml::Reader;
use quick_xml::events::Event;
use thereback::analysis::{Analysis, Verdict};
use thereback::plotter::{self, Chart};
use thereback::units::SpeedUnit;

use crate::charts_day::{self, Log};

/// Every day the charts are tried on, by name.
fn days() -> Vec<(&'static str, Analysis)> {
    let mut days = vec![
        ("usual", charts_day::usual()),
        ("far-ride", charts_day::far_ride()),
        (
            "one-configuration",
            charts_day::trial(&["A"], &["1", "2"], 2),
        ),
        ("two-legs", charts_day::trial(&["A"], &["1"], 1)),
        ("one-run-each", charts_day::trial(&["A", "B"], &["1"], 1)),
        (
            "four-configurations",
            charts_day::trial(&["A", "B", "C", "D"], &["low", "mid", "high"], 2),
        ),
        (
            "sixty-legs",
            charts_day::trial(&["A", "B"], &["1", "2", "3"], 5),
        ),
        (
            "seven-of-each",
            charts_day::trial(
                &["A", "B", "C", "D", "E", "F", "G"],
                &["1", "2", "3", "4", "5", "6", "7"],
                1,
            ),
        ),
        ("nothing", charts_day::nothing()),
    ];
    days.extend(awkward());
    days
}

/// The usual day, bent.
fn awkward() -> Vec<(&'static str, Analysis)> {
    let bent = |bend: fn(&mut Analysis)| {
        let mut analysis = charts_day::usual();
        bend(&mut analysis);
        analysis
    };
    vec![
        ("names", bent(|a| rename(a, HOSTILE))),
        (
            "no-wind",
            bent(|a| {
                a.wind.from_deg = None;
                a.wind.from_se_deg = None;
                a.wind.speed_m_s = None;
            }),
        ),
        ("north-wind", bent(|a| a.wind.from_deg = Some(2.0))),
        (
            "no-trail",
            bent(|a| a.trail = thereback::analysis::Trail::default()),
        ),
        (
            "no-speeds",
            bent(|a| {
                a.trail.speeds.clear();
                for leg in &mut a.legs {
                    leg.speed_m_s = None;
                    leg.speed_se_m_s = None;
                    leg.steady_from = None;
                    leg.steady_position = None;
                }
            }),
        ),
        (
            "no-legs",
            bent(|a| {
                a.legs.clear();
                a.lines.clear();
                a.double_runs.clear();
                a.cells.clear();
                a.comparisons.clear();
                a.configurations.clear();
                a.settings.clear();
            }),
        ),
        (
            "one-leg",
            bent(|a| {
                a.legs.truncate(1);
                a.double_runs.clear();
                a.cells.clear();
                a.comparisons.clear();
            }),
        ),
        (
            "wide-intervals",
            bent(|a| {
                for comparison in &mut a.comparisons {
                    comparison.percent.low = Some(-60.0);
                    comparison.percent.high = Some(210.0);
                    comparison.verdict = Verdict::NotShown;
                }
            }),
        ),
        (
            "broken-numbers",
            bent(|a| {
                for leg in &mut a.legs {
                    leg.speed_m_s = Some(f64::NAN);
                    leg.course_deg = f64::INFINITY;
                }
                for cell in &mut a.cells {
                    cell.mean_m_s = 0.0;
                }
                a.wind.from_deg = Some(f64::NAN);
                a.wind.from_se_deg = Some(f64::NAN);
                for run in &mut a.trail.runs {
                    for point in run.iter_mut().step_by(7) {
                        point.east_m = f64::NAN;
                    }
                }
                for point in &mut a.trail.speeds {
                    point.speed_m_s = f64::NEG_INFINITY;
                }
            }),
        ),
        (
            "stood-still",
            bent(|a| {
                for run in &mut a.trail.runs {
                    for point in run.iter_mut() {
                        (point.east_m, point.north_m) = (5.0, 5.0);
                    }
                }
                for leg in &mut a.legs {
                    leg.end_position = leg.start_position;
                    leg.speed_m_s = Some(0.0);
                }
                for speed in &mut a.trail.speeds {
                    speed.speed_m_s = 0.0;
                }
            }),
        ),
        (
            "unknown-zone",
            bent(|a| a.timezone.name = "Nowhere/<None>".to_owned()),
        ),
        ("miles", bent(|a| a.units = SpeedUnit::MilesPerHour)),
        ("across-the-antimeridian", {
            let mut log = Log::begin("2025-11-30T22:00:00Z", -17.0, 179.998);
            for (name, gain) in [("A", 1.0), ("B", 0.93)] {
                for _ in 0..2 {
                    log.double_run(90.0, [2.0 * gain, 1.9 * gain], [30, 200], [name, "1"]);
                }
            }
            log.end()
        }),
    ]
}

const HOSTILE: &str =
    "<script>alert('x')</script> & \"blades\" \u{0} \u{202e} of a very long name indeed";

fn rename(analysis: &mut Analysis, name: &str) {
    let old = analysis.configurations[1].name.clone();
    let new = |text: &mut String| {
        if *text == old {
            name.clone_into(text);
        }
    };
    for configuration in &mut analysis.configurations {
        new(&mut configuration.name);
    }
    for cell in &mut analysis.cells {
        new(&mut cell.configuration);
    }
    for run in &mut analysis.double_runs {
        new(&mut run.configuration);
    }
    for leg in &mut analysis.legs {
        leg.configuration.iter_mut().for_each(new);
    }
    for comparison in &mut analysis.comparisons {
        new(&mut comparison.changed);
    }
}

/// What a chart's document holds.
#[derive(Default)]
struct Seen {
    ids: Vec<String>,
    references: Vec<String>,
    legs: BTreeSet<usize>,
    tags: Vec<String>,
    viewbox: Option<String>,
    words: String,
}

/// Reads a chart with an XML parser; any fault is a panic.
fn read(chart: &Chart) -> Seen {
    let mut seen = Seen::default();
    let mut depth = 0;
    let mut reader = Reader::from_str(&chart.svg);
    reader.config_mut().check_end_names = true;
    loop {
        match reader.read_event().unwrap() {
            Event::Eof => break,
            Event::End(_) => depth -= 1,
            Event::Text(text) => seen.words.push_str(&text),
            Event::GeneralRef(name) => {
                assert!(
                    ["lt", "gt", "amp", "quot", "apos"].contains(&&*name),
                    "{}",
                    &*name
                );
            }
            event @ (Event::Start(_) | Event::Empty(_)) => {
                depth += i32::from(matches!(event, Event::Start(_)));
                let (Event::Start(tag) | Event::Empty(tag)) = event else {
                    continue;
                };
                seen.tags.push(tag.name().as_ref().to_owned());
                for attribute in tag.attributes() {
                    let attribute = attribute.unwrap();
                    let value = attribute.value.to_string();
                    match attribute.key.as_ref() {
                        "id" => seen.ids.push(value),
                        "viewBox" => seen.viewbox = Some(value),
                        "data-leg" => {
                            seen.legs.insert(value.parse().unwrap());
                        }
                        "aria-labelledby" => {
                            seen.references.extend(value.split(' ').map(str::to_owned))
                        }
                        "fill" if value.starts_with("url(#") => {
                            let id = value.trim_start_matches("url(#").trim_end_matches(')');
                            seen.references.push(id.to_owned());
                        }
                        _ => {}
                    }
                }
            }
            _ => {}
        }
    }
    assert_eq!(depth, 0, "{}: unclosed elements", chart.name);
    seen
}

#[test]
fn every_chart_of_every_day_is_a_sound_document() {
    for (day, analysis) in days() {
        let charts = plotter::charts(&analysis).unwrap();
        let mut ids = BTreeSet::new();
        for chart in &charts {
            let at = format!("{day}: {}", chart.name);
            let seen = read(chart);
            assert!(
                chart
                    .svg
                    .starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\""),
                "{at}"
            );
            for broken in ["NaN", "inf", "\u{0}", "\u{202e}", "<script"] {
                assert!(
                    !chart.svg.contains(broken),
                    "{at}: {broken:?} in the drawing"
                );
                assert!(
                    !chart.alt.contains(broken) || broken == "<script",
                    "{at}: {broken:?} in the text"
                );
            }
            let viewbox = seen.viewbox.unwrap();
            let box_: Vec<f64> = viewbox.split(' ').map(|n| n.parse().unwrap()).collect();
            assert!(
                box_[2] > 0.0 && box_[3] > 0.0 && box_[3] < 3000.0,
                "{at}: {viewbox}"
            );
            assert!(seen.ids.contains(&format!("{}-title", chart.name)), "{at}");
            assert!(seen.ids.contains(&format!("{}-desc", chart.name)), "{at}");
            for reference in &seen.references {
                assert!(
                    seen.ids.contains(reference),
                    "{at}: `{reference}` leads nowhere"
                );
            }
            for id in seen.ids {
                assert!(ids.insert(id.clone()), "{at}: id `{id}` twice in one page");
            }
            assert!(
                chart
                    .name
                    .chars()
                    .all(|c| c.is_ascii_alphanumeric() || c == '-'),
                "{at}"
            );
            for words in [&chart.title, &chart.caption, &chart.alt] {
                assert!(!words.trim().is_empty(), "{at}: words missing");
            }
        }
    }
}

#[test]
fn the_usual_day_has_all_charts_in_the_order_of_the_report() {
    let charts = plotter::charts(&charts_day::usual()).unwrap();
    let names: Vec<&str> = charts.iter().map(|c| c.name.as_str()).collect();
    assert_eq!(
        names,
        ["comparison", "track", "heading-1", "heading-2", "time"]
    );
}

#[test]
fn where_there_is_nothing_there_is_no_chart() {
    assert!(plotter::charts(&charts_day::nothing()).unwrap().is_empty());
}

#[test]
fn every_leg_can_be_pointed_at() {
    let analysis = charts_day::usual();
    let all: BTreeSet<usize> = analysis.legs.iter().map(|leg| leg.leg).collect();
    let charts = plotter::charts(&analysis).unwrap();
    let legs = |name: &str| read(charts.iter().find(|c| c.name == name).unwrap()).legs;
    assert_eq!(legs("track"), all);
    assert_eq!(legs("time"), all);
    let headings = legs("heading-1")
        .union(&legs("heading-2"))
        .copied()
        .collect();
    assert_eq!(all, headings);
}

#[test]
fn the_same_day_gives_the_same_bytes() {
    assert_eq!(
        plotter::charts(&charts_day::usual()).unwrap(),
        plotter::charts(&charts_day::usual()).unwrap()
    );
}

#[test]
fn untrusted_names_stay_words() {
    let mut analysis = charts_day::usual();
    rename(&mut analysis, HOSTILE);
    let charts = plotter::charts(&analysis).unwrap();
    let comparison = &charts[0];
    assert!(comparison.svg.contains("&lt;script&gt;"));
    for chart in &charts {
        assert!(!read(chart).tags.iter().any(|tag| tag == "script"));
    }
}

#[test]
fn speeds_are_written_in_the_unit_chosen() {
    for unit in SpeedUnit::ALL {
        let mut analysis = charts_day::usual();
        analysis.units = unit;
        for chart in plotter::charts(&analysis).unwrap() {
            if chart.name != "track" {
                assert!(
                    chart.svg.contains(&format!("({unit})")),
                    "{} in {unit}",
                    chart.name
                );
            }
        }
    }
}

#[test]
fn a_long_track_is_thinned() {
    let analysis = charts_day::far_ride();
    let fixes: usize = analysis.trail.runs.iter().map(Vec::len).sum();
    let charts = plotter::charts(&analysis).unwrap();
    let track = charts.iter().find(|c| c.name == "track").unwrap();
    assert!(fixes > 10_000);
    assert!(track.svg.len() < 60_000, "{} bytes", track.svg.len());
}

/// Writes all days as pages to leaf through, for eyes: `target/tmp/charts/index.html`.
#[test]
fn gallery() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("charts");
    std::fs::create_dir_all(&folder).unwrap();
    let mut index = String::new();
    for (day, analysis) in days() {
        let mut page = format!(
            "<!doctype html><meta charset=utf-8><meta name=color-scheme content=\"light dark\"><title>{day}</title><style>body{{font-family:system-ui;max-width:720px;margin:1em auto;background:{};color:#1a1a1a}}@media screen and (prefers-color-scheme:dark){{body{{background:{};color:#ececec}}}}</style><h1>{day}</h1>",
            plotter::LIGHT_PAPER,
            plotter::DARK_PAPER
        );
        for chart in plotter::charts(&analysis).unwrap() {
            std::fs::write(folder.join(format!("{day}-{}.svg", chart.name)), &chart.svg).unwrap();
            page.push_str(&format!(
                "<h2>{}</h2><figure style=margin:0>{}<figcaption>{}</figcaption></figure>",
                quick_xml::escape::escape(chart.title.as_str()),
                chart.svg,
                quick_xml::escape::escape(chart.caption.as_str())
            ));
        }
        std::fs::write(folder.join(format!("{day}.html")), page).unwrap();
        index.push_str(&format!("<p><a href={day}.html>{day}</a>"));
    }
    std::fs::write(folder.join("index.html"), index).unwrap();
}
