//! What the gain buys, on a simulated day with known truth and draws of our own making.

use std::fmt::Write as _;

use thereback::compare::Percent;
use thereback::gain::{HomeAnswer, PowerSource, WhyVerdict};
use thereback::notes;
use thereback::parser::{PowerLog, read_file, read_power_log};
use thereback::simulate::{Motor, TrueDraw, Truth, lake, simulate, simulate_drawing};
use thereback::track::Recording;
use thereback::trial::{Settings, Trial, analyse};
use thereback::units::Current;

const NOTES: &str = r#"
[battery]
amp_hours = 100
volts = 12.8
usable = "80 %"
[motor]
limit_watts = 180
[home]
lat = 61.60
lon = 25.45
reserve = "30 %"
[[configuration]]
name = "battery aft"
from = "09:43"
pitch = "10 in"
[[configuration]]
name = "battery amidships"
from = "10:54"
[[setting]]
name = "half"
percent = 50
[[setting]]
name = "most"
step = 9
of = 10
[[reading]]
configuration = "battery aft"
setting = "half"
rpm = 620
"#;

fn sample() -> Recording {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/samples/lake_trim.gpx");
    read_file(std::path::Path::new(path)).unwrap()
}

fn noted(text: &str) -> Settings {
    Settings {
        notes: Some(notes::read(text, "notes.toml").unwrap()),
        ..Settings::default()
    }
}

/// A log of our own: power goes with the square of the speed and a little, its clock 3725 s slow.
fn log_of(analysis: &Trial) -> PowerLog {
    let mut text = "time,voltage (V),current (A),charge (Ah)\n".to_owned();
    for point in &analysis.days[0].trail.speeds {
        let seconds = point.time.as_second() - 3725;
        let watts = 8.0 + 45.0 * point.speed_m_s.powi(2);
        let _ = writeln!(text, "{seconds},12.5,{:.3},80", -watts / 12.5);
    }
    read_power_log(text.as_bytes(), "power.csv").unwrap()
}

/// Truth: the simulation's own steady speed in calm and still water.
#[test]
fn the_calm_speed_of_the_lake_sample_lies_in_its_interval() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/samples/lake_trim.truth.json");
    let truth: Truth = serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap();
    let analysis = analyse(&[sample()], &Settings::default());
    let calm = analysis.gain.calm.cells.as_ref().unwrap();
    assert_eq!(calm.len(), 4);
    for (index, cell) in calm.iter().enumerate() {
        let change = &truth.changes[index % 2];
        let factor = if index < 2 {
            1.0
        } else {
            1.0 + change.calm_percent / 100.0
        };
        let wanted = change.baseline_calm_m_s * factor;
        let interval = cell.calm_m_s.interval().unwrap();
        assert!(interval.contains(wanted), "{wanted} in {cell:?}");
        let found = cell.calm_m_s.value.unwrap();
        // Three times the root mean square error on simulated days, see `examples/calm.rs`.
        assert!((found / wanted - 1.0).abs() < 0.042, "{wanted}: {cell:?}");
    }
}

