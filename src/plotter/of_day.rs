//! A chart of one of several days that are written up together.

use super::Chart;

/// A chart of one of several days under a name and a title of its own.
pub(crate) fn of_day(chart: Chart, number: usize) -> Chart {
    let Chart {
        name,
        title,
        caption,
        alt,
        svg,
        narrow,
    } = chart;
    let new = format!("day-{number}-{name}");
    let titled = format!("{title}, day {number}");
    let escaped = |text: &str| quick_xml::escape::escape(text).into_owned();
    let svg = svg
        .replace(&format!("id=\"{name}-"), &format!("id=\"{new}-"))
        .replace(
            &format!("aria-labelledby=\"{name}-title {name}-desc\""),
            &format!("aria-labelledby=\"{new}-title {new}-desc\""),
        )
        .replace(&format!("url(#{name}-"), &format!("url(#{new}-"))
        .replacen(
            &format!("-title\">{}</title>", escaped(&title)),
            &format!("-title\">{}</title>", escaped(&titled)),
            1,
        );
    Chart {
        name: new,
        title: titled,
        caption,
        alt,
        svg,
        narrow,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_s_chart_has_ids_of_its_own() {
        let chart = Chart {
            name: "track".to_owned(),
            title: "A & B".to_owned(),
            caption: String::new(),
            alt: String::new(),
            svg: "<svg aria-labelledby=\"track-title track-desc\"><title id=\"track-title\">A &amp; B</title><desc id=\"track-desc\"/><p fill=\"url(#track-hatch)\"/></svg>".to_owned(),
            narrow: String::new(),
        };
        let own = of_day(chart, 2);
        assert_eq!(own.name, "day-2-track");
        assert_eq!(
            own.svg,
            "<svg aria-labelledby=\"day-2-track-title day-2-track-desc\"><title id=\"day-2-track-title\">A &amp; B, day 2</title><desc id=\"day-2-track-desc\"/><p fill=\"url(#day-2-track-hatch)\"/></svg>"
        );
    }
}
