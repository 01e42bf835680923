//! The days of the gallery: the samples, and awkward days from the simulator with fixed seeds.

use std::fmt::Write as _;
use std::path::Path;

use anyhow::{Context, Result};
use jiff::SignedDuration;
use thereback::notes;
use thereback::parser::read_file;
use thereback::plotter::{self, Chart, ChartKind};
use thereback::report;
use thereback::simulate::{Block, Configuration, LegLength, Scenario, lake, simulate};
use thereback::track::Recording;
use thereback::trial::{Settings, analyse};

/// A file of the gallery.
pub(crate) struct Leaf {
    /// Its name.
    pub(crate) name: String,
    /// What it holds.
    pub(crate) text: String,
}

/// One day, or several that are written up together.
struct Day {
    name: &'static str,
    what: &'static str,
    /// The recordings of each day.
    recordings: Vec<Vec<Recording>>,
    notes: &'static str,
}

/// The files of the days wanted: an index, and for each day its page with two of its charts.
pub(crate) fn leaves(wanted: impl Fn(&str) -> bool) -> Result<Vec<Leaf>> {
    let mut leaves = Vec::new();
    let mut index = String::from(INDEX_HEAD);
    for day in days()?.into_iter().filter(|day| wanted(day.name)) {
        let notes = notes::read(day.notes, "notes.toml")?;
        let settings = Settings {
            notes: (!day.notes.is_empty()).then_some(notes),
            ..Settings::default()
        };
        let analysis = analyse(day.recordings.concat(), &settings);
        let charts = plotter::charts(&analysis);
        let Day { name, what, .. } = day;
        let _ = write!(
            index,
            "<section><h2><a href=\"{name}.html\">{what}</a></h2>"
        );
        // A curve through the legs is best seen round.
        let shown = |chart: &&Chart| match chart.kind {
            ChartKind::Comparison => analysis.days.len() == 1,
            ChartKind::Days => true,
            ChartKind::TrackMap => chart.day == Some(1),
            ChartKind::HeadingRound => analysis.days.iter().any(|day| !day.headings.is_empty()),
            _ => false,
        };
        for chart in charts.iter().filter(shown) {
            let file = format!("{name}-{}.svg", chart.file_name);
            let _ = write!(
                index,
                "<a href=\"{name}.html\"><img src=\"{file}\" alt=\"{} of this day\"></a>",
                chart.file_name
            );
            leaves.push(Leaf {
                name: file,
                text: chart.svg(),
            });
        }
        index.push_str("</section>\n");
        leaves.push(Leaf {
            name: format!("{name}.html"),
            text: report::report_html(&analysis, &charts),
        });
    }
    index.push_str("</main>\n");
    leaves.push(Leaf {
        name: "index.html".to_owned(),
        text: index,
    });
    Ok(leaves)
}

