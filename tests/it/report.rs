//! The write-up as a whole: which files, and the page.

use std::collections::BTreeSet;

use quick_xml::Reader;
use quick_xml::events::Event;
use thereback::plotter::{Chart, ChartKind, Drawing};
use thereback::report::{ChartForm, article, files, report_html, summary};
use thereback::trial::Trial;

use super::{report_fixture as fixture, report_variants as variants};

/// Elements of HTML that have no end tag.
const VOID: [&str; 4] = ["meta", "br", "hr", "img"];

fn every_day() -> Vec<(&'static str, Trial)> {
    vec![
        ("day", fixture::day()),
        ("too few", variants::too_few()),
        ("not shown", variants::with_change(1.1, -1.2, 3.4)),
        ("slower", variants::with_change(-4.1, -6.2, -2.0)),
        ("one configuration", variants::one_configuration()),
        ("nothing found", variants::nothing_found()),
        ("empty", variants::empty()),
        ("without wind", variants::without_wind()),
        ("nasty", variants::nasty()),
        ("not numbers", variants::not_numbers()),
    ]
}

fn drawing(width: f64) -> Drawing {
    Drawing {
        width,
        height: 300.0,
        marks: "<rect width=\"300\" height=\"300\"/>\n".to_owned(),
    }
}

fn chart(kind: ChartKind, name: &str, title: &str) -> Chart {
    Chart {
        kind,
        day: None,
        file_name: name.to_owned(),
        title: title.to_owned(),
        caption: "What to see in it.".to_owned(),
        alt: format!("{title}, in words & figures"),
        wide: drawing(600.0),
        narrow: drawing(340.0),
    }
}

fn charts() -> Vec<Chart> {
    [
        (ChartKind::Comparison, "comparison", "Change in speed"),
        (ChartKind::TrackMap, "track", "The track"),
        (
            ChartKind::SpeedAgainstHeading,
            "heading",
            "Speed against heading",
        ),
        (ChartKind::SpeedOverTime, "time", "Speed over time"),
    ]
    .map(|(kind, name, title)| chart(kind, name, title))
    .to_vec()
}

#[test]
fn the_files_are_those_promised() {
    let files = files(&fixture::day(), &charts(), ChartForm::Svg).unwrap();
    let paths: Vec<&str> = files.iter().map(|file| file.path.as_str()).collect();
    assert_eq!(
        paths,
        [
            "report.html",
            "report.md",
            "charts/comparison.svg",
            "charts/track.svg",
            "charts/heading.svg",
            "charts/time.svg",
            "legs.csv",
            "double_runs.csv",
            "comparison.csv",
            "legs.gpx",
            "result.json",
        ]
    );
}

#[test]
fn the_same_day_gives_the_same_bytes() {
    for (name, day) in every_day() {
        let charts = charts();
        assert_eq!(
            files(&day, &charts, ChartForm::Svg).unwrap(),
            files(&day.clone(), &charts, ChartForm::Svg).unwrap(),
            "{name}"
        );
    }
}

#[test]
fn no_file_ever_shows_what_is_not_a_number() {
    for (name, day) in every_day() {
        for file in files(&day, &charts(), ChartForm::Svg).unwrap() {
            let text = String::from_utf8(file.bytes).unwrap();
            for word in ["NaN", ">inf", "\"inf", ",inf", " inf ", "-inf", "Infinity"] {
                assert!(!text.contains(word), "{name}: {} has {word}", file.path);
            }
        }
    }
}

/// The page's tags: balanced, ids unique, every reference met. Returns all (tag, attributes).
fn tags(page: &str) -> Vec<(String, Vec<(String, String)>)> {
    let mut reader = Reader::from_str(page);
    reader.config_mut().check_end_names = false;
    reader.config_mut().allow_unmatched_ends = true;
    let mut open: Vec<String> = Vec::new();
    let mut all = Vec::new();
    loop {
        match reader.read_event().unwrap() {
            Event::Start(tag) => {
                let name = tag.name().as_ref().to_owned();
                all.push((name.clone(), attributes(&tag)));
                if !VOID.contains(&name.as_str()) {
                    open.push(name);
                }
            }
            Event::Empty(tag) => {
                let name = tag.name().as_ref().to_owned();
                all.push((name, attributes(&tag)));
            }
            Event::End(tag) => {
                let name = tag.name().as_ref().to_owned();
                assert_eq!(open.pop().as_deref(), Some(name.as_str()));
            }
            Event::Eof => break,
            _ => {}
        }
    }
    assert_eq!(open, [""; 0]);
    all
}

fn attributes(tag: &quick_xml::events::BytesStart<'_>) -> Vec<(String, String)> {
    tag.attributes()
        .map(|attribute| {
            let attribute = attribute.unwrap();
            (
                attribute.key.as_ref().to_owned(),
                attribute.value.into_owned(),
            )
        })
        .collect()
}

