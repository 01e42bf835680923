//! Holds an analysis against the truth of a simulated day.

use std::fmt::Write;

use jiff::Timestamp;
use thereback::compare::Verdict;
use thereback::day::WindSource;
use thereback::plan::{groups_right, leg_overlap, read_right, series, true_double_runs};
use thereback::simulate::{SimulatedDay, Truth};
use thereback::trial::Trial;
use thereback::units::Bearing;

/// What was right and wrong on one or more days.
#[derive(Debug, Default, Clone)]
pub(crate) struct Score {
    pub(crate) days: usize,
    pub(crate) true_legs: usize,
    pub(crate) legs_found: usize,
    pub(crate) overlaps: Vec<f64>,
    pub(crate) start_errors: Vec<f64>,
    pub(crate) end_errors: Vec<f64>,
    pub(crate) speed_errors: Vec<f64>,
    pub(crate) speed_in_interval: usize,
    pub(crate) speed_intervals: usize,
    pub(crate) true_double_runs: usize,
    pub(crate) double_runs_found: usize,
    pub(crate) double_runs_right: usize,
    pub(crate) days_right: usize,
    pub(crate) groups_wrong: usize,
    pub(crate) wrong_and_unclear: usize,
    pub(crate) right_and_unclear: usize,
    pub(crate) wind_errors: Vec<f64>,
    pub(crate) wind_errors_in_current: Vec<f64>,
    pub(crate) days_in_current: usize,
    pub(crate) wind_sources: usize,
    pub(crate) true_changes: usize,
    pub(crate) changes: usize,
    pub(crate) changes_covered: usize,
    pub(crate) change_errors: Vec<f64>,
    pub(crate) verdicts_wrong: usize,
    pub(crate) remarks: Vec<String>,
}

fn seconds(a: Timestamp, b: Timestamp) -> f64 {
    b.duration_since(a).as_secs_f64()
}

impl Score {
    /// Judges one day, without notes.
    pub(crate) fn judge(&mut self, day: &SimulatedDay, analysis: &Trial) {
        let truth = &day.truth;
        self.days += 1;
        for leg in 0..truth.legs.len() {
            self.leg(truth, leg, analysis);
        }
        self.double_runs(truth, analysis);
        self.wind(day, analysis);
        self.changes(day, analysis);
    }

    /// How well a leg of the trial was found.
    fn leg(&mut self, day: &Truth, number: usize, analysis: &Trial) {
        let (name, truth) = (&day.name, &day.legs[number]);
        if !truth.trial || truth.broken_off {
            return;
        }
        self.true_legs += 1;
        let best = analysis
            .legs
            .iter()
            .map(|leg| (leg, leg_overlap(day, number, [leg.start, leg.end])))
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .filter(|(_, share)| *share >= 0.5);
        let Some((leg, share)) = best else {
            self.remarks.push(format!(
                "{name}: missed leg {}..{} ({:.0} s, {:.2} m/s)",
                truth.start,
                truth.end,
                seconds(truth.start, truth.end),
                truth.speed_m_s
            ));
            return;
        };
        self.legs_found += 1;
        self.overlaps.push(share);
        self.start_errors.push(seconds(truth.start, leg.start));
        self.end_errors.push(seconds(truth.end, leg.end));
        if share < 0.9 {
            self.remarks.push(format!(
                "{name}: leg {} overlaps {share:.2}: start {:+.0} s, end {:+.0} s of {:.0} s at {:.2} m/s",
                leg.leg,
                seconds(truth.start, leg.start),
                seconds(truth.end, leg.end),
                seconds(truth.start, truth.end),
                truth.speed_m_s,
            ));
        }
        if let Some(speed) = leg.speed_m_s {
            let error = speed - truth.speed_m_s;
            self.speed_errors.push(100.0 * error / truth.speed_m_s);
            if let Some(se) = leg.speed_se_m_s {
                self.speed_intervals += 1;
                self.speed_in_interval += usize::from(error.abs() <= 1.96 * se);
            }
        }
    }

