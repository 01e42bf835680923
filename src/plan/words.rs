//! A plan in plain words, for card, terminal and rehearsal.

use jiff::SignedDuration;
use jiff::civil::Time;

use super::assumptions as assume;
use super::draw_up::{Plan, Remedy};
use super::layout::StepKind;
use crate::day::beaufort::Force;
use crate::report::words::{capital, counted, list, name};
use crate::rounding::NO_BREAK_SPACE;
use crate::units::{Speed, SpeedUnit};

/// A share as a percentage, `5 %`, `1.3 %`.
pub(super) fn percent(share: f64) -> String {
    let value = (share * 1000.0).round() / 10.0;
    format!("{value}{NO_BREAK_SPACE}%")
}

/// A chance as a whole percentage; no plan is certain.
fn chance(share: f64) -> String {
    let whole = (share * 100.0).round().clamp(0.0, 99.0);
    format!("{whole}{NO_BREAK_SPACE}%")
}

/// A speed with its unit, to a tenth.
pub(super) fn speed(m_s: f64, unit: SpeedUnit) -> String {
    let value = Speed::metres_per_second(m_s).in_unit(unit);
    format!("{value:.1}{NO_BREAK_SPACE}{unit}")
}

/// A short distance in the unit that goes with the speeds'.
fn metres(metres: f64, unit: SpeedUnit) -> String {
    let (symbol, length) = unit.short_distance();
    format!("{:.0}{NO_BREAK_SPACE}{symbol}", metres / length)
}

/// A span of time: `50 s`, `15 min`, `2 h 05 min`.
pub fn span(seconds: f64) -> String {
    let s = NO_BREAK_SPACE;
    let minutes = (seconds / 60.0).round() as u64;
    match minutes / 60 {
        _ if seconds < 90.0 => format!("{seconds:.0}{s}s"),
        0 => format!("{minutes}{s}min"),
        hours => format!("{hours}{s}h {:02}{s}min", minutes % 60),
    }
}

/// The time of the day where the start is given, else hours and minutes after the start.
pub(super) fn clock(plan: &Plan, seconds: f64) -> String {
    let minutes = (seconds / 60.0).round() as i64;
    time(plan, seconds).map_or_else(
        || format!("{}:{:02}", minutes / 60, minutes % 60),
        |time| time.strftime("%H:%M").to_string(),
    )
}

/// The time of the day to the minute, where the start is given.
pub(super) fn time(plan: &Plan, seconds: f64) -> Option<Time> {
    let minutes = SignedDuration::from_mins((seconds / 60.0).round() as i64);
    plan.request.start.map(|start| start.wrapping_add(minutes))
}

/// Name of a setting: its place in the order of speed.
pub(super) fn setting(plan: &Plan, number: usize) -> String {
    let named: &[&str] = match plan.request.speeds_m_s.len() {
        1 => &["one"],
        2 => &["slow", "fast"],
        3 => &["slow", "middle", "fast"],
        _ => &[],
    };
    let word = named.get(number).map(|word| (*word).to_owned());
    word.unwrap_or_else(|| (number + 1).to_string())
}

/// A setting with its speed: `slow (2.4 kn)`.
pub(super) fn setting_with_speed(plan: &Plan, number: usize) -> String {
    let expected = plan.request.speeds_m_s.get(number);
    let shown = expected.map(|v| format!(" ({})", speed(*v, plan.request.units)));
    setting(plan, number) + &shown.unwrap_or_default()
}

/// The title of the trial.
pub(super) fn title(plan: &Plan) -> String {
    let parts = || -> Vec<String> { plan.request.parts.iter().rev().map(|p| name(p)).collect() };
    let title = plan.request.title.as_deref();
    title.map_or_else(|| parts().join(" against "), name)
}

/// What a step is, for a line of text.
pub(super) fn step(plan: &Plan, kind: StepKind) -> String {
    match kind {
        StepKind::SetUp => {
            "recorder on; five minutes adrift, motor off; then the run-up".to_owned()
        }
        StepKind::Swap { part } => format!("swap: {}", name(plan.part(part))),
        StepKind::DoubleRun {
            number,
            part,
            setting,
        } => format!(
            "double run {number}: {}, {}",
            name(plan.part(part)),
            setting_with_speed(plan, setting)
        ),
    }
}

fn runs_each(double_runs: usize) -> String {
    let runs = counted(double_runs, "double run", "double runs");
    format!("{runs} of each part at each setting")
}

/// The answer in one sentence.
pub(super) fn answer(plan: &Plan) -> String {
    let (change, total) = (percent(plan.request.resolve), span(plan.total_s));
    let shown = chance(plan.pooled.of(plan.request.resolve));
    let runs = format!(
        "{}, {} in all, take {total}",
        runs_each(plan.double_runs),
        plan.all_double_runs()
    );
    if plan.suffices {
        format!("{runs} and show a change of {change} with a chance of {shown}.")
    } else if plan.in_time {
        let what = plan.request.time_s.map_or("One day", |_| "The time");
        format!(
            "{what} does not suffice to show a change of {change}: {runs} and show it with a chance of only {shown}."
        )
    } else {
        let there = plan
            .request
            .time_s
            .map_or_else(|| "no time".to_owned(), span);
        format!(
            "The time does not suffice: the least that can show anything, {runs}, and there is {there}."
        )
    }
}