#[test]
fn a_log_with_another_clock_is_joined_and_told_from_the_speed() {
    let recording = sample();
    let mut settings = noted(NOTES);
    let before = analyse(std::slice::from_ref(&recording), &settings);
    assert_eq!(before.gain.power.source, PowerSource::None);
    assert!(before.gain.power.reason.is_some() && before.gain.reach.reason.is_some());

    settings.power_log = Some(log_of(&before));
    let analysis = analyse(&[recording], &settings);
    let buys = &analysis.gain;
    let clock = buys.power.clock.as_ref().unwrap();
    assert!((clock.offset_s - 3725.0).abs() < 6.0, "{clock:?}");
    assert_eq!(buys.power.cells.len(), 4);
    assert_eq!(buys.power.double_runs.len(), 12);
    // One law for both: a faster boat draws more, and no less at equal speed.
    let why = buys.power.why.iter().find(|w| w.setting.is_none()).unwrap();
    assert_eq!(why.verdict, WhyVerdict::WorksHarder);
    let equal = &buys.power.equal_speed[0];
    assert_eq!(equal.method, Some("fitted curve"));
    assert!(equal.percent.low.unwrap() < 0.0 && equal.percent.high.unwrap() > 0.0);
    // 1024 Wh over the draw.
    let (cell, far) = (&buys.power.cells[0], &buys.reach.cells[0]);
    let (watts, energy) = (
        cell.watts.value.unwrap(),
        cell.energy_j_per_m.value.unwrap(),
    );
    assert!((energy * cell.speed_m_s / watts - 1.0).abs() < 1e-9);
    let seconds = 1024.0 * 3600.0 / watts;
    assert!((far.time_s.value.unwrap() / seconds - 1.0).abs() < 1e-9);
    assert!(far.against_m.value.unwrap() < far.with_m.value.unwrap());
    let home = buys.reach.home.as_ref().unwrap();
    assert!((4000.0..5000.0).contains(&home.distance_m), "{home:?}");
    assert!(home.cells.iter().all(|c| c.keeps_reserve == Some(true)));
    assert!(
        home.cells
            .iter()
            .all(|c| c.answer == Some(HomeAnswer::Kept))
    );
    // The log covers the whole day, so what it took is known and off the charge.
    assert!(home.trial_taken_off && !buys.reach.trial_taken_off);
    let used = buys.reach.used_j.unwrap();
    let left = home.cells[0].left_share.value.unwrap();
    let wanted = 1.0 - (used + home.cells[0].energy_j.value.unwrap()) / (1024.0 * 3600.0);
    assert!((left - wanted).abs() < 1e-9, "{left} {wanted}");
    // Above 180 W at the higher setting of the new part alone.
    assert_eq!(buys.power.cells[0].over_limit, Some(false));
    // The slower new setting is already as fast as the old one there: refused; the higher one is told.
    let [low, high] = &buys.equal_speed.settings[..] else {
        panic!("{:?}", buys.equal_speed);
    };
    assert!(low.changed_percent.value.is_none() && low.reason.is_some());
    assert!((70.0..90.0).contains(&high.changed_percent.value.unwrap()));
    assert_eq!(buys.propeller.cells.len(), 1);
    assert_eq!(buys.propeller.cube_law.len(), 2);
    // Between a constant and the square, as the log was made.
    for law in &buys.propeller.cube_law {
        let exponent = law.exponent.value.unwrap();
        assert!(!law.cube && (1.8..2.0).contains(&exponent), "{law:?}");
    }
}

/// The sample with its meter's log and notes, as they lie in `samples/`.
fn power_sample() -> (Trial, TrueDraw) {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let text = |name: &str| std::fs::read_to_string(folder.join(name)).unwrap();
    let settings = Settings {
        power_log: Some(
            read_power_log(text("lake_trim.power.csv").as_bytes(), "power.csv").unwrap(),
        ),
        ..noted(&text("lake_trim.notes.toml"))
    };
    let truth = serde_json::from_str(&text("lake_trim.power.truth.json")).unwrap();
    (analyse(&[sample()], &settings), truth)
}

/// Truth: what the simulation's own motor drew, kept beside the sample.
#[test]
fn the_draws_of_the_lake_sample_lie_in_their_intervals() {
    let (analysis, truth) = power_sample();
    let power = &analysis.gain.power;
    let clock = power.clock.as_ref().unwrap();
    // The draw steps with the throttle and the boat follows some seconds later.
    assert!(
        (clock.offset_s - truth.clock_offset_s).abs() < 12.0,
        "{clock:?}"
    );
    assert_eq!(power.cells.len(), truth.cells.len());
    for (found, real) in power.cells.iter().zip(&truth.cells) {
        let watts = found.watts.interval().unwrap();
        assert!(watts.contains(real.watts), "{real:?} in {watts:?}");
        let energy = found.energy_j_per_m.interval().unwrap();
        assert!(
            energy.contains(real.energy_j_per_m),
            "{real:?} in {energy:?}"
        );
        assert!((found.watts.value.unwrap() / real.watts - 1.0).abs() < 0.02);
    }
    for (place, comparison) in power.comparisons.iter().take(2).enumerate() {
        let change = 100.0 * (truth.cells[place + 2].watts / truth.cells[place].watts - 1.0);
        let found = comparison.power_percent;
        assert!(found.low.unwrap() < change && change < found.high.unwrap());
    }
    let equal = &power.equal_speed[0].percent;
    let (low, high) = (equal.low.unwrap(), equal.high.unwrap());
    assert!(
        low < truth.equal_speed_percent && truth.equal_speed_percent < high,
        "{equal:?}"
    );
    let why = power.why.iter().find(|w| w.setting.is_none()).unwrap();
    // It is more efficient and works the motor harder by 2 %, which one day may or may not show.
    assert!(matches!(
        why.verdict,
        WhyVerdict::Both | WhyVerdict::MoreEfficient
    ));
}

