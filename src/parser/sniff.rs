//! What a file holds, by its content; names and endings prove nothing.

use memchr::{memchr, memchr2_iter, memmem};

use super::ReadError;
use super::table;
use super::text::{clipped, text};

/// What a reader exists for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Format {
    /// GPX of any version.
    Gpx,
    /// A log of NMEA 0183 sentences.
    Nmea,
    /// A table of fixes (CSV).
    Table,
}

/// How much of the head is looked at to tell text from text.
const HEAD_BYTES: usize = 4096;

const UNPACK: &str = "unpack it first, and pass the track file inside";
const EXPORT: &str = "export the recorded track from the plotter as GPX";

/// The first bytes of files that are no text, what they are, and what to do.
///
/// Source: the formats' own specifications (RFC 1952, PKWARE APPNOTE, PNG,
/// JFIF, GIF, ISO 32000, XZ, bzip2).
const SIGNATURES: [(&[u8], &str, &str); 9] = [
    // One layer is unpacked before this is asked.
    (b"\x1F\x8B", "a gzip archive in another", UNPACK),
    (b"PK\x03\x04", "a zip archive", UNPACK),
    (b"BZh", "a bzip2 archive", UNPACK),
    (b"\xFD7zXZ\0", "an xz archive", UNPACK),
    (b"7z\xBC\xAF\x27\x1C", "a 7z archive", UNPACK),
    (b"\x89PNG", "an image", EXPORT),
    (b"\xFF\xD8\xFF", "an image", EXPORT),
    (b"GIF8", "an image", EXPORT),
    (b"%PDF", "a PDF document", EXPORT),
];

/// Refuses what is empty or binary.
fn refuse_binary(bytes: &[u8], file: &str) -> Result<(), ReadError> {
    let empty = |what| ReadError::Empty {
        file: file.to_owned(),
        what,
    };
    if bytes.is_empty() {
        return Err(empty("the file is empty"));
    }
    if bytes.iter().all(|&b| b == 0) {
        return Err(empty(
            "it holds NUL bytes alone, so it was never written out",
        ));
    }
    let known = SIGNATURES
        .iter()
        .find(|(start, ..)| bytes.starts_with(start));
    if let Some(&(_, looks_like, hint)) = known {
        return Err(not_a_track(file, looks_like, hint));
    }
    Ok(())
}

/// Which reader a file that begins so is for.
pub(super) fn format_of(head: &[u8], file: &str) -> Result<Format, ReadError> {
    refuse_binary(head, file)?;
    if is_nmea_log(head) {
        return Ok(Format::Nmea);
    }
    let text = &text(head);
    let start = text.trim_start();
    if start.is_empty() {
        return Err(ReadError::Empty {
            file: file.to_owned(),
            what: "it holds blanks alone",
        });
    }
    // The head may be lost, or have something before it; the points are what counts.
    if root_is_gpx(start) || has_points(text) {
        return Ok(Format::Gpx);
    }
    if is_table(start) {
        return Ok(Format::Table);
    }
    Err(refusal(start, root_element(start), file))
}

fn root_is_gpx(start: &str) -> bool {
    root_element(start).is_some_and(|name| local(name).eq_ignore_ascii_case("gpx"))
}

/// Whether the text is a table, after all that has separators too.
fn is_table(start: &str) -> bool {
    let head = head(start);
    let other = start.starts_with(['<', '{', '[']) || is_nmea_log(start.as_bytes());
    !other && !is_binary(head) && table::is_table(head)
}

fn is_binary(head: &str) -> bool {
    let odd = head
        .chars()
        .filter(|c| c.is_control() && !c.is_whitespace())
        .count();
    odd * 20 > head.chars().count()
}

fn has_points(text: &str) -> bool {
    let found = |needle: &str| memmem::find(text.as_bytes(), needle.as_bytes()).is_some();
    found("<trkpt") || found(":trkpt") || found("<gpx")
}

/// Text that is no GPX: what it is instead.
fn refusal(start: &str, root: Option<&str>, file: &str) -> ReadError {
    let head = head(start);
    if let Some(root) = root {
        let name = clipped(local(root), 40);
        return if name.eq_ignore_ascii_case("html") {
            let hint = "the download gave a page in place of the file; fetch the file itself";
            not_a_track(file, "a web page (HTML)", hint)
        } else {
            not_a_track(
                file,
                &format!("XML of another kind, with root `{name}`"),
                EXPORT,
            )
        };
    }
    if start.starts_with('<') {
        return not_a_track(file, "broken XML without any element", EXPORT);
    }
    if start.starts_with(['{', '[']) {
        let geo = head.contains("\"coordinates\"") || head.contains("\"FeatureCollection\"");
        let looks_like = if geo { "GeoJSON" } else { "JSON" };
        return not_a_track(file, looks_like, EXPORT);
    }
    if is_binary(head) {
        return not_a_track(file, "binary data", EXPORT);
    }
    let first = clipped(head.lines().next().unwrap_or_default(), 40);
    not_a_track(file, &format!("plain text that begins `{first}`"), EXPORT)
}

/// How much of the head is searched for a sentence: receivers send binary messages and terminals
/// banners before the first one; public logs have up to 4 kB of it.
const NMEA_HEAD_BYTES: usize = 1 << 16;

