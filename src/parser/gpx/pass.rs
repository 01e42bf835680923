//! Drives the XML tokenizer over the text, past whatever is broken.

use std::io::BufRead;

use memchr::memchr;
use quick_xml::Reader;
use quick_xml::events::Event;

use super::builder::{Builder, referred};
use super::capture::Capture;
use super::names::Field;
use super::plain;

/// How often reading starts anew behind broken markup.
///
/// Each new start may look at all that is left, so the number bounds the time a
/// hostile file can take; a file cut or joined by accident has one or two.
const MOST_RESTARTS: usize = 50;

/// Which way plain points are read; the outcome is the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Way {
    /// Past the tokenizer, in `plain`.
    Quick,
    /// Through the tokenizer like everything else; the measure that tests hold the quick way to.
    #[cfg(test)]
    Tokens,
}

/// Reads all of `text` into `builder`.
pub(super) fn run<'a>(text: &'a str, way: Way, builder: &mut Builder<'a>) {
    let mut from = 0;
    for _ in 0..MOST_RESTARTS {
        let Some(broken_at) = pass(text, from, way, builder) else {
            return;
        };
        let inside = text.get(broken_at + 1..).unwrap_or_default();
        let Some(next) = memchr(b'<', inside.as_bytes()) else {
            builder.breaks_off(broken_at);
            return;
        };
        from = broken_at + 1 + next;
        builder.passed_over(broken_at..from);
    }
    builder.breaks_off(from);
}

/// Reads a window behind which more follows; tells whether its markup is whole, so that the next
/// one can be read where it ends.
pub(super) fn run_window<'a>(text: &'a str, builder: &mut Builder<'a>) -> bool {
    pass(text, 0, Way::Quick, builder).is_none()
}

/// Reads from byte `from` to the end, or to broken markup, whose place is returned.
fn pass<'a>(text: &'a str, from: usize, way: Way, builder: &mut Builder<'a>) -> Option<usize> {
    let mut xml = tokenizer(text.get(from..)?);
    let mut after_tag = false;
    loop {
        if after_tag && way == Way::Quick && builder.takes_points() {
            let here = from + xml.buffer_position() as usize;
            let end = plain::run(text, here, builder);
            // The tokenizer stands between two tags, where it can be moved on.
            xml.stream().consume(end - here);
        }
        after_tag = false;
        let start = from + xml.buffer_position() as usize;
        match xml.read_event() {
            Ok(Event::Start(tag)) => {
                let (name, attributes) = parts(text, start, tag.name().as_ref().len(), tag.len())?;
                if holds_markup(attributes) {
                    return Some(start);
                }
                builder.open(name, attributes, start);
                after_tag = true;
            }
            Ok(Event::Empty(tag)) => {
                let (name, attributes) = parts(text, start, tag.name().as_ref().len(), tag.len())?;
                if holds_markup(attributes) {
                    return Some(start);
                }
                builder.open(name, attributes, start);
                builder.close(name, start);
            }
            Ok(Event::End(tag)) => {
                builder.close(tag.name().as_ref(), start);
                after_tag = true;
            }
            Ok(Event::Text(piece)) => {
                if builder.wants_text() {
                    builder.text(piece.into_inner());
                }
            }
            Ok(Event::CData(piece)) => {
                if builder.wants_text() {
                    builder.text(piece.into_inner());
                }
            }
            Ok(Event::GeneralRef(reference)) => {
                if builder.wants_text() {
                    let character = reference.resolve_char_ref().ok().flatten();
                    builder.reference(&reference, character);
                }
            }
            Ok(Event::Eof) => return None,
            Ok(Event::Comment(_) | Event::Decl(_) | Event::PI(_) | Event::DocType(_))
            | Err(quick_xml::Error::IllFormed(_)) => {}
            Err(_) => return Some(from + xml.error_position() as usize),
        }
    }
}

fn tokenizer(text: &str) -> Reader<&[u8]> {
    let mut xml = Reader::from_str(text);
    let config = xml.config_mut();
    // Names are matched by the builder, which knows how to go on.
    config.check_end_names = false;
    config.allow_unmatched_ends = true;
    config.allow_dangling_amp = true;
    xml
}

/// The text of an element, which holds no markup, with its references resolved.
pub(super) fn resolved(text: &str, field: Field) -> Capture<'_> {
    let mut capture = Capture::new(field, 0);
    let mut xml = tokenizer(text);
    loop {
        match xml.read_event() {
            Ok(Event::Text(piece)) => capture.add(piece.into_inner()),
            Ok(Event::GeneralRef(reference)) => {
                let character = reference.resolve_char_ref().ok().flatten();
                capture.add(referred(&reference, character));
            }
            Err(quick_xml::Error::IllFormed(_)) => {}
            // The end; anything else does not come without a `<`.
            Ok(_) | Err(_) => return capture,
        }
    }
}

/// A start tag's name and attributes, borrowed from the text itself.
fn parts(text: &str, start: usize, name_len: usize, len: usize) -> Option<(&str, &str)> {
    text.get(start + 1..start + 1 + len)?
        .split_at_checked(name_len)
}

/// A `<` inside a tag means that a quote or a `>` is missing and more was swallowed.
fn holds_markup(attributes: &str) -> bool {
    !attributes.is_empty() && memchr(b'<', attributes.as_bytes()).is_some()
}