/// On a day without wind the mean of both directions is near the speed in a calm. Truth: the
/// simulation's own steady speed.
#[test]
fn without_wind_the_calm_speed_lies_in_its_interval() {
    let mut day = lake();
    (day.wind.speed, day.water.eddies) = (0.0, 0.0);
    let simulated = simulate(&day, 23);
    let still = Settings {
        current: Some(Current::None),
        ..Settings::default()
    };
    let analysis = analyse(&[simulated.recording("day.gpx")], &still);
    let calm = &analysis.gain.calm;
    let cells = calm.cells.as_ref().unwrap_or_else(|| panic!("{calm:?}"));
    assert!(calm.assumption.is_some());
    for (index, cell) in cells.iter().enumerate() {
        let change = &simulated.truth.changes[index % 2];
        let factor = if index < 2 {
            1.0
        } else {
            1.0 + change.calm_percent / 100.0
        };
        let wanted = change.baseline_calm_m_s * factor;
        let interval = cell.calm_m_s.interval().unwrap();
        assert!(interval.contains(wanted), "{wanted} in {cell:?}");
        assert!(
            (cell.calm_m_s.value.unwrap() / wanted - 1.0).abs() < 0.01,
            "{cell:?}"
        );
    }
}

/// The same boat twice in a wind that grows: what the wind does to the speed is no change of the
/// energy, nor of the power at equal speed.
#[test]
fn a_growing_wind_makes_no_boat_less_efficient() {
    let mut day = lake();
    (day.wind.speed, day.wind.growth_per_h) = (3.0, 1.0);
    let same = day.boat.configurations[0].clone();
    day.boat.configurations[1].drag_factor = same.drag_factor;
    let motor = Motor {
        idle_w: 12.0,
        race_m_s: 1.1,
        efficiency: 0.62,
        volts: 13.2,
        ohms: 0.02,
        meter_a: 0.2,
        every_s: 5.0,
        clock_offset_s: 0.0,
    };
    let (simulated, drawing) = simulate_drawing(&day, 5, &motor);
    let settings = Settings {
        power_log: Some(read_power_log(drawing.csv.as_bytes(), "power.csv").unwrap()),
        ..noted("[power]\nclock_offset = \"0 s\"\n")
    };
    let analysis = analyse(&[simulated.recording("day.gpx")], &settings);
    let power = &analysis.gain.power;
    assert!(!power.why.is_empty());
    for why in &power.why {
        assert_eq!(why.verdict, WhyVerdict::NotShown, "{power:?}");
    }
    let holds_zero = |p: &Percent| p.low.unwrap() < 0.0 && p.high.unwrap() > 0.0;
    assert!(
        power
            .comparisons
            .iter()
            .all(|c| holds_zero(&c.energy_percent))
    );
    assert!(power.equal_speed.iter().all(|e| holds_zero(&e.percent)));
}

