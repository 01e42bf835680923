//! A rehearsal in plain words.

use std::fmt::Write;

use super::tally::{Counts, Rehearsal, Size};
use crate::plan::{Design, Plan, assume, tell, words};
use crate::rehearse::Sampling;
use crate::rounding::NO_BREAK_SPACE;

/// More days without an answer than this share are worth a word: one in twenty, as many as false claims are allowed.
const MANY_LOST: f64 = 0.05;
/// Scatter this much above that planned is worth a word (our own choice).
const MUCH_SCATTER: f64 = 1.15;

/// The size of change that is worth knowing.
pub(super) fn wanted(rehearsal: &Rehearsal) -> Option<&Size> {
    rehearsal
        .sizes
        .iter()
        .find(|size| (size.change - rehearsal.resolve).abs() < 1e-12)
}

fn unchanged(rehearsal: &Rehearsal) -> Option<&Size> {
    rehearsal.sizes.iter().find(|size| size.change == 0.0)
}

/// The answer in a sentence or two.
pub(crate) fn answer(rehearsal: &Rehearsal) -> String {
    let mut said = String::new();
    // Writing to a string cannot fail.
    if let Some((size, share)) = wanted(rehearsal).and_then(|s| Some((s, s.share_told()?))) {
        let _ = write!(
            said,
            "A change of {} was shown on {} of {} simulated days ({})",
            words::percent(size.change),
            size.noted.told,
            size.days,
            whole(share)
        );
        let _ = match size.noted.wrong_sign {
            0 => write!(said, ", and never with the wrong sign."),
            days => write!(said, ", and with the wrong sign on {days}."),
        };
    }
    if let Some((size, share)) = unchanged(rehearsal).and_then(|s| Some((s, s.share_told()?))) {
        let _ = write!(
            said,
            " With no change there, one was claimed on {} of {} ({}).",
            size.noted.claimed,
            size.days,
            whole(share)
        );
    }
    if rehearsal.days > 0 {
        let right = rehearsal.read_right_without_notes();
        let _ = write!(
            said,
            " Without notes the runs, parts and settings were read as they were on {right} of {} days ({}).",
            rehearsal.days,
            whole(right as f64 / rehearsal.days as f64)
        );
    }
    said
}

fn whole(share: f64) -> String {
    format!("{:.0}{NO_BREAK_SPACE}%", share * 100.0)
}

/// What to alter.
pub(super) fn advice(plan: &Plan, rehearsal: &Rehearsal) -> Vec<String> {
    let mut said = Vec::new();
    if let Some(size) = wanted(rehearsal) {
        said.extend(on_power(plan, rehearsal, size));
    }
    let false_claims = unchanged(rehearsal).and_then(Size::share_interval);
    if false_claims.is_some_and(|[low, _]| low > assume::ALPHA) {
        said.push(if plan.alternating {
            "Changes that were not there are claimed more often than the 5 % that the intervals allow: wait for a steadier day.".to_owned()
        } else {
            "Changes that were not there are claimed more often than the 5 % that the intervals allow: run the first part again at the end, so that the weather cannot pose as the change.".to_owned()
        });
    }
    let lost: usize = rehearsal.lost.iter().map(|lost| lost.days).sum();
    if lost as f64 > MANY_LOST * rehearsal.days as f64 {
        let reason = rehearsal
            .lost
            .first()
            .map_or("", |lost| lost.reason.as_str());
        let cure = match rehearsal.conditions.sampling {
            Sampling::Seconds(seconds) if seconds <= 2.0 => "run longer legs",
            _ => "record a fix a second, by time and not by distance",
        };
        said.push(format!(
            "{lost} days had no answer, mostly because {reason}: {cure}."
        ));
    }
    if said.is_empty() {
        said.push(
            "Nothing to alter: in these conditions the plan does what is asked of it.".to_owned(),
        );
    }
    said
}

fn on_power(plan: &Plan, rehearsal: &Rehearsal, size: &Size) -> Vec<String> {
    let mut said = Vec::new();
    let Some(share) = size.share_told() else {
        return said;
    };
    let scatter = rehearsal.scatter;
    if let Some(seen) = scatter.filter(|seen| *seen > MUCH_SCATTER * rehearsal.scatter_planned) {
        said.push(format!(
            "Double runs of the same thing scattered by {}, more than the {} planned with.",
            words::percent(seen),
            words::percent(rehearsal.scatter_planned)
        ));
    }
    if share >= rehearsal.power_wanted {
        return said;
    }
    let short = format!(
        "{} falls short of the {} wanted",
        whole(share),
        whole(rehearsal.power_wanted)
    );
    let settings = plan.asked.speeds_m_s.len();
    let needed = scatter.and_then(|scatter| {
        let design = Design {
            parts: plan.asked.parts.len(),
            settings,
            pooled: settings,
            scatter,
        };
        (plan.double_runs + 1..=assume::MOST_DOUBLE_RUNS).find(|n| {
            tell(design, *n, rehearsal.resolve, rehearsal.power_wanted)
                .is_some_and(|tell| tell.power >= rehearsal.power_wanted)
        })
    });
    said.push(match needed {
        Some(n) => format!("{short}: with the scatter seen, {n} double runs of each part at each setting would reach it."),
        None => format!("{short}: look for a day with less wind, or for a larger change."),
    });
    said
}

