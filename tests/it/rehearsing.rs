//! Rehearsals: determinism, the samples, and power against the noncentral t distribution.

use std::fs;
use std::path::Path;

use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg64;
use thereback::plan::{Asked, Design, Plan, draw_up, tell};
use thereback::rehearsal::{
    Conditions, change_sizes, kept_days, power_chart, rehearsal_html, rehearse,
};
use thereback::rehearse::{Sampling, samples};
use thereback::stats::interval::Estimate;

use crate::commands::run;

fn plan() -> Plan {
    draw_up(&Asked {
        resolve: 0.06,
        speeds_m_s: vec![1.3, 2.3],
        wind_m_s: Some(3.0),
        ..Asked::default()
    })
    .unwrap()
}

/// Normal scatter between double runs, its size pooled over all cells: the share of t intervals that leave out zero is the noncentral t distribution's, within the error of so many trials.
#[test]
fn simulated_power_is_the_noncentral_t_where_scatter_is_normal() {
    const TRIALS: usize = 4000;
    let mut rng = Pcg64::seed_from_u64(20);
    for (settings, n, scatter, change) in [
        (1, 3, 0.012, 0.03),
        (2, 3, 0.012, 0.02),
        (2, 2, 0.01, 0.0),
        (2, 4, 0.015, 0.02),
    ] {
        let mut told = 0;
        for _ in 0..TRIALS {
            let (mut change_found, mut squares) = (0.0, 0.0);
            for _ in 0..settings {
                for (sign, truth) in [(-1.0, 0.0), (1.0, f64::ln_1p(change))] {
                    let draw = |_| truth + scatter * rng.sample::<f64, _>(StandardNormal);
                    let logs: Vec<f64> = (0..n).map(draw).collect();
                    let mean = logs.iter().sum::<f64>() / n as f64;
                    squares += logs.iter().map(|l| (l - mean).powi(2)).sum::<f64>();
                    change_found += sign * mean / settings as f64;
                }
            }
            let df = (2 * settings * (n - 1)) as f64;
            let se = (squares / df * 2.0 / (n * settings) as f64).sqrt();
            let estimate = Estimate::new(change_found, se, df, 0.95).unwrap();
            told += usize::from(estimate.low > 0.0 || estimate.high < 0.0);
        }
        let design = Design {
            parts: 2,
            settings,
            pooled: settings,
            scatter,
        };
        let power = tell(design, n, change, 0.8).unwrap().power;
        let share = told as f64 / TRIALS as f64;
        let error = (power * (1.0 - power) / TRIALS as f64).sqrt();
        assert!(
            (share - power).abs() < 3.5 * error,
            "{share} for {power} ± {error}"
        );
    }
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
            let claims = counts.told + counts.wrong_sign + counts.claimed;
            assert_eq!(claims + counts.not_shown + counts.no_answer, 12, "{size:?}");
            assert!(counts.covered >= 9, "{size:?}");
            assert!(counts.read_right >= 11, "{size:?}");
        }
    }
    let last = rehearsal.sizes.last().unwrap();
    for counts in [&last.noted, &last.without_notes] {
        assert_eq!(counts.told, last.days, "twice the change worth knowing");
    }
    assert!(rehearsal.sizes[0].noted.claimed <= 2);
    assert!(rehearsal.sizes[0].without_notes.claimed <= 2);
    assert!(!rehearsal.advice.is_empty());
    let chart = power_chart(&plan, &rehearsal);
    assert!(chart.svg().starts_with("<svg"));
    assert!(
        chart.alt.contains("12 %, detected on 100 %"),
        "{}",
        chart.alt
    );
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
