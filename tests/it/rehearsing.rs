//! Rehearsals: determinism, the samples, and what is shown beside what the plan expects.

use std::fs;
use std::path::Path;

use thereback::plan::{
    Conditions, Plan, Request, change_sizes, draw_up, kept_days, rehearsal_chart, rehearsal_html,
    rehearsal_text, rehearse,
};
use thereback::simulate::{Sampling, samples};

use crate::commands::run;

fn plan() -> Plan {
    draw_up(&Request {
        resolve: 0.06,
        speeds_m_s: vec![1.3, 2.3],
        wind_m_s: Some(3.0),
        ..Request::default()
    })
    .unwrap()
}

/// The intervals are as wide as planned, and changes are shown as often as planned within the error of
/// the count. The sizes of a round share its weather, so a count is worth half its days.
#[test]
fn a_rehearsal_shows_what_the_plan_expects() {
    for (resolve, speeds_m_s, wind) in [
        (0.02, vec![1.235, 2.366], 4.6),
        (0.012, vec![1.3, 2.3], 1.5),
    ] {
        let plan = draw_up(&Request {
            resolve,
            speeds_m_s,
            wind_m_s: Some(wind),
            ..Request::default()
        })
        .unwrap();
        let rehearsal = rehearse(&plan, &Conditions::default(), 100, 7, &|| ()).unwrap();
        let (mut shown, mut expected, mut variance) = (0.0, 0.0, 0.0);
        for size in &rehearsal.sizes {
            let (days, chance) = (size.days as f64, size.power_planned);
            shown += days * size.share_shown().unwrap();
            expected += days * chance;
            variance += days * chance * (1.0 - chance);
        }
        let off = (shown - expected) / (2.0 * variance).sqrt();
        assert!(off.abs() < 3.0, "{wind} m/s: {shown} for {expected}");
        let half = rehearsal.sizes[0].noted.median_width_percent.unwrap() / 200.0;
        let planned = plan.pooled.half_width_share();
        assert!(
            (half / planned - 1.0).abs() < 0.25,
            "{wind} m/s: {half} for {planned}"
        );
    }
}

#[test]
fn rehearsals_of_different_seeds_have_no_day_in_common() {
    let plan = plan();
    let starts = |seed| -> Vec<u64> {
        let kept = kept_days(&plan, &Conditions::default(), seed).into_iter();
        kept.map(|(_, day)| day.truth.seed).collect()
    };
    let seeds: Vec<u64> = (0..8).map(|seed| starts(seed)[0]).collect();
    let mut apart = seeds.clone();
    apart.sort_unstable();
    apart.dedup();
    assert_eq!(apart.len(), seeds.len());
}

#[test]
fn the_same_figures_on_any_number_of_threads() {
    let (plan, conditions) = (plan(), Conditions::default());
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        pool.install(|| rehearse(&plan, &conditions, 10, 3, &|| ()))
            .unwrap()
    };
    let one = on(1);
    assert_eq!(one, on(3));
    let other = rehearse(&plan, &conditions, 10, 4, &|| ()).unwrap();
    assert_ne!(one.scatter, other.scatter, "another seed gives other days");
}

#[test]
fn a_good_plan_tells_what_it_says() {
    let plan = plan();
    let rehearsal = rehearse(&plan, &Conditions::default(), 60, 1, &|| ()).unwrap();
    assert_eq!(rehearsal.sizes.len(), change_sizes(&plan).len());
    for size in &rehearsal.sizes {
        assert_eq!(size.days, 12);
        for counts in [&size.noted, &size.without_notes] {
            let claims = counts.shown + counts.wrong_sign + counts.claimed;
            assert_eq!(claims + counts.not_shown + counts.no_answer, 12, "{size:?}");
            assert!(counts.covered >= 9, "{size:?}");
            assert!(counts.read_right >= 11, "{size:?}");
        }
    }
    let last = rehearsal.sizes.last().unwrap();
    for counts in [&last.noted, &last.without_notes] {
        assert_eq!(counts.shown, last.days, "twice the change worth knowing");
    }
    assert!(rehearsal.sizes[0].noted.claimed <= 2);
    assert!(rehearsal.sizes[0].without_notes.claimed <= 2);
    assert!(rehearsal_text(&plan, &rehearsal).contains("What to alter"));
    let chart = rehearsal_chart(&plan, &rehearsal);
    assert!(chart.svg().starts_with("<svg"));
    assert!(chart.alt.contains("12 %, shown on 100 %"), "{}", chart.alt);
    let page = rehearsal_html(&plan, &rehearsal, &chart);
    assert!(!page.contains("<script") && page.contains("What to alter"));
}

