//! The heading of a column: its words, and the unit it names.
//!
//! Case, prefixes such as `gps` and the way words are joined do not count; a unit is in brackets
//! or the last words.

/// Longest heading looked at.
const MOST_BYTES: usize = 80;

/// Words that say nothing of what a column is.
const NOISE: [&str; 22] = [
    "gps", "gnss", "position", "pos", "location", "loc", "wgs84", "decimal", "dd", "deg", "degs",
    "degree", "degrees", "dec", "true", "nav", "t", "utc", "gmt", "local", "iso", "iso8601",
];

/// What a column says of its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::parser) enum Unit<T> {
    /// Nothing.
    Unsaid,
    /// One that is known.
    Known(T),
    /// One that is not.
    Unknown,
}

impl<T> Unit<T> {
    /// The unit where it is known.
    pub(in crate::parser) fn known(self) -> Option<T> {
        match self {
            Self::Known(unit) => Some(unit),
            Self::Unsaid | Self::Unknown => None,
        }
    }
}

/// A heading taken apart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::parser) struct Heading {
    /// Its words before the brackets, in small letters.
    pub(in crate::parser) words: Vec<String>,
    /// What is in brackets.
    pub(in crate::parser) bracketed: Option<String>,
}

impl Heading {
    /// The heading in a cell; without words where it is longer than any.
    pub(in crate::parser) fn of(cell: &str) -> Self {
        let cell = Some(cell).filter(|cell| cell.len() <= MOST_BYTES);
        let cell = cell.unwrap_or_default();
        let (before, inside) = match cell.split_once(['(', '[', '{']) {
            Some((before, rest)) => (before, rest.split([')', ']', '}']).next()),
            None => (cell, None),
        };
        Self {
            words: words(before),
            bracketed: inside.map(|inside| inside.trim().to_owned()),
        }
    }

    /// What `find` makes of the heading's name, and what `unit` then makes of its unit.
    ///
    /// The name is all words that say something but the last none, one or two, which are then the
    /// unit and must be known; brackets promise a unit, known or not.
    pub(in crate::parser) fn named<K: Copy, T>(
        &self,
        find: impl Fn(&str) -> Option<K>,
        unit: impl Fn(K, &str) -> Option<T>,
    ) -> Option<(K, Unit<T>)> {
        (0..=self.words.len().min(3).checked_sub(1)?).find_map(|unit_words| {
            let (name, last) = self.words.split_at_checked(self.words.len() - unit_words)?;
            let kind = find(&telling(name))?;
            if unit_words > 0 {
                return Some((kind, Unit::Known(unit(kind, &last.join("_"))?)));
            }
            let inside = self.bracketed.as_ref();
            let found = inside.map(|inside| unit(kind, inside).map_or(Unit::Unknown, Unit::Known));
            Some((kind, found.unwrap_or(Unit::Unsaid)))
        })
    }

    /// The unit that `find` knows: in brackets, at the end, or anywhere.
    pub(in crate::parser) fn unit<T>(&self, find: impl Fn(&str) -> Option<T>) -> Option<T> {
        let at_end = |count: usize| {
            let from = self.words.len().checked_sub(count)?;
            find(&self.words.get(from..)?.join("_"))
        };
        let inside = self.bracketed.as_deref();
        (inside.and_then(&find))
            .or_else(|| at_end(2))
            .or_else(|| at_end(1))
            .or_else(|| self.words.iter().find_map(|word| find(word)))
    }

    /// Whether one of these is among its words or in its brackets.
    pub(in crate::parser) fn has(&self, sought: &[&str]) -> bool {
        let inside = self.bracketed.as_deref().map(words).unwrap_or_default();
        let mut all = self.words.iter().chain(&inside);
        all.any(|word| sought.contains(&word.as_str()))
    }
}

/// The words of a name in small letters: `speedOverGround`, `Speed_over ground`.
fn words(name: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let letters: Vec<char> = name.chars().collect();
    for (at, &c) in letters.iter().enumerate() {
        let before = at.checked_sub(1).and_then(|before| letters.get(before));
        let is_lower = |c: Option<&char>| c.is_some_and(|c| c.is_lowercase());
        let begins = c.is_uppercase()
            && (is_lower(before)
                || before.is_some_and(char::is_ascii_digit)
                || (before.is_some_and(|c| c.is_uppercase()) && is_lower(letters.get(at + 1))));
        let is_of_word = c.is_alphanumeric() || c == '/';
        if begins || !is_of_word {
            words.push(String::new());
        }
        if let Some(word) = words.last_mut().filter(|_| is_of_word) {
            word.extend(c.to_lowercase());
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

/// The words that say something, joined by blanks.
fn telling(words: &[String]) -> String {
    let all = || words.iter().map(String::as_str);
    let telling: Vec<&str> = all().filter(|word| !NOISE.contains(word)).collect();
    if telling.is_empty() {
        return all().collect::<Vec<_>>().join(" ");
    }
    telling.join(" ")
}
