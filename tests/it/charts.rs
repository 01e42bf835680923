//! The charts: sound as documents, complete, the same each time, and never brought down by a day.

use std::collections::BTreeSet;
use std::path::Path;

use quick_xml::Reader;
use quick_xml::escape::escape;
use quick_xml::events::{BytesStart, Event};
use thereback::plotter::{self, Chart, ChartKind, Width};
use thereback::units::SpeedUnit;

use crate::charts_days;

/// What a chart's document holds.
#[derive(Default)]
struct Seen {
    ids: Vec<String>,
    references: Vec<String>,
    legs: BTreeSet<usize>,
    tags: Vec<String>,
    viewbox: Vec<f64>,
    words: Vec<Words>,
}

/// A text and where it stands.
#[derive(Debug, Default)]
struct Words {
    text: String,
    x: f64,
    y: f64,
    size: f64,
    anchor: String,
}

impl Words {
    /// Left, top, right and bottom of the letters, from below: 0.55 em to a letter (digits of the
    /// usual system fonts take 0.55 to 0.64), capitals 0.7 em high.
    fn ink(&self) -> [f64; 4] {
        let width = self.text.chars().count() as f64 * 0.55 * self.size;
        let left = match self.anchor.as_str() {
            "middle" => self.x - width / 2.0,
            "end" => self.x - width,
            _ => self.x,
        };
        [left, self.y - 0.7 * self.size, left + width, self.y]
    }

    fn overlaps(&self, other: &Self) -> bool {
        let ([al, at, ar, ab], [bl, bt, br, bb]) = (self.ink(), other.ink());
        al < br && bl < ar && at < bb && bt < ab
    }
}

/// Reads a chart with an XML parser; any fault is a panic.
fn read(chart: &Chart) -> Seen {
    read_drawing(&chart.file_name, &chart.svg())
}

fn read_drawing(name: &str, svg: &str) -> Seen {
    let mut seen = Seen::default();
    let mut depth = 0;
    let mut in_text = false;
    let mut reader = Reader::from_str(svg);
    loop {
        match reader.read_event().unwrap() {
            Event::Eof => break,
            Event::End(_) => {
                depth -= 1;
                in_text = false;
            }
            Event::Text(text) if in_text => seen.words.last_mut().unwrap().text += &text,
            Event::GeneralRef(name) => {
                assert!(["lt", "gt", "amp", "quot", "apos"].contains(&&*name));
                if in_text {
                    seen.words.last_mut().unwrap().text.push('&');
                }
            }
            Event::Start(tag) => {
                depth += 1;
                in_text = tag.name().as_ref() == "text";
                element(&mut seen, &tag);
            }
            Event::Empty(tag) => element(&mut seen, &tag),
            _ => {}
        }
    }
    assert_eq!(depth, 0, "{name}: unclosed elements");
    seen
}

fn element(seen: &mut Seen, tag: &BytesStart) {
    seen.tags.push(tag.name().as_ref().to_owned());
    let mut words = Words::default();
    for attribute in tag.attributes() {
        let attribute = attribute.unwrap();
        let value = attribute.value.to_string();
        match attribute.key.as_ref() {
            "id" => seen.ids.push(value),
            "viewBox" => seen.viewbox = value.split(' ').map(|n| n.parse().unwrap()).collect(),
            "data-leg" => {
                seen.legs.insert(value.parse().unwrap());
            }
            "aria-labelledby" => seen.references.extend(value.split(' ').map(str::to_owned)),
            "x" => words.x = value.parse().unwrap(),
            "y" => words.y = value.parse().unwrap(),
            "font-size" => words.size = value.parse().unwrap(),
            "text-anchor" => words.anchor = value,
            _ => {}
        }
    }
    if tag.name().as_ref() == "text" {
        seen.words.push(words);
    }
}