#[test]
fn conditions_out_of_range_are_told() {
    for bad in [
        Conditions {
            gusts: 0.9,
            ..Conditions::default()
        },
        Conditions {
            tide_m_s: f64::NAN,
            ..Conditions::default()
        },
        Conditions {
            sampling: Sampling::Seconds(0.0),
            ..Conditions::default()
        },
        Conditions {
            decimals: 2,
            ..Conditions::default()
        },
    ] {
        let error = rehearse(&plan(), &bad, 5, 1, &|| ()).unwrap_err();
        assert!(error.to_string().contains("\nhint: "), "{error}");
    }
}

#[test]
fn the_samples_are_made_byte_for_byte() {
    // Sines and roots differ in their last bit from one mathematical library to another.
    if !cfg!(all(target_os = "linux", target_arch = "x86_64")) {
        return;
    }
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let folder = tempfile::tempdir().unwrap();
    let done = run(folder.path(), &["rehearse", "--save", "made"]);
    assert_eq!((done.code, done.stderr.as_str()), (0, ""));
    for sample in samples() {
        for (name, _) in sample.files() {
            let made = fs::read(folder.path().join("made").join(&name)).unwrap();
            assert!(
                made == fs::read(kept.join(&name)).unwrap(),
                "{name} differs"
            );
        }
    }
}

/// From plan to day to report, by the commands alone: the notes as planned are read without a word of complaint.
#[test]
fn planned_rehearsed_and_reported() {
    let folder = tempfile::tempdir().unwrap();
    let asked = [
        "--resolve",
        "6%",
        "--speed",
        "2.5kn",
        "--speed",
        "4.5kn",
        "--wind-from",
        "SW",
        "--wind-speed",
        "6kn",
        "--start",
        "13:20",
    ];
    let planned = run(
        folder.path(),
        &[&["plan", "-o", "plan"][..], &asked].concat(),
    );
    assert_eq!(
        (planned.code, planned.stderr.as_str()),
        (0, ""),
        "{planned:?}"
    );
    for name in ["card.html", "card.md", "notes.toml", "plan.json"] {
        assert!(folder.path().join("plan").join(name).is_file(), "{name}");
    }
    let rehearsed = run(
        folder.path(),
        &[
            "rehearse",
            "--plan",
            "plan/plan.json",
            "--times",
            "5",
            "--save",
            "days",
            "-o",
            "rehearsal",
        ],
    );
    assert_eq!(
        (rehearsed.code, rehearsed.stderr.as_str()),
        (0, ""),
        "{rehearsed:?}"
    );
    let day = "days/change_06_0_percent.gpx";
    let reported = run(
        folder.path(),
        &["report", day, "--notes", "plan/notes.toml", "-o", "report"],
    );
    assert_eq!(reported.code, 0, "{reported:?}");
    assert!(!reported.stderr.contains("error"), "{reported:?}");
    // On a day run to plan the planned times are those of the swaps.
    let said = reported.stdout.replace('\n', " ");
    assert!(
        said.contains("The notes say what was fitted when"),
        "{said}"
    );
    assert!(
        !reported.stdout.contains("notes.toml, line"),
        "{reported:?}"
    );
    let kept = kept_days(&plan(), &Conditions::default(), 1);
    assert_eq!(kept.len(), change_sizes(&plan()).len());

    // Edited notes are never replaced.
    let notes = folder.path().join("plan/notes.toml");
    fs::write(&notes, "title = \"mine\"\n").unwrap();
    let again = run(
        folder.path(),
        &[&["plan", "-o", "plan"][..], &asked].concat(),
    );
    assert_eq!(again.code, 0);
    assert!(again.stderr.contains("was edited and stays"), "{again:?}");
    assert_eq!(fs::read_to_string(&notes).unwrap(), "title = \"mine\"\n");
    assert!(folder.path().join("plan/notes.found.toml").is_file());
}