/// Whether the bytes are an NMEA 0183 log: a sentence is in their head, and no markup.
///
/// Lines of JSON may come before the first sentence, so `{` proves nothing.
pub(super) fn is_nmea_log(bytes: &[u8]) -> bool {
    let head = bytes.get(..NMEA_HEAD_BYTES).unwrap_or(bytes);
    let start = head.trim_ascii_start();
    let start = start.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(start);
    !start.trim_ascii_start().starts_with(b"<")
        && memmem::find(head, b"<trkpt").is_none()
        && memmem::find(head, b"<gpx").is_none()
        && memchr2_iter(b'$', b'!', head).any(|at| {
            let sentence = head.get(at + 1..).unwrap_or_default();
            is_address(sentence)
        })
}

/// Whether the text begins with the address of a sentence: two letters or digits for the talker
/// and three letters for the sentence, or `P` and a maker's own letters; then a comma.
fn is_address(sentence: &[u8]) -> bool {
    let within = sentence.get(..9).unwrap_or(sentence);
    let Some(address) = memchr(b',', within).and_then(|end| within.get(..end)) else {
        return false;
    };
    let plain = |b: &u8| b.is_ascii_uppercase() || b.is_ascii_digit();
    match address {
        [b'P', own @ ..] if own.len() >= 3 => own.iter().all(plain),
        [t1, t2, sentence @ ..] if sentence.len() == 3 => {
            plain(t1) && plain(t2) && sentence.iter().all(u8::is_ascii_uppercase)
        }
        _ => false,
    }
}

fn head(text: &str) -> &str {
    let end = (0..=HEAD_BYTES.min(text.len()))
        .rev()
        .find(|&i| text.is_char_boundary(i));
    text.get(..end.unwrap_or(0)).unwrap_or_default()
}

fn not_a_track(file: &str, looks_like: &str, hint: &'static str) -> ReadError {
    ReadError::NotATrack {
        file: file.to_owned(),
        looks_like: looks_like.to_owned(),
        hint,
    }
}

fn local(name: &str) -> &str {
    name.rsplit(':').next().unwrap_or(name)
}

/// The name of the first element, after declaration, comments and document type.
fn root_element(text: &str) -> Option<&str> {
    let mut rest = text;
    loop {
        rest = rest.trim_start();
        let after = if let Some(inside) = rest.strip_prefix("<?") {
            after(inside, "?>")
        } else if let Some(inside) = rest.strip_prefix("<!--") {
            after(inside, "-->")
        } else if let Some(inside) = rest.strip_prefix("<!") {
            if inside
                .get(..7)
                .is_some_and(|d| d.eq_ignore_ascii_case("doctype"))
                && is_html(inside)
            {
                return Some("html");
            }
            after_document_type(inside)
        } else {
            let inside = rest.strip_prefix('<')?;
            let end = inside.find(|c: char| c.is_whitespace() || matches!(c, '>' | '/' | '<'))?;
            return inside.get(..end).filter(|name| !name.is_empty());
        };
        rest = after?;
    }
}

fn is_html(inside: &str) -> bool {
    inside.split_ascii_whitespace().nth(1).is_some_and(|name| {
        name.get(..4)
            .is_some_and(|n| n.eq_ignore_ascii_case("html"))
    })
}

fn after<'a>(text: &'a str, end: &str) -> Option<&'a str> {
    text.split_once(end).map(|(_, rest)| rest)
}

/// Passes over `<!DOCTYPE ... [ ... ]>`; what is declared inside is never expanded.
fn after_document_type(text: &str) -> Option<&str> {
    let end = text.find(['>', '['])?;
    let (_, rest) = text.split_at_checked(end)?;
    if rest.starts_with('[') {
        return after(after(rest, "]")?, ">");
    }
    after(rest, ">")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_root_is_found_behind_anything() {
        for text in [
            "<gpx/>",
            "<?xml version='1.0'?>\n<!-- a > b --><gpx version='1.1'>",
            "<!DOCTYPE gpx [<!ENTITY a 'b'>]><gpx>",
        ] {
            assert_eq!(root_element(text), Some("gpx"), "{text}");
        }
        assert_eq!(root_element("<g:gpx>").map(local), Some("gpx"));
        assert_eq!(root_element("<!doctype html><p>"), Some("html"));
        assert_eq!(root_element("< gpx>"), None);
        assert_eq!(root_element("<!-- never closed <gpx>"), None);
    }

    #[test]
    fn sentences_are_known_behind_anything() {
        for log in [
            "$GPGGA,091230,5742.5,N",
            "2031-06-04T09:12:30Z: $IIVHW,,,235,M",
            "!AIVDM,1,1,,A,15M",
            "login:\r\n\u{feff}$42RMC,",
            "{\"class\":\"VERSION\"}\n$GNRMC,091230",
            "$PABCD,1",
        ] {
            assert!(is_nmea_log(log.as_bytes()), "{log}");
        }
        for other in [
            "price $20, or less",
            "US$1000,50",
            "<gpx><desc>$GPGGA,1</desc></gpx>",
            "lost head $GPGGA,1 <trkpt>",
            "$GPGGA",
            "",
        ] {
            assert!(!is_nmea_log(other.as_bytes()), "{other}");
        }
    }

    #[test]
    fn tables_are_known_by_their_separators() {
        assert!(is_table("time;lat;lon\n2031;57,1;11,9\n"));
        assert!(is_table("57.1, 11.9, 4\n57.2, 11.9, 5\n"));
        assert!(!is_table("Dear all,\nthe day was fine\n"));
    }
}
