//! How often simulated days are read right, by habit: the tables of `benches/DAYS.md`.
//!
//! `cargo run --release --example days -- habits 6000 400` reads, without notes, the days of 400
//! seeds from 6000 on, as drawn and in six orders of parts and settings.
//! `cargo run --release --example days -- plans 100` draws up plans of several kinds, lives through
//! each on 100 days, and reads them with the notes that the plan wrote, unedited, and without any;
//! and the same on days that did not go as planned. A folder as the last argument keeps the days
//! read wrong there, each with its truth and the plan's notes.

#![allow(
    clippy::print_stdout,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    dead_code,
    reason = "a table for people, from scenarios of our own; the judge has more than it needs"
)]

#[path = "../tests/it/judge.rs"]
mod judge;
#[path = "../tests/it/varied.rs"]
mod varied;

use std::collections::BTreeMap;
use std::path::Path;

use jiff::SignedDuration;
use rayon::prelude::*;
use thereback::notes;
use thereback::plan::{
    Conditions, Plan, Request, STEP_S, change_sizes, draw_up, notes_toml, planned_day, read_right,
    true_double_runs,
};
use thereback::simulate::{
    GpxStyle, LegLength, Sampling, Scenario, SimulatedDay, Steering, Truth, simulate,
    simulate_in_steps,
};
use thereback::trial::{Settings, Trial, analyse};

use judge::{Score, share};
use varied::{varied_order, varied_scenario};

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let number = |at: usize, usual: u64| args.get(at).and_then(|n| n.parse().ok()).unwrap_or(usual);
    match args.first().map(String::as_str) {
        Some("plans") => plans(number(1, 100), args.get(2).map(Path::new)),
        _ => habits(number(1, 6000), number(2, 400), args.get(3).map(Path::new)),
    }
}

fn read(day: &SimulatedDay) -> Trial {
    analyse(&[day.recording("day.gpx")], &Settings::default())
}

/// Days read at once: tracks are large, and each is forgotten when it is judged.
const AT_ONCE: u64 = 32;

fn habits(first: u64, count: u64, folder: Option<&Path>) {
    let mut rates: BTreeMap<(usize, &str, String), Score> = BTreeMap::new();
    for from in (first..first + count).step_by(AT_ONCE as usize) {
        let numbers = from..(from + AT_ONCE).min(first + count);
        let days: Vec<_> = numbers
            .into_par_iter()
            .flat_map_iter(|n| [(n, true, varied_scenario(n)), (n, false, varied_order(n))])
            .map(|(n, as_drawn, scenario)| {
                let day = simulate(&scenario, n);
                let analysis = read(&day);
                (as_drawn, scenario, day, analysis)
            })
            .collect();
        for (as_drawn, scenario, day, analysis) in &days {
            let all = if *as_drawn {
                "as drawn"
            } else {
                "in six orders"
            };
            if let Some(folder) = folder
                && !read_right(&day.truth, analysis)
            {
                let mut own = Score::default();
                own.judge(day, analysis);
                let stem = format!("{all} {}", day.truth.seed).replace(' ', "-");
                let habits = habits_of(scenario)
                    .into_iter()
                    .map(|(h, v)| format!("{h}: {v}"));
                let remarks: Vec<String> = habits.chain(own.remarks).collect();
                keep(folder, &stem, day, ("txt", &remarks.join("\n")));
            }
            let own = [("all", all.to_owned())];
            for (place, (habit, value)) in own.into_iter().chain(habits_of(scenario)).enumerate() {
                let score = rates.entry((place, habit, value)).or_default();
                score.judge(day, analysis);
            }
        }
    }
    println!(
        "| habit | | days | runs found % | double runs found % | true % | days read right % | changes answered % | held by the interval % | wrong sign |"
    );
    println!("|---|---|{}", "---|".repeat(8));
    for ((_, habit, value), score) in rates {
        let of = |part: usize, whole: usize| format!("{:.1}", 100.0 * share(part, whole));
        println!(
            "| {habit} | {value} | {} | {} | {} | {} | {} | {} | {} | {} |",
            score.days,
            of(score.legs_found, score.true_legs),
            of(score.double_runs_right, score.true_double_runs),
            of(score.double_runs_right, score.double_runs_found),
            of(score.days_right, score.days),
            of(score.changes, score.true_changes),
            of(score.changes_covered, score.changes),
            score.verdicts_wrong,
        );
    }
}

/// Keeps a day, its truth, and a text beside them.
fn keep(folder: &Path, stem: &str, day: &SimulatedDay, (ending, text): (&str, &str)) {
    std::fs::create_dir_all(folder).unwrap();
    let write = |ending: &str, bytes: &[u8]| {
        std::fs::write(folder.join(format!("{stem}.{ending}")), bytes).unwrap();
    };
    write("gpx", &day.to_gpx(GpxStyle::V1_1));
    write("truth.json", day.truth_json().as_bytes());
    write(ending, text.as_bytes());
}

