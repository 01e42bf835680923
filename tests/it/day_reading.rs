//! The reading of a day on tracks drawn by rule, where every answer is known exactly.

use jiff::{SignedDuration, Timestamp};
use thereback::compare::Verdict;
use thereback::geometry::{Plane, PlanePoint};
use thereback::notes;
use thereback::track::{Fix, Position, RecordedTrack, Recording};
use thereback::trial::{Settings, Trial, analyse};

/// A track drawn from stretches of constant velocity, a fix a second, with a little wander so that
/// speeds are not all the same to the last digit.
struct Drawn {
    fixes: Vec<Fix>,
    plane: Plane,
    at: PlanePoint,
    t: i64,
}

const KNOT: f64 = 1852.0 / 3600.0;

impl Drawn {
    fn new() -> Self {
        Self::at(58.0, 11.0)
    }

    fn at(lat: f64, lon: f64) -> Self {
        Self {
            fixes: Vec::new(),
            plane: Plane::at(Position::new(lat, lon).unwrap()),
            at: PlanePoint::default(),
            t: 2_000_000_000,
        }
    }

    fn go(&mut self, seconds: i64, course: f64, speed: f64) -> &mut Self {
        let (east, north) = course.to_radians().sin_cos();
        for second in 0..seconds {
            self.at.east += east * speed;
            self.at.north += north * speed;
            self.t += 1;
            let sway = 0.3 * (self.t as f64 / 7.0).sin() + 0.2 * (second as f64 / 31.0).cos();
            let seen = PlanePoint {
                east: self.at.east + sway * north,
                north: self.at.north - sway * east,
            };
            let time = Timestamp::from_second(self.t).unwrap();
            let place = self.plane.position(seen).unwrap();
            self.fixes.push(Fix::bare(time, place));
        }
        self
    }

    /// Turns to starboard to the reciprocal in a quarter of a minute.
    fn turn(&mut self, from: f64, speed: f64) -> &mut Self {
        for step in 1..=5 {
            self.go(3, from + 30.0 * f64::from(step), speed);
        }
        self
    }

    /// A double run from `course`: there at one speed, back at another.
    fn double_run(&mut self, course: f64, seconds: [i64; 2], speeds: [f64; 2]) -> &mut Self {
        self.go(seconds[0], course, speeds[0])
            .turn(course, speeds[0])
            .go(seconds[1], course + 180.0, speeds[1])
            .turn(course + 180.0, speeds[1])
    }

    fn recording(&self) -> Recording {
        recording(vec![self.fixes.clone()])
    }
}

fn recording(segments: Vec<Vec<Fix>>) -> Recording {
    Recording {
        file: "day.gpx".to_owned(),
        points_met: segments.iter().map(Vec::len).sum(),
        tracks: vec![RecordedTrack {
            name: None,
            segments,
        }],
        ..Recording::default()
    }
}

fn read(recording: Recording) -> Trial {
    analyse(&[recording], &Settings::default())
}

fn read_with(recording: Recording, notes: &str) -> Trial {
    let notes = notes::read(notes, "notes.toml").unwrap();
    let asked = Settings {
        notes: Some(notes),
        ..Settings::default()
    };
    analyse(&[recording], &asked)
}

/// Old and new, three double runs each at 2 m/s and a fortieth more, a swap of ten minutes between.
fn old_and_new() -> Drawn {
    let mut day = Drawn::new();
    for _ in 0..3 {
        day.double_run(40.0, [300, 300], [2.0, 2.0]);
    }
    day.go(600, 300.0, 0.1);
    for _ in 0..3 {
        day.double_run(40.0, [293, 293], [2.05, 2.05]);
    }
    day
}

fn cells(analysis: &Trial) -> Vec<String> {
    let cell = |r: &thereback::day::DoubleRun| format!("{}{}", r.configuration, r.setting);
    analysis.double_runs.iter().map(cell).collect()
}

