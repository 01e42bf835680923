//! The notes filled in beforehand: after a day run to plan they are right as they are.

use super::draw_up::Plan;
use super::layout::StepKind;
use super::words;
use crate::notes::{self, ConfigurationNote, When, quoted};
use crate::units::Speed;

/// The `notes.toml` of a plan, which `report` reads as it is.
///
/// Every part is there in the order fitted, with the middle of its planned swap where a start is
/// given; else its name alone, for a wrong time would put runs to the wrong part. A forecast wind
/// is in comments, so that it does not pass for a measured one.
pub fn notes_toml(plan: &Plan) -> String {
    let request = &plan.request;
    let wind = Speed::metres_per_second(request.wind());
    let from = request.wind_from.map_or_else(
        || "\"SW\"".to_owned(),
        |from| format!("{:.0}", from.degrees()),
    );
    let mut out = format!(
        "# The notes as planned. After the day correct the times to what they were, and pass them back:\n\
         #   thereback report TRACK --notes notes.toml\n\
         # Times are local, in 24 hours.\n\n\
         title = {}\n\
         units = {units}\n\n\
         [wind] # true wind; the forecast. What blew is better: correct it and take the # away\n\
         # from = {from}\n\
         # speed = \"{:.0} {}\"\n{}\n{}",
        quoted(&words::title(plan)),
        wind.in_unit(request.units),
        request.units,
        notes::water(None),
        if request.start.is_some() {
            "# What was fitted, in order; `from` is any time during the swap, here as planned."
        } else {
            "# What was fitted, in order. Without times the report looks for the swaps itself; with\n\
             # them it is sure: add `from = \"09:12\"`, a time during the swap."
        },
        units = quoted(request.units.symbol()),
    );
    for (part, swap) in fitted(plan) {
        let middle_s = swap.map(|[from_s, to_s]| f64::midpoint(from_s, to_s));
        let note = ConfigurationNote {
            name: plan.part(part).to_owned(),
            from: middle_s.and_then(|s| words::time(plan, s)).map(When::Clock),
            pitch_m: None,
            line: 0,
        };
        let remark = middle_s.map_or_else(
            || "from the start".to_owned(),
            |s| format!("planned {} after the start", words::span(s)),
        );
        out.push_str(&notes::configuration(&note, &remark));
    }
    out.push_str("\n# Settings, slowest first.");
    // Of other speeds than the earlier trial's the percents are not known.
    let earlier = request.earlier.as_ref();
    let earlier = earlier.filter(|earlier| earlier.speeds_m_s == request.speeds_m_s);
    for number in 0..request.speeds_m_s.len() {
        let percent = earlier.and_then(|earlier| *earlier.percents.get(number)?);
        out.push_str(&notes::setting(&words::setting(plan, number), percent));
    }
    out.push_str(
        "\n# To correct a leg, name it by its number in the report or by a time in it:\n\
         # [[leg]]\n\
         # at = \"09:47\"\n\
         # exclude = \"ferry wake\"\n",
    );
    out
}

/// Each part and from when to when it is swapped in, s after the start; `None` for the first.
fn fitted(plan: &Plan) -> Vec<(usize, Option<[f64; 2]>)> {
    let first = plan.blocks.first().map(|block| (block.part, None));
    let swaps = plan.steps.iter().filter_map(|step| match step.kind {
        StepKind::Swap { part } => Some((part, Some([step.from_s, step.to_s]))),
        _ => None,
    });
    first.into_iter().chain(swaps).collect()
}