const INDEX_HEAD: &str = "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width\"><meta name=\"color-scheme\" content=\"light dark\"><title>Days to leaf through</title>
<style>body{background:#fff;color:#1b1f24;font:1rem/1.5 system-ui,sans-serif;margin:0 auto;max-width:64rem;padding:1.5rem}section{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(22rem,100%),1fr));gap:1rem;border-top:1px solid;padding-bottom:2rem}h2{grid-column:1/-1;font-size:1.2rem;margin:.8rem 0 0}img{width:100%;display:block}@media(min-width:32rem){code{white-space:nowrap}}a{color:#00588a}@media(prefers-color-scheme:dark){body{background:#15181c;color:#e6e4df}a{color:#7cc4f2}}</style>
<main><h1>Days to leaf through</h1><p>The samples, and awkward days from the simulator, each as the program writes it up. Made by <code>cargo run --release --example gallery</code>.</p>
";

fn days() -> Result<Vec<Day>> {
    let mut days = vec![
        sample(
            "lake-trim",
            "A lake, one line, a battery moved",
            "lake_trim.gpx",
        )?,
        sample(
            "firth-scrub",
            "A tidal firth, a hull scrubbed",
            "firth_scrub.gpx",
        )?,
    ];
    let mut day = |name, what, notes, bend: fn(&mut Scenario)| {
        let mut scenario = lake();
        bend(&mut scenario);
        let recording = simulate(&scenario, SEED).recording(&format!("{name}.gpx"));
        days.push(Day {
            name,
            what,
            recordings: vec![vec![recording]],
            notes,
        });
    };
    day("two-legs", "Two legs only, between fishing", "", |s| {
        s.day.blocks = vec![block(0, &[1], 1)];
    });
    day("sixty-legs", "Sixty legs", "", |s| {
        s.day.blocks = vec![block(0, &[0, 1], 8), block(1, &[0, 1], 7)];
    });
    day(
        "one-configuration",
        "One configuration at two settings",
        "",
        |s| {
            s.day.blocks = vec![block(0, &[0, 1], 3)];
        },
    );
    day("four-configurations", "Four configurations", FOUR, |s| {
        s.boat.configurations = [1.0, 0.93, 0.87, 1.05].map(drag).to_vec();
        s.day.blocks = (0..4).map(|k| block(k, &[0, 1], 2)).collect();
    });
    day("no-wind", "No wind and no current", "", |s| {
        // The lake's wind grows over the day, and its waves come with it.
        (s.wind.speed, s.wind.growth_per_h) = (0.0, 0.0);
        (s.water.eddies, s.water.wave_speed) = (0.0, 0.0);
    });
    day("four-headings", "Legs on four headings", "", |s| {
        (s.day.lines_deg, s.day.ride_deg) = (vec![205.0, 295.0], 70.0);
        s.day.fishing_before_s = 900.0;
        s.day.fishing_after_s = 600.0;
    });
    day("antimeridian", "Across the antimeridian", "", |s| {
        (s.latitude_deg, s.longitude_deg) = (-16.82, 179.9995);
    });
    day("southern", "Far south", "", |s| {
        (s.latitude_deg, s.longitude_deg) = (-54.81, -68.28);
    });
    day("ten-minutes", "A track of some ten minutes", "", |s| {
        (s.day.moored_s, s.day.ride_m, s.day.swap_s) = (10.0, 60.0, 45.0);
        (s.day.fishing_before_s, s.day.fishing_after_s) = (0.0, 0.0);
        s.day.leg = LegLength::Seconds(110.0);
        s.day.blocks = vec![block(0, &[1], 1), block(1, &[1], 1)];
    });
    day("twelve-hours", "A track of twelve hours", "", |s| {
        (s.day.fishing_before_s, s.day.fishing_after_s) = (14_400.0, 14_400.0);
        s.day.ride_m = 6000.0;
    });
    days.push(two_days()?);
    Ok(days)
}

/// The same change on two days, in winds from two sides.
fn two_days() -> Result<Day> {
    let mut recordings = Vec::new();
    for number in 0..2_u32 {
        let mut scenario = lake();
        let later = SignedDuration::from_hours(26 * i64::from(number));
        scenario.day.start = scenario.day.start.checked_add(later)?;
        scenario.wind.from_deg -= 50.0 * f64::from(number);
        let day = simulate(&scenario, SEED + u64::from(number));
        recordings.push(vec![day.recording(&format!("day-{}.gpx", number + 1))]);
    }
    Ok(Day {
        name: "two-days",
        what: "The same change on two days",
        recordings,
        notes: "",
    })
}

/// The seed of all simulated days.
const SEED: u64 = 23;

/// Names alone: their times are found in the track.
const FOUR: &str = "title = \"Four bottoms\"
[[configuration]]
name = \"bare\"
[[configuration]]
name = \"one coat\"
[[configuration]]
name = \"two coats, burnished\"
[[configuration]]
name = \"a season's weed\"
";

fn sample(name: &'static str, what: &'static str, file: &str) -> Result<Day> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("samples")
        .join(file);
    let recording = read_file(&path).with_context(|| format!("cannot read `{file}`"))?;
    Ok(Day {
        name,
        what,
        recordings: vec![vec![recording]],
        notes: "",
    })
}

fn block(configuration: usize, settings: &[usize], double_runs: usize) -> Block {
    Block {
        configuration,
        settings: settings.to_vec(),
        double_runs,
    }
}

fn drag(drag_factor: f64) -> Configuration {
    Configuration {
        name: format!("drag {drag_factor}"),
        thrust_factor: 1.0,
        drag_factor,
        mass_factor: 1.0,
    }
}