/// What the plan can and cannot show.
pub(super) fn reach(plan: &Plan) -> Vec<String> {
    let wanted = plan.request.power;
    let mut out = vec![format!(
        "All settings together: changes from {} are shown on {} of such days; the 95 % interval reaches about {} to either side. A smaller change may be there and will most likely read “not shown”.",
        percent(plan.pooled.smallest(wanted)),
        chance(wanted),
        percent(plan.pooled.half_width_share())
    )];
    if plan.request.speeds_m_s.len() > 1 {
        out.push(format!(
            "The fastest setting alone: from {}, ±{}.",
            percent(plan.single.smallest(wanted)),
            percent(plan.single.half_width_share())
        ));
    }
    out.push(format!(
        "It rests on a scatter of {} between double runs of the same thing, {}. Calculated with the model that the report compares with.",
        percent(plan.scatter),
        match &plan.request.earlier {
            Some(earlier) => format!(
                "the upper end of what the earlier trial leaves open ({} with {} degrees of freedom)",
                percent(earlier.scatter),
                earlier.df
            ),
            None => "from our own simulated days".to_owned(),
        },
    ));
    out
}

/// The legs in words.
pub(super) fn legs(plan: &Plan) -> String {
    let unit = plan.request.units;
    let times = plan.leg.times_s.iter().zip(&plan.request.speeds_m_s);
    let times: Vec<String> = times
        .map(|(s, v)| format!("{} at {}", span(*s), speed(*v, unit)))
        .collect();
    format!(
        "Legs of {} from mark to mark: {}. The first {} are approach and not measured: set the throttle before and leave it.",
        metres(plan.leg.length_m, unit),
        list(&times),
        metres(plan.leg.approach_m, unit)
    )
}

/// The heading in words.
pub(super) fn heading(plan: &Plan) -> String {
    let quartering = "a quartering wind pushes to one side all the time and steadies a heading hold (common practice, no source)";
    let Some(line) = plan.line else {
        return format!(
            "Run out with the wind 45° off one bow and back with it on the quarter: {quartering}."
        );
    };
    let course = format!("Run out on {} and back on {}", line.out, line.back);
    let Some(off) = line.wind_off_bow_deg else {
        return format!("{course}, along the water.");
    };
    let side = if off >= 0.0 { "starboard" } else { "port" };
    let off = off.abs();
    let why = if off < 25.0 {
        "the wind is nearly ahead, where a heading hold may hunt to either side (common practice, no source); where the water allows, turn the line to 45° off the wind".to_owned()
    } else if off <= 65.0 {
        format!("{quartering}, and enough of it is along the line to be seen in the two directions")
    } else {
        "the wind is on the beam: it makes leeway, and little of it is along the line, so that a change of wind shows less; where the water allows, turn the line to 45° off the wind".to_owned()
    };
    format!("{course}, the wind {off:.0}° off the {side} bow on the way out: {why}.")
}

/// The order in words.
pub(super) fn order(plan: &Plan) -> String {
    let stretches = plan.blocks.chunk_by(|a, b| a.part == b.part);
    let parts: Vec<String> = stretches
        .map(|blocks| {
            let runs = blocks
                .iter()
                .map(|b| b.double_runs * b.settings.len())
                .sum();
            let part = blocks.first().map_or(0, |block| block.part);
            let runs = counted(runs, "double run", "double runs");
            format!("{} ({runs})", name(plan.part(part)))
        })
        .collect();
    let why = if plan.alternating {
        "The first part comes again at the end, so that a wind, a tide or a battery that changes steadily affects both alike and cannot look like the change."
    } else {
        "Each part is run once: a wind that grows or falls between them can look like the change. The report estimates the wind from the two directions and takes it out where it can; one more swap and the first part again at the end is safer."
    };
    format!("{}. {why}", capital(&parts.join(", then ")))
}

/// What would do, a sentence each.
pub(super) fn remedies(plan: &Plan) -> Vec<String> {
    let unit = plan.request.units;
    let resolve = percent(plan.request.resolve);
    let say = |remedy: &Remedy| match *remedy {
        Remedy::MoreTime {
            total_s,
            double_runs,
        } => {
            format!(
                "{} on the water, with {}, would do.",
                span(total_s),
                runs_each(double_runs)
            )
        }
        Remedy::OneSetting {
            speed_m_s,
            smallest,
            total_s,
            does,
        } => format!(
            "The setting of {} alone takes {} and shows changes from {}{}.",
            speed(speed_m_s, unit),
            span(total_s),
            percent(smallest),
            if does { ", which would do" } else { "" }
        ),
        Remedy::QuickerSwap { swap_s } => {
            format!("Swaps of no more than {} would do.", span(swap_s))
        }
        Remedy::LargerChange { smallest } => format!(
            "For a change of {} instead of {resolve} the time suffices.",
            percent(smallest)
        ),
        Remedy::LessWind { wind_m_s } => {
            format!(
                "A day with no more wind than {} would do.",
                speed(wind_m_s, unit)
            )
        }
        Remedy::SeveralDays => format!(
            "Not even {} would show {resolve} on one such day: spread the trial over several days, or ask for a larger change.",
            runs_each(assume::MOST_DOUBLE_RUNS)
        ),
    };
    plan.remedies.iter().map(say).collect()
}

