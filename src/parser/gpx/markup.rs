//! XML as files have it: tags, texts and what is broken, found in one pass over a piece of it.
//!
//! More tolerant than XML 1.0 where recorders and cut-off files ask for it: names and attributes
//! are whatever is there, tags need not match, an `&` may be loose, a tag that is not closed
//! costs itself alone. Entities that a document declares are never expanded.

use std::borrow::Cow;

use memchr::{memchr, memchr2, memmem};

use crate::parser::source::STEP_BYTES;

/// Longest tag, comment or CDATA section, bytes; one that is not closed by then is broken.
const MOST_BYTES: usize = 4 * STEP_BYTES;

/// Longest reference, bytes; the longest of XML's own, `&#x10FFFF;`, has 10.
const MOST_REFERENCE_BYTES: usize = 16;

/// What ends a comment, a CDATA section, an instruction, and the two parts of a declaration.
const ENDS: [&[u8]; 5] = [b"-->", b"]]>", b"?>", b"]", b">"];

/// One piece of markup or text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Token<'a> {
    /// A start tag: its name, what follows the name, and whether it is closed in itself.
    Start {
        name: &'a [u8],
        attributes: &'a [u8],
        is_empty: bool,
    },
    /// The name in an end tag.
    End(&'a [u8]),
    /// Text with its references.
    Text(&'a [u8]),
    /// What a CDATA section holds.
    Literal(&'a [u8]),
    /// A comment, a declaration or a processing instruction.
    Beside,
    /// A `<` behind which nothing is closed, up to the next `<`.
    Broken,
}

/// Finds one token after the other.
#[derive(Debug, Default)]
pub(super) struct Tokens {
    /// Up to which places the ends of comments, CDATA sections and instructions were searched for
    /// in vain, bytes from the start of the text: without them a file full of beginnings would be
    /// searched again for each.
    searched: [usize; ENDS.len()],
}

impl Tokens {
    /// The token at byte `at` of a piece that begins at `place`, and where it ends.
    ///
    /// `None` at the end of the piece, and where a token is not closed in it, unless it is the
    /// `last` one.
    pub(super) fn next<'a>(
        &mut self,
        piece: &'a [u8],
        at: usize,
        place: usize,
        last: bool,
    ) -> Option<(Token<'a>, usize)> {
        let rest = piece.get(at..).filter(|rest| !rest.is_empty())?;
        let inside = match rest {
            [b'<', inside @ ..] => inside,
            text => {
                let end = memchr(b'<', text);
                // References are not parted, unless the text is longer than any that is read.
                let whole = end.is_some() || last || text.len() >= STEP_BYTES;
                let end = end.unwrap_or(text.len());
                return whole.then_some((Token::Text(text.get(..end)?), at + end));
            }
        };
        let found = match inside {
            [b'!', b'-', b'-', ..] => {
                let end = self.end_of(piece, at + 4, place, 0);
                end.map(|(_, end)| (Token::Beside, end))
            }
            [b'!', b'[', b'C', b'D', b'A', b'T', b'A', b'[', ..] => {
                let found = self.end_of(piece, at + 9, place, 1);
                found
                    .and_then(|(inner, end)| Some((Token::Literal(piece.get(at + 9..inner)?), end)))
            }
            [b'?', ..] => {
                let end = self.end_of(piece, at + 2, place, 2);
                end.map(|(_, end)| (Token::Beside, end))
            }
            [b'!', ..] => {
                let end = self.after_declaration(piece, at + 1, place);
                end.map(|end| (Token::Beside, end))
            }
            [b'/', name @ ..] => memchr2(b'>', b'<', name).and_then(|end| {
                let closed = name.get(end) == Some(&b'>');
                let name = name.get(..end)?.trim_ascii_end();
                closed.then_some((Token::End(name), at + 2 + end + 1))
            }),
            tag => tag_end(tag).and_then(|end| {
                let token = start_tag(tag.get(..end)?)?;
                Some((token, at + 1 + end + 1))
            }),
        };
        if found.is_some() {
            return found;
        }
        // Another `<` says that this one is not merely cut off by the end of the piece, but in a
        // comment it may be anything.
        let next = memchr(b'<', inside);
        let in_tag = !matches!(inside, [b'!' | b'?', ..]);
        if last || rest.len() >= MOST_BYTES || (in_tag && next.is_some()) {
            let end = next.map_or(piece.len(), |next| at + 1 + next);
            return Some((Token::Broken, end));
        }
        None
    }

    /// Where the kind of end that belongs to a beginning begins and ends itself.
    fn end_of(
        &mut self,
        piece: &[u8],
        from: usize,
        place: usize,
        kind: usize,
    ) -> Option<(usize, usize)> {
        let mark = *ENDS.get(kind)?;
        let searched = self.searched.get_mut(kind)?;
        let from = from.max(searched.saturating_sub(place));
        let found = memmem::find(piece.get(from..)?, mark);
        if found.is_none() {
            *searched = (place + piece.len()).saturating_sub(mark.len() - 1);
        }
        found.map(|at| (from + at, from + at + mark.len()))
    }

    /// Where `!DOCTYPE ... [ ... ]>` ends.
    fn after_declaration(&mut self, piece: &[u8], from: usize, place: usize) -> Option<usize> {
        let rest = piece.get(from..)?;
        let stop = from + rest.iter().position(|b| matches!(b, b'>' | b'[' | b'<'))?;
        match piece.get(stop)? {
            b'>' => Some(stop + 1),
            b'[' => {
                let (_, inner) = self.end_of(piece, stop, place, 3)?;
                self.end_of(piece, inner, place, 4).map(|(_, end)| end)
            }
            _ => None,
        }
    }
}

/// Where a tag ends, of which what follows its `<` is given: at the first `>` outside quotes.
/// `None` where another `<` comes first: a quote or a `>` is missing.
fn tag_end(tag: &[u8]) -> Option<usize> {
    let first = memchr2(b'>', b'<', tag)?;
    if tag.get(first) == Some(&b'<') {
        return None;
    }
    let (mut double, mut single) = (0_usize, 0_usize);
    for &byte in tag.get(..first)? {
        double += usize::from(byte == b'"');
        single += usize::from(byte == b'\'');
    }
    // With the quotes in pairs and of one kind, it is the tag's own.
    if double % 2 == 0 && single % 2 == 0 && (double == 0 || single == 0) {
        return Some(first);
    }
    let mut quote = None;
    for (at, &byte) in tag.iter().enumerate() {
        match (byte, quote) {
            (b'<', _) => return None,
            (b'>', None) => return Some(at),
            (b'"' | b'\'', None) => quote = Some(byte),
            (byte, Some(open)) if byte == open => quote = None,
            _ => {}
        }
    }
    None
}

/// A start tag without its `<` and `>`.
fn start_tag(tag: &[u8]) -> Option<Token<'_>> {
    let (tag, is_empty) = match tag {
        [tag @ .., b'/'] => (tag, true),
        tag => (tag, false),
    };
    let name = tag.iter().position(u8::is_ascii_whitespace);
    let (name, attributes) = tag.split_at_checked(name.unwrap_or(tag.len()))?;
    Some(Token::Start {
        name,
        attributes,
        is_empty,
    })
}

