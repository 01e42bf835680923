//! A rehearsal in plain words: one document for the page and for the terminal, and its chart.

use super::assumptions as assume;
use super::card::{how, listed};
use super::draw_up::Plan;
use super::rehearsal::{Rehearsal, Size};
use super::words;
use crate::plotter::relation::{self, Point, Relation, Series};
use crate::plotter::{Chart, ChartKind};
use crate::report::document::{Cell, Column, Document, Dress, Figure, Part, Row, Table, Tone};
use crate::rounding::NO_BREAK_SPACE;
use crate::simulate::Sampling;

/// More days without an answer than this share are worth a word: one in twenty, as many as false
/// claims are allowed.
const MANY_LOST: f64 = 0.05;
/// Scatter this much above that planned is worth a word (our own choice).
const MUCH_SCATTER: f64 = 1.25;
/// Points of the plan's line.
const LINE_POINTS: usize = 80;
/// Room beyond the largest change, a share of the axis.
const BEYOND: f64 = 0.06;
/// The least change the axis reaches to: one percent.
const LEAST_CHANGE: f64 = 0.01;
/// Columns of the terminal.
const TEXT_WIDTH: usize = 80;

/// The chart of a rehearsal: how often a change of each size is shown, and what the plan expects.
pub fn rehearsal_chart(plan: &Plan, rehearsal: &Rehearsal) -> Chart {
    let changes = rehearsal.sizes.iter().map(|size| size.change);
    let largest = 100.0 * changes.fold(LEAST_CHANGE, f64::max);
    let expected = |point: usize| {
        let percent = largest * point as f64 / LINE_POINTS as f64;
        [percent, 100.0 * plan.pooled.of(percent / 100.0)]
    };
    let found = |size: &Size| {
        Some(Point {
            mark: usize::from(size.change != 0.0),
            at: [size.change, size.share_shown()?].map(|share| 100.0 * share),
            interval: size
                .share_interval()
                .map(|ends| ends.map(|end| 100.0 * end)),
        })
    };
    let series = |place: usize, points: Vec<Point>, line: Vec<[f64; 2]>| Series {
        place,
        name: String::new(),
        points,
        line,
    };
    relation::chart(&Relation {
        kind: ChartKind::Detection,
        title: "How often a change of each size is shown".to_owned(),
        caption: "Squares: simulated days, with the 95 % interval of the share; the circle, with no change there, is how often one was claimed. Line: what the plan expects. Dashed: the chance wanted and the change worth knowing.".to_owned(),
        alt: chart_alt(rehearsal),
        across: "true change in speed (%)".to_owned(),
        up: "days on which it was shown (%)".to_owned(),
        range_across: Some([-BEYOND * largest, (1.0 + BEYOND) * largest]),
        range_up: Some([0.0, 100.0]),
        series: vec![
            series(0, Vec::new(), (0..=LINE_POINTS).map(expected).collect()),
            series(1, rehearsal.sizes.iter().filter_map(found).collect(), Vec::new()),
        ],
        settings: Vec::new(),
        guides: Some([
            (rehearsal.power_wanted * 100.0, "wanted".to_owned()),
            (rehearsal.resolve * 100.0, "worth knowing".to_owned()),
        ]),
    })
}

fn chart_alt(rehearsal: &Rehearsal) -> String {
    let of = |size: &Size| {
        let share = size.share_shown()? * 100.0;
        let change = (size.change * 1000.0).round() / 10.0;
        Some(if size.change == 0.0 {
            format!("no change, claimed on {share:.0} %")
        } else {
            format!("{change} %, shown on {share:.0} %")
        })
    };
    let sizes: Vec<String> = rehearsal.sizes.iter().filter_map(of).collect();
    format!(
        "Share of the simulated days on which a change was shown, by its size: {}.",
        sizes.join("; ")
    )
}

/// `rehearsal.html`.
pub fn rehearsal_html(plan: &Plan, rehearsal: &Rehearsal, chart: &Chart) -> String {
    let figure = Figure::of(chart, "power.svg".to_owned());
    document(plan, rehearsal, Some(figure)).to_html(&Dress {
        script: "",
        ..Dress::REPORT
    })
}

/// The whole rehearsal as plain text.
pub fn rehearsal_text(plan: &Plan, rehearsal: &Rehearsal) -> String {
    document(plan, rehearsal, None).to_text(TEXT_WIDTH)
}

