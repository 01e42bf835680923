//! Sentences among the bytes: where they begin and end, their address, checksum and fields.
//!
//! A line may hold a stamp before the sentence, a fragment before the next one, or rubbish round
//! it; lines end with LF, CR or both. The checksum is the exclusive or of the bytes between `$`
//! and `*`, in two hexadecimal digits (NMEA 0183, as in gpsd's "NMEA Revealed", from memory).

use memchr::{memchr, memchr_iter, memchr2_iter};

use crate::parser::quantity::decimal;

/// What comes between one `$` or `!` and the next, or the end of its line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Raw<'a> {
    /// Where its `$` or `!` is, bytes from the start of the file.
    pub(super) start: usize,
    /// What precedes it on its line.
    pub(super) lead: &'a [u8],
    /// What follows its `$` or `!`.
    pub(super) body: &'a [u8],
}

/// Goes over all of them, in file order.
pub(super) fn sentences(bytes: &[u8]) -> impl Iterator<Item = Raw<'_>> {
    let mut next_line = 0;
    let line_ends = memchr2_iter(b'\n', b'\r', bytes).chain([bytes.len()]);
    line_ends.flat_map(move |line_end| {
        let place = next_line;
        next_line = line_end + 1;
        let line = bytes.get(place..line_end).unwrap_or_default();
        let marks = || memchr2_iter(b'$', b'!', line);
        let ends = marks().skip(1).chain([line.len()]);
        marks().zip(ends).map(move |(start, end)| Raw {
            start: place + start,
            lead: line.get(..start).unwrap_or_default(),
            body: line.get(start + 1..end).unwrap_or_default(),
        })
    })
}

/// What a sentence is about: the last three letters of its address.
pub(super) type Kind = [u8; 3];

/// The kinds that are read.
const KINDS: [&Kind; 19] = [
    b"RMC", b"GGA", b"GNS", b"GLL", b"VTG", b"ZDA", b"HDT", b"THS", b"HDG", b"HDM", b"VHW", b"DPT",
    b"DBT", b"DBS", b"DBK", b"MWD", b"MWV", b"VWT", b"VWR",
];

/// A sentence that can be read.
#[derive(Debug)]
pub(super) struct Sentence<'a> {
    /// Who sent it: `GP`, `II`.
    pub(super) talker: [u8; 2],
    /// What it is about.
    pub(super) kind: Kind,
    /// What follows the comma behind its address, without the checksum.
    payload: &'a str,
    /// Whether a checksum follows it and is right.
    pub(super) checked: bool,
}

impl<'a> Sentence<'a> {
    /// Its fields.
    pub(super) fn fields(&self) -> Fields<'a> {
        Fields::new(self.payload)
    }
}

/// What follows a `$` or `!`.
#[derive(Debug)]
pub(super) enum Framed<'a> {
    /// A sentence of a kind that is read.
    Known(Sentence<'a>),
    /// One whose checksum does not fit.
    WrongChecksum,
    /// One that ends inside its checksum, or holds what is no text.
    CutOff,
    /// A report of other ships (AIS).
    Ais,
    /// A sentence of another kind, with its address.
    Other(&'a [u8]),
    /// No sentence at all.
    Nothing,
}

/// Frames what follows a `$` or `!`.
pub(super) fn frame(body: &[u8]) -> Framed<'_> {
    let known = body
        .split_first_chunk::<5>()
        .and_then(|([t1, t2, letters @ ..], rest)| {
            let payload = rest.strip_prefix(b",")?;
            // An address that begins with `P` is a maker's own.
            let talker = t1.is_ascii_alphanumeric() && t2.is_ascii_alphanumeric() && *t1 != b'P';
            let kind = Some(*letters).filter(|kind| talker && KINDS.contains(&kind))?;
            Some((([*t1, *t2]), kind, payload))
        });
    let Some((talker, kind, payload)) = known else {
        return other(body);
    };
    let (payload, checked) = match memchr(b'*', payload) {
        None => (payload, false),
        Some(star) => {
            let (payload, digits) = payload.split_at_checked(star).unwrap_or((payload, b""));
            let Some(written) = digits.get(1..3).and_then(hexadecimal) else {
                return Framed::CutOff;
            };
            let address = body.get(..6).unwrap_or_default();
            if xor(address) ^ xor(payload) != written {
                return Framed::WrongChecksum;
            }
            (payload, true)
        }
    };
    match std::str::from_utf8(payload) {
        Ok(payload) => Framed::Known(Sentence {
            talker,
            kind,
            payload,
            checked,
        }),
        Err(_) => Framed::CutOff,
    }
}