#[test]
fn the_page_is_well_formed_and_its_links_lead_somewhere() {
    for (name, day) in every_day() {
        let page = report_html(&day, &charts());
        assert!(
            page.starts_with("<!DOCTYPE html><html lang=\"en\">"),
            "{name}"
        );
        let tags = tags(&page);
        let attribute = |key: &str| -> Vec<&str> {
            tags.iter()
                .flat_map(|(_, attributes)| attributes)
                .filter(|(k, _)| k == key)
                .map(|(_, value)| value.as_str())
                .collect()
        };
        let ids = attribute("id");
        let unique: BTreeSet<&str> = ids.iter().copied().collect();
        assert_eq!(ids.len(), unique.len(), "{name}");
        for target in attribute("href") {
            let anchor = target.strip_prefix('#').unwrap();
            assert!(unique.contains(anchor), "{name}: {target}");
        }
        let labels = attribute("aria-labelledby");
        for label in labels.iter().flat_map(|labels| labels.split(' ')) {
            assert!(unique.contains(label), "{name}: {label}");
        }
        let count = |tag: &str| tags.iter().filter(|(name, _)| name == tag).count();
        assert_eq!(count("h1"), 1, "{name}");
        assert_eq!(count("main"), 1, "{name}");
        assert_eq!(count("table"), count("caption"), "{name}");
        assert_eq!(count("figure"), count("figcaption"), "{name}");
        assert!(
            tags.iter()
                .filter(|(tag, _)| tag == "th")
                .all(|(_, attributes)| attributes.iter().any(|(key, _)| key == "scope")),
            "{name}"
        );
    }
}

#[test]
fn the_page_loads_nothing_and_runs_only_its_own_script() {
    for (name, day) in every_day() {
        let page = report_html(&day, &charts());
        let namespace = "xmlns=\"http://www.w3.org/2000/svg\"";
        let rest = page.replace(namespace, "");
        for word in [
            "http:", "https:", "url(", "@import", "src=", "<script ", "<link", "<iframe",
        ] {
            assert!(!rest.contains(word), "{name} has {word}");
        }
        assert!(page.contains("default-src 'none'"), "{name}");
        assert!(
            page.contains("script-src &apos;sha256-") || page.contains("script-src 'sha256-"),
            "{name}"
        );
        assert_eq!(rest.matches("<script>").count(), 1, "{name}");
        assert!(
            tags(&page)
                .iter()
                .flat_map(|(_, attributes)| attributes)
                .all(|(key, _)| !key.starts_with("on")),
            "{name}"
        );
    }
}

#[test]
fn names_from_files_stay_text() {
    let page = report_html(&variants::nasty(), &charts());
    assert!(page.contains("&lt;script&gt;alert('x')&lt;/script&gt;"));
    assert_eq!(page.matches("</style>").count(), 1);
    assert!(!page.contains('\u{1b}'));
    assert!(!page.contains('\u{202e}'));
}

#[test]
fn the_answer_comes_first() {
    let page = report_html(&fixture::day(), &charts());
    let order = [
        "<h1>Three blades against four</h1>",
        "With four blades the boat was",
        "saves",
        "Change in speed.</strong>",
        "Table\u{a0}",
        "How it was done</h2>",
        "Speed over time.</strong>",
        "Appendix</h2>",
        "The track.</strong>",
        "Speed against heading.</strong>",
        "Double runs</h2>",
        "id=\"leg-1\"",
        "How it was measured</h2>",
        "13,988 of 14,021 fixes used",
    ];
    let body = page.split_once("<body>").unwrap().1;
    let places: Vec<usize> = order
        .iter()
        .map(|words| body.find(words).unwrap_or(usize::MAX))
        .collect();
    assert!(places.is_sorted(), "{places:?}");
}

#[test]
fn the_article_is_not_for_the_operator() {
    for (name, day) in every_day() {
        let article = article(&day, &charts(), ChartForm::Svg).to_markdown();
        for word in ["--notes", "Next time", "came before all runs of", "correct"] {
            assert!(!article.contains(word), "{name}: {word}");
        }
    }
}

/// Words of running text, captions and tables; names of files and marks are none.
fn words_of(markdown: &str) -> usize {
    let lines = markdown.lines().filter(|line| !line.starts_with("!["));
    let words = lines.flat_map(str::split_whitespace);
    words
        .filter(|word| word.contains(char::is_alphanumeric))
        .count()
}

#[test]
fn the_article_has_at_most_500_words() {
    for (name, day) in every_day() {
        let article = article(&day, &charts(), ChartForm::Svg).to_markdown();
        let words = words_of(&article);
        assert!(words <= 500, "{name}: {words}");
    }
}

#[test]
fn a_gain_comes_with_its_caution() {
    let faster = article(&fixture::day(), &[], ChartForm::Svg).to_markdown();
    assert!(faster.contains("More speed can come from more load"));
    assert!(faster.contains("To repeat it: disconnect the battery"));
    let nothing = article(&variants::one_configuration(), &[], ChartForm::Svg).to_markdown();
    assert!(!nothing.contains("More speed"));
}

#[test]
fn whoever_is_asked_to_do_something_is_cautioned() {
    for (name, day) in every_day() {
        let text = summary(&day);
        let asks = text.contains("Next time\n") || text.contains("Warnings\n");
        assert_eq!(asks, text.contains("COLREG rule 5"), "{name}");
    }
}

#[test]
fn articles_read_as_written() {
    for (name, day) in [
        ("faster", fixture::day()),
        ("not_shown", variants::with_change(1.1, -1.2, 3.4)),
        ("one_configuration", variants::one_configuration()),
        ("nothing_found", variants::nothing_found()),
    ] {
        insta::assert_snapshot!(name, article(&day, &charts(), ChartForm::Svg).to_markdown());
    }
}
