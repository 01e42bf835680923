//! Readings of days that a person would read at a glance.

use super::*;

/// Runs of five minutes with the speeds and pauses before them given.
fn runs(speeds_and_pauses: &[(f64, f64)]) -> Vec<Run> {
    speeds_and_pauses
        .iter()
        .map(|(speed, pause)| Run {
            stop_before: *pause,
            log_speed: speed.ln(),
        })
        .collect()
}

#[track_caller]
fn check(speeds_and_pauses: &[(f64, f64)], configuration: &[usize], setting: &[usize]) {
    let groups = group(&runs(speeds_and_pauses), None, None, &GroupRules::default());
    assert_eq!(groups.configuration, configuration, "configurations");
    assert_eq!(groups.setting, setting, "settings");
}

#[test]
fn two_settings_repeated_after_a_long_stop_are_two_configurations() {
    check(
        &[
            (1.20, 0.0),
            (1.22, 60.0),
            (1.80, 60.0),
            (1.79, 60.0),
            (1.33, 700.0),
            (1.31, 60.0),
            (1.97, 60.0),
            (1.99, 60.0),
        ],
        &[0, 0, 0, 0, 1, 1, 1, 1],
        &[0, 0, 1, 1, 0, 0, 1, 1],
    );
}

#[test]
fn a_change_without_effect_is_still_two_configurations() {
    check(
        &[(1.2, 0.0), (1.8, 60.0), (1.21, 900.0), (1.79, 60.0)],
        &[0, 0, 1, 1],
        &[0, 1, 0, 1],
    );
}

#[test]
fn a_pause_between_settings_is_no_change() {
    check(
        &[
            (1.2, 0.0),
            (1.21, 60.0),
            (1.8, 400.0),
            (1.81, 60.0),
            (1.3, 900.0),
            (1.31, 60.0),
            (1.95, 400.0),
            (1.96, 60.0),
        ],
        &[0, 0, 0, 0, 1, 1, 1, 1],
        &[0, 0, 1, 1, 0, 0, 1, 1],
    );
}

#[test]
fn one_setting_each_side_of_a_swap() {
    check(
        &[(1.5, 0.0), (1.52, 60.0), (1.62, 700.0), (1.63, 60.0)],
        &[0, 0, 1, 1],
        &[0, 0, 0, 0],
    );
}

#[test]
fn settings_run_in_turn_without_a_stop_are_one_configuration() {
    check(
        &[(1.2, 0.0), (1.8, 60.0), (1.21, 60.0), (1.82, 60.0)],
        &[0, 0, 0, 0],
        &[0, 1, 0, 1],
    );
}

#[test]
fn three_configurations() {
    check(
        &[
            (1.2, 0.0),
            (1.8, 60.0),
            (1.3, 800.0),
            (1.95, 60.0),
            (1.25, 800.0),
            (1.88, 60.0),
        ],
        &[0, 0, 1, 1, 2, 2],
        &[0, 1, 0, 1, 0, 1],
    );
}

#[test]
fn known_changes_and_settings_are_kept() {
    let runs = runs(&[(1.5, 0.0), (1.5, 60.0), (1.53, 60.0), (1.54, 60.0)]);
    let groups = group(&runs, Some(&[2]), Some(1), &GroupRules::default());
    assert_eq!(groups.configuration, [0, 0, 1, 1]);
    assert_eq!(groups.setting, [0, 0, 0, 0]);
}

#[test]
fn no_runs_no_groups() {
    assert_eq!(
        group(&[], None, None, &GroupRules::default()),
        Groups::default()
    );
}
