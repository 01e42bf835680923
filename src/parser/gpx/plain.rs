//! The quick way through runs of plain points.
//!
//! Nearly all of a track's bytes are track points in the plainest XML: quotes in
//! order, end tags that match. These are read here straight from the bytes. Text
//! that nobody asks for is passed over with whatever references it holds; in text
//! that is asked for they are resolved. Whatever is not so plain, be it a mismatch,
//! a processing instruction or the end of the file, is left untouched to the
//! tokenizer, from the start of its point on. Both ways must give the same; tests
//! hold them to it.

use memchr::{memchr, memmem};

use super::builder::Builder;
use super::names::{Field, Kind, kind_of, local, recorded_field};
use super::pass::resolved;
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
    let tag = start_tag(text, start, |kind| kind == Kind::TrackPoint)?;
    if tag.is_empty {
        return None;
    }
    let mut point = OpenPoint::new(start, tag.attributes);
    let mut containers = [""; MOST_CONTAINERS];
    let mut level = 0_usize;
    let mut at = tag.end;
    loop {
        at = skip_blanks(bytes, at);
        match bytes.get(at..)? {
            [b'<', b'/', ..] => {
                let Some(outer) = level.checked_sub(1) else {
                    let end = end_tag(bytes, at, tag.name)?;
                    return Some(PointRead { point, end });
                };
                at = end_tag(bytes, at, containers.get(outer).copied()?)?;
                level = outer;
                continue;
            }
            [b'<', b'!', b'-', b'-', comment @ ..] => {
                at += 4 + memmem::find(comment, b"-->")? + 3;
                continue;
            }
            [
                b'<',
                b'!',
                b'[',
                b'C',
                b'D',
                b'A',
                b'T',
                b'A',
                b'[',
                text @ ..,
            ] => {
                at += 9 + memmem::find(text, b"]]>")? + 3;
                continue;
            }
            [b'<', ..] => {}
            // Text between elements means nothing.
            loose => {
                at += memchr(b'<', loose)?;
                continue;
            }
        }
        let child = start_tag(text, at, |kind| !kind.is_structural())?;
        if child.is_empty {
            at = child.end;
            continue;
        }
        let length = memchr(b'<', bytes.get(child.end..)?)?;
        let text_end = child.end + length;
        match bytes.get(text_end..)? {
            [b'<', b'/', ..] => {
                at = end_tag(bytes, text_end, child.name)?;
                let field = match child.kind {
                    Kind::Time => (level == 0).then_some(Field::Time),
                    kind => recorded_field(kind, local(child.name), child.attributes),
                };
                if let Some(field) = field {
                    let content = text.get(child.end..text_end)?;
                    if memchr(b'&', content.as_bytes()).is_some() {
                        let capture = resolved(content, field);
                        point.put(field, capture.text(), level == 0, times);
                    } else {
                        point.put(field, content, level == 0, times);
                    }
                }
            }
            [b'<', ..] if child.kind == Kind::Other => {
                *containers.get_mut(level)? = child.name;
                level += 1;
                at = text_end;
            }
            _ => return None,
        }
    }
}

struct StartTag<'a> {
    kind: Kind,
    name: &'a str,
    attributes: &'a str,
    is_empty: bool,
    end: usize,
}

/// The start tag at `at`, if its kind is one of those wanted and its quotes are in order.
fn start_tag(text: &str, at: usize, wanted: impl Fn(Kind) -> bool) -> Option<StartTag<'_>> {
    let name = name(text, at)?;
    let kind = kind_of(local(name));
    if !wanted(kind) {
        return None;
    }
    let after_name = at + 1 + name.len();
    let rest = text.as_bytes().get(after_name..)?;
    let length = match rest {
        [b'>', ..] => 0,
        [b'/', b'>', ..] => 1,
        [blank, ..] if blank.is_ascii_whitespace() => memchr(b'>', rest)?,
        _ => return None,
    };
    let attributes = text.get(after_name..after_name + length)?;
    let (mut double, mut single, mut markup) = (0_usize, 0_usize, false);
    for &byte in attributes.as_bytes() {
        double += usize::from(byte == b'"');
        single += usize::from(byte == b'\'');
        markup |= byte == b'<';
    }
    // With the quotes in pairs and of one kind, the `>` found is the tag's own.
    let paired = double % 2 == 0 && single % 2 == 0 && (double == 0 || single == 0);
    if markup || !paired {
        return None;
    }
    let without_slash = attributes.strip_suffix('/');
    Some(StartTag {
        kind,
        name,
        attributes: without_slash.unwrap_or(attributes),
        is_empty: without_slash.is_some(),
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
