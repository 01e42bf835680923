//! The page in a browser: quiet, within its width, lit where pointed at, fit for print and for all.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};
use thereback::parser::read_file;
use thereback::plan::{
    Conditions, Request, card_html, draw_up, rehearsal_chart, rehearsal_html, rehearse,
};
use thereback::plotter;
use thereback::report::report_html;
use thereback::trial::{Settings, Trial, analyse};

use crate::browser::{Browser, browser, skipped};
use crate::charts_days;

const LIGHT: [&str; 2] = ["screen", "light"];
const DARK: [&str; 2] = ["screen", "dark"];
const PRINT: [&str; 2] = ["print", "light"];
/// A phone, a tablet, a desk.
const WIDTHS: [u32; 4] = [360, 640, 768, 1440];

fn sample() -> Trial {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/lake_trim.gpx");
    analyse(&[read_file(&path).unwrap()], &Settings::default())
}

/// Pages of days of many shapes, in a folder.
fn pages() -> (tempfile::TempDir, Vec<PathBuf>) {
    let folder = tempfile::tempdir().unwrap();
    let mut days = charts_days::all();
    days.retain(|(name, _)| {
        [
            "four-configurations",
            "names",
            "nothing",
            "two-lines",
            "sixty-legs",
        ]
        .contains(name)
    });
    days.push(("sample", sample()));
    let pages = days
        .into_iter()
        .map(|(name, day)| {
            let path = folder.path().join(format!("{name}.html"));
            let charts = plotter::charts(&day);
            std::fs::write(&path, report_html(&day, &charts)).unwrap();
            path
        })
        .collect();
    (folder, pages)
}

/// The card and the rehearsal of a plan.
fn before_the_day(folder: &Path) -> [PathBuf; 2] {
    let plan = draw_up(&Request {
        resolve: 0.06,
        speeds_m_s: vec![1.3, 2.3],
        wind_m_s: Some(3.0),
        ..Request::default()
    })
    .unwrap();
    let rehearsed = rehearse(&plan, &Conditions::default(), 5, 1, &|| {}).unwrap();
    let chart = rehearsal_chart(&plan, &rehearsed);
    let pages = [
        ("card", card_html(&plan)),
        ("rehearsal", rehearsal_html(&plan, &rehearsed, &chart)),
    ];
    pages.map(|(name, page)| {
        let path = folder.join(format!("{name}.html"));
        std::fs::write(&path, page).unwrap();
        path
    })
}