fn document(plan: &Plan, rehearsal: &Rehearsal, figure: Option<Figure>) -> Document {
    let mut parts = vec![
        Part::Answer {
            tone: Tone::Open,
            text: answer(rehearsal).into(),
        },
        Part::paragraph(conditions(plan, rehearsal)),
    ];
    let wind = words::wind_caution(rehearsal.conditions.wind(plan), plan.request.units);
    parts.extend(wind.map(|words| Part::Caution(words.into())));
    parts.push(Part::heading("How often a change is shown"));
    parts.extend(figure.map(Part::Figure));
    parts.push(Part::Table(shares(rehearsal)));
    let mut alter = advice(plan, rehearsal);
    alter.extend(lost_lines(rehearsal));
    parts.extend(listed("What to alter", alter));
    let mut planned = vec![words::answer(plan)];
    planned.extend(how(plan));
    parts.extend(listed("The plan", planned));
    parts.push(Part::heading("How it was rehearsed"));
    parts.push(Part::paragraph("Each day a boat of our own making, with thrust, drag, leeway and a heading hold that hunts, runs the plan in a wind with gusts; a recorder keeps its track with the errors that receivers have; and the track is read by the same code that reads a real one, once with notes that say when each part was fitted and once without any notes. The boat is that of the plan: speeds, settling distance, windage. A crew that moves, wakes and weed are not in it, so take the figures as the best a day can do."));
    parts.extend(listed("Cautions", words::cautions()));
    Document {
        kicker: "Would the plan have shown it?".into(),
        title: format!("Rehearsal: {}", words::title(plan)),
        description: String::new(),
        parts,
        colophon: format!("Made by thereback {}.", env!("CARGO_PKG_VERSION")).into(),
    }
}

fn size_of(rehearsal: &Rehearsal, change: f64) -> Option<(&Size, f64)> {
    let mut sizes = rehearsal.sizes.iter();
    let size = sizes.find(|size| (size.change - change).abs() < 1e-12)?;
    Some((size, size.share_shown()?))
}

fn whole(share: f64) -> String {
    format!("{:.0}{NO_BREAK_SPACE}%", share * 100.0)
}

/// The answer in a few sentences.
fn answer(rehearsal: &Rehearsal) -> String {
    let mut out = Vec::new();
    if let Some((size, share)) = size_of(rehearsal, rehearsal.resolve) {
        let wrong = match size.noted.wrong_sign {
            0 => "never with the wrong sign".to_owned(),
            days => format!("with the wrong sign on {days}"),
        };
        out.push(format!(
            "A change of {} was shown on {} of {} simulated days ({}; planned {}), and {wrong}.",
            words::percent(size.change),
            size.noted.shown,
            size.days,
            whole(share),
            whole(size.power_planned)
        ));
    }
    if let Some((size, share)) = size_of(rehearsal, 0.0) {
        out.push(format!(
            "With no change there, one was claimed on {} of {} ({}).",
            size.noted.claimed,
            size.days,
            whole(share)
        ));
    }
    let right: usize = rehearsal
        .sizes
        .iter()
        .map(|size| size.without_notes.read_right)
        .sum();
    if rehearsal.days > 0 {
        out.push(format!(
            "Without notes the runs, parts and settings were read as they were on {right} of {} days ({}).",
            rehearsal.days,
            whole(right as f64 / rehearsal.days as f64)
        ));
    }
    out.join(" ")
}

/// What to alter.
fn advice(plan: &Plan, rehearsal: &Rehearsal) -> Vec<String> {
    let mut out = Vec::new();
    let much = |seen: &f64| *seen > MUCH_SCATTER * plan.scatter;
    if let Some(seen) = rehearsal.scatter.filter(much) {
        out.push(format!(
            "Double runs of the same thing scattered by {}, more than the {} planned with.",
            words::percent(seen),
            words::percent(plan.scatter)
        ));
    }
    let wanted = rehearsal.power_wanted;
    if let Some((_, share)) = size_of(rehearsal, rehearsal.resolve).filter(|s| s.1 < wanted) {
        out.push(format!(
            "{} is less than the {} wanted: run more double runs of each part, look for a day with less wind, or ask for a larger change.",
            whole(share),
            whole(wanted)
        ));
    }
    let false_claims = size_of(rehearsal, 0.0).and_then(|(size, _)| size.share_interval());
    if false_claims.is_some_and(|[low, _]| low > assume::ALPHA) {
        let cure = if plan.alternating {
            "wait for a steadier day"
        } else {
            "run the first part again at the end, so that the weather cannot look like the change"
        };
        out.push(format!(
            "Changes that were not there are claimed more often than the 5 % that the intervals allow: {cure}."
        ));
    }
    let lost: usize = rehearsal.lost.iter().map(|lost| lost.days).sum();
    if let Some(first) = rehearsal.lost.first()
        && lost as f64 > MANY_LOST * rehearsal.days as f64
    {
        let cure = match rehearsal.conditions.sampling {
            Sampling::Seconds(seconds) if seconds <= 2.0 => "run longer legs",
            _ => "record a fix a second, by time and not by distance",
        };
        out.push(format!(
            "{lost} days had no answer, mostly because {}: {cure}.",
            first.reason
        ));
    }
    if out.is_empty() {
        let nothing = "Nothing to alter: in these conditions the plan does what is asked of it.";
        out.push(nothing.to_owned());
    }
    out
}