/// Every fifth row of the log reads 0 V: the draw is that of the others, and the rows are counted.
#[test]
fn rows_that_cannot_be_are_left_out_and_counted() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let text = |name: &str| std::fs::read_to_string(folder.join(name)).unwrap();
    let log = text("lake_trim.power.csv");
    let dropped: Vec<String> = (log.lines().enumerate())
        .map(|(i, line)| match line.split(',').collect::<Vec<_>>()[..] {
            [time, _, amps] if i > 0 && i % 5 == 0 => format!("{time},0,{amps}"),
            _ => line.to_owned(),
        })
        .collect();
    let analysis = |log: &str| {
        let settings = Settings {
            power_log: Some(read_power_log(log.as_bytes(), "power.csv").unwrap()),
            ..noted(&text("lake_trim.notes.toml"))
        };
        analyse(&[sample()], &settings).gain.power
    };
    let (whole, gappy) = (analysis(&log), analysis(&dropped.join("\n")));
    assert!(whole.set_aside.is_empty() && whole.uncovered_legs.is_empty());
    for (a, b) in whole.cells.iter().zip(&gappy.cells) {
        let ratio = b.watts.value.unwrap() / a.watts.value.unwrap();
        assert!((ratio - 1.0).abs() < 0.005, "{ratio}");
    }
    let aside = &gappy.set_aside[0];
    assert_eq!(
        (aside.count, aside.first_line),
        ((log.lines().count() - 1) / 5, Some(6))
    );
    let remark = gappy
        .remarks
        .iter()
        .find(|r| r.contains("the first on line 6"));
    assert!(remark.is_some(), "{:?}", gappy.remarks);

    // A log that ends early leaves legs uncovered, by their numbers.
    let half: Vec<&str> = log.lines().take(log.lines().count() / 2).collect();
    let power = analysis(&half.join("\n"));
    assert!(!power.uncovered_legs.is_empty() && !power.legs.is_empty());
    let named = format!("{}", power.uncovered_legs[0]);
    assert!(
        power
            .remarks
            .iter()
            .any(|r| r.contains("does not cover") && r.contains(&named))
    );
}

/// A single reading a cell is too few for a verdict on power; two are enough.
#[test]
fn one_reading_a_cell_is_too_few() {
    let reading = |configuration: &str, setting: &str, watts: u32| {
        format!(
            "[[reading]]\nconfiguration = \"{configuration}\"\nsetting = \"{setting}\"\nwatts = {watts}\n"
        )
    };
    let once = [
        reading("battery aft", "half", 80),
        reading("battery aft", "most", 170),
        reading("battery amidships", "half", 90),
        reading("battery amidships", "most", 190),
    ]
    .concat();
    let verdicts = |readings: &str| -> Vec<WhyVerdict> {
        let analysis = analyse(&[sample()], &noted(&format!("{NOTES}{readings}")));
        analysis.gain.power.why.iter().map(|w| w.verdict).collect()
    };
    assert_eq!(verdicts(&once), [WhyVerdict::TooFew; 3]);
    let twice = verdicts(&format!("{once}{once}"));
    assert!(!twice.contains(&WhyVerdict::TooFew), "{twice:?}");
}

/// A charge that is known not to reach is said not to; without a log the trial is not off it.
#[test]
fn a_small_charge_does_not_reach() {
    let readings = "[[reading]]\nconfiguration = \"battery aft\"\nsetting = \"half\"\nwatts = 80\n";
    let text = NOTES.replace("amp_hours = 100", "amp_hours = 4");
    let analysis = analyse(&[sample()], &noted(&format!("{text}{readings}")));
    let home = analysis.gain.reach.home.as_ref().unwrap();
    assert_eq!(
        home.cells[0].answer,
        Some(HomeAnswer::DoesNotReach),
        "{home:?}"
    );
    assert!(!home.trial_taken_off && analysis.gain.reach.used_j.is_none());
}

#[test]
fn amps_alone_are_taken_at_the_stated_volts() {
    let reading = "[[reading]]\nconfiguration = \"battery aft\"\nsetting = \"half\"\namps = 7\n";
    let analysis = analyse(&[sample()], &noted(&format!("{NOTES}{reading}")));
    let power = &analysis.gain.power;
    assert_eq!(power.nominal_volts, Some(12.8));
    assert!((power.cells[0].watts.value.unwrap() - 7.0 * 12.8).abs() < 1e-9);
    assert_eq!(power.cells[0].amps, Some(7.0));
    // The battery's volts suffice; what it holds is then not told.
    let bare =
        "[battery]\nvolts = 24\n[[reading]]\nconfiguration = \"A\"\nsetting = \"1\"\namps = 4\n";
    let analysis = analyse(&[sample()], &noted(bare));
    assert!((analysis.gain.power.cells[0].watts.value.unwrap() - 96.0).abs() < 1e-9);
    assert!(
        analysis
            .gain
            .reach
            .reason
            .is_some_and(|r| r.contains("not what it holds"))
    );
}