/// The `name="value"` pairs of a start tag; values are as written, references and all.
///
/// Also without quotes, with blanks round `=`, and with the same name twice.
pub(super) fn attributes(text: &str) -> impl Iterator<Item = (&str, &str)> {
    let mut rest = text;
    std::iter::from_fn(move || {
        let text = rest.trim_ascii_start();
        let end = (text.bytes()).position(|b| b == b'=' || b.is_ascii_whitespace());
        let Some((name, after)) = end.and_then(|end| text.split_at_checked(end)) else {
            rest = "";
            return (!text.is_empty()).then_some((text, ""));
        };
        let Some(value) = after.trim_ascii_start().strip_prefix('=') else {
            rest = after;
            return Some((name, ""));
        };
        let value = value.trim_ascii_start();
        let quote = value.chars().next().filter(|c| matches!(c, '"' | '\''));
        let (value, after) = match quote {
            Some(quote) => {
                let inside = value.get(1..)?;
                inside.split_once(quote).unwrap_or((inside, ""))
            }
            None => value.split_at(
                value
                    .find(|c: char| c.is_ascii_whitespace())
                    .unwrap_or(value.len()),
            ),
        };
        rest = after;
        Some((name, value))
    })
}

/// A text with its references resolved: XML's own and those of characters. What is none of them
/// stays as it is.
pub(super) fn resolved(text: &str) -> Cow<'_, str> {
    if !text.contains('&') {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len());
    let mut pieces = text.split('&');
    out.extend(pieces.next());
    for piece in pieces {
        let reference = piece
            .split_once(';')
            .filter(|(name, _)| name.len() <= MOST_REFERENCE_BYTES)
            .and_then(|(name, rest)| Some((character(name)?, rest)));
        if let Some((character, rest)) = reference {
            out.push(character);
            out.push_str(rest);
        } else {
            out.push('&');
            out.push_str(piece);
        }
    }
    Cow::Owned(out)
}

