//! Several simulated days, analysed each by itself and pooled.

use std::fmt::Write;

use jiff::SignedDuration;
use thereback::compare::Verdict;
use thereback::plotter::{self, ChartKind};
use thereback::report;
use thereback::simulate::{Scenario, SimulatedDay, lake, simulate};
use thereback::track::{Position, Recording};
use thereback::trial::{Settings, Trial, Warning, analyse};

/// The lake's scenario on a later day, the second configuration with so much of the first one's drag.
fn day(number: i64, drag: f64) -> SimulatedDay {
    let mut scenario: Scenario = lake();
    scenario.day.start = scenario
        .day
        .start
        .checked_add(SignedDuration::from_hours(26 * number))
        .unwrap();
    scenario.wind.from_deg = (scenario.wind.from_deg + 40.0 * number as f64).rem_euclid(360.0);
    scenario.boat.configurations[1].drag_factor = drag;
    simulate(&scenario, 300 + number as u64)
}

fn recordings(days: &[SimulatedDay]) -> Vec<Recording> {
    let name = |number: usize| format!("day-{number}.gpx");
    days.iter()
        .enumerate()
        .map(|(number, day)| day.recording(&name(number + 1)))
        .collect()
}

fn notes(days: &[SimulatedDay]) -> Settings {
    let mut text = String::new();
    let fitted = days.iter().flat_map(|day| &day.truth.configurations);
    for one in fitted {
        let name = ["stern", "amidships"][one.configuration];
        let _ = writeln!(
            text,
            "[[configuration]]\nname = \"{name}\"\nfrom = \"{}\"",
            one.from
        );
    }
    Settings {
        notes: Some(thereback::notes::read(&text, "notes.toml").unwrap()),
        ..Settings::default()
    }
}

fn headline(analysis: &Trial) -> &thereback::compare::Comparison {
    let pooled = analysis.comparisons.iter().find(|c| c.setting.is_none());
    pooled.unwrap()
}

#[test]
fn three_days_are_pooled() {
    let days = [day(3, 0.89), day(4, 0.89), day(5, 0.89)];
    let analysis = analyse(recordings(&days), &notes(&days));
    assert_eq!(analysis.days.len(), 3);
    let pooled = headline(&analysis);
    let across = pooled.across_days.as_ref().unwrap();
    assert_eq!(across.days.len(), 3);
    let truths = days.iter().flat_map(|d| &d.truth.changes);
    let truths: Vec<f64> = truths.map(|t| t.percent).collect();
    let truth = truths.iter().sum::<f64>() / truths.len() as f64;
    let (low, high) = (pooled.percent.low.unwrap(), pooled.percent.high.unwrap());
    assert!((low..=high).contains(&truth), "{truth} {low} {high}");
    assert_eq!(pooled.verdict, Verdict::Faster);
    assert_eq!(pooled.baseline, "stern");

    // Numbers run through all days and agree with one another.
    for (place, leg) in analysis.legs.iter().enumerate() {
        assert_eq!(leg.leg, place + 1);
        let file = &analysis.tracks[leg.track].file;
        assert_eq!(*file, format!("day-{}.gpx", leg.day));
    }
    for (place, run) in analysis.double_runs.iter().enumerate() {
        assert_eq!(run.double_run, place + 1);
        for leg in run.legs {
            let leg = &analysis.legs[leg - 1];
            assert_eq!(leg.double_run, Some(run.double_run));
            assert_eq!(leg.day, run.day);
        }
    }
}

#[test]
fn days_that_differ_widen_the_interval() {
    let alike = [day(0, 0.89), day(1, 0.89), day(2, 0.89)];
    let unlike = [day(0, 0.80), day(1, 0.95), day(2, 1.05)];
    let width = |days: &[SimulatedDay]| {
        let analysis = analyse(recordings(days), &notes(days));
        let pooled = headline(&analysis);
        pooled.percent.high.unwrap() - pooled.percent.low.unwrap()
    };
    let (narrow, wide) = (width(&alike), width(&unlike));
    assert!(wide > 2.0 * narrow, "{wide} {narrow}");
}

#[test]
fn without_notes_days_are_matched_by_order_and_it_is_said() {
    let days = [day(0, 0.89), day(1, 0.89)];
    let analysis = analyse(recordings(&days), &Settings::default());
    let codes: Vec<&str> = analysis
        .warnings
        .iter()
        .map(thereback::trial::Warning::code)
        .collect();
    assert!(codes.contains(&"matched-by-order"), "{codes:?}");
    assert_eq!(headline(&analysis).changed, "B");
    let across = headline(&analysis).across_days.as_ref().unwrap();
    assert_eq!(across.days.len(), 2);
}

#[test]
fn a_day_that_began_with_the_other_is_turned_round_by_the_notes() {
    let mut second: Scenario = lake();
    second.day.start = (second.day.start)
        .checked_add(SignedDuration::from_hours(30))
        .unwrap();
    second.day.blocks.reverse();
    let days = [day(0, 0.89), simulate(&second, 8)];
    let analysis = analyse(recordings(&days), &notes(&days));
    for comparison in &analysis.comparisons {
        assert_eq!(comparison.baseline, "stern");
        assert_eq!(comparison.verdict, Verdict::Faster);
        for share in &comparison.across_days.as_ref().unwrap().days {
            assert!(share.percent.low.unwrap() > 0.0, "day {}", share.day);
        }
    }
}

