//! From places in a text to their lines, where the text is met piece by piece.

use memchr::memchr_iter;

/// Line ends met.
#[derive(Debug, Clone, Copy, Default)]
struct Ends {
    feeds: usize,
    returns: usize,
}

impl Ends {
    fn of(text: &[u8]) -> Self {
        Self {
            feeds: memchr_iter(b'\n', text).count(),
            returns: memchr_iter(b'\r', text).count(),
        }
    }

    fn and(self, later: Self) -> Self {
        Self {
            feeds: self.feeds + later.feeds,
            returns: self.returns + later.returns,
        }
    }
}

/// The lines of some places.
///
/// A piece is gone over when it is read, because it is not kept; whoever
/// remembers places in it names them then.
#[derive(Debug, Default)]
pub(super) struct Lines {
    /// Bytes gone over.
    at: usize,
    /// Line ends in them.
    met: Ends,
    /// Places and the line ends before them.
    known: Vec<(usize, Ends)>,
}

impl Lines {
    /// Goes over the next piece, and remembers the lines of those places that lie in it or at its
    /// end; places are bytes from the start of the text.
    pub(super) fn go_over(&mut self, piece: &[u8], places: impl IntoIterator<Item = usize>) {
        for place in places {
            let before = place.checked_sub(self.at).and_then(|n| piece.get(..n));
            if let Some(before) = before {
                self.known.push((place, self.met.and(Ends::of(before))));
            }
        }
        self.at += piece.len();
        self.met = self.met.and(Ends::of(piece));
    }

    /// The line, counted from 1, of a place named before; the last line for any other.
    ///
    /// A text with carriage returns alone is counted by these.
    pub(super) fn line_of(&self, place: usize) -> u64 {
        let known = self.known.iter().find(|(known, _)| *known == place);
        let before = known.map_or(self.met, |&(_, before)| before);
        let ends = if self.met.feeds == 0 {
            before.returns
        } else {
            before.feeds
        };
        ends as u64 + 1
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn line_of(text: &str, place: usize) -> u64 {
        let mut lines = Lines::default();
        lines.go_over(text.as_bytes(), [place]);
        lines.line_of(place)
    }

    #[test]
    fn lines_are_counted_by_whatever_ends_them() {
        assert_eq!(line_of("a\nb\nc", 4), 3);
        assert_eq!(line_of("a\r\nb\r\nc", 6), 3);
        assert_eq!(line_of("a\rb\rc", 4), 3);
        assert_eq!(line_of("abc", 99), 1);
    }

    proptest! {
        #[test]
        fn pieces_give_the_lines_of_the_whole(
            pieces in prop::collection::vec("[a\n\r]{0,6}", 0..5),
            place in any::<prop::sample::Index>(),
        ) {
            let whole = pieces.concat();
            let place = place.index(whole.len() + 1);
            let mut lines = Lines::default();
            for piece in &pieces {
                lines.go_over(piece.as_bytes(), [place]);
            }
            prop_assert_eq!(lines.line_of(place), line_of(&whole, place));
        }
    }
}
