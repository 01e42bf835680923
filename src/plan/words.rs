//! A plan in plain words, for the terminal; the card uses the same.

use std::fmt::Write;

use super::Asked;
use super::draw::{Boat, Way};
use super::drawn::{Plan, ScatterSource};
use super::remedy::Remedy;
pub use super::terms::span;
pub(crate) use super::terms::{
    chance, clock, courses, metres, percent, setting, setting_with_speed, speed, step, time, title,
};
use crate::report::words::{capital, counted, list, name};

/// The answer in one sentence.
pub(crate) fn answer(plan: &Plan) -> String {
    let asked = &plan.asked;
    let runs = counted(plan.double_runs, "double run", "double runs");
    let doing = format!(
        "{runs} of each part at each setting, {} in all, take {}",
        plan.all_double_runs(),
        span(plan.total_s)
    );
    if plan.suffices {
        format!(
            "{doing} and tell a change of {} with a chance of {}.",
            percent(asked.resolve),
            chance(plan.pooled.power)
        )
    } else if plan.in_time {
        format!(
            "The time does not suffice to tell a change of {}: {doing} and tell it with a chance of {} only.",
            percent(asked.resolve),
            chance(plan.pooled.power)
        )
    } else {
        format!(
            "The time does not suffice: the least that can show anything, {doing}, and there are {}.",
            asked.time_s.map_or_else(|| "none".to_owned(), span)
        )
    }
}

/// What it can and cannot tell.
pub(crate) fn reach(plan: &Plan) -> Vec<String> {
    let told = chance(plan.asked.power);
    let mut said = vec![format!(
        "All settings together: changes from {} are shown in {told} of such days; the 95 % interval will reach about {} to either side. A smaller change may be there and will most likely read “not shown”.",
        percent(plan.pooled.smallest),
        percent(plan.pooled.half_width)
    )];
    if plan.asked.speeds_m_s.len() > 1 {
        said.push(format!(
            "One setting alone: from {}, ±{}.",
            percent(plan.single.smallest),
            percent(plan.single.half_width)
        ));
    }
    said.push(format!(
        "It rests on a scatter of {} between double runs of the same thing, {}. Calculated with the noncentral t distribution (Cohen 1988), {} degrees of freedom.",
        percent(plan.scatter.share),
        match plan.scatter.source {
            ScatterSource::Earlier => "measured on the earlier trial",
            ScatterSource::Simulated => "from our own simulated days",
        },
        plan.pooled.df
    ));
    said
}

/// The legs in words.
pub(crate) fn legs(plan: &Plan) -> String {
    let unit = plan.asked.units;
    let times: Vec<String> = plan
        .leg
        .times
        .iter()
        .map(|t| format!("{} at {}", span(t.leg_s), speed(t.speed_m_s, unit)))
        .collect();
    format!(
        "Legs of {} from mark to mark: {}. The first {} are approach and not measured: set the throttle before and leave it.",
        metres(plan.leg.length_m, unit),
        list(&times),
        metres(plan.leg.approach_m, unit)
    )
}

/// The heading in words.
pub(crate) fn heading(plan: &Plan) -> String {
    let Some(line) = plan.line else {
        return "Run out with the wind 45° off one bow and back with it on the quarter: a quartering wind pushes to one side all the time and steadies a heading hold; one from ahead or astern lets it hunt (common practice, no source).".to_owned();
    };
    let course = format!("Run out on {} and back on {}", line.out, line.back);
    let Some(off) = line.wind_off_bow_deg else {
        return format!("{course}, along the water.");
    };
    let side = if off >= 0.0 { "starboard" } else { "port" };
    let off = off.abs();
    let why = if (25.0..=65.0).contains(&off) {
        "a quartering wind pushes to one side all the time and steadies a heading hold (common practice, no source), and enough of it lies along the line to be seen in the two directions"
    } else if off < 25.0 {
        "the wind is nearly ahead, where a heading hold may hunt to either side (common practice, no source); where the water allows, turn the line some 45° off the wind"
    } else {
        "the wind is on the beam: it makes leeway, and little of it lies along the line, so that a wind that changes shows less well; where the water allows, turn the line to 45° off the wind"
    };
    format!("{course}, the wind {off:.0}° off the {side} bow on the way out: {why}.")
}

/// The order in words.
pub(crate) fn order(plan: &Plan) -> String {
    let mut parts: Vec<(usize, usize)> = Vec::new();
    for block in &plan.blocks {
        let runs = block.double_runs * block.settings.len();
        match parts.last_mut().filter(|(part, _)| *part == block.part) {
            Some((_, sum)) => *sum += runs,
            None => parts.push((block.part, runs)),
        }
    }
    let blocks: Vec<String> = parts
        .into_iter()
        .map(|(part, runs)| {
            let runs = counted(runs, "double run", "double runs");
            format!("{} ({runs})", name(plan.part(part)))
        })
        .collect();
    let why = if plan.alternating {
        "The first part comes again at the end, so that a wind or tide that changes steadily falls on both alike and cannot pose as the change."
    } else {
        "Each part is run once: a wind that grows or falls between them can pose as the change. The report estimates the wind from the two directions and takes it out where it can; one swap more and the first part again at the end is safer."
    };
    format!("{}. {why}", capital(&blocks.join(", then ")))
}

