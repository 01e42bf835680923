//! A photograph for the article, without what it says of place, time and camera.

use std::sync::Arc;

/// Largest photograph taken, bytes: as sharp as a page can show it, and small enough to send on.
/// Our own choice.
pub const MOST_PHOTO_BYTES: usize = 5 << 20;

/// Longest side, pixels; more than any camera on board has, and few enough to be unpacked.
/// Our own choice.
const MOST_PIXELS: u32 = 20_000;

/// A photograph to embed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Image {
    /// `image/jpeg` or `image/png`.
    pub media_type: &'static str,
    /// Width as stored, pixels.
    pub width: u32,
    /// Height as stored, pixels.
    pub height: u32,
    /// The file without its descriptive data; a JPEG keeps which way up it is shown.
    pub bytes: Arc<[u8]>,
}

/// Why a file cannot be shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PhotoError {
    /// Another kind of file.
    #[error("it is neither a JPEG nor a PNG picture\nhint: save it as one of these")]
    Format,
    /// The data end early, or are not what they say.
    #[error("the picture is damaged or cut off\nhint: open it in a viewer and save it again")]
    Damaged,
    /// Too many bytes.
    #[error("it has more than 5 MB\nhint: save it smaller; 1600 pixels across are enough")]
    Bytes,
    /// Too many pixels.
    #[error(
        "its sides are not from 1 to 20000 pixels\nhint: save it smaller; 1600 pixels across are \
         enough"
    )]
    Pixels,
}

impl Image {
    /// The photograph in a JPEG or PNG file. Only what shows the picture is kept: the place, the
    /// time, the camera, comments, previews and whatever follows the picture are left out.
    ///
    /// # Errors
    /// [`PhotoError`] for another kind of file, a damaged one, and one that is too large.
    pub fn read(file: &[u8]) -> Result<Self, PhotoError> {
        if file.len() > MOST_PHOTO_BYTES {
            return Err(PhotoError::Bytes);
        }
        let (media_type, read) = if file.starts_with(&[0xff, JPEG_START]) {
            ("image/jpeg", jpeg(file))
        } else if file.starts_with(PNG_START) {
            ("image/png", png(file))
        } else {
            return Err(PhotoError::Format);
        };
        let (bytes, [width, height]) = read.ok_or(PhotoError::Damaged)?;
        if [width, height]
            .iter()
            .any(|side| !(1..=MOST_PIXELS).contains(side))
        {
            return Err(PhotoError::Pixels);
        }
        Ok(Self {
            media_type,
            width,
            height,
            bytes: bytes.into(),
        })
    }
}

/// Markers of a JPEG file (ITU-T T.81, table B.1).
const JPEG_START: u8 = 0xd8;
const JPEG_END: u8 = 0xd9;
const SCAN: u8 = 0xda;

/// The segments that show the picture, and its width and height.
fn jpeg(file: &[u8]) -> Option<(Vec<u8>, [u32; 2])> {
    let mut out = vec![0xff, JPEG_START];
    let mut size = None;
    let mut at = 2;
    loop {
        if *file.get(at)? != 0xff {
            return None;
        }
        let marker = *file.get(at + 1)?;
        match marker {
            // Any number of fill bytes may go before a marker.
            0xff => {
                at += 1;
                continue;
            }
            JPEG_END => {
                out.extend([0xff, JPEG_END]);
                return Some((out, size?));
            }
            _ => {}
        }
        let length = usize::from(u16::from_be_bytes(array(file, at + 2)?));
        let mut end = at + 2 + length;
        let body = file.get(at + 4..end)?;
        match marker {
            // Start of frame, of any process but those of tables.
            0xc0..=0xcf if !matches!(marker, 0xc4 | 0xc8 | 0xcc) => {
                let side = |at| Some(u32::from(u16::from_be_bytes(array(body, at)?)));
                size = Some([side(3)?, side(1)?]);
            }
            SCAN => end = scan_end(file, end)?,
            _ => {}
        }
        let is_application = (0xe0..=0xef).contains(&marker);
        let shows = match marker {
            0xe0 => body.starts_with(b"JFIF\0"),
            0xe2 => body.starts_with(b"ICC_PROFILE\0"),
            0xee => body.starts_with(b"Adobe"),
            0xfe => false,
            _ => !is_application,
        };
        if shows {
            out.extend_from_slice(file.get(at..end)?);
        } else if marker == 0xe1
            && let Some(orientation) = orientation(body)
        {
            out.extend(oriented(orientation));
        }
        at = end;
    }
}