fn minute(analysis: &Trial, leg: usize, share: f64) -> String {
    let leg = &analysis.legs[leg];
    let span = leg.end.duration_since(leg.start).as_secs_f64();
    let at = leg.start + SignedDuration::from_secs_f64(share * span);
    at.strftime("%Y-%m-%dT%H:%M:%SZ").to_string()
}

/// The triangle of velocities, worked in the American Practical Navigator (Bowditch), article on
/// current sailing (from memory): course 080, 10 kn through the water, current 140, 2 kn: made good
/// 089, 11.2 kn. Run there and back, the double run gives the 10 kn and the 2 kn again.
#[test]
fn a_double_run_across_a_current_gives_the_speed_through_the_water() {
    let made = |heading: f64| {
        let (e, n) = f64::to_radians(heading).sin_cos();
        let (ce, cn) = f64::to_radians(140.0).sin_cos();
        let (e, n) = (10.0 * e + 2.0 * ce, 10.0 * n + 2.0 * cn);
        (e.atan2(n).to_degrees(), e.hypot(n))
    };
    let (there, back) = (made(80.0), made(260.0));
    assert!((there.0 - 89.0).abs() < 0.5 && (there.1 - 11.2).abs() < 0.1);
    let mut day = Drawn::new();
    for _ in 0..3 {
        day.go(300, there.0, there.1 * KNOT).turn(there.0, 3.0);
        day.go(300, back.0, back.1 * KNOT).turn(back.0, 3.0);
    }
    let analysis = read(day.recording());
    assert_eq!(analysis.double_runs.len(), 3);
    for run in &analysis.double_runs {
        assert!((run.mean_m_s / KNOT - 10.0).abs() < 0.02, "{run:?}");
        assert!((run.axis_deg - 80.0).abs() < 0.3, "{run:?}");
        // Along the axis the current makes 2 cos 60.
        assert!(
            (run.half_difference_m_s / KNOT - 1.0).abs() < 0.03,
            "{run:?}"
        );
    }
}

#[test]
fn where_the_drift_lies_along_the_line_it_is_the_mean_of_both_directions() {
    let mut day = Drawn::new();
    for _ in 0..3 {
        day.double_run(40.0, [280, 360], [2.25, 1.75]);
    }
    let analysis = read(day.recording());
    assert_eq!(analysis.double_runs.len(), 3);
    for run in &analysis.double_runs {
        let [a, b] = run
            .legs
            .map(|leg| analysis.legs[leg - 1].speed_m_s.unwrap());
        assert!((run.mean_m_s - f64::midpoint(a, b)).abs() < 1e-3);
        assert!((run.half_difference_m_s - 0.25).abs() < 5e-3, "{run:?}");
    }
}

#[test]
fn gusts_lulls_and_a_slight_bend_end_no_leg() {
    let mut day = Drawn::new();
    for _ in 0..3 {
        day.go(120, 40.0, 1.5)
            .go(60, 40.0, 1.2)
            .go(60, 40.0, 1.8)
            .go(120, 40.0, 1.5);
        day.turn(40.0, 1.5);
        day.go(150, 216.0, 1.5).go(210, 222.0, 1.5).turn(220.0, 1.5);
    }
    let analysis = read(day.recording());
    assert_eq!(analysis.double_runs.len(), 3, "{:?}", analysis.legs);
    assert_eq!(analysis.legs.len(), 6);
    for leg in &analysis.legs {
        assert!(leg.duration_s > 335.0, "{leg:?}");
    }
}

#[test]
fn a_stop_and_a_lasting_step_in_speed_end_a_leg() {
    let mut day = Drawn::new();
    day.go(300, 40.0, 2.0)
        .go(120, 40.0, 0.05)
        .go(300, 40.0, 2.0)
        .go(300, 40.0, 3.2);
    let analysis = read(day.recording());
    let long: Vec<f64> = analysis
        .legs
        .iter()
        .filter_map(|leg| leg.speed_m_s)
        .filter(|v| *v > 1.0)
        .collect();
    assert_eq!(long.len(), 3, "{:?}", analysis.legs);
    assert!((long[0] - 2.0).abs() < 0.01 && (long[2] - 3.2).abs() < 0.02);
}