    fn double_runs(&mut self, truth: &Truth, analysis: &Trial) {
        self.true_double_runs += truth.double_runs.len();
        self.double_runs_found += analysis.double_runs.len();
        let matched = true_double_runs(truth, analysis);
        let true_ones = matched.iter().flatten().count();
        self.double_runs_right += true_ones;
        self.days_right += usize::from(read_right(truth, analysis));
        // A run too many or too few may make a group too many or too few.
        let settings = |of: &dyn Fn(usize) -> bool| (0..8).filter(|s| of(*s)).count();
        let true_settings = settings(&|s| truth.double_runs.iter().any(|r| r.setting == s));
        let most_parts = series(truth).last().map_or(0, |last| last + 1);
        let parts = settings(&|s| truth.double_runs.iter().any(|r| r.configuration == s));
        let right = groups_right(truth, analysis);
        let as_many = (parts..=most_parts).contains(&analysis.configurations.len())
            && analysis.settings.len() == true_settings;
        let unclear = (analysis.days[0].reading.as_ref()).is_some_and(|reading| reading.unclear);
        if right && as_many {
            self.right_and_unclear += usize::from(unclear);
        } else {
            self.groups_wrong += 1;
            self.wrong_and_unclear += usize::from(unclear);
        }
        let invented = (analysis.double_runs.iter().zip(&matched))
            .filter(|(_, own)| own.is_none())
            .map(|(run, _)| {
                format!(
                    "invented double run of legs {:?} at {} ({:.2} m/s)",
                    run.legs, run.at, run.mean_m_s
                )
            });
        let mut wrong: Vec<String> = invented.collect();
        if true_ones < truth.double_runs.len() {
            let all = truth.double_runs.len();
            wrong.push(format!("found {true_ones} of {all} double runs"));
        }
        if !right {
            let cells = analysis
                .double_runs
                .iter()
                .map(|r| (&r.configuration, &r.setting));
            wrong.push(format!("groups wrong: {:?}", cells.collect::<Vec<_>>()));
        }
        self.remarks
            .extend(wrong.into_iter().map(|w| format!("{}: {w}", truth.name)));
    }

    fn wind(&mut self, day: &SimulatedDay, analysis: &Trial) {
        let truth = &day.truth;
        if truth.current.speed_m_s >= 0.02 {
            self.days_in_current += 1;
        }
        if analysis.wind.source != WindSource::Drift {
            return;
        }
        self.wind_sources += 1;
        let (Some(found), Some(really)) = (
            analysis.wind.from_deg.and_then(Bearing::new),
            Bearing::new(truth.wind.from_deg),
        ) else {
            return;
        };
        let still = truth.current.speed_m_s < 0.02;
        if still {
            self.wind_errors.push(found.apart(really));
        } else {
            self.wind_errors_in_current.push(found.apart(really));
        }
        if found.apart(really) > 25.0 {
            self.remarks.push(format!(
                "{}: wind {found} is really {really} at {:.1} m/s; idle drift toward {:.0} at {:.2}; current {:.2} m/s; warned {}",
                truth.name,
                truth.wind.speed_m_s,
                truth.idle_drift.towards_deg,
                truth.idle_drift.speed_m_s,
                truth.current.speed_m_s,
                analysis
                    .warnings
                    .iter()
                    .any(|w| w.code() == "wind-or-current")
            ));
        }
    }

    fn changes(&mut self, day: &SimulatedDay, analysis: &Trial) {
        self.true_changes += day.truth.changes.len();
        for truth in &day.truth.changes {
            let setting = (truth.setting + 1).to_string();
            let Some(found) = analysis.comparisons.iter().find(|c| {
                c.setting.as_deref() == Some(setting.as_str())
                    && c.changed == ["A", "B", "C", "D"][truth.changed.min(3)]
            }) else {
                continue;
            };
            let percent = found.percent;
            let (Some(value), Some(low), Some(high)) = (percent.value, percent.low, percent.high)
            else {
                continue;
            };
            self.changes += 1;
            self.changes_covered += usize::from((low..=high).contains(&truth.percent));
            self.change_errors.push(value - truth.percent);
            if (value - truth.percent).abs() > 3.0 {
                self.remarks.push(format!(
                    "{}: change at setting {setting} is {value:.1} %, really {:.1} %",
                    day.truth.name, truth.percent
                ));
            }
            let wrong = match found.verdict {
                Verdict::Faster => truth.percent <= 0.0,
                Verdict::Slower => truth.percent >= 0.0,
                _ => false,
            };
            self.verdicts_wrong += usize::from(wrong);
        }
    }

    /// Recall of the trial's legs.
    pub(crate) fn leg_recall(&self) -> f64 {
        share(self.legs_found, self.true_legs)
    }

