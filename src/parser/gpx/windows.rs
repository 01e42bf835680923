//! A long document read window by window, so that it is never held whole.
//!
//! A window ends behind the end tag of a track point. What cannot be read so is
//! left to the reader of the whole text: broken markup, a point or a text that
//! is open at a window's end, an encoding that is not UTF-8 after all. Both
//! ways must give the same; tests hold them to it.

use std::io::{self, Read};

use memchr::memmem;

use super::builder::Builder;
use super::{pass, read_last};
use crate::parser::ReadError;
use crate::parser::lines::Lines;
use crate::parser::text::{Encoding, decode_end};
use crate::track::Recording;

/// The end of a track point's end tag, whatever its prefix.
const POINT_END: &[u8] = b"trkpt>";

/// How many windows are held before a document without the end of a track point in them is left to
/// the other way: two, so that a long tail of waypoints does not lose much, and no more, because a
/// text of a gigabyte would be moved again and again as what is held grows.
const MOST_WINDOWS: usize = 2;

/// Reads a document in UTF-8 of which `held` is the beginning, without byte order mark, and
/// `stream` the rest; `window_bytes` are read at a time.
///
/// `None` where the text has to be seen whole.
///
/// # Errors
/// Those of the stream.
pub(in crate::parser) fn read_in_windows(
    mut held: Vec<u8>,
    mut stream: impl Read,
    window_bytes: usize,
    file: &str,
) -> io::Result<Option<Result<Recording, ReadError>>> {
    let mut builder = Builder::default();
    let mut lines = Lines::default();
    loop {
        while let Some(end) = last_point_end(&held) {
            let Some(next) = read_window(builder, &mut lines, held.get(..end).unwrap_or(&held))
            else {
                return Ok(None);
            };
            builder = next;
            held.drain(..end);
        }
        if held.len() > MOST_WINDOWS.saturating_mul(window_bytes) {
            return Ok(None);
        }
        let mut window = stream.by_ref().take(window_bytes as u64);
        if window.read_to_end(&mut held)? < window_bytes {
            break;
        }
    }
    let last = decode_end(&held);
    if last.encoding != Encoding::Utf8 {
        return Ok(None);
    }
    Ok(Some(read_last(builder, lines, &last, file)))
}

/// Reads one window; `None` where it cannot be read by itself.
fn read_window<'a>(
    builder: Builder<'static>,
    lines: &mut Lines,
    window: &'a [u8],
) -> Option<Builder<'static>> {
    let text = std::str::from_utf8(window).ok()?;
    let mut builder: Builder<'a> = builder;
    if !pass::run_window(text, &mut builder) {
        return None;
    }
    lines.go_over(window, builder.gathered.places());
    builder.into_next_window(text.len())
}

/// Where the last track point ends.
fn last_point_end(held: &[u8]) -> Option<usize> {
    memmem::rfind(held, POINT_END).map(|at| at + POINT_END.len())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::read;
    use super::super::tests::piece;
    use super::*;
    use crate::parser::text::decode;

    /// As its debug form, because errors of files cannot be compared.
    fn whole(bytes: &[u8]) -> String {
        format!("{:?}", read(&decode(bytes), "x.gpx"))
    }

    fn in_windows(bytes: &[u8], head: usize, window_bytes: usize) -> Option<String> {
        let (head, rest) = bytes.split_at(head.min(bytes.len()));
        let outcome = read_in_windows(head.to_vec(), rest, window_bytes, "x.gpx");
        outcome.ok().flatten().map(|outcome| format!("{outcome:?}"))
    }

    const POINT: &str =
        "<trkpt lat='57.1' lon='11.9'>\n<time>2031-06-04T09:12:30Z</time></trkpt>\n";

    #[test]
    fn plain_documents_are_read_in_windows_of_any_size() {
        let wild = format!(
            "<g:gpx version='1.1' xmlns:g='x'><!-- a -->\n<trk><name>\u{f6}\u{2192}</name><trkseg>\n{}\
             <trkpt lat='99' lon='1'/>\n{}</trkseg>\r<trkseg>{POINT}</trkseg></trk></g:gpx>\0\0",
            POINT.repeat(2),
            POINT.replace("12:30", "x"),
        );
        let cut = wild.get(..wild.len() - 90).unwrap_or_default();
        for text in [wild.as_str(), cut, "<gpx></gpx>", "<gpx>\r<trk>"] {
            for window_bytes in 150..400 {
                let found = in_windows(text.as_bytes(), 7, window_bytes);
                assert_eq!(
                    found,
                    Some(whole(text.as_bytes())),
                    "{window_bytes}: {text}"
                );
            }
        }
    }

    #[test]
    fn what_must_be_seen_whole_is_left_to_the_other_way() {
        let open = |inside: &str| format!("<gpx><trk><trkseg>{inside}{}", POINT.repeat(2));
        for inside in ["<!-- ", "<x a='", "<![CDATA[", "<?p "] {
            let text = open(inside);
            assert_eq!(in_windows(text.as_bytes(), 5, 10), None, "{inside}");
        }
        let latin = [open("").as_bytes(), b"\xF6", POINT.as_bytes()].concat();
        assert_eq!(in_windows(&latin, 5, 10), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(4000))]

        #[test]
        fn windows_give_what_the_whole_gives(
            pieces in prop::collection::vec(piece(), 0..20),
            head in 0..200_usize,
            window_bytes in 40..400_usize,
        ) {
            let text = format!("<gpx><trk><trkseg>{}", pieces.concat());
            let found = in_windows(text.as_bytes(), head, window_bytes);
            if found.is_some() {
                prop_assert_eq!(found, Some(whole(text.as_bytes())), "{}", text);
            }
        }
    }
}