#[test]
fn old_and_new_are_told_apart_by_the_stop() {
    let analysis = read(old_and_new().recording());
    assert_eq!(cells(&analysis), ["A1", "A1", "A1", "B1", "B1", "B1"]);
    assert_eq!(analysis.comparisons[0].verdict, Verdict::Faster);
    let reading = analysis.days[0].reading.as_ref().unwrap();
    assert!(reading.probability > 0.9 && !reading.unclear);
}

#[test]
fn a_change_that_makes_no_difference_is_still_a_change() {
    let mut day = Drawn::new();
    for _ in 0..2 {
        for speed in [1.3, 1.3, 1.3, 2.0, 2.0, 2.0] {
            day.double_run(40.0, [280, 280], [speed, speed]);
        }
        day.go(600, 300.0, 0.1);
    }
    let analysis = read(day.recording());
    assert_eq!(analysis.configurations.len(), 2, "{:?}", cells(&analysis));
    assert!(
        analysis
            .comparisons
            .iter()
            .all(|c| c.verdict == Verdict::NotShown)
    );
}

#[test]
fn the_old_part_come_back_keeps_its_name_and_is_asked_about() {
    let mut day = Drawn::new();
    for speed in [2.0, 2.12, 2.0] {
        for _ in 0..3 {
            day.double_run(40.0, [300, 300], [speed, speed]);
        }
        day.go(700, 300.0, 0.1);
    }
    let analysis = read(day.recording());
    let expected = ["A1", "A1", "A1", "B1", "B1", "B1", "A1", "A1", "A1"];
    assert_eq!(cells(&analysis), expected);
    let asked = "the third series is as fast as the first: A again?";
    assert!(analysis.warnings.iter().any(|w| w.text().contains(asked)));
}

/// Adrift in a current that is faster than the boat motors slowest, the boat still lies idle.
#[test]
fn a_swap_adrift_in_a_current_is_a_stop() {
    let mut day = Drawn::new();
    for speed in [0.9, 0.95] {
        for _ in 0..3 {
            day.double_run(40.0, [260, 560], [speed + 0.35, speed - 0.35]);
        }
        day.go(600, 40.0, 0.35).go(140, 220.0, 1.6);
    }
    let analysis = read(day.recording());
    assert_eq!(cells(&analysis), ["A1", "A1", "A1", "B1", "B1", "B1"]);
}

#[test]
fn trolling_and_drifting_are_no_runs() {
    let mut day = Drawn::new();
    // Trolling there and back in curves, then drifting down and motoring up again.
    for way in [100.0, 280.0, 100.0, 280.0] {
        for bend in [-25.0, 20.0, -15.0, 30.0, -20.0] {
            day.go(110, way + bend, 0.8);
        }
    }
    for _ in 0..2 {
        day.go(500, 300.0, 0.25).go(60, 120.0, 2.1);
    }
    let fished = day.fixes.len();
    let trial = old_and_new();
    let shift = day.t - 2_000_000_000;
    for fix in &trial.fixes {
        day.fixes.push(Fix {
            time: fix.time + SignedDuration::from_secs(shift),
            ..*fix
        });
    }
    let begun = day.fixes[fished].time;
    let analysis = read(day.recording());
    assert_eq!(cells(&analysis), ["A1", "A1", "A1", "B1", "B1", "B1"]);
    assert!(
        analysis
            .legs
            .iter()
            .filter(|l| l.included)
            .all(|l| l.start >= begun)
    );
}

/// A day at the other end of the world in one recording with the trial changes nothing to the last
/// digit.
#[test]
fn waters_far_apart_do_not_touch_each_other() {
    let near = old_and_new();
    let alone = read(near.recording());
    let mut far = Drawn::at(-33.0, 151.0);
    far.t = near.t + 3000;
    far.double_run(10.0, [300, 300], [2.0, 2.0]);
    let mut both = near.recording();
    both.tracks[0].segments.push(far.fixes.clone());
    both.points_met += far.fixes.len();
    let both = read(both);
    assert_eq!(both.double_runs.len(), alone.double_runs.len());
    for (a, b) in alone.legs.iter().zip(&both.legs) {
        assert_eq!(
            (a.speed_m_s, a.course_deg, a.start),
            (b.speed_m_s, b.course_deg, b.start)
        );
    }
    for (a, b) in alone.double_runs.iter().zip(&both.double_runs) {
        assert_eq!((a.mean_m_s, a.legs), (b.mean_m_s, b.legs));
    }
}