/// Where the coded data of a scan end: at the next marker that is neither a stuffed zero nor a
/// restart.
fn scan_end(file: &[u8], from: usize) -> Option<usize> {
    let rest = file.get(from..)?;
    memchr::memchr_iter(0xff, rest)
        .find(|at| {
            let next = rest.get(at + 1);
            next.is_some_and(|next| !matches!(next, 0 | 0xd0..=0xd7 | 0xff))
        })
        .map(|at| from + at)
}

/// The tag of the orientation (Exif 2.32, 4.6.4).
const ORIENTATION: u16 = 0x0112;

/// Which way up a picture is to be shown, 2 to 8, from an Exif segment; `None` for as it is stored.
fn orientation(body: &[u8]) -> Option<u8> {
    let tiff = body.strip_prefix(b"Exif\0\0")?;
    let big = tiff.starts_with(b"MM");
    let short = |at| {
        let two: [u8; 2] = array(tiff, at)?;
        Some(if big {
            u16::from_be_bytes(two)
        } else {
            u16::from_le_bytes(two)
        })
    };
    let four: [u8; 4] = array(tiff, 4)?;
    let table = if big {
        u32::from_be_bytes(four)
    } else {
        u32::from_le_bytes(four)
    };
    let table = usize::try_from(table).ok()?;
    let count = usize::from(short(table)?);
    let entries = (0..count).map_while(|n| table.checked_add(2 + 12 * n));
    let entry = entries
        .take_while(|at| *at < tiff.len())
        .find(|at| short(*at) == Some(ORIENTATION))?;
    let value = u8::try_from(short(entry + 8)?).ok()?;
    (2..=8).contains(&value).then_some(value)
}

/// An Exif segment that says nothing but the orientation.
fn oriented(value: u8) -> Vec<u8> {
    let mut out = vec![0xff, 0xe1, 0, 34];
    out.extend_from_slice(b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01");
    // Tag, kind 3 (short), count 1, value; no further table.
    out.extend_from_slice(&[1, 0x12, 0, 3, 0, 0, 0, 1, 0, value, 0, 0, 0, 0, 0, 0]);
    out
}

const PNG_START: &[u8] = b"\x89PNG\r\n\x1a\n";

/// Chunks without which a PNG is not shown as it was (PNG, third edition, 11).
const SHOWN_CHUNKS: [&[u8]; 10] = [
    b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"cHRM", b"gAMA", b"iCCP", b"sRGB", b"sBIT",
];

/// The chunks that show the picture, and its width and height.
fn png(file: &[u8]) -> Option<(Vec<u8>, [u32; 2])> {
    let mut out = PNG_START.to_vec();
    let mut at = PNG_START.len();
    loop {
        let length = usize::try_from(u32::from_be_bytes(array(file, at)?)).ok()?;
        // Length, name and check sum go round the data.
        let chunk = file.get(at..at.checked_add(length)?.checked_add(12)?)?;
        let name = chunk.get(4..8)?;
        if SHOWN_CHUNKS.contains(&name) {
            out.extend_from_slice(chunk);
        }
        if name == b"IEND" {
            let side = |at| Some(u32::from_be_bytes(array(&out, at)?));
            let size = [side(16)?, side(20)?];
            return (out.get(12..16)? == b"IHDR").then_some((out, size));
        }
        at += chunk.len();
    }
}

fn array<const N: usize>(bytes: &[u8], at: usize) -> Option<[u8; N]> {
    bytes.get(at..at.checked_add(N)?)?.try_into().ok()
}
