//! One sentence: its address, its checksum and its fields.
//!
//! The checksum is the exclusive or of the bytes between `$` and `*`, in two
//! hexadecimal digits (NMEA 0183, as in gpsd's "NMEA Revealed", from memory).

use memchr::memchr;

use super::fields::Fields;
use super::kind::Kind;

/// A sentence that can be read.
#[derive(Debug)]
pub(super) struct Sentence<'a> {
    /// Who sent it: `GP`, `II`.
    pub(super) talker: [u8; 2],
    /// What it tells.
    pub(super) kind: Kind,
    /// What follows the comma behind its address, without the checksum.
    payload: &'a str,
    /// Whether a checksum stood behind it, and was right.
    pub(super) checked: bool,
}

impl<'a> Sentence<'a> {
    /// Its fields.
    pub(super) fn fields(&self) -> Fields<'a> {
        Fields::new(self.payload)
    }
}

/// What stands behind a `$` or `!`.
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

/// Frames what stands behind a `$` or `!`.
pub(super) fn frame(body: &[u8]) -> Framed<'_> {
    let known = body
        .split_first_chunk::<5>()
        .and_then(|([t1, t2, letters @ ..], rest)| {
            let payload = rest.strip_prefix(b",")?;
            // An address that begins with `P` is a maker's own.
            let talker = t1.is_ascii_alphanumeric() && t2.is_ascii_alphanumeric() && *t1 != b'P';
            let kind = Kind::of(*letters).filter(|_| talker)?;
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

#[cfg(test)]
mod tests {
    use super::*;

    fn checked(sentence: &str) -> Option<bool> {
        match frame(sentence.get(1..)?.as_bytes()) {
            Framed::Known(sentence) => Some(sentence.checked),
            _ => None,
        }
    }

    /// Examples that stand in many descriptions of NMEA 0183 and in the tests of readers (from
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
}