#[test]
fn spot_readings_tell_why() {
    let mut text = NOTES.to_owned();
    for (configuration, setting, watts) in [
        ("battery aft", "half", [80, 81, 80]),
        ("battery aft", "most", [170, 171, 172]),
        ("battery amidships", "half", [80, 80, 81]),
        ("battery amidships", "most", [171, 170, 171]),
    ] {
        for watts in watts {
            let _ = write!(
                text,
                "[[reading]]\nconfiguration = \"{configuration}\"\nsetting = \"{setting}\"\nwatts = {watts}\n"
            );
        }
    }
    let analysis = analyse(&[sample()], &noted(&text));
    let power = &analysis.gain.power;
    assert_eq!(power.source, PowerSource::Readings);
    let why = power.why.iter().find(|w| w.setting.is_none()).unwrap();
    assert_eq!(why.verdict, WhyVerdict::MoreEfficient, "{power:?}");
}

#[test]
fn an_unstated_share_is_not_assumed() {
    let text = NOTES.replace("usable = \"80 %\"\n", "");
    let analysis = analyse(&[sample()], &noted(&text));
    assert_eq!(analysis.gain.reach.usable_j, None);
    assert!(
        analysis
            .gain
            .reach
            .reason
            .is_some_and(|r| r.contains("none is assumed"))
    );
}

#[test]
fn slips_in_the_notes_are_told() {
    let cases = [
        ("[battery]\namp_hours = 100\n", "has no `volts`"),
        (
            "[battery]\nwatt_hours = 1280\nusable = \"0.8\"\n",
            "`usable`: `0.8` can mean 0.8 % or 80 %",
        ),
        (
            "[home]\nlat = 95\nlon = 3\n",
            "`lat`: `95` is outside [-90, 90]",
        ),
        (
            "[power]\nclock_offset = \"90\"\n",
            "`clock_offset`: `90` is not a time with its unit",
        ),
        ("[[setting]]\nname = \"a\"\nstep = 3\n", "has no `of`"),
        (
            "[[setting]]\nname = \"a\"\nstep = 11\nof = 10\n",
            "`step`: `11` is outside (0, 10]",
        ),
        (
            "[[configuration]]\nname = \"a\"\npitch = \"10\"\n",
            "`pitch`: `10` has no unit",
        ),
        (
            "[[reading]]\nconfiguration = \"a\"\nsetting = \"b\"\n",
            "holds no reading",
        ),
        (
            "[[reading]]\nconfiguration = \"a\"\nsetting = \"b\"\namps = 7\n",
            "`amps` is given without `volts`",
        ),
        (
            "[battery]\nwatt_hours = 1280\n[[leg]]\nat = \"09:47\"\namps = 7\n",
            "`amps` is given without `volts`",
        ),
        (
            "[[reading]]\nconfiguration = \"a\"\nsetting = \"b\"\nvolts = 12\n",
            "`volts` is given without `amps`",
        ),
        (
            "[battery]\nvolts = 12\nusable = \"80 %\"\n",
            "has no `amp_hours`",
        ),
    ];
    for (text, wanted) in cases {
        let error = notes::read(text, "notes.toml").unwrap_err().to_string();
        assert!(error.contains(wanted), "{error}");
        assert!(error.contains("\nhint: "), "{error}");
    }
}

/// Where one part alone was read there is nothing to compare, and no change of 0 % either.
#[test]
fn a_draw_of_one_part_compares_nothing() {
    let reading = "[[reading]]\nconfiguration = \"battery aft\"\nsetting = \"half\"\nwatts = 300\n";
    let analysis = analyse(&[sample()], &noted(&format!("{NOTES}{reading}")));
    let power = &analysis.gain.power;
    assert_eq!(power.cells.len(), 1);
    assert!(
        power.comparisons.is_empty() && power.why.is_empty(),
        "{power:?}"
    );
}
