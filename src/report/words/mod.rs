//! Every sentence that page, article, terminal and files share, each written once.
//!
//! ```text
//! headline   title, the answer          order      what was found, when what was run
//! worth      what the change is worth   method     how it was measured, assumptions, sources
//! doubts     what could be wrong        advice     what to correct and to do next time
//! wind       wind and current           cautions   what protects a person
//! gain       power, reach, the way home  story      what the person noted of boat and water
//! ```
//! All of it is plain text: whoever sets it escapes it. Between a number and its unit is a no-break
//! space.

mod advice;
mod cautions;
mod doubts;
mod gain;
mod headline;
mod method;
mod order;
mod story;
mod wind;
mod worth;

pub(super) use self::advice::{gain_missing, next_time, set_aside, warnings};
pub use self::cautions::cautions;
pub(super) use self::cautions::{DISTANCES, MORE_LOAD, TO_REPEAT};
pub(super) use self::doubts::doubts;
pub(super) use self::gain::{
    farther_percent, gain, gain_basis, gain_cautions, has_gain, home_out_of_reach, over_limit,
    savings,
};
pub(super) use self::headline::{
    Answer, answers, headline_comparisons, pair_title, title, verdict,
};
pub(super) use self::method::{assumptions, in_short, method, sources};
pub(super) use self::order::{day_line, found, grouping, kicker};
pub(super) use self::story::{noted, photo_caption};
pub(super) use self::wind::{adjustment, headings, wind, wind_label};
pub(super) use self::worth::worth;

use super::rounding::{NO_BREAK_SPACE, count};
use crate::trial::{Day, Trial};

/// Names longer than this are cut in running text; in files they stay whole.
const LONGEST_NAME: usize = 60;

/// A name from a file, made fit for a line of text.
///
/// Control characters and marks that reverse the direction of writing become a
/// space (a terminal would obey them), runs of white space one space.
pub fn name(raw: &str) -> String {
    let joined = one_line(raw);
    if joined.is_empty() {
        "(no name)".to_owned()
    } else {
        shortened(&joined, LONGEST_NAME)
    }
}

/// A sentence of the analysis on one line, without what a terminal would obey.
pub fn one_line(raw: &str) -> String {
    let plain: String = raw
        .chars()
        .map(|c| if is_obeyed(c) { ' ' } else { c })
        .collect();
    // Plain spaces alone are joined: a no-break space stays where it was put.
    let words: Vec<&str> = plain.split(' ').filter(|word| !word.is_empty()).collect();
    words.join(" ")
}

/// Cuts to so many characters, the last of them `…`.
pub(super) fn shortened(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let kept: String = text.chars().take(most.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}

fn is_obeyed(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}' | '\u{fffe}' | '\u{ffff}')
}

/// `1 leg`, `2 legs`.
pub fn counted(number: usize, one: &str, many: &str) -> String {
    let word = if number == 1 { one } else { many };
    format!("{}{NO_BREAK_SPACE}{word}", count(number))
}

/// `a`, `a and b`, `a, b and c`.
pub fn list(items: &[String]) -> String {
    match items.split_last() {
        None => String::new(),
        Some((only, [])) => only.clone(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
    }
}

/// The first letter as a capital.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// A clause as a sentence: capital and full stop.
fn sentence(clause: &str) -> String {
    let clause = one_line(clause);
    let stop = if clause.ends_with(['.', '?', '!']) {
        ""
    } else {
        "."
    };
    format!("{}{stop}", capital(&clause))
}

/// What is said of each day; of several days, days alike together, each with its number before it.
fn each_day(trial: &Trial, said: impl Fn(&Day) -> Option<String>) -> Vec<String> {
    let mut out: Vec<(String, Vec<String>)> = Vec::new();
    for (text, day) in trial
        .days
        .iter()
        .filter_map(|day| Some((said(day)?, day.day.to_string())))
    {
        match out.iter_mut().find(|(known, _)| *known == text) {
            Some((_, on)) => on.push(day),
            None => out.push((text, vec![day])),
        }
    }
    out.into_iter()
        .map(|(text, on)| match on.as_slice() {
            all if all.len() == trial.days.len() => text,
            [only] => format!("Day {only}: {text}"),
            some => format!("Days {}: {text}", list(some)),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_made_fit_for_a_line() {
        assert_eq!(name("three blades"), "three blades");
        assert_eq!(name("a\u{1b}[31m\tb\n"), "a [31m b");
        assert_eq!(name("\u{202e}olleh"), "olleh");
        assert_eq!(name(" \r\n"), "(no name)");
        assert_eq!(name(&"x".repeat(100)).chars().count(), LONGEST_NAME);
    }

    #[test]
    fn lists_and_counts() {
        let items = ["a", "b", "c"].map(String::from);
        let of = |n: usize| list(&items[..n]);
        assert_eq!([of(0), of(1), of(3)], ["", "a", "a, b and c"]);
        assert_eq!(counted(1, "leg", "legs"), "1\u{a0}leg");
        assert_eq!(counted(1_200, "leg", "legs"), "1,200\u{a0}legs");
        assert_eq!([capital("no"), capital("")], ["No", ""]);
    }
}
