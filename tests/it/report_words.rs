//! The sentences of the write-up, and the summary for the terminal.

use thereback::compare::Verdict;
use thereback::report::document::{Part, Tone};
use thereback::report::{ChartForm, article, legs_text, summary};
use thereback::trial::{GroupSource, Trial, Warning, ZoneSource};
use thereback::units::SpeedUnit;

use super::{report_fixture as fixture, report_variants as variants};

/// The parts of the article in words, and the tones of its answers.
fn read(day: &Trial) -> (Vec<Tone>, String) {
    let document = article(day, &[], ChartForm::Svg);
    let tone = |part: &Part| match part {
        Part::Answer { tone, .. } => Some(*tone),
        _ => None,
    };
    let tones = document.parts.iter().filter_map(tone).collect();
    let text = document.to_text(usize::MAX).replace('\u{a0}', " ");
    (tones, text)
}

#[track_caller]
fn check(day: &Trial, tone: Tone, sentences: &[&str]) {
    let (tones, text) = read(day);
    assert_eq!(tones, [tone]);
    for sentence in sentences {
        assert!(text.contains(sentence), "{sentence} is not in\n{text}");
    }
}

#[test]
fn faster() {
    check(
        &variants::with_change(5.43, 3.2, 7.6),
        Tone::Faster,
        &[
            "With four blades the boat was 5.4 % faster than with three blades (95 % interval 3.2 to 7.6 %).",
            "At 2.96 kn that saves 1 min 5 s on each nautical mile, at 4.12 kn 45 s.",
        ],
    );
}

#[test]
fn slower() {
    check(
        &variants::with_change(-4.12, -6.2, -2.0),
        Tone::Slower,
        &[
            "With four blades the boat was 4.1 % slower than with three blades (95 % interval 2.0 to 6.2 %).",
            "At 2.96 kn that costs 50 s on each nautical mile, at 4.12 kn 40 s.",
        ],
    );
}

#[test]
fn not_shown() {
    check(
        &variants::with_change(1.13, -1.24, 3.41),
        Tone::NotShown,
        &[
            "No difference between four blades and three blades is shown: the change lies between 1.2 % slower and 3.4 % faster (95 % interval); the best estimate is 1.1 % faster.",
            "That does not show that they are equal",
        ],
    );
}

#[test]
fn too_few_runs() {
    check(
        &variants::too_few(),
        Tone::Open,
        &[
            "With four blades the boat ran 5 % faster than with three blades, but a single double run of either is too few to claim it.",
            "the change lies between 1 % slower and 13 % faster",
        ],
    );
}

#[test]
fn nothing_compared() {
    check(
        &variants::one_configuration(),
        Tone::Open,
        &[
            "Only one configuration was found, so there is nothing to compare: the boat made 6 double runs, which gave 2.96 kn at setting half and 4.12 kn at setting full.",
        ],
    );
    assert!(summary(&variants::one_configuration()).contains("notes.toml"));
    check(
        &variants::nothing_found(),
        Tone::Open,
        &[
            "No double run was found, so there is nothing to compare: no stretch on one heading was longer than a minute.",
        ],
    );
    assert!(summary(&variants::empty()).contains("\nNext time\n"));
    assert!(!summary(&fixture::day()).contains("\nNext time\n"));
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
        Tone::Open,
        &[
            "Four blades and three blades could not be compared: they were run at different settings.",
        ],
    );
}

#[test]
fn an_interval_beside_zero_is_never_rounded_onto_it() {
    let day = variants::with_change(4.2, 0.3, 8.1);
    check(
        &day,
        Tone::Faster,
        &["4.2 % faster", "(95 % interval 0.3 to 8.1 %)"],
    );
}

#[test]
fn other_units_bring_their_own_distances() {
    let mut day = variants::with_change(5.43, 3.2, 7.6);
    for (unit, words) in [
        (SpeedUnit::MilesPerHour, "saves 55 s on each mile,"),
        (
            SpeedUnit::KilometresPerHour,
            "saves 35 s on each kilometre,",
        ),
        (SpeedUnit::MetresPerSecond, "saves 35 s on each kilometre,"),
    ] {
        day.units = unit;
        check(&day, Tone::Faster, &[words]);
    }
}

