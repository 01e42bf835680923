//! A receiver that repeats its last position while the boat moves on.

use super::CleanRules;
use super::step::{metres, seconds, speed_m_s};
use crate::track::Fix;

/// A leap is a step at least this many times as fast as the one after it.
///
/// Twice: a boat that only starts to move makes its first step slower than its
/// second. Our own judgement.
const LEAP_FACTOR: f64 = 2.0;

/// A remark where the position stood still to the last digit, then leapt.
///
/// A boat that lies still looks the same while it lies, but moves off without a
/// leap; its fixes are kept and nothing is said. Times must increase.
pub(super) fn remark(fixes: &[Fix], rules: &CleanRules) -> Option<String> {
    let mut leaps = Vec::new();
    let mut from = 0;
    for still in fixes.chunk_by(|a, b| a.position == b.position) {
        let after = from + still.len();
        if still.len() >= rules.min_frozen_fixes.max(2)
            && let (Some(first), Some(last)) = (still.first(), still.last())
            && let Some([out, next]) = fixes.get(after..after + 2)
            && is_leap(last, out, next, rules)
        {
            leaps.push((
                first.time,
                seconds(first, last),
                metres(last.position, out.position),
            ));
        }
        from = after;
    }
    let &(time, still_s, leap_m) = leaps.first()?;
    let more = match leaps.len() - 1 {
        0 => String::new(),
        more => format!(" (and {more} times more)"),
    };
    Some(format!(
        "The position stood still to the last digit for {still_s:.0} s from {time:.0}, then leapt \
         {leap_m:.0} m{more}: the receiver was frozen, and the speed there is not to be trusted."
    ))
}

fn is_leap(last: &Fix, out: &Fix, next: &Fix, rules: &CleanRules) -> bool {
    let beyond_error = metres(last.position, out.position) > rules.position_slack_m;
    let speeds = speed_m_s(last, out).zip(speed_m_s(out, next));
    beyond_error && speeds.is_some_and(|(leap, after)| leap > LEAP_FACTOR * after)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clean::tests::fix;

    /// Under way at 4 m/s; from `from` to `to` the position is the one at `from`.
    fn told(from: i64, to: i64, moving_meanwhile: bool) -> Option<String> {
        let fixes: Vec<Fix> = (0..120)
            .map(|s| {
                let north = |s: i64| 4.0 * s as f64;
                let along = match s {
                    _ if s < from => north(s),
                    _ if s < to => north(from),
                    _ if moving_meanwhile => north(s),
                    _ => north(s - (to - from) + 1),
                };
                fix(s, along, 0.0)
            })
            .collect();
        remark(&fixes, &CleanRules::default())
    }

    #[test]
    fn a_frozen_receiver_is_told_from_a_boat_that_lies_still() {
        let frozen = told(30, 60, true).unwrap_or_default();
        assert!(
            frozen.contains("for 29 s from 1970-01-01T00:00:30Z, then leapt 120 m"),
            "{frozen}"
        );
        assert_eq!(told(30, 60, false), None);
        assert_eq!(told(30, 33, true), None);
        assert_eq!(told(100, 120, true), None);
    }
}
