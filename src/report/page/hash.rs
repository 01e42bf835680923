//! SHA-256, for the one line of the content security policy that lets the page's own script run.
//!
//! Computed rather than written down, so that it cannot fall behind the script. FIPS 180-4 (2015),
//! sections 4.1.2, 4.2.2, 5 and 6.2; base 64 after RFC 4648, section 4.

/// First 32 bits of the fractional parts of the cube roots of the first 64 primes (FIPS 180-4, 4.2.2).
const K: [u32; 64] = [
    0x428a_2f98,
    0x7137_4491,
    0xb5c0_fbcf,
    0xe9b5_dba5,
    0x3956_c25b,
    0x59f1_11f1,
    0x923f_82a4,
    0xab1c_5ed5,
    0xd807_aa98,
    0x1283_5b01,
    0x2431_85be,
    0x550c_7dc3,
    0x72be_5d74,
    0x80de_b1fe,
    0x9bdc_06a7,
    0xc19b_f174,
    0xe49b_69c1,
    0xefbe_4786,
    0x0fc1_9dc6,
    0x240c_a1cc,
    0x2de9_2c6f,
    0x4a74_84aa,
    0x5cb0_a9dc,
    0x76f9_88da,
    0x983e_5152,
    0xa831_c66d,
    0xb003_27c8,
    0xbf59_7fc7,
    0xc6e0_0bf3,
    0xd5a7_9147,
    0x06ca_6351,
    0x1429_2967,
    0x27b7_0a85,
    0x2e1b_2138,
    0x4d2c_6dfc,
    0x5338_0d13,
    0x650a_7354,
    0x766a_0abb,
    0x81c2_c92e,
    0x9272_2c85,
    0xa2bf_e8a1,
    0xa81a_664b,
    0xc24b_8b70,
    0xc76c_51a3,
    0xd192_e819,
    0xd699_0624,
    0xf40e_3585,
    0x106a_a070,
    0x19a4_c116,
    0x1e37_6c08,
    0x2748_774c,
    0x34b0_bcb5,
    0x391c_0cb3,
    0x4ed8_aa4a,
    0x5b9c_ca4f,
    0x682e_6ff3,
    0x748f_82ee,
    0x78a5_636f,
    0x84c8_7814,
    0x8cc7_0208,
    0x90be_fffa,
    0xa450_6ceb,
    0xbef9_a3f7,
    0xc671_78f2,
];

/// First 32 bits of the fractional parts of the square roots of the first eight primes (FIPS 180-4, 5.3.3).
const START: [u32; 8] = [
    0x6a09_e667,
    0xbb67_ae85,
    0x3c6e_f372,
    0xa54f_f53a,
    0x510e_527f,
    0x9b05_688c,
    0x1f83_d9ab,
    0x5be0_cd19,
];

/// The source expression of a policy for a script: `sha256-` and the digest in base 64.
pub(super) fn source(script: &str) -> String {
    format!("sha256-{}", base64(&sha256(script.as_bytes())))
}

fn sha256(message: &[u8]) -> Vec<u8> {
    let mut padded = message.to_vec();
    padded.push(0x80);
    while padded.len() % 64 != 56 {
        padded.push(0);
    }
    padded.extend((message.len() as u64 * 8).to_be_bytes());
    let state = padded.chunks_exact(64).fold(START, block);
    state.iter().flat_map(|word| word.to_be_bytes()).collect()
}

fn block(state: [u32; 8], bytes: &[u8]) -> [u32; 8] {
    let mut words: Vec<u32> = bytes
        .chunks_exact(4)
        .map(|four| {
            four.iter()
                .fold(0, |word, byte| word << 8 | u32::from(*byte))
        })
        .collect();
    let word = |words: &[u32], at: usize| words.get(at).copied().unwrap_or(0);
    for at in 16..64 {
        let (early, late) = (word(&words, at - 15), word(&words, at - 2));
        let one = early.rotate_right(7) ^ early.rotate_right(18) ^ early >> 3;
        let two = late.rotate_right(17) ^ late.rotate_right(19) ^ late >> 10;
        let sum = word(&words, at - 16).wrapping_add(one);
        words.push(sum.wrapping_add(word(&words, at - 7)).wrapping_add(two));
    }
    let [mut a, mut b, mut c, mut d, mut e, mut f, mut g, mut h] = state;
    for (constant, word) in K.iter().zip(&words) {
        let sum = e.rotate_right(6) ^ e.rotate_right(11) ^ e.rotate_right(25);
        let choice = e & f ^ !e & g;
        let first = h.wrapping_add(sum).wrapping_add(choice);
        let first = first.wrapping_add(*constant).wrapping_add(*word);
        let sum = a.rotate_right(2) ^ a.rotate_right(13) ^ a.rotate_right(22);
        let second = sum.wrapping_add(a & b ^ a & c ^ b & c);
        [h, g, f, e] = [g, f, e, d.wrapping_add(first)];
        [d, c, b, a] = [c, b, a, first.wrapping_add(second)];
    }
    let mixed = [a, b, c, d, e, f, g, h];
    let mut next = state;
    for (own, added) in next.iter_mut().zip(mixed) {
        *own = own.wrapping_add(added);
    }
    next
}

fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::new();
    for three in bytes.chunks(3) {
        let bits = (0..3).fold(0_usize, |bits, at| {
            bits << 8 | three.get(at).map_or(0, |byte| usize::from(*byte))
        });
        for at in 0..4 {
            let letter = LETTERS.get(bits >> (18 - 6 * at) & 63).copied();
            out.push(if at > three.len() {
                '='
            } else {
                letter.map_or('=', char::from)
            });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use std::fmt::Write as _;

    use super::*;

    fn hex(message: &str) -> String {
        let mut digits = String::new();
        for byte in sha256(message.as_bytes()) {
            let _ = write!(digits, "{byte:02x}");
        }
        digits
    }

    #[test]
    fn digests_agree_with_the_published_ones() {
        // NIST, "Example values", SHA-256 (FIPS 180-4): one block and two blocks.
        assert_eq!(
            hex("abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
        assert_eq!(
            hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"
        );
    }

    #[test]
    fn letters_agree_with_the_published_ones() {
        // RFC 4648, section 10.
        for (text, letters) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(text.as_bytes()), letters);
        }
    }
}