#[test]
fn every_chart_of_every_day_is_a_sound_document() {
    for (day, analysis) in charts_days::all() {
        let charts = plotter::charts(&analysis);
        let mut ids = BTreeSet::new();
        for chart in &charts {
            let at = format!("{day}: {}", chart.file_name);
            let seen = read(chart);
            let (svg, narrow) = (chart.svg(), chart.inline(Width::Narrow));
            assert!(
                svg.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\""),
                "{at}"
            );
            for broken in ["NaN", "inf", "\u{0}", "\u{202e}", "<script"] {
                assert!(!svg.contains(broken), "{at}: {broken:?} in the drawing");
                assert!(
                    !chart.alt.contains(broken) || broken == "<script",
                    "{at}: {broken:?} in the text"
                );
            }
            let [left, top, width, height] = seen.viewbox[..] else {
                panic!("{at}: no view box");
            };
            assert!(
                left.abs() + top.abs() + (width - 600.0).abs() < 1e-9,
                "{at}"
            );
            assert!((100.0..3000.0).contains(&height), "{at}: {height} high");
            assert!(
                seen.ids.contains(&format!("{}-title", chart.file_name)),
                "{at}"
            );
            assert!(
                seen.ids.contains(&format!("{}-desc", chart.file_name)),
                "{at}"
            );
            for reference in &seen.references {
                assert!(
                    seen.ids.contains(reference),
                    "{at}: `{reference}` leads nowhere"
                );
            }
            let slim = read_drawing(&chart.file_name, &chart.inline(Width::Narrow));
            assert!((slim.viewbox[2] - 340.0).abs() < 1e-9, "{at}");
            assert!((80.0..6000.0).contains(&slim.viewbox[3]), "{at}");
            assert!(slim.legs.is_subset(&seen.legs), "{at}: other legs");
            for reference in &slim.references {
                assert!(
                    seen.ids.contains(reference) || slim.ids.contains(reference),
                    "{at}: `{reference}` leads nowhere from the narrow one"
                );
            }
            for broken in ["NaN", "inf", "\u{0}", "\u{202e}", "<script"] {
                assert!(!narrow.contains(broken), "{at}: {broken:?}");
            }
            for id in seen.ids.into_iter().chain(slim.ids) {
                assert!(ids.insert(id.clone()), "{at}: id `{id}` twice in one page");
            }
            assert!(
                chart
                    .file_name
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
fn words_never_overlap_nor_leave_the_sheet() {
    for (day, analysis) in charts_days::all() {
        for chart in plotter::charts(&analysis) {
            for layout in [Width::Wide, Width::Narrow] {
                let seen = read_drawing(&chart.file_name, &chart.inline(layout));
                let at = format!("{day}: {}, {layout:?}", chart.file_name);
                for (k, words) in seen.words.iter().enumerate() {
                    let [left, top, right, bottom] = words.ink();
                    let inside = left >= 0.0
                        && top >= 0.0
                        && right <= seen.viewbox[2]
                        && bottom <= seen.viewbox[3];
                    assert!(inside, "{at}: {words:?} leaves the sheet");
                    for other in &seen.words[..k] {
                        assert!(!words.overlaps(other), "{at}: {words:?} over {other:?}");
                    }
                }
            }
        }
    }
}

#[test]
fn the_usual_day_has_all_charts_in_the_order_of_the_report() {
    let charts = plotter::charts(&charts_days::usual());
    let kinds: Vec<ChartKind> = charts.iter().map(|c| c.kind).collect();
    assert_eq!(
        kinds,
        [
            ChartKind::Comparison,
            ChartKind::TrackMap,
            ChartKind::SpeedAgainstHeading,
            ChartKind::SpeedOverTime,
        ]
    );
}

#[test]
fn where_there_is_nothing_there_is_no_chart() {
    assert!(plotter::charts(&charts_days::nothing()).is_empty());
}

#[test]
fn every_leg_can_be_pointed_at() {
    let analysis = charts_days::usual();
    let all: BTreeSet<usize> = analysis.legs.iter().map(|leg| leg.leg).collect();
    let charts = plotter::charts(&analysis);
    for chart in &charts {
        let narrow = read_drawing(&chart.file_name, &chart.inline(Width::Narrow)).legs;
        assert_eq!(narrow, read(chart).legs, "{}", chart.file_name);
    }
    for kind in [
        ChartKind::TrackMap,
        ChartKind::SpeedOverTime,
        ChartKind::SpeedAgainstHeading,
    ] {
        let chart = charts.iter().find(|c| c.kind == kind).unwrap();
        assert_eq!(read(chart).legs, all, "{kind:?}");
    }
}

#[test]
fn the_same_day_gives_the_same_bytes() {
    assert_eq!(
        plotter::charts(&charts_days::usual()),
        plotter::charts(&charts_days::usual())
    );
}

#[test]
fn untrusted_names_stay_words() {
    let mut analysis = charts_days::usual();
    charts_days::rename(&mut analysis, charts_days::HOSTILE);
    let charts = plotter::charts(&analysis);
    let comparison = &charts[0];
    assert!(comparison.svg().contains("&lt;script&gt;"));
    for chart in &charts {
        assert!(!read(chart).tags.iter().any(|tag| tag == "script"));
    }
}

#[test]
fn speeds_are_written_in_the_unit_chosen() {
    for unit in SpeedUnit::ALL {
        let mut analysis = charts_days::usual();
        analysis.units = unit;
        for chart in plotter::charts(&analysis) {
            if chart.kind != ChartKind::TrackMap {
                assert!(
                    chart.svg().contains(&format!("({unit})")),
                    "{} in {unit}",
                    chart.file_name
                );
            }
        }
    }
}

#[test]
fn a_long_track_is_thinned() {
    let analysis = charts_days::far_ride();
    let fixes: usize = analysis.days[0].trail.runs.iter().map(Vec::len).sum();
    let charts = plotter::charts(&analysis);
    let track = charts.iter().find(|c| c.file_name == "track").unwrap();
    assert!(fixes > 10_000);
    assert!(track.svg().len() < 60_000, "{} bytes", track.svg().len());
}

/// Writes all days as pages to leaf through, for eyes: `target/tmp/charts/index.html`.
#[test]
fn gallery() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("charts");
    std::fs::create_dir_all(&folder).unwrap();
    let mut index = Vec::new();
    for (day, analysis) in charts_days::all() {
        let charts = plotter::charts(&analysis);
        for chart in &charts {
            std::fs::write(
                folder.join(format!("{day}-{}.svg", chart.file_name)),
                chart.svg(),
            )
            .unwrap();
        }
        std::fs::write(folder.join(format!("{day}.html")), page(day, &charts)).unwrap();
        index.push(format!("<p><a href={day}.html>{day}</a>"));
    }
    std::fs::write(folder.join("index.html"), index.concat()).unwrap();
}

fn page(day: &str, charts: &[Chart]) -> String {
    let figures = charts.iter().map(|chart| {
        format!(
            "<h2>{}</h2><figure>{}<figcaption>{}</figcaption></figure>",
            escape(chart.title.as_str()),
            chart.svg(),
            escape(chart.caption.as_str())
        )
    });
    let (light, dark) = (plotter::LIGHT_PAPER, plotter::DARK_PAPER);
    format!(
        "<!doctype html><meta charset=utf-8><meta name=color-scheme content=\"light dark\"><title>{day}</title><style>body{{font-family:system-ui;max-width:720px;margin:1em auto;background:{light};color:#1a1a1a}}figure{{margin:0}}@media screen and (prefers-color-scheme:dark){{body{{background:{dark};color:#ececec}}}}</style><h1>{day}</h1>{}",
        figures.collect::<String>()
    )
}
