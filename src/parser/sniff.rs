//! What a file holds, by its content; names and endings prove nothing.

use memchr::{memchr, memchr2_iter, memmem};

use super::ReadError;
use super::fixes;
use super::source::{clipped, text};

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

/// How much of the head is searched for a sentence: receivers send binary messages and terminals
/// banners before the first one; public logs have up to 4 kB of it.
const NMEA_HEAD_BYTES: usize = 1 << 16;

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

/// Which reader a file that begins so is for.
pub(super) fn format_of(head: &[u8], file: &str) -> Result<Format, ReadError> {
    let refused = |looks_like: &str, hint| {
        Err(ReadError::NotATrack {
            file: file.to_owned(),
            looks_like: looks_like.to_owned(),
            hint,
        })
    };
    refuse_empty(head, file)?;
    let known = SIGNATURES
        .iter()
        .find(|(start, ..)| head.starts_with(start));
    if let Some((_, looks_like, hint)) = known {
        return refused(looks_like, hint);
    }
    if is_nmea_log(head) {
        return Ok(Format::Nmea);
    }
    // The head may be lost, or have something before it; the points are what counts.
    let start = head.trim_ascii_start();
    let has = |needle: &str| memmem::find(head, needle.as_bytes()).is_some();
    let is_markup = start.starts_with(b"<");
    if has("<gpx") || has("<trkpt") || (is_markup && (has(":gpx") || has(":trkpt"))) {
        return Ok(Format::Gpx);
    }
    let head = text(start.get(..HEAD_BYTES).unwrap_or(start));
    if is_markup {
        return match first_element(&head) {
            Some(name) if name.eq_ignore_ascii_case("html") => refused(
                "a web page (HTML)",
                "the download gave a page in place of the file; fetch the file itself",
            ),
            Some(name) => {
                let kind = format!("XML of another kind, with root `{}`", clipped(name, 40));
                refused(&kind, EXPORT)
            }
            None => refused("broken XML without any element", EXPORT),
        };
    }
    if head.starts_with(['{', '[']) {
        let geo = head.contains("\"coordinates\"") || head.contains("\"FeatureCollection\"");
        return refused(if geo { "GeoJSON" } else { "JSON" }, EXPORT);
    }
    let is_odd = |c: &char| c.is_control() && !c.is_whitespace();
    if head.chars().filter(is_odd).count() * 20 > head.chars().count() {
        return refused("binary data", EXPORT);
    }
    if fixes::is_table(&head) {
        return Ok(Format::Table);
    }
    let first = clipped(head.lines().next().unwrap_or_default(), 40);
    refused(&format!("plain text that begins `{first}`"), EXPORT)
}

fn refuse_empty(head: &[u8], file: &str) -> Result<(), ReadError> {
    let what = if head.is_empty() {
        "the file is empty"
    } else if head.iter().all(|&b| b == 0) {
        "it holds NUL bytes alone, so it was never written out"
    } else if text(head).trim().is_empty() {
        "it holds blanks alone"
    } else {
        return Ok(());
    };
    Err(ReadError::Empty {
        file: file.to_owned(),
        what,
    })
}

/// Whether the bytes are an NMEA 0183 log: a sentence is in their head, and no markup.
///
/// Lines of JSON may come before the first sentence, so `{` proves nothing.
fn is_nmea_log(bytes: &[u8]) -> bool {
    let head = bytes.get(..NMEA_HEAD_BYTES).unwrap_or(bytes);
    !head.trim_ascii_start().starts_with(b"<")
        && memmem::find(head, b"<trkpt").is_none()
        && memmem::find(head, b"<gpx").is_none()
        && memchr2_iter(b'$', b'!', head).any(|at| is_address(head.get(at + 1..).unwrap_or(b"")))
}

/// Whether the text begins with the address of a sentence: two letters or digits for the talker
/// and three letters for the sentence, or `P` and a maker's own letters; then a comma.
fn is_address(sentence: &[u8]) -> bool {
    let within = sentence.get(..9).unwrap_or(sentence);
    let address = memchr(b',', within).and_then(|end| within.get(..end));
    let plain = |b: &u8| b.is_ascii_uppercase() || b.is_ascii_digit();
    match address {
        Some([b'P', own @ ..]) if own.len() >= 3 => own.iter().all(plain),
        Some([talker @ .., a, b, c]) if talker.len() == 2 => {
            talker.iter().all(plain) && [a, b, c].iter().all(|letter| letter.is_ascii_uppercase())
        }
        _ => false,
    }
}

/// The name of the first element, without its prefix.
fn first_element(head: &str) -> Option<&str> {
    head.split('<').find_map(|tag| {
        let name = tag
            .split(|c: char| c.is_whitespace() || matches!(c, '>' | '/'))
            .next()?;
        let local = name.rsplit(':').next()?;
        local.starts_with(char::is_alphabetic).then_some(local)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_element_is_found_behind_anything() {
        for text in [
            "<kml/>",
            "<?xml version='1.0'?>\n<!-- a > b --><kml version='1.1'>",
            "<!DOCTYPE kml [<!ENTITY a 'b'>]><kml>",
            "<k:kml>",
        ] {
            assert_eq!(first_element(text), Some("kml"), "{text}");
        }
        assert_eq!(first_element("< kml>"), None);
        assert_eq!(first_element("<!-- never closed"), None);
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
}
