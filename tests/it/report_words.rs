//! The sentences of the write-up, and the summary for the terminal.

use thereback::compare::Verdict;
use thereback::report::{legs_table, summary, words};
use thereback::trial::{GroupSource, Trial, Warning, ZoneSource};
use thereback::units::SpeedUnit;

use super::{report_fixture as fixture, report_variants as variants};

#[track_caller]
fn check(day: &Trial, verdict: Option<Verdict>, sentence: &str) {
    let answers = words::answers(day);
    assert_eq!(answers.len(), 1);
    assert_eq!(answers[0].verdict, verdict);
    assert_eq!(answers[0].sentence().replace('\u{a0}', " "), sentence);
}

#[test]
fn faster() {
    check(
        &variants::with_change(5.43, 3.2, 7.6),
        Some(Verdict::Faster),
        "With four blades the boat was 5.4 % faster than with three blades (95 % interval 3.2 to 7.6 %): at 2.96 kn that is 0.16 kn, or 1 min 5 s less for each nautical mile; at 4.12 kn, 0.22 kn or 45 s.",
    );
}

#[test]
fn slower() {
    check(
        &variants::with_change(-4.12, -6.2, -2.0),
        Some(Verdict::Slower),
        "With four blades the boat was 4.1 % slower than with three blades (95 % interval 2.0 to 6.2 %): at 2.96 kn that is 0.12 kn, or 50 s more for each nautical mile; at 4.12 kn, 0.17 kn or 40 s.",
    );
}

#[test]
fn not_shown() {
    let day = variants::with_change(1.13, -1.24, 3.41);
    check(
        &day,
        Some(Verdict::NotShown),
        "No difference is shown between four blades and three blades: the change lies between −1.2 and +3.4 % (95 % interval; best estimate +1.1 %), which at 2.96 kn is anything from 0.04 kn slower to 0.10 kn faster.",
    );
    let remark = words::answers(&day)[0].remark.clone().unwrap();
    assert!(remark.starts_with("That does not show that they are equal"));
}

#[test]
fn too_few_runs() {
    let day = variants::too_few();
    check(
        &day,
        Some(Verdict::TooFewRuns),
        "With four blades the boat ran 5 % faster than with three blades, but a single double run of either is too few to claim it.",
    );
    let remark = words::answers(&day)[0].remark.clone().unwrap();
    assert!(
        remark.contains("the change lies between −1 and +13\u{a0}%"),
        "{remark}"
    );
}

#[test]
fn one_configuration() {
    check(
        &variants::one_configuration(),
        None,
        "Only one configuration was found, so there is nothing to compare: the boat made 6 double runs with three blades, which gave 2.96 kn at setting half and 4.12 kn at setting full.",
    );
    let advice = words::next_time(&variants::one_configuration()).join("\n");
    assert!(advice.contains("notes.toml"));
}

#[test]
fn nothing_found() {
    check(
        &variants::nothing_found(),
        None,
        "No double run was found, so there is nothing to compare: no stretch on one heading was longer than a minute.",
    );
    check(
        &variants::empty(),
        None,
        "No double run was found, so there is nothing to compare: no straight stretch on one steady heading either.",
    );
    assert_eq!(words::next_time(&variants::empty()).len(), 4);
    assert!(words::next_time(&fixture::day()).is_empty());
}

#[test]
fn a_comparison_without_figures_says_why() {
    let mut day = fixture::day();
    for comparison in &mut day.comparisons {
        comparison.percent = thereback::compare::Percent::default();
        comparison.verdict = Verdict::TooFewRuns;
        comparison.reason = Some("they were run at different settings".to_owned());
    }
    check(
        &day,
        Some(Verdict::TooFewRuns),
        "Four blades and three blades could not be compared: they were run at different settings.",
    );
}

#[test]
fn an_interval_beside_zero_is_never_rounded_onto_it() {
    check(
        &variants::with_change(4.2, 0.3, 8.1),
        Some(Verdict::Faster),
        "With four blades the boat was 4.2 % faster than with three blades (95 % interval 0.3 to 8.1 %): at 2.96 kn that is 0.12 kn, or 45 s less for each nautical mile; at 4.12 kn, 0.17 kn or 30 s.",
    );
}

#[test]
fn other_units_bring_their_own_distances() {
    let mut day = variants::with_change(5.43, 3.2, 7.6);
    for (unit, words) in [
        (
            SpeedUnit::MilesPerHour,
            "0.18 mph, or 55 s less for each mile;",
        ),
        (
            SpeedUnit::KilometresPerHour,
            "0.30 km/h, or 35 s less for each kilometre;",
        ),
        (
            SpeedUnit::MetresPerSecond,
            "0.08 m/s, or 35 s less for each kilometre;",
        ),
    ] {
        day.units = unit;
        let sentence = words::answers(&day)[0].sentence().replace('\u{a0}', " ");
        assert!(sentence.contains(words), "{sentence}");
    }
}