#[test]
fn a_file_split_anywhere_reads_the_same() {
    let whole = old_and_new();
    let alone = read(whole.recording());
    for cut in [150, 700, 1500, 2200] {
        let (a, b) = whole.fixes.split_at(cut);
        let split = read(recording(vec![a.to_vec(), b.to_vec()]));
        assert_eq!(alone.legs, split.legs, "{cut}");
    }
}

#[test]
fn a_leg_left_out_leaves_its_counterpart_alone_and_says_so() {
    let day = old_and_new();
    let found = read(day.recording());
    let notes = format!(
        "[[leg]]\nat = \"{}\"\nexclude = \"wake\"\n",
        minute(&found, 3, 0.5)
    );
    let analysis = read_with(day.recording(), &notes);
    assert_eq!(analysis.double_runs.len(), 5);
    assert_eq!(analysis.legs[3].reason.as_deref(), Some("wake"));
    let first = analysis.warnings.first().unwrap().text();
    assert!(
        first.contains("leg 3") && first.contains("leg 4"),
        "{first}"
    );
}

#[test]
fn legs_are_named_by_number_or_time_and_their_numbers_stay() {
    let day = old_and_new();
    let found = read(day.recording());
    let cut = minute(&found, 0, 0.5);
    let notes =
        format!("[[leg]]\nleg = 1\ncut = \"{cut}\"\n\n[[leg]]\nleg = 3\nexclude = \"wake\"\n");
    let analysis = read_with(day.recording(), &notes);
    let numbers: Vec<usize> = analysis.legs.iter().map(|l| l.leg).collect();
    let last = found.legs.len() + 1;
    assert_eq!(numbers[..4], [1, last, 2, 3]);
    let three = analysis.legs.iter().find(|l| l.leg == 3).unwrap();
    assert_eq!(three.reason.as_deref(), Some("wake"));
}

#[test]
fn legs_can_be_joined_paired_and_given_other_ends() {
    let mut day = Drawn::new();
    day.go(200, 40.0, 2.0)
        .go(150, 40.0, 0.05)
        .go(200, 40.0, 2.0)
        .turn(40.0, 2.0);
    day.go(400, 220.0, 2.0).turn(220.0, 2.0);
    day.double_run(40.0, [300, 300], [2.0, 2.0]);
    let found = read(day.recording());
    let first = found.legs[0].leg;
    let (end, other) = (minute(&found, 3, 0.6), found.legs[3].leg);
    let notes = format!(
        "[[leg]]\nleg = {first}\njoin = \"next\"\n\n[[leg]]\nleg = {other}\nend = \"{end}\"\n"
    );
    let analysis = read_with(day.recording(), &notes);
    let joined = &analysis.legs[0];
    assert!(
        joined.duration_s > found.legs[0].duration_s + 50.0,
        "{joined:?}"
    );
    let shortened = analysis.legs.iter().find(|l| l.leg == other).unwrap();
    assert!(shortened.duration_s < found.legs[3].duration_s - 50.0);
}

#[test]
fn corrections_that_exclude_each_other_change_nothing() {
    let day = old_and_new();
    let found = read(day.recording());
    let notes = "[[leg]]\nleg = 2\ninclude = true\n\n[[leg]]\nleg = 2\nexclude = \"wake\"\n";
    let analysis = read_with(day.recording(), notes);
    assert_eq!(cells(&analysis), cells(&found));
    assert!(analysis.legs[1].included);
    let said = |w: &thereback::trial::Warning| w.text().contains("leg 2");
    assert!(analysis.warnings.iter().any(said));
}

