//! Plan and reading agree: a day run to plan is read right with the plan's notes and without any,
//! and one that was not is never read wrong without a word.

#[path = "../../examples/days.rs"]
mod days;

use rayon::prelude::*;
use thereback::plan::notes_toml;
use thereback::plan::read_right;
use thereback::trial::{Settings, analyse};

use days::{Course, Noted, lived, plan, plan_kinds, with_notes};

/// Days of each kind: a change of none, and of twice the change worth knowing.
const DAYS: [u64; 2] = [5, 9];

#[test]
fn days_run_to_plan_are_read_right() {
    let right: Vec<(usize, [bool; 2])> = plan_kinds()
        .par_iter()
        .flat_map_iter(|kind| DAYS.map(|number| (*kind, number)))
        .map(|(kind, number)| {
            let plan = plan(kind, true);
            let day = lived(&plan, Course::ToPlan, number);
            let without = analyse(&[day.recording("day.gpx")], &Settings::default());
            let noted = with_notes(&notes_toml(&plan), &day) == Noted::Right;
            (kind.parts, [noted, read_right(&day.truth, &without)])
        })
        .collect();
    assert!(right.iter().all(|(_, [noted, _])| *noted), "{right:?}");
    // Without notes a third part as fast as the first is the first come back, and five series are
    // more than are tried.
    let (two, three): (Vec<_>, Vec<_>) = right.iter().partition(|(parts, _)| *parts == 2);
    let without = |days: &[&(usize, [bool; 2])]| days.iter().filter(|(_, [_, w])| *w).count();
    assert_eq!(without(&two), two.len(), "{right:?}");
    assert!(without(&three) >= 3, "{right:?}");
}

#[test]
fn days_not_run_to_plan_are_never_read_wrong_in_silence() {
    let noted: Vec<Noted> = plan_kinds()
        .par_iter()
        .flat_map_iter(|kind| {
            let courses = [Course::Late, Course::SwapsDelayed, Course::RunRepeated];
            courses.map(|course| (*kind, course))
        })
        .map(|(kind, course)| {
            let plan = plan(kind, true);
            with_notes(&notes_toml(&plan), &lived(&plan, course, DAYS[1]))
        })
        .collect();
    assert!(
        noted
            .iter()
            .all(|n| matches!(n, Noted::Right | Noted::FoundWrong | Noted::Held)),
        "{noted:?}"
    );
}
