//! Words and numbers as they stand in charts, and how much room they need.
//!
//! Charts are set in whatever font the reader's system has, so widths are
//! estimated from above: a little more than the widest common system fonts.

use super::style::Shape;

/// Advance of a character in ems, from above.
///
/// Rounded up from DejaVu Sans, the widest of the usual system fonts (measured on its
/// advance widths); scripts that fill the em count whole.
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

/// How wide `text` may stand at `size`, from above.
pub(super) fn width(text: &str, size: f64) -> f64 {
    text.chars().map(advance).sum::<f64>() * size
}

/// `text` cut to fit into `room`, with an ellipsis where something was cut; control characters become spaces.
///
/// Names come from files: whatever XML cannot hold must not reach it.
pub(super) fn fitted(text: &str, size: f64, room: f64) -> String {
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

/// `text` without the characters XML 1.0 does not allow (section 2.2) and without line breaks.
pub(super) fn clean(text: &str) -> String {
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
pub(super) fn number(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        // A value that rounds to nothing bears no sign.
        Some(rest) if rest.chars().all(|c| matches!(c, '0' | '.')) => rest.to_owned(),
        Some(rest) => format!("−{rest}"),
        None => text,
    }
}

/// A number that always bears its sign, save for zero.
pub(super) fn signed(value: f64, decimals: usize) -> String {
    let text = number(value, decimals);
    if text.starts_with('−') || text.chars().all(|c| matches!(c, '0' | '.')) {
        text
    } else {
        format!("+{text}")
    }
}

/// `1 leg`, `2 legs`.
pub(super) fn count(n: usize, noun: &str) -> String {
    format!("{n} {noun}{}", if n == 1 { "" } else { "s" })
}

/// What the shapes stand for: `circle half, square full`.
pub(super) fn shapes(settings: &[String]) -> String {
    settings
        .iter()
        .enumerate()
        .map(|(k, name)| format!("{} {}", Shape::of(k).word(), clean(name)))
        .collect::<Vec<_>>()
        .join(", ")
}