#[test]
fn a_swap_noted_in_the_middle_of_a_run_is_moved_or_refused_and_questioned() {
    let day = old_and_new();
    let found = read(day.recording());
    for (leg, share, used) in [(5, 0.7, true), (2, 0.5, false)] {
        let notes = format!(
            "[[configuration]]\nname = \"old\"\n\n[[configuration]]\nname = \"new\"\nfrom = \"{}\"\n",
            minute(&found, leg, share)
        );
        let analysis = read_with(day.recording(), &notes);
        // Moved to the stop, or refused: either way the answer is the one of the track.
        let names: Vec<&str> = analysis
            .double_runs
            .iter()
            .map(|r| r.configuration.as_str())
            .collect();
        let (old, new) = (names[0], names[5]);
        assert_eq!(names, [old, old, old, new, new, new], "{used}");
        assert_ne!(old, new);
        let first = analysis.warnings.first().unwrap().text();
        assert!(
            first.contains("notes.toml, line 4") || first.contains("line 5"),
            "{first}"
        );
    }
}

#[test]
fn names_without_times_go_to_the_series_in_order() {
    let mut day = Drawn::new();
    for speed in [2.0, 2.12, 2.0] {
        for _ in 0..3 {
            day.double_run(40.0, [300, 300], [speed, speed]);
        }
        day.go(700, 300.0, 0.1);
    }
    let name = |name: &str| format!("[[configuration]]\nname = \"{name}\"\n\n");
    let notes = [name("old"), name("new"), name("old")].concat();
    let analysis = read_with(day.recording(), &notes);
    let names: Vec<&str> = analysis
        .double_runs
        .iter()
        .map(|r| r.configuration.as_str())
        .collect();
    let series = [
        "old", "old", "old", "new", "new", "new", "old", "old", "old",
    ];
    assert_eq!(names, series);
}

/// The old part ran only slow and the new one only fast: nothing is compared.
#[test]
fn settings_that_no_part_shares_are_not_compared() {
    let mut day = Drawn::new();
    for speed in [1.3, 2.3] {
        for _ in 0..3 {
            day.double_run(40.0, [280, 280], [speed, speed]);
        }
        day.go(700, 300.0, 0.1);
    }
    let analysis = read(day.recording());
    assert!(
        analysis.comparisons.is_empty(),
        "{:?}",
        analysis.comparisons
    );
}

/// Corrections that cannot be, in the words a person gets.
#[test]
fn corrections_that_cannot_be_are_objected_to() {
    let day = old_and_new();
    let plain = read(day.recording());
    let at = |leg: usize, share| minute(&plain, leg, share);
    let leg = |number: usize, says: &str| format!("[[leg]]\nleg = {number}\n{says}\n");
    let notes = [
        leg(40, "include = true"),
        format!("[[leg]]\nat = \"{}\"\ninclude = true\n", at(0, -0.1)),
        leg(13, "join = \"next\""),
        leg(1, &format!("cut = \"{}\"", at(1, 0.5))),
        leg(1, &format!("end = \"{}\"", at(2, 0.5))),
        leg(3, "pair = 3"),
        leg(4, "pair = 6"),
        leg(5, "pair = 8"),
        leg(7, "pair = 8"),
        leg(10, "pair = 11"),
        leg(11, "exclude = \"wake\""),
        leg(12, "setting = \"1\""),
        leg(13, "setting = \"2\""),
    ]
    .concat();
    let corrected = read_with(day.recording(), &notes);
    let warned = corrected
        .warnings
        .iter()
        .map(thereback::trial::Warning::text);
    let of_notes: Vec<String> = warned
        .filter(|text| text.starts_with("notes.toml"))
        .collect();
    insta::assert_snapshot!(of_notes.join("\n"));
    // Nothing else changed.
    let numbers = |trial: &Trial| -> Vec<[usize; 2]> {
        trial.double_runs.iter().map(|run| run.legs).collect()
    };
    assert_eq!(numbers(&corrected), numbers(&plain));
}