fn character(name: &str) -> Option<char> {
    Some(match name {
        "amp" => '&',
        "lt" => '<',
        "gt" => '>',
        "quot" => '"',
        "apos" => '\'',
        _ => {
            let digits = name.strip_prefix('#')?;
            let code = match digits.strip_prefix('x') {
                Some(digits) => u32::from_str_radix(digits, 16),
                None => digits.parse(),
            };
            char::from_u32(code.ok()?)?
        }
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// The tokens of a text, one letter and the text of each.
    fn shown(text: &str) -> Vec<String> {
        let (mut tokens, mut at, mut out) = (Tokens::default(), 0, Vec::new());
        while let Some((token, end)) = tokens.next(text.as_bytes(), at, 0, true) {
            let text = |bytes| String::from_utf8_lossy(bytes).into_owned();
            out.push(match token {
                Token::Start {
                    name,
                    attributes,
                    is_empty,
                } => format!(
                    "{} {}|{}",
                    if is_empty { "E" } else { "S" },
                    text(name),
                    text(attributes)
                ),
                Token::End(name) => format!("/ {}", text(name)),
                Token::Text(piece) => format!("t {}", text(piece)),
                Token::Literal(piece) => format!("c {}", text(piece)),
                Token::Beside => "-".to_owned(),
                Token::Broken => "!".to_owned(),
            });
            at = end;
        }
        out
    }

    #[test]
    fn tokens_are_found_in_every_dress() {
        for (text, expected) in [
            ("<a>b</a >", &["S a|", "t b", "/ a"][..]),
            ("<g:a x='1'/>", &["E g:a| x='1'"]),
            (
                "<a x=\"it's >\" y='\"'>z",
                &["S a| x=\"it's >\" y='\"'", "t z"],
            ),
            ("<!-- > <a> --><b/>", &["-", "E b|"]),
            ("<![CDATA[<a>]]>&amp;", &["c <a>", "t &amp;"]),
            (
                "<?xml version='1.0'?><!DOCTYPE a [<!ENTITY b '>'>]><a>",
                &["-", "-", "S a|"],
            ),
            ("<a x='1><b>c", &["!", "S b|", "t c"]),
            ("<a <b/>", &["!", "E b|"]),
            ("<!-- <b/>", &["!", "E b|"]),
            ("a < b <c>", &["t a ", "!", "S c|"]),
            ("<a x='", &["!"]),
            ("<", &["!"]),
        ] {
            assert_eq!(shown(text), expected, "{text}");
        }
    }

    #[test]
    fn attributes_are_found_in_every_dress() {
        let found = |text| attributes(text).collect::<Vec<_>>();
        let both = vec![("lat", "57.7"), ("lon", "11.9")];
        for text in [
            r#" lat="57.7" lon="11.9""#,
            "\r\n\tlat = '57.7'lon='11.9' ",
            " lat=57.7 lon=11.9",
        ] {
            assert_eq!(found(text), both, "{text}");
        }
        assert_eq!(found(r#" a b="c" d="#), [("a", ""), ("b", "c"), ("d", "")]);
        assert_eq!(found(r#" lat="57.7"#), [("lat", "57.7")]);
        assert_eq!(found(r#" ö="ä" "#), [("ö", "ä")]);
        assert_eq!(found("   "), []);
    }

    #[test]
    fn references_are_resolved_where_they_are_known() {
        assert_eq!(resolved("57&#46;7&#xA;&lt;"), "57.7\n<");
        for text in ["a & b", "&what;", "&#x110000;", "&", "&amp", "&#;"] {
            assert_eq!(resolved(text), text);
        }
    }

    proptest! {
        #[test]
        fn any_text_comes_to_an_end(text in "[ a=\"'ö<>/!\\-\\[\\]?\n&;]*", at in any::<prop::sample::Index>()) {
            prop_assert!(shown(&text).len() <= text.len());
            prop_assert!(attributes(&text).count() <= text.len());
            // A piece gives the tokens that the whole begins with.
            let at = at.index(text.len() + 1);
            let piece = text.as_bytes().get(..at).unwrap_or_default();
            let (mut tokens, mut end) = (Tokens::default(), 0);
            let (mut whole, mut whole_end) = (Tokens::default(), 0);
            while let Some((token, next)) = tokens.next(piece, end, 0, false) {
                let (expected, expected_end) = whole
                    .next(text.as_bytes(), whole_end, 0, true)
                    .unwrap_or((Token::Broken, 0));
                prop_assert_eq!((token, next), (expected, expected_end));
                (end, whole_end) = (next, expected_end);
            }
        }
    }
}