fn xor(bytes: &[u8]) -> u8 {
    bytes.iter().fold(0, |sum, byte| sum ^ byte)
}

fn hexadecimal(digits: &[u8]) -> Option<u8> {
    let digit = |b: &u8| char::from(*b).to_digit(16);
    match digits {
        [high, low] => u8::try_from(digit(high)? * 16 + digit(low)?).ok(),
        _ => None,
    }
}

fn other(body: &[u8]) -> Framed<'_> {
    /// The longest address counted: a maker's own may have eight letters.
    const MOST_ADDRESS: usize = 9;
    let within = body.get(..MOST_ADDRESS).unwrap_or(body);
    let address = memchr(b',', within).and_then(|comma| within.get(..comma));
    match address {
        Some([_, _, b'V', b'D', b'M' | b'O']) => Framed::Ais,
        Some(address) if address.len() >= 4 && address.iter().all(u8::is_ascii_alphanumeric) => {
            Framed::Other(address)
        }
        _ => Framed::Nothing,
    }
}

/// Most fields looked at; the longest sentence read here, GGA, has 15 with its address.
const MOST_FIELDS: usize = 20;

/// The fields of a sentence, numbered as in descriptions of NMEA 0183: the first behind the
/// address is 1.
#[derive(Debug, Clone, Copy)]
pub(super) struct Fields<'a> {
    all: [&'a str; MOST_FIELDS],
    count: usize,
}

impl<'a> Fields<'a> {
    /// Splits what follows the address and its comma.
    pub(super) fn new(payload: &'a str) -> Self {
        let mut fields = Self {
            all: [""; MOST_FIELDS],
            count: 0,
        };
        let mut from = 0;
        let commas = memchr_iter(b',', payload.as_bytes());
        for (place, end) in fields.all.iter_mut().zip(commas.chain([payload.len()])) {
            *place = payload.get(from..end).unwrap_or_default();
            from = end + 1;
            fields.count += 1;
        }
        fields
    }

    /// How many there are.
    pub(super) fn count(&self) -> usize {
        self.count
    }