/// The energy in words.
pub(super) fn energy(plan: &Plan) -> Option<String> {
    let needed = plan.energy_wh?;
    let taken = format!("The runs and turns take about {needed:.0} Wh");
    Some(match plan.request.battery_wh {
        None => format!("{taken}; the way out and home come on top."),
        Some(battery) => format!(
            "{taken} of the {battery:.0} Wh in the battery; about {:.0} Wh are left for the way out and home. These are estimates: keep a reserve, and know how you get home without the motor.",
            battery - needed
        ),
    })
}

/// What to keep in mind.
pub(super) fn remarks(plan: &Plan) -> Vec<String> {
    let request = &plan.request;
    let mut out: Vec<String> = wind_caution(request.wind(), request.units)
        .into_iter()
        .collect();
    if plan.total_s > assume::LONG_DAY_S {
        out.push(format!(
            "{} is a long day, and its card may take two pages: ask for a larger change, or leave out a setting.",
            span(plan.total_s)
        ));
    }
    let slowest = request.speeds_m_s.first().copied().unwrap_or(f64::INFINITY);
    if plan.windage * (request.wind() / slowest).powi(2) > assume::MUCH_WIND {
        out.push(format!(
            "In {} of wind the setting of {} makes little way against it, and runs will scatter more than planned: leave that setting out, or wait for less wind.",
            speed(request.wind(), request.units),
            speed(slowest, request.units)
        ));
    }
    let usual_s = assume::LEG_TIMES_S
        .into_iter()
        .fold(f64::INFINITY, f64::min);
    let shortest_s = plan
        .leg
        .times_s
        .iter()
        .copied()
        .fold(f64::INFINITY, f64::min);
    if shortest_s < usual_s - 10.0 {
        out.push(format!(
            "Legs of {} at the fastest setting are short: in much wind some are not found. Longer water is better.",
            span(shortest_s)
        ));
    }
    if request.parts.len() > 2 {
        out.push("With several parts each is compared with the first, each comparison with its own 5 % of false claims.".to_owned());
    }
    out
}

/// Words on a wind of force 5 or more.
pub(super) fn wind_caution(wind_m_s: f64, unit: SpeedUnit) -> Option<String> {
    let force = Force::of(Speed::metres_per_second(wind_m_s))?;
    (force.number() >= 5).then(|| {
        format!(
            "A wind of {} is force {} on the Beaufort scale, a {}: small-craft warnings and your own limits come first.",
            speed(wind_m_s, unit),
            force.number(),
            force.name()
        )
    })
}

/// Everything taken for granted, with its reason.
pub(super) fn assumed(plan: &Plan) -> Vec<String> {
    let request = &plan.request;
    let unit = request.units;
    let mut out = Vec::new();
    if request.earlier.is_none() {
        out.push(format!(
            "two double runs of the same thing differ by {} (standard deviation): from wind and speed by a rule fitted to our own simulated days; an earlier result.json has that of your boat.",
            percent(plan.scatter)
        ));
        if request.wind_m_s.is_none() {
            out.push(format!(
                "a wind of {}: no wind was given; the middle of Beaufort 3.",
                speed(request.wind(), unit)
            ));
        }
    }
    if request
        .earlier
        .as_ref()
        .is_none_or(|e| e.settling_m.is_none())
    {
        out.push(format!(
            "a settling distance of {}: for a boat of {:.0} kg with crew; our own simulated boats.",
            metres(plan.settling_m, unit),
            request.mass_kg.unwrap_or(assume::MASS_KG)
        ));
    }
    if request.swap_s.is_none() {
        out.push(format!(
            "{} for a swap: common practice, no source.",
            span(request.swap())
        ));
    }
    out.push(format!(
        "a throttle set again within {} of the thrust, and a battery that loses {} of it in an hour: common practice, no source.",
        percent(assume::LEVER_ERROR),
        percent(assume::SAG_PER_H)
    ));
    out.push(format!(
        "{} for a turn, a tenth of the time in reserve, {} before the first leg: turns from our own simulated days; reserve by common practice, no source.",
        span(assume::TURN_S),
        span(assume::SET_UP_S)
    ));
    out
}

/// What protects people before and on the day, beside the cautions of every report.
pub(super) fn cautions() -> Vec<String> {
    let own = [
        "For a swap cover the battery's terminals and make the boat fast or anchor; nobody reaches for a propeller adrift.",
        "Take a second person who can stop the motor and get one aboard again. A heading hold sees nothing.",
        "Drift only with clear water to leeward.",
        "A clamp meter goes round one cable: open nothing to measure.",
        "Look at the forecast, tell somebody ashore when you will be back, and break off when it no longer feels right.",
    ];
    let shared = crate::report::words::cautions();
    shared.into_iter().chain(own).map(str::to_owned).collect()
}
