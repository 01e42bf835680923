//! The notes filled in beforehand: after the day only the times need correcting.

use std::fmt::Write;

use super::drawn::{Plan, StepKind};
use super::words;
use crate::trial::notes::quoted;
use crate::units::Speed;

/// The `notes.toml` of a plan, which `report` reads as it is.
///
/// With a start given the times are the planned ones; without, they stand in comments, since a wrong time
/// would put runs to the wrong part, and none lets the report look for the swaps itself. A forecast wind stands in
/// comments, so that it does not pass for a measured one.
pub fn notes_toml(plan: &Plan) -> String {
    let asked = &plan.asked;
    let mut out = String::from(
        "# The notes as planned. After the day correct the times to what they were, and pass them back:\n\
         #   thereback report TRACK --notes notes.toml\n\
         # Times are local, written in 24 hours.\n\n",
    );
    // Writing to a string cannot fail.
    let _ = writeln!(out, "title = {}", quoted(&words::title(plan)));
    let _ = writeln!(out, "units = {}\n", quoted(asked.units.symbol()));
    out.push_str(
        "[wind] # true wind; the forecast. What blew is better: correct it and take the # away\n",
    );
    match asked.wind_from {
        Some(from) => {
            let _ = writeln!(out, "# from = {:.0}", from.degrees());
        }
        None => out.push_str("# from = \"SW\"\n"),
    }
    let speed = Speed::metres_per_second(asked.wind_m_s.unwrap_or(super::assume::WIND_M_S));
    let _ = writeln!(
        out,
        "# speed = \"{:.0} {}\"\n",
        speed.in_unit(asked.units),
        asked.units
    );
    configurations(plan, &mut out);
    out.push_str("# Settings, slowest first.\n");
    for setting in 0..asked.speeds_m_s.len() {
        let _ = writeln!(
            out,
            "[[setting]]\nname = {}\n# percent = 50\n",
            quoted(&words::setting(plan, setting))
        );
    }
    out.push_str("# Corrections of single legs, each named by any time inside it.\n# [[leg]]\n# at = \"09:47\"\n# exclude = \"ferry wake\"\n");
    out
}

fn configurations(plan: &Plan, out: &mut String) {
    let fitted = fitted(plan);
    if plan.asked.start.is_some() {
        out.push_str(
            "# What was fitted, in order; `from` is the time after the swap, here as planned.\n",
        );
        for (part, from_s) in fitted {
            let _ = writeln!(
                out,
                "[[configuration]]\nname = {}\nfrom = {}\n",
                quoted(plan.part(part)),
                quoted(&words::clock(plan, from_s))
            );
        }
        return;
    }
    out.push_str("# What was fitted, in order. Without times the report looks for the swaps itself; with them it is sure:\n# take the # away and write the time after the swap.\n");
    let mut known = Vec::new();
    for (part, from_s) in fitted {
        // A name that comes again needs a time, so it stands in comments until there is one.
        let again = if known.contains(&part) { "# " } else { "" };
        known.push(part);
        let _ = writeln!(
            out,
            "{again}[[configuration]]\n{again}name = {}\n# from = \"09:12\" # planned {} after the start\n",
            quoted(plan.part(part)),
            words::span(from_s)
        );
    }
}

/// Each part and when it is fitted, s after the start.
fn fitted(plan: &Plan) -> Vec<(usize, f64)> {
    let first = plan.blocks.first().map(|block| (block.part, 0.0));
    let swaps = plan.steps.iter().filter_map(|step| match step.kind {
        StepKind::Swap { part } => Some((part, step.to_s)),
        _ => None,
    });
    first.into_iter().chain(swaps).collect()
}