#[test]
fn several_changed_configurations_get_an_answer_each() {
    let mut day = fixture::day();
    let mut more = day.comparisons.clone();
    for comparison in &mut more {
        comparison.changed = "five blades".to_owned();
    }
    day.comparisons.extend(more);
    let (tones, text) = read(&day);
    assert_eq!(tones, [Tone::Faster, Tone::Faster]);
    assert!(text.contains("With five blades the boat was"), "{text}");
}

#[test]
fn a_change_nobody_named_is_asked_for() {
    let mut day = fixture::day();
    day.title = None;
    assert!(
        read(&day)
            .1
            .starts_with("Four blades against three blades\n")
    );
    for configuration in &mut day.configurations {
        configuration.source = GroupSource::Track;
    }
    assert!(
        read(&day)
            .1
            .starts_with("What was changed? Name it in the notes\n")
    );
}

#[test]
fn the_grouping_says_where_it_comes_from() {
    let flat = |day: &Trial| summary(day).replace('\n', " ");
    let mut day = fixture::day();
    assert!(flat(&day).contains(
        "The notes say what was fitted when: three blades from 09:12 to 10:09, then four blades from 10:37 to 11:34."
    ));
    for configuration in &mut day.configurations {
        configuration.source = GroupSource::Track;
    }
    for setting in &mut day.settings {
        setting.source = GroupSource::Track;
        setting.percent = None;
    }
    assert!(flat(&day).contains("What was run when is read from the track"));
    assert!(flat(&day).contains("numbered from the slowest: half and full."));
}

#[test]
fn the_wind_is_given_with_its_source() {
    let mut day = fixture::day();
    let wind =
        "The wind blew from SW (235°), give or take 8°, read off the boat’s drift as it lay idle.";
    assert!(read(&day).1.contains(wind));
    day.days[0].wind.speed_m_s = Some(5.2);
    assert!(read(&day).1.contains("give or take 8° at 10 kn, read off"));
    let unknown = "The wind is not known. It was not given, and the boat never lay idle.";
    let mut day = variants::without_wind();
    day.days[0].wind = day.wind.clone();
    assert!(read(&day).1.contains(unknown));
}

/// The line below the title, in the terminal.
fn day_line(day: &Trial) -> String {
    summary(day).lines().nth(1).unwrap().to_owned()
}

#[test]
fn times_are_those_of_the_place() {
    let mut day = fixture::day();
    assert_eq!(
        day_line(&day),
        "4 June 2031, 09:00 to 11:59 (Europe/Helsinki)"
    );
    day.timezone.source = ZoneSource::None;
    assert_eq!(day_line(&day), "4 June 2031, 06:00 to 08:59 (UTC)");
    day.timezone.source = ZoneSource::Given;
    day.timezone.name = "Pacific/Auckland".to_owned();
    assert_eq!(
        day_line(&day),
        "4 June 2031, 18:00 to 20:59 (Pacific/Auckland)"
    );
    day.timezone.name = "Asia/Kamchatka".to_owned();
    day.tracks[0].to = Some(fixture::at(24 * 3600));
    day.days[0].to = day.tracks[0].to;
    assert_eq!(
        day_line(&day),
        "4 June 2031, 18:00 to 5 June 2031, 18:00 (Asia/Kamchatka)"
    );
    assert!(legs_text(&day).contains("4 Jun 18:12:00"));
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
        for text in [summary(&day), legs_text(&day)] {
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
    for text in [summary(&day), legs_text(&day)] {
        assert!(text.chars().all(|c| c == '\n' || !c.is_control()));
        assert!(!text.contains('\u{202e}'));
    }
}

#[test]
fn the_summary_reads_as_written() {
    insta::assert_snapshot!(summary(&fixture::day()));
    insta::assert_snapshot!(summary(&variants::too_few()));
    insta::assert_snapshot!(legs_text(&fixture::day()));
}

#[test]
fn what_the_answer_says_is_not_warned_of_again() {
    let mut day = variants::one_configuration();
    assert!(!summary(&day).contains("\nWarnings\n"));
    day.warnings.push(Warning::SparseFixes { interval_s: 10.0 });
    assert!(summary(&day).contains("\nWarnings\n"));
}