/// Why there was no answer, a sentence for each reason.
fn lost_lines(rehearsal: &Rehearsal) -> Vec<String> {
    let with = rehearsal.lost.iter().map(|lost| ("No answer", lost));
    let without = rehearsal.lost_without_notes.iter();
    let without = without.map(|lost| ("Without notes no answer", lost));
    with.chain(without)
        .map(|(what, lost)| format!("{what} on {} of the days: {}.", lost.days, lost.reason))
        .collect()
}

/// How often each change was shown, with notes and without.
fn shares(rehearsal: &Rehearsal) -> Table {
    let row = |size: &Size| {
        let of = |count: usize, days: usize| {
            Cell::figure((days > 0).then(|| 100.0 * count as f64 / days as f64))
        };
        let (noted, without) = (&size.noted, &size.without_notes);
        Row::new(vec![
            Cell::Figure(100.0 * size.change),
            of(noted.shown + noted.claimed, size.days),
            Cell::Figure(100.0 * size.power_planned),
            of(noted.covered, size.days - noted.no_answer),
            Cell::figure(noted.median_width_percent),
            of(without.shown + without.claimed, size.days),
            of(without.read_right, size.days),
        ])
    };
    Table {
        caption: "Shares of the days, with notes that say when each part was fitted unless it says otherwise. With no change, shown means claimed. Read as run: double runs, parts and settings all as they were; without notes an old part that comes back may have a name of its own.".to_owned(),
        columns: vec![
            Column::figures("change", "%", 2),
            Column::figures("shown", "%", 0),
            Column::figures("shown as planned", "%", 0),
            Column::figures("interval held it", "%", 0),
            Column::figures("interval wide", "points", 1),
            Column::figures("shown without notes", "%", 0),
            Column::figures("read as run without notes", "%", 0),
        ],
        rows: rehearsal.sizes.iter().map(row).collect(),
    }
}

/// The conditions in a sentence.
fn conditions(plan: &Plan, rehearsal: &Rehearsal) -> String {
    let c = &rehearsal.conditions;
    let unit = plan.request.units;
    let growth = words::speed(c.growth_m_s_per_h.abs(), unit);
    let mut out = vec![format!(
        "{} days simulated from seed {}: wind of {} with gusts of {}{}",
        rehearsal.days,
        rehearsal.seed,
        words::speed(c.wind(plan), unit),
        words::percent(c.gusts),
        match c.growth_m_s_per_h {
            0.0 => String::new(),
            more if more > 0.0 => format!(", growing by {growth} an hour"),
            _ => format!(", falling by {growth} an hour"),
        }
    )];
    out.push(match c.tide_m_s {
        0.0 => "no tide".to_owned(),
        tide => format!("a tidal stream of up to {}", words::speed(tide, unit)),
    });
    out.extend(c.waves_m.map(|height| format!("waves of {height} m")));
    out.push(format!(
        "a throttle set again within {} of the thrust; a battery that loses {} of it in an hour",
        words::percent(c.throttle),
        words::percent(c.sag_per_h)
    ));
    let kept = match c.sampling {
        Sampling::Seconds(s) => format!("a fix every {s} s"),
        Sampling::Metres(m) => format!("a fix every {m} m"),
        Sampling::Adaptive { .. } => "a fix as the recorder chose".to_owned(),
    };
    out.push(format!("{kept} with {} decimals of a degree.", c.decimals));
    out.join("; ")
}
