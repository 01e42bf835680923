//! The quick way through runs of plain points.
//!
//! Nearly all of a track's bytes are track points in the plainest XML: start
//! tags without attributes, text without references, end tags that match. These
//! are read here straight from the bytes. Whatever is not so plain, be it a
//! comment, a reference, an attribute, a mismatch or the end of the file, is
//! left untouched to the tokenizer, from the start of its point on. Both ways
//! must give the same; a test holds them to it.

use memchr::{memchr, memchr2};

use super::builder::Builder;
use super::names::{Field, Kind, kind_of, local, recorded_field};
use super::point::OpenPoint;
use crate::parser::time::TimeReader;

/// How deep extensions may nest inside a point to be read here.
pub(super) const MOST_CONTAINERS: usize = 4;

/// Reads whole points from byte `from` on while they are plain; returns where the last one ends.
pub(super) fn run<'a>(text: &'a str, from: usize, builder: &mut Builder<'a>) -> usize {
    let mut end = from;
    while let Some(read) = read_point(text, end, builder.times()) {
        builder.gathered.add_point(&read.point);
        end = read.end;
    }
    end
}

struct PointRead<'a> {
    point: OpenPoint<'a>,
    end: usize,
}

fn read_point<'a>(text: &'a str, from: usize, times: &mut TimeReader) -> Option<PointRead<'a>> {
    let bytes = text.as_bytes();
    let start = skip_blanks(bytes, from);
    let tag = start_tag(text, start)?;
    let mut point = OpenPoint::new(start, tag.attributes);
    let mut containers = [""; MOST_CONTAINERS];
    let mut level = 0_usize;
    let mut at = tag.end;
    loop {
        at = skip_blanks(bytes, at);
        let [b'<', next, ..] = bytes.get(at..)? else {
            return None;
        };
        if *next == b'/' {
            let Some(outer) = level.checked_sub(1) else {
                let end = end_tag(bytes, at, tag.name)?;
                return Some(PointRead { point, end });
            };
            at = end_tag(bytes, at, containers.get(outer).copied()?)?;
            level = outer;
            continue;
        }
        let name = name(text, at)?;
        let after_name = at + 1 + name.len();
        let inside = match bytes.get(after_name..)? {
            [b'>', ..] => after_name + 1,
            [b'/', b'>', ..] if is_passed_over(name) => {
                at = after_name + 2;
                continue;
            }
            _ => return None,
        };
        let local = local(name);
        let kind = kind_of(local);
        let length = memchr2(b'<', b'&', bytes.get(inside..)?)?;
        let [b'<', next, ..] = bytes.get(inside + length..)? else {
            return None;
        };
        if *next == b'/' {
            let field = match kind {
                Kind::Time if level == 0 => Some(Field::Time),
                Kind::Time | Kind::Name | Kind::Other => None,
                Kind::Speed | Kind::Course | Kind::Depth => recorded_field(kind, local, ""),
                _ => return None,
            };
            at = end_tag(bytes, inside + length, name)?;
            if let Some(field) = field {
                let content = text.get(inside..inside + length)?;
                point.put(field, content, level == 0, times);
            }
        } else {
            if kind != Kind::Other {
                return None;
            }
            *containers.get_mut(level)? = name;
            level += 1;
            at = inside + length;
        }
    }
}

/// Whether an empty element of this name changes nothing.
fn is_passed_over(name: &str) -> bool {
    matches!(kind_of(local(name)), Kind::Other | Kind::Name)
}

struct StartTag<'a> {
    name: &'a str,
    attributes: &'a str,
    end: usize,
}

/// The start tag of a track point with attributes in quotes of one kind, not self-closing.
fn start_tag(text: &str, at: usize) -> Option<StartTag<'_>> {
    let name = name(text, at)?;
    if kind_of(local(name)) != Kind::TrackPoint {
        return None;
    }
    let after_name = at + 1 + name.len();
    let length = memchr(b'>', text.as_bytes().get(after_name..)?)?;
    let attributes = text.get(after_name..after_name + length)?;
    if !attributes.starts_with(|c: char| c.is_ascii_whitespace()) {
        return None;
    }
    let (mut double, mut single, mut markup) = (0_usize, 0_usize, false);
    for &byte in attributes.as_bytes() {
        double += usize::from(byte == b'"');
        single += usize::from(byte == b'\'');
        markup |= byte == b'<';
    }
    // With the quotes in pairs and of one kind, the `>` found is the tag's own.
    let paired = double % 2 == 0 && single % 2 == 0 && (double == 0 || single == 0);
    if markup || !paired || attributes.ends_with('/') {
        return None;
    }
    Some(StartTag {
        name,
        attributes,
        end: after_name + length + 1,
    })
}

/// The name in the start tag at `at`.
fn name(text: &str, at: usize) -> Option<&str> {
    let [b'<', rest @ ..] = text.as_bytes().get(at..)? else {
        return None;
    };
    let plain = |b: u8| b.is_ascii_alphanumeric() || matches!(b, b':' | b'_' | b'-' | b'.');
    let length = rest.iter().position(|&b| !plain(b)).filter(|&n| n > 0)?;
    text.get(at + 1..at + 1 + length)
}

/// Where the end tag at `at` ends, if it is `</name>` to the byte.
fn end_tag(bytes: &[u8], at: usize, name: &str) -> Option<usize> {
    let rest = bytes.get(at..)?.strip_prefix(b"</")?;
    let rest = rest.strip_prefix(name.as_bytes())?;
    rest.starts_with(b">").then_some(at + 2 + name.len() + 1)
}

fn skip_blanks(bytes: &[u8], from: usize) -> usize {
    let rest = bytes.get(from..).unwrap_or_default();
    let blanks = rest.iter().position(|b| !b.is_ascii_whitespace());
    from + blanks.unwrap_or(rest.len())
}
