//! The attributes of one start tag.

use memchr::memchr;

/// Goes over `name="value"` pairs; values are as written, entities and all.
///
/// More tolerant than XML: single or no quotes, blanks round `=`, the same name
/// twice.
#[derive(Debug, Clone)]
pub(super) struct Attributes<'a> {
    rest: &'a str,
}

impl<'a> Attributes<'a> {
    /// Over what stands in a start tag after its name.
    pub(super) fn new(rest: &'a str) -> Self {
        Self { rest }
    }
}

impl<'a> Iterator for Attributes<'a> {
    type Item = (&'a str, &'a str);

    fn next(&mut self) -> Option<Self::Item> {
        let rest = self.rest.trim_ascii_start();
        let name_end = rest
            .bytes()
            .position(|b| b == b'=' || b.is_ascii_whitespace());
        let Some((name, after)) = name_end.and_then(|end| rest.split_at_checked(end)) else {
            self.rest = "";
            return (!rest.is_empty()).then_some((rest, ""));
        };
        let Some(value) = after.trim_ascii_start().strip_prefix('=') else {
            self.rest = after;
            return Some((name, ""));
        };
        let value = value.trim_ascii_start();
        let quoted = value
            .strip_prefix(['"', '\''])
            .zip(value.as_bytes().first());
        let (value, after) = if let Some((inside, &quote)) = quoted {
            let end = memchr(quote, inside.as_bytes()).unwrap_or(inside.len());
            let (value, after) = inside.split_at_checked(end)?;
            (value, after.get(1..).unwrap_or_default())
        } else {
            let end = value.bytes().position(|b| b.is_ascii_whitespace());
            value.split_at_checked(end.unwrap_or(value.len()))?
        };
        self.rest = after;
        Some((name, value))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[track_caller]
    fn check(text: &str, expected: &[(&str, &str)]) {
        assert_eq!(
            Attributes::new(text).collect::<Vec<_>>(),
            expected,
            "{text:?}"
        );
    }

    #[test]
    fn pairs_are_found_in_every_dress() {
        check(
            r#" lat="57.7" lon="11.9""#,
            &[("lat", "57.7"), ("lon", "11.9")],
        );
        check(
            "\r\n\tlat = '57.7'lon='11.9' ",
            &[("lat", "57.7"), ("lon", "11.9")],
        );
        check(" lat=57.7 lon=11.9", &[("lat", "57.7"), ("lon", "11.9")]);
        check(r#" a b="c" d="#, &[("a", ""), ("b", "c"), ("d", "")]);
        check(r#" lat="57.7"#, &[("lat", "57.7")]);
        check(r#" ö="ä" "#, &[("ö", "ä")]);
        check("   ", &[]);
    }

    proptest! {
        #[test]
        fn any_text_comes_to_an_end(text in "[ a=\"'ö<>\n]*") {
            prop_assert!(Attributes::new(&text).count() <= text.len());
        }
    }
}
