//! Charts of days that no boat ever had: any number in any place, and never a panic.

use jiff::Timestamp;
use proptest::prelude::*;
use thereback::day::IdleDrift;
use thereback::plotter;
use thereback::stats::interval::Interval;
use thereback::track::Position;
use thereback::trial::Trial;

use crate::charts_days;

/// Numbers to strew over a day, used in turn.
struct Numbers {
    values: Vec<f64>,
    next: usize,
}

impl Numbers {
    fn next(&mut self) -> f64 {
        self.next += 1;
        self.values[self.next % self.values.len()]
    }

    fn maybe(&mut self) -> Option<f64> {
        let value = self.next();
        (!self.next.is_multiple_of(5)).then_some(value)
    }

    fn time(&mut self) -> Timestamp {
        Timestamp::from_second(self.next().clamp(-3e11, 2e11) as i64).unwrap_or(Timestamp::MIN)
    }

    fn position(&mut self) -> Position {
        Position::new(self.next() % 90.0, self.next() % 180.0)
            .unwrap_or(Position::new(0.0, 0.0).unwrap())
    }
}

fn strew(day: &mut Trial, numbers: &mut Numbers, times: bool) {
    for leg in &mut day.legs {
        leg.speed_m_s = numbers.maybe();
        leg.speed_se_m_s = numbers.maybe();
        leg.course_deg = numbers.next();
        leg.start_position = numbers.position();
        leg.end_position = numbers.position();
        if times {
            leg.start = numbers.time();
            leg.end = numbers.time();
        }
    }
    for cell in &mut day.cells {
        cell.mean_m_s = numbers.next();
        cell.mean_interval_m_s = Some(Interval {
            low: numbers.next(),
            high: numbers.next(),
        });
    }
    for run in &mut day.double_runs {
        run.mean_m_s = numbers.next();
    }
    for comparison in &mut day.comparisons {
        comparison.percent.value = numbers.maybe();
        comparison.percent.low = numbers.maybe();
        comparison.percent.high = numbers.maybe();
    }
    for line in &mut day.lines {
        line.axis_deg = numbers.next();
        line.to = numbers.position();
    }
    for point in day.days[0].trail.runs.iter_mut().flatten().step_by(50) {
        point.east_m = numbers.next();
        point.north_m = numbers.next();
    }
    for speed in day.days[0].trail.speeds.iter_mut().step_by(9) {
        speed.speed_m_s = numbers.next();
        if times {
            speed.time = numbers.time();
        }
    }
    day.days[0].idle.push(IdleDrift {
        start: numbers.time(),
        end: numbers.time(),
        toward_deg: numbers.next(),
        speed_m_s: numbers.next(),
        used: false,
    });
    day.days[0].wind.from_deg = numbers.maybe();
    day.days[0].wind.from_se_deg = numbers.maybe();
    day.days[0].wind.speed_m_s = numbers.maybe();
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(48) })]

    #[test]
    fn no_numbers_bring_the_charts_down(
        values in proptest::collection::vec(prop_oneof![any::<f64>(), -1e4..1e4, 0.0..5.0], 7..60),
        times: bool,
    ) {
        let mut day = charts_days::usual();
        strew(&mut day, &mut Numbers { values, next: 0 }, times);
        for chart in plotter::charts(&day) {
            for drawing in [&chart.wide, &chart.narrow] {
                prop_assert!(!drawing.marks.contains("NaN"), "{}", chart.file_name);
                prop_assert!(!drawing.marks.contains("inf"), "{}", chart.file_name);
            }
        }
    }
}