/// What the day was like.
fn habits_of(scenario: &Scenario) -> Vec<(&'static str, String)> {
    let (day, water) = (&scenario.day, &scenario.water);
    let mut parts: Vec<usize> = day.blocks.iter().map(|b| b.configuration).collect();
    parts.dedup();
    let settings = scenario.boat.thrusts.len();
    let blocks = day.blocks.len() / parts.len();
    let runs = blocks * day.blocks[0].double_runs * day.lines_deg.len();
    let recorder = match scenario.recorder.sampling {
        Sampling::Seconds(s) if s <= 2.0 => "every 1 or 2 s",
        Sampling::Seconds(_) => "every 5 or 10 s",
        Sampling::Metres(_) => "by distance",
        Sampling::Adaptive { .. } => "by change of course",
    };
    let of = |habit, value: &str| (habit, value.to_owned());
    vec![
        of(
            "parts",
            match parts.as_slice() {
                [_, _] => "old, new",
                [a, _, c] if a == c => "old, new, old",
                _ => "old, new, third",
            },
        ),
        of(
            "settings",
            match (settings, blocks) {
                (1, _) => "one",
                (_, 1) => "in blocks",
                _ => "in turn",
            },
        ),
        ("double runs a cell", runs.min(4).to_string()),
        of(
            "helm",
            match scenario.helm.steering {
                Steering::Heading => "heading held",
                Steering::Aimed => "heading aimed",
                Steering::Line => "line held",
            },
        ),
        of(
            "turn",
            if scenario.helm.loop_deg > 0.0 {
                "in a loop"
            } else {
                "at once"
            },
        ),
        of(
            "legs",
            match day.leg {
                LegLength::Metres(_) => "by length",
                LegLength::Seconds(_) => "by the clock",
            },
        ),
        of(
            "lines",
            if day.lines_deg.len() > 1 {
                "two"
            } else {
                "one"
            },
        ),
        of("swap", if day.swap_ashore { "ashore" } else { "adrift" }),
        of(
            "pauses",
            match day.pause_chance {
                0.0 => "none",
                few if few < 0.2 => "few",
                _ => "many",
            },
        ),
        of(
            "legs broken off",
            if day.broken_off_chance > 0.0 {
                "some"
            } else {
                "none"
            },
        ),
        of(
            "water",
            if water.tide > 0.0 {
                "tide"
            } else if water.drift > 0.0 {
                "river"
            } else {
                "still"
            },
        ),
        of("fixes", recorder),
    ]
}

/// A kind of plan.
#[derive(Debug, Clone, Copy)]
pub(crate) struct PlanKind {
    pub(crate) parts: usize,
    pub(crate) settings: usize,
    /// A swap of half an hour and less is made again, for the old part to come back.
    pub(crate) swap_s: f64,
}

const SHORT_SWAP_S: f64 = 900.0;
const LONG_SWAP_S: f64 = 2400.0;

pub(crate) fn plan_kinds() -> Vec<PlanKind> {
    let mut kinds = Vec::new();
    for (parts, swap_s) in [
        (2, LONG_SWAP_S),
        (2, SHORT_SWAP_S),
        (3, LONG_SWAP_S),
        (3, SHORT_SWAP_S),
    ] {
        kinds.extend((1..=3).map(|settings| PlanKind {
            parts,
            settings,
            swap_s,
        }));
    }
    kinds
}

/// The plan of a kind; without a start its notes have no times.
pub(crate) fn plan(kind: PlanKind, start: bool) -> Plan {
    let names = ["old part", "new part", "third part"];
    let speeds: &[f64] = match kind.settings {
        1 => &[2.2],
        2 => &[1.4, 2.3],
        _ => &[1.1, 1.6, 2.3],
    };
    draw_up(&Request {
        parts: names[..kind.parts]
            .iter()
            .map(|&name| name.to_owned())
            .collect(),
        speeds_m_s: speeds.to_vec(),
        swap_s: Some(kind.swap_s),
        start: start.then(|| jiff::civil::time(9, 0, 0, 0)),
        ..Request::default()
    })
    .unwrap()
}

/// How a day went beside its plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Course {
    ToPlan,
    /// Everything 12 minutes later, from the start.
    Late,
    /// 12 minutes more for each swap.
    SwapsDelayed,
    /// The first double run was made once more.
    RunRepeated,
}

const DELAY: SignedDuration = SignedDuration::from_mins(12);

/// A day of a plan; sizes of change take turns, none among them. A third part is slower than the
/// first by as much as the second is faster.
pub(crate) fn lived(plan: &Plan, course: Course, number: u64) -> SimulatedDay {
    let sizes = change_sizes(plan);
    let change = sizes[number as usize % sizes.len()];
    let mut scenario = planned_day(plan, &Conditions::default(), change, 0.0);
    if let Some(third) = scenario.boat.configurations.get_mut(2) {
        third.thrust_factor = (1.0 - change).powi(2);
    }
    let day = &mut scenario.day;
    match course {
        Course::ToPlan => {}
        Course::Late => day.start += DELAY,
        Course::SwapsDelayed => day.swap_s += DELAY.as_secs_f64(),
        Course::RunRepeated => {
            let mut once = day.blocks[0].clone();
            once.settings.truncate(1);
            once.double_runs = 1;
            day.blocks.insert(0, once);
        }
    }
    simulate_in_steps(&scenario, 77_000 + number, STEP_S)
}