    /// Share of the true double runs that were found.
    pub(crate) fn recall(&self) -> f64 {
        share(self.double_runs_right, self.true_double_runs)
    }

    /// Share of the double runs found that are true.
    pub(crate) fn precision(&self) -> f64 {
        share(self.double_runs_right, self.double_runs_found)
    }

    /// Share of days whose double runs and groups are all right.
    pub(crate) fn share_right(&self) -> f64 {
        share(self.days_right, self.days)
    }

    /// The rates as a table.
    #[allow(clippy::too_many_lines, reason = "one line for each rate")]
    pub(crate) fn table(&self) -> String {
        let q = |values: &[f64], p: f64| quantile(values, p);
        let mut out = String::new();
        let mut line = |name: &str, value: String| {
            let _ = writeln!(out, "{name:<44} {value}");
        };
        line("days", self.days.to_string());
        line("legs found", percent(self.leg_recall()));
        line("double runs found", percent(self.recall()));
        line("double runs found that are true", percent(self.precision()));
        line(
            "days with all double runs and groups right",
            percent(self.share_right()),
        );
        line(
            "groups wrong, and told to be unclear",
            format!("{}, {}", self.groups_wrong, self.wrong_and_unclear),
        );
        line(
            "groups right, and yet told to be unclear",
            self.right_and_unclear.to_string(),
        );
        line(
            "overlap of legs, mean / 5th percentile",
            format!(
                "{:.3} / {:.3}",
                mean(&self.overlaps),
                q(&self.overlaps, 0.05)
            ),
        );
        line(
            "start of leg, median / 10th / 90th, s",
            format!(
                "{:+.1} / {:+.1} / {:+.1}",
                q(&self.start_errors, 0.5),
                q(&self.start_errors, 0.1),
                q(&self.start_errors, 0.9)
            ),
        );
        line(
            "end of leg, median / 10th / 90th, s",
            format!(
                "{:+.1} / {:+.1} / {:+.1}",
                q(&self.end_errors, 0.5),
                q(&self.end_errors, 0.1),
                q(&self.end_errors, 0.9)
            ),
        );
        line(
            "speed of leg, bias %",
            format!("{:+.3}", mean(&self.speed_errors)),
        );
        line(
            "speed of leg, rms error %",
            format!("{:.3}", rms(&self.speed_errors)),
        );
        line(
            "speed of leg within 1.96 standard errors",
            percent(share(self.speed_in_interval, self.speed_intervals)),
        );
        line(
            "wind from drift: days / median error / 90th, deg",
            format!(
                "{} / {:.1} / {:.1}",
                self.wind_errors.len(),
                q(&self.wind_errors, 0.5),
                q(&self.wind_errors, 0.9)
            ),
        );
        line(
            "the same in a current; days in a current",
            format!(
                "{} / {:.1} / {:.1}, {}",
                self.wind_errors_in_current.len(),
                q(&self.wind_errors_in_current, 0.5),
                q(&self.wind_errors_in_current, 0.9),
                self.days_in_current
            ),
        );
        line(
            "changes answered",
            percent(share(self.changes, self.true_changes)),
        );
        line(
            "changes covered by their 95 % interval",
            format!(
                "{} of {}",
                percent(share(self.changes_covered, self.changes)),
                self.changes
            ),
        );
        line(
            "change, bias / rms error, percentage points",
            format!(
                "{:+.2} / {:.2}",
                mean(&self.change_errors),
                rms(&self.change_errors)
            ),
        );
        line(
            "verdicts of the wrong sign",
            self.verdicts_wrong.to_string(),
        );
        out
    }
}

pub(crate) fn share(part: usize, whole: usize) -> f64 {
    if whole == 0 {
        1.0
    } else {
        part as f64 / whole as f64
    }
}

fn percent(share: f64) -> String {
    format!("{:.1} %", 100.0 * share)
}

pub(crate) fn mean(values: &[f64]) -> f64 {
    thereback::stats::summary::mean(values).unwrap_or(f64::NAN)
}

pub(crate) fn rms(values: &[f64]) -> f64 {
    mean(&values.iter().map(|v| v * v).collect::<Vec<_>>()).sqrt()
}

pub(crate) fn quantile(values: &[f64], p: f64) -> f64 {
    thereback::stats::quantile::quantile(values, p).unwrap_or(f64::NAN)
}