#[test]
fn one_configuration_a_day_is_compared_with_a_warning() {
    let mut first: Scenario = lake();
    first.day.blocks.truncate(1);
    let mut second: Scenario = lake();
    second.day.blocks.remove(0);
    second.day.start = (second.day.start)
        .checked_add(SignedDuration::from_hours(25))
        .unwrap();
    let days = [simulate(&first, 5), simulate(&second, 6)];
    let analysis = analyse(recordings(&days), &notes(&days));
    let codes: Vec<&str> = analysis
        .warnings
        .iter()
        .map(thereback::trial::Warning::code)
        .collect();
    assert!(codes.contains(&"compared-across-days"), "{codes:?}");
    let pooled = headline(&analysis);
    let (low, high) = (pooled.percent.low.unwrap(), pooled.percent.high.unwrap());
    // Whatever else differed between the days is in the interval.
    assert!(
        high - low > 8.0 && pooled.verdict == Verdict::NotShown,
        "{pooled:?}"
    );
}

#[test]
fn every_output_of_several_days_can_be_written() {
    let days = [day(0, 0.89), day(1, 0.89), day(2, 0.89)];
    let analysis = analyse(recordings(&days), &notes(&days));
    let charts = plotter::charts(&analysis);
    assert_eq!(charts[1].kind, ChartKind::Days);
    let files = report::files(&analysis, &charts, report::ChartForm::Svg).unwrap();
    if let Ok(folder) = std::env::var("THEREBACK_SHOW") {
        for file in &files {
            let path = std::path::Path::new(&folder).join(&file.path);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, &file.bytes).unwrap();
        }
        for (number, day) in days.iter().enumerate() {
            let track = day.to_gpx(thereback::simulate::GpxStyle::V1_1);
            std::fs::write(format!("{folder}/day-{number}.gpx"), track).unwrap();
        }
        std::fs::write(format!("{folder}/summary.txt"), report::summary(&analysis)).unwrap();
    }
    let json = files.iter().find(|f| f.path == "result.json").unwrap();
    let json: serde_json::Value = serde_json::from_slice(&json.bytes).unwrap();
    assert_eq!(json["days"].as_array().unwrap().len(), 3);
    let of_second = &json["comparisons"][0]["across_days"]["days"][1];
    assert!(of_second["percent"]["value"].is_number());
    assert_eq!(json["legs"].as_array().unwrap().last().unwrap()["day"], 3);
    let csv = files.iter().find(|f| f.path == "double_runs.csv").unwrap();
    assert!(String::from_utf8_lossy(&csv.bytes).starts_with("day,double_run,"));
}

#[test]
fn the_notes_of_several_days_read_back_give_the_same() {
    use thereback::notes::{self, Notes};
    let days = [day(0, 0.89), day(1, 0.89)];
    let recordings = recordings(&days);
    let found = analyse(recordings.clone(), &Settings::default());
    let text = thereback::report::data::notes_toml(&found, &Notes::default());
    let again = Settings {
        notes: Some(notes::read(&text, "notes.toml").unwrap()),
        ..Settings::default()
    };
    let again = analyse(recordings, &again);
    assert_eq!(headline(&again).log_ratio, headline(&found).log_ratio);
    let problems = again.warnings.iter().filter(|w| w.code() == "notes");
    assert_eq!(problems.count(), 0);
}

/// Legs are numbered through all days, and notes name them so.
#[test]
fn legs_of_a_later_day_are_corrected_by_number() {
    let days = [day(0, 0.89), day(1, 0.89)];
    let found = analyse(recordings(&days), &Settings::default());
    let of_day = |day: usize| found.legs.iter().filter(move |leg| leg.day == day);
    let number = of_day(2).find(|leg| leg.included).unwrap().leg;
    let (other, last) = (of_day(1).next().unwrap().leg, found.legs.len());
    let text = format!(
        "[[leg]]\nleg = {number}\nexclude = \"wake\"\n\
         [[leg]]\nleg = {}\nexclude = \"wake\"\n\
         [[leg]]\nleg = {number}\npair = {other}\n",
        last + 7
    );
    let settings = Settings {
        notes: Some(thereback::notes::read(&text, "notes.toml").unwrap()),
        ..Settings::default()
    };
    let corrected = analyse(recordings(&days), &settings);
    let reasons = corrected
        .legs
        .iter()
        .filter(|leg| leg.reason.as_deref() == Some("wake"));
    assert_eq!(reasons.map(|leg| leg.leg).collect::<Vec<_>>(), [number]);
    let said: Vec<String> = corrected.warnings.iter().map(Warning::text).collect();
    for expected in [
        format!(
            "notes.toml, line 4: there is no leg {}: the last is leg {last}",
            last + 7
        ),
        "notes.toml, line 7: pair: the two legs lie on different days".to_owned(),
    ] {
        assert!(said.iter().any(|text| text.contains(&expected)), "{said:?}");
    }
}

/// Another water in the folder is questioned, unless the notes say that it is one trial.
#[test]
fn another_water_is_questioned() {
    let days = [day(0, 0.89), day(1, 0.89)];
    let mut recordings = recordings(&days);
    for track in &mut recordings[1].tracks {
        for fix in track.segments.iter_mut().flatten() {
            let at = fix.position;
            fix.position = Position::new(at.latitude() - 1.0, at.longitude()).unwrap();
        }
    }
    let asked = |text: &str| Settings {
        notes: Some(thereback::notes::read(text, "notes.toml").unwrap()),
        ..Settings::default()
    };
    let is_questioned = |asked: &Settings| {
        let trial = analyse(recordings.clone(), asked);
        trial.warnings.iter().any(|w| w.code() == "several-waters")
    };
    assert!(is_questioned(&Settings::default()));
    assert!(!is_questioned(&asked("one_trial = true\n")));
}
