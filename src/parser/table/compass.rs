//! Columns of a compass: headings, against which north, and the variation between the two.
//!
//! Names are common practice, no source. A name that says neither true nor
//! magnetic is taken for true, as courses are, and that is told.

use crate::parser::number::decimal;
use crate::units::{Bearing, Turn};

/// Which north a heading counts from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum North {
    /// The header does not say.
    Unsaid,
    /// The pole's.
    True,
    /// The compass needle's: of no use without the variation.
    Magnetic,
}

/// What a compass column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Compass {
    /// Where the bow points, degrees.
    Heading(North),
    /// Magnetic north against true north, degrees, east positive or with its letter.
    Variation,
}

/// What a column with these words in its name, and this in brackets, has of a compass.
pub(super) fn compass(words: &[&str], bracketed: Option<&str>) -> Option<Compass> {
    const FILLERS: [&str; 7] = ["deg", "degs", "degree", "degrees", "boat", "vessel", "bow"];
    let bracketed = bracketed.unwrap_or_default().to_ascii_lowercase();
    let bracketed = bracketed.split(|c: char| !c.is_ascii_alphanumeric());
    let (mut north, mut rest) = (North::Unsaid, Vec::new());
    for word in words.iter().copied().chain(bracketed) {
        match word {
            "true" | "t" => north = North::True,
            "magnetic" | "mag" | "m" | "compass" => north = North::Magnetic,
            "" => {}
            filler if FILLERS.contains(&filler) => {}
            telling => rest.push(telling),
        }
    }
    match (rest.as_slice(), north) {
        (["heading" | "hdg"], north) => Some(Compass::Heading(north)),
        (["hdt"], _) => Some(Compass::Heading(North::True)),
        (["hdm"], _) => Some(Compass::Heading(North::Magnetic)),
        (["variation" | "magvar" | "declination"], _) | (["var"], North::Magnetic) => {
            Some(Compass::Variation)
        }
        _ => None,
    }
}

/// A heading in degrees.
pub(super) fn heading(cell: &str) -> Option<Bearing> {
    let cell = cell.trim_end_matches(['T', 'M', '°', ' ']);
    decimal(cell)
        .filter(|degrees| (0.0..=360.0).contains(degrees))
        .and_then(Bearing::new)
}

/// A variation: `4.5`, `-7,1`, `7.1 W`.
pub(super) fn variation(cell: &str) -> Option<Turn> {
    let cell = cell.trim();
    let sign = if cell.ends_with(['W', 'w']) {
        -1.0
    } else {
        1.0
    };
    let degrees = decimal(cell.trim_end_matches(['E', 'e', 'W', 'w', '°', ' ']))?;
    // Near a magnetic pole it may be anything; a letter goes with a size alone.
    let fits = degrees.abs() <= 180.0 && (sign > 0.0 || degrees >= 0.0);
    fits.then(|| Turn::new(sign * degrees)).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(words: &[&str], bracketed: Option<&str>, expected: Option<Compass>) {
        assert_eq!(
            compass(words, bracketed),
            expected,
            "{words:?} {bracketed:?}"
        );
    }

    #[test]
    fn true_magnetic_and_unsaid_are_told_apart() {
        let heading = |north| Some(Compass::Heading(north));
        check(&["heading"], None, heading(North::Unsaid));
        check(&["hdg", "deg"], None, heading(North::Unsaid));
        check(&["heading", "true"], None, heading(North::True));
        check(&["true", "heading"], Some("°"), heading(North::True));
        check(&["heading"], Some("deg T"), heading(North::True));
        check(&["heading"], Some("°M"), heading(North::Magnetic));
        check(&["hdg", "mag"], None, heading(North::Magnetic));
        check(&["compass", "heading"], None, heading(North::Magnetic));
        check(&["hdt"], None, heading(North::True));
        check(&["hdm"], Some("deg"), heading(North::Magnetic));
        check(&["magnetic", "variation"], None, Some(Compass::Variation));
        check(&["mag", "var"], None, Some(Compass::Variation));
        check(&["variation"], Some("deg"), Some(Compass::Variation));
        check(&["var"], None, None);
        check(&["heading", "error"], None, None);
        check(&["compass"], None, None);
        check(&[], None, None);
    }

    #[test]
    fn figures_with_and_without_letters() {
        let degrees = |cell| heading(cell).map(Bearing::degrees);
        assert_eq!(degrees("235.5"), Some(235.5));
        assert_eq!(degrees("235,5 °T"), Some(235.5));
        assert_eq!(degrees("360"), Some(0.0));
        for cell in ["", "-1", "361", "north", "NaN"] {
            assert_eq!(degrees(cell), None, "{cell}");
        }
        // Wrapping a turn costs the last digits.
        let turned = |cell| variation(cell).map(|turn| (turn.degrees() * 1e9).round() / 1e9);
        assert_eq!(turned("4.5"), Some(4.5));
        assert_eq!(turned("7.1 W"), Some(-7.1));
        assert_eq!(turned("-7,1"), Some(-7.1));
        assert_eq!(turned("4.5°E"), Some(4.5));
        for cell in ["", "W", "-7 W", "200", "east"] {
            assert_eq!(turned(cell), None, "{cell}");
        }
    }
}