/// Whether every double run found has the name of the part it was really made with.
fn named_right(truth: &Truth, analysis: &Trial) -> bool {
    let name = |part: usize| {
        let fitted = truth
            .configurations
            .iter()
            .find(|c| c.configuration == part);
        fitted.map(|fitted| fitted.name.as_str())
    };
    (true_double_runs(truth, analysis)
        .into_iter()
        .zip(&analysis.double_runs))
    .all(|(own, found)| {
        let own = own.and_then(|own| truth.double_runs.get(own));
        own.is_none_or(|own| name(own.configuration) == Some(found.configuration.as_str()))
    })
}

/// What a plan's notes, unedited, make of a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Noted {
    Right,
    /// Read wrong, and the notes are objected to.
    FoundWrong,
    /// Read wrong, but the interval holds the truth.
    Held,
    /// Read wrong without a word, and the answer is wrong.
    Silent,
}

pub(crate) fn with_notes(notes: &str, day: &SimulatedDay) -> Noted {
    let analysis = analyse(
        &[day.recording("day.gpx")],
        &Settings {
            timezone: Some("Europe/Helsinki".to_owned()),
            notes: Some(notes::read(notes, "notes.toml").unwrap()),
            ..Settings::default()
        },
    );
    let truth = &day.truth;
    if read_right(truth, &analysis) && named_right(truth, &analysis) {
        Noted::Right
    } else if analysis.warnings.iter().any(|w| w.code() == "notes") {
        Noted::FoundWrong
    } else if held(truth, &analysis) {
        Noted::Held
    } else {
        Noted::Silent
    }
}

/// Whether no comparison leaves the true change out of its interval.
fn held(truth: &Truth, analysis: &Trial) -> bool {
    analysis.comparisons.iter().all(|c| {
        let of = |change: &&thereback::simulate::TrueChange| {
            let name = |i: usize| truth.configurations.iter().find(|t| t.configuration == i);
            name(change.changed).is_some_and(|t| t.name == c.changed)
        };
        let Some(change) = truth.changes.iter().find(of) else {
            return false;
        };
        let ends = c.percent.low.zip(c.percent.high);
        ends.is_none_or(|(low, high)| (low..=high).contains(&change.percent))
    })
}

fn plans(days: u64, folder: Option<&Path>) {
    println!(
        "| plan | settings | double runs | to plan: notes as planned % | names alone % | without notes % | late: right / found wrong / held / silent | swaps delayed | run repeated |"
    );
    println!("|{}", "---|".repeat(9));
    for kind in plan_kinds() {
        let (timed, untimed) = (plan(kind, true), plan(kind, false));
        let (notes, names) = (notes_toml(&timed), notes_toml(&untimed));
        let mut order: Vec<&str> = timed.blocks.iter().map(|b| timed.part(b.part)).collect();
        order.dedup();
        let order = order.join(", ").replace(" part", "");
        let keep = |day: &SimulatedDay, what: &str, number: u64| {
            if let Some(folder) = folder {
                let order = order.replace(", ", "-");
                let stem = format!("{order}-{}-{what}-{number}", kind.settings);
                keep(folder, &stem, day, ("notes.toml", &notes));
            }
        };
        let to_plan: Vec<[bool; 3]> = (0..days)
            .into_par_iter()
            .map(|number| {
                let day = lived(&timed, Course::ToPlan, number);
                let right = [
                    with_notes(&notes, &day) == Noted::Right,
                    with_notes(&names, &day) == Noted::Right,
                    read_right(&day.truth, &read(&day)),
                ];
                for (right, what) in right.iter().zip(["noted", "named", "unnoted"]) {
                    if !right {
                        keep(&day, what, number);
                    }
                }
                right
            })
            .collect();
        let right = |way: usize| {
            let count = to_plan.iter().filter(|day| day[way]).count();
            format!("{:.0}", 100.0 * share(count, to_plan.len()))
        };
        let other = |course: Course, what: &str| {
            let all: Vec<Noted> = (0..days)
                .into_par_iter()
                .map(|number| {
                    let day = lived(&timed, course, number);
                    let noted = with_notes(&notes, &day);
                    if matches!(noted, Noted::Held | Noted::Silent) {
                        keep(&day, what, number);
                    }
                    noted
                })
                .collect();
            [Noted::Right, Noted::FoundWrong, Noted::Held, Noted::Silent]
                .map(|noted| all.iter().filter(|n| **n == noted).count().to_string())
                .join(" / ")
        };
        println!(
            "| {order} | {} | {} | {} | {} | {} | {} | {} | {} |",
            kind.settings,
            timed.all_double_runs(),
            right(0),
            right(1),
            right(2),
            other(Course::Late, "late"),
            other(Course::SwapsDelayed, "delayed"),
            other(Course::RunRepeated, "repeated"),
        );
    }
}
