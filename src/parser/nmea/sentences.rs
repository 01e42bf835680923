//! Where sentences begin and end among the bytes.
//!
//! A line may hold a stamp before the sentence, a fragment before the next
//! one, or rubbish round it; lines end with LF, CR or both.

use memchr::{memchr, memchr2, memchr3, memrchr2};

/// What stands between one `$` or `!` and the next, or the end of its line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Raw<'a> {
    /// Where its `$` or `!` stands, bytes from the start of the file.
    pub(super) start: usize,
    /// What stands before it on its line.
    pub(super) lead: &'a [u8],
    /// What follows its `$` or `!`.
    pub(super) body: &'a [u8],
}

/// Goes over all of them, in file order.
#[derive(Debug)]
pub(super) struct Sentences<'a> {
    bytes: &'a [u8],
    /// From where the next one is sought.
    at: usize,
    /// Where the line of `at` begins.
    line: usize,
}

impl<'a> Sentences<'a> {
    pub(super) fn new(bytes: &'a [u8]) -> Self {
        Self {
            bytes,
            at: 0,
            line: 0,
        }
    }
}

impl<'a> Iterator for Sentences<'a> {
    type Item = Raw<'a>;

    fn next(&mut self) -> Option<Raw<'a>> {
        // Mostly the next sentence follows the line end.
        while let Some(b'\n' | b'\r') = self.bytes.get(self.at) {
            self.at += 1;
            self.line = self.at;
        }
        let start = self.at + memchr2(b'$', b'!', self.bytes.get(self.at..)?)?;
        let between = self.bytes.get(self.at..start)?;
        if let Some(end) = memrchr2(b'\n', b'\r', between) {
            self.line = self.at + end + 1;
        }
        let rest = self.bytes.get(start + 1..)?;
        let body = rest.get(..body_length(rest))?;
        self.at = start + 1 + body.len();
        Some(Raw {
            start,
            lead: self.bytes.get(self.line..start)?,
            body,
        })
    }
}

/// How many bytes are searched at a time: more than any sentence has (82, NMEA 0183), so that one
/// search will do, and few enough that a file full of `!` costs no more than these for each.
const WINDOW_BYTES: usize = 128;

/// Up to the next line end, `$` or `!`.
fn body_length(rest: &[u8]) -> usize {
    for (index, window) in rest.chunks(WINDOW_BYTES).enumerate() {
        let end = memchr3(b'\n', b'\r', b'$', window);
        let body = window.get(..end.unwrap_or(window.len())).unwrap_or(window);
        if let Some(end) = memchr(b'!', body).or(end) {
            return index * WINDOW_BYTES + end;
        }
    }
    rest.len()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[track_caller]
    fn check(text: &str, expected: &[(&str, &str)]) {
        let found: Vec<(String, String)> = Sentences::new(text.as_bytes())
            .map(|raw| {
                let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
                (text(raw.lead), text(raw.body))
            })
            .collect();
        let found: Vec<(&str, &str)> = found.iter().map(|(l, b)| (&**l, &**b)).collect();
        assert_eq!(found, expected, "{text:?}");
    }

    #[test]
    fn every_line_end_will_do() {
        let two = [("", "A,1"), ("", "B,2")];
        check("$A,1\n$B,2\n", &two);
        check("$A,1\r\n$B,2", &two);
        check("$A,1\r!B,2\r", &two);
        check("\n\n$A,1\n\r\n\r$B,2", &two);
        check("", &[]);
        check("no sentence\n", &[]);
    }

    #[test]
    fn leads_and_fragments_are_told_apart() {
        check(
            "09:12 $A,1\nx\n# $B,2$C,3*00 z\n",
            &[("09:12 ", "A,1"), ("# ", "B,2"), ("# $B,2", "C,3*00 z")],
        );
        check("$$!", &[("", ""), ("$", ""), ("$$", "")]);
    }

    proptest! {
        #[test]
        fn any_bytes_come_to_an_end(bytes in prop::collection::vec(prop::sample::select(b"$!\r\na,*".to_vec()), 0..60)) {
            let starts = bytes.iter().filter(|b| matches!(b, b'$' | b'!')).count();
            prop_assert_eq!(Sentences::new(&bytes).count(), starts);
        }
    }
}
