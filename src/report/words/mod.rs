//! The sentences of the write-up, shared by the page, the terminal and whatever else tells the result.
//!
//! All of it is plain text: whoever sets it escapes it. Between a number and its
//! unit stands a no-break space ([`NO_BREAK_SPACE`]).

mod answer;
mod cautions;
mod day;
mod days;
mod gain;
mod gain_basis;
mod grouping;
mod headings;
mod method;
mod one_wind;
mod worth;

pub(crate) use answer::headline_comparisons;
pub use answer::{Answer, answers, pair_title, verdict};
pub use cautions::cautions;
use day::wind_in_short;
pub use day::{day_line, file_lines, found, next_time, title, warnings, wind};
pub use gain::{gain, gain_cautions, gain_missing, has_gain, range};
pub use gain_basis::gain_basis;
pub use grouping::{grouping, standing};
pub use headings::headings;
pub use method::{Topic, assumptions, method, sources};
pub use one_wind::{across_days, doubts, one_wind};

use super::rounding::NO_BREAK_SPACE;

/// Names longer than this are cut in running text; in tables and files they stay whole.
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
    // Plain spaces alone are joined: a no-break space stands where it was put.
    plain
        .split(' ')
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

/// Cuts to so many characters, the last of them `…`.
pub fn shortened(text: &str, most: usize) -> String {
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
    format!("{}{NO_BREAK_SPACE}{word}", super::rounding::count(number))
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
        let items = |n: usize| -> Vec<String> {
            ["a", "b", "c"]
                .iter()
                .take(n)
                .map(ToString::to_string)
                .collect()
        };
        assert_eq!(list(&items(0)), "");
        assert_eq!(list(&items(1)), "a");
        assert_eq!(list(&items(3)), "a, b and c");
        assert_eq!(counted(1, "leg", "legs"), "1\u{a0}leg");
        assert_eq!(counted(1_200, "leg", "legs"), "1,200\u{a0}legs");
        assert_eq!(capital("no"), "No");
        assert_eq!(capital(""), "");
    }
}