#[test]
fn browser_shows_the_card_and_the_rehearsal_quietly_and_within_their_width() {
    let Some(mut browser) = browser("the card and the rehearsal") else {
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    for page in before_the_day(folder.path()) {
        for (width, media) in [(768, LIGHT), (768, DARK), (1440, LIGHT), (360, LIGHT)] {
            let at = format!("{} at {width}", page.file_stem().unwrap().display());
            browser.open(&page, width, media);
            let wide = browser.value("document.documentElement.scrollWidth - innerWidth");
            assert!(wide.as_f64().unwrap() <= 0.0, "{at}: {wide} px too wide");
            let layout = if width == 360 { "narrow" } else { "wide" };
            assert_eq!(one_of_each_pair(&mut browser, layout), json!([]), "{at}");
            assert_quiet(&browser, &at);
        }
    }
}

/// Opens a page with all of its appendix.
fn open(browser: &mut Browser, page: &Path, width: u32, media: [&str; 2]) {
    browser.open(page, width, media);
    browser.value("document.querySelectorAll('details').forEach(section => section.open = true)");
}

fn sample_page() -> (tempfile::TempDir, PathBuf) {
    let (folder, pages) = pages();
    let page = pages.last().unwrap().clone();
    (folder, page)
}

/// Nothing was written to the console, nothing failed, and nothing but the page itself was asked for.
fn assert_quiet(browser: &Browser, at: &str) {
    for event in &browser.events {
        let method = event["method"].as_str().unwrap_or_default();
        let loud = [
            "Runtime.exceptionThrown",
            "Runtime.consoleAPICalled",
            "Log.entryAdded",
        ];
        assert!(!loud.contains(&method), "{at}: {event}");
        if method == "Network.requestWillBeSent" {
            let url = event["params"]["request"]["url"].as_str().unwrap();
            assert!(
                url.starts_with("file://") && url.matches(".html").count() == 1,
                "{at}: {url}"
            );
        }
    }
}

#[test]
fn browser_shows_the_page_quietly_and_within_its_width() {
    let Some(mut browser) = browser("the page at four widths") else {
        return;
    };
    let (_folder, pages) = pages();
    for page in &pages {
        for width in WIDTHS {
            for media in [LIGHT, DARK] {
                let at = format!("{} at {width}", page.file_stem().unwrap().display());
                open(&mut browser, page, width, media);
                let wide = browser.value("document.documentElement.scrollWidth - innerWidth");
                assert!(wide.as_f64().unwrap() <= 0.0, "{at}: {wide} px too wide");
                // Each chart has a size, and its smallest letters can be read: 10 px or more.
                let small = browser.value(
                    "[...document.querySelectorAll('figure svg')].filter(svg => svg.checkVisibility()).filter(svg => { const r = svg.getBoundingClientRect(); const sizes = [...svg.querySelectorAll('text')].map(t => parseFloat(t.getAttribute('font-size')) * r.width / svg.viewBox.baseVal.width); return r.width < 300 || r.height < 80 || Math.min(...sizes) < 10; }).length",
                );
                assert_eq!(
                    small,
                    json!(0),
                    "{at}: charts without a size or with small letters"
                );
                assert_eq!(
                    one_of_each_pair(&mut browser, if width < 577 { "narrow" } else { "wide" }),
                    json!([]),
                    "{at}: the other drawing is shown, or both"
                );
                if width < 704 {
                    let scrolling = browser.value(
                        "[...document.querySelectorAll('.scroll, .drawing, .tabular, table')].filter(box => box.checkVisibility() && box.scrollWidth > box.clientWidth + 1).map(box => box.className + ' ' + box.textContent.slice(0, 40))",
                    );
                    assert_eq!(scrolling, json!([]), "{at}: scrolls sideways");
                    let outside = browser.value(
                        "[...document.querySelectorAll('tbody :is(th, td)')].filter(cell => cell.scrollWidth > cell.clientWidth + 1 || cell.getBoundingClientRect().right > innerWidth).length",
                    );
                    assert_eq!(outside, json!(0), "{at}: cells reach out");
                }
                let twice = browser.value(
                    "(() => { const ids = [...document.querySelectorAll('[id]')].map(e => e.id); return ids.filter((id, k) => ids.indexOf(id) !== k); })()",
                );
                assert_eq!(twice, json!([]), "{at}: ids that are not unique");
                let scripted = browser.value("document.documentElement.matches('.scripted')");
                assert_eq!(scripted, json!(true), "{at}: the script does not run");
                assert_quiet(&browser, &at);
            }
        }
    }
}

/// The figures that show anything else than the drawing of that layout alone.
fn one_of_each_pair(browser: &mut Browser, layout: &str) -> Value {
    browser.value(&format!(
        "[...document.querySelectorAll('figure')].filter(figure => {{ const shown = [...figure.querySelectorAll('.drawing')].filter(box => box.checkVisibility()); return shown.length !== 1 || !shown[0].matches('.{layout}'); }}).map(figure => figure.id)"
    ))
}

#[test]
fn browser_shows_all_charts_on_both_papers() {
    let Some(mut browser) = browser("charts and papers") else {
        return;
    };
    let (_folder, page) = sample_page();
    for (media, paper) in [(LIGHT, "rgb(255, 255, 255)"), (DARK, "rgb(21, 24, 28)")] {
        open(&mut browser, &page, 1440, media);
        assert_eq!(
            browser.value("[...document.querySelectorAll('figure svg')].filter(svg => svg.checkVisibility()).length"),
            json!(4)
        );
        let found = browser.value("getComputedStyle(document.body).backgroundColor");
        assert_eq!(found, json!(paper));
    }
}

#[test]
fn browser_prints_no_chart_across_two_sheets() {
    let Some(mut browser) = browser("print") else {
        return;
    };
    let (_folder, page) = sample_page();
    // A4 and Letter less the margins of the style sheet: 36 mm in height, 32 mm in width.
    for [width, height] in [[210.0, 297.0], [215.9, 279.4]] {
        let px = |mm: f64| mm / 25.4 * 96.0;
        open(&mut browser, &page, px(width - 32.0) as u32, PRINT);
        let tallest = browser.value(
            "Math.max(...[...document.querySelectorAll('figure')].map(f => f.getBoundingClientRect().height))",
        );
        assert!(tallest.as_f64().unwrap() < px(height - 36.0), "{tallest}");
        // On a phone too the wide drawings are printed.
        for sheet in [px(width - 32.0) as u32, 360] {
            open(&mut browser, &page, sheet, PRINT);
            assert_eq!(one_of_each_pair(&mut browser, "wide"), json!([]));
            let cards =
                browser.value("getComputedStyle(document.querySelector('tbody tr')).display");
            assert_eq!(cards, json!("table-row"));
        }
        open(&mut browser, &page, px(width - 32.0) as u32, PRINT);
        // Two figures stand on a sheet, headings and all.
        assert!(
            tallest.as_f64().unwrap() < px((height - 36.0) / 2.0),
            "{tallest}"
        );
        let kept = browser.value(
            "[...document.querySelectorAll('figure')].every(f => getComputedStyle(f).breakInside === 'avoid')",
        );
        assert_eq!(kept, json!(true));
        let size = json!({"paperWidth": width / 25.4, "paperHeight": height / 25.4, "preferCSSPageSize": false});
        let pdf = browser.call("Page.printToPDF", &size);
        // `%PDF` in base 64.
        assert!(pdf["data"].as_str().unwrap().starts_with("JVBERi"));
    }
}

/// How many marks of a leg are lit in the track, in speed over time and in the table.
fn lit(browser: &mut Browser, leg: usize) -> [u64; 3] {
    ["#track svg", "main > figure svg", "#legs tbody"].map(|place| {
        let found = browser.value(&format!(
            "document.querySelectorAll(\"{place} [data-leg='{leg}'].lit\").length"
        ));
        let others = browser.value(&format!(
            "document.querySelectorAll(\"{place} .lit:not([data-leg='{leg}'])\").length"
        ));
        assert_eq!(others, json!(0), "other legs lit in {place}");
        found.as_u64().unwrap()
    })
}

#[test]
fn browser_lights_a_leg_everywhere() {
    let Some(mut browser) = browser("highlighting") else {
        return;
    };
    let (_folder, page) = sample_page();
    open(&mut browser, &page, 1440, LIGHT);
    browser.point_at("#legs tr[data-leg='24'] td");
    let from_table = lit(&mut browser, 24);
    assert!(from_table.iter().all(|marks| *marks > 0), "{from_table:?}");
    browser.point_at("main > figure .wide g[data-leg='24'] rect");
    let from_chart = lit(&mut browser, 24);
    assert!(from_chart.iter().all(|marks| *marks > 0), "{from_chart:?}");
    browser.point_at("h1");
    assert_eq!(
        browser.value("document.querySelectorAll('.lit').length"),
        json!(0)
    );
    // By keyboard: the arrows go from leg to leg.
    browser.value("document.querySelector('#legs tr[data-leg]').focus()");
    for kind in ["keyDown", "keyUp"] {
        let key = json!({"type": kind, "key": "ArrowDown", "code": "ArrowDown", "windowsVirtualKeyCode": 40});
        browser.call("Input.dispatchKeyEvent", &key);
    }
    assert_eq!(
        browser.value("document.activeElement.dataset.leg"),
        json!("2")
    );
    assert_eq!(lit(&mut browser, 2)[2], 1);
    assert_quiet(&browser, "highlighting");
}

#[test]
fn browser_lights_a_leg_in_both_drawings() {
    let Some(mut browser) = browser("highlighting on a phone") else {
        return;
    };
    let (_folder, page) = sample_page();
    open(&mut browser, &page, 360, LIGHT);
    for place in [
        "#legs tr[data-leg='24'] td",
        "main > figure .narrow g[data-leg='24'] rect",
    ] {
        browser.point_at("h1");
        browser.point_at(place);
        for box_of in [
            "#track .wide",
            "#track .narrow",
            "main > figure .wide",
            "main > figure .narrow",
            "#legs",
        ] {
            let found = browser.value(&format!(
                "document.querySelectorAll(\"{box_of} [data-leg='24'].lit\").length"
            ));
            assert!(found.as_u64().unwrap() > 0, "{box_of} from {place}");
        }
    }
    assert_quiet(&browser, "highlighting on a phone");
}

#[test]
fn browser_keeps_cards_a_table() {
    let Some(mut browser) = browser("cards") else {
        return;
    };
    let (_folder, page) = sample_page();
    open(&mut browser, &page, 360, LIGHT);
    // Every part of a table says what it is, whatever it is laid out as.
    let roles = browser.value(
        "[['table', 'table'], ['thead, tbody', 'rowgroup'], ['tr', 'row'], ['thead th', 'columnheader'], ['tbody th', 'rowheader'], ['td', 'cell']].filter(([parts, role]) => [...document.querySelectorAll(parts)].some(part => part.getAttribute('role') !== role))",
    );
    assert_eq!(roles, json!([]));
    let labels = browser.value(
        "[...document.querySelectorAll('tbody tr')].every(row => [...row.cells].every((cell, k) => { const head = row.closest('table').tHead.rows[0].cells[k]; return cell.dataset.label.startsWith(head.textContent.trim().split(' ')[0]); }))",
    );
    assert_eq!(labels, json!(true));
    // The legs sort by the headings above them, which can be seen and hit.
    let small = browser.value(
        "[...document.querySelectorAll('#legs thead button')].filter(b => { const r = b.getBoundingClientRect(); return !b.checkVisibility() || r.height < 24 || r.width < 24 || r.right > innerWidth; }).length",
    );
    assert_eq!(small, json!(0));
}

#[test]
fn browser_sorts_the_legs() {
    let Some(mut browser) = browser("sorting") else {
        return;
    };
    let (_folder, page) = sample_page();
    for width in [1440, 360] {
        open(&mut browser, &page, width, LIGHT);
        sorts(&mut browser);
    }
}

fn sorts(browser: &mut Browser) {
    let speeds = "[...document.querySelectorAll('#legs tbody tr')].map(r => parseFloat(r.cells[5].textContent)).filter(v => !isNaN(v))";
    let head = "document.querySelectorAll('#legs thead th')[5]";
    for (way, sign) in [("ascending", 1), ("descending", -1)] {
        browser.value(&format!("{head}.querySelector('button').click()"));
        assert_eq!(
            browser.value(&format!("{head}.getAttribute('aria-sort')")),
            json!(way)
        );
        let sorted = browser.value(&format!(
            "{speeds}.every((v, k, all) => k === 0 || {sign} * (v - all[k - 1]) >= 0)"
        ));
        assert_eq!(sorted, json!(true), "{way}");
    }
    assert_eq!(
        browser.value("document.querySelectorAll('#legs [aria-sort]').length"),
        json!(1)
    );
}

#[test]
fn browser_finds_nothing_in_the_way_of_anyone() {
    let tool = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("target/browser/node_modules/axe-core/axe.min.js");
    let Ok(tool) = std::fs::read_to_string(tool) else {
        skipped(
            "accessibility: `npm install --prefix target/browser axe-core` (`.ci/run` does it) brings what it needs",
        );
        return;
    };
    let Some(mut browser) = browser("accessibility") else {
        return;
    };
    let (folder, mut pages) = pages();
    pages.extend(before_the_day(folder.path()));
    for page in &pages {
        for (width, media) in [(360, LIGHT), (360, DARK), (1440, LIGHT), (1440, DARK)] {
            open(&mut browser, page, width, media);
            browser.value(&format!("{tool}; null"));
            let found = browser.value(
                "axe.run(document, {resultTypes: ['violations']}).then(r => r.violations.map(v => v.id + ': ' + v.nodes.slice(0, 3).map(n => n.html.slice(0, 200) + ' ' + n.failureSummary).join(' | ')))",
            );
            let at = page.file_stem().unwrap().display();
            assert_eq!(found, json!([]), "{at} at {width}, {media:?}");
        }
    }
}
