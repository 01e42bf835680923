//! The fields of one sentence.

use memchr::memchr_iter;

use crate::parser::number::decimal;

/// Most fields looked at; the longest sentence read here, GGA, has 15 with its address.
const MOST_FIELDS: usize = 20;

/// The fields of a sentence, numbered as in descriptions of NMEA 0183: the first behind the address
/// is 1.
#[derive(Debug, Clone, Copy)]
pub(super) struct Fields<'a> {
    all: [&'a str; MOST_FIELDS],
    count: usize,
}

impl<'a> Fields<'a> {
    /// Splits what follows the address and its comma.
    pub(super) fn new(payload: &'a str) -> Self {
        let mut fields = Self {
            all: [""; MOST_FIELDS],
            count: 0,
        };
        let mut from = 0;
        let commas = memchr_iter(b',', payload.as_bytes());
        for (place, end) in fields.all.iter_mut().zip(commas.chain([payload.len()])) {
            *place = payload.get(from..end).unwrap_or_default();
            from = end + 1;
            fields.count += 1;
        }
        fields
    }

    /// How many there are.
    pub(super) fn count(&self) -> usize {
        self.count
    }

    /// One field without blanks round it; empty where there is none.
    pub(super) fn text(&self, number: usize) -> &'a str {
        let field = number.checked_sub(1).and_then(|index| self.all.get(index));
        field.map_or("", |field| field.trim_ascii())
    }

    /// One field's first letter, as a capital.
    pub(super) fn letter(&self, number: usize) -> Option<u8> {
        let first = self.text(number).bytes().next()?;
        Some(first.to_ascii_uppercase())
    }

    /// One field as a finite number; `None` where it is empty or none.
    pub(super) fn number(&self, number: usize) -> Option<f64> {
        decimal(self.text(number))
    }

    /// A number of at least 0.
    pub(super) fn positive(&self, number: usize) -> Option<f64> {
        self.number(number).filter(|&value| value >= 0.0)
    }

    /// A number, where the field behind it holds the letter of its unit or reference.
    pub(super) fn marked(&self, number: usize, letter: u8) -> Option<f64> {
        let value = self.number(number)?;
        (self.letter(number + 1) == Some(letter)).then_some(value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_are_numbered_from_one() {
        let fields = Fields::new("054.7,T, 34.4 ,m,,N");
        assert_eq!(fields.count(), 6);
        assert_eq!(fields.text(1), "054.7");
        assert_eq!(fields.marked(1, b'T'), Some(54.7));
        assert_eq!(fields.marked(3, b'M'), Some(34.4));
        assert_eq!(fields.marked(1, b'M'), None);
        assert_eq!(fields.number(5), None);
        assert_eq!(fields.text(0), "");
        assert_eq!(fields.text(7), "");
        assert_eq!(Fields::new(&",".repeat(1000)).text(900), "");
    }
}