/// A table of shares: how the days were read, what its last column says, the heads of its columns,
/// and a row for each size of change.
pub(crate) struct Shares {
    pub caption: &'static str,
    pub note: &'static str,
    pub heads: [&'static str; 7],
    pub rows: Vec<[String; 7]>,
}

/// How often each change was shown, with notes and without.
pub(crate) fn shares(rehearsal: &Rehearsal) -> [Shares; 2] {
    let heads = |last| {
        [
            "change",
            "shown",
            "wrong sign",
            "no answer",
            "interval held truth",
            "interval wide (points)",
            last,
        ]
    };
    [
        Shares {
            caption: "With notes that say when each part was fitted",
            note: "Shown as planned: by the noncentral t distribution with the scatter planned.",
            heads: heads("shown as planned"),
            rows: rows(rehearsal, |size| {
                (
                    &size.noted,
                    size.power_planned.map_or_else(|| "–".to_owned(), whole),
                )
            }),
        },
        Shares {
            caption: "Without notes",
            note: "Read as run: double runs, parts and settings all as they were; an old part that comes back may have a name of its own.",
            heads: heads("read as run"),
            rows: rows(rehearsal, |size| {
                let counts = &size.without_notes;
                (counts, part(counts.read_right, size.days))
            }),
        },
    ]
}

/// A share of days in percent; a dash where there are none.
fn part(count: usize, of: usize) -> String {
    if of == 0 {
        "–".to_owned()
    } else {
        whole(count as f64 / of as f64)
    }
}

fn rows(rehearsal: &Rehearsal, of: impl Fn(&Size) -> (&Counts, String)) -> Vec<[String; 7]> {
    (rehearsal.sizes.iter())
        .map(|size| {
            let (counts, last) = of(size);
            let none = size.change == 0.0;
            [
                words::percent(size.change),
                part(if none { counts.claimed } else { counts.told }, size.days),
                if none {
                    "–".to_owned()
                } else {
                    part(counts.wrong_sign, size.days)
                },
                part(counts.no_answer, size.days),
                part(counts.covered, size.days - counts.no_answer),
                counts
                    .median_width_percent
                    .map_or_else(|| "–".to_owned(), |w| format!("{w:.1}")),
                last,
            ]
        })
        .collect()
}

/// The conditions in a sentence.
pub(crate) fn conditions(plan: &Plan, rehearsal: &Rehearsal) -> String {
    let c = &rehearsal.conditions;
    let unit = plan.asked.units;
    let mut said = format!(
        "{} days simulated from seed {}: wind of {} with gusts of {}",
        rehearsal.days,
        rehearsal.seed,
        words::speed(c.wind(plan), unit),
        words::percent(c.gusts)
    );
    // Writing to a string cannot fail.
    if c.growth_m_s_per_h != 0.0 {
        let verb = if c.growth_m_s_per_h > 0.0 {
            "growing"
        } else {
            "falling"
        };
        let _ = write!(
            said,
            ", {verb} by {} an hour",
            words::speed(c.growth_m_s_per_h.abs(), unit)
        );
    }
    let _ = match c.tide_m_s {
        0.0 => write!(said, "; no tide"),
        tide => write!(
            said,
            "; a tidal stream of up to {}",
            words::speed(tide, unit)
        ),
    };
    if let Some(height) = c.waves_m {
        let _ = write!(said, "; waves of {height} m");
    }
    let _ = match c.sampling {
        Sampling::Seconds(s) => write!(said, "; a fix every {s} s"),
        Sampling::Metres(m) => write!(said, "; a fix every {m} m"),
        Sampling::Adaptive { .. } => write!(said, "; a fix as the recorder chose"),
    };
    let _ = write!(said, " with {} decimals of a degree.", c.decimals);
    said
}

/// The whole rehearsal as plain text.
pub fn text(plan: &Plan, rehearsal: &Rehearsal) -> String {
    let mut out = format!(
        "{}\n\n{}\n\n",
        answer(rehearsal),
        conditions(plan, rehearsal)
    );
    // Writing to a string cannot fail.
    for shares in shares(rehearsal) {
        let _ = writeln!(out, "{}:", shares.caption);
        let [change, shown, wrong, none, held, wide, last] = shares.heads;
        let held = held.trim_start_matches("interval ");
        let wide = wide.trim_start_matches("interval ");
        let rows = shares
            .rows
            .iter()
            .map(|row| row.each_ref().map(String::as_str));
        for row in [[change, shown, wrong, none, held, wide, last]]
            .into_iter()
            .chain(rows)
        {
            let [change, shown, wrong, none, held, wide, last] = row;
            let _ = writeln!(
                out,
                "{change:>6} {shown:>6} {wrong:>11} {none:>10} {held:>11} {wide:>14} {last:>17}"
            );
        }
        let _ = writeln!(out, "{}\n", shares.note);
    }
    out.push_str("With no change, shown means claimed. Held truth: how often the 95 % interval did.\n\nWhat to alter\n");
    for line in &rehearsal.advice {
        let _ = writeln!(out, "  {line}");
    }
    for line in lost_lines(rehearsal) {
        let _ = writeln!(out, "  {line}");
    }
    out
}

/// Why there was no answer, a sentence for each reason.
pub(crate) fn lost_lines(rehearsal: &Rehearsal) -> Vec<String> {
    let with = rehearsal.lost.iter().map(|lost| ("No answer", lost));
    let without =
        (rehearsal.lost_without_notes.iter()).map(|lost| ("Without notes no answer", lost));
    with.chain(without)
        .map(|(what, lost)| format!("{what} on {} of the days: {}.", lost.days, lost.reason))
        .collect()
}
