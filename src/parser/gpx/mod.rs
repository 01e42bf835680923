//! GPX, every version and dialect: one streaming pass over the text.
//!
//! Elements are known by their local names. Nothing is asked of version,
//! creator, namespace or schema order; what is not known is passed over. Rules
//! of the format: GPX 1.1 schema documentation, topografix.com/GPX/1/1.

mod attributes;
mod builder;
mod capture;
mod gathered;
mod names;
mod pass;
mod plain;
mod point;
mod position;
mod remarks;
mod windows;

use self::builder::Builder;
pub(super) use self::windows::read_in_windows;
use super::ReadError;
use super::lines::Lines;
use super::text::{Decoded, bytes_in_file};
use crate::track::Recording;

/// Reads a GPX document, or several joined end to end.
pub(super) fn read(decoded: &Decoded<'_>, file: &str) -> Result<Recording, ReadError> {
    read_last(Builder::default(), Lines::default(), decoded, file)
}

/// Reads the last window, which is the only one where the whole text is at hand.
fn read_last<'a>(
    mut builder: Builder<'a>,
    mut lines: Lines,
    last: &'a Decoded<'_>,
    file: &str,
) -> Result<Recording, ReadError> {
    let text = last.text.as_ref();
    pass::run(text, pass::Way::Quick, &mut builder);
    let cut_off = builder.finish(text.len());
    let gathered = builder.gathered;
    let cut_at = cut_off.as_ref().map(|cut| cut.from);
    lines.go_over(text.as_bytes(), gathered.places().chain(cut_at));
    let line_of = |place| lines.line_of(place);
    if gathered.tracks.is_empty() {
        let lost = gathered.faults.all_lost(line_of, file);
        return Err(lost.unwrap_or_else(|| ReadError::NoTrack {
            file: file.to_owned(),
            found: remarks::found_instead(&gathered, cut_off.as_ref(), &lines),
        }));
    }
    let cut_off = cut_off.as_ref().map(|cut| {
        let unread = text.get(cut.unread.clone()).unwrap_or_default();
        (cut, bytes_in_file(unread, last.encoding))
    });
    let mut remarks: Vec<String> = last.remark.clone().into_iter().collect();
    remarks.extend(remarks::remarks(&gathered, cut_off, &lines));
    let segments = gathered.tracks.iter().flat_map(|track| &track.segments);
    let fixes: usize = segments.map(Vec::len).sum();
    Ok(Recording {
        file: file.to_owned(),
        points_met: fixes + gathered.faults.total(),
        set_aside: gathered.faults.set_aside(line_of),
        tracks: gathered.tracks,
        waypoints: gathered.waypoints,
        remarks,
        ..Recording::default()
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::pass::Way;
    use super::*;
    use crate::parser::lines::line_of;

    /// All that a text gives, one way.
    fn outcome(text: &str, way: Way) -> impl PartialEq + std::fmt::Debug + use<> {
        let mut builder = Builder::default();
        pass::run(text, way, &mut builder);
        let cut_off = builder.finish(text.len()).map(|cut| cut.from);
        let gathered = builder.gathered;
        (
            gathered.faults.set_aside(|place| line_of(text, place)),
            gathered.oddities,
            (gathered.broken.bytes, gathered.mismatched.places),
            (gathered.routes, gathered.route_points, gathered.documents),
            cut_off,
            gathered.tracks,
            gathered.waypoints,
        )
    }

    /// Pieces that make whole, odd and broken documents when strung together.
    const OUTSIDE: [&str; 17] = [
        "<gpx>",
        "</gpx>",
        "<trk>",
        "</trk>",
        "<trkseg>",
        "</trkseg>",
        "<rte>",
        "</rte>",
        "</trkpt>",
        "</g:trkpt>",
        r#"<trkpt lat="57>" lon="1>">"#,
        r#"<trkpt lat="57.4" lon="11.7"/>"#,
        r#"<rtept lat="1" lon="2"/>"#,
        r#"<wpt lat="1" lon="2"><name>m</name></wpt>"#,
        "ö",
        "<",
        "-->",
    ];

    const POINTS: [&str; 6] = [
        r#"<trkpt lat="57.1" lon="11.9">"#,
        "<trkpt lat='57.2' lon='11.8' >",
        r#"<g:trkpt lat="57.3" lon="190">"#,
        r#"<trkpt lat="x" lon="11.9">"#,
        r#"<trkpt lat="57.1" lon='11.9'>"#,
        "<trkpt>",
    ];

    const INSIDE: [&str; 40] = [
        "<time>2031-06-04T09:12:30Z</time>",
        "<time>2031-06-04 09:12:31</time>",
        "<time>noon</time>",
        "<time/>",
        "<ele>1</ele>",
        "<ele/>",
        "<ele>1<!-- c --></ele>",
        "<extensions>",
        "</extensions>",
        "<extensions xmlns:a='b'>",
        "<x:speed>2.5</x:speed>",
        "<speed>2 kn</speed>",
        r#"<speed unit="kn">2</speed>"#,
        r#"<speed unit="warp">2</speed>"#,
        "<speed unit='kn'/>",
        r#"<course unit="deg">90</course>"#,
        "<Depth>4</Depth>",
        "<depth unit='ft' a=\"b\">4</depth>",
        "<name>a</name>",
        "\n  ",
        "<!-- c -->",
        "<!-->",
        "<!-- <trkpt> --->",
        "<![CDATA[x]]>",
        "&amp;",
        "loose",
        "&#10;",
        "&",
        "]]>",
        "<![CDATA[]]",
        "<?p <trkpt> ?>",
        "<desc>a &amp; b</desc>",
        "<desc>a & b</desc>",
        "<desc>&amp<b/>c</desc>",
        "<desc>&unknown;<!-- c -->]]></desc>",
        "<desc><![CDATA[<time>]]></desc>",
        "<time>2031&#45;06-04T09:12:30Z&#xA;</time>",
        "<time>2031-06-04T09:12:30Z&<![CDATA[]]></time>",
        "<speed>&#x32;&amp;5</speed>",
        "<speed>2&#46;5&</speed>",
    ];

    /// Whole points with anything inside, and anything between them.
    pub(super) fn piece() -> impl Strategy<Value = String> {
        let inside = prop::collection::vec(prop::sample::select(INSIDE.to_vec()), 0..6);
        let end = prop::sample::select(vec!["</trkpt>", "</trkpt>", "</g:trkpt>", "</trkpt >", ""]);
        let point = (prop::sample::select(POINTS.to_vec()), inside, end)
            .prop_map(|(start, inside, end)| format!("{start}{}{end}", inside.concat()));
        let single = prop::sample::select([OUTSIDE.as_slice(), INSIDE.as_slice()].concat());
        prop_oneof![3 => point, 1 => single.prop_map(str::to_owned)]
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(4000))]

        #[test]
        fn the_quick_way_gives_what_the_tokenizer_gives(
            pieces in prop::collection::vec(piece(), 0..20),
        ) {
            let text = format!("<gpx><trk><trkseg>{}", pieces.concat());
            prop_assert_eq!(outcome(&text, Way::Quick), outcome(&text, Way::Tokens), "{}", text);
        }

        #[test]
        fn mutated_points_are_read_alike_either_way(
            mutations in prop::collection::vec((any::<prop::sample::Index>(), "[<>/\"'& =a0ö-]?"), 0..4),
        ) {
            let point = r#"<trkpt lat="57.1" lon="11.9"><ele>1</ele><time>2031-06-04T09:12:30Z</time>
                <extensions><a:b><a:speed>2.5</a:speed></a:b><depth>4</depth></extensions></trkpt>"#;
            let mut text = format!("<gpx><trk><trkseg>{}</trkseg></trk></gpx>", point.repeat(3));
            for (place, replacement) in mutations {
                let at = place.index(text.len());
                if text.is_char_boundary(at) && text.is_char_boundary(at + 1) {
                    text.replace_range(at..=at, &replacement);
                }
            }
            prop_assert_eq!(outcome(&text, Way::Quick), outcome(&text, Way::Tokens), "{}", text);
        }
    }
}