/// What would do, a sentence each.
pub(crate) fn remedies(plan: &Plan) -> Vec<String> {
    let unit = plan.asked.units;
    let resolve = percent(plan.asked.resolve);
    plan.remedies
        .list
        .iter()
        .map(|remedy| match *remedy {
            Remedy::MoreTime { total_s, double_runs } => format!(
                "{} on the water, with {} of each part at each setting, would do.",
                span(total_s),
                counted(double_runs, "double run", "double runs")
            ),
            Remedy::OneSetting { speed_m_s, smallest, total_s, does } => format!(
                "The setting of {} alone takes {} and tells changes from {}{}.",
                speed(speed_m_s, unit),
                span(total_s),
                percent(smallest),
                if does { ", which would do" } else { "" }
            ),
            Remedy::QuickerSwap { swap_s } => format!("Swaps of no more than {} would do.", span(swap_s)),
            Remedy::LargerChange { smallest } => format!(
                "Content with a change of {} instead of {resolve}, the time suffices.",
                percent(smallest)
            ),
            Remedy::LessWind { wind_m_s } => format!(
                "A day with no more wind than {} would do.",
                speed(wind_m_s, unit)
            ),
            Remedy::SeveralDays { most } => format!(
                "Not even {most} double runs of each part at each setting would tell {resolve} on one such day: spread the trial over several days, or ask for a larger change."
            ),
        })
        .collect()
}

/// The energy in words.
pub(crate) fn energy(plan: &Plan) -> Option<String> {
    let energy = plan.energy?;
    let needed = format!("The runs and turns take {:.0} Wh", energy.needed_wh);
    Some(match energy.battery_wh {
        None => format!("{needed}; the way out and home come on top."),
        Some(battery) if battery < energy.needed_wh => format!(
            "{needed}, more than the {battery:.0} Wh in the battery: bring another, or run fewer."
        ),
        Some(battery) => format!(
            "{needed} of the {battery:.0} Wh in the battery; {:.0} Wh are left for the way out and home. A battery that sags slows the later runs: that too falls on both parts alike only in an order that comes back to the first.",
            battery - energy.needed_wh
        ),
    })
}

/// What to keep in mind.
pub(super) fn remarks(asked: &Asked, way: &Way, boat: &Boat, most: Option<&Way>) -> Vec<String> {
    let mut said = Vec::new();
    if let Some(most) = most.filter(|most| most.tell.smallest < way.tell.smallest) {
        said.push(format!(
            "The time given holds {} of each part at each setting ({}), which would tell changes from {}.",
            counted(most.n, "double run", "double runs"),
            span(most.total_s),
            percent(most.tell.smallest)
        ));
    }
    if way.total_s > super::assume::LONG_DAY_S {
        said.push(format!(
            "{} is a long day, and its card may take two pages: ask for a larger change, or leave out a setting.",
            span(way.total_s)
        ));
    }
    let slowest = asked.speeds_m_s.first().copied().unwrap_or(f64::INFINITY);
    let wind = asked.wind_m_s.unwrap_or(super::assume::WIND_M_S);
    if boat.windage * (wind / slowest).powi(2) > super::assume::MUCH_WIND {
        said.push(format!(
            "In {} of wind the setting of {} makes little way against it, and runs will scatter more than planned: leave that setting out, or wait for less wind.",
            speed(wind, asked.units),
            speed(slowest, asked.units)
        ));
    }
    if boat.source == ScatterSource::Earlier
        && let Some(earlier) = &asked.earlier
        && earlier.df < 10.0
    {
        said.push(format!(
            "The scatter of the earlier trial rests on {} degrees of freedom and may itself be off by a third or more.",
            earlier.df
        ));
    }
    let shortest = way
        .leg
        .times
        .iter()
        .map(|t| t.leg_s)
        .fold(f64::INFINITY, f64::min);
    if shortest
        < super::assume::LEG_TIMES_S
            .into_iter()
            .fold(f64::INFINITY, f64::min)
            - 10.0
    {
        said.push(format!(
            "Legs of {} at the fastest setting are short: in much wind some are not found. Longer water is better.",
            span(shortest)
        ));
    }
    if asked.parts.len() > 2 {
        said.push("With several parts each is compared with the first, each comparison with its own 5 % of false claims.".to_owned());
    }
    if way.tell.df < 4.0 {
        said.push(
            "With so few runs the scatter itself is hardly known and intervals are wide."
                .to_owned(),
        );
    }
    said
}

/// The cautions of the report, and one that belongs before the day.
pub fn cautions() -> Vec<&'static str> {
    let mut all = crate::report::words::cautions().to_vec();
    all.push("Look at the forecast, tell somebody ashore when you will be back, and break off when it no longer feels right.");
    all
}

/// The whole plan as plain text.
pub fn text(plan: &Plan) -> String {
    let mut out = String::new();
    // Writing to a string cannot fail.
    let _ = writeln!(out, "{}\n\n{}", title(plan), answer(plan));
    let mut part = |heading: &str, lines: &[String]| {
        if !lines.is_empty() {
            let _ = writeln!(out, "\n{heading}");
            for line in lines {
                let _ = writeln!(out, "  {line}");
            }
        }
    };
    part("What would do", &remedies(plan));
    part("How", &[legs(plan), heading(plan), order(plan)]);
    part("What it can tell", &reach(plan));
    part("Battery", &energy(plan).into_iter().collect::<Vec<_>>());
    part("Keep in mind", &plan.remarks);
    let assumed: Vec<String> = plan
        .assumed
        .iter()
        .map(|a| format!("{}: {}.", a.what, a.why))
        .collect();
    part("Assumed", &assumed);
    let steps: Vec<String> = plan
        .steps
        .iter()
        .map(|s| format!("{:>5}  {}", clock(plan, s.from_s), step(plan, s.kind)))
        .chain([format!("{:>5}  done", clock(plan, plan.total_s))])
        .collect();
    part("Minute by minute", &steps);
    out
}