    /// One field without blanks round it; empty where there is none.
    pub(super) fn text(&self, number: usize) -> &'a str {
        let field = number.checked_sub(1).and_then(|index| self.all.get(index));
        field.map_or("", |field| field.trim_ascii())
    }

    /// One field's first letter, as a capital.
    pub(super) fn letter(&self, number: usize) -> Option<u8> {
        let first = self.text(number).bytes().next()?;
        Some(first.to_ascii_uppercase())
    }

    /// One field as a finite number; `None` where it is empty or none.
    pub(super) fn number(&self, number: usize) -> Option<f64> {
        decimal(self.text(number))
    }

    /// A number of at least 0.
    pub(super) fn positive(&self, number: usize) -> Option<f64> {
        self.number(number).filter(|&value| value >= 0.0)
    }

    /// A number, where the field behind it holds the letter of its unit or reference.
    pub(super) fn marked(&self, number: usize, letter: u8) -> Option<f64> {
        let value = self.number(number)?;
        (self.letter(number + 1) == Some(letter)).then_some(value)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[track_caller]
    fn check_parts(text: &str, expected: &[(&str, &str)]) {
        let found: Vec<(String, String)> = sentences(text.as_bytes())
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
        check_parts("$A,1\n$B,2\n", &two);
        check_parts("$A,1\r\n$B,2", &two);
        check_parts("$A,1\r!B,2\r", &two);
        check_parts("\n\n$A,1\n\r\n\r$B,2", &two);
        check_parts("", &[]);
        check_parts("no sentence\n", &[]);
    }

    #[test]
    fn leads_and_fragments_are_told_apart() {
        check_parts(
            "09:12 $A,1\nx\n# $B,2$C,3*00 z\n",
            &[("09:12 ", "A,1"), ("# ", "B,2"), ("# $B,2", "C,3*00 z")],
        );
        check_parts("$$!", &[("", ""), ("$", ""), ("$$", "")]);
    }

    proptest! {
        #[test]
        fn any_bytes_come_to_an_end(bytes in prop::collection::vec(prop::sample::select(b"$!\r\na,*".to_vec()), 0..60)) {
            let starts = bytes.iter().filter(|b| matches!(b, b'$' | b'!')).count();
            prop_assert_eq!(sentences(&bytes).count(), starts);
        }
    }

    fn checked(sentence: &str) -> Option<bool> {
        match frame(sentence.get(1..)?.as_bytes()) {
            Framed::Known(sentence) => Some(sentence.checked),
            _ => None,
        }
    }

    /// Examples from many descriptions of NMEA 0183 and in the tests of readers (from
    /// memory; the sums recomputed).
    #[test]
    fn published_checksums_are_right() {
        for sentence in [
            "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A",
            "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47",
            "$GPVTG,054.7,T,034.4,M,005.5,N,010.2,K*48",
            "$GPRMC,225446,A,4916.45,N,12311.12,W,000.5,054.7,191194,020.3,E*68",
            "$GPGGA,184353.07,1929.045,S,02410.506,E,1,04,2.6,100.00,M,-33.9,M,,0000*6D",
            "$GPVTG,359.95,T,,M,15.15,N,28.0,K,A*04",
            "$GPRMC,061831.000,A,2236.9152,N,11403.2422,E,0.00,,130214,,,D*76",
            "$GPGLL,4916.45,N,12311.12,W,225444,A*31",
            "$WIMWV,041.1,R,01.0,N,A*16 and rubbish behind",
        ] {
            assert_eq!(checked(sentence), Some(true), "{sentence}");
        }
    }

    #[test]
    fn a_wrong_sum_is_told_from_a_missing_and_a_cut_one() {
        // As published, with its slip: the sum is 75.
        let slip = b"GPGGA,121252.000,3937.3032,N,11611.6046,E,1,05,2.0,45.9,M,-5.7,M,,0000*77";
        assert!(matches!(frame(slip), Framed::WrongChecksum));
        assert_eq!(checked("$GPGLL,4916.45,N,12311.12,W,225444,A"), Some(false));
        assert!(matches!(frame(b"GPGLL,4916.45,N*3"), Framed::CutOff));
        assert!(matches!(frame(b"GPGLL,4916.45,N*"), Framed::CutOff));
        assert!(matches!(frame(b"GPGLL,49\xFF6.45,N"), Framed::CutOff));
    }

    #[test]
    fn addresses_are_sorted() {
        assert!(matches!(frame(b"AIVDM,1,1,,A,15M,0*00"), Framed::Ais));
        assert!(matches!(frame(b"GPGSV,4,1,13"), Framed::Other(b"GPGSV")));
        assert!(matches!(frame(b"PABCRMC,1"), Framed::Other(b"PABCRMC")));
        assert!(matches!(frame(b"PXRMC,1"), Framed::Other(b"PXRMC")));
        assert!(matches!(frame(b"42RMC,1"), Framed::Known(_)));
        assert!(matches!(frame(b"20, or less"), Framed::Nothing));
        assert!(matches!(frame(b""), Framed::Nothing));
    }

    #[test]
    fn fields_are_numbered_from_one() {
        let fields = Fields::new("054.7,T, 34.4 ,m,,N");
        assert_eq!(fields.count(), 6);
        assert_eq!(fields.text(1), "054.7");
        assert_eq!(fields.marked(1, b'T'), Some(54.7));
        assert_eq!(fields.marked(3, b'M'), Some(34.4));
        assert_eq!(fields.marked(1, b'M'), None);
        assert_eq!(fields.number(5), None);
        assert_eq!(fields.text(0), "");
        assert_eq!(fields.text(7), "");
        assert_eq!(Fields::new(&",".repeat(1000)).text(900), "");
    }
}