#[test]
fn several_changed_configurations_get_an_answer_each() {
    let mut day = fixture::day();
    let more: Vec<_> = day
        .comparisons
        .iter()
        .cloned()
        .map(|mut comparison| {
            comparison.changed = "five blades".to_owned();
            comparison
        })
        .collect();
    day.comparisons.extend(more);
    let answers = words::answers(&day);
    assert_eq!(answers.len(), 2);
    assert!(answers[1].claim.contains("five blades"));
}

#[test]
fn the_grouping_says_where_it_comes_from() {
    let mut day = fixture::day();
    assert_eq!(
        words::standing(&day).unwrap(),
        "The notes say what was fitted when; double runs were made with three blades from 09:12 to 10:09 and four blades from 10:37 to 11:34. Three blades was run first and not again, so whatever else changed in between, the battery or the load, say, looks the same as the change; the interval allows for what is usual."
    );
    for configuration in &mut day.configurations {
        configuration.source = GroupSource::Track;
    }
    for setting in &mut day.settings {
        setting.source = GroupSource::Track;
        setting.percent = None;
    }
    let told = words::standing(&day).unwrap();
    assert!(told.starts_with("What was run when is read from the track"));
    assert!(
        words::grouping(&day)
            .unwrap()
            .ends_with("numbered from the slowest: half and full.")
    );
    assert!(words::grouping(&variants::empty()).is_none());
}

#[test]
fn the_wind_is_told_with_its_source() {
    let mut day = fixture::day();
    assert_eq!(
        words::wind(&day).replace('\u{a0}', " "),
        "Wind from 235° (SW), give or take 8°, read off the boat’s drift as it lay idle."
    );
    day.wind.speed_m_s = Some(5.2);
    assert!(words::wind(&day).contains(", 10\u{a0}kn, read off"));
    assert_eq!(
        words::wind(&variants::without_wind()),
        "The wind is not known. It was not given, and the boat never lay idle."
    );
}

#[test]
fn times_are_those_of_the_place() {
    let mut day = fixture::day();
    assert_eq!(
        words::day_line(&day),
        "4 June 2031, 09:00 to 11:59 (Europe/Helsinki)"
    );
    day.timezone.source = ZoneSource::None;
    assert_eq!(words::day_line(&day), "4 June 2031, 06:00 to 08:59 (UTC)");
    day.timezone.source = ZoneSource::Given;
    day.timezone.name = "Pacific/Auckland".to_owned();
    assert_eq!(
        words::day_line(&day),
        "4 June 2031, 18:00 to 20:59 (Pacific/Auckland)"
    );
    day.timezone.name = "Asia/Kamchatka".to_owned();
    day.tracks[0].to = Some(fixture::at(24 * 3600));
    assert_eq!(
        words::day_line(&day),
        "4 June 2031, 18:00 to 5 June 2031, 18:00 (Asia/Kamchatka)"
    );
    assert!(legs_table(&day).contains("4 Jun 18:12:00"));
}

#[test]
fn the_summary_fits_a_terminal() {
    let days: [fn() -> Trial; 7] = [
        fixture::day,
        variants::too_few,
        variants::one_configuration,
        variants::nothing_found,
        variants::empty,
        || variants::with_change(-41.0, -62.0, -20.0),
        variants::not_numbers,
    ];
    for day in days.map(|day| Box::new(day())) {
        for text in [summary(&day), legs_table(&day)] {
            for line in text.lines() {
                assert!(line.chars().count() <= 80, "{line}");
                assert!(!line.contains('\u{a0}') && !line.ends_with(' '), "{line}");
            }
        }
    }
}

#[test]
fn the_summary_cannot_command_a_terminal() {
    let day = variants::nasty();
    for text in [summary(&day), legs_table(&day)] {
        assert!(text.chars().all(|c| c == '\n' || !c.is_control()));
        assert!(!text.contains('\u{202e}'));
    }
}

#[test]
fn the_summary_reads_as_written() {
    insta::assert_snapshot!(summary(&fixture::day()));
    insta::assert_snapshot!(summary(&variants::too_few()));
    insta::assert_snapshot!(legs_table(&fixture::day()));
}

#[test]
fn what_the_answer_tells_is_not_warned_of_again() {
    let mut day = variants::one_configuration();
    assert!(words::warnings(&day).is_empty());
    day.warnings.push(Warning::SparseFixes { interval_s: 10.0 });
    assert_eq!(words::warnings(&day).len(), 1);
}
