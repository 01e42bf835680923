//! Words and numbers as they are written in charts, and how much room they need.
//!
//! Charts are set in whatever font the reader's system has, so widths are
//! estimated from above: a little more than the widest common system fonts.

use super::style::Shape;

/// Advance of a character in ems, from above.
///
/// Rounded up from the advance widths of `DejaVu Sans`, the widest of the usual system fonts;
/// scripts that fill the em count whole.
fn advance(character: char) -> f64 {
    match character {
        'i' | 'j' | 'l' | '\'' | '|' => 0.30,
        ' ' | '\u{a0}' | '.' | ',' | ':' | ';' | '!' | 'I' | 'f' | 't' | 'r' | '(' | ')' | '/'
        | '-' => 0.42,
        'm' | 'w' | 'M' | 'W' | '@' | '%' | '…' | '—' => 1.0,
        '°' => 0.5,
        '–' => 0.55,
        '+' | '−' | '=' | '<' | '>' | '±' | '→' => 0.84,
        'A'..='Z' => 0.78,
        c if (c as u32) < 0x250 => 0.64,
        c if (c as u32) < 0x590 => 0.80,
        _ => 1.05,
    }
}

/// How wide `text` may be at `size`, from above.
pub(crate) fn width(text: &str, size: f64) -> f64 {
    text.chars().map(advance).sum::<f64>() * size
}

/// `text` cut to fit into `room`, with an ellipsis where something was cut; control characters
/// become spaces.
///
/// Names come from files: whatever XML cannot hold must not reach it.
pub(crate) fn fitted(text: &str, size: f64, room: f64) -> String {
    let clean = clean(text);
    if width(&clean, size) <= room {
        return clean;
    }
    let mut kept = String::new();
    let mut used = width("…", size);
    for character in clean.chars() {
        used += advance(character) * size;
        if used > room {
            break;
        }
        kept.push(character);
    }
    kept.truncate(kept.trim_end().len());
    kept.push('…');
    kept
}

/// `text` on as many lines as it takes, at most `lines`, broken at spaces; the last is cut to fit.
pub(crate) fn wrapped(text: &str, size: f64, room: f64, lines: usize) -> Vec<String> {
    let mut done: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in clean(text).split(' ') {
        let longer = if line.is_empty() {
            word.to_owned()
        } else {
            format!("{line} {word}")
        };
        let fits = width(&longer, size) <= room || line.is_empty();
        if fits || done.len() + 1 >= lines {
            line = longer;
        } else {
            done.push(fitted(&line, size, room));
            word.clone_into(&mut line);
        }
    }
    done.push(fitted(&line, size, room));
    done
}

/// `text` without the characters XML 1.0 does not allow (section 2.2) and without line breaks.
pub(crate) fn clean(text: &str) -> String {
    let spaced: String = text
        .chars()
        .map(|c| match c {
            c if c.is_control() => ' ',
            '\u{fffe}' | '\u{ffff}' => '\u{fffd}',
            // Marks that turn the direction of what follows would reorder the chart's own words.
            '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => ' ',
            c => c,
        })
        .collect();
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A number with a true minus sign.
pub(crate) fn number(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        // A value that rounds to nothing has no sign.
        Some(rest) if rest.chars().all(|c| matches!(c, '0' | '.')) => rest.to_owned(),
        Some(rest) => format!("−{rest}"),
        None => text,
    }
}

/// A number that always has its sign, save for zero.
pub(crate) fn signed(value: f64, decimals: usize) -> String {
    let text = number(value, decimals);
    if text.starts_with('−') || text.chars().all(|c| matches!(c, '0' | '.')) {
        text
    } else {
        format!("+{text}")
    }
}

/// A number with its unit.
pub(crate) fn with_unit(value: f64, decimals: usize, unit: &str) -> String {
    format!("{}\u{a0}{unit}", number(value, decimals))
}

/// The first letter as a capital.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// `1 leg`, `2 legs`.
pub(crate) fn count(n: usize, noun: &str) -> String {
    format!("{n} {noun}{}", if n == 1 { "" } else { "s" })
}

/// What the shapes stand for: `circles for setting half, squares for full`.
pub(crate) fn shapes(settings: &[String]) -> String {
    settings
        .iter()
        .enumerate()
        .map(|(k, name)| {
            let setting = if k == 0 { "setting " } else { "" };
            format!("{}s for {setting}{}", Shape::of(k).word(), clean(name))
        })
        .collect::<Vec<_>>()
        .join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_have_true_signs() {
        assert_eq!(number(-3.25, 1), "−3.2");
        assert_eq!(number(-0.04, 1), "0.0");
        assert_eq!(signed(0.04, 1), "0.0");
        assert_eq!(signed(5.0, 1), "+5.0");
        assert_eq!(signed(-5.0, 0), "−5");
    }

    #[test]
    fn names_are_cut_and_cleaned() {
        assert_eq!(clean(" a\u{0}b\n\u{202e}c "), "a b c");
        assert_eq!(fitted("short", 10.0, 100.0), "short");
        let cut = fitted("a name without end", 10.0, 60.0);
        assert!(cut.ends_with('…') && width(&cut, 10.0) <= 60.0, "{cut}");
    }

    #[test]
    fn long_names_go_on_two_lines() {
        let lines = wrapped("three blades and a longer shaft", 12.0, 95.0, 2);
        assert_eq!(lines.len(), 2);
        assert_eq!(lines[0], "three blades");
        assert!(
            lines.iter().all(|line| width(line, 12.0) <= 95.0),
            "{lines:?}"
        );
        assert_eq!(wrapped("", 12.0, 95.0, 2), [""]);
        assert_eq!(wrapped("unbroken-and-long-name", 12.0, 60.0, 2).len(), 1);
    }
}
